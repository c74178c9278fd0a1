//! The unit of an answer, judged by itself.
//!
//! In: what was read and the unit asked for. Out: the number in SI units, the verdict on the
//! unit, and, where the unit may be at fault, the bare number as if the right unit stood there.

use crate::answer::{Value, Written};
use crate::assignment::Units;
use crate::quantity::Unit;

use super::window::Stated;

/// What is said of a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UnitVerdict {
    /// It stands printed on the answer line.
    Printed,
    /// As asked for.
    Same,
    /// Another name for the same unit, such as N/kg for m/s².
    Equivalent,
    /// Another size of the same dimension; the number was converted.
    Converted,
    /// Of the right dimension, but the number belongs to another size or prefix.
    WrongSize,
    /// None was written.
    Missing,
    /// Of another dimension.
    WrongDimension,
}

impl UnitVerdict {
    /// Whether it costs points.
    pub fn is_fault(self) -> bool {
        matches!(self, Self::WrongSize | Self::Missing | Self::WrongDimension)
    }

    /// A short name for files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Printed => "printed",
            Self::Same => "same",
            Self::Equivalent => "equivalent",
            Self::Converted => "converted",
            Self::WrongSize => "wrong size",
            Self::Missing => "missing",
            Self::WrongDimension => "wrong dimension",
        }
    }
}

/// A number read in its unit, and what is thought of that unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// The number with the unit as written.
    pub stated: Stated,
    /// The verdict if that number is taken.
    pub verdict: UnitVerdict,
    /// The bare number in the unit asked for, where that is another value.
    pub bare: Option<Stated>,
}

/// Reads a written value in its unit. `value` is the one of its readings that is meant.
pub fn measure(written: &Written, value: Value, asked: &Unit, units: Units) -> Measured {
    let state = |unit: &Unit| match value {
        Value::Numeral(numeral) => Stated::decimal(numeral, unit),
        other => Stated::exact(other.to_f64(), unit),
    };
    let Some(reading) = &written.unit else {
        let verdict = match units {
            Units::Printed => UnitVerdict::Printed,
            Units::Written if asked.is_one() => UnitVerdict::Same,
            Units::Written => UnitVerdict::Missing,
        };
        return Measured {
            stated: state(asked),
            verdict,
            bare: None,
        };
    };
    let unit = &reading.unit;
    let judged = |verdict| {
        if units == Units::Printed {
            UnitVerdict::Printed
        } else {
            verdict
        }
    };
    if unit.same_as(asked) {
        Measured {
            stated: state(unit),
            verdict: judged(UnitVerdict::Same),
            bare: None,
        }
    } else if unit.equivalent(asked) {
        Measured {
            stated: state(unit),
            verdict: judged(UnitVerdict::Equivalent),
            bare: None,
        }
    } else if unit.dimension() == asked.dimension() {
        Measured {
            stated: state(unit),
            verdict: judged(UnitVerdict::Converted),
            bare: Some(state(asked)),
        }
    } else {
        Measured {
            stated: state(asked),
            verdict: judged(UnitVerdict::WrongDimension),
            bare: None,
        }
    }
}
