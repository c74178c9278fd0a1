//! A unit with what was forgiven in its spelling: what the readers give, and its words.

use std::fmt;

use super::Unit;

/// A unit with what was forgiven in its spelling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnitReading {
    /// The unit.
    pub unit: Unit,
    /// What was not quite proper about it.
    pub forgiven: Option<Forgiven>,
}

/// What was forgiven in the spelling of a unit; at least one thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Forgiven(u8);

impl Forgiven {
    /// The unit in words: `newton`, `metres per second`.
    pub const WORDS: Self = Self(1);
    /// A letter in the wrong case where no other unit has it: `Kg`.
    pub const CASE: Self = Self(2);
    /// A plain misspelling: `sec`, `kmh`.
    pub const SPELLING: Self = Self(4);
    /// Symbols with nothing between them: `kgm`.
    pub const RUN_TOGETHER: Self = Self(8);
    /// A second solidus with the same symbol: `m/s/s`.
    pub const SECOND_SOLIDUS: Self = Self(16);

    /// Whether this holds all that `other` holds.
    pub fn contains(self, other: Self) -> bool {
        self.0 & other.0 == other.0
    }

    /// Both together.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Whether files may write it so: symbols run together are plain enough.
    pub(crate) fn is_proper(self) -> bool {
        self == Self::RUN_TOGETHER
    }
}

/// `unit in words`, `capital or small letter`; several apart by commas.
impl fmt::Display for Forgiven {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let kinds = [
            (Self::WORDS, "unit in words"),
            (Self::CASE, "capital or small letter"),
            (Self::SPELLING, "spelling of the unit"),
            (Self::RUN_TOGETHER, "symbols run together"),
            (Self::SECOND_SOLIDUS, "two slashes"),
        ];
        let mut first = true;
        for (_, words) in kinds.into_iter().filter(|&(kind, _)| self.contains(kind)) {
            f.write_str(if first { "" } else { ", " })?;
            f.write_str(words)?;
            first = false;
        }
        Ok(())
    }
}
