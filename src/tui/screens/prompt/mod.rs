//! One line asked for at the bottom: an adjustment, a misread number, where an entry goes, which
//! charge, who is absent, a file.
//!
//! In: what was typed. Out: acts, or what is to be done outside. Refused, in words and with what was
//! typed kept: what does not say enough. `read` understands what was typed, `view` draws.

mod read;
mod view;

use chrono::{DateTime, Utc};
use rust_decimal::Decimal;
use tui_input::Input;

use crate::record::{Adjustment, Charge, Deed, Keyed, Keying, Message, NewAct, paper_charges};
use crate::workflow::desk::course::Line;
use crate::workflow::desk::{HandOut, Stack, exchange};

use super::super::keys::Action;
use super::super::model::{Ask, Model, Place, Prompt, Waivable};
use super::super::update::{Effect, deeds, save};
use super::{find, paper};
pub(super) use read::points_of;
use read::{adjusted, again, attended, chosen, class_and_day, misread_as, target};
pub use view::{cursor, rows};

/// Asks, with a text to go on from.
fn ask(model: &mut Model, ask: Ask, text: String) {
    model.prompt = Some(Prompt {
        ask,
        offered: false,
        input: Input::new(text),
        fault: None,
    });
}

/// Asks, with a text that stands if nothing is typed and gives way to the first letter.
fn offer(model: &mut Model, asked: Ask, text: String) {
    ask(model, asked, text);
    if let Some(prompt) = &mut model.prompt {
        prompt.offered = true;
    }
}

/// Asks for the points of a part of a paper, and offers what was set there.
pub fn adjust(model: &mut Model, paper: usize, part: usize) {
    let set = model
        .stack
        .as_ref()
        .and_then(|stack| stack.set(paper, part));
    let text = set.map_or_else(String::new, as_typed);
    offer(model, Ask::Adjust { paper, part }, text);
}

/// The same, and where nothing was set offers what was set last for this part on another paper.
pub fn adjust_alike(model: &mut Model, paper: usize, part: usize) {
    let set = model.stack.as_ref().and_then(|stack| {
        let own = stack.set(paper, part);
        own.or_else(|| stack.set(stack.set_last(part)?, part))
    });
    let text = set.map_or_else(String::new, as_typed);
    offer(model, Ask::Adjust { paper, part }, text);
}

fn as_typed(set: &Adjustment) -> String {
    format!("{} {}", set.points.normalize(), set.note)
}

/// Asks who gets another paper.
pub fn reissue(model: &mut Model) {
    if let Some(&paper) = model.class.found.get(model.class.at) {
        ask(model, Ask::Reissue { paper }, String::new());
    }
}

/// Asks which class gets papers of the assignment chosen.
pub fn issue(model: &mut Model, line: Line) {
    // A day due is typed behind the class that is offered.
    let text = match line.class.as_str() {
        "" => String::new(),
        class => format!("{class} "),
    };
    ask(model, Ask::Issue { line }, text);
}

/// Shows what handing out would do.
pub fn hand_out(model: &mut Model, what: HandOut) {
    ask(model, Ask::HandOut { what }, String::new());
}

/// Asks for a misread number.
pub fn misread(model: &mut Model) {
    ask(model, Ask::Misread, String::new());
}

/// Shows what the student is told, to be put in other words.
pub fn tell(model: &mut Model) {
    let paper = model.paper.paper;
    let Some(stack) = &model.stack else {
        return;
    };
    let proposed = stack.words(paper);
    if proposed.is_empty() {
        model.say("no paper, no words: nothing is told");
        return;
    }
    let text = match &stack.papers()[paper].standing.message {
        None => proposed.clone(),
        Some(Message::Words(words)) => words.clone(),
        Some(Message::Withheld) => WITHHELD.to_owned(),
    };
    ask(model, Ask::Tell { paper, proposed }, text);
}

/// Typed to tell a student nothing.
const WITHHELD: &str = "-";

/// What was typed to be told, nothing for the program's own words.
fn message(text: &str, proposed: &str) -> Option<Message> {
    match text {
        "" => None,
        WITHHELD => Some(Message::Withheld),
        text if text == proposed => None,
        text => Some(Message::Words(text.to_owned())),
    }
}

/// Asks where the entry goes. Of a paper of which every number is another's it offers to move all.
pub fn r#move(model: &mut Model) {
    let part = model.paper.field;
    let asked = Ask::Move { part };
    match whole(model) {
        Some(id) => offer(model, asked, format!("{ALL} {id}")),
        None => ask(model, asked, String::new()),
    }
}

/// Typed before a name to move everything.
const ALL: &str = "all";

/// The student of whom every number on the paper is, where that may be told.
fn whole(model: &Model) -> Option<String> {
    let stack = model.stack.as_ref().filter(|_| !model.hides())?;
    let best = stack.papers().get(model.paper.paper)?.fits.first()?;
    best.is_whole
        .then(|| stack.student(best.paper).id.to_owned())
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
        ask(model, Ask::Attend { paper }, String::new());
    }
}

/// Asks where the marks go.
pub fn export(model: &mut Model) {
    let text = model.stack.as_ref().map_or_else(String::new, |stack| {
        format!("{}-{}-marks.csv", stack.plan().sheet.code, stack.class())
    });
    offer(model, Ask::Export, text);
}

/// Asks for a file of answers.
pub fn import(model: &mut Model) {
    ask(model, Ask::Import, String::new());
}

/// Lets the only charge of the part or the paper go, or asks which.
pub fn waive(model: &mut Model, now: DateTime<Utc>) -> Vec<Effect> {
    let Some(stack) = &model.stack else {
        return Vec::new();
    };
    let charges = charges(stack, model.paper.paper, model.paper.field);
    match charges.as_slice() {
        [] => {
            model.say(
                "nothing is charged for unit, figures, misread numbers, a constant or lateness",
            );
            Vec::new()
        }
        [one] => {
            let deed = waived(one, "");
            deeds(model, model.paper.paper, vec![deed], now)
        }
        _ => {
            ask(model, Ask::Waive { charges }, String::new());
            Vec::new()
        }
    }
}

fn waived(charge: &Waivable, note: &str) -> Deed {
    Deed::Waive {
        part: charge.part.clone(),
        charge: charge.charge,
        waived: !charge.waived,
        note: note.to_owned(),
    }
}

/// What is charged on a part of a paper and on the paper.
fn charges(stack: &Stack, paper: usize, part: usize) -> Vec<Waivable> {
    let on_desk = &stack.papers()[paper];
    let id = &stack.plan().parts[part].id;
    let mut charges = Vec::new();
    let mut push = |part: Option<&str>, charge: Charge, cost: Decimal| {
        if !cost.is_zero() {
            let words = charge.name();
            let words = part.map_or_else(|| words.to_owned(), |part| format!("({part}) {words}"));
            charges.push(Waivable {
                part: part.map(str::to_owned),
                charge,
                words: format!("{words} {}", cost.abs().normalize()),
                waived: on_desk.standing.is_waived(part, charge),
            });
        }
    };
    if let Some(mark) = on_desk.mark(part) {
        push(Some(id), Charge::Unit, mark.unit_cost);
        push(Some(id), Charge::Figures, mark.figures_cost);
    }
    // No charge takes more from a paper than all of them did.
    let most = on_desk.marked.paper_cost.abs();
    for (charge, cost) in paper_charges(stack.plan(), &on_desk.marked) {
        push(None, charge, cost.min(most));
    }
    push(None, Charge::Late, on_desk.marked.late);
    charges
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
                Ok(effects) => effects,
                Err(fault) => {
                    model.prompt = Some(Prompt {
                        fault: Some(fault),
                        ..prompt
                    });
                    vec![Effect::Ring]
                }
            }
        }
        _ => Vec::new(),
    }
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
                .and_then(|stack| again(stack, *paper, text))
                .ok_or("expected c (the student chosen) or a (all who are noted as absent), and a day due if you wish")?;
            let ids = papers
                .iter()
                .filter_map(|&at| Some(stack?.student(at).id.to_owned()));
            Ok(vec![Effect::Reissue(ids.collect(), due)])
        }
        Ask::Issue { line } => {
            let (class, due) = class_and_day(text);
            let class = chosen(&model.course.classes, class)?;
            Ok(vec![Effect::Consider(Box::new(line.clone()), class, due)])
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
            Some(file) => Effect::Fill(file.to_owned()),
            None => Effect::Export(text.to_owned()),
        }]),
        Ask::Import if text.is_empty() => Err("expected the name of a file".to_owned()),
        Ask::Import => Ok(vec![Effect::Preview(text.to_owned())]),
    }
}

/// The gradebook that is meant, where `into` stands before it.
fn into(text: &str) -> Option<&str> {
    let file = text.strip_prefix("into ")?.trim();
    (!file.is_empty()).then_some(file)
}

/// Moves an entry to a part of this paper or of another; what is keyed there comes back in exchange.
fn moved(
    model: &mut Model,
    from: usize,
    text: &str,
    now: DateTime<Utc>,
) -> Result<Vec<Effect>, String> {
    let Some(stack) = &model.stack else {
        return Err("no paper is open".to_owned());
    };
    let (paper, keying) = (model.paper.paper, model.keying);
    let (all, text) = match text.split_once(char::is_whitespace) {
        Some((ALL, who)) => (true, who.trim()),
        _ => (false, text),
    };
    let (to_paper, to) = target(stack, paper, from, text)?;
    if all && to_paper == paper {
        return Err("expected another paper to move everything to".to_owned());
    }
    if (to_paper, to) == (paper, from) {
        return Err("the entry stands there already".to_owned());
    }
    if stack.is_by_eye(to) {
        return Err("expected a part with an entry, found one judged by eye".to_owned());
    }
    let keyed = |paper: usize, part: usize| {
        let id = &stack.plan().parts[part].id;
        let standing = stack.papers()[paper].standing.get(id)?;
        match keying {
            Keying::First => standing.first.clone(),
            Keying::Second => standing.second.clone(),
        }
    };
    let act = |paper: usize, part: usize, keyed: Option<Keyed>| {
        let part = stack.plan().parts[part].id.clone();
        let deed = exchange::entry(part, keying, keyed);
        NewAct::new(now, stack.papers()[paper].issue.id, deed)
    };
    let exchanged = |from: usize, to: usize| {
        let (here, there) = (keyed(paper, from), keyed(to_paper, to));
        [act(to_paper, to, here), act(paper, from, there)]
    };
    if all {
        let new = stack.exchanged((paper, to_paper), keying, now);
        let (id, other) = (stack.student(paper).id, stack.student(to_paper).id);
        let words = format!(
            "all that was keyed for {id} and for {other} exchanged; charges let go and messages stay"
        );
        let effects = save(model, new, words.clone());
        paper::refresh(model);
        model.say(words);
        return Ok(effects);
    }
    let new = exchanged(from, to).to_vec();
    let (from_id, to_id) = (&stack.plan().parts[from].id, &stack.plan().parts[to].id);
    let words = if to_paper == paper {
        format!("{} ({from_id}) moved to ({to_id})", stack.student(paper).id)
    } else {
        let (id, other) = (stack.student(paper).id, stack.student(to_paper).id);
        format!("{id} ({from_id}) moved to {other} ({to_id})")
    };
    let effects = save(model, new, words.clone());
    paper::refresh(model);
    model.say(words);
    Ok(effects)
}
