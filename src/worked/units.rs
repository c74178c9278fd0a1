//! In which units a worked solution reckons, and how values are written on the way.
//!
//! In: an assignment. Out: coherent SI units throughout, by the names that its quantities have (J where a
//! teacher asks for J), so that numbers may be multiplied as they stand; angles stay in degrees where they
//! are asked for or given so. A value is written with the figures asked for and up to two more, without
//! zeros behind those asked for.

use crate::assignment::Assignment;
use crate::formula::tree::{Node, Operator};
use crate::formula::{Equation, check};
use crate::quantity::{Dimension, Exponent, Numeral, Quantity, Unit, numeral_of};
use crate::text::DecimalMark;

use super::maths::Maths;

/// Figures beyond those asked for that are written on the way.
const GUARD: u8 = 2;

/// Names for what is composed of base units, the more common ones first.
const NAMED: [&str; 10] = ["N", "W", "Pa", "C", "V", "Ω", "F", "T", "H", "Wb"];

/// The base units in the order in which they are printed, with their places in a [`Dimension`].
const BASES: [(&str, usize); 7] = [
    ("kg", 1),
    ("m", 0),
    ("s", 2),
    ("A", 3),
    ("K", 4),
    ("mol", 5),
    ("cd", 6),
];

/// The units of an assignment.
pub(super) struct Units {
    own: Vec<Unit>,
    /// What a product of a force and a length is called where nobody says it.
    work: &'static str,
}

impl Units {
    pub(super) fn of(assignment: &Assignment) -> Self {
        let asked = assignment.unknowns.iter().map(|unknown| unknown.unit);
        let given = assignment.givens.iter().map(|given| given.unit);
        let all: Vec<Unit> = asked.chain(given).collect();
        let turns = all.iter().any(|unit| unit.to_string().contains("rad"));
        let is_energy = all.iter().any(is_of_energy);
        let own = all.into_iter().filter(is_coherent).collect();
        // An energy gives itself away by its unit; one of motion by the square of a speed, a torque by what
        // turns.
        let moves = !turns && squares_a_speed(assignment);
        let work = if is_energy || moves { "J" } else { "N m" };
        Self { own, work }
    }

    /// The coherent unit of a dimension.
    pub(super) fn of_dimension(&self, dimension: Dimension) -> Unit {
        if dimension.is_none() {
            return Unit::ONE;
        }
        let fits = |unit: &Unit| unit.dimension() == dimension;
        if let Some(own) = self.own.iter().copied().find(fits) {
            return own;
        }
        let named = [self.work].into_iter().chain(NAMED);
        let named = named.filter_map(|name| Unit::parse(name).ok()).find(fits);
        named.or_else(|| composed(dimension)).unwrap_or(Unit::ONE)
    }

    /// The unit in which values of `unit` are reckoned.
    pub(super) fn working(&self, unit: Unit) -> Unit {
        if unit.is_angle() || is_coherent(&unit) {
            unit
        } else {
            self.of_dimension(unit.dimension())
        }
    }

    /// A given in the unit in which it is reckoned, with its digits.
    pub(super) fn given(&self, given: &Quantity) -> Maths {
        let unit = self.working(given.unit);
        if unit.same_as(&given.unit) {
            return written(&given.numeral, &unit);
        }
        let si = given.si();
        match numeral_of(si, given.numeral.figures().most) {
            Some(numeral) if alike(numeral.to_f64(), si) => written(&numeral, &unit),
            _ => amount(si, &unit, given.numeral.figures().most),
        }
    }
}

fn squares_a_speed(assignment: &Assignment) -> bool {
    let speed = Unit::parse("m/s").map_or(Dimension::NONE, |unit| unit.dimension());
    let mut found = false;
    for equation in &assignment.equations {
        let Equation { left, right } = &equation.item;
        for side in [left, right] {
            side.walk(&mut |expr| {
                if let Node::Binary(Operator::Power, base, _) = &expr.node {
                    found |= check::dimension(base, assignment) == Ok(Some(speed));
                }
            });
        }
    }
    found
}

/// Whether it is a unit of energy by its name, as kJ, cal and kWh are: a torque is measured by a force and a
/// length.
fn is_of_energy(unit: &Unit) -> bool {
    let joule = Unit::parse("J").map_or(Dimension::NONE, |unit| unit.dimension());
    let has_length = unit
        .to_string()
        .split([' ', '·', '*', '^'])
        .any(|symbol| symbol.ends_with('m') || symbol == "ft" || symbol == "in");
    unit.dimension() == joule && !has_length
}

/// Whether a number in it is one in SI units.
fn is_coherent(unit: &Unit) -> bool {
    unit.factor() == 1.0 && unit.offset() == 0.0
}

fn composed(dimension: Dimension) -> Option<Unit> {
    let mut unit = Unit::ONE;
    for (symbol, place) in BASES {
        let exponent = dimension.0[place];
        if exponent != Exponent::ZERO {
            let base = Unit::parse(symbol).ok()?.checked_pow(exponent)?;
            unit = unit.checked_mul(&base)?;
        }
    }
    Some(unit)
}

/// A numeral with its unit.
pub(super) fn written(numeral: &Numeral, unit: &Unit) -> Maths {
    Maths::Amount {
        number: numeral.printed(DecimalMark::Point),
        unit: unit.printed_behind(),
    }
}

/// A value in SI units, written in `unit` with about `figures` figures.
pub(super) fn amount(si: f64, unit: &Unit, figures: u8) -> Maths {
    let value = unit.from_si(si);
    let close = numeral_of(value, figures.saturating_add(GUARD)).map(|numeral| numeral.to_f64());
    let short = (figures..=figures.saturating_add(GUARD))
        .filter_map(|figures| numeral_of(value, figures))
        .find(|numeral| close.is_some_and(|close| alike(numeral.to_f64(), close)));
    match short {
        _ if value == 0.0 => zero(unit),
        // The point in `140.` tells how many figures count, which no one asks on the way.
        Some(numeral) => Maths::Amount {
            number: numeral
                .printed(DecimalMark::Point)
                .trim_end_matches('.')
                .to_owned(),
            unit: unit.printed_behind(),
        },
        None => Maths::Amount {
            number: "not a number".to_owned(),
            unit: unit.printed_behind(),
        },
    }
}

/// A value rounded to so many figures.
pub(super) fn rounded(si: f64, unit: &Unit, figures: u8) -> Maths {
    match numeral_of(unit.from_si(si), figures) {
        Some(numeral) => written(&numeral, unit),
        None => amount(si, unit, figures),
    }
}

/// Nothing of a unit.
pub(super) fn zero(unit: &Unit) -> Maths {
    Maths::Amount {
        number: "0".to_owned(),
        unit: unit.printed_behind(),
    }
}

fn alike(left: f64, right: f64) -> bool {
    (left - right).abs() <= 1e-12 * right.abs()
}
