//! What stands before an equals sign: a label, or working.
//!
//! In: the text of one answer, as `a = 3g/7 = 4.2 m/s²`. Out: what was written behind the last
//! equals sign, and which name the label is. Refused: an equals sign with nothing beside it.
//! Where two sides are numbers that disagree, both are answers.

use arrayvec::{ArrayString, ArrayVec};

use super::Context;
use super::piece::piece;
use super::plain::plain;
use super::reading::{Notes, Unreadable, Value, Why, Written};
use super::scan::{Scan, is_blank, is_close, is_open};
use crate::quantity::NOISE;
use crate::text::greek_name;

/// The longest label, in bytes.
const LONGEST: usize = 60;
/// The most sides an equation may have.
const MOST_SIDES: usize = 6;

/// One answer, or the two sides of an equation that disagree.
#[expect(
    clippy::large_enum_variant,
    reason = "taken apart at once, and one answer is the rule"
)]
pub(super) enum Sides {
    One(Written),
    Two(Written, Written),
}

/// Reads one answer, a part of an entry or all of it, with what stands before it.
pub(super) fn read(
    scan: Scan<'_>,
    is_part: bool,
    context: &Context<'_>,
) -> Result<Sides, Unreadable> {
    let sides = split(scan)?;
    let Some((&last, before)) = sides.split_last() else {
        return Err(scan.fault(Why::NoNumber));
    };
    let side = Scan::new(&scan.text()[..last.1], last.0, scan.mark);
    // An entry that is no more than this was tried so already.
    let short = (is_part || !before.is_empty())
        .then(|| plain(side.rest().trim_matches(is_blank), context))
        .flatten();
    let mut written = match short {
        Some(written) => written,
        None => piece(side, context)?,
    };
    if last.2 {
        written.notes.note(Notes::APPROXIMATE);
    }
    let mut others = before;
    if let Some((&(start, end, _), rest)) = before.split_first()
        && let Some(name) = label(scan.text().get(start..end).unwrap_or(""), context)
    {
        written.notes.note(Notes::LABEL);
        written.notes.label = name;
        others = rest;
    }
    let text = |side: &Side| scan.text().get(side.0..side.1).unwrap_or("");
    let is_empty = |side: &&Side| text(side).trim_matches(is_blank).is_empty();
    // A sign at the very start is as good as none: "= 3.27".
    if others.len() == before.len() && others.first().as_ref().is_some_and(is_empty) {
        others = &others[1..];
    }
    if let Some(&(start, end, _)) = others.iter().find(is_empty) {
        return Err(Unreadable::new(Why::Equals, start, end));
    }
    for &(start, end, _) in others {
        if let Ok(other) = piece(Scan::new(&scan.text()[..end], start, scan.mark), context)
            && !agree(&other, &written)
        {
            return Ok(Sides::Two(other, written));
        }
        written.notes.note(Notes::WORKING);
    }
    Ok(Sides::One(written))
}

type Side = (usize, usize, bool);

/// Start and end of each side, and whether an "about equal" stands before it.
fn split(scan: Scan<'_>) -> Result<ArrayVec<Side, MOST_SIDES>, Unreadable> {
    let mut sides = ArrayVec::new();
    let mut depth = 0usize;
    let mut start = scan.at;
    let mut about = false;
    for (offset, c) in scan.rest().char_indices() {
        let at = scan.at + offset;
        if is_open(c) {
            depth += 1;
        } else if is_close(c) {
            depth = depth.saturating_sub(1);
        }
        let colon =
            c == ':' && sides.is_empty() && is_label(scan.text().get(start..at).unwrap_or(""));
        let equals = matches!(c, '=' | '＝') || colon;
        let roughly = matches!(c, '≈' | '≃' | '≅') && start < at;
        if depth > 0 || !(equals || roughly) {
            continue;
        }
        let before = scan.text().get(start..at).unwrap_or("");
        // A sign at the start of a side belongs to it: "≈ 3", "= ≈ 3".
        if roughly && before.trim_matches(is_blank).is_empty() {
            continue;
        }
        let full = sides.try_push((start, at, about)).is_err();
        if full {
            return Err(Unreadable::new(Why::Equals, scan.at, scan.end()));
        }
        start = at + c.len_utf8();
        about = roughly;
    }
    if scan
        .text()
        .get(start..)
        .unwrap_or("")
        .trim_matches(is_blank)
        .is_empty()
    {
        let why = if sides.is_empty() {
            Why::NoNumber
        } else {
            Why::Equals
        };
        return Err(Unreadable::new(why, scan.at, scan.end()));
    }
    let full = sides.try_push((start, scan.end(), about)).is_err();
    if full {
        Err(Unreadable::new(Why::Equals, scan.at, scan.end()))
    } else {
        Ok(sides)
    }
}

/// Whether a text can be a label.
fn is_label(text: &str) -> bool {
    let text = text.trim_matches(is_blank).trim_matches('|');
    let fits =
        |c: char| c.is_alphanumeric() || is_blank(c) || is_subscript(c) || "_'′{}".contains(c);
    text.starts_with(char::is_alphabetic) && text.len() <= LONGEST && text.chars().all(fits)
}

/// Which of the names a label is: the outer `None` if the text is no label, the inner if it is
/// none of the names.
fn label(text: &str, context: &Context<'_>) -> Option<Option<u16>> {
    if !is_label(text) {
        return None;
    }
    let plain = bare(text.trim_matches(is_blank).trim_matches('|'))?;
    let is_it = |name: &&str| bare(name).is_some_and(|name| name == plain);
    let known = context.names.iter().position(is_it);
    Some(known.and_then(|index| u16::try_from(index).ok()))
}

/// A name without blanks, braces and underscores, subscripts on the line and Greek letters
/// spelt out: `T_{1}`, `T₁`, `T 1` are `T1`, `μ_k` is `muk`.
fn bare(name: &str) -> Option<ArrayString<LONGEST>> {
    let mut plain = ArrayString::new();
    for c in name.chars().filter(|&c| !is_blank(c) && !"_{}".contains(c)) {
        if let Some(word) = greek_name(c) {
            plain.try_push_str(word).ok()?;
            continue;
        }
        let on_line = SUBSCRIPTS
            .iter()
            .find(|(low, _)| *low == c)
            .map_or(c, |&(_, letter)| letter);
        plain.try_push(on_line).ok()?;
    }
    Some(plain)
}

#[rustfmt::skip]
const SUBSCRIPTS: [(char, char); 24] = [
    ('₀', '0'), ('₁', '1'), ('₂', '2'), ('₃', '3'), ('₄', '4'), ('₅', '5'), ('₆', '6'), ('₇', '7'),
    ('₈', '8'), ('₉', '9'), ('ₐ', 'a'), ('ₑ', 'e'), ('ₕ', 'h'), ('ᵢ', 'i'), ('ₖ', 'k'), ('ₗ', 'l'),
    ('ₘ', 'm'), ('ₙ', 'n'), ('ₒ', 'o'), ('ₚ', 'p'), ('ₛ', 's'), ('ₜ', 't'), ('ᵥ', 'v'), ('ₓ', 'x'),
];

fn is_subscript(c: char) -> bool {
    SUBSCRIPTS.iter().any(|&(low, _)| low == c)
}

/// Whether two sides of an equation say the same: the coarser is a rounding of the other, up, down
/// or cut off.
fn agree(a: &Written, b: &Written) -> bool {
    let (Some((mut x, mut dx)), Some((mut y, mut dy))) = (size(a), size(b)) else {
        return false;
    };
    if let (Some(a), Some(b)) = (a.unit, b.unit) {
        if a.unit.dimension() != b.unit.dimension() {
            return false;
        }
        (x, dx) = (a.unit.to_si(x), dx * a.unit.factor());
        (y, dy) = (b.unit.to_si(y), dy * b.unit.factor());
    }
    let rounding = NOISE * y.abs();
    let (coarse, fine, half) = if dx > dy { (x, y, dx) } else { (y, x, dy) };
    let cut_off = fine.abs() - coarse.abs();
    let same_sign = coarse * fine >= 0.0;
    (x - y).abs() <= half + rounding
        || (dx != dy && same_sign && (0.0..2.0 * half).contains(&cut_off))
}

/// The value and half a unit in its last place; 0 for what was worked out exactly.
fn size(written: &Written) -> Option<(f64, f64)> {
    match written.value {
        Value::Numeral(n) => Some((n.to_f64(), n.half_unit(n.figures().most))),
        Value::Evaluated(evaluated) => Some((evaluated.value, 0.0)),
        Value::Ambiguous { .. } => None,
    }
}
