//! Rounding in decimal, by both rules that are taught for an exact tie.
//!
//! In: a number and how many figures to keep. Out: the rounded number, or its text for a key.

use super::numeral::{Numeral, digits_of};

/// What happens to a dropped 5 with nothing after it. Physics books go away from zero
/// (OpenStax, University Physics 1), chemistry and NIST SP 811 B.7.1 to the even digit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Tie {
    /// 92.85 becomes 92.9.
    Away,
    /// 92.85 becomes 92.8.
    Even,
}

impl Tie {
    /// The whole quotient of two whole numbers, rounded by this rule.
    pub(crate) fn divide(self, value: u128, by: u128) -> u128 {
        // Division of 128 bits takes many times as long, and written numbers seldom need it.
        let (quotient, rest) = match (u64::try_from(value), u64::try_from(by)) {
            (Ok(value), Ok(by)) => (u128::from(value / by), u128::from(value % by)),
            _ => (value / by, value % by),
        };
        let up = match (rest).cmp(&(by - rest)) {
            std::cmp::Ordering::Less => false,
            std::cmp::Ordering::Greater => true,
            std::cmp::Ordering::Equal => self == Self::Away || quotient % 2 == 1,
        };
        quotient + u128::from(up)
    }
}

/// How many digits of a computed value are trusted before it is rounded in decimal, so that
/// 3.6749999999999998, which stands for 3.675, becomes 3.68.
const TRUSTED: usize = 13;

/// A computed value as a numeral of so many figures (1 to 13): plain from 0.001 up to a
/// million, with a power of ten beyond. `None` for what is not finite or beyond 1e±307.
pub fn numeral_of(x: f64, figures: u8) -> Option<Numeral> {
    let figures = figures.clamp(1, TRUSTED as u8);
    if !x.is_finite() {
        return None;
    }
    if x == 0.0 {
        return Numeral::build(false, 0, figures - 1, None);
    }
    let long = Numeral::parse(&format!("{x:.*e}", TRUSTED - 1)).ok()?;
    let short = long.rounded(figures, Tie::Away);
    if !(-3..6).contains(&short.first_place()) {
        return Some(short);
    }
    plain(&short)
}

/// The same value without a power of ten.
fn plain(numeral: &Numeral) -> Option<Numeral> {
    let last = numeral.last_place();
    let size = numeral.magnitude();
    let zeros = u32::try_from(last.max(0)).ok()?;
    let coefficient = size.checked_mul(10u128.checked_pow(zeros)?)?;
    let decimals = u8::try_from((-last).max(0)).ok()?;
    let value = Numeral::build(numeral.is_negative(), coefficient, decimals, None)?;
    // A last zero in the place of the ones counts only with its point.
    let counts = last == 0 && size.is_multiple_of(10) && digits_of(size) > 1;
    Some(if counts { value.pointed() } else { value })
}

/// A computed value as text for a key: `3.27`, `12300`, `9.81×10⁶`, `not a number`.
pub fn round_to_figures(x: f64, figures: u8) -> String {
    match numeral_of(x, figures) {
        Some(numeral) => numeral.pretty(),
        None => "not a number".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_printed_from_the_decimal_value() {
        let cases: &[(f64, u8, &str)] = &[
            (3.675, 3, "3.68"),
            (0.445, 2, "0.45"),
            (3.675 - f64::EPSILON, 3, "3.68"),
            (2.6666666666666665, 3, "2.67"),
            (-0.5, 3, "-0.500"),
            (12345.0, 3, "12300"),
            (9.96, 2, "10."),
            (29.97, 3, "30.0"),
            (1234567.0, 3, "1.23×10⁶"),
            (999999.9, 3, "1.00×10⁶"),
            (0.00123456, 3, "0.00123"),
            (0.000123456, 3, "1.23×10⁻⁴"),
            (9.109e-31, 4, "9.109×10⁻³¹"),
            (0.0, 3, "0.00"),
            (f64::NAN, 3, "not a number"),
            (f64::INFINITY, 3, "not a number"),
        ];
        for &(x, figures, expected) in cases {
            assert_eq!(round_to_figures(x, figures), expected, "{x} to {figures}");
        }
    }
}
