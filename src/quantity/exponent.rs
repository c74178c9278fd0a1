//! An exact rational exponent, as `1/2` in `m^(1/2)`.
//!
//! In: two small integers. Out: the reduced fraction, its sums and products. Refused: a zero
//! denominator and results beyond 16 bits, as `None`.

use std::fmt::{self, Write};

use arrayvec::ArrayString;

/// A reduced fraction with a positive denominator; the power of a unit or a dimension.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Exponent {
    num: i16,
    den: i16,
}

impl Exponent {
    /// The power of what is absent.
    pub const ZERO: Self = Self { num: 0, den: 1 };
    /// The power of what is written without one.
    pub const ONE: Self = Self { num: 1, den: 1 };

    /// The fraction `num/den`, reduced; `None` if `den` is zero or a part leaves 16 bits.
    pub fn new(num: i32, den: i32) -> Option<Self> {
        if den == 0 {
            return None;
        }
        let (num, den) = (i64::from(num), i64::from(den));
        let common = gcd(num.unsigned_abs(), den.unsigned_abs()) as i64 * den.signum();
        Some(Self {
            num: i16::try_from(num / common).ok()?,
            den: i16::try_from(den / common).ok()?,
        })
    }

    /// A whole exponent.
    pub const fn whole(num: i16) -> Self {
        Self { num, den: 1 }
    }

    /// The numerator, which carries the sign.
    pub const fn numerator(self) -> i16 {
        self.num
    }

    /// The denominator, at least 1.
    pub const fn denominator(self) -> i16 {
        self.den
    }

    /// Whether it is zero.
    pub const fn is_zero(self) -> bool {
        self.num == 0
    }

    /// Whether it is below zero.
    pub const fn is_negative(self) -> bool {
        self.num < 0
    }

    /// The sum; `None` beyond 16 bits.
    pub fn checked_add(self, other: Self) -> Option<Self> {
        if self.den == 1 && other.den == 1 {
            return Some(Self::whole(self.num.checked_add(other.num)?));
        }
        let (a, b) = (i32::from(self.num), i32::from(self.den));
        let (c, d) = (i32::from(other.num), i32::from(other.den));
        Self::new(
            a.checked_mul(d)?.checked_add(c.checked_mul(b)?)?,
            b.checked_mul(d)?,
        )
    }

    /// The product; `None` beyond 16 bits.
    pub fn checked_mul(self, other: Self) -> Option<Self> {
        if self.den == 1 && other.den == 1 {
            return Some(Self::whole(self.num.checked_mul(other.num)?));
        }
        let num = i32::from(self.num).checked_mul(i32::from(other.num))?;
        let den = i32::from(self.den).checked_mul(i32::from(other.den))?;
        Self::new(num, den)
    }

    /// The same exponent with the other sign; `None` for the one value without a partner.
    pub fn checked_neg(self) -> Option<Self> {
        Some(Self {
            num: self.num.checked_neg()?,
            den: self.den,
        })
    }

    /// The nearest `f64`.
    pub fn to_f64(self) -> f64 {
        f64::from(self.num) / f64::from(self.den)
    }
}

fn gcd(mut a: u64, mut b: u64) -> u64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.max(1)
}

/// `2`, `-1`, `1/2`.
impl fmt::Display for Exponent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.den == 1 {
            write!(f, "{}", self.num)
        } else {
            write!(f, "{}/{}", self.num, self.den)
        }
    }
}

/// Writes the exponent as it stands after a symbol: nothing for 1, `²`, `⁻¹`, `^(1/2)`.
pub(crate) fn write_superscript(f: &mut fmt::Formatter<'_>, exponent: Exponent) -> fmt::Result {
    if exponent == Exponent::ONE {
        return Ok(());
    }
    if exponent.den != 1 {
        return write!(f, "^({exponent})");
    }
    f.write_str(&superscript(i32::from(exponent.num)))
}

/// An integer in raised digits: `⁻¹²`.
pub(crate) fn superscript(value: i32) -> ArrayString<36> {
    let mut plain = ArrayString::<12>::new();
    let mut raised = ArrayString::<36>::new();
    // Both hold any i32, so that neither write can fail.
    let _ = write!(plain, "{value}");
    for c in plain.chars() {
        raised.push(
            c.to_digit(10)
                .map_or('⁻', |digit| SUPERSCRIPTS[digit as usize]),
        );
    }
    raised
}

/// The raised digits 0 to 9.
const SUPERSCRIPTS: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];

/// What a raised digit stands for.
pub(crate) fn raised_digit(c: char) -> Option<i32> {
    let digit = SUPERSCRIPTS.iter().position(|&digit| digit == c);
    digit.map(|digit| digit as i32)
}

/// Whether a character is a raised digit or sign.
pub(crate) fn is_raised(c: char) -> bool {
    raised_digit(c).is_some() || matches!(c, '⁻' | '⁺')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reduces_and_keeps_the_denominator_positive() {
        for (num, den, shown) in [(2, 4, "1/2"), (3, -6, "-1/2"), (-8, -4, "2"), (0, -7, "0")] {
            assert_eq!(Exponent::new(num, den).unwrap().to_string(), shown);
        }
        assert_eq!(Exponent::new(1, 0), None);
        assert_eq!(Exponent::new(40_000, 1), None);
    }

    #[test]
    fn adds_and_multiplies_exactly() {
        let half = Exponent::new(1, 2).unwrap();
        let third = Exponent::new(1, 3).unwrap();
        assert_eq!(half.checked_add(third), Exponent::new(5, 6));
        assert_eq!(half.checked_mul(third), Exponent::new(1, 6));
        assert_eq!(half.checked_add(half), Some(Exponent::ONE));
        assert_eq!(Exponent::whole(i16::MAX).checked_add(Exponent::ONE), None);
        assert_eq!(Exponent::whole(i16::MIN).checked_neg(), None);
    }
}
