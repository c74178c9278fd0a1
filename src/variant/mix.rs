//! Which kind of draw a holder gets, where a file mixes several.
//!
//! In: the kinds of an assignment, and who draws. Out: the kind that is wanted; the kind of a draw. What is
//! wanted is a pure function of the holder and the issue: by a hash for a student, spread evenly over
//! versions. A draw is of the first kind whose condition holds, or of none. Refused: a condition that is
//! too long.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;

use super::hash::{Chances, Holder, Name};
use crate::assignment::{Assignment, Variants};
use crate::formula::exact::Strict;
use crate::formula::tape::{Meaning, TooLong};

/// Shares are counted in so many parts.
const WHOLE: u64 = 1_000_000_000;

/// Draws that meet `[require]` among which one of the wanted kind is looked for; then any will do, for the
/// kind may be used up.
pub(super) const TRIES: u32 = 500;

/// What is hashed for the kind; no given can be called so.
const NAME: &str = "kind of draw";

/// The kinds of an assignment.
#[derive(Clone, Debug)]
pub(super) struct Mix {
    name: Name,
    /// For each kind its condition, and where its share ends.
    kinds: Vec<(Strict, u64)>,
}

impl Mix {
    /// Prepares the kinds; the index of one that is too long otherwise.
    pub(super) fn of<'e>(
        assignment: &'e Assignment,
        meaning: &dyn Fn(&str) -> Option<Meaning<'e>>,
    ) -> Result<Self, (usize, TooLong)> {
        let mut end = Decimal::ZERO;
        let kinds = assignment.mix.iter().enumerate();
        let kinds = kinds.map(|(at, kind)| -> Result<_, (usize, TooLong)> {
            end += kind.of;
            let end = (end * Decimal::from(WHOLE)).to_u64().unwrap_or(WHOLE);
            let when = Strict::of(&kind.when, meaning).map_err(|cause| (at, cause))?;
            Ok((when, end))
        });
        Ok(Self {
            name: Name::new(NAME),
            kinds: kinds.collect::<Result<_, _>>()?,
        })
    }

    /// Whether any draw will do.
    pub(super) fn is_empty(&self) -> bool {
        self.kinds.is_empty()
    }

    /// The kind that a holder is to get; `None` for none of them. `chances` are those of their first try.
    pub(super) fn wanted(
        &self,
        holder: Holder<'_>,
        variants: Variants,
        chances: Chances,
    ) -> Option<usize> {
        let place = match (holder, variants) {
            (Holder::Version(version), Variants::Versions(count)) => {
                (2 * u64::from(version) + 1) * WHOLE / (2 * u64::from(count.max(1)))
            }
            _ => chances.index(&self.name, WHOLE),
        };
        self.kinds.iter().position(|(_, end)| place < *end)
    }

    /// The first kind whose condition holds.
    pub(super) fn kind(&self, holds: impl Fn(&Strict) -> bool) -> Option<usize> {
        self.kinds.iter().position(|(when, _)| holds(when))
    }
}
