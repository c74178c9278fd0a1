//! What happens on the desk: one event in, the changed model and what is to be done outside out.
//!
//! Pure: the clock is an argument, and disk, terminal and record are touched only by whoever
//! carries out the [`Effect`]s.

use chrono::{DateTime, Utc};
use crossterm::event::KeyEvent;

use crate::record::Keying;
use crate::workflow::desk::Stack;

use super::acts::undo;
use super::event::{Effect, Event};
use super::keys::{self, Action};
use super::model::{Model, Place, Tone};
use super::news;
use super::screens::{across, class, course, find, help, import, paper, prompt, report};
use super::typing::{edit_of, pasted, typed};

/// Does what an event means.
pub fn update(model: &mut Model, event: Event, now: DateTime<Utc>) -> Vec<Effect> {
    // What was asked for is done outside before anything else happens here.
    let asked = model.asked.take();
    match event {
        Event::Key(key) => pressed(model, key, now),
        Event::Paste(text) => {
            model.paper.went_on = false;
            pasted(model, &text)
        }
        Event::Resize => Vec::new(),
        Event::Opened(stack) => opened(model, *stack),
        Event::Course(lines, classes) => {
            course::take(model, lines, classes);
            Vec::new()
        }
        Event::Considered(what) => {
            if what.does_something() {
                prompt::hand_out(model, *what);
            } else {
                model.tell(Tone::Look, what.words());
            }
            Vec::new()
        }
        Event::Reissued(students, lie, news) => {
            class::reissued(model, &students, &lie, news);
            Vec::new()
        }
        Event::Done(words) => {
            model.say(words);
            vec![Effect::Refresh]
        }
        Event::Saved(first, real) => {
            if let Some(stack) = &mut model.stack {
                stack.acknowledge(first, &real);
            }
            model.saving.failed = None;
            while let Some(waiting) = model.saving.waiting.front() {
                if waiting.first > first {
                    break;
                }
                model.saving.saved = model.saving.waiting.pop_front().map(|done| done.words);
            }
            Vec::new()
        }
        Event::NotSaved(why) => {
            model.saving.failed = Some(why);
            Vec::new()
        }
        Event::Came(news) => news::came(model, news),
        Event::Exported(written, acts, found) => {
            model.saving.exported = Some(acts);
            let words: Vec<String> = std::iter::once(written).chain(found).collect();
            model.say(words.join("; "));
            Vec::new()
        }
        Event::Reported(page) => {
            report::open(model, &page);
            Vec::new()
        }
        Event::Previewed(file, changes, findings) => {
            import::open(model, file, changes, findings);
            Vec::new()
        }
        Event::Failed(why) => match asked {
            Some(asked) => {
                prompt::again(model, asked, why);
                vec![Effect::Ring]
            }
            None => {
                model.tell(Tone::Alarm, why);
                Vec::new()
            }
        },
    }
}

fn pressed(model: &mut Model, key: KeyEvent, now: DateTime<Utc>) -> Vec<Effect> {
    let action = keys::action(model, key);
    if action != Some(Action::Leave) {
        model.leaving = false;
    }
    let went_on = std::mem::take(&mut model.paper.went_on);
    match action {
        Some(Action::Enter) if went_on && model.prompt.is_none() && model.help.is_none() => {
            paper::went_on_already(model);
            Vec::new()
        }
        Some(action) => {
            model.say("");
            act(model, action, now)
        }
        None => {
            if let Some(request) = edit_of(key) {
                typed(model, request)
            } else {
                Vec::new()
            }
        }
    }
}

fn act(model: &mut Model, action: Action, now: DateTime<Utc>) -> Vec<Effect> {
    match action {
        Action::Leave => return leave(model),
        Action::Suspend => return vec![Effect::Suspend],
        Action::Help => {
            model.help = match model.help {
                None => Some(0),
                Some(_) => None,
            };
            return Vec::new();
        }
        // A line that is being typed is cleared; nothing behind it is touched.
        Action::Undo if model.prompt.is_some() => {
            if let Some(prompt) = &mut model.prompt {
                prompt.input.reset();
            }
            return Vec::new();
        }
        Action::Undo if withdraw(model) => return Vec::new(),
        Action::Undo if model.handed_out => {
            model.handed_out = false;
            model
                .say("papers handed out stay handed out; ^U again takes back what was done before");
            return Vec::new();
        }
        Action::Undo => return undo(model, now, Stack::undo, "taken back"),
        Action::Redo => return undo(model, now, Stack::redo, "brought back"),
        _ => {}
    }
    if model.help.is_some() {
        help::act(model, action);
        return Vec::new();
    }
    if model.prompt.is_some() {
        return prompt::act(model, action, now);
    }
    match action {
        Action::Hide => {
            model.hide = !model.hide;
            model.panel &= !model.hide;
            model.say(if model.hide {
                "verdicts are hidden"
            } else {
                "verdicts are shown"
            });
            return Vec::new();
        }
        Action::Again => return again(model),
        Action::Class => {
            class::open(model);
            return Vec::new();
        }
        Action::Across => {
            across::open(model);
            return Vec::new();
        }
        Action::Attend => {
            prompt::attend(model);
            return Vec::new();
        }
        _ => {}
    }
    match model.place {
        Place::Course => course::act(model, action),
        Place::Find => find::act(model, action),
        Place::Paper => paper::act(model, action, now),
        Place::Across => across::act(model, action, now),
        Place::Class => class::act(model, action),
        Place::Import => import::act(model, action, now),
        Place::Report => {
            report::act(model, action);
            Vec::new()
        }
    }
}

/// Takes away what is being typed and not kept yet; `false` if that is nothing.
fn withdraw(model: &mut Model) -> bool {
    if !model.is_typing() {
        return false;
    }
    match model.place {
        Place::Course => {
            course::act(model, Action::Back);
        }
        Place::Find => find::open(model, None),
        Place::Paper => paper::refresh(model),
        Place::Across => model.across.input.reset(),
        Place::Class | Place::Import | Place::Report => {}
    }
    model.say("what was typed is taken away, nothing else");
    true
}

fn opened(model: &mut Model, mut stack: Stack) -> Vec<Effect> {
    if let Some(before) = &model.stack {
        stack.number_on_from(before);
    }
    let count = stack.papers().len();
    model.saving.exported = Some(stack.acts().len());
    model.stack = Some(stack);
    model.keying = Keying::First;
    model.place = Place::Find;
    model.trail = if model.course.is_there() {
        vec![Place::Course]
    } else {
        Vec::new()
    };
    model.across = across::State::default();
    model.class = class::State::default();
    find::open(model, None);
    if count == 0 {
        model.tell(Tone::Look, "no student of this class was issued a paper");
    } else {
        model.say("type a few letters of a name, an id or a code; Enter opens");
    }
    Vec::new()
}

/// Leaves, unless something would be lost and this was not said yet.
fn leave(model: &mut Model) -> Vec<Effect> {
    if model.leaving || !model.would_lose() {
        return vec![Effect::Leave];
    }
    model.leaving = true;
    let text = if model.saving.failed.is_some() {
        "not everything is saved yet; ^C again leaves without it"
    } else {
        "no record, and marks not written since: ^C again leaves without them"
    };
    model.tell(Tone::Alarm, text);
    Vec::new()
}

/// Keys a second time, or the first time again.
fn again(model: &mut Model) -> Vec<Effect> {
    model.keying = match model.keying {
        Keying::First => Keying::Second,
        Keying::Second => Keying::First,
    };
    model.panel = false;
    match model.place {
        Place::Paper => paper::refresh(model),
        Place::Find => find::open(model, None),
        Place::Course | Place::Across | Place::Class | Place::Import | Place::Report => {}
    }
    model.say(match model.keying {
        Keying::First => "first keying",
        Keying::Second => "second keying: what was keyed first is not shown; where the two differ it is said at once",
    });
    Vec::new()
}
