//! Why a text is not a unit, and how to say so.
//!
//! In: where in the text the reader came to grief, and over what. Out: place and words.

use super::Unit;
use super::reading::Forgiven;

/// Why a text is not a unit. Offsets are bytes in the text.
#[derive(Clone, Debug, PartialEq)]
pub enum UnitError {
    /// Nothing was there.
    Empty,
    /// A symbol or word that is no unit.
    Unknown {
        /// Offset of its start.
        start: usize,
        /// Offset of its end.
        end: usize,
    },
    /// Letters run together that can be taken apart in more than one way, or more than one
    /// solidus, or a product after a solidus.
    Ambiguous {
        /// The two readings.
        readings: Box<[Unit; 2]>,
    },
    /// A character that has no place there.
    Unexpected {
        /// Offset of the character.
        at: usize,
        /// What was expected.
        expected: &'static str,
    },
    /// A power that is no small whole number or fraction.
    Exponent {
        /// Offset of its start.
        at: usize,
    },
    /// More symbols, brackets, letters, or a larger or smaller factor than are taken.
    TooMuch,
    /// Understood, but not spelt as files spell it.
    Informal {
        /// What was understood.
        unit: Unit,
        /// What would have to be forgiven.
        forgiven: Forgiven,
    },
}

impl UnitError {
    pub(crate) fn ambiguous(first: Unit, second: Unit) -> Self {
        Self::Ambiguous {
            readings: Box::new([first, second]),
        }
    }

    /// Where in the text it is, in bytes; the whole text where no place is meant.
    pub fn place(&self, text: &str) -> (usize, usize) {
        match self {
            Self::Unknown { start, end } => (*start, *end),
            Self::Unexpected { at, .. } | Self::Exponent { at } => {
                let next = text.get(*at..).and_then(|rest| rest.chars().next());
                (*at, *at + next.map_or(0, char::len_utf8))
            }
            _ => (0, text.len()),
        }
    }

    /// The whole message: what was found, what was expected, what to do.
    pub fn message(&self, text: &str) -> String {
        let (start, end) = self.place(text);
        let found = text.get(start..end).unwrap_or("");
        let found = if found.is_empty() {
            "nothing".to_owned()
        } else {
            format!("`{found}`")
        };
        match self {
            Self::Empty => "expected a unit, found nothing".to_owned(),
            Self::Unknown { .. } => format!("expected a unit, found {found}, which is not one"),
            Self::Ambiguous { readings } => {
                let [first, second] = &**readings;
                format!("`{text}` can mean `{first}` or `{second}`; write the one that is meant")
            }
            Self::Unexpected { expected, .. } => format!("expected {expected}, found {found}"),
            Self::Exponent { .. } => {
                format!("expected a power such as 2, -1 or (1/2), found {found}")
            }
            Self::TooMuch => "expected a shorter unit of ordinary size".to_owned(),
            Self::Informal { unit, forgiven } => {
                format!("expected `{unit}`, found `{text}` ({forgiven})")
            }
        }
    }
}

impl std::fmt::Display for UnitError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.message("the text"))
    }
}

impl std::error::Error for UnitError {}
