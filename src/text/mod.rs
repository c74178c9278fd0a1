//! Foreign text made safe to draw, print or log, and how wide it then is.
//!
//! In goes any text that came from a file or a keyboard: a name, an entry, a file name, a line of
//! an assignment. Out comes text that cannot move the cursor, turn the reading direction, hide
//! itself or pile up on other lines. Nothing is refused and nothing is dropped: what was harmful is
//! *shown*, so that "A⇥B" and "AB" never look the same. The original stays what is stored and
//! exported.
//!
//! The danger is CWE-150 (escape sequences reaching a terminal). Rules for spreadsheets and for typesetting live
//! with their writers.

mod counted;
mod date;
mod fit;
mod folded;
mod greek;
mod json;
mod points;
mod safe;
#[cfg(test)]
mod tests;

use std::borrow::Cow;

pub use counted::counted;
pub use date::{date, is_dated, no_date};
pub use fit::{COLUMNS, QUOTED, excerpt, floor_boundary, opening, padded, quoted, width, wrapped};
pub use folded::{folded, words};
pub use greek::{greek_letter, greek_name, greek_prefix};
pub use json::{json_line, push_json};
pub use points::points;
pub use safe::{is_hidden, safe};

/// Which character separates whole and fraction in what a student wrote.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum DecimalMark {
    /// `3.27`
    #[default]
    Point,
    /// `3,27`
    Comma,
}

impl DecimalMark {
    /// The mark itself.
    pub fn character(self) -> char {
        match self {
            Self::Point => '.',
            Self::Comma => ',',
        }
    }

    /// In a word, as files have it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Point => "point",
            Self::Comma => "comma",
        }
    }

    /// A number that is written with a point, with this mark.
    pub fn written(self, number: &str) -> Cow<'_, str> {
        match self {
            Self::Point => Cow::Borrowed(number),
            Self::Comma => Cow::Owned(number.replace('.', ",")),
        }
    }
}
