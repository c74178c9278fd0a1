//! One line asked for at the bottom: an adjustment, a misread number, where an entry goes, which
//! charge, who is absent, a file.
//!
//! In: what was typed. Out: acts, or what is to be done outside. Refused, in words and with what was
//! typed kept: what does not say enough. `ask` holds what is asked for, `read` understands what was typed,
//! `moving`, `telling` and `waiving` are acts of their own, `view` draws.

mod ask;
mod moving;
mod read;
mod telling;
mod view;
mod waiving;

use chrono::{DateTime, Utc};

use crate::record::{Adjustment, Deed};
use crate::workflow::desk::HandOut;
use crate::workflow::desk::course::Line;

use super::super::acts::deeds;
use super::super::event::Effect;
use super::super::keys::Action;
use super::super::model::{Model, Place};
use super::{find, paper};
pub use ask::{Ask, Prompt, Waivable};
pub use moving::r#move;
use moving::moved;
pub(super) use read::points_of;
use read::{adjusted, attended, chosen, class_and_day, for_whom, gradebook, misread_as, read_as};
use telling::message;
pub use telling::tell;
pub use view::{cursor, rows};
pub use waiving::waive;
use waiving::waived;

/// Asks for the points of a part of a paper, and offers what was set there.
pub fn adjust(model: &mut Model, paper: usize, part: usize) {
    let set = model
        .stack
        .as_ref()
        .and_then(|stack| stack.set(paper, part));
    let text = set.map_or_else(String::new, as_typed);
    model.offer(Ask::Adjust { paper, part }, text);
}

/// The same, and where nothing was set offers what was set last for this part on another paper.
pub fn adjust_alike(model: &mut Model, paper: usize, part: usize) {
    let set = model.stack.as_ref().and_then(|stack| {
        let own = stack.set(paper, part);
        own.or_else(|| stack.set(stack.set_last(part)?, part))
    });
    let text = set.map_or_else(String::new, as_typed);
    model.offer(Ask::Adjust { paper, part }, text);
}

fn as_typed(set: &Adjustment) -> String {
    format!("{} {}", set.points.normalize(), set.note)
}

/// Asks who gets another paper.
pub fn reissue(model: &mut Model) {
    if let Some(&paper) = model.class.found.get(model.class.at) {
        model.ask(Ask::Reissue { paper }, String::new());
    }
}

/// Asks which class gets papers of the assignment chosen.
pub fn issue(model: &mut Model, line: Line) {
    // A day due is typed behind the class that is offered.
    let text = match line.class.as_str() {
        "" => String::new(),
        class => format!("{class} "),
    };
    model.ask(Ask::Issue { line }, text);
}

/// Shows what handing out would do.
pub fn hand_out(model: &mut Model, what: HandOut) {
    model.ask(Ask::HandOut { what }, String::new());
}

/// Asks for a misread number.
pub fn misread(model: &mut Model) {
    model.ask(Ask::Misread, String::new());
}

/// Asks whether the student handed in a paper.
pub fn attend(model: &mut Model) {
    let paper = match model.place {
        Place::Find => model.find.found.get(model.find.at).copied(),
        Place::Paper => Some(model.paper.paper),
        Place::Class => model.class.found.get(model.class.at).copied(),
        Place::Course | Place::Across | Place::Import | Place::Report => None,
    };
    if let Some(paper) = paper {
        model.ask(Ask::Attend { paper }, String::new());
    }
}

/// Asks where the marks go.
pub fn export(model: &mut Model) {
    let text = model.stack.as_ref().map_or_else(String::new, |stack| {
        format!("{}-{}-marks.csv", stack.plan().sheet.code, stack.class())
    });
    model.offer(Ask::Export, text);
}

/// Asks for a file of answers.
pub fn import(model: &mut Model) {
    model.ask(Ask::Import, String::new());
}

/// What an action does here.
pub fn act(model: &mut Model, action: Action, now: DateTime<Utc>) -> Vec<Effect> {
    match action {
        Action::Back => {
            model.prompt = None;
            Vec::new()
        }
        Action::Enter => {
            let Some(prompt) = model.prompt.take() else {
                return Vec::new();
            };
            let text = prompt.input.value().trim().to_owned();
            match done(model, &prompt.ask, &text, now) {
                Ok(effects) => {
                    model.asked = Some(prompt);
                    effects
                }
                Err(fault) => {
                    again(model, prompt, fault);
                    vec![Effect::Ring]
                }
            }
        }
        _ => Vec::new(),
    }
}

/// Asks once more, with what was typed and why it would not do.
pub fn again(model: &mut Model, prompt: Prompt, fault: String) {
    model.prompt = Some(Prompt {
        fault: Some(fault),
        ..prompt
    });
}

fn done(
    model: &mut Model,
    ask: &Ask,
    text: &str,
    now: DateTime<Utc>,
) -> Result<Vec<Effect>, String> {
    let paper = model.paper.paper;
    match ask {
        Ask::Adjust { paper, part } => {
            let deed = adjusted(model.stack.as_ref(), *part, text)?;
            let is_set = matches!(
                deed,
                Deed::Adjust {
                    points: Some(_),
                    ..
                }
            );
            let effects = deeds(model, *paper, vec![deed], now);
            let alike = model
                .stack
                .as_ref()
                .map_or(0, |stack| stack.alike(*paper, *part).len());
            if is_set && alike > 0 && model.place == Place::Paper {
                let papers = if alike == 1 {
                    "paper was"
                } else {
                    "papers were"
                };
                model.say(format!(
                    "{alike} other {papers} marked for the same reason: ^G goes through them, `a` \
                     there offers these points and this note"
                ));
            }
            Ok(effects)
        }
        Ask::Misread => {
            let deed = misread_as(model.stack.as_ref(), paper, text)?;
            Ok(deeds(model, paper, vec![deed], now))
        }
        Ask::Tell { paper, proposed } => {
            let message = message(text, proposed);
            let stack = model.stack.as_ref();
            let stands = stack.and_then(|stack| stack.papers()[*paper].standing.message.clone());
            if message == stands {
                return Ok(Vec::new());
            }
            Ok(deeds(model, *paper, vec![Deed::Tell { message }], now))
        }
        Ask::Move { part } => moved(model, *part, text, now),
        Ask::Waive { charges } => {
            let number = text.split_whitespace().next().unwrap_or("");
            let index = number
                .parse::<usize>()
                .ok()
                .and_then(|number| number.checked_sub(1));
            let Some(charge) = index.and_then(|index| charges.get(index)) else {
                return Err(format!("expected a number from 1 to {}", charges.len()));
            };
            let note = text.strip_prefix(number).unwrap_or("").trim();
            Ok(deeds(model, paper, vec![waived(charge, note)], now))
        }
        Ask::Attend { paper } => {
            let deed = attended(text, model.today(now))?;
            let effects = deeds(model, *paper, vec![deed], now);
            match model.place {
                Place::Paper => paper::refresh(model),
                // What was typed found this student, and would stand in the way of the next.
                Place::Find => find::open(model, Some(*paper)),
                Place::Course | Place::Across | Place::Class | Place::Import | Place::Report => {}
            }
            Ok(effects)
        }
        Ask::Reissue { paper } => {
            let stack = model.stack.as_ref();
            let (papers, due) = stack
                .and_then(|stack| for_whom(stack, *paper, text))
                .ok_or("expected c (the student chosen) or a (all who are noted as absent), and a day due if you wish")?;
            let ids = papers
                .iter()
                .filter_map(|&at| Some(stack?.student(at).id.to_owned()));
            Ok(vec![Effect::Reissue(ids.collect(), due)])
        }
        Ask::Issue { line } => {
            // The day and the encoding stand behind the class in either order.
            let (text, last) = class_and_day(text);
            let is_class = |text: &str| model.course.classes.iter().any(|class| class == text);
            let (text, encoding) = match is_class(text) {
                true => (text, None),
                false => read_as(text)?,
            };
            let (class, first) = class_and_day(text);
            if first.is_some() && last.is_some() {
                return Err("expected one day due, found two".to_owned());
            }
            let class = chosen(&model.course.classes, class)?;
            let (line, due) = (Box::new(line.clone()), first.or(last));
            Ok(vec![Effect::Consider(line, class, due, encoding)])
        }
        // What no undo takes back is done by a plain yes alone.
        Ask::HandOut { .. } if !["", "y", "yes"].contains(&text.to_lowercase().as_str()) => Err(
            format!("expected nothing or `y`, found `{text}`; Esc hands nothing out"),
        ),
        Ask::HandOut { what } => Ok(vec![Effect::HandOut(Box::new(what.clone()))]),
        Ask::Export if text.is_empty() => Err("expected the name of a file".to_owned()),
        Ask::Export if text == "into" => {
            Err("expected `into` and the name of a gradebook, as in `into grades.csv`".to_owned())
        }
        Ask::Export => Ok(vec![match into(text) {
            Some(text) => Effect::Fill(Box::new(gradebook(text)?)),
            None => Effect::Export(text.to_owned()),
        }]),
        Ask::Import if text.is_empty() => Err("expected the name of a file".to_owned()),
        Ask::Import => {
            let (file, encoding) = read_as(text)?;
            Ok(vec![Effect::Preview(file.to_owned(), encoding)])
        }
    }
}

/// The gradebook that is meant, where `into` stands before it.
fn into(text: &str) -> Option<&str> {
    let file = text.strip_prefix("into ")?.trim();
    (!file.is_empty()).then_some(file)
}
