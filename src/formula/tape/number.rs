//! What a tape can be run over, and plain values, the first of its kind.
//!
//! In: numbers of one kind. Out: sums, products, powers and functions of them, the same on every
//! platform. What has no value is not a number.

use crate::formula::tree::Function;

/// What a tape can be run over.
pub(super) trait Number: Copy {
    fn constant(value: f64) -> Self;
    fn negate(self) -> Self;
    fn add(self, other: Self) -> Self;
    fn multiply(self, other: Self) -> Self;
    fn divide(self, other: Self) -> Self;
    fn power_integer(self, exponent: i32) -> Self;
    fn power(self, exponent: Self) -> Self;
    fn call(self, function: Function) -> Self;
    fn call_two(self, function: Function, right: Self) -> Self;
}

/// Whole powers by repeated squaring: the same on every platform.
pub(super) fn whole_power(base: f64, exponent: i32) -> f64 {
    let mut square = base;
    let mut left = exponent.unsigned_abs();
    let mut result = 1.0;
    while left > 0 {
        if left & 1 == 1 {
            result *= square;
        }
        square *= square;
        left >>= 1;
    }
    if exponent < 0 { 1.0 / result } else { result }
}

pub(super) fn call(function: Function, x: f64) -> f64 {
    match function {
        Function::Sin => libm::sin(x),
        Function::Cos => libm::cos(x),
        Function::Tan => libm::tan(x),
        Function::Asin => libm::asin(x),
        Function::Acos => libm::acos(x),
        Function::Atan => libm::atan(x),
        Function::Sqrt => x.sqrt(),
        Function::Abs => x.abs(),
        Function::Exp => libm::exp(x),
        Function::Ln => libm::log(x),
        Function::Log10 => libm::log10(x),
        Function::Min | Function::Max | Function::Atan2 => f64::NAN,
    }
}

pub(super) fn call_two(function: Function, left: f64, right: f64) -> f64 {
    match function {
        // Not `f64::min`: it would hide one that is not a number.
        Function::Min => {
            if left.is_nan() || left < right {
                left
            } else {
                right
            }
        }
        Function::Max => {
            if left.is_nan() || left > right {
                left
            } else {
                right
            }
        }
        Function::Atan2 => libm::atan2(left, right),
        _ => f64::NAN,
    }
}

impl Number for f64 {
    fn constant(value: f64) -> Self {
        value
    }
    fn negate(self) -> Self {
        -self
    }
    fn add(self, other: Self) -> Self {
        self + other
    }
    fn multiply(self, other: Self) -> Self {
        self * other
    }
    fn divide(self, other: Self) -> Self {
        self / other
    }
    fn power_integer(self, exponent: i32) -> Self {
        whole_power(self, exponent)
    }
    fn power(self, exponent: Self) -> Self {
        libm::pow(self, exponent)
    }
    fn call(self, function: Function) -> Self {
        call(function, self)
    }
    fn call_two(self, function: Function, right: Self) -> Self {
        call_two(function, self, right)
    }
}
