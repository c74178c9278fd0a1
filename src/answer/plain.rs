//! The plainest entries, a numeral with or without a unit, read without looking further.
//!
//! In: a text without blanks at its ends. Out: what was written, or `None` for all else, readable
//! or not. Allocates nothing.

use arrayvec::ArrayString;

use crate::quantity::{Numeral, unit};
use crate::text::DecimalMark;

use super::reading::{AsConstant, Notes, Value, Written};
use super::scan::{is_blank, is_open, may_be_a_one};
use super::{Constant, Context};

/// The reading of a plain entry; `None` for all others, readable or not.
pub(super) fn plain(text: &str, context: &Context<'_>) -> Option<Written> {
    let (numeral, length) = match context.decimal {
        DecimalMark::Point => Numeral::scan(text).ok()?,
        DecimalMark::Comma => with_comma(text)?,
    };
    let rest = text[length..].trim_start();
    let value = Value::Numeral(numeral);
    if rest.is_empty() {
        return Some(Written {
            value,
            unit: None,
            also: None,
            notes: Notes::default(),
        });
    }
    if !rest.starts_with(|c: char| c.is_alphabetic() || matches!(c, '°' | '%')) {
        return None;
    }
    // `3 x10^4` is no unit, and to find that out takes longest.
    if rest.starts_with(['x', 'X']) {
        return None;
    }
    // A small l may be a 1, and what stands in brackets may be a note.
    if may_be_a_one(&text[length..]) || rest.contains(is_open) {
        return None;
    }
    if ends_in_name(rest, context.names) {
        return None;
    }
    let unit = unit::read(rest).ok()?;
    let also = as_constant(numeral.to_f64(), rest, context.constants);
    Some(Written {
        value,
        unit: Some(unit),
        also,
        notes: Notes::default(),
    })
}

/// A numeral at the start of a text with at most one comma and no point.
fn with_comma(text: &str) -> Option<(Numeral, usize)> {
    let number = |c: char| c.is_ascii_digit() || "+-.,eE".contains(c);
    let length = text.find(|c| !number(c)).unwrap_or(text.len());
    let mut copy = ArrayString::<64>::from(&text[..length]).ok()?;
    if copy.contains('.') {
        return None;
    }
    if let Some((before, after)) = text[..length].split_once(',') {
        copy.clear();
        copy.push_str(before);
        copy.push('.');
        copy.push_str(after);
    }
    let (numeral, length) = Numeral::scan(&copy).ok()?;
    (!text[length..].starts_with(',')).then_some((numeral, length))
}

/// What a value is worth if the unit behind it, or the start of it, is the name of a constant.
pub(super) fn as_constant(x: f64, unit: &str, constants: &[Constant<'_>]) -> Option<AsConstant> {
    constants.iter().find_map(|constant| {
        let rest = unit.strip_prefix(constant.name)?;
        let value = x * constant.unit.from_si(constant.value);
        if rest.is_empty() {
            return Some(AsConstant {
                value,
                unit: constant.unit,
            });
        }
        let left = unit::read(rest.strip_prefix(is_blank)?).ok()?;
        Some(AsConstant {
            value,
            unit: left.unit,
        })
    })
}

/// Whether a unit ends in a name such as `T2` that could pass for a symbol and its power.
pub(super) fn ends_in_name(unit: &str, names: &[&str]) -> bool {
    let word = unit.rsplit(is_blank).next().unwrap_or(unit);
    let indexed =
        word.starts_with(char::is_uppercase) && word.ends_with(|c: char| c.is_ascii_digit());
    indexed && names.contains(&word)
}
