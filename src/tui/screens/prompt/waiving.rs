//! Letting charges go: for unit and figures of a part, for misread numbers, a constant, lateness.
//!
//! In: the part of a paper one is at. Out: the only charge there is let go, or there is asked which.

use chrono::{DateTime, Utc};

use crate::record::{Deed, charged};
use crate::workflow::desk::Stack;

use super::super::super::acts::deeds;
use super::super::super::event::Effect;
use super::super::super::model::Model;
use super::super::judged;
use super::ask::{Ask, Waivable};

/// Lets the only charge of the part or the paper go, or asks which.
pub fn waive(model: &mut Model, now: DateTime<Utc>) -> Vec<Effect> {
    let Some(stack) = &model.stack else {
        return Vec::new();
    };
    let charges = charges(stack, model.paper.paper, model.paper.field);
    match charges.as_slice() {
        [] => {
            let (paper, part) = (&stack.papers()[model.paper.paper], model.paper.field);
            let elsewhere = judged::counted_elsewhere(stack.plan(), paper, part);
            model.say(elsewhere.map_or_else(
                || {
                    "nothing is charged for unit, figures, misread numbers, a constant or lateness"
                        .to_owned()
                },
                |words| format!("nothing is charged here: {words}"),
            ));
            Vec::new()
        }
        [one] => {
            let deed = waived(one, "");
            deeds(model, model.paper.paper, vec![deed], now)
        }
        _ => {
            model.ask(Ask::Waive { charges }, String::new());
            Vec::new()
        }
    }
}

pub(super) fn waived(charge: &Waivable, note: &str) -> Deed {
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
    for (at, id) in [(Some(part), Some(id.as_str())), (None, None)] {
        for (charge, cost) in charged(stack.plan(), &on_desk.marked, at) {
            let words = charge.name();
            let words = id.map_or_else(|| words.to_owned(), |id| format!("({id}) {words}"));
            charges.push(Waivable {
                part: id.map(str::to_owned),
                charge,
                words: format!("{words} {}", cost.abs().normalize()),
                waived: on_desk.standing.is_waived(id, charge),
            });
        }
    }
    charges
}
