//! What a student may have carried on from each answer.
//!
//! In: answers under judgement. Out: for each the numbers that later work may start from: the
//! value as read; where the unit is at fault also as written, or the bare number; of a wrong sign
//! both; and the value that a "show that" prints. Where only a size is asked for, a right one
//! points the way of the key; of wrong ones nothing says it, so that two ways are tried over the
//! whole problem. Nothing is carried from where no number stands.

use arrayvec::ArrayVec;

use crate::plan::Problem;
use crate::quantity::NOISE;

use super::Verdict;
use super::answer::{Answer, Candidate};
use super::constant::Constant;
use super::window::Stated;

/// Which way wrong answers point where only their sizes are asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Pointing {
    /// As they are written.
    Written,
    /// The other way.
    Turned,
}

/// Whether of some answers nothing says which way they point.
pub(super) fn may_turn(answers: &[Answer<'_>]) -> bool {
    answers.iter().any(turns)
}

/// Whether an answer is wrong, its size alone is asked for, and the problem can turn out either way
/// or it was written with another sign than the key's.
fn turns(answer: &Answer<'_>) -> bool {
    let differs = |c: &Candidate| c.stated.value * answer.key < 0.0;
    answer.size_only()
        && !answer.is_right()
        && !answer.candidates.is_empty()
        && (answer.plan.turns || answer.candidates.iter().any(differs))
}

/// What a student may have carried on from one answer.
#[derive(Clone, Debug, Default)]
pub(super) struct Carried {
    pub(super) values: ArrayVec<Stated, 6>,
    /// For each of them whether it is right, in the bits from the lowest up.
    right: u8,
    /// The key it is right by: on the numbers given, on misread ones, or with another constant.
    right_by: f64,
}

impl Carried {
    /// The value carried on first, if it is not right.
    pub(super) fn wrong(&self) -> Option<&Stated> {
        self.values.first().filter(|_| self.right & 1 == 0)
    }

    /// What may have been carried on from each answer of a problem. `misread` and `constant` are
    /// what some of them are right by.
    pub(super) fn all(
        problem: &Problem,
        answers: &[Answer<'_>],
        misread: Option<&[f64]>,
        constant: Option<&Constant>,
        way: Pointing,
    ) -> Carry {
        let mut carry: Carry = (0..problem.slots()).map(|_| Self::default()).collect();
        for answer in answers {
            carry[answer.plan.slot] = Self::of(answer, misread, constant, way);
        }
        carry
    }

    /// What may have been carried on from one answer.
    pub(super) fn of(
        answer: &Answer<'_>,
        misread: Option<&[f64]>,
        constant: Option<&Constant>,
        way: Pointing,
    ) -> Self {
        let taken = answer.outcome.as_ref();
        let is_right = answer.is_right();
        let slots = match taken.map(|outcome| outcome.verdict) {
            Some(Verdict::RightMisread) => misread,
            Some(Verdict::RightOtherConstant) => constant.map(|found| &found.slots[..]),
            _ => None,
        };
        let mut carried = Self {
            right_by: slots.map_or(answer.key, |slots| slots[answer.plan.slot]),
            ..Self::default()
        };
        let is_wrong_sign = taken.is_some_and(|outcome| outcome.verdict == Verdict::WrongSign);
        let size_only = answer.size_only();
        let first = taken.map_or(0, |outcome| outcome.candidate);
        let order = (first..answer.candidates.len()).chain(0..first);
        for at in order {
            let stated = answer.candidates[at].stated;
            if is_right && at == first {
                let turned = size_only && stated.value * carried.right_by < 0.0;
                carried.add(if turned { stated.negated() } else { stated }, true);
                continue;
            }
            // Of a right answer the other readings count only where its unit was at fault.
            if is_right && !answer.candidates[first].unit.is_fault() {
                continue;
            }
            if way == Pointing::Written || is_wrong_sign || !turns(answer) {
                carried.add(stated, false);
            }
            if way == Pointing::Turned && turns(answer) || is_wrong_sign {
                carried.add(stated.negated(), false);
            }
        }
        if let Some(printed) = answer.asks.printed {
            carried.add(Stated::decimal(printed.numeral, &printed.unit), true);
        }
        carried
    }

    /// Turns all values to the sign of `end`: the answer was found to follow, and points that way.
    pub(super) fn point(&mut self, end: f64) {
        for stated in &mut self.values {
            if stated.value * end < 0.0 {
                *stated = stated.negated();
            }
        }
    }

    /// Whether it was carried on with the sign of `end`.
    pub(super) fn points(&self, end: f64) -> bool {
        let first = self.values.first();
        first.is_none_or(|stated| stated.value * end >= 0.0)
    }

    /// Adds a value, while there is room for it.
    fn add(&mut self, stated: Stated, is_right: bool) {
        let known = self.place(stated);
        let at = known.unwrap_or(self.values.len());
        if known.is_none() && self.values.try_push(stated).is_err() {
            return;
        }
        self.right |= u8::from(is_right) << at;
    }

    /// Whether this value is right where the key is `key`.
    pub(super) fn is_right(&self, stated: Stated, key: f64) -> bool {
        let is_right = |at: usize| self.right >> at & 1 == 1;
        (self.right_by - key).abs() <= NOISE * key.abs() && self.place(stated).is_some_and(is_right)
    }

    fn place(&self, stated: Stated) -> Option<usize> {
        self.values.iter().position(|v| v.value == stated.value)
    }
}

/// The values carried, by slot; no values where there is no usable entry.
pub(super) type Carry = Vec<Carried>;
