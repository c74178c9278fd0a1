//! One number as written: its digits, the marks in it, its power of ten.
//!
//! In: a cursor at the first digit or mark. Out: a numeral, or two where a mark can be read in
//! two ways. Refused: marks that make no number, powers that are not marked as powers.
//!
//! | marks | read as |
//! |---|---|
//! | the decimal mark of the class, once | decimal mark |
//! | the other mark, once, three digits behind it and one to three before | both ways |
//! | the other mark, once, else | decimal mark, noted |
//! | both, the last of them once, groups of three before it | thousands, then decimal mark |
//! | one of them several times, groups of three | thousands |
//! | single blanks or apostrophes, groups of three | thousands |

use std::fmt::Write;

use arrayvec::{ArrayString, ArrayVec};

use crate::quantity::exponent::is_raised;
use crate::quantity::numeral::MOST_DIGITS;
use crate::quantity::{Numeral, NumeralError};
use crate::text::DecimalMark;

use super::power::{bare_power, marked_exponent, power, times_ten_at};
use super::reading::{Notes, Unreadable, Value, Why};
use super::scan::{Scan, is_blank};

/// A number and what was forgiven in it.
pub(super) struct Number {
    pub(super) value: Value,
    pub(super) notes: u32,
}

impl Number {
    /// The one numeral, where there is one.
    pub(super) fn numeral(&self) -> Option<Numeral> {
        match self.value {
            Value::Numeral(numeral) => Some(numeral),
            _ => None,
        }
    }
}

type Text = ArrayString<64>;
type Marks = ArrayVec<Mark, 14>;

/// A mark and how many digits stand before it.
#[derive(Clone, Copy)]
struct Mark {
    kind: char,
    at: usize,
}

/// Reads the number at the cursor, with its power of ten.
pub(super) fn number(scan: &mut Scan<'_>, negative: bool) -> Result<Number, Unreadable> {
    let start = scan.at;
    if let Some(power) = bare_power(scan) {
        let notes = scan.digits_note()?;
        let text = assemble("1", None, negative, Some(power));
        return Ok(Number {
            value: Value::Numeral(numeral(&text, start, scan.at)?),
            notes,
        });
    }
    let mut digits = ArrayString::<MOST_DIGITS>::new();
    let marks = digits_and_marks(scan, &mut digits)?;
    let taken =
        interpret(&digits, &marks, scan.mark).ok_or(Unreadable::new(Why::Marks, start, scan.at))?;
    let ten_behind = marks.last().is_some_and(|mark| &digits[mark.at..] == "10");
    if ten_behind && marked_exponent(&mut scan.clone()).is_some() {
        return Err(Unreadable::new(Why::PointOrTimes, start, scan.end()));
    }
    let mut notes = taken.notes;
    if dots(scan) {
        notes |= Notes::DOTS;
    }
    let power = power(scan, !marks.is_empty(), &mut notes)?;
    notes |= scan.digits_note()?;
    let read = |point| numeral(&assemble(&digits, point, negative, power), start, scan.at);
    let value = match taken.decimal {
        Decimal::None => Value::Numeral(read(None)?),
        Decimal::At(at) => Value::Numeral(read(Some(at))?),
        Decimal::Perhaps(at) => Value::Ambiguous {
            thousands: read(None)?,
            decimal: read(Some(at))?,
        },
    };
    Ok(Number { value, notes })
}

/// Whether a run of digits and marks is a number under some reading.
pub(super) fn is_number(text: &str, mark: DecimalMark) -> bool {
    let mut scan = Scan::new(text, 0, mark);
    let mut digits = ArrayString::new();
    let marks = digits_and_marks(&mut scan, &mut digits);
    scan.is_done() && marks.is_ok_and(|marks| interpret(&digits, &marks, mark).is_some())
}

/// Takes digits and the marks between them.
fn digits_and_marks(
    scan: &mut Scan<'_>,
    digits: &mut ArrayString<MOST_DIGITS>,
) -> Result<Marks, Unreadable> {
    let start = scan.at;
    let mut marks = Marks::new();
    loop {
        if let Some(digit) = scan.digit() {
            let full = digits.try_push(digit).is_err();
            if full {
                return Err(Unreadable::new(Why::TooManyDigits, start, scan.at));
            }
            continue;
        }
        let Some(kind) = mark_at(scan, digits.len(), &marks) else {
            return Ok(marks);
        };
        let mark = Mark {
            kind,
            at: digits.len(),
        };
        let full = marks.try_push(mark).is_err();
        if full {
            return Err(Unreadable::new(Why::Marks, start, scan.at));
        }
        scan.bump();
    }
}

/// The mark at the cursor, where it belongs to the number.
fn mark_at(scan: &Scan<'_>, digits: usize, marks: &Marks) -> Option<char> {
    let digit_at = |n| scan.peek_at(n).is_some_and(|c| c.is_ascii_digit());
    match scan.peek()? {
        '.' | ',' if at_dots(scan) => None,
        '.' if times_ten_at(scan) && marks.iter().any(|mark| matches!(mark.kind, '.' | ',')) => {
            None
        }
        c @ ('.' | ',') => {
            let own = scan.mark.character();
            (digit_at(1) || (c == own && digits > 0)).then_some(c)
        }
        c if c == '\'' || is_blank(c) => {
            let three = digit_at(1) && digit_at(2) && digit_at(3) && !digit_at(4);
            let before = digits - marks.last().map_or(0, |mark| mark.at);
            let first = marks.last().is_none();
            let grouped = if first {
                (1..=3).contains(&before)
            } else {
                before == 3
            };
            // A thin space, as print has it between groups, parts no two numbers: the last group of decimals may
            // be short.
            let is_thin = matches!(c, '\u{2009}' | '\u{202F}');
            let own = scan.mark.character();
            let is_decimal = marks.iter().any(|mark| mark.kind == own);
            let short = is_thin && is_decimal && before == 3 && digit_at(1) && !power_at(scan);
            // "1 234/500" is no thousand, nor is it anything else for certain.
            let fraction = scan.peek_at(4) == Some('/');
            let kind = if c == '\'' { '\'' } else { ' ' };
            (three && grouped && !fraction || short).then_some(kind)
        }
        _ => None,
    }
}

/// Whether a power of ten follows a blank, `10^3` or `10³`.
fn power_at(scan: &Scan<'_>) -> bool {
    let sign = |c: char| c == '^' || is_raised(c);
    scan.peek_at(1) == Some('1')
        && scan.peek_at(2) == Some('0')
        && scan.peek_at(3).is_some_and(sign)
}

fn at_dots(scan: &Scan<'_>) -> bool {
    scan.rest().starts_with("...")
}

/// Takes the dots for further digits at the end of a number.
fn dots(scan: &mut Scan<'_>) -> bool {
    let Some(rest) = ["...", "…"]
        .iter()
        .find_map(|dots| scan.rest().strip_prefix(dots))
    else {
        return false;
    };
    scan.at = scan.end() - rest.len();
    true
}

struct Interpreted {
    decimal: Decimal,
    notes: u32,
}

enum Decimal {
    None,
    At(usize),
    Perhaps(usize),
}

/// What the marks of a number mean; the table at the top.
fn interpret(digits: &str, marks: &Marks, own: DecimalMark) -> Option<Interpreted> {
    if digits.is_empty() {
        return None;
    }
    let own = own.character();
    let other_note = |kind| if kind == own { 0 } else { Notes::OTHER_MARK };
    let is_decimal = |mark: &&Mark| matches!(mark.kind, '.' | ',');
    let Some(last) = marks.iter().rfind(is_decimal) else {
        // Whole, with blanks or apostrophes of one kind or none.
        let same = marks.windows(2).all(|pair| pair[0].kind == pair[1].kind);
        let notes = if marks.is_empty() {
            0
        } else {
            Notes::THOUSANDS
        };
        let whole = same && grouped(digits, marks.iter().map(|mark| mark.at), digits.len());
        return whole.then_some(Interpreted {
            decimal: Decimal::None,
            notes,
        });
    };
    let (before, after) = (last.at, digits.len() - last.at);
    if let [only] = marks.as_slice() {
        let thousands = after == 3 && (1..=3).contains(&before) && !digits.starts_with('0');
        let decimal = if only.kind != own && thousands {
            Decimal::Perhaps(before)
        } else {
            Decimal::At(before)
        };
        let notes = if matches!(decimal, Decimal::At(_)) {
            other_note(only.kind)
        } else {
            0
        };
        return Some(Interpreted { decimal, notes });
    }
    let same_kind = marks.iter().all(|mark| mark.kind == last.kind);
    if same_kind {
        let whole = grouped(digits, marks.iter().map(|mark| mark.at), digits.len());
        let notes = Notes::THOUSANDS;
        return whole.then_some(Interpreted {
            decimal: Decimal::None,
            notes,
        });
    }
    // One kind between thousands, then the decimal mark; blanks may go on behind it.
    let separator = marks
        .first()
        .filter(|mark| mark.kind != last.kind)
        .or(marks.last())?
        .kind;
    let fits = marks
        .iter()
        .all(|mark| mark.kind == separator || (mark.at == last.at && mark.kind == last.kind));
    let whole = marks.iter().map(|mark| mark.at).filter(|&at| at < last.at);
    let behind = marks.iter().map(|mark| mark.at).filter(|&at| at > last.at);
    let fraction = behind
        .enumerate()
        .all(|(index, at)| at == last.at + 3 * (index + 1));
    let blank_behind = marks
        .iter()
        .filter(|mark| mark.at > last.at)
        .all(|mark| mark.kind == ' ');
    let fits = fits && grouped(digits, whole, last.at) && fraction && blank_behind;
    let notes = Notes::THOUSANDS | other_note(last.kind);
    fits.then_some(Interpreted {
        decimal: Decimal::At(last.at),
        notes,
    })
}

/// Whether marks at these places cut the digits before `end` into a first group of one to three,
/// not starting with 0, and groups of three; none at all will do.
fn grouped(digits: &str, places: impl Iterator<Item = usize>, end: usize) -> bool {
    let mut from = None;
    for place in places {
        let fits = match from {
            None => (1..=3).contains(&place) && !digits.starts_with('0'),
            Some(from) => place == from + 3,
        };
        if !fits {
            return false;
        }
        from = Some(place);
    }
    from.is_none_or(|from| end == from + 3)
}

/// Digits, point and power in the spelling of a numeral.
fn assemble(digits: &str, point: Option<usize>, negative: bool, power: Option<i32>) -> Text {
    let mut text = Text::new();
    let (whole, fraction) = digits.split_at(point.unwrap_or(digits.len()));
    text.push_str(if negative { "-" } else { "" });
    text.push_str(whole);
    text.push_str(if point.is_some() { "." } else { "" });
    text.push_str(fraction);
    if let Some(power) = power {
        // 38 digits, two signs, a point, an e and any 32 bits fit.
        let _ = write!(text, "e{power}");
    }
    text
}

/// The power of ten behind brackets: `(3.2 ± 0.1)x10^4`.
pub(super) fn raise(
    scan: &mut Scan<'_>,
    value: Value,
    notes: &mut u32,
) -> Result<Value, Unreadable> {
    let start = scan.at;
    let Some(power) = power(scan, false, notes)? else {
        return Ok(value);
    };
    let raised = |n: Numeral| {
        let mut text = Text::new();
        if n.has_power() || write!(text, "{n}e{power}").is_err() {
            return Err(Unreadable::new(Why::NotAUnit, start, scan.end()));
        }
        numeral(&text, start, scan.at)
    };
    Ok(match value {
        Value::Numeral(n) => Value::Numeral(raised(n)?),
        Value::Ambiguous { thousands, decimal } => {
            let (thousands, decimal) = (raised(thousands)?, raised(decimal)?);
            Value::Ambiguous { thousands, decimal }
        }
        Value::Evaluated(_) => value,
    })
}

fn numeral(text: &str, start: usize, end: usize) -> Result<Numeral, Unreadable> {
    Numeral::parse(text).map_err(|error| {
        let why = match error {
            NumeralError::TooManyDigits { .. } => Why::TooManyDigits,
            NumeralError::OutOfRange => Why::OutOfRange,
            NumeralError::Empty | NumeralError::Unexpected { .. } => Why::Marks,
        };
        Unreadable::new(why, start, end)
    })
}
