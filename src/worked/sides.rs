//! Sides of equations in which some unknowns are left and everything else is a number.
//!
//! In: an expression, and the slots that are open. Out: a constant and a factor for each open unknown, where
//! the expression is linear in them; up to the square, where one alone is open. What is only the noise of
//! floating sums is zero.

use crate::formula::tape::{SlotSet, Tape};
use crate::formula::tree::Expr;
use crate::quantity::Dimension;

use super::board::Board;
use super::maths::{Maths, Term};
use super::units;

/// A value below this share of the terms it was summed from is zero.
const NOISE: f64 = 1e-12;

/// A constant and unknowns with their factors, in SI units.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Linear {
    pub(super) constant: f64,
    /// By slot, ascending; none is zero.
    pub(super) factors: Vec<(usize, f64)>,
}

impl Linear {
    /// The factor of an unknown.
    pub(super) fn factor(&self, slot: usize) -> f64 {
        let found = self.factors.iter().find(|(open, _)| *open == slot);
        found.map_or(0.0, |(_, factor)| *factor)
    }

    /// This times `by`.
    pub(super) fn times(&self, by: f64) -> Self {
        Self {
            constant: self.constant * by,
            factors: self.factors.iter().map(|(s, k)| (*s, k * by)).collect(),
        }
    }

    /// This and `other`; where they nearly cancel, nothing is left.
    pub(super) fn plus(&self, other: &Self) -> Self {
        let sum = |left: f64, right: f64| {
            let sum = left + right;
            if sum.abs() <= NOISE * left.abs().max(right.abs()) {
                0.0
            } else {
                sum
            }
        };
        let slots = self.factors.iter().chain(&other.factors);
        let slots: SlotSet = slots.map(|(slot, _)| *slot).collect();
        let factors = slots
            .iter()
            .map(|slot| (slot, sum(self.factor(slot), other.factor(slot))))
            .filter(|(_, factor)| *factor != 0.0)
            .collect();
        Self {
            constant: sum(self.constant, other.constant),
            factors,
        }
    }

    /// This with an unknown replaced.
    pub(super) fn with(&self, slot: usize, by: &Self) -> Self {
        let mut rest = self.clone();
        rest.factors.retain(|(open, _)| *open != slot);
        rest.plus(&by.times(self.factor(slot)))
    }

    /// The unknowns that are left.
    pub(super) fn open(&self) -> SlotSet {
        self.factors.iter().map(|(slot, _)| *slot).collect()
    }
}

impl Board<'_> {
    /// An expression as a constant and factors; nothing where it is not linear in `open`.
    pub(super) fn linear(&self, expr: &Expr, open: SlotSet) -> Option<Linear> {
        let tape = self.tape(expr)?;
        if tape.degree(open)? > 1 {
            return None;
        }
        let slots = self.without(open);
        let (constant, size) = tape.sized(&slots);
        let (_, whole) = tape.sized(&self.key.slots);
        let factors = tape.uses().and(open).iter().filter_map(|slot| {
            let (_, factor) = tape.slope(&slots, slot);
            let matters = (factor * self.key.slots[slot]).abs() > NOISE * whole
                || self.key.slots[slot] == 0.0;
            (matters && factor != 0.0).then_some((slot, factor))
        });
        Some(Linear {
            constant: quiet(constant, size),
            factors: factors.collect(),
        })
    }

    /// An expression as a polynomial in the unknown of `slot`, smallest power first; nothing where it
    /// goes beyond the square.
    pub(super) fn polynomial(&self, expr: &Expr, slot: usize) -> Option<[f64; 3]> {
        let tape = self.tape(expr)?;
        let open = SlotSet::of(slot);
        if tape.degree(open)? > 2 {
            return None;
        }
        let mut slots = self.without(open);
        let (constant, size) = tape.sized(&slots);
        let (_, first) = tape.slope(&slots, slot);
        let step = match self.key.slots[slot].abs() {
            0.0 => 1.0,
            size => size,
        };
        slots[slot] = step;
        let (_, slope) = tape.slope(&slots, slot);
        let second = (slope - first) / (2.0 * step);
        let terms = self.terms(&tape, slot);
        Some([
            quiet(constant, size),
            quiet(first, terms / step),
            quiet(second, terms / (step * step)),
        ])
    }

    /// The size of the terms of a tape at the key.
    fn terms(&self, tape: &Tape, slot: usize) -> f64 {
        let mut slots = self.key.slots.clone();
        if slots[slot] == 0.0 {
            slots[slot] = 1.0;
        }
        tape.sized(&slots).1
    }

    /// The key with nothing in the slots `open`.
    fn without(&self, open: SlotSet) -> Vec<f64> {
        let mut slots = self.key.slots.clone();
        open.iter().for_each(|slot| slots[slot] = 0.0);
        slots
    }

    /// A side of an equation of that dimension.
    pub(super) fn side(&self, side: &Linear, dimension: Dimension) -> Maths {
        let unknowns = side.factors.iter().map(|&(slot, factor)| {
            let minus = factor < 0.0;
            let maths = self.times(factor.abs(), dimension, slot);
            Term { minus, maths }
        });
        let mut terms: Vec<Term> = unknowns.collect();
        if side.constant != 0.0 {
            let number = self.signed(side.constant, dimension);
            // What is taken away stands behind what it is taken from.
            let behind = number.minus && terms.first().is_some_and(|term| !term.minus);
            terms.insert(if behind { terms.len() } else { 0 }, number);
        }
        match &terms[..] {
            [] => units::zero(&self.units.of_dimension(dimension)),
            [_] if side.constant != 0.0 => self.amount(side.constant, dimension),
            [only] if !only.minus => only.maths.clone(),
            _ => Maths::Sum(terms),
        }
    }

    /// A value as a term: its size, added or taken away.
    fn signed(&self, value: f64, dimension: Dimension) -> Term {
        Term {
            minus: value < 0.0,
            maths: self.amount(value.abs(), dimension),
        }
    }

    /// The sum of two values, written out; nothing where one of them is zero.
    pub(super) fn both(&self, left: f64, right: f64, dimension: Dimension) -> Option<Maths> {
        let (first, second) = if left < 0.0 && right > 0.0 {
            (right, left)
        } else {
            (left, right)
        };
        (left != 0.0 && right != 0.0).then(|| {
            let terms = [first, second].map(|value| self.signed(value, dimension));
            Maths::Sum(terms.into())
        })
    }

    /// A factor of an unknown in an equation of that dimension; the unknown alone, where it is 1.
    pub(super) fn times(&self, factor: f64, dimension: Dimension, slot: usize) -> Maths {
        let own = self.over(dimension, slot, 1);
        if own.is_none() && factor == 1.0 {
            return self.name(slot);
        }
        Maths::product(self.amount(factor, own), self.name(slot))
    }

    /// The dimension of what stands before a power of an unknown.
    pub(super) fn over(&self, dimension: Dimension, slot: usize, power: i32) -> Dimension {
        let mut left = dimension;
        for _ in 0..power {
            left = left
                .checked_div(self.unit(slot).dimension())
                .unwrap_or(Dimension::NONE);
        }
        left
    }
}

fn quiet(value: f64, size: f64) -> f64 {
    if value.abs() <= NOISE * size {
        0.0
    } else {
        value
    }
}
