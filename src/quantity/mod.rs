//! Numbers as written, units, and both together.
//!
//! In: texts such as `3.270`, `m/s^2`, `6.0 kg`. Out: exact values with their significant
//! figures, factors to coherent SI, dimensions, and the same texts again. Refused: anything that
//! could be read in two ways; nothing is guessed.
//!
//! `numeral` keeps a number's digits, `rounding` gives one that many figures, `measured` joins it to
//! a unit and `printed` writes both as print has them. `exponent` and `dimension` are exact; `prefix`
//! and `unit_table` are data, `unit_lookup` finds in them; `unit_terms` composes, `unit` reckons;
//! `unit_read` and `unit_run` read the spellings people use by hand, and say what they forgave.

pub mod dimension;
pub mod exponent;
pub mod measured;
pub mod numeral;
pub mod prefix;
mod printed;
pub mod rounding;
pub mod unit;
mod unit_error;
mod unit_lookup;
mod unit_read;
mod unit_reading;
mod unit_run;
mod unit_table;
mod unit_terms;

pub use dimension::Dimension;
pub use exponent::Exponent;
pub use measured::{Quantity, QuantityError};
pub use numeral::{Figures, Numeral, NumeralError};
/// The share of a value that is noise in floating sums: values that differ by no more are one.
pub const NOISE: f64 = 1e-9;

pub use rounding::{Tie, numeral_of, round_to_figures};
pub use unit::{Forgiven, Unit, UnitError, UnitReading};
