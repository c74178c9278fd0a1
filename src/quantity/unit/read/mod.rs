//! Reads a unit as people write it by hand.
//!
//! In: `m/s^2`, `m s⁻²`, `ms-2`, `kgm/s2`, `J/(kg K)`, `metres per second squared`, `Kg`.
//! Out: the unit, and what had to be forgiven. Refused: unknown symbols, and what can mean two
//! things, as `kg/m/s2` (one solidus only: SI Brochure, 9th edition, section 5).
//!
//! ```text
//! whole    = quotient ("per" quotient)* | "per" quotient …
//! quotient = product ("/" product)*          more than one solidus only for m/s/s
//! product  = factor ([mark] factor)*         mark: blank · . * × or a hyphen between letters
//! factor   = (symbols | name | "(" whole ")" | "1") [power]
//! power    = ["^"] whole number | raised digits | "^(" fraction ")" | "squared" | "cubed"
//! symbols  = a prefix and a symbol, or several of them run together: the power is the last's
//! ```
//! A symbol as a whole comes first (`min`, `ft`, `cd`), then a prefix with a symbol, then names,
//! then plain misspellings, then symbols run together. `ms` is a millisecond, but with a negative
//! power it is `m s`.

use std::sync::LazyLock;

use arrayvec::ArrayVec;
use rustc_hash::FxHashMap;

use super::lookup::UnitId;
use super::reading::{Forgiven, UnitReading};
use super::run::{Meaning, bracketed, meaning, terms_of, word_before};
use super::table::OFTEN;
use super::terms::Terms;
use super::{Unit, UnitError};
use crate::quantity::exponent::Exponent;

mod power;

/// The longest text that is looked at, in bytes.
const LONGEST: usize = 200;
/// How deep brackets may go.
const DEEPEST: u8 = 8;

/// The common spellings, read once.
static COMMON: LazyLock<FxHashMap<&'static str, Unit>> = LazyLock::new(|| {
    let proper = |text: &&'static str| {
        let reading = read_closely(text).ok()?;
        reading.forgiven.is_none().then_some((*text, reading.unit))
    };
    OFTEN.iter().filter_map(proper).collect()
});

/// Reads a whole text as a unit.
///
/// # Errors
/// When the text is no unit, can mean two things, or is out of all proportion.
pub fn read(text: &str) -> Result<UnitReading, UnitError> {
    if let Some(&unit) = COMMON.get(text) {
        return Ok(UnitReading {
            unit,
            forgiven: None,
        });
    }
    read_closely(text)
}

/// The same without looking at the list of common spellings.
pub(super) fn read_closely(text: &str) -> Result<UnitReading, UnitError> {
    if text.len() > LONGEST {
        return Err(UnitError::TooMuch);
    }
    let mut reader = Reader {
        text,
        at: 0,
        forgiven: None,
        depth: 0,
    };
    reader.blanks();
    if reader.rest().is_empty() {
        return Err(UnitError::Empty);
    }
    let terms = reader.whole()?;
    reader.blanks();
    if !reader.rest().is_empty() {
        return Err(reader.unexpected("the end of the unit"));
    }
    let unit = Unit::of(terms).ok_or(UnitError::TooMuch)?;
    Ok(UnitReading {
        unit,
        forgiven: reader.forgiven,
    })
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
    forgiven: Option<Forgiven>,
    depth: u8,
}

/// A product with what a reader needs to see whether a solidus before it is plain.
struct Product {
    head: Terms,
    tail: Terms,
    factors: u8,
    negative: bool,
}

impl Product {
    fn all(&self) -> Result<Terms, UnitError> {
        times(&self.head, &self.tail)
    }
}

fn times(a: &Terms, b: &Terms) -> Result<Terms, UnitError> {
    a.times(b).ok_or(UnitError::TooMuch)
}

fn over(a: &Terms, b: &Terms) -> Result<Terms, UnitError> {
    a.over(b).ok_or(UnitError::TooMuch)
}

fn ambiguous(first: Terms, second: Terms) -> UnitError {
    match (Unit::of(first), Unit::of(second)) {
        (Some(first), Some(second)) => UnitError::ambiguous(first, second),
        _ => UnitError::TooMuch,
    }
}

impl<'a> Reader<'a> {
    fn rest(&self) -> &'a str {
        self.text.get(self.at..).unwrap_or("")
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    fn blanks(&mut self) {
        let rest = self.rest();
        self.at += rest.len() - rest.trim_start().len();
    }

    fn take(&mut self, wanted: impl Fn(char) -> bool) -> bool {
        match self.peek() {
            Some(c) if wanted(c) => {
                self.at += c.len_utf8();
                true
            }
            _ => false,
        }
    }

    fn forgive(&mut self, what: Forgiven) {
        self.forgiven = Some(self.forgiven.map_or(what, |had| had.with(what)));
    }

    fn unexpected(&self, expected: &'static str) -> UnitError {
        UnitError::Unexpected {
            at: self.at,
            expected,
        }
    }

    fn whole(&mut self) -> Result<Terms, UnitError> {
        let mut unit = if self.at_per() {
            Terms::NONE
        } else {
            self.quotient()?
        };
        while self.at_per() {
            self.at += "per".len();
            self.blanks();
            self.forgive(Forgiven::WORDS);
            unit = over(&unit, &self.quotient()?)?;
        }
        Ok(unit)
    }

    /// Whether the word "per" comes next, and not "per cent".
    fn at_per(&mut self) -> bool {
        self.blanks();
        let rest = self.rest();
        if !rest.starts_with(['p', 'P']) {
            return false;
        }
        let word = letters(rest);
        word.eq_ignore_ascii_case("per") && letters(rest[word.len()..].trim_start()) != "cent"
    }

    fn quotient(&mut self) -> Result<Terms, UnitError> {
        self.blanks();
        // `/s` for 1/s.
        let first = if self.rest().starts_with(is_solidus) {
            self.forgive(Forgiven::SPELLING);
            Terms::NONE
        } else {
            self.product()?.all()?
        };
        let mut under = ArrayVec::<Product, 4>::new();
        loop {
            self.blanks();
            if !self.take(is_solidus) {
                break;
            }
            let product = self.product()?;
            under.try_push(product).map_err(|_| UnitError::TooMuch)?;
        }
        match under.as_slice() {
            [] => Ok(first),
            [one] if one.factors == 1 && !one.negative => over(&first, &one.head),
            // A solidus and a negative power: the writer meant one of the two.
            [one] if one.factors == 1 => Err(ambiguous(
                times(&first, &one.head)?,
                over(&first, &one.head)?,
            )),
            [one] => Err(ambiguous(
                over(&first, &one.all()?)?,
                times(&over(&first, &one.head)?, &one.tail)?,
            )),
            [one, others @ ..] => self.solidi(&first, one, others),
        }
    }

    /// Several solidi: plain for one symbol again and again, else two readings.
    fn solidi(
        &mut self,
        first: &Terms,
        one: &Product,
        others: &[Product],
    ) -> Result<Terms, UnitError> {
        let mut left = over(first, &one.all()?)?;
        let mut right = one.all()?;
        for other in others {
            left = over(&left, &other.all()?)?;
            right = over(&right, &other.all()?)?;
        }
        let same = |p: &Product| p.factors == 1 && !p.negative && p.head.same_as(&one.head);
        if same(one) && others.iter().all(same) {
            self.forgive(Forgiven::SECOND_SOLIDUS);
            return Ok(left);
        }
        Err(ambiguous(left, over(first, &right)?))
    }

    fn product(&mut self) -> Result<Product, UnitError> {
        self.blanks();
        let (head, negative) = self.factor()?;
        let mut product = Product {
            head,
            tail: Terms::NONE,
            factors: 1,
            negative,
        };
        loop {
            self.blanks();
            let marked = self.take(is_mark) || self.take_hyphen();
            self.blanks();
            let more = self.peek().is_some_and(|c| is_letter(c) || c == '(');
            if !marked && (!more || self.at_per()) {
                return Ok(product);
            }
            let (factor, negative) = self.factor()?;
            product.tail = times(&product.tail, &factor)?;
            product.factors = product.factors.saturating_add(1);
            product.negative |= negative;
        }
    }

    /// A hyphen between two letters joins, as in `N-m`.
    fn take_hyphen(&mut self) -> bool {
        let mut chars = self.rest().chars();
        let joins = chars
            .next()
            .is_some_and(|c| matches!(c, '-' | '\u{2010}' | '\u{2011}'))
            && chars.next().is_some_and(is_letter);
        joins && self.take(|_| true)
    }

    /// One factor with its power, and whether the power is negative.
    fn factor(&mut self) -> Result<(Terms, bool), UnitError> {
        match self.peek() {
            Some('(') => {
                if self.depth == DEEPEST {
                    return Err(UnitError::TooMuch);
                }
                self.depth += 1;
                self.at += 1;
                let unit = self.whole()?;
                self.blanks();
                if !self.take(|c| c == ')') {
                    return Err(self.unexpected("a closing bracket"));
                }
                self.depth -= 1;
                let power = self.power()?.unwrap_or(Exponent::ONE);
                let unit = unit.power(power).ok_or(UnitError::TooMuch)?;
                Ok((unit, power.is_negative()))
            }
            Some('1') => {
                self.at += 1;
                let after = self.rest().trim_start();
                if !after.is_empty() && !after.starts_with(is_solidus) {
                    return Err(self.unexpected("a slash after the 1"));
                }
                Ok((Terms::NONE, false))
            }
            Some(c) if is_letter(c) => self.run(),
            _ => Err(self.unexpected("a unit")),
        }
    }

    /// A run of letters: a symbol, a name, or several symbols, with its power.
    fn run(&mut self) -> Result<(Terms, bool), UnitError> {
        let start = self.at;
        let text = self.rest();
        let run = letters(text);
        if let Some(power) = word_before(text, run) {
            self.at += run.len();
            self.take(|c| c == '.');
            self.blanks();
            self.forgive(Forgiven::WORDS);
            let (unit, _) = self.factor()?;
            return Ok((unit.power(power).ok_or(UnitError::TooMuch)?, false));
        }
        if let Some((symbol, length)) = bracketed(text, run) {
            self.at += length;
            return self.powered(&[symbol]);
        }
        self.at += run.len();
        let (meaning, length, forgiven) =
            meaning(text, run, self.negative_next()).map_err(|error| match error {
                UnitError::Unknown { start: from, end } => UnitError::Unknown {
                    start: start + from,
                    end: start + end,
                },
                other => other,
            })?;
        self.at = start + length;
        if let Some(what) = forgiven {
            self.forgive(what);
        }
        match meaning {
            Meaning::Symbol(symbol) => self.powered(&[symbol]),
            Meaning::Pieces(pieces) => self.powered(&pieces),
            Meaning::Plain(meant) => self.plain(meant),
        }
    }

    /// Symbols multiplied, with the power that follows on the last of them.
    fn powered(&mut self, pieces: &[(UnitId, i8)]) -> Result<(Terms, bool), UnitError> {
        let power = self.power()?.unwrap_or(Exponent::ONE);
        let terms = terms_of(pieces, power).ok_or(UnitError::TooMuch)?;
        Ok((terms, power.is_negative()))
    }

    /// What a plain misspelling stands for, or the two things it may stand for.
    fn plain(&mut self, meant: &'static str) -> Result<(Terms, bool), UnitError> {
        if let Some((first, second)) = meant.split_once(" | ") {
            return Err(UnitError::ambiguous(
                read_closely(first)?.unit,
                read_closely(second)?.unit,
            ));
        }
        let unit = *read_closely(meant)?.unit.composition();
        let power = self.power()?.unwrap_or(Exponent::ONE);
        let terms = unit.power(power).ok_or(UnitError::TooMuch)?;
        Ok((terms, power.is_negative()))
    }
}

/// The letters a text starts with.
pub(super) fn letters(text: &str) -> &str {
    &text[..text.find(|c| !is_letter(c)).unwrap_or(text.len())]
}

pub(super) fn is_letter(c: char) -> bool {
    c.is_alphabetic() || matches!(c, '°' | '%' | '‰' | '′' | '″' | '℃' | '℉' | '_')
}

fn is_mark(c: char) -> bool {
    matches!(c, '·' | '⋅' | '∙' | '•' | '.' | '*' | '×')
}

fn is_solidus(c: char) -> bool {
    matches!(c, '/' | '⁄' | '∕')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn common_spellings_mean_what_they_mean_without_the_list() {
        for text in OFTEN {
            let reading = read_closely(text).unwrap();
            assert_eq!(COMMON.get(text), Some(&reading.unit), "{text}");
        }
    }
}
