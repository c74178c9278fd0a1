//! Numbers left to work out: `49/15`, `1 4/15`, `2√3`, `3π/2`, `23g/67`, `(1+√3)/2`.
//!
//! In: a cursor at the first sign. Out: the value, what kind it is, the unit that constants
//! bring. Refused: plain sums and products (a student who leaves `3 + 2` may mean anything),
//! quotients and roots of doubtful reach, division by zero.
//!
//! ```text
//! sum     = ["-"] product (("+" | "-") product)*
//! product = factor (times factor | "/" factor | factor)*    the last: π, a root, a constant, "("
//! factor  = number | number "½" | "½" | whole " " whole "/" whole | "π" | root | constant
//!         | "(" sum ")"
//! root    = ("√" | "sqrt") (number | "π" | "(" sum ")")
//! ```

use crate::quantity::{Exponent, Numeral, Unit};

use super::Context;
use super::number::number;
use super::reading::{Evaluated, Kind, Notes, Unreadable, Value, Why};
use super::scan::{Scan, closing, is_close, is_times};

mod name;

use name::{Name, vulgar};

/// How deep brackets and roots may go.
pub(super) const DEEPEST: u8 = 12;

/// What an expression comes to.
pub(super) struct Outcome {
    pub(super) evaluated: Evaluated,
    /// The unit of the constants in it; one where there are none.
    pub(super) unit: Unit,
    pub(super) notes: u32,
}

/// A value on the way, and what went into it.
#[derive(Clone, Copy)]
struct Worth {
    x: f64,
    unit: Unit,
    parts: u8,
    quotients: u8,
    /// Sums and products of plain numbers.
    plain: u8,
}

const MIXED: u8 = 1;
const PI: u8 = 2;
const ROOT: u8 = 4;
const CONSTANT: u8 = 8;
const DECIMAL: u8 = 16;

impl Worth {
    fn new(x: f64, parts: u8) -> Self {
        Self {
            x,
            unit: Unit::ONE,
            parts,
            quotients: 0,
            plain: 0,
        }
    }

    /// Both together, whatever joins them.
    fn join(self, other: Self, x: f64, unit: Unit) -> Self {
        Self {
            x,
            unit,
            parts: self.parts | other.parts,
            quotients: self.quotients.saturating_add(other.quotients),
            plain: self.plain.saturating_add(other.plain),
        }
    }
}

/// Reads an expression at the cursor and leaves the cursor behind it.
pub(super) fn expression(
    scan: &mut Scan<'_>,
    context: &Context<'_>,
) -> Result<Outcome, Unreadable> {
    let start = scan.at;
    let mut reader = Reader {
        scan: *scan,
        context,
        depth: 0,
        notes: 0,
    };
    let worth = reader.sum()?;
    let end = reader.scan.at;
    let fault = |why| Err(Unreadable::new(why, start, end));
    let kind = match worth.parts {
        parts if parts & CONSTANT != 0 => Kind::Constant,
        parts if parts & ROOT != 0 => Kind::Surd,
        parts if parts & PI != 0 => Kind::Pi,
        _ if worth.plain > 0 || worth.quotients > 1 => return fault(Why::NotWorkedOut),
        parts if parts & MIXED != 0 => Kind::Mixed,
        _ if worth.quotients == 1 => Kind::Fraction,
        // A number alone; what stands behind it was the trouble.
        _ => return fault(Why::NoNumber),
    };
    if !worth.x.is_finite() {
        return fault(Why::OutOfRange);
    }
    *scan = reader.scan;
    let evaluated = Evaluated {
        value: worth.x,
        kind,
        exact: worth.parts & DECIMAL == 0,
    };
    Ok(Outcome {
        evaluated,
        unit: worth.unit,
        notes: reader.notes,
    })
}

struct Reader<'a, 'c> {
    scan: Scan<'a>,
    context: &'c Context<'c>,
    depth: u8,
    notes: u32,
}

impl<'a, 'c> Reader<'a, 'c> {
    fn fault(&self, why: Why) -> Unreadable {
        self.scan.fault(why)
    }

    fn deeper(&mut self) -> Result<(), Unreadable> {
        self.depth += 1;
        if self.depth > DEEPEST {
            Err(self.fault(Why::TooDeep))
        } else {
            Ok(())
        }
    }

    fn sum(&mut self) -> Result<Worth, Unreadable> {
        self.scan.blanks();
        let negative = self.scan.take(|c| c == '-');
        let mut total = self.product()?;
        if negative {
            total.x = -total.x;
        }
        loop {
            let before = self.scan;
            self.scan.blanks();
            let sign = match self.scan.peek() {
                Some('+') => 1.0,
                Some('-') => -1.0,
                _ => {
                    self.scan = before;
                    return Ok(total);
                }
            };
            self.scan.bump();
            let next = self.product()?;
            if !total.unit.same_as(&next.unit) {
                return Err(self.fault(Why::MixedSum));
            }
            let plain = (total.parts | next.parts) & (PI | ROOT | CONSTANT) == 0;
            total = total.join(next, total.x + sign * next.x, total.unit);
            total.plain += u8::from(plain);
        }
    }

    fn product(&mut self) -> Result<Worth, Unreadable> {
        let mut total = self.factor()?;
        let mut divided = false;
        let mut divisions = 0;
        loop {
            let before = self.scan;
            let apart = self.scan.blanks();
            let next = self.scan.peek();
            if next.is_some_and(is_times) || self.at_letter_times() {
                self.scan.bump();
                let factor = self.factor()?;
                let plain = (total.parts | factor.parts) & (PI | ROOT | CONSTANT) == 0;
                total = self.times(total, factor)?;
                total.plain += u8::from(plain);
                divided = false;
            } else if next == Some('/') && self.divisor_follows() {
                if divisions > 0 {
                    return Err(self.fault(Why::AmbiguousQuotient));
                }
                self.scan.bump();
                let factor = self.factor()?;
                total = self.over(total, factor)?;
                divided = true;
                divisions += 1;
            } else if divided && !apart && self.at_lone_constant() {
                return Err(self.fault(Why::AmbiguousQuotient));
            } else if self.factor_follows(apart) {
                if divided && !apart {
                    return Err(self.fault(Why::AmbiguousQuotient));
                }
                let factor = self.factor()?;
                total = self.times(total, factor)?;
                // `2(3)` is as good as `2 · 3`.
                let plain = (total.parts | factor.parts) & (PI | ROOT | CONSTANT) == 0;
                total.plain += u8::from(plain);
            } else {
                self.scan = before;
                return Ok(total);
            }
        }
    }

    fn times(&self, a: Worth, b: Worth) -> Result<Worth, Unreadable> {
        let unit = a
            .unit
            .checked_mul(&b.unit)
            .ok_or(self.fault(Why::OutOfRange))?;
        Ok(a.join(b, a.x * b.x, unit))
    }

    fn over(&self, a: Worth, b: Worth) -> Result<Worth, Unreadable> {
        if b.x == 0.0 {
            return Err(self.fault(Why::Undefined));
        }
        let unit = a
            .unit
            .checked_div(&b.unit)
            .ok_or(self.fault(Why::OutOfRange))?;
        let mut quotient = a.join(b, a.x / b.x, unit);
        quotient.quotients = quotient.quotients.saturating_add(1);
        Ok(quotient)
    }

    /// A lone x between numbers, as in `2 x √3`.
    fn at_letter_times(&self) -> bool {
        matches!(self.scan.letters(), "x" | "X")
    }

    /// Whether the solidus at the cursor divides by something that has a value: a unit such as
    /// `/s` has none.
    fn divisor_follows(&self) -> bool {
        let mut ahead = self.scan;
        ahead.bump();
        ahead.blanks();
        let ahead = Reader {
            scan: ahead,
            ..*self
        };
        ahead.scan.at_number()
            || matches!(ahead.scan.peek(), Some('(' | '√' | 'π' | '-'))
            || ahead.name().is_some()
    }

    /// Whether a factor comes next without a sign before it.
    fn factor_follows(&self, apart: bool) -> bool {
        match self.scan.peek() {
            Some('√') => true,
            // With a blank it may as well be a note.
            Some('(') => {
                !apart
                    && closing(self.scan.rest()).is_some_and(|(end, _)| {
                        let mut scan = self.scan;
                        // A bracket of full width has more bytes than one.
                        scan.bump();
                        let Some(text) = self.whole().get(..self.scan.at + end) else {
                            return false;
                        };
                        let scan = Scan::new(text, scan.at, scan.mark);
                        let mut inner = Reader {
                            scan,
                            depth: self.depth + 1,
                            ..*self
                        };
                        inner.sum().is_ok() && inner.scan.rest().trim().is_empty()
                    })
            }
            _ => self.name().is_some() && !self.is_unit(),
        }
    }

    /// The whole entry, of which the cursor sees the rest.
    fn whole(&self) -> &'a str {
        self.scan.text()
    }

    fn factor(&mut self) -> Result<Worth, Unreadable> {
        self.scan.blanks();
        if self.scan.at_number() {
            return self.numbers();
        }
        if let Some(part) = self.scan.peek().and_then(vulgar) {
            self.scan.bump();
            return Ok(Worth::new(part, MIXED));
        }
        if self.scan.peek() == Some('(') {
            return self.brackets();
        }
        if self.scan.take(|c| c == '√') {
            return self.root();
        }
        match self.name() {
            Some((Name::Pi, length)) => {
                self.scan.at += length;
                Ok(Worth::new(std::f64::consts::PI, PI))
            }
            Some((Name::Root, length)) => {
                self.scan.at += length;
                self.root()
            }
            Some((Name::Constant(constant), length)) => {
                self.scan.at += length;
                let x = constant.unit.from_si(constant.value);
                Ok(Worth {
                    unit: constant.unit,
                    ..Worth::new(x, CONSTANT)
                })
            }
            None => Err(self.fault(Why::NoNumber)),
        }
    }

    fn brackets(&mut self) -> Result<Worth, Unreadable> {
        self.deeper()?;
        self.scan.bump();
        let inside = self.sum()?;
        self.scan.blanks();
        if !self.scan.take(|c| c == ')') {
            let why = if !self.scan.rest().contains(is_close) {
                Why::Brackets
            } else {
                Why::NoNumber
            };
            return Err(self.fault(why));
        }
        self.depth -= 1;
        Ok(inside)
    }

    fn root(&mut self) -> Result<Worth, Unreadable> {
        self.deeper()?;
        self.scan.blanks();
        let inside = if self.scan.take(|c| c == '√') {
            self.root()?
        } else if self.scan.peek() == Some('(') {
            self.brackets()?
        } else {
            let inside = if self.scan.at_number() {
                let found = number(&mut self.scan, false)?;
                self.plain(found.numeral(), found.notes)?
            } else if matches!(self.name(), Some((Name::Pi, _))) {
                self.factor()?
            } else {
                return Err(self.fault(Why::AmbiguousRoot));
            };
            if self.name().is_some() {
                return Err(self.fault(Why::AmbiguousRoot));
            }
            inside
        };
        self.depth -= 1;
        if inside.x < 0.0 {
            return Err(self.fault(Why::Undefined));
        }
        let half = Exponent::new(1, 2).and_then(|half| inside.unit.checked_pow(half));
        let unit = half.ok_or(self.fault(Why::OutOfRange))?;
        // The square root is correctly rounded everywhere.
        let parts = inside.parts & (DECIMAL | CONSTANT) | ROOT;
        Ok(Worth {
            unit,
            ..Worth::new(inside.x.sqrt(), parts)
        })
    }

    fn plain(&mut self, numeral: Option<Numeral>, notes: u32) -> Result<Worth, Unreadable> {
        let numeral = numeral.ok_or(self.fault(Why::AmbiguousNumber))?;
        self.notes |= notes;
        let decimal = numeral.decimals() > 0 || numeral.has_power();
        Ok(Worth::new(
            numeral.to_f64(),
            if decimal { DECIMAL } else { 0 },
        ))
    }

    /// A number, and a fraction behind it: `3`, `1½`, `1 4/15`.
    fn numbers(&mut self) -> Result<Worth, Unreadable> {
        let start = self.scan.at;
        let found = number(&mut self.scan, false)?;
        let mut worth = self.plain(found.numeral(), found.notes)?;
        if let Some(part) = self.scan.peek().and_then(vulgar) {
            self.scan.bump();
            worth.parts |= MIXED;
            worth.x += part;
            return Ok(worth);
        }
        let mut ahead = self.scan;
        if !ahead.blanks() || !ahead.at_number() {
            return Ok(worth);
        }
        let fault = |end| Unreadable::new(Why::TwoNumbers, start, end);
        let numerator = ahead.at;
        let over = number(&mut ahead, false)?;
        let length = ahead.at - numerator;
        if !ahead.take(|c| c == '/') || !ahead.at_number() {
            return Err(fault(ahead.end()));
        }
        let under = number(&mut ahead, false)?;
        let whole = |value: Value| match value {
            Value::Numeral(n) if !n.has_power() && n.decimals() == 0 => Some(n.to_f64()),
            _ => None,
        };
        // A proper fraction behind a whole number; three digits could be thousands.
        let parts = (whole(found.value), whole(over.value), whole(under.value));
        let (Some(first), Some(over), Some(under)) = parts else {
            return Err(fault(ahead.end()));
        };
        if !(over > 0.0 && over < under) || length == 3 {
            return Err(fault(ahead.end()));
        }
        self.scan = ahead;
        Ok(Worth::new(first + over / under, MIXED))
    }
}

impl Outcome {
    /// Notes of the number, and that the unit is the constant's where it has one.
    pub(super) fn all_notes(&self) -> u32 {
        self.notes
            | if self.unit.is_one() {
                0
            } else {
                Notes::UNIT_OF_CONSTANT
            }
    }
}
