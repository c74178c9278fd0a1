//! What was typed into a field is kept, and the way on from there.
//!
//! In: the field one is at, what stands in it. Out: acts; the next field, then points for the working that are
//! open, then how the paper stands and the next one. Points that cannot be are not kept, and told.

use chrono::{DateTime, Utc};

use crate::record::{Deed, Keying};
use crate::workflow::desk::{Progress, Stack};

use super::super::super::acts::deeds;
use super::super::super::event::Effect;
use super::super::super::model::{Model, Tone};
use super::to_do::{open_working, still_open};
use super::{Column, enter, leave, to_open_working};

/// Keeps what was typed and goes on.
pub(super) fn keep(model: &mut Model, now: DateTime<Utc>, with_unit: bool) -> Vec<Effect> {
    match keep_here(model, now, with_unit) {
        Ok(mut effects) => {
            effects.extend(next(model));
            effects
        }
        Err(effects) => effects,
    }
}

/// Keeps what was typed; points that cannot be are not kept, and told.
pub(super) fn keep_here(
    model: &mut Model,
    now: DateTime<Utc>,
    with_unit: bool,
) -> Result<Vec<Effect>, Vec<Effect>> {
    let Some(stack) = &model.stack else {
        return Ok(Vec::new());
    };
    let state = &model.paper;
    let (paper, field) = (state.paper, state.field);
    let part = stack.plan().parts[field].id.clone();
    let by_eye = state.column == Column::Working || stack.is_by_eye(field);
    let mut text = state.input.value().to_owned();
    let mut effects = Vec::new();
    if by_eye {
        let most = stack.most_by_eye(field);
        match crate::answer::points(&text, most) {
            Ok(points) => {
                let standing = stack.papers()[paper].standing.working(&part);
                if points != standing {
                    effects = deeds(model, paper, vec![Deed::Working { part, points }], now);
                }
            }
            Err(_) => {
                model.paper.fresh = true;
                model.tell(
                    Tone::Look,
                    format!("({part}) expected whole points from 0 to {most}, found `{text}`"),
                );
                return Err(vec![Effect::Ring]);
            }
        }
    } else {
        if with_unit && let Some(unit) = stack.unit(field) {
            text = format!("{} {unit}", text.trim_end());
        }
        let standing = stack.papers()[paper].standing.get(&part);
        let stands = standing.and_then(|part| match model.keying {
            Keying::First => part.first.as_ref(),
            Keying::Second => part.second.as_ref(),
        });
        let is_new = stands.is_none_or(|keyed| keyed.as_entry() != text);
        let unreadable = stack.understood(paper, field, &text).is_unreadable;
        if is_new {
            let keying = model.keying;
            let deed = Deed::Entry {
                part: part.clone(),
                keying,
                text,
            };
            effects = deeds(model, paper, vec![deed], now);
        }
        let differs = |stack: &Stack| stack.differs(paper, field);
        if model.keying == Keying::Second && model.stack.as_ref().is_some_and(differs) {
            model.tell(
                Tone::Look,
                format!(
                    "({part}) was keyed otherwise the first time: look at the paper again; ↑ to \
                     mend this keying, ^K to see the first"
                ),
            );
            effects.push(Effect::Ring);
        } else if unreadable && is_new {
            model.tell(
                Tone::Look,
                format!("({part}) cannot be read as typed; ↑ goes back to it"),
            );
            effects.push(Effect::Ring);
        } else {
            model.say("");
        }
    }
    Ok(effects)
}

/// To the next field; after the last one to points that are still open, then to the next paper.
pub(super) fn next(model: &mut Model) -> Vec<Effect> {
    let Some(stack) = &model.stack else {
        return Vec::new();
    };
    let state = &model.paper;
    let last = state.field + 1 == stack.plan().parts.len();
    if state.column == Column::Entry && !last && !state.closing {
        // What is judged by eye is keyed once.
        let twice = |part: &usize| model.keying == Keying::First || !stack.is_by_eye(*part);
        let mut after = state.field + 1..stack.plan().parts.len();
        if let Some(field) = after.find(twice) {
            enter(model, field, Column::Entry);
            return Vec::new();
        }
    }
    let after = match (state.column, state.closing) {
        (Column::Working, true) => state.field + 1,
        (Column::Working, false) if !last => {
            enter(model, state.field + 1, Column::Entry);
            return Vec::new();
        }
        _ => 0,
    };
    let open = (!model.hides())
        .then(|| open_working(stack, state.paper, after))
        .flatten();
    if let Some(field) = open {
        let ring = !model.paper.closing;
        to_open_working(model, field);
        return if ring { vec![Effect::Ring] } else { Vec::new() };
    }
    close(model);
    Vec::new()
}

/// The paper is through: says how it stands and looks for the next.
fn close(model: &mut Model) {
    let at = model.paper.paper;
    let hides = model.hides();
    let text = model.stack.as_ref().map_or_else(String::new, |stack| {
        let paper = &stack.papers()[at];
        let id = stack.student(at).id;
        match paper.progress(stack.plan()) {
            _ if model.keying == Keying::Second => format!("{id}: {}", stack.twice(at).name()),
            Progress::Begun => format!("{id} is keyed in part: {}", still_open(stack, at)),
            _ if hides => format!("{id} is keyed"),
            progress => format!(
                "{id} is {}: {} of {}",
                if progress == Progress::Look {
                    "keyed and needs a look"
                } else {
                    progress.name()
                },
                paper.points.total.normalize(),
                paper.points.out_of.normalize()
            ),
        }
    });
    leave(model);
    model.say(text);
}
