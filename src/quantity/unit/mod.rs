//! A unit as it is composed: symbols with prefixes and powers, and what that amounts to.
//!
//! In: a text in the spelling of files, or other units. Out: the factor to coherent SI, the
//! dimension, comparisons, and the text again in print's own style. Refused: what is no unit,
//! what can be read in two ways, more than eight different symbols.
//!
//! `table` is data, `lookup` finds in it; `terms` composes; `read` and `run` read the spellings people
//! use by hand: a `reading` says what they forgave, an `error` what they refused.

mod error;
mod lookup;
mod read;
mod reading;
mod run;
mod table;
mod terms;
#[cfg(test)]
mod tests;

use std::fmt;

use num_rational::BigRational;
use num_traits::{One, Pow, Zero};

use super::dimension::Dimension;
use super::exponent::{Exponent, write_superscript};
use super::numeral::{EXACT_POWERS, decimal_to_f64, power_of_ten};
use super::prefix;
use lookup::TABLE;
use terms::{Term, Terms};

pub use error::UnitError;
pub use read::read;
pub use reading::{Forgiven, UnitReading};
pub use table::{KnownUnit, known};

/// Two factors this close, relative to their size, are the same: some hundred times what
/// rounding does to a product of eight factors, far below any two units that differ.
const SAME_FACTOR: f64 = 1e-12;

/// The largest number in a power: what a product comes to can be written again as far as it is read.
const LARGEST_POWER: u16 = 99;

/// A unit of measurement. Equal when written alike, in the same order; see [`Unit::same_as`]
/// and [`Unit::equivalent`] for the looser senses.
#[derive(Clone, Copy, PartialEq)]
pub struct Unit {
    factor: f64,
    offset: f64,
    dimension: Dimension,
    terms: Terms,
}

impl Unit {
    /// The unit of a plain number.
    pub const ONE: Self = Self {
        factor: 1.0,
        offset: 0.0,
        dimension: Dimension::NONE,
        terms: Terms::NONE,
    };

    /// Reads a unit as files write it: `m/s^2`, `kg m^2`, `J/(kg K)`, `1` for none.
    ///
    /// # Errors
    /// As [`read`], and where that had to forgive a spelling, with the right one.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        let reading = read(text)?;
        match reading.forgiven.filter(|forgiven| !forgiven.is_proper()) {
            Some(forgiven) => Err(UnitError::Informal {
                unit: reading.unit,
                forgiven,
            }),
            None => Ok(reading.unit),
        }
    }

    pub(crate) fn terms(&self) -> &[Term] {
        self.terms.as_slice()
    }

    pub(crate) fn composition(&self) -> &Terms {
        &self.terms
    }

    /// Works out factor, offset and dimension from the terms. Whole powers go into one
    /// numerator and one denominator, powers of ten apart, so that most factors come out with a
    /// single rounding.
    pub(crate) fn of(terms: Terms) -> Option<Self> {
        let (mut over, mut under) = (1.0f64, 1.0f64);
        let mut power = 0i32;
        let mut unit = Self { terms, ..Self::ONE };
        for term in terms.as_slice() {
            let entry = TABLE.entry(term.unit);
            let exponent = term.exponent;
            if exponent.numerator().unsigned_abs() > LARGEST_POWER
                || exponent.denominator().unsigned_abs() > LARGEST_POWER
            {
                return None;
            }
            let tens = entry.power + i32::from(term.prefix);
            if exponent.denominator() == 1 {
                let side = if exponent.is_negative() {
                    &mut under
                } else {
                    &mut over
                };
                for _ in 0..exponent.numerator().unsigned_abs() {
                    *side *= entry.mantissa;
                }
                power = power.checked_add(tens.checked_mul(i32::from(exponent.numerator()))?)?;
            } else {
                over *= libm::pow(entry.mantissa * decimal_to_f64(1, tens), exponent.to_f64());
            }
            unit.dimension = unit.dimension.checked_mul_pow(&entry.dimension, exponent)?;
        }
        match EXACT_POWERS.get(power.unsigned_abs() as usize) {
            Some(tens) if power < 0 => under *= tens,
            Some(tens) => over *= tens,
            None => match decimal_to_f64(1, power) {
                tens if tens.is_normal() => over *= tens,
                // Not a power of ten that has all its figures; its halves may have.
                _ => {
                    over *= decimal_to_f64(1, power / 2);
                    over *= decimal_to_f64(1, power - power / 2);
                }
            },
        }
        unit.factor = over / under;
        if let [term] = terms.as_slice()
            && term.exponent == Exponent::ONE
        {
            unit.offset = TABLE.entry(term.unit).offset;
        }
        (unit.factor.is_finite() && unit.factor >= f64::MIN_POSITIVE).then_some(unit)
    }

    /// The product; `None` with too many symbols, or powers or factors out of range.
    pub fn checked_mul(&self, other: &Self) -> Option<Self> {
        Self::of(self.terms.times(&other.terms)?)
    }

    /// The quotient; `None` as for the product.
    pub fn checked_div(&self, other: &Self) -> Option<Self> {
        Self::of(self.terms.over(&other.terms)?)
    }

    /// The power; `None` as for the product.
    pub fn checked_pow(&self, exponent: Exponent) -> Option<Self> {
        Self::of(self.terms.power(exponent)?)
    }

    /// How many coherent SI units one of it is (a temperature scale: one of its steps).
    pub fn factor(&self) -> f64 {
        self.factor
    }

    /// The same, exactly; `None` where pi or a root is in it.
    pub fn exact_factor(&self) -> Option<BigRational> {
        let mut product = BigRational::one();
        let mut pi = 0;
        for term in self.terms() {
            let entry = TABLE.entry(term.unit);
            let one = &entry.ratio * power_of_ten(i32::from(term.prefix));
            if term.exponent.denominator() == 1 {
                product *= Pow::pow(one, i32::from(term.exponent.numerator()));
                pi += i32::from(entry.pi) * i32::from(term.exponent.numerator());
            } else if !one.is_one() || entry.pi != 0 {
                return None;
            }
        }
        (pi == 0).then_some(product)
    }

    /// The reading in kelvin at zero, for a lone °C or °F; 0 for all else. Within a compound
    /// a degree is a difference.
    pub fn offset(&self) -> f64 {
        self.offset
    }

    /// The same, exactly.
    pub fn exact_offset(&self) -> BigRational {
        match self.terms() {
            [term] if term.exponent == Exponent::ONE => TABLE.entry(term.unit).zero.clone(),
            _ => BigRational::zero(),
        }
    }

    /// The dimension; the radian is 1.
    pub fn dimension(&self) -> Dimension {
        self.dimension
    }

    /// A value in this unit, in coherent SI.
    pub fn to_si(&self, x: f64) -> f64 {
        x * self.factor + self.offset
    }

    /// A value in coherent SI, in this unit.
    pub fn from_si(&self, x: f64) -> f64 {
        (x - self.offset) / self.factor
    }

    /// Whether it is the unit of a plain number, written without a symbol.
    pub fn is_one(&self) -> bool {
        self.terms().is_empty()
    }

    /// As it stands behind a number, with the blank before it; nothing for a plain number.
    pub fn behind(&self) -> String {
        if self.is_one() {
            String::new()
        } else {
            format!(" {self}")
        }
    }

    /// Whether it measures an angle, as rad, ° or a revolution do.
    pub fn is_angle(&self) -> bool {
        matches!(self.terms(), [term] if term.exponent == Exponent::ONE
            && TABLE.entry(term.unit).angle)
    }

    /// Whether it counts turns. As many as there are have a zero of their own, as other angles have not.
    pub fn is_turns(&self) -> bool {
        Self::parse("rev").is_ok_and(|turn| turn.same_as(self))
    }

    /// Whether both have the same symbols with the same prefixes and powers, in any order.
    pub fn same_as(&self, other: &Self) -> bool {
        self.terms.same_as(&other.terms)
    }

    /// Whether a number means the same in both: N/kg and m/s².
    pub fn equivalent(&self, other: &Self) -> bool {
        self.dimension == other.dimension
            && self.offset == other.offset
            && (self.factor - other.factor).abs() <= SAME_FACTOR * self.factor
    }
}

/// `Unit(m/s²)`: the fields behind it say nothing more.
impl fmt::Debug for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Unit({self})")
    }
}

/// `m/s²`, `kg m²`, `J/(kg K)`, `s⁻¹`, `1`. Reads back as the same unit.
impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let over = || {
            self.terms()
                .iter()
                .filter(|term| !term.exponent.is_negative())
        };
        let under = || {
            self.terms()
                .iter()
                .filter(|term| term.exponent.is_negative())
        };
        if self.is_one() {
            return f.write_str("1");
        }
        let millisecond = |term: &Term| TABLE.find("ms") == Some((term.unit, term.prefix));
        if over().next().is_some() {
            write_terms(f, over(), Some)?;
        } else if under().any(millisecond) {
            // `ms⁻²` would read as m s⁻².
            f.write_str("1")?;
        } else {
            return write_terms(f, under(), Some);
        }
        match under().count() {
            0 => Ok(()),
            1 => {
                f.write_str("/")?;
                write_terms(f, under(), Exponent::checked_neg)
            }
            _ => {
                f.write_str("/(")?;
                write_terms(f, under(), Exponent::checked_neg)?;
                f.write_str(")")
            }
        }
    }
}

fn write_terms<'a>(
    f: &mut fmt::Formatter<'_>,
    terms: impl Iterator<Item = &'a Term>,
    shown: impl Fn(Exponent) -> Option<Exponent>,
) -> fmt::Result {
    for (index, term) in terms.enumerate() {
        if index > 0 {
            f.write_str(" ")?;
        }
        f.write_str(prefix::symbol(term.prefix))?;
        f.write_str(TABLE.entry(term.unit).symbol)?;
        write_superscript(f, shown(term.exponent).ok_or(fmt::Error)?)?;
    }
    Ok(())
}
