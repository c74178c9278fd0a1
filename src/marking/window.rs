//! Whether a written number is a value: the windows of the trade.
//!
//! In: a number as written and a value it is held against, with the declared tolerance and the
//! rounding allowance. Out: how it fits, or nothing. A value rounded to the figures written fits
//! under either rule at an exact tie; one that was cut off instead fits where that is taken.

use std::f64::consts::TAU;

use crate::assignment::Sign;
use crate::quantity::{Figures, NOISE, Numeral, Unit};

/// The most a rounding allowance may be, as a share of the value (`2 %`), unless twice the
/// declared tolerance is more.
pub const ALLOWANCE: f64 = 0.02;

/// A number as it stands on the paper, read in some unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stated {
    /// Its value in SI units.
    pub value: f64,
    /// Half a unit in the last place when all digits count, in SI units; 0 for an exact number.
    pub half: f64,
    /// The digits; nothing where it was not written as a decimal.
    pub numeral: Option<Numeral>,
    /// The size of the unit it was read in.
    pub size: f64,
}

impl Stated {
    /// A decimal number in a unit.
    pub fn decimal(numeral: Numeral, unit: &Unit) -> Self {
        let size = unit.factor();
        let half = numeral.half_unit(numeral.figures().most) * size;
        Self {
            value: unit.to_si(numeral.to_f64()),
            half,
            numeral: Some(numeral),
            size,
        }
    }

    /// An exact number, such as a fraction, in a unit.
    pub fn exact(value: f64, unit: &Unit) -> Self {
        Self {
            value: unit.to_si(value),
            half: 0.0,
            numeral: None,
            size: unit.factor(),
        }
    }

    /// The same with the other sign.
    pub fn negated(self) -> Self {
        Self {
            value: -self.value,
            numeral: self.numeral.map(|n| n.negated()),
            ..self
        }
    }

    /// How many figures it may be read with, most first; a single 0 for an exact number.
    fn readings(self) -> impl Iterator<Item = u8> {
        let Figures { least, most } = self
            .numeral
            .map_or(Figures { least: 0, most: 0 }, |numeral| numeral.figures());
        (least..=most).rev()
    }

    /// Half a unit in the last place when read with so many figures, in SI units.
    pub fn half_unit(self, figures: u8) -> f64 {
        self.numeral
            .map_or(0.0, |numeral| numeral.half_unit(figures) * self.size)
    }

    /// The fewest figures it may be read with where so many are wanted, as [`Window::least`] has it; nothing
    /// for an exact number.
    pub fn fewest_figures(self, wanted: u8) -> Option<u8> {
        let Figures { least, most } = self.numeral?.figures();
        Some(least.max(wanted.min(most)))
    }

    /// The most figures it was written with; nothing for an exact number.
    pub fn figures(self) -> Option<u8> {
        self.numeral.map(|numeral| numeral.figures().most)
    }
}

/// What is taken for a value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// The declared tolerance either way, in SI units.
    pub declared: f64,
    /// What rounding on the way may add to the half unit, in SI units, uncapped.
    pub allowance: f64,
    /// What a sign counts for: whether sizes are compared, or directions.
    pub sign: Sign,
    /// The figures from which on a value cut off at those written fits, if any do: of fewer, the
    /// last one would stand for too much.
    pub truncated: Option<u8>,
    /// The declared tolerance takes nothing by itself: only rounding counts.
    pub by_rounding: bool,
    /// Zeros at the end of a whole number are figures, or not, down to so many.
    pub least: u8,
}

/// How a number fits a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// It is the value, rounded to the figures written.
    Rounded,
    /// It lies within the declared tolerance.
    Tolerance,
    /// It lies within what rounding on the way does.
    Allowance,
    /// It is the value cut off at the figures written.
    Truncated,
}

/// A number fits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fit {
    /// How.
    pub how: How,
    /// Where the figures are ambiguous: the most it can have been written with to fit this way.
    pub most_figures: u8,
}

impl Window {
    /// The declared tolerance alone.
    pub fn declared(declared: f64, sign: Sign) -> Self {
        Self {
            declared,
            allowance: 0.0,
            sign,
            truncated: None,
            by_rounding: false,
            least: 0,
        }
    }

    /// How `stated` fits `value`; the narrowest way first.
    pub fn fit(&self, stated: Stated, value: f64) -> Option<Fit> {
        let (x, y) = self.compared(stated.value, value);
        let off = (x - y).abs();
        // An accepted expression may divide by zero: nothing is equal to that.
        if !off.is_finite() {
            return None;
        }
        let noise = NOISE * y.abs();
        let most_figures = stated.figures().unwrap_or(0);
        if off <= stated.half + noise {
            return Some(Fit {
                how: How::Rounded,
                most_figures,
            });
        }
        if !self.by_rounding && off <= self.declared + noise {
            return Some(Fit {
                how: How::Tolerance,
                most_figures,
            });
        }
        let allowance = self.allowance.min(self.cap(y));
        for figures in self.readings(stated) {
            let half = stated.half_unit(figures);
            let how = if off <= half + noise {
                How::Rounded
            } else if off <= half + allowance + noise {
                How::Allowance
            } else if self.truncated.is_some_and(|least| figures >= least)
                && x * y > 0.0
                && y.abs() > x.abs()
                && off < 2.0 * half
            {
                How::Truncated
            } else {
                continue;
            };
            return Some(Fit {
                how,
                most_figures: figures,
            });
        }
        None
    }

    /// How many figures a number may be read with. Of a direction all digits count: where its zero lies is
    /// no matter of size, and 200° for 160° would be right by a single figure.
    fn readings(&self, stated: Stated) -> impl Iterator<Item = u8> + use<> {
        let most = match self.sign {
            Sign::Turn => 1,
            Sign::Size | Sign::Either | Sign::Fixed => usize::MAX,
        };
        let least = self.least;
        let figures = stated.readings().enumerate().take(most);
        figures
            .take_while(move |(at, figures)| *at == 0 || *figures >= least)
            .map(|(_, figures)| figures)
    }

    /// A number and the value it is held against, as they are compared.
    pub fn compared(&self, stated: f64, value: f64) -> (f64, f64) {
        match self.sign {
            Sign::Size | Sign::Either => (stated.abs(), value.abs()),
            Sign::Fixed => (stated, value),
            Sign::Turn => (beside(stated, value), value),
        }
    }

    /// The most an allowance may be around `value`.
    pub fn cap(&self, value: f64) -> f64 {
        (ALLOWANCE * value.abs()).max(2.0 * self.declared)
    }

    /// Whether `stated` could fit `value` at all, whatever the allowance.
    pub fn within_reach(&self, stated: Stated, value: f64) -> bool {
        let least = self.readings(stated).last().unwrap_or(0);
        let widest = self
            .declared
            .max(2.0 * stated.half_unit(least).max(stated.half) + self.cap(value));
        let (x, y) = self.compared(stated.value, value);
        (x - y).abs() <= widest + NOISE * y.abs()
    }
}

/// The direction `angle`, in radians, as it is written nearest to `value`: within half a turn of it.
pub(super) fn beside(angle: f64, value: f64) -> f64 {
    let turns = ((value - angle) / TAU).round();
    if turns == 0.0 {
        angle
    } else {
        angle + turns * TAU
    }
}

/// Half a unit in the last of `figures` figures of `value`, when written in a unit of `size`.
pub fn half_unit_of(value: f64, figures: u8, size: f64) -> f64 {
    let written = (value / size).abs();
    if written == 0.0 || !written.is_finite() {
        return 0.0;
    }
    let first = libm::floor(libm::log10(written));
    0.5 * libm::exp10(first + 1.0 - f64::from(figures)) * size
}
