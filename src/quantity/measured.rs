//! A numeral with a unit, as files give it: `6.0 kg`.
//!
//! In: a text. Out: both halves as written, the value in coherent SI, the text again.
//! Refused: a text that is anything else, with the half that is wrong.

use std::fmt;

use num_rational::BigRational;

use super::numeral::{Numeral, NumeralError};
use super::unit::{Unit, UnitError};

/// A value with its unit, both as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantity {
    /// The number.
    pub numeral: Numeral,
    /// The unit; [`Unit::ONE`] where none is written.
    pub unit: Unit,
}

/// Why a text is not a quantity.
#[derive(Clone, Debug, PartialEq)]
pub enum QuantityError {
    /// The number at the start cannot be read.
    Numeral(NumeralError),
    /// What follows the number is not a unit.
    Unit {
        /// Offset in bytes at which the unit starts.
        at: usize,
        /// Why; its own offsets count from `at`.
        error: UnitError,
    },
}

impl Quantity {
    /// Reads `6.0 kg`, `6.0kg`, `3.2e4 N/m`, `0.25`.
    ///
    /// # Errors
    /// When the text does not start with a numeral, or goes on with something that is no unit
    /// in the spelling of files.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        let trimmed = text.trim_end();
        let start = trimmed.len() - trimmed.trim_start().len();
        let (numeral, length) = Numeral::scan(&trimmed[start..]).map_err(QuantityError::Numeral)?;
        let rest = &trimmed[start + length..];
        let at = trimmed.len() - rest.trim_start().len();
        if rest.is_empty() {
            return Ok(Self {
                numeral,
                unit: Unit::ONE,
            });
        }
        let unit =
            Unit::parse(rest.trim_start()).map_err(|error| QuantityError::Unit { at, error })?;
        Ok(Self { numeral, unit })
    }

    /// The value in coherent SI; a lone °C or °F is a point on its scale.
    pub fn si(&self) -> f64 {
        self.unit.to_si(self.numeral.to_f64())
    }

    /// The same, exactly; `None` where pi or a root is in the unit.
    pub fn exact_si(&self) -> Option<BigRational> {
        let factor = self.unit.exact_factor()?;
        Some(self.numeral.exact() * factor + self.unit.exact_offset())
    }
}

/// `6.0 kg`; the numeral alone where there is no unit.
impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.unit.is_one() {
            return write!(f, "{}", self.numeral);
        }
        write!(f, "{} {}", self.numeral, self.unit)
    }
}

impl QuantityError {
    /// The whole message: what was found, what was expected, what to do.
    pub fn message(&self, text: &str) -> String {
        match self {
            Self::Numeral(error) => error.to_string(),
            Self::Unit { at, error } => error.message(text.get(*at..).unwrap_or("").trim_end()),
        }
    }

    /// Where in the text it is, in bytes.
    pub fn place(&self, text: &str) -> (usize, usize) {
        match self {
            Self::Numeral(_) => (0, text.len()),
            Self::Unit { at, error } => {
                let (start, end) = error.place(text.get(*at..).unwrap_or("").trim_end());
                (at + start, at + end)
            }
        }
    }
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message("the text"))
    }
}

impl std::error::Error for QuantityError {}
