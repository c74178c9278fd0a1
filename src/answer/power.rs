//! Powers of ten as people write them behind a number, or alone.
//!
//! In: a cursor. Out: the exponent, with the cursor behind it. Refused: `x10` and `x104`, whose
//! power is not marked as one.

use crate::quantity::exponent::{is_raised, raised_digit};

use super::reading::{Notes, Unreadable, Why};
use super::scan::{Scan, is_blank, is_times};

/// `10^4` or `10⁴` alone.
pub(super) fn bare_power(scan: &mut Scan<'_>) -> Option<i32> {
    let mut ahead = *scan;
    let ten = ahead.digit() == Some('1') && ahead.digit() == Some('0');
    let power = if ten {
        marked_exponent(&mut ahead)
    } else {
        None
    }?;
    *scan = ahead;
    Some(power)
}

/// Whether a point is followed by a power of ten, and so means "times".
pub(super) fn times_ten_at(scan: &Scan<'_>) -> bool {
    let mut ahead = *scan;
    ahead.bump();
    bare_power(&mut ahead).is_some()
}

/// Takes `e4`, `E 4`, `x10^4`, `·10⁴`, ` 10^4`, `x10-4`; `None` where no power follows.
pub(super) fn power(
    scan: &mut Scan<'_>,
    has_mark: bool,
    notes: &mut u32,
) -> Result<Option<i32>, Unreadable> {
    let mut ahead = *scan;
    let apart = ahead.blanks();
    if ahead.take(|c| matches!(c, 'e' | 'E')) {
        if ahead.rest().starts_with(is_blank) && scan.rest().trim_start().starts_with('E') {
            ahead.blanks();
        }
        let power = integer(&mut ahead);
        if power.is_some() {
            *scan = ahead;
        }
        return Ok(power);
    }
    let point = ahead.peek() == Some('.') && has_mark && times_ten_at(&ahead);
    let marked = point
        || ahead
            .peek()
            .is_some_and(|c| is_times(c) || is_letter_times(c));
    if marked {
        ahead.bump();
    }
    let blank = ahead.blanks();
    if !marked && !apart && !blank {
        return Ok(None);
    }
    let start = ahead.at;
    let mut ten = ahead;
    if ten.digit() != Some('1') || ten.digit() != Some('0') {
        return Ok(None);
    }
    if let Some(power) = marked_exponent(&mut ten) {
        if !marked || point {
            *notes |= Notes::LOOSE_POWER;
        }
        *scan = ten;
        return Ok(Some(power));
    }
    if !marked {
        return Ok(None);
    }
    if ten.peek() == Some('-')
        && let Some(power) = integer(&mut ten)
    {
        *notes |= Notes::LOOSE_POWER;
        *scan = ten;
        return Ok(Some(power));
    }
    Err(Unreadable::new(Why::LostPower, start, ten.end()))
}

/// The letters x and its like, as a multiplication sign before a power of ten.
fn is_letter_times(c: char) -> bool {
    matches!(c, 'x' | 'X' | 'х' | 'Х')
}

/// `^4`, `^(-4)`, `**4`, `⁴`.
pub(super) fn marked_exponent(scan: &mut Scan<'_>) -> Option<i32> {
    let mut ahead = *scan;
    if ahead.rest().starts_with(is_raised) {
        let power = raised_integer(&mut ahead)?;
        *scan = ahead;
        return Some(power);
    }
    ahead.blanks();
    let caret = ["^", "**"]
        .into_iter()
        .find(|caret| ahead.rest().starts_with(caret))?;
    ahead.at += caret.len();
    ahead.blanks();
    if ahead.rest().starts_with(is_raised) {
        let power = raised_integer(&mut ahead)?;
        *scan = ahead;
        return Some(power);
    }
    let close = match ahead.peek() {
        Some('(') => Some(')'),
        Some('{') => Some('}'),
        _ => None,
    };
    if close.is_some() {
        ahead.bump();
        ahead.blanks();
    }
    let power = integer(&mut ahead)?;
    if let Some(close) = close {
        ahead.blanks();
        ahead.take(|c| c == close).then_some(())?;
    }
    *scan = ahead;
    Some(power)
}

/// A whole number with its sign; one too large for any use is taken as the largest.
fn integer(scan: &mut Scan<'_>) -> Option<i32> {
    let mut ahead = *scan;
    let negative = ahead.take(|c| c == '-');
    if negative || ahead.take(|c| c == '+') {
        ahead.blanks();
    }
    let mut value = None;
    while let Some(digit) = ahead.digit().and_then(|c| c.to_digit(10)) {
        value = Some(
            value
                .unwrap_or(0i32)
                .saturating_mul(10)
                .saturating_add(digit as i32),
        );
    }
    let value = value?;
    *scan = ahead;
    Some(if negative { -value } else { value })
}

fn raised_integer(scan: &mut Scan<'_>) -> Option<i32> {
    let negative = scan.take(|c| c == '⁻');
    if !negative {
        scan.take(|c| c == '⁺');
    }
    let mut value = None;
    while let Some(digit) = scan.peek().and_then(raised_digit) {
        value = Some(
            value
                .unwrap_or(0i32)
                .saturating_mul(10)
                .saturating_add(digit),
        );
        scan.bump();
    }
    value.map(|value| if negative { -value } else { value })
}
