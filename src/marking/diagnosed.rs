//! Points for answers whose mistake is known.
//!
//! In: what the tests found of a paper, and for some of its wrong answers what a diagnosis made of them. Out:
//! the same with the share that the scheme gives for it. As with foreseen slips, none is given where the
//! match may be luck: the teacher looks first. The diagnosis itself comes later; here only its
//! chance of luck is known.

use rust_decimal::Decimal;

use crate::plan::Plan;

use super::settle::Found;
use super::slip::LOOK;
use super::{Reason, Verdict};

/// A wrong answer whose mistake was worked out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Diagnosed {
    /// Its place on the paper.
    pub part: usize,
    /// The chance that some mistake explains it by luck.
    pub chance: f64,
}

/// The share that the scheme gives for a mistake found in part `at` of the paper.
pub fn share(plan: &Plan, at: usize) -> Decimal {
    plan.part(at).rules.diagnosed_share
}

/// Gives wrong answers their share.
pub(super) fn credit(plan: &Plan, diagnosed: &[Diagnosed], found: &mut [Found]) {
    for &Diagnosed { part, chance } in diagnosed {
        let share = share(plan, part);
        let Some(outcome) = found.get_mut(part).and_then(Found::outcome_mut) else {
            continue;
        };
        if outcome.verdict != Verdict::Wrong || share <= Decimal::ZERO {
            continue;
        }
        let look = chance > LOOK;
        if look {
            outcome.look = true;
        } else {
            outcome.share = share;
        }
        outcome.because(Reason::MistakeFound { luck: chance, look });
    }
}
