//! Exact arithmetic on numerals: steps, rounding, comparison of values.

use super::{Numeral, Power, Sign, digits_of};
use crate::quantity::rounding::Tie;

impl Numeral {
    /// The same numeral with the other sign.
    #[must_use]
    pub fn negated(&self) -> Self {
        let sign = if self.is_negative() {
            Sign::Unsigned
        } else {
            Sign::Minus
        };
        Self { sign, ..*self }
    }

    /// Whether both have the same value, however written.
    pub fn same_value(&self, other: &Self) -> bool {
        if self.coefficient == 0 || other.coefficient == 0 {
            return self.coefficient == other.coefficient;
        }
        let same =
            self.first_place() == other.first_place() && self.is_negative() == other.is_negative();
        let apart = self.last_place() - other.last_place();
        let (coarse, fine, zeros) = if apart >= 0 {
            (self.coefficient, other.coefficient, apart)
        } else {
            (other.coefficient, self.coefficient, -apart)
        };
        same && scaled(coarse, zeros) == Some(fine)
    }

    /// `self + times · step`, exactly, with as many decimals as the more precise of the two;
    /// the power of ten of `self` is kept. `None` where that needs more digits than are kept.
    pub fn plus(&self, step: &Self, times: u64) -> Option<Self> {
        let power = self.power.map_or(0, |power| i32::from(power.exponent));
        let last = self.last_place().min(step.last_place());
        let start = self.signed(last)?;
        let stride = step.signed(last)?.checked_mul(i128::from(times))?;
        let sum = start.checked_add(stride)?;
        let decimals = u8::try_from(power - last).ok()?;
        let plain = Self::build(sum < 0, sum.unsigned_abs(), decimals, None)?;
        let whole = Self {
            decimals: plain.decimals.or(self.decimals),
            power: self.power,
            ..plain
        };
        whole.in_range().ok()?;
        Some(whole)
    }

    /// The value in units of ten to the `place`, which is not above the last place.
    fn signed(&self, place: i32) -> Option<i128> {
        let size = scaled(self.coefficient, self.last_place() - place)?;
        let size = i128::try_from(size).ok()?;
        Some(if self.is_negative() { -size } else { size })
    }

    /// The numeral rounded to so many figures, worked out in decimal. A numeral with fewer
    /// stays as it is. Zeros that a point would make significant get the point: `9.96` to two
    /// figures is `10.`.
    #[must_use]
    pub fn rounded(&self, figures: u8, tie: Tie) -> Self {
        let drop = digits_of(self.coefficient) as i32 - i32::from(figures.max(1));
        if drop <= 0 || self.coefficient == 0 {
            return *self;
        }
        let mut kept = tie.divide(self.coefficient, 10u128.pow(drop as u32));
        let mut last = self.last_place() + drop;
        if digits_of(kept) > u32::from(figures.max(1)) {
            kept /= 10;
            last += 1;
        }
        let written = self.written(kept, last);
        written.unwrap_or(*self)
    }

    /// `kept` times ten to the `last`, written in the manner of this numeral.
    fn written(&self, kept: u128, last: i32) -> Option<Self> {
        let first = last + digits_of(kept) as i32 - 1;
        let power = self.power.map(|power| Power {
            exponent: if self.first_place() == i32::from(power.exponent) {
                first as i16
            } else {
                power.exponent
            },
            ..power
        });
        let shift = power.map_or(0, |power| i32::from(power.exponent)) - last;
        let decimals = u8::try_from(shift.max(0)).ok()?;
        let coefficient = scaled(kept, (-shift).max(0))?;
        let plain = Self::build(self.is_negative(), coefficient, decimals, None)?;
        let pointed = shift == 0 && kept.is_multiple_of(10);
        Some(Self {
            decimals: plain.decimals.or(pointed.then_some(0)),
            sign: self.sign,
            power,
            ..plain
        })
    }
}

/// `value` with so many zeros put behind it; `None` where it does not fit.
fn scaled(value: u128, zeros: i32) -> Option<u128> {
    if value == 0 {
        return Some(0);
    }
    value.checked_mul(10u128.checked_pow(u32::try_from(zeros).ok()?)?)
}
