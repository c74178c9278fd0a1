//! Numbers as written, units, and both together.
//!
//! In: texts such as `3.270`, `m/s^2`, `6.0 kg`. Out: exact values with their significant
//! figures, factors to coherent SI, dimensions, and the same texts again. Refused: anything that
//! could be read in two ways; nothing is guessed.
//!
//! `numeral` keeps a number's digits, `rounding` gives one that many figures, `measured` joins it to
//! a unit and `printed` writes both as print has them. `exponent` and `dimension` are exact; `prefix`
//! is data; `unit` has the units, from their table to the spellings people use by hand.

pub mod dimension;
pub mod exponent;
pub mod measured;
pub mod numeral;
pub mod prefix;
mod printed;
pub mod rounding;
pub mod unit;

pub use dimension::Dimension;
pub use exponent::Exponent;
pub use measured::{Quantity, QuantityError};
pub use numeral::{Figures, Numeral, NumeralError};
/// The share of a value that is noise in floating sums: values that differ by no more are one.
pub const NOISE: f64 = 1e-9;

pub use rounding::{Tie, numeral_of, round_to_figures};
pub use unit::{Forgiven, Unit, UnitError, UnitReading};
