//! Several answers beside each other: "57.9 or 31.6", "57.9°, 31.6°", "57.9; 31.6".
//!
//! In: an entry. Out: its answers, one or up to four. Refused: a comma that may be a decimal
//! mark as well as one between answers, more than four answers.

use arrayvec::ArrayVec;

use crate::text::DecimalMark;

use super::Context;
use super::label::{self, Sides};
use super::number::is_number;
use super::reading::{Kind, Notes, Reading, Unreadable, Value, Why, Written};
use super::scan::{Scan, is_blank, is_close, is_digit, is_open};

/// The most answers in an entry.
pub(super) const MOST: usize = 4;

/// Reads an entry from `start` to its end.
pub(super) fn read(text: &str, start: usize, context: &Context<'_>) -> Result<Reading, Unreadable> {
    let whole = Scan::new(text, start, context.decimal);
    let mut parts = ArrayVec::<(usize, usize), MOST>::new();
    let mut from = start;
    let mut ended = false;
    let cut = |parts: &mut ArrayVec<_, MOST>, from, to| {
        parts
            .try_push((from, to))
            .map_err(|_| whole.fault(Why::TooMany))
    };
    let mut separators = Separators {
        scan: whole,
        depth: 0,
        from: start,
    };
    while let Some((at, next)) = separators.next()? {
        let empty = text
            .get(from..at)
            .unwrap_or("")
            .trim_matches(is_blank)
            .is_empty();
        if empty {
            // "57.9, or 31.6"
            let word = text
                .get(at..next)
                .unwrap_or("")
                .contains(char::is_alphabetic);
            if !word || parts.is_empty() {
                return Err(Unreadable::new(Why::Marks, from, next));
            }
        } else {
            cut(&mut parts, from, at)?;
        }
        from = next;
    }
    if text
        .get(from..)
        .unwrap_or("")
        .trim_matches(is_blank)
        .is_empty()
    {
        ended = true;
    } else {
        cut(&mut parts, from, text.len())?;
    }
    let mut answers = Vec::new();
    if let [(from, to)] = parts[..] {
        // Without a list where there is but one.
        let one = label::read(
            Scan::new(&text[..to], from, context.decimal),
            false,
            context,
        )?;
        let Sides::One(mut written) = one else {
            return Ok(both(one));
        };
        if ended {
            written.notes.note(Notes::PUNCTUATION);
        }
        return Ok(Reading::One(written));
    }
    for &(from, to) in &parts {
        match label::read(Scan::new(&text[..to], from, context.decimal), true, context)? {
            Sides::One(written) => answers.push(written),
            Sides::Two(first, second) => answers.extend([first, second]),
        }
    }
    if answers.len() > MOST {
        return Err(whole.fault(Why::TooMany));
    }
    if one_and_a_half(text, &answers) {
        return Err(whole.fault(Why::AmbiguousNumber));
    }
    share_unit(&mut answers);
    Ok(Reading::Several(answers))
}

fn both(sides: Sides) -> Reading {
    match sides {
        Sides::One(written) => Reading::One(written),
        Sides::Two(first, second) => Reading::Several(vec![first, second]),
    }
}

/// "1 and 1/2" may be one number.
fn one_and_a_half(text: &str, answers: &[Written]) -> bool {
    let [first, second] = answers else {
        return false;
    };
    let whole = matches!(first.value, Value::Numeral(n) if n.decimals() == 0 && !n.has_power());
    let proper = matches!(second.value, Value::Evaluated(e)
        if matches!(e.kind, Kind::Fraction | Kind::Mixed) && e.value > 0.0 && e.value < 1.0);
    // Blanks around the whole separate nothing.
    let is_apart = text.trim_matches(is_blank).contains(is_blank);
    whole && proper && first.unit.is_none() && is_apart
}

/// A unit at the end counts for the answers before it that have none.
fn share_unit(answers: &mut [Written]) {
    let Some((last, before)) = answers.split_last_mut() else {
        return;
    };
    if last.unit.is_none() || before.iter().any(|answer| answer.unit.is_some()) {
        return;
    }
    for answer in before {
        answer.unit = last.unit;
        answer.notes.note(Notes::SHARED_UNIT);
    }
}

struct Separators<'a> {
    scan: Scan<'a>,
    depth: usize,
    /// Where the answer before the next separator starts.
    from: usize,
}

impl Separators<'_> {
    /// Start and end of the next separator outside brackets.
    fn next(&mut self) -> Result<Option<(usize, usize)>, Unreadable> {
        while let Some(c) = self.scan.rest().chars().next() {
            let at = self.scan.at;
            if is_open(c) {
                self.depth += 1;
            } else if is_close(c) {
                self.depth = self.depth.saturating_sub(1);
            }
            let found = if self.depth > 0 {
                None
            } else if matches!(c, ';' | '\n' | '；') {
                Some(at + c.len_utf8())
            } else if matches!(c, ',' | '，') {
                self.comma()?
            } else if is_blank(c) {
                self.word()
            } else {
                None
            };
            if let Some(next) = found {
                self.scan.at = next;
                self.from = next;
                return Ok(Some((at, next)));
            }
            self.scan.bump();
        }
        Ok(None)
    }

    /// "or", "and", "&" between blanks.
    fn word(&self) -> Option<usize> {
        let mut ahead = self.scan;
        ahead.blanks();
        let letters = ahead.letters();
        let word = if letters.eq_ignore_ascii_case("or") || letters.eq_ignore_ascii_case("and") {
            letters.len()
        } else if ahead.rest().starts_with('&') {
            1
        } else {
            return None;
        };
        ahead.at += word;
        ahead.rest().starts_with(is_blank).then_some(ahead.at)
    }

    /// Whether the comma at the cursor stands between answers.
    fn comma(&self) -> Result<Option<usize>, Unreadable> {
        let text = self.scan.text();
        let at = self.scan.at;
        let mut ahead = self.scan;
        ahead.bump();
        let next = ahead.at;
        let before = text.get(self.from..at).unwrap_or("");
        let behind = text.get(next..).unwrap_or("");
        let digit_before = before.ends_with(is_digit);
        let digit_behind = behind.starts_with(is_digit);
        if digit_before && digit_behind {
            let (from, to) = self.token();
            let token = text.get(from..to).unwrap_or("");
            let two = self.scan.mark == DecimalMark::Point
                && !is_number(token, self.scan.mark)
                && token.split(',').all(is_point_number);
            return Ok(two.then_some(next));
        }
        if behind.trim_start_matches(is_blank).is_empty() {
            return Ok(None);
        }
        let blank_before = before.ends_with(is_blank);
        let blank_behind = behind.starts_with(is_blank);
        if blank_before && !blank_behind {
            return Err(Unreadable::new(Why::CommaAndBlank, at, next));
        }
        if !blank_behind {
            // "3 m,4 m" has two answers, "3,.5", "3,,5" and ",5" have none.
            let unit = before.ends_with(|c: char| {
                c.is_alphanumeric() || matches!(c, '°' | '%' | '′' | '″') || is_close(c)
            });
            return Ok((unit && !digit_before && digit_behind).then_some(next));
        }
        let whole = |part: &str| !part.is_empty() && part.chars().all(is_digit);
        let start = before
            .rfind(|c: char| !is_digit(c) && !matches!(c, '.' | ','))
            .map_or(0, |start| {
                start + before[start..].chars().next().map_or(0, char::len_utf8)
            });
        let right = behind.trim_start_matches(is_blank);
        // "5, m" is 5 and its decimal comma.
        let answer = right.starts_with(|c| is_digit(c) || "+-−–±~.,(√π".contains(c));
        if self.scan.mark == DecimalMark::Comma && digit_before && !answer {
            return Ok(None);
        }
        let end = right
            .find(|c: char| is_blank(c) || c == ';')
            .unwrap_or(right.len());
        if digit_before && whole(&before[start..]) && whole(&right[..end]) {
            return Err(Unreadable::new(
                Why::CommaAndBlank,
                self.from + start,
                at + 1,
            ));
        }
        Ok(Some(next))
    }

    /// The run of digits, points and commas around the cursor.
    fn token(&self) -> (usize, usize) {
        let text = self.scan.text();
        let part = |c: char| is_digit(c) || matches!(c, '.' | ',');
        let before = text.get(..self.scan.at).unwrap_or("");
        let behind = text.get(self.scan.at..).unwrap_or("");
        let from = before.trim_end_matches(part).len();
        let to = self.scan.at + behind.len() - behind.trim_start_matches(part).len();
        (from, to)
    }
}

/// A number with a decimal point and no other mark.
fn is_point_number(text: &str) -> bool {
    text.matches('.').count() == 1 && is_number(text, DecimalMark::Point)
}
