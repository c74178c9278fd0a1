//! Values with the size of the terms they came from: what "nearly zero" is measured by.
//!
//! In: values, each with its size. Out: the same of what is made of them.

use super::number::{Number, call, call_two, whole_power};
use crate::formula::tree::Function;

/// A value and the size of the terms it was summed from.
#[derive(Clone, Copy, Debug)]
pub(super) struct Weighed(pub(super) f64, pub(super) f64);

impl Number for Weighed {
    fn constant(value: f64) -> Self {
        Self(value, value.abs())
    }
    fn negate(self) -> Self {
        Self(-self.0, self.1)
    }
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0, self.1 + other.1)
    }
    fn multiply(self, other: Self) -> Self {
        Self(self.0 * other.0, self.1 * other.1)
    }
    fn divide(self, other: Self) -> Self {
        Self(self.0 / other.0, self.1 / other.0.abs())
    }
    fn power_integer(self, exponent: i32) -> Self {
        Self(
            whole_power(self.0, exponent),
            whole_power(self.1, exponent.max(0)).max(whole_power(self.0, exponent).abs()),
        )
    }
    fn power(self, exponent: Self) -> Self {
        let value = libm::pow(self.0, exponent.0);
        Self(value, value.abs())
    }
    fn call(self, function: Function) -> Self {
        let value = call(function, self.0);
        Self(
            value,
            if function == Function::Abs {
                self.1
            } else {
                value.abs()
            },
        )
    }
    fn call_two(self, function: Function, right: Self) -> Self {
        let value = call_two(function, self.0, right.0);
        Self(value, value.abs())
    }
}
