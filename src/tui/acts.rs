//! Acts done on the desk: at once in the stack, and on their way into the record.
//!
//! In: deeds to a paper, acts, undo and redo. Out: the changed stack, and the acts to save.

use chrono::{DateTime, Utc};

use crate::record::{Deed, NewAct};
use crate::workflow::desk::Stack;

use super::event::Effect;
use super::model::{Model, Place, Waiting};
use super::screens::paper;
use super::told::{origin, told};

pub(super) fn undo(
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
