//! What a student wrote for one part, understood.
//!
//! In: an entry, kept verbatim, and what may stand in it: the decimal mark of the class, the
//! fixed givens, the names of the assignment. Out: a [`Reading`]: the number with its figures as
//! written, the unit, and what was forgiven or set aside. Refused, with the reason, so that it
//! can be asked about: everything that could be read in two ways, or in none. Nothing is guessed,
//! and nothing here fails: an illegible entry is a reading too.
//!
//! The way of an entry: `plain` reads most of them; of the others `alternatives` takes "57.9 or
//! 31.6" apart, `label` takes off "a =", `piece` reads number, unit and note, `number` and
//! `power` the marks and powers of ten of a number, `expression` what was left to work out
//! (49/15, 2√3, 23g/67). `describe` puts a reading into words. Beside numbers, `choice` reads
//! words chosen, and `sheet` the files that entries come in.

mod alternatives;
pub mod choice;
mod describe;
mod expression;
mod label;
mod number;
mod piece;
mod plain;
mod power;
mod reading;
mod scan;
pub mod sheet;

use crate::quantity::Unit;
use crate::text::DecimalMark;

pub use choice::{Choice, choice, points};
pub use describe::describe;
pub use reading::{AsConstant, Evaluated, Kind, Notes, Reading, Unreadable, Value, Why, Written};

/// The longest entry that is read, in characters.
pub const LONGEST: usize = 200;

/// What may stand in an entry besides numbers and units.
#[derive(Clone, Copy, Debug)]
pub struct Context<'a> {
    /// The decimal mark of the class.
    pub decimal: DecimalMark,
    /// The givens that are the same for everyone, which an answer may be a multiple of.
    pub constants: &'a [Constant<'a>],
    /// Names of unknowns and givens; a leading "a =" says which of them is meant.
    pub names: &'a [&'a str],
}

/// A given that is the same for everyone, as g.
#[derive(Clone, Copy, Debug)]
pub struct Constant<'a> {
    /// The name, as in the assignment.
    pub name: &'a str,
    /// The value in coherent SI.
    pub value: f64,
    /// The unit it is given in.
    pub unit: Unit,
}

impl Context<'_> {
    /// Numbers and units alone, with the decimal mark of the class.
    pub const fn plain(decimal: DecimalMark) -> Self {
        Self {
            decimal,
            constants: &[],
            names: &[],
        }
    }
}

/// Reads an entry. A plain one, as `3.27 m/s^2`, allocates nothing.
pub fn read(entry: &str, context: &Context<'_>) -> Reading {
    let start = entry.len() - entry.trim_start_matches(scan::is_blank).len();
    let text = entry.trim_end_matches(scan::is_blank);
    let Some(written) = text.get(start..).filter(|text| !is_nothing(text)) else {
        return Reading::Blank;
    };
    // Bytes first: counting the characters of a line of 100 MB would take its time.
    if written.len() > 4 * LONGEST || written.chars().count() > LONGEST {
        return Reading::Unreadable(Unreadable::new(Why::TooLong, start, text.len()));
    }
    if written.chars().all(|c| c == '?') {
        return Reading::Unreadable(Unreadable::new(Why::MarkedSo, start, text.len()));
    }
    if let Some(written) = plain::plain(written, context) {
        return Reading::One(written);
    }
    alternatives::read(text, start, context).unwrap_or_else(Reading::Unreadable)
}

/// No answer: nothing at all, or a dash drawn in its place.
fn is_nothing(text: &str) -> bool {
    text.len() <= 9
        && text
            .chars()
            .all(|c| matches!(c, '-' | '–' | '—' | '−' | '―'))
}
