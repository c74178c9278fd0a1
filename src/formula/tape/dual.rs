//! Values with a derivative: forward differentiation, exact.
//!
//! In: values with their derivatives along one slot. Out: the same of what is made of them.

use super::number::{Number, call, call_two, whole_power};
use crate::formula::tree::Function;

/// A value and its derivative.
#[derive(Clone, Copy, Debug)]
pub(super) struct Dual(pub(super) f64, pub(super) f64);

impl Number for Dual {
    fn constant(value: f64) -> Self {
        Self(value, 0.0)
    }
    fn negate(self) -> Self {
        Self(-self.0, -self.1)
    }
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0, self.1 + other.1)
    }
    fn multiply(self, other: Self) -> Self {
        Self(self.0 * other.0, self.1 * other.0 + self.0 * other.1)
    }
    fn divide(self, other: Self) -> Self {
        let value = self.0 / other.0;
        Self(value, (self.1 - value * other.1) / other.0)
    }
    fn power_integer(self, exponent: i32) -> Self {
        if exponent == 0 {
            return Self(1.0, 0.0);
        }
        let below = whole_power(self.0, exponent - 1);
        Self(
            whole_power(self.0, exponent),
            f64::from(exponent) * below * self.1,
        )
    }
    fn power(self, exponent: Self) -> Self {
        let value = libm::pow(self.0, exponent.0);
        let by_base = if self.1 == 0.0 {
            0.0
        } else {
            exponent.0 * libm::pow(self.0, exponent.0 - 1.0) * self.1
        };
        let by_exponent = if exponent.1 == 0.0 {
            0.0
        } else {
            value * libm::log(self.0) * exponent.1
        };
        Self(value, by_base + by_exponent)
    }
    fn call(self, function: Function) -> Self {
        let value = call(function, self.0);
        let slope = if self.1 == 0.0 {
            0.0
        } else {
            derivative(function, self.0, value) * self.1
        };
        Self(value, slope)
    }
    fn call_two(self, function: Function, right: Self) -> Self {
        let value = call_two(function, self.0, right.0);
        let slope = match function {
            Function::Atan2 => {
                let square = self.0 * self.0 + right.0 * right.0;
                (right.0 * self.1 - self.0 * right.1) / square
            }
            Function::Min if self.0 < right.0 => self.1,
            Function::Max if self.0 > right.0 => self.1,
            _ => right.1,
        };
        Self(value, slope)
    }
}

/// The derivative of a function of one argument, its value being `y`.
fn derivative(function: Function, x: f64, y: f64) -> f64 {
    match function {
        Function::Sin => libm::cos(x),
        Function::Cos => -libm::sin(x),
        Function::Tan => 1.0 + y * y,
        Function::Asin => 1.0 / (1.0 - x * x).sqrt(),
        Function::Acos => -1.0 / (1.0 - x * x).sqrt(),
        Function::Atan => 1.0 / (1.0 + x * x),
        Function::Sqrt => 0.5 / y,
        Function::Abs => {
            if x < 0.0 {
                -1.0
            } else {
                1.0
            }
        }
        Function::Exp => y,
        Function::Ln => 1.0 / x,
        Function::Log10 => std::f64::consts::LOG10_E / x,
        Function::Min | Function::Max | Function::Atan2 => f64::NAN,
    }
}
