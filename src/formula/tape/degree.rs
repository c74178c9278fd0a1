//! The degree in some unknowns.
//!
//! In: which slots are unknown. Out: the degree of what is made of them, where it is a polynomial.

use super::number::Number;
use crate::formula::tree::Function;

/// The degree as a polynomial in some slots; `None` where it is none.
#[derive(Clone, Copy, Debug)]
pub(super) struct Degree(pub(super) Option<u32>);

impl Degree {
    const MOST: u32 = 64;

    fn known(degree: u32) -> Self {
        Self((degree <= Self::MOST).then_some(degree))
    }

    /// What a function makes of it: still constant, or no polynomial.
    fn through(self) -> Self {
        Self(self.0.filter(|&degree| degree == 0))
    }
}

impl Number for Degree {
    fn constant(_: f64) -> Self {
        Self(Some(0))
    }
    fn negate(self) -> Self {
        self
    }
    fn add(self, other: Self) -> Self {
        Self(self.0.zip(other.0).map(|(left, right)| left.max(right)))
    }
    fn multiply(self, other: Self) -> Self {
        self.0
            .zip(other.0)
            .map_or(Self(None), |(left, right)| Self::known(left + right))
    }
    fn divide(self, other: Self) -> Self {
        Self(self.0.filter(|_| other.0 == Some(0)))
    }
    fn power_integer(self, exponent: i32) -> Self {
        match (self.0, u32::try_from(exponent)) {
            (Some(degree), Ok(exponent)) => Self::known(degree * exponent),
            _ => self.through(),
        }
    }
    fn power(self, exponent: Self) -> Self {
        Self(self.through().0.filter(|_| exponent.0 == Some(0)))
    }
    fn call(self, _: Function) -> Self {
        self.through()
    }
    fn call_two(self, _: Function, right: Self) -> Self {
        Self(self.through().0.filter(|_| right.0 == Some(0)))
    }
}
