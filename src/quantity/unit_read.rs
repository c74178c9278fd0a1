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

use std::fmt;

use arrayvec::{ArrayString, ArrayVec};

use super::exponent::{Exponent, SUPERSCRIPTS};
use super::unit::{Unit, UnitError};
use super::unit_table::{TABLE, Table, UnitId};

/// The longest text that is looked at, in bytes.
const LONGEST: usize = 200;
/// How deep brackets may go.
const DEEPEST: u8 = 8;
/// The most symbols that may be run together.
const MOST_PIECES: usize = 4;

/// A unit with what was forgiven in its spelling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnitReading {
    /// The unit.
    pub unit: Unit,
    /// What was not quite proper about it.
    pub forgiven: Option<Forgiven>,
}

/// What was forgiven in the spelling of a unit; at least one thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Forgiven(u8);

impl Forgiven {
    /// The unit in words: `newton`, `metres per second`.
    pub const WORDS: Self = Self(1);
    /// A letter in the wrong case where no other unit has it: `Kg`.
    pub const CASE: Self = Self(2);
    /// A plain misspelling: `sec`, `kmh`.
    pub const SPELLING: Self = Self(4);
    /// Symbols with nothing between them: `kgm`.
    pub const RUN_TOGETHER: Self = Self(8);
    /// A second solidus with the same symbol: `m/s/s`.
    pub const SECOND_SOLIDUS: Self = Self(16);

    /// Whether this holds all that `other` holds.
    pub fn contains(self, other: Self) -> bool {
        self.0 & other.0 == other.0
    }

    /// Both together.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Whether files may write it so: symbols run together are plain enough.
    pub(crate) fn is_proper(self) -> bool {
        self == Self::RUN_TOGETHER
    }
}

/// `unit in words`, `capital or small letter`; several apart by commas.
impl fmt::Display for Forgiven {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let kinds = [
            (Self::WORDS, "unit in words"),
            (Self::CASE, "capital or small letter"),
            (Self::SPELLING, "spelling of the unit"),
            (Self::RUN_TOGETHER, "symbols run together"),
            (Self::SECOND_SOLIDUS, "two solidi"),
        ];
        let mut first = true;
        for (_, words) in kinds.into_iter().filter(|&(kind, _)| self.contains(kind)) {
            f.write_str(if first { "" } else { ", " })?;
            f.write_str(words)?;
            first = false;
        }
        Ok(())
    }
}

/// Reads a whole text as a unit.
///
/// # Errors
/// When the text is no unit, can mean two things, or is out of all proportion.
pub fn read(text: &str) -> Result<UnitReading, UnitError> {
    if text.len() > LONGEST {
        return Err(UnitError::TooMuch);
    }
    let mut reader = Reader {
        text,
        at: 0,
        forgiven: 0,
        depth: 0,
        table: &TABLE,
    };
    reader.blanks();
    if reader.rest().is_empty() {
        return Err(UnitError::Empty);
    }
    let unit = reader.whole()?;
    reader.blanks();
    if !reader.rest().is_empty() {
        return Err(reader.unexpected("the end of the unit"));
    }
    let forgiven = (reader.forgiven != 0).then_some(Forgiven(reader.forgiven));
    Ok(UnitReading { unit, forgiven })
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
    forgiven: u8,
    depth: u8,
    table: &'static Table,
}

/// A product with what a reader needs to see whether a solidus before it is plain.
struct Product {
    head: Unit,
    tail: Unit,
    factors: u8,
    negative: bool,
}

impl Product {
    fn unit(&self) -> Result<Unit, UnitError> {
        times(&self.head, &self.tail)
    }
}

fn times(a: &Unit, b: &Unit) -> Result<Unit, UnitError> {
    a.checked_mul(b).ok_or(UnitError::TooMuch)
}

fn over(a: &Unit, b: &Unit) -> Result<Unit, UnitError> {
    a.checked_div(b).ok_or(UnitError::TooMuch)
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
        self.forgiven |= what.0;
    }

    fn unexpected(&self, expected: &'static str) -> UnitError {
        UnitError::Unexpected {
            at: self.at,
            expected,
        }
    }

    fn whole(&mut self) -> Result<Unit, UnitError> {
        let mut unit = if self.at_per() {
            Unit::ONE
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
        let after = &self.rest()[letters(self.rest()).len()..];
        letters(self.rest()).eq_ignore_ascii_case("per") && letters(after.trim_start()) != "cent"
    }

    fn quotient(&mut self) -> Result<Unit, UnitError> {
        self.blanks();
        // `/s` for 1/s.
        let first = if self.rest().starts_with(is_solidus) {
            self.forgive(Forgiven::SPELLING);
            Unit::ONE
        } else {
            self.product()?.unit()?
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
            [one] if one.factors == 1 => Err(UnitError::ambiguous(
                times(&first, &one.head)?,
                over(&first, &one.head)?,
            )),
            [one] => Err(UnitError::ambiguous(
                over(&first, &one.unit()?)?,
                times(&over(&first, &one.head)?, &one.tail)?,
            )),
            [one, others @ ..] => self.solidi(&first, one, others),
        }
    }

    /// Several solidi: plain for one symbol again and again, else two readings.
    fn solidi(
        &mut self,
        first: &Unit,
        one: &Product,
        others: &[Product],
    ) -> Result<Unit, UnitError> {
        let mut left = over(first, &one.unit()?)?;
        let mut right = one.unit()?;
        for other in others {
            left = over(&left, &other.unit()?)?;
            right = over(&right, &other.unit()?)?;
        }
        let same = |p: &Product| p.factors == 1 && !p.negative && p.head.same_as(&one.head);
        if same(one) && others.iter().all(same) {
            self.forgive(Forgiven::SECOND_SOLIDUS);
            return Ok(left);
        }
        Err(UnitError::ambiguous(left, over(first, &right)?))
    }

    fn product(&mut self) -> Result<Product, UnitError> {
        self.blanks();
        let (head, negative) = self.factor()?;
        let mut product = Product {
            head,
            tail: Unit::ONE,
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
    fn factor(&mut self) -> Result<(Unit, bool), UnitError> {
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
                let unit = unit.checked_pow(power).ok_or(UnitError::TooMuch)?;
                Ok((unit, power.is_negative()))
            }
            Some('1') => {
                self.at += 1;
                let after = self.rest().trim_start();
                if !after.is_empty() && !after.starts_with(is_solidus) {
                    return Err(self.unexpected("a solidus after the 1"));
                }
                Ok((Unit::ONE, false))
            }
            Some(c) if is_letter(c) => self.run(),
            _ => Err(self.unexpected("a unit")),
        }
    }

    /// A run of letters: a symbol, a name, or several symbols.
    fn run(&mut self) -> Result<(Unit, bool), UnitError> {
        let start = self.at;
        let run = letters(self.rest());
        let power_before = self.word_before(run);
        if let Some(power) = power_before {
            self.at += run.len();
            self.blanks();
            self.forgive(Forgiven::WORDS);
            let (unit, _) = self.factor()?;
            let power = unit.checked_pow(power).ok_or(UnitError::TooMuch)?;
            return Ok((power, false));
        }
        if let Some(length) = bracketed(self.rest(), run)
            && let Some((unit, prefix)) = self.table.find(&self.rest()[..length])
        {
            self.at += length;
            return self.finish(&[(unit, prefix)]);
        }
        self.at += run.len();
        let negative = self.negative_next();
        if negative && run == "ms" {
            return match (self.table.find("m"), self.table.find("s")) {
                (Some(metre), Some(second)) => self.finish(&[metre, second]),
                _ => Err(UnitError::Unknown {
                    start,
                    end: self.at,
                }),
            };
        }
        if let Some(found) = self.table.find(run) {
            return self.finish(&[found]);
        }
        if negative && let Some(pieces) = self.pieces(run, true)? {
            self.forgive(Forgiven::RUN_TOGETHER);
            return self.finish(&pieces);
        }
        if let Some((found, length)) = self.name(start) {
            self.at = start + length;
            self.forgive(Forgiven::WORDS);
            return self.finish(&[found]);
        }
        if let Some(found) = run.strip_prefix('K').and_then(|rest| self.kilo(rest)) {
            self.forgive(Forgiven::CASE);
            return self.finish(&[found]);
        }
        if let Some(meant) = self.table.plain(run) {
            return self.plain(meant);
        }
        if let Some(pieces) = self.pieces(run, negative)? {
            self.forgive(Forgiven::RUN_TOGETHER);
            return self.finish(&pieces);
        }
        Err(UnitError::Unknown {
            start,
            end: start + run.len(),
        })
    }

    /// "square" and "cubic" before a unit.
    fn word_before(&self, run: &str) -> Option<Exponent> {
        let power = if run.eq_ignore_ascii_case("square") || run.eq_ignore_ascii_case("sq") {
            2
        } else if run.eq_ignore_ascii_case("cubic") {
            3
        } else {
            return None;
        };
        let after = self.rest()[run.len()..]
            .trim_start_matches('.')
            .trim_start();
        after
            .starts_with(is_letter)
            .then_some(Exponent::whole(power))
    }

    /// The symbols multiplied, the power on the last of them.
    fn finish(&mut self, pieces: &[(UnitId, i8)]) -> Result<(Unit, bool), UnitError> {
        let power = self.power()?.unwrap_or(Exponent::ONE);
        let mut product = Unit::ONE;
        for (index, &(unit, prefix)) in pieces.iter().enumerate() {
            let last = index + 1 == pieces.len();
            let power = if last { power } else { Exponent::ONE };
            let single = Unit::single(unit, prefix, power).ok_or(UnitError::TooMuch)?;
            product = if pieces.len() == 1 {
                single
            } else {
                times(&product, &single)?
            };
        }
        Ok((product, power.is_negative()))
    }

    /// A capital K for kilo before a symbol that takes prefixes.
    fn kilo(&self, rest: &str) -> Option<(UnitId, i8)> {
        let (unit, prefix) = self.table.find(rest)?;
        let entry = self.table.entry(unit);
        (prefix == 0 && entry.prefixes.take(3)).then_some((unit, 3))
    }

    /// What a plain misspelling stands for, or the two things it may stand for.
    fn plain(&mut self, meant: &'static str) -> Result<(Unit, bool), UnitError> {
        if let Some((first, second)) = meant.split_once(" | ") {
            let (first, second) = (read(first)?.unit, read(second)?.unit);
            return Err(UnitError::ambiguous(first, second));
        }
        let unit = read(meant)?.unit;
        self.forgive(Forgiven::SPELLING);
        let power = self.power()?.unwrap_or(Exponent::ONE);
        let power_unit = unit.checked_pow(power).ok_or(UnitError::TooMuch)?;
        Ok((power_unit, power.is_negative()))
    }

    /// The longest name of up to four words that starts here, and its length.
    fn name(&self, start: usize) -> Option<((UnitId, i8), usize)> {
        let text = self.text.get(start..)?;
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
            found = self
                .table
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
    fn pieces(&self, run: &str, negative: bool) -> Result<Option<Pieces>, UnitError> {
        for count in 2..=MOST_PIECES {
            let mut found = Found::default();
            self.split(run, count, &mut Pieces::new(), &mut found);
            let Some(first) = found.first else { continue };
            if let Some(second) = found.second {
                return Err(UnitError::ambiguous(
                    product_of(&first)?,
                    product_of(&second)?,
                ));
            }
            return self.seconds(first, negative).map(Some);
        }
        Ok(None)
    }

    /// A last `ms` in a run is `m s` before a negative power, and else could be either.
    fn seconds(&self, pieces: Pieces, negative: bool) -> Result<Pieces, UnitError> {
        let (metre, second) = (self.table.find("m"), self.table.find("s"));
        let mut apart = pieces.clone();
        let (Some(metre), Some(second)) = (metre, second) else {
            return Ok(pieces);
        };
        if pieces.last() != Some(&(second.0, -3)) {
            return Ok(pieces);
        }
        apart.pop();
        let room = apart.try_push(metre).and_then(|()| apart.try_push(second));
        room.map_err(|_| UnitError::TooMuch)?;
        if negative {
            return Ok(apart);
        }
        Err(UnitError::ambiguous(
            product_of(&apart)?,
            product_of(&pieces)?,
        ))
    }

    fn split(&self, run: &str, count: usize, so_far: &mut Pieces, found: &mut Found) {
        if count == 1 {
            if let Some(last) = self.table.find(run) {
                let mut whole = so_far.clone();
                whole.push(last);
                if found.first.is_none() {
                    found.first = Some(whole);
                } else if found.first.as_ref() != Some(&whole) {
                    found.second = Some(whole);
                }
            }
            return;
        }
        for (end, _) in run.char_indices().skip(1) {
            if let Some(piece) = self.table.find(&run[..end]) {
                so_far.push(piece);
                self.split(&run[end..], count - 1, so_far, found);
                so_far.pop();
            }
        }
    }

    /// Whether a negative power comes next.
    fn negative_next(&self) -> bool {
        let rest = self.rest().trim_start_matches(['^', '*', '(', '{']);
        rest.starts_with('⁻')
            || rest
                .strip_prefix(is_minus)
                .is_some_and(|rest| rest.starts_with(is_digit))
    }

    /// The power written next, if any.
    fn power(&mut self) -> Result<Option<Exponent>, UnitError> {
        let start = self.at;
        let rest = self.rest();
        let trimmed = rest.trim_start();
        let caret = ["^", "**"]
            .into_iter()
            .find(|caret| trimmed.starts_with(caret));
        if let Some(caret) = caret {
            self.at += rest.len() - trimmed.len() + caret.len();
            self.blanks();
            let close = match self.peek() {
                Some('(') => Some(')'),
                Some('{') => Some('}'),
                _ => None,
            };
            self.at += usize::from(close.is_some());
            let num = self.integer().ok_or(UnitError::Exponent { at: start })?;
            let mut den = 1;
            if close.is_some() && self.take(|c| c == '/') {
                den = self.integer().ok_or(UnitError::Exponent { at: start })?;
            }
            if close.is_some_and(|close| !self.take(|c| c == close)) {
                return Err(UnitError::Exponent { at: start });
            }
            let power = Exponent::new(num, den).ok_or(UnitError::Exponent { at: start })?;
            return Ok(Some(power));
        }
        let direct = rest.starts_with(is_digit)
            || rest.starts_with(is_raised)
            || rest
                .strip_prefix(is_minus)
                .is_some_and(|rest| rest.starts_with(is_digit));
        if direct {
            let num = self.integer().ok_or(UnitError::Exponent { at: start })?;
            return Ok(Exponent::new(num, 1));
        }
        let word = letters(trimmed);
        let power = if word.eq_ignore_ascii_case("squared") {
            2
        } else if word.eq_ignore_ascii_case("cubed") {
            3
        } else {
            return Ok(None);
        };
        self.at += rest.len() - trimmed.len() + word.len();
        self.forgive(Forgiven::WORDS);
        Ok(Some(Exponent::whole(power)))
    }

    /// A whole number of at most two digits, plain or raised, with its sign.
    fn integer(&mut self) -> Option<i32> {
        let negative = self.take(|c| is_minus(c) || c == '⁻');
        if !negative {
            self.take(|c| matches!(c, '+' | '⁺'));
        }
        let mut value = 0;
        let mut digits = 0;
        while let Some(digit) = self.peek().and_then(digit_of) {
            value = value * 10 + digit;
            digits += 1;
            self.take(|_| true);
            if digits > 2 {
                return None;
            }
        }
        (digits > 0).then_some(if negative { -value } else { value })
    }
}

type Pieces = ArrayVec<(UnitId, i8), MOST_PIECES>;

#[derive(Default)]
struct Found {
    first: Option<Pieces>,
    second: Option<Pieces>,
}

fn product_of(pieces: &Pieces) -> Result<Unit, UnitError> {
    pieces
        .iter()
        .try_fold(Unit::ONE, |product, &(unit, prefix)| {
            times(
                &product,
                &Unit::single(unit, prefix, Exponent::ONE).ok_or(UnitError::TooMuch)?,
            )
        })
}

/// The letters a text starts with.
fn letters(text: &str) -> &str {
    &text[..text.find(|c| !is_letter(c)).unwrap_or(text.len())]
}

/// How long a run is together with a few letters in brackets right behind it, as in `gal(UK)`.
fn bracketed(text: &str, run: &str) -> Option<usize> {
    let inside = text[run.len()..].strip_prefix('(')?;
    let length = letters(inside).len();
    (length > 0 && inside[length..].starts_with(')')).then_some(run.len() + length + 2)
}

fn is_letter(c: char) -> bool {
    c.is_alphabetic() || matches!(c, '°' | '%' | '‰' | '′' | '″' | '℃' | '℉' | '_')
}

fn is_mark(c: char) -> bool {
    matches!(c, '·' | '⋅' | '∙' | '•' | '.' | '*' | '×')
}

fn is_solidus(c: char) -> bool {
    matches!(c, '/' | '⁄' | '∕')
}

fn is_minus(c: char) -> bool {
    matches!(c, '-' | '−' | '–')
}

fn is_digit(c: char) -> bool {
    c.is_ascii_digit()
}

fn is_raised(c: char) -> bool {
    SUPERSCRIPTS.contains(&c) || matches!(c, '⁻' | '⁺')
}

fn digit_of(c: char) -> Option<i32> {
    let raised = SUPERSCRIPTS.iter().position(|&raised| raised == c);
    raised
        .map(|digit| digit as i32)
        .or_else(|| c.to_digit(10).map(|digit| digit as i32))
}
