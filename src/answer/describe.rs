//! A reading in words, for the person who keyed it and for the reckoning.
//!
//! In: the entry and its reading. Out: a line such as `3.27, 3 figures, m/s²; forgiven: two
//! solidi`, or what could not be read, why, and what to do.

use std::fmt::Write;

use crate::quantity::numeral::MOST_DIGITS;
use crate::quantity::{Figures, Numeral, numeral_of, unit};
use crate::text::safe;

use super::LONGEST;
use super::alternatives::MOST;
use super::expression::DEEPEST;
use super::reading::{Kind, Reading, Unreadable, Value, Why, Written};
use super::scan::is_blank;

/// The reading of an entry in words; what is quoted from the entry is safe to show.
pub fn describe(entry: &str, reading: &Reading) -> String {
    match reading {
        Reading::Blank => "blank".to_owned(),
        Reading::Unreadable(unreadable) => unreadable.message(entry),
        Reading::One(written) => one(entry, written),
        Reading::Several(answers) => {
            let all: Vec<String> = answers.iter().map(|written| one(entry, written)).collect();
            format!("{} answers: {}", all.len(), all.join(" | "))
        }
    }
}

fn one(entry: &str, written: &Written) -> String {
    let mut text = value(&written.value);
    match written.unit {
        Some(reading) => {
            let _ = write!(text, ", {}", reading.unit);
        }
        None => text.push_str(", no unit"),
    }
    if let Some(also) = written.also {
        let _ = write!(text, "; or {} {}", short(also.value), also.unit);
    }
    if let Some(forgiven) = written.unit.and_then(|reading| reading.forgiven) {
        let _ = write!(text, "; forgiven: {forgiven}");
    }
    for (index, words) in written.notes.words().enumerate() {
        let _ = write!(
            text,
            "{} {words}",
            if index == 0 { "; noted:" } else { "," }
        );
    }
    if let Some((start, end)) = written.notes.bracket {
        let note = entry
            .get(usize::from(start)..usize::from(end))
            .unwrap_or("");
        let _ = write!(text, " {}", safe(note));
    }
    text
}

fn value(value: &Value) -> String {
    match value {
        Value::Numeral(numeral) => counted(numeral),
        Value::Ambiguous { thousands, decimal } => {
            format!("{} or {}", counted(thousands), counted(decimal))
        }
        Value::Evaluated(evaluated) => {
            let kind = match evaluated.kind {
                Kind::Fraction => "a fraction",
                Kind::Mixed => "a mixed number",
                Kind::Pi => "a multiple of π",
                Kind::Surd => "a root",
                Kind::Constant => "a multiple of a constant",
            };
            let exact = if evaluated.exact {
                ""
            } else {
                " with decimals"
            };
            format!("{}, {kind}{exact}", short(evaluated.value))
        }
    }
}

fn counted(numeral: &Numeral) -> String {
    let Figures { least, most } = numeral.figures();
    let figures = match (least, most) {
        (1, 1) => "1 figure".to_owned(),
        (least, most) if least == most => format!("{most} figures"),
        (least, most) => format!("{least} to {most} figures"),
    };
    format!("{}, {figures}", numeral.pretty())
}

/// Whether something stands apart behind a unit: `ft 2 in`, `N T1`.
fn begins_with_unit(text: &str) -> bool {
    let first = text.split_once(is_blank);
    first.is_some_and(|(first, _)| unit::read(first).is_ok())
}

/// A worked-out value to six figures, without zeros at the end.
fn short(x: f64) -> String {
    let text = numeral_of(x, 6).map_or_else(|| x.to_string(), |numeral| numeral.pretty());
    match text.split_once('×') {
        None if text.contains('.') => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        _ => text,
    }
}

impl Unreadable {
    /// The part of the entry in question.
    pub fn found<'a>(&self, entry: &'a str) -> &'a str {
        entry
            .get(usize::from(self.start)..usize::from(self.end))
            .unwrap_or("")
            .trim_matches(is_blank)
    }

    /// What was found, what was expected, what to do; safe to show.
    pub fn message(&self, entry: &str) -> String {
        let found = match self.found(entry) {
            "" => "nothing".to_owned(),
            text => format!("`{}`", safe(text)),
        };
        let words = match self.why {
            Why::MarkedSo => "marked as unreadable; look at the paper".to_owned(),
            Why::TooLong => {
                format!("expected an answer of at most {LONGEST} characters, found a longer one")
            }
            Why::NoNumber => format!("expected a number, found {found}"),
            Why::Marks => {
                format!("expected a number, found {found}; check points, commas and blanks")
            }
            Why::TwoNumbers => {
                format!(
                    "expected a unit or the end, found another number at {found}; write `or` between two answers"
                )
            }
            Why::CommaAndBlank => {
                format!(
                    "a comma with a blank beside it, {found}, can be a decimal mark or stand between two answers; write `or` between answers"
                )
            }
            Why::NumberInBrackets => {
                format!(
                    "expected a note in brackets, found a second answer, {found}; write `or` between two answers"
                )
            }
            Why::OutOfRange => {
                format!("expected a number between 1e-307 and 1e308, found {found}")
            }
            Why::TooManyDigits => format!("expected at most {MOST_DIGITS} digits, found more"),
            Why::MixedDigits => "expected digits of one script, found two".to_owned(),
            Why::LostPower => {
                format!("expected a power of ten such as 10^4, found {found}; write the ^")
            }
            Why::PointOrTimes => {
                format!(
                    "the point in {found} can be a decimal point or mean times; write 3x10^4 or 3.10e4"
                )
            }
            Why::BothSigns => format!("expected one sign, found both in {found}"),
            Why::TwoSigns => format!("expected one sign, found two in {found}"),
            Why::Inequality => format!("expected a number, found a bound, {found}"),
            Why::AmbiguousQuotient => {
                format!(
                    "what is divided by what at {found} can be read in two ways; write brackets"
                )
            }
            Why::AmbiguousRoot if self.found(entry).is_empty() => {
                "expected a number behind the root, found nothing".to_owned()
            }
            Why::AmbiguousRoot => format!("the root before {found} needs brackets"),
            Why::AmbiguousNumber => format!("{found} can be read in two ways; write it out"),
            Why::NotWorkedOut => {
                format!(
                    "expected a number, a fraction, a root or a multiple of π, found {found}, not worked out"
                )
            }
            Why::MixedSum => {
                "expected terms of one kind in the sum, found different ones".to_owned()
            }
            Why::Undefined => {
                "expected a number, found a division by zero or the root of a negative number"
                    .to_owned()
            }
            Why::Brackets => "expected matching brackets".to_owned(),
            Why::TooDeep => format!("expected brackets at most {DEEPEST} deep, found more"),
            Why::Equals => {
                format!("expected a number on the right of the equals sign, found {found}")
            }
            Why::LetterOrDigit => {
                "the l right behind the digits can be a litre or a 1; write L or 1".to_owned()
            }
            Why::UnknownUnit => {
                format!("expected a unit, found {found}; a note goes in brackets")
            }
            Why::AmbiguousUnit => return self.unit_message(entry, &found),
            Why::NotAUnit if begins_with_unit(self.found(entry)) => {
                format!("expected one number with one unit, found {found}; a note goes in brackets")
            }
            Why::NotAUnit => format!("expected a unit or the end, found {found}"),
            Why::TwoUnits => format!("expected one unit, found another at {found}"),
            Why::TooMany => format!("expected at most {MOST} answers, found more"),
        };
        format!("not read: {words}")
    }

    /// Both readings of the unit.
    fn unit_message(&self, entry: &str, found: &str) -> String {
        match crate::quantity::unit::read(self.found(entry)) {
            Err(error) => {
                let message = error.message(self.found(entry));
                format!("not read: {}", safe(&message))
            }
            Ok(_) => format!("not read: expected a unit, found {found}"),
        }
    }
}
