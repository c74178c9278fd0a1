//! One answer: number, unit, note.
//!
//! In: the text of one answer, without label. Out: what was written. Refused: two numbers, a
//! number in brackets behind the answer, what is no unit.
//!
//! ```text
//! piece  = [about] [sign] (number ["±" number ["%"]] | expression) tail
//! tail   = [unit | "(" unit ")"] ["(" note ")"] ["."]
//! ```

use crate::quantity::{Unit, UnitError, UnitReading, unit};

use super::Context;
use super::expression::expression;
use super::number::{number, raise};
use super::plain::{as_constant, ends_in_name};
use super::reading::{Notes, Unreadable, Value, Why, Written};
use super::scan::{Scan, closing, is_blank, is_close, is_open, is_times, may_be_a_one, opening};

/// The value as it goes with what follows it.
struct Found {
    value: Value,
    /// The unit that constants brought.
    unit: Unit,
    notes: u32,
}

/// Reads one answer that ends where the cursor's text ends.
pub(super) fn piece(mut scan: Scan<'_>, context: &Context<'_>) -> Result<Written, Unreadable> {
    let mut notes = about(&mut scan);
    let start = scan.at;
    let first = match scan.peek() {
        None => return Err(scan.fault(Why::NoNumber)),
        Some('±') => return Err(scan.fault(Why::BothSigns)),
        Some('<' | '>' | '≤' | '≥' | '≪' | '≫') => return Err(scan.fault(Why::Inequality)),
        Some(c) => c,
    };
    if first == '+' && matches!(scan.rest().get(1..2), Some("/" | "-")) {
        return Err(scan.fault(Why::BothSigns));
    }
    let direct = direct(scan, context);
    let fault = match direct {
        Ok(mut written) => {
            written.notes.note(notes);
            return Ok(written);
        }
        Err(fault) => fault,
    };
    scan.at = start;
    scan.take(|c| c == '+');
    let worked_out = expression(&mut scan, context).and_then(|outcome| {
        notes |= outcome.all_notes();
        let value = Value::Evaluated(outcome.evaluated);
        tail(
            scan,
            Found {
                value,
                unit: outcome.unit,
                notes,
            },
            context,
        )
    });
    // Of two reasons, the one that came further.
    worked_out.map_err(|other| {
        let further = other.start > fault.start || other.why == Why::NotWorkedOut;
        let fault = if further { other } else { fault };
        let mut all = scan;
        all.at = start;
        if fault.why == Why::TwoSigns || has_two_signs(all) {
            return all.fault(Why::TwoSigns);
        }
        fault
    })
}

/// `--3`, `- +3`.
fn has_two_signs(mut scan: Scan<'_>) -> bool {
    let mut sign = || {
        scan.blanks();
        scan.take(|c| c == '-' || c == '+')
    };
    sign() && sign()
}

/// Takes off `~`, `≈`, "about".
fn about(scan: &mut Scan<'_>) -> u32 {
    scan.blanks();
    let mut found = scan.take(|c| matches!(c, '~' | '≈' | '∼' | '≃' | '≅' | '～'));
    const WORDS: [&str; 7] = [
        "about",
        "approx",
        "approximately",
        "around",
        "roughly",
        "ca",
        "circa",
    ];
    let letters = scan.letters();
    if !found && WORDS.iter().any(|word| word.eq_ignore_ascii_case(letters)) {
        scan.at += letters.len();
        scan.take(|c| c == '.');
        found = true;
    }
    scan.blanks();
    if found { Notes::APPROXIMATE } else { 0 }
}

/// A number, with its uncertainty and what follows.
fn direct(mut scan: Scan<'_>, context: &Context<'_>) -> Result<Written, Unreadable> {
    let negative = scan.take(|c| c == '-');
    if !negative {
        scan.take(|c| c == '+');
    }
    scan.blanks();
    // A whole number in brackets, or with its uncertainty: `(3.2 ± 0.1) m`.
    if scan.peek() == Some('(')
        && let Some((end, after)) = closing(scan.rest())
    {
        let inside = Scan::new(&scan.text()[..scan.at + end], scan.at, scan.mark);
        let mut inside = inside;
        inside.bump();
        inside.blanks();
        let signed = inside.take(|c| c == '-');
        if negative && signed {
            return Err(scan.fault(Why::TwoSigns));
        }
        let found = measured(&mut inside, negative != signed)?;
        inside.blanks();
        if !inside.is_done() {
            return Err(inside.fault(Why::NoNumber));
        }
        scan.at += after;
        let mut notes = found.notes;
        let value = raise(&mut scan, found.value, &mut notes)?;
        return tail(
            scan,
            Found {
                value,
                notes,
                ..found
            },
            context,
        );
    }
    if !scan.at_number() {
        return Err(scan.fault(Why::NoNumber));
    }
    let found = measured(&mut scan, negative)?;
    if found.notes & Notes::UNCERTAINTY == 0
        && let Some(at) = plus_minus(scan.rest()).map(|(at, _)| at)
    {
        return two_units(scan, at, found, context);
    }
    tail(scan, found, context)
}

/// A number, and `± 0.1` behind it.
fn measured(scan: &mut Scan<'_>, negative: bool) -> Result<Found, Unreadable> {
    let main = number(scan, negative)?;
    let mut found = Found {
        value: main.value,
        unit: Unit::ONE,
        notes: main.notes,
    };
    let mut ahead = *scan;
    ahead.blanks();
    if let Some((0, length)) = plus_minus(ahead.rest()) {
        ahead.at += length;
        uncertainty(&mut ahead)?;
        found.notes |= Notes::UNCERTAINTY;
        *scan = ahead;
    }
    Ok(found)
}

/// The number behind ±, in per cent or not; it is set aside.
fn uncertainty(scan: &mut Scan<'_>) -> Result<(), Unreadable> {
    scan.blanks();
    if !scan.at_number() {
        return Err(scan.fault(Why::NoNumber));
    }
    number(scan, false)?;
    let mut ahead = *scan;
    if ahead.take(|c| c == '%') && ahead.peek().is_none_or(|c| is_blank(c) || c == ')') {
        *scan = ahead;
    }
    Ok(())
}

/// Where ± or its makeshift stands, and how long it is.
fn plus_minus(text: &str) -> Option<(usize, usize)> {
    const SIGNS: [&str; 6] = ["±", "+/-", "+/−", "+-", "+−", "-/+"];
    let places = text
        .char_indices()
        .filter(|(_, c)| matches!(c, '±' | '+' | '-'));
    let mut found = places.filter_map(|(at, _)| {
        let sign = SIGNS.iter().find(|sign| text[at..].starts_with(**sign))?;
        Some((at, sign.len()))
    });
    found.next()
}

/// `3.2 m ± 0.1 m`: the unit may stand twice, if it is the same.
fn two_units(
    scan: Scan<'_>,
    at: usize,
    found: Found,
    context: &Context<'_>,
) -> Result<Written, Unreadable> {
    let until = scan.at + at;
    let first = tail(
        Scan::new(&scan.text()[..until], scan.at, scan.mark),
        found,
        context,
    )?;
    let mut ahead = scan;
    ahead.at = until + plus_minus(scan.rest()).map_or(0, |(_, length)| length);
    uncertainty(&mut ahead)?;
    let place = ahead.at;
    let found = Found {
        value: first.value,
        unit: Unit::ONE,
        notes: 0,
    };
    let second = tail(ahead, found, context)?;
    let mut written = Written {
        unit: first.unit.or(second.unit),
        ..first
    };
    if let (Some(a), Some(b)) = (first.unit, second.unit)
        && !a.unit.same_as(&b.unit)
    {
        return Err(Unreadable::new(Why::TwoUnits, place, scan.end()));
    }
    written.notes.note(Notes::UNCERTAINTY);
    written.notes.bracket = second.notes.bracket;
    Ok(written)
}

/// Unit and note behind a value.
fn tail(mut scan: Scan<'_>, found: Found, context: &Context<'_>) -> Result<Written, Unreadable> {
    if may_be_a_one(scan.rest()) {
        return Err(scan.fault(Why::LetterOrDigit));
    }
    scan.blanks();
    let mut notes = Notes::of(found.notes);
    let rest = full_stop(scan.rest().trim_end_matches(is_blank), &mut notes);
    let (unit_text, aside) = match opening(rest) {
        Some(at) if is_aside(rest, at, context) => (&rest[..at], Some(at)),
        _ => (rest, None),
    };
    let unit_text = full_stop(unit_text.trim_end_matches(is_blank), &mut notes);
    let mut unit = match unit_text {
        "" => None,
        text if ends_in_name(text, context.names) => {
            let start = scan.at;
            return Err(Unreadable::new(Why::NotAUnit, start, start + text.len()));
        }
        text => Some(unit_of(text, scan)?),
    };
    if let Some(at) = aside {
        let start = scan.at + at;
        let end = scan.at + rest.len();
        let inner = bracket(
            Scan::new(&scan.text()[..end], start, scan.mark),
            unit,
            context,
        )?;
        match inner {
            Some(inner) => {
                unit = Some(inner);
                notes.note(Notes::UNIT_IN_BRACKETS);
            }
            None => notes.set_bracket(start, end),
        }
    }
    let also = as_constant(found.value.to_f64(), unit_text, context.constants);
    if unit.is_some() {
        notes = notes.without(Notes::UNIT_OF_CONSTANT);
    } else if !found.unit.is_one() {
        unit = Some(UnitReading {
            unit: found.unit,
            forgiven: None,
        });
    }
    Ok(Written {
        value: found.value,
        unit,
        also,
        notes,
    })
}

/// Whether the brackets at the end, which open at `at`, stand apart from the unit: `kg(m/s)` and
/// `J/(kg K)` hold units, `N (down)` a note, `N (T1)` a name.
fn is_aside(rest: &str, at: usize, context: &Context<'_>) -> bool {
    let before = &rest[..at];
    let ends = before.trim_end_matches(is_blank);
    let joined = !ends.is_empty()
        && (ends.len() == before.len() || ends.ends_with(|c| is_times(c) || ".⁄∕/".contains(c)));
    !joined || context.names.contains(&inside(&rest[at..])) || unit::read(rest).is_err()
}

/// What brackets hold.
fn inside(brackets: &str) -> &str {
    brackets.trim_matches(|c| is_open(c) || is_close(c) || is_blank(c))
}

/// The unit in the brackets at the cursor, or `None` for a note. Refused: a number, and a unit
/// behind a unit.
fn bracket(
    scan: Scan<'_>,
    unit: Option<UnitReading>,
    context: &Context<'_>,
) -> Result<Option<UnitReading>, Unreadable> {
    let text = inside(scan.rest());
    if text.is_empty() || context.names.contains(&text) {
        return Ok(None);
    }
    if !text.starts_with(|c: char| c.is_ascii_digit())
        && let Ok(inner) = unit::read(text)
    {
        return if unit.is_none() {
            Ok(Some(inner))
        } else {
            Err(scan.fault(Why::TwoUnits))
        };
    }
    let from = scan.at + scan.rest().find(text).unwrap_or(0);
    let inner = Scan::new(&scan.text()[..from + text.len()], from, scan.mark);
    match piece(inner, context) {
        Ok(_) => Err(scan.fault(Why::NumberInBrackets)),
        Err(_) => Ok(None),
    }
}

/// The unit that a text is.
fn unit_of(text: &str, scan: Scan<'_>) -> Result<UnitReading, Unreadable> {
    let at = |why, start: usize, end: usize| Unreadable::new(why, scan.at + start, scan.at + end);
    let all = |why| Err(at(why, 0, text.len()));
    // Of numbers only the 1 of `1/s` starts a unit.
    let one_over = || text.strip_prefix('1').is_some_and(|rest| !rest.is_empty());
    match scan.peek() {
        Some('.' | ',' | '\'') => all(Why::Marks),
        Some(c) if c.is_ascii_digit() && !one_over() => all(Why::TwoNumbers),
        first => match unit::read(text) {
            Ok(unit) => Ok(unit),
            Err(_) if first.is_some_and(|c| c.is_ascii_digit()) => all(Why::TwoNumbers),
            Err(UnitError::Ambiguous { .. }) => all(Why::AmbiguousUnit),
            Err(error @ UnitError::Unknown { .. }) => {
                let (start, end) = error.place(text);
                Err(at(Why::UnknownUnit, start, end))
            }
            Err(_) => all(Why::NotAUnit),
        },
    }
}

/// Takes a full stop off the end of a unit, or a comma.
fn full_stop<'a>(text: &'a str, notes: &mut Notes) -> &'a str {
    match text.strip_suffix(['.', ',']) {
        Some(rest) if !rest.ends_with(['.', ',']) && (!rest.is_empty() || text == ".") => {
            notes.note(Notes::PUNCTUATION);
            rest.trim_end_matches(is_blank)
        }
        _ => text,
    }
}
