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
pub struct Constant<'a> {
    pub name: &'a str,
    pub value: f64,
    pub unit: crate::quantity::Unit,
}
impl std::fmt::Debug for Constant<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name)
    }
}
#[derive(Clone, Copy)]
pub struct Context<'a> {
    pub decimal: crate::text::DecimalMark,
    pub constants: &'a [Constant<'a>],
    pub names: &'a [&'a str],
}
pub fn read(e: &str, _: &Context<'_>) -> Reading {
    let e = e.trim();
    if e.is_empty() {
        return Reading::Blank;
    }
    let (n, u) = e.split_once(' ').unwrap_or((e, ""));
    match (
        Numeral::parse(n),
        u.is_empty(),
        crate::quantity::unit::read(u),
    ) {
        (Ok(n), true, _) => Reading::One(Written {
            value: Value::Numeral(n),
            unit: None,
        }),
        (Ok(n), false, Ok(u)) => Reading::One(Written {
            value: Value::Numeral(n),
            unit: Some(u),
        }),
        _ => Reading::Unreadable(0),
    }
}
