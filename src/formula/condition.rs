//! Conditions compiled for speed.
//!
//! In: a condition's tree and what its names stand for. Out: a [`Judge`] that says whether it
//! holds for the values in some slots. Two sides that differ by less than [`ALIKE`] of the terms
//! they were summed from count as equal, so `>` and `<` are strict beyond the noise of floating
//! sums. Conditions on givens alone, where equality can be meant exactly, go through `exact`.

use std::cmp::Ordering;

use super::tape::{Meaning, Measure, SlotSet, Tape, TooLong};
use super::tree::{Comparison, Condition};

/// Sides that differ by less than this share of their terms are equal.
pub const ALIKE: f64 = 1e-12;

/// A compiled condition.
#[derive(Clone, Debug, PartialEq)]
pub enum Judge {
    /// Left minus right, compared with zero.
    Compare(Comparison, Tape),
    /// All of them hold.
    All(Vec<Judge>),
    /// At least one holds.
    Any(Vec<Judge>),
}

impl Judge {
    /// Compiles `condition`.
    ///
    /// # Errors
    /// [`TooLong`]
    pub fn of<'a>(
        condition: &'a Condition,
        meaning: &dyn Fn(&str) -> Option<Meaning<'a>>,
    ) -> Result<Self, TooLong> {
        let each = |parts: &'a [Condition]| -> Result<Vec<Self>, TooLong> {
            parts.iter().map(|part| Self::of(part, meaning)).collect()
        };
        Ok(match condition {
            Condition::Compare(comparison, left, right) => {
                let difference = Tape::difference(left, right, meaning, Measure::Si)?;
                Self::Compare(*comparison, difference)
            }
            Condition::All(parts) => Self::All(each(parts)?),
            Condition::Any(parts) => Self::Any(each(parts)?),
        })
    }

    /// Whether it holds. What is infinite or not a number satisfies nothing.
    pub fn holds(&self, slots: &[f64]) -> bool {
        match self {
            Self::Compare(comparison, difference) => {
                let (value, size) = difference.sized(slots);
                compare(*comparison, value, size)
            }
            Self::All(parts) => parts.iter().all(|part| part.holds(slots)),
            Self::Any(parts) => parts.iter().any(|part| part.holds(slots)),
        }
    }

    /// The slots it reads.
    pub fn uses(&self) -> SlotSet {
        match self {
            Self::Compare(_, difference) => difference.uses(),
            Self::All(parts) | Self::Any(parts) => parts
                .iter()
                .fold(SlotSet::default(), |set, part| set.or(part.uses())),
        }
    }
}

pub(super) fn compare(comparison: Comparison, difference: f64, size: f64) -> bool {
    if !difference.is_finite() {
        return false;
    }
    comparison.holds(if difference.abs() <= ALIKE * size {
        Ordering::Equal
    } else {
        difference.total_cmp(&0.0)
    })
}
