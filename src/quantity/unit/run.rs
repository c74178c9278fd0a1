//! What a run of letters in a unit means: `min`, `kN`, `newtons`, `Kg`, `kmh`, `kgm`.
//!
//! In: the text from the run on, and whether a negative power follows. Out: the symbols it
//! stands for, how much of the text that takes, and what was forgiven. Refused: what is nothing,
//! and what can be taken apart in two ways.
//!
//! In this order: a symbol as a whole, a prefix with a symbol, a name, a capital K for kilo, a
//! plain misspelling, symbols run together. Before a negative power `ms` is `m s`, and symbols
//! run together come before names.

use arrayvec::{ArrayString, ArrayVec};

use super::lookup::{TABLE, Table, UnitId};
use super::read::{is_letter, letters};
use super::reading::Forgiven;
use super::terms::{Term, Terms};
use super::{Unit, UnitError};
use crate::quantity::exponent::Exponent;

/// The most symbols that may be run together.
const MOST_PIECES: usize = 4;

/// The longest run, in bytes, that is taken apart: `kgm` yes, a word no.
const LONGEST_RUN: usize = 10;

/// Symbols run together.
pub(super) type Pieces = ArrayVec<(UnitId, i8), MOST_PIECES>;

/// What a run means.
pub(super) enum Meaning {
    /// One symbol.
    Symbol((UnitId, i8)),
    /// Several; a power belongs to the last.
    Pieces(Pieces),
    /// The unit that a misspelling stands for, as text.
    Plain(&'static str),
}

/// A meaning, how many bytes of the text have it, and what was forgiven.
pub(super) type Found = (Meaning, usize, Option<Forgiven>);

/// The meaning of the run at the start of a text.
///
/// # Errors
/// [`UnitError::Unknown`] with places in `text`, or [`UnitError::Ambiguous`].
pub(super) fn meaning(text: &str, run: &str, negative: bool) -> Result<Found, UnitError> {
    let table = &*TABLE;
    let length = run.len();
    if negative && run == "ms" {
        return Ok((Meaning::Pieces(metre_second(table)), length, None));
    }
    if let Some(found) = table.find(run) {
        return Ok((Meaning::Symbol(found), length, None));
    }
    let together = |pieces| {
        (
            Meaning::Pieces(pieces),
            length,
            Some(Forgiven::RUN_TOGETHER),
        )
    };
    if negative && let Some(pieces) = pieces(table, run, true)? {
        return Ok(together(pieces));
    }
    if let Some((found, length)) = name(table, text) {
        return Ok((Meaning::Symbol(found), length, Some(Forgiven::WORDS)));
    }
    if let Some(found) = run.strip_prefix('K').and_then(|rest| kilo(table, rest)) {
        return Ok((Meaning::Symbol(found), length, Some(Forgiven::CASE)));
    }
    if let Some(meant) = table.plain(run) {
        return Ok((Meaning::Plain(meant), length, Some(Forgiven::SPELLING)));
    }
    match pieces(table, run, negative)? {
        Some(pieces) => Ok(together(pieces)),
        None => Err(UnitError::Unknown {
            start: 0,
            end: length,
        }),
    }
}

/// A symbol with letters in brackets right behind it, as `gal(UK)`, and its length.
pub(super) fn bracketed(text: &str, run: &str) -> Option<((UnitId, i8), usize)> {
    let inside = text[run.len()..].strip_prefix('(')?;
    let letters = letters(inside).len();
    if letters == 0 || !inside[letters..].starts_with(')') {
        return None;
    }
    let length = run.len() + letters + 2;
    Some((TABLE.find(&text[..length])?, length))
}

/// The power that "square" or "cubic" gives to the unit behind it.
pub(super) fn word_before(text: &str, run: &str) -> Option<Exponent> {
    let power = match run.as_bytes().first()? | 0x20 {
        b's' if run.eq_ignore_ascii_case("square") || run.eq_ignore_ascii_case("sq") => 2,
        b'c' if run.eq_ignore_ascii_case("cubic") => 3,
        _ => return None,
    };
    let after = text[run.len()..].trim_start_matches('.').trim_start();
    after
        .starts_with(is_letter)
        .then_some(Exponent::whole(power))
}

fn metre_second(table: &Table) -> Pieces {
    ["m", "s"]
        .into_iter()
        .filter_map(|symbol| table.find(symbol))
        .collect()
}

/// A capital K for kilo before a symbol that takes prefixes.
fn kilo(table: &Table, rest: &str) -> Option<(UnitId, i8)> {
    let (unit, prefix) = table.find(rest)?;
    (prefix == 0 && table.entry(unit).prefixes.take(3)).then_some((unit, 3))
}

/// The longest name of up to four words that a text starts with, and its length.
fn name(table: &Table, text: &str) -> Option<((UnitId, i8), usize)> {
    let mut phrase = ArrayString::<48>::new();
    let mut found = None;
    let mut length = 0;
    for _ in 0..4 {
        let word = letters(&text[length..]);
        if word.is_empty() {
            break;
        }
        for c in word.chars().flat_map(char::to_lowercase) {
            phrase.try_push(c).ok()?;
        }
        length += word.len();
        found = table
            .find_name(&phrase)
            .map(|unit| (unit, length))
            .or(found);
        let after = &text[length..];
        let gap = after.len() - after.trim_start().len();
        // A phrase is written with a blank or a hyphen; both count as the blank.
        length += if gap == 0 && after.starts_with('-') {
            1
        } else {
            gap
        };
        if phrase.try_push(' ').is_err() {
            break;
        }
    }
    found
}

/// Takes a run apart into the fewest symbols; two ways with equally few are ambiguous.
fn pieces(table: &Table, run: &str, negative: bool) -> Result<Option<Pieces>, UnitError> {
    if run.len() > LONGEST_RUN {
        return Ok(None);
    }
    for count in 2..=MOST_PIECES {
        let mut ways = ArrayVec::<Pieces, 2>::new();
        split(table, run, count, &mut Pieces::new(), &mut ways);
        match ways.as_slice() {
            [] => {}
            [one] => return seconds(table, one, negative).map(Some),
            [first, second, ..] => return Err(ambiguous(first, second)),
        }
    }
    Ok(None)
}

/// A last `ms` in a run is `m s` before a negative power, and else could be either.
fn seconds(table: &Table, pieces: &Pieces, negative: bool) -> Result<Pieces, UnitError> {
    let milli = table.find("s").map(|(second, _)| (second, -3));
    let mut apart = pieces.clone();
    if apart.last().copied() != milli {
        return Ok(apart);
    }
    apart.pop();
    for piece in metre_second(table) {
        apart.try_push(piece).map_err(|_| UnitError::TooMuch)?;
    }
    if negative {
        Ok(apart)
    } else {
        Err(ambiguous(&apart, pieces))
    }
}

/// Finds up to two ways to split a run into so many symbols.
fn split(
    table: &Table,
    run: &str,
    count: usize,
    so_far: &mut Pieces,
    ways: &mut ArrayVec<Pieces, 2>,
) {
    if count == 1 {
        if let Some(last) = table.find(run)
            && !ways.is_full()
        {
            let mut whole = so_far.clone();
            whole.push(last);
            if !ways.contains(&whole) {
                ways.push(whole);
            }
        }
        return;
    }
    for (end, _) in run.char_indices().skip(1) {
        if let Some(piece) = table.find(&run[..end]) {
            so_far.push(piece);
            split(table, &run[end..], count - 1, so_far, ways);
            so_far.pop();
        }
    }
}

fn ambiguous(first: &Pieces, second: &Pieces) -> UnitError {
    let unit = |pieces: &Pieces| terms_of(pieces, Exponent::ONE).and_then(Unit::of);
    match (unit(first), unit(second)) {
        (Some(first), Some(second)) => UnitError::ambiguous(first, second),
        _ => UnitError::TooMuch,
    }
}

/// Symbols multiplied, with a power on the last of them.
pub(super) fn terms_of(pieces: &[(UnitId, i8)], power: Exponent) -> Option<Terms> {
    let mut terms = Terms::NONE;
    for (index, &(unit, prefix)) in pieces.iter().enumerate() {
        let last = index + 1 == pieces.len();
        let exponent = if last { power } else { Exponent::ONE };
        terms.push(Term {
            unit,
            prefix,
            exponent,
        })?;
    }
    Some(terms)
}
