//! What happens on the desk: one event in, the changed model and what is to be done outside out.
//!
//! Pure: the clock is an argument, and disk, terminal and record are touched only by whoever
//! carries out the [`Effect`]s.

use chrono::{DateTime, NaiveDate, Utc};
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use tui_input::{Input, InputRequest};

use crate::record::{Act, ActId, Deed, Keying, NewAct};
use crate::workflow::desk::{Change, HandOut, News, Stack, course::Line};

use super::keys::{self, Action};
use super::model::{LONGEST, Model, Place, Tone, Waiting};
use super::news;
use super::screens::{across, class, course, find, help, import, paper, prompt, report};
use super::told::{origin, told};

/// What comes in.
#[derive(Debug)]
pub enum Event {
    /// A key.
    Key(KeyEvent),
    /// Text pasted.
    Paste(String),
    /// The terminal has another size.
    Resize,
    /// A stack was laid on the desk.
    Opened(Box<Stack>),
    /// The assignments by class, read anew, and the classes of the folder.
    Course(Vec<Line>, Vec<String>),
    /// The record holds acts that waited: the provisional number of the first, and their real ones.
    Saved(ActId, Vec<ActId>),
    /// The record could not take acts; it is tried again.
    NotSaved(String),
    /// Somebody else wrote to the record.
    Came(News),
    /// What handing papers out would do.
    Considered(Box<HandOut>),
    /// Papers were handed out to these students of the stack; where they lie, in words, and what is new of
    /// the stack.
    Reissued(Vec<String>, String, News),
    /// Something was done outside, in words.
    Done(String),
    /// Marks were written somewhere, as these words say, as of so many acts; and what was found on the way.
    Exported(String, usize, Vec<String>),
    /// How the class did, as a page.
    Reported(String),
    /// What a file of answers would do.
    Previewed(String, Vec<Change>, Vec<String>),
    /// Something asked for outside failed.
    Failed(String),
}

/// What is to be done outside.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Save these acts; they carry provisional numbers.
    Save(Vec<Act>),
    /// Lay this line of the start screen on the desk.
    Open(Box<Line>),
    /// Read the course folder anew.
    Refresh,
    /// Write the marks to this file.
    Export(String),
    /// Fill the sheet's column of this gradebook.
    Fill(String),
    /// Read this file of answers for a preview.
    Preview(String),
    /// Find out how the class did.
    Report,
    /// Find out what handing papers of this line's assignment out to a class would do.
    Consider(Box<Line>, String, Option<NaiveDate>),
    /// Hand papers out.
    HandOut(Box<HandOut>),
    /// Give these students of the stack another paper, due on a day.
    Reissue(Vec<String>, Option<NaiveDate>),
    /// Ring: something was typed that needs a look, and eyes may be on the paper.
    Ring,
    /// Let the shell have the terminal.
    Suspend,
    /// End.
    Leave,
}

/// Does what an event means.
pub fn update(model: &mut Model, event: Event, now: DateTime<Utc>) -> Vec<Effect> {
    match event {
        Event::Key(key) => pressed(model, key, now),
        Event::Paste(text) => pasted(model, &text),
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
        Event::Failed(why) => {
            model.tell(Tone::Alarm, why);
            Vec::new()
        }
    }
}

fn pressed(model: &mut Model, key: KeyEvent, now: DateTime<Utc>) -> Vec<Effect> {
    let action = keys::action(model, key);
    if action != Some(Action::Leave) {
        model.leaving = false;
    }
    match action {
        Some(action) => {
            model.say("");
            act(model, action, now)
        }
        None => {
            if let Some(request) = typing(key) {
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

/// Text typed into whatever takes text.
fn typed(model: &mut Model, request: InputRequest) -> Vec<Effect> {
    if model.help.is_some() {
        return Vec::new();
    }
    if let Some(prompt) = &mut model.prompt {
        if prompt.offered && matches!(request, InputRequest::InsertChar(_)) {
            prompt.input.reset();
        }
        prompt.offered = false;
        let longest = prompt.ask.longest();
        edit_up_to(longest, &mut prompt.input, request);
        prompt.fault = None;
        return Vec::new();
    }
    match model.place {
        Place::Course => return course::typed(model, request),
        Place::Find => find::typed(model, request),
        Place::Paper => paper::typed(model, request),
        Place::Across => across::typed(model, request),
        Place::Class | Place::Import | Place::Report => {}
    }
    Vec::new()
}

/// A paste is one text for one field, whatever is in it: breaks become blanks, controls are left
/// out, and it is cut at the field's limit.
fn pasted(model: &mut Model, text: &str) -> Vec<Effect> {
    let longest = model
        .prompt
        .as_ref()
        .map_or(LONGEST, |prompt| prompt.ask.longest());
    let mut taken = 0;
    for c in text.chars() {
        if taken == longest {
            let limit =
                format!("a field takes {longest} characters; the rest of the paste was left out");
            model.tell(Tone::Look, limit);
            return vec![Effect::Ring];
        }
        let c = match c {
            '\n' | '\r' | '\t' => ' ',
            c if c.is_control() => continue,
            c => c,
        };
        taken += 1;
        typed(model, InputRequest::InsertChar(c));
    }
    Vec::new()
}

/// Changes a text that is being typed, up to the limit of a field.
pub(super) fn edit(input: &mut Input, request: InputRequest) {
    edit_up_to(LONGEST, input, request);
}

fn edit_up_to(longest: usize, input: &mut Input, request: InputRequest) {
    let grows = matches!(request, InputRequest::InsertChar(_));
    if !grows || input.value().chars().count() < longest {
        input.handle(request);
    }
}

/// What a key that is no command does to a text.
fn typing(key: KeyEvent) -> Option<InputRequest> {
    let control = key.modifiers.contains(KeyModifiers::CONTROL);
    let alt = key.modifiers.contains(KeyModifiers::ALT);
    Some(match key.code {
        KeyCode::Char(c) if !control && !alt => InputRequest::InsertChar(c),
        // AltGr is control and alt together on some systems.
        KeyCode::Char(c) if control && alt => InputRequest::InsertChar(c),
        KeyCode::Char('w') if control => InputRequest::DeletePrevWord,
        KeyCode::Backspace if control || alt => InputRequest::DeletePrevWord,
        KeyCode::Backspace => InputRequest::DeletePrevChar,
        KeyCode::Delete => InputRequest::DeleteNextChar,
        KeyCode::Left if control => InputRequest::GoToPrevWord,
        KeyCode::Left => InputRequest::GoToPrevChar,
        KeyCode::Right if control => InputRequest::GoToNextWord,
        KeyCode::Right => InputRequest::GoToNextChar,
        KeyCode::Home => InputRequest::GoToStart,
        KeyCode::End => InputRequest::GoToEnd,
        _ => return None,
    })
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

fn undo(
    model: &mut Model,
    now: DateTime<Utc>,
    acts: fn(&Stack, DateTime<Utc>) -> Vec<NewAct>,
    done: &str,
) -> Vec<Effect> {
    let Some(stack) = &model.stack else {
        return Vec::new();
    };
    let new = acts(stack, now);
    let Some(first) = new.first() else {
        model.say(format!("nothing to be {done}"));
        return Vec::new();
    };
    let about = match first.deed {
        Deed::TakeBack { act } => origin(stack, act),
        _ => None,
    };
    let paper = stack.paper_of(first.issue);
    let words = about.map_or_else(|| "the last thing".to_owned(), told);
    let field = about.and_then(|deed| part_of(stack, deed));
    let id = paper.map_or("", |paper| stack.student(paper).id);
    let saved = format!("{done}: {id} {words}");
    let effects = save(model, new, saved);
    if let (Some(paper), Place::Paper) = (paper, model.place) {
        let field = field.unwrap_or(model.paper.field);
        paper::open(model, paper, field);
    }
    model.say(format!("{done}: {words}"));
    effects
}

/// The field an act is about.
fn part_of(stack: &Stack, deed: &Deed) -> Option<usize> {
    let part = match deed {
        Deed::Entry { part, .. }
        | Deed::Unreadable { part, .. }
        | Deed::Clear { part, .. }
        | Deed::Working { part, .. }
        | Deed::Adjust { part, .. } => part,
        _ => return None,
    };
    stack
        .plan()
        .parts
        .iter()
        .position(|place| place.id == *part)
}

/// Does deeds to one paper, in one go that one undo takes back.
pub(super) fn deeds(
    model: &mut Model,
    paper: usize,
    deeds: Vec<Deed>,
    now: DateTime<Utc>,
) -> Vec<Effect> {
    let Some(stack) = &model.stack else {
        return Vec::new();
    };
    let Some(on_desk) = stack.papers().get(paper) else {
        return Vec::new();
    };
    let issue = on_desk.issue.id;
    let words = match deeds.as_slice() {
        [] => return Vec::new(),
        [one] => told(one),
        [first, ..] => format!("{}, and {} more", told(first), deeds.len() - 1),
    };
    let words = format!("{} {words}", stack.student(paper).id);
    let new = deeds
        .into_iter()
        .map(|deed| NewAct::new(now, issue, deed))
        .collect();
    save(model, new, words)
}

/// Does acts at once, and has them saved.
pub(super) fn save(model: &mut Model, new: Vec<NewAct>, words: String) -> Vec<Effect> {
    let Some(stack) = &mut model.stack else {
        return Vec::new();
    };
    model.handed_out = false;
    let acts = stack.provisional(new);
    let Some(first) = acts.first().map(|act| act.id) else {
        return Vec::new();
    };
    stack.apply(&acts);
    model.saving.waiting.push_back(Waiting { first, words });
    vec![Effect::Save(acts)]
}
