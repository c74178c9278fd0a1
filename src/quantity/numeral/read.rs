//! Reads a numeral from a text.

use super::{MOST_DIGITS, Numeral, Power, Sign};

/// Why a text is not a [`Numeral`]. Offsets are bytes in the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NumeralError {
    /// Nothing was there.
    #[error("expected a number, found nothing")]
    Empty,
    /// A character that has no place there.
    #[error("expected a number such as 3.27 or 3.2e4, found something else at character {}", at + 1)]
    Unexpected {
        /// Offset of the character.
        at: usize,
    },
    /// More digits than are kept.
    #[error(
        "expected at most {MOST_DIGITS} digits, found {found}; write the number with a power of ten, as 3.2e4"
    )]
    TooManyDigits {
        /// How many there are.
        found: usize,
    },
    /// A magnitude beyond the range of an `f64`.
    #[error("expected a size between 1e-307 and 1e308, found a number beyond it")]
    OutOfRange,
}

impl Numeral {
    /// Reads a whole text.
    ///
    /// # Errors
    /// When the text is anything else, or more than, one numeral.
    pub fn parse(text: &str) -> Result<Self, NumeralError> {
        let (numeral, length) = Self::scan(text)?;
        if length < text.len() {
            return Err(NumeralError::Unexpected { at: length });
        }
        Ok(numeral)
    }

    /// Reads the numeral at the start of a text and says how many bytes it takes. An `e` that no
    /// digit follows is left alone, so that `3eV` is 3 and a unit.
    ///
    /// # Errors
    /// When the text does not start with a numeral.
    pub fn scan(text: &str) -> Result<(Self, usize), NumeralError> {
        let bytes = text.as_bytes();
        if bytes.is_empty() {
            return Err(NumeralError::Empty);
        }
        let (sign, mut at) = Sign::scan(bytes, 0);
        // As many digits as 64 bits surely hold are gathered there, the rest in 128.
        let mut short = 0u64;
        let mut long = 0u128;
        let mut digits = 0usize;
        let mut point = None;
        while let Some(&byte) = bytes.get(at) {
            match byte {
                b'0'..=b'9' => {
                    digits += 1;
                    let digit = byte - b'0';
                    if digits < 19 {
                        short = short * 10 + u64::from(digit);
                    } else if digits <= MOST_DIGITS {
                        let so_far = if digits == 19 {
                            u128::from(short)
                        } else {
                            long
                        };
                        long = so_far * 10 + u128::from(digit);
                    }
                }
                b'.' if point.is_none() => point = Some(digits),
                _ => break,
            }
            at += 1;
        }
        let coefficient = if digits < 19 { u128::from(short) } else { long };
        if digits == 0 {
            return Err(NumeralError::Unexpected { at });
        }
        if digits > MOST_DIGITS {
            return Err(NumeralError::TooManyDigits { found: digits });
        }
        let (power, at) = Power::scan(bytes, at)?;
        let numeral = Self {
            coefficient,
            digits: digits as u8,
            decimals: point.map(|point| (digits - point) as u8),
            sign,
            power,
        };
        numeral.in_range()?;
        Ok((numeral, at))
    }
}

impl Sign {
    pub(super) fn scan(bytes: &[u8], at: usize) -> (Self, usize) {
        match bytes.get(at) {
            Some(b'+') => (Self::Plus, at + 1),
            Some(b'-') => (Self::Minus, at + 1),
            _ => (Self::Unsigned, at),
        }
    }
}

impl Power {
    pub(super) fn scan(bytes: &[u8], start: usize) -> Result<(Option<Self>, usize), NumeralError> {
        let upper = match bytes.get(start) {
            Some(b'e') => false,
            Some(b'E') => true,
            _ => return Ok((None, start)),
        };
        let (sign, first) = Sign::scan(bytes, start + 1);
        let mut at = first;
        let mut size = 0i16;
        while let Some(digit) = bytes.get(at).filter(|byte| byte.is_ascii_digit()) {
            size = size
                .saturating_mul(10)
                .saturating_add(i16::from(digit - b'0'));
            at += 1;
        }
        if at == first {
            return Ok((None, start));
        }
        // Three digits reach beyond an f64 already.
        if size > 999 || at - first > 9 {
            return Err(NumeralError::OutOfRange);
        }
        let exponent = if sign == Sign::Minus { -size } else { size };
        Ok((
            Some(Self {
                exponent,
                digits: (at - first) as u8,
                sign,
                upper,
            }),
            at,
        ))
    }
}
