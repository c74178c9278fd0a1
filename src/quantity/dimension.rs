//! Physical dimensions: seven exact exponents, and what people call the common ones.
//!
//! In: exponents in the order length, mass, time, current, temperature, amount, luminous
//! intensity. Out: products, quotients, powers, a name where there is one. Refused: exponents
//! beyond 16 bits, as `None`.

use std::fmt;

use super::exponent::{Exponent, write_superscript};

/// How many base dimensions there are.
pub const BASES: usize = 7;

/// Symbols of the coherent SI base units in the order of [`Dimension`].
const BASE_UNITS: [&str; BASES] = ["m", "kg", "s", "A", "K", "mol", "cd"];

/// The order in which base units are printed: mass first, as in `kg m s⁻²`.
const PRINT_ORDER: [usize; BASES] = [1, 0, 2, 3, 4, 5, 6];

/// Exponents of length, mass, time, current, temperature, amount and luminous intensity.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Dimension(pub [Exponent; BASES]);

impl Dimension {
    /// A plain number.
    pub const NONE: Self = Self([Exponent::ZERO; BASES]);

    /// A base dimension by its place in the order of the type.
    pub(crate) fn base(index: usize) -> Self {
        let mut exponents = [Exponent::ZERO; BASES];
        exponents[index] = Exponent::ONE;
        Self(exponents)
    }

    /// Whether it is that of a plain number.
    pub fn is_none(&self) -> bool {
        *self == Self::NONE
    }

    /// The dimension of a product.
    pub fn checked_mul(self, other: Self) -> Option<Self> {
        let mut exponents = self.0;
        for (to, from) in exponents.iter_mut().zip(other.0) {
            *to = to.checked_add(from)?;
        }
        Some(Self(exponents))
    }

    /// The dimension of a quotient.
    pub fn checked_div(self, other: Self) -> Option<Self> {
        self.checked_mul(other.checked_pow(Exponent::whole(-1))?)
    }

    /// The dimension of a power.
    pub fn checked_pow(self, power: Exponent) -> Option<Self> {
        let mut exponents = self.0;
        for exponent in &mut exponents {
            *exponent = exponent.checked_mul(power)?;
        }
        Some(Self(exponents))
    }

    /// `self · other^power`, in one go.
    pub(crate) fn checked_mul_pow(mut self, other: &Self, power: Exponent) -> Option<Self> {
        for (to, from) in self.0.iter_mut().zip(other.0) {
            if !from.is_zero() {
                *to = to.checked_add(from.checked_mul(power)?)?;
            }
        }
        Some(self)
    }

    /// What people call it, as `force`; `None` for the uncommon ones.
    pub fn name(&self) -> Option<&'static str> {
        NAMES
            .iter()
            .find(|(exponents, _)| self.has(exponents))
            .map(|&(_, name)| name)
    }

    fn has(&self, exponents: &[i16; BASES]) -> bool {
        self.0
            .iter()
            .zip(exponents)
            .all(|(a, &b)| *a == Exponent::whole(b))
    }
}

/// `force (kg m s⁻²)`, `kg² m`, `a plain number`.
impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_none() {
            return f.write_str("a plain number");
        }
        let name = self.name();
        if let Some(name) = name {
            write!(f, "{name} (")?;
        }
        let mut first = true;
        for index in PRINT_ORDER {
            let exponent = self.0[index];
            if exponent.is_zero() {
                continue;
            }
            if !first {
                f.write_str(" ")?;
            }
            first = false;
            f.write_str(BASE_UNITS[index])?;
            write_superscript(f, exponent)?;
        }
        if name.is_some() {
            f.write_str(")")
        } else {
            Ok(())
        }
    }
}

/// Exponents (length, mass, time, current, temperature, amount, luminous intensity) and the
/// usual words.
const NAMES: &[([i16; BASES], &str)] = &[
    ([1, 0, 0, 0, 0, 0, 0], "length"),
    ([0, 1, 0, 0, 0, 0, 0], "mass"),
    ([0, 0, 1, 0, 0, 0, 0], "time"),
    ([0, 0, 0, 1, 0, 0, 0], "electric current"),
    ([0, 0, 0, 0, 1, 0, 0], "temperature"),
    ([0, 0, 0, 0, 0, 1, 0], "amount of substance"),
    ([0, 0, 0, 0, 0, 0, 1], "luminous intensity"),
    ([2, 0, 0, 0, 0, 0, 0], "area"),
    ([3, 0, 0, 0, 0, 0, 0], "volume"),
    ([-1, 0, 0, 0, 0, 0, 0], "wavenumber"),
    ([0, 0, -1, 0, 0, 0, 0], "frequency or angular velocity"),
    ([0, 0, -2, 0, 0, 0, 0], "angular acceleration"),
    ([1, 0, -1, 0, 0, 0, 0], "velocity"),
    ([1, 0, -2, 0, 0, 0, 0], "acceleration"),
    ([1, 1, -1, 0, 0, 0, 0], "momentum or impulse"),
    ([1, 1, -2, 0, 0, 0, 0], "force"),
    ([2, 1, -2, 0, 0, 0, 0], "energy or torque"),
    ([2, 1, -3, 0, 0, 0, 0], "power"),
    ([-1, 1, -2, 0, 0, 0, 0], "pressure"),
    ([2, 1, 0, 0, 0, 0, 0], "moment of inertia"),
    ([2, 1, -1, 0, 0, 0, 0], "angular momentum"),
    ([0, 1, -2, 0, 0, 0, 0], "spring constant"),
    ([0, 1, -1, 0, 0, 0, 0], "mass flow"),
    ([-3, 1, 0, 0, 0, 0, 0], "density"),
    ([-2, 1, 0, 0, 0, 0, 0], "mass per area"),
    ([-1, 1, 0, 0, 0, 0, 0], "mass per length"),
    ([3, 0, -1, 0, 0, 0, 0], "volume flow"),
    ([2, 0, -1, 0, 0, 0, 0], "kinematic viscosity"),
    ([2, 0, -2, 0, 0, 0, 0], "energy per mass"),
    ([-1, 1, -1, 0, 0, 0, 0], "viscosity"),
    ([3, -1, -2, 0, 0, 0, 0], "gravitational constant"),
    ([0, 1, -3, 0, 0, 0, 0], "power per area"),
    ([2, 1, -2, 0, -1, 0, 0], "heat capacity"),
    ([2, 0, -2, 0, -1, 0, 0], "specific heat capacity"),
    ([2, 1, -2, 0, -1, -1, 0], "molar heat capacity"),
    ([1, 1, -3, 0, -1, 0, 0], "thermal conductivity"),
    ([0, 0, 1, 1, 0, 0, 0], "electric charge"),
    ([2, 1, -3, -1, 0, 0, 0], "voltage"),
    ([1, 1, -3, -1, 0, 0, 0], "electric field"),
    ([2, 1, -3, -2, 0, 0, 0], "resistance"),
    ([3, 1, -3, -2, 0, 0, 0], "resistivity"),
    ([-2, -1, 3, 2, 0, 0, 0], "conductance"),
    ([-2, -1, 4, 2, 0, 0, 0], "capacitance"),
    ([2, 1, -2, -1, 0, 0, 0], "magnetic flux"),
    ([0, 1, -2, -1, 0, 0, 0], "magnetic flux density"),
    ([2, 1, -2, -2, 0, 0, 0], "inductance"),
    ([-2, 0, 0, 0, 0, 0, 1], "luminance"),
    ([0, 1, 0, 0, 0, -1, 0], "molar mass"),
    ([-3, 0, 0, 0, 0, 1, 0], "concentration"),
    ([0, 0, -1, 0, 0, 1, 0], "catalytic activity"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_prints() {
        let metre = Dimension::base(0);
        let second = Dimension::base(2);
        let speed = metre.checked_div(second).unwrap();
        let acceleration = speed.checked_div(second).unwrap();
        let force = acceleration.checked_mul(Dimension::base(1)).unwrap();
        assert_eq!(force.to_string(), "force (kg m s⁻²)");
        assert_eq!(Dimension::NONE.to_string(), "a plain number");
        let root = metre.checked_pow(Exponent::new(1, 2).unwrap()).unwrap();
        assert_eq!(root.to_string(), "m^(1/2)");
        assert_eq!(root.checked_mul(root), Some(metre));
    }

    #[test]
    fn no_dimension_has_two_names() {
        for (i, (exponents, name)) in NAMES.iter().enumerate() {
            assert!(
                NAMES[..i].iter().all(|(e, n)| e != exponents && n != name),
                "{name}"
            );
        }
    }
}
