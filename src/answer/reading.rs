//! TEMPORARY
#![allow(missing_docs)]
use crate::quantity::{Numeral, UnitReading};
#[derive(Clone, Debug, PartialEq)]
pub enum Reading {
    Blank,
    Unreadable(u8),
    Several(Vec<Written>),
    One(Written),
}
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Written {
    pub value: Value,
    pub unit: Option<UnitReading>,
}
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value {
    Numeral(Numeral),
    Evaluated {
        value: f64,
    },
    Ambiguous {
        thousands: Numeral,
        decimal: Numeral,
    },
}
impl Value {
    pub fn to_f64(&self) -> f64 {
        match self {
            Self::Numeral(n) => n.to_f64(),
            Self::Evaluated { value } => *value,
            Self::Ambiguous { decimal, .. } => decimal.to_f64(),
        }
    }
}
