//! Numbers that a wrong way leads to, and how likely one fits by luck.
//!
//! In: an answer under judgement and a way to reckon it. Out: every different number at its end, from
//! the givens and from the student's own earlier answers, each with what rounding on the way may add. The
//! chance of a match comes from its width and from how wrong answers lie around a key: a Cauchy density
//! in the logarithm of their ratio, of half-width a quarter, as found by simulation.

use crate::formula::tape::{SlotSet, Tape};
use crate::plan::{Road, Way};
use crate::quantity::NOISE;

use super::answer::Answer;
use super::follow::Ground;
use super::window::{ALLOWANCE, Fit, Stated, Window, half_unit_of};

/// The half-width of the density of wrong answers, in the logarithm of their ratio to the key.
const SPREAD: f64 = 0.25;

/// A number that a way leads to, in SI units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Number {
    /// Its value.
    pub value: f64,
    /// What rounding on the way may add, either way, uncapped.
    pub allowance: f64,
}

impl Number {
    /// Whether both have one value.
    pub fn is(&self, other: &Self) -> bool {
        (self.value - other.value).abs() <= NOISE * other.value.abs()
    }

    /// What is taken for it: rounding at the figures written, and on the way. Zeros at the end count as figures
    /// as far as those asked for go: 300 is no 280, where three are.
    pub(super) fn window(&self, answer: &Answer<'_>) -> Window {
        Window {
            allowance: self.allowance,
            least: answer.asked.shown,
            ..Window::declared(0.0, answer.rules().sign)
        }
    }

    /// The first candidate of an answer that is this number, and how.
    pub(super) fn fit(&self, answer: &Answer<'_>) -> Option<(usize, Fit)> {
        answer.fit(&self.window(answer), self.value)
    }

    /// The chance that a wrong answer written like `stated` fits this number by luck.
    pub(super) fn chance(&self, answer: &Answer<'_>, stated: Stated) -> f64 {
        let key = answer.key;
        let size = self.value.abs();
        // A density around the key says nothing of zero, nor of what is zero but for noise.
        if size <= NOISE * key.abs() || key == 0.0 || !size.is_finite() {
            return 0.0;
        }
        // A number of that size would have been written with as many figures as this one.
        let figures = stated.fewest_figures(answer.asked.shown);
        let half = figures.map_or(stated.half, |figures| {
            half_unit_of(size, figures, stated.size)
        });
        let width = half + self.allowance.min(ALLOWANCE * size);
        let off = libm::log(size / key.abs()) / SPREAD;
        let density = 1.0 / (SPREAD * std::f64::consts::PI * (1.0 + off * off));
        2.0 * width / size * density
    }
}

impl Ground<'_> {
    /// Calls `all` with the numbers that a way leads to.
    pub(super) fn numbers(
        &self,
        answer: &Answer<'_>,
        way: &Way,
        scratch: &mut Vec<f64>,
        all: &mut dyn FnMut(Number),
    ) {
        let mut add = |value: f64| {
            if value.is_finite() {
                all(Number {
                    value,
                    allowance: 0.0,
                });
            }
        };
        match way {
            Way::Expression { tape, size } => {
                let own = tape.uses().without(SlotSet::of(answer.plan.slot));
                self.by_expression((tape, *size), own, scratch, &mut add);
            }
            Way::Roads { own, roads } => {
                for road in own {
                    let end = self.end(road, std::iter::empty(), None, answer.key, scratch);
                    if let Some(value) = end {
                        add(value);
                    }
                }
                for road in roads {
                    self.numbers_along(answer, road, scratch, all);
                }
            }
        }
    }

    /// The numbers that an expression comes to: with the numbers given, and with what the student wrote for
    /// the answers in `own`.
    pub(super) fn by_expression(
        &self,
        (tape, size): (&Tape, f64),
        own: SlotSet,
        scratch: &mut Vec<f64>,
        add: &mut dyn FnMut(f64),
    ) {
        add(tape.value(self.slots) * size);
        scratch.clear();
        scratch.extend_from_slice(self.slots);
        for slot in tape.uses().and(own).iter() {
            if let Some(stated) = self.carry[slot].values.first() {
                scratch[slot] = stated.value;
            }
        }
        add(tape.value(scratch) * size);
    }

    /// The numbers at the end of a road from the student's own answers.
    pub(super) fn numbers_along(
        &self,
        answer: &Answer<'_>,
        road: &Road,
        scratch: &mut Vec<f64>,
        add: &mut dyn FnMut(Number),
    ) {
        let is_missing = |slot: usize| self.carry[slot].values.is_empty();
        if road.inputs.iter().any(is_missing) {
            return;
        }
        self.combinations(road, |inputs| {
            let values = inputs.iter().map(|(slot, stated)| (*slot, stated.value));
            if let Some(value) = self.end(road, values, None, answer.key, scratch) {
                let allowance = self.allowance(answer, road, inputs, value, scratch);
                add(Number { value, allowance });
            }
        });
    }
}
