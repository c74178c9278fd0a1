//! What a student may have carried on from each answer.
//!
//! In: answers under judgement. Out: for each the numbers that later work may start from: the
//! value as read; where the unit is at fault also as written, or the bare number; of a wrong sign
//! both; and the value that a "show that" prints. Where only a size is asked for, nothing says
//! which way it points: a right one points the way of the key, a wrong one either way, if the
//! problem can turn out either way or it was written with the other sign. Nothing is carried from
//! where no number stands.

use arrayvec::ArrayVec;

use crate::assignment::Sign;
use crate::plan::Problem;

use super::Verdict;
use super::constant::Constant;
use super::part::Answer;
use super::window::Stated;

/// Keys that differ by less than this share are the same: both come from the same equations.
const SAME_KEY: f64 = 1e-9;

/// What a student may have carried on from one answer.
#[derive(Clone, Debug, Default)]
pub(super) struct Carried {
    pub(super) values: ArrayVec<Stated, 6>,
    /// For each of them whether it is right, in the bits from the lowest up.
    right: u8,
    /// For each of them whether the other sign was written, in the bits from the lowest up.
    turned: u8,
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
    ) -> Carry {
        let mut carry: Carry = (0..problem.slots()).map(|_| Self::default()).collect();
        for answer in answers {
            carry[answer.plan.slot] = Self::of(answer, misread, constant);
        }
        carry
    }

    /// What may have been carried on from one answer.
    pub(super) fn of(
        answer: &Answer<'_>,
        misread: Option<&[f64]>,
        constant: Option<&Constant>,
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
        let is_turned = taken.is_some_and(|outcome| outcome.verdict == Verdict::WrongSign);
        let size_only = answer.rules().sign != Sign::Fixed;
        let first = taken.map_or(0, |outcome| outcome.candidate);
        let order = (first..answer.candidates.len()).chain(0..first);
        for at in order {
            let stated = answer.candidates[at].stated;
            let differs = stated.value * carried.right_by < 0.0;
            if is_right && at == first {
                let turned = size_only && differs;
                carried.add(if turned { stated.negated() } else { stated }, true);
                continue;
            }
            // Of a right answer the other readings count only where its unit was at fault.
            if is_right && !answer.candidates[first].unit.is_fault() {
                continue;
            }
            carried.add(stated, false);
            if is_turned || size_only && (differs || answer.plan.turns) {
                carried.turn(stated);
            }
        }
        if let Some(printed) = answer.asks.printed {
            carried.add(Stated::decimal(printed.numeral, &printed.unit), true);
        }
        carried
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

    /// Adds a value with the other sign than was written, if it is not there already.
    fn turn(&mut self, stated: Stated) {
        let turned = stated.negated();
        if self.place(turned).is_none() && self.values.try_push(turned).is_ok() {
            self.turned |= 1 << (self.values.len() - 1);
        }
    }

    /// Whether this value is right where the key is `key`.
    pub(super) fn is_right(&self, stated: Stated, key: f64) -> bool {
        let is_right = |at: usize| self.right >> at & 1 == 1;
        (self.right_by - key).abs() <= SAME_KEY * key.abs()
            && self.place(stated).is_some_and(is_right)
    }

    /// Whether this value has another sign than was written.
    pub(super) fn is_turned(&self, stated: Stated) -> bool {
        self.place(stated)
            .is_some_and(|at| self.turned >> at & 1 == 1)
    }

    fn place(&self, stated: Stated) -> Option<usize> {
        self.values.iter().position(|v| v.value == stated.value)
    }
}

/// The values carried, by slot; no values where there is no usable entry.
pub(super) type Carry = Vec<Carried>;
