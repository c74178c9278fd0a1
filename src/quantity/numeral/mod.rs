//! A number as somebody wrote it.
//!
//! In: `3.270`, `-0.50`, `30.`, `.5`, `1.30e3`. Out: its exact value, its significant figures as
//! a range, the place of its last digit, and the very same text again. Refused: more than 38
//! digits, magnitudes an `f64` cannot hold, and everything that is not such a number.
//!
//! ```text
//! numeral  = [sign] digits [power]
//! digits   = digit+ ["." digit*] | "." digit+
//! power    = ("e" | "E") [sign] digit+
//! ```

use std::fmt;

use arrayvec::ArrayString;
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::Pow;

use super::exponent::superscript;

mod arithmetic;
mod read;

pub use read::NumeralError;

/// The longest run of digits that is taken, leading zeros included.
pub const MOST_DIGITS: usize = 38;

/// Powers of ten that an `f64` holds exactly.
pub(crate) const EXACT_POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];

/// A decimal number with all that is needed to print it as it was read.
///
/// Two are equal when they are written alike: `3.0` and `3.00` differ, see [`Numeral::exact`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Numeral {
    /// All written digits as one whole number.
    coefficient: u128,
    /// How many digits were written, leading zeros included.
    digits: u8,
    /// How many of them stand after the point; `None` without a point.
    decimals: Option<u8>,
    sign: Sign,
    power: Option<Power>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Sign {
    Unsigned,
    Plus,
    Minus,
}

/// The written power of ten.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
struct Power {
    exponent: i16,
    digits: u8,
    sign: Sign,
    upper: bool,
}

/// Significant figures as a range, since trailing zeros before an absent point may or may not
/// count: `1300` has 2, 3 or 4.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Figures {
    /// The reading with the fewest, at least 1.
    pub least: u8,
    /// The reading with the most.
    pub most: u8,
}

impl Numeral {
    /// A numeral from its parts: so many decimals of a coefficient, and a power of ten. `None`
    /// beyond 38 digits or the range of an `f64`.
    pub(crate) fn build(
        negative: bool,
        coefficient: u128,
        decimals: u8,
        power: Option<i16>,
    ) -> Option<Self> {
        let digits = digits_of(coefficient).max(u32::from(decimals) + 1);
        let numeral = Self {
            coefficient,
            digits: u8::try_from(digits)
                .ok()
                .filter(|&n| usize::from(n) <= MOST_DIGITS)?,
            decimals: (decimals > 0).then_some(decimals),
            sign: if negative {
                Sign::Minus
            } else {
                Sign::Unsigned
            },
            power: power.map(Power::plain),
        };
        numeral.in_range().ok()?;
        Some(numeral)
    }

    fn in_range(&self) -> Result<(), NumeralError> {
        // Without a power the size is at least 1e-38 and below 1e38.
        if self.power.is_none() {
            return Ok(());
        }
        let size = self.to_f64().abs();
        let fits = self.coefficient == 0 || (size >= f64::MIN_POSITIVE && size.is_finite());
        if fits {
            Ok(())
        } else {
            Err(NumeralError::OutOfRange)
        }
    }

    /// The nearest `f64`; always finite.
    pub fn to_f64(&self) -> f64 {
        let size = decimal_to_f64(self.coefficient, self.last_place());
        if self.is_negative() { -size } else { size }
    }

    /// The exact value.
    pub fn exact(&self) -> BigRational {
        let coefficient = BigInt::from(self.coefficient);
        let signed = if self.is_negative() {
            -coefficient
        } else {
            coefficient
        };
        BigRational::from_integer(signed) * power_of_ten(self.last_place())
    }

    /// How many figures are significant. Leading zeros never are; trailing zeros are where a
    /// point is written; without one they may be. A zero has one, or as many as it has digits.
    ///
    /// Rule: OpenStax, Chemistry 2e, section 1.5.
    pub fn figures(&self) -> Figures {
        if self.coefficient == 0 {
            return Figures {
                least: 1,
                most: self.decimals.unwrap_or(0).saturating_add(1),
            };
        }
        let most = digits_of(self.coefficient) as u8;
        if self.decimals.is_some() {
            return Figures { least: most, most };
        }
        let mut zeros = 0;
        let mut rest = self.coefficient;
        while rest.is_multiple_of(10) {
            rest /= 10;
            zeros += 1;
        }
        Figures {
            least: most - zeros,
            most,
        }
    }

    /// The power of ten of the last written digit: −2 for `3.27`, 0 for `30`, 2 for `1.30e4`.
    pub fn last_place(&self) -> i32 {
        let power = self.power.map_or(0, |power| i32::from(power.exponent));
        power - i32::from(self.decimals.unwrap_or(0))
    }

    /// The power of ten of the first digit that is not zero; of the last digit in a zero.
    pub fn first_place(&self) -> i32 {
        self.last_place() + digits_of(self.coefficient).max(1) as i32 - 1
    }

    /// Half a unit in the last place that is kept when it is read with so many figures: 50 for
    /// `1300` with 2 figures, 0.005 for `3.27`. Never finer than what is written.
    pub fn half_unit(&self, figures: u8) -> f64 {
        let last = if self.coefficient == 0 {
            self.last_place()
        } else {
            let kept = i32::from(figures.max(1)) - 1;
            self.last_place().max(self.first_place() - kept)
        };
        decimal_to_f64(5, last - 1)
    }

    /// Whether a minus sign is written.
    pub fn is_negative(&self) -> bool {
        self.sign == Sign::Minus
    }

    /// Whether all digits are zero.
    pub fn is_zero(&self) -> bool {
        self.coefficient == 0
    }

    /// Whether the last digit that is not zero is a 5: only such numbers can lie exactly between
    /// two that are shorter. Of more than 19 digits it may be said in vain.
    pub fn ends_in_five(&self) -> bool {
        let Ok(mut digits) = u64::try_from(self.coefficient) else {
            return true;
        };
        while digits != 0 && digits.is_multiple_of(10) {
            digits /= 10;
        }
        digits % 10 == 5
    }

    /// How many digits stand after the point, before any power of ten.
    pub fn decimals(&self) -> u8 {
        self.decimals.unwrap_or(0)
    }

    /// Whether a power of ten is written.
    pub fn has_power(&self) -> bool {
        self.power.is_some()
    }

    /// All written digits as one whole number, whatever the sign, point and power.
    pub(crate) fn magnitude(&self) -> u128 {
        self.coefficient
    }

    /// The same whole numeral with a point behind it.
    #[must_use]
    pub(crate) fn pointed(&self) -> Self {
        Self {
            decimals: self.decimals.or(Some(0)),
            ..*self
        }
    }

    /// The text for people: a power of ten as `×10⁴` in place of `e4`.
    pub fn pretty(&self) -> String {
        let text = self.to_string();
        let (Some(power), Some((digits, _))) = (self.power, text.split_once(['e', 'E'])) else {
            return text;
        };
        let mut shown = format!("{digits}×10");
        let raised = superscript(i32::from(power.exponent));
        shown.push_str(&raised);
        shown
    }
}

impl Sign {
    fn text(self) -> &'static str {
        match self {
            Self::Unsigned => "",
            Self::Plus => "+",
            Self::Minus => "-",
        }
    }
}

impl Power {
    fn plain(exponent: i16) -> Self {
        let digits = digits_of(u128::from(exponent.unsigned_abs())).max(1) as u8;
        let sign = if exponent < 0 {
            Sign::Minus
        } else {
            Sign::Unsigned
        };
        Self {
            exponent,
            digits,
            sign,
            upper: false,
        }
    }
}

/// The numeral exactly as it was read.
impl fmt::Display for Numeral {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        use fmt::Write;
        // Sign, 38 digits, point, e, sign and nine digits of the power.
        let mut text = ArrayString::<56>::new();
        let mut digits = ArrayString::<40>::new();
        write!(
            digits,
            "{:0width$}",
            self.coefficient,
            width = usize::from(self.digits)
        )?;
        let point = digits.len() - usize::from(self.decimals.unwrap_or(0));
        let (whole, fraction) = digits.split_at_checked(point).unwrap_or((&digits, ""));
        let mark = if self.decimals.is_some() { "." } else { "" };
        write!(text, "{}{whole}{mark}{fraction}", self.sign.text())?;
        if let Some(power) = self.power {
            let mark = if power.upper { 'E' } else { 'e' };
            let (sign, width) = (power.sign.text(), usize::from(power.digits));
            write!(
                text,
                "{mark}{sign}{:0width$}",
                power.exponent.unsigned_abs()
            )?;
        }
        f.pad(&text)
    }
}

/// How many digits a whole number has; none for zero.
pub(crate) fn digits_of(value: u128) -> u32 {
    // Division of 128 bits takes many times as long, and written numbers seldom need it.
    match u64::try_from(value) {
        Ok(value) => value.checked_ilog10().map_or(0, |log| log + 1),
        Err(_) => value.ilog10() + 1,
    }
}

/// Ten to the `place`, exactly.
pub(crate) fn power_of_ten(place: i32) -> BigRational {
    BigRational::from_integer(10.into()).pow(place)
}

/// The `f64` nearest to `coefficient` times ten to the `place`; infinite or zero beyond range.
pub(crate) fn decimal_to_f64(coefficient: u128, place: i32) -> f64 {
    use fmt::Write;
    // Both operands exact, one rounding: correct. Elsewhere the library's own exact reader.
    if coefficient < 1 << 53 && place.unsigned_abs() < EXACT_POWERS.len() as u32 {
        let power = EXACT_POWERS[place.unsigned_abs() as usize];
        let value = coefficient as f64;
        return if place < 0 {
            value / power
        } else {
            value * power
        };
    }
    let mut text = ArrayString::<64>::new();
    let written = write!(text, "{coefficient}e{place}").is_ok();
    text.parse().ok().filter(|_| written).unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests;
