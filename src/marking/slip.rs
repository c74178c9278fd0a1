//! Foreseen slips.
//!
//! In: an answer that neither the key nor follow-through explains, and the slips its part
//! foresees. Out: the slip whose number it is, rounded at the figures written, from the givens or
//! from the student's own earlier answers. A match may be luck: the chance is reckoned from the
//! width of each match and how wrong answers lie around a key (a Cauchy density in the logarithm
//! of their ratio, of half-width a quarter, as found by simulation), summed over all the values
//! that the slips of this part can give. Above [`LOOK`] no share is given without the teacher.

use rust_decimal::Decimal;

use crate::plan::{Road, SlipPlan, Way};

use super::follow::Ground;
use super::part::{Answer, Outcome};
use super::window::{Fit, Window, half_unit_of};
use super::{Reason, Verdict};

/// The chance of luck up to which a slip's share is given at once.
pub const LOOK: f64 = 0.01;

/// The half-width of the density of wrong answers, in the logarithm of their ratio to the key.
const SPREAD: f64 = 0.25;

/// One number that a slip leads to.
pub(super) struct Value {
    pub(super) slip: usize,
    pub(super) value: f64,
    pub(super) allowance: f64,
}

impl Value {
    /// What is taken for it: rounding at the figures written, and on the way.
    pub(super) fn window(&self, answer: &Answer<'_>) -> Window {
        Window {
            allowance: self.allowance,
            ..Window::declared(0.0, answer.size_only())
        }
    }
}

/// Finds the slip behind an answer.
pub(super) fn judge(
    answer: &Answer<'_>,
    ground: &Ground<'_>,
    scratch: &mut Vec<f64>,
) -> Option<Outcome> {
    if answer.plan.slips.is_empty() || answer.candidates.is_empty() {
        return None;
    }
    let values = values(answer, ground, scratch);
    let fits = |value: &Value| answer.fit(&value.window(answer), value.value);
    let mut found: Vec<(usize, (usize, Fit))> = values
        .iter()
        .filter_map(|value| Some((value.slip, fits(value)?)))
        .collect();
    // The kindest first, where two slips give one number.
    found.sort_by_key(|&(slip, _)| (std::cmp::Reverse(answer.plan.slips[slip].share), slip));
    let &(slip, (candidate, fit)) = found.first()?;
    let luck = luck(answer, &values, candidate);
    let share = answer.plan.slips[slip].share;
    let look = luck > LOOK && share > Decimal::ZERO;
    let given = if look { Decimal::ZERO } else { share };
    let reason = Reason::SlipMade { slip, luck, look };
    let mut outcome = Outcome::new(Verdict::Slip, given, Some(reason)).by(candidate, fit);
    outcome.look = look;
    let mut named = vec![slip];
    for (other, _) in found {
        if !named.contains(&other) {
            named.push(other);
            outcome.because(Reason::OrSlip(other));
        }
    }
    Some(outcome)
}

/// The numbers that the slips of a part lead to, slip by slip.
pub(super) fn values(
    answer: &Answer<'_>,
    ground: &Ground<'_>,
    scratch: &mut Vec<f64>,
) -> Vec<Value> {
    let mut values: Vec<Value> = Vec::new();
    for (slip, plan) in answer.plan.slips.iter().enumerate() {
        reckon(answer, ground, slip, plan, &mut values, scratch);
    }
    values
}

/// Collects the different numbers that a slip leads to.
fn reckon(
    answer: &Answer<'_>,
    ground: &Ground<'_>,
    slip: usize,
    plan: &SlipPlan,
    values: &mut Vec<Value>,
    scratch: &mut Vec<f64>,
) {
    let mut add = |value: f64, allowance: f64| {
        let known =
            |known: &Value| known.slip == slip && (known.value - value).abs() <= 1e-9 * value.abs();
        if value.is_finite() && !values.iter().any(known) {
            values.push(Value {
                slip,
                value,
                allowance,
            });
        }
    };
    match &plan.way {
        Way::Expression { tape, size } => {
            add(tape.value(ground.slots) * size, 0.0);
            scratch.clear();
            scratch.extend_from_slice(ground.slots);
            for slot in tape.uses().iter() {
                if let Some(stated) = ground.carry[slot].values.first()
                    && slot != answer.plan.slot
                {
                    scratch[slot] = stated.value;
                }
            }
            add(tape.value(scratch) * size, 0.0);
        }
        Way::Roads { own, roads } => {
            for road in own {
                if let Some(value) = ground.end(road, std::iter::empty(), None, answer.key, scratch)
                {
                    add(value, 0.0);
                }
            }
            for road in roads {
                followed(answer, ground, road, &mut add, scratch);
            }
        }
    }
}

fn followed(
    answer: &Answer<'_>,
    ground: &Ground<'_>,
    road: &Road,
    add: &mut dyn FnMut(f64, f64),
    scratch: &mut Vec<f64>,
) {
    if road
        .inputs
        .iter()
        .any(|slot| ground.carry[slot].values.is_empty())
    {
        return;
    }
    ground.combinations(road, |inputs| {
        let values = inputs.iter().map(|(slot, stated)| (*slot, stated.value));
        if let Some(end) = ground.end(road, values, None, answer.key, scratch) {
            let allowance = ground.allowance(answer, road, inputs, end, scratch);
            add(end, allowance);
        }
    });
}

/// The chance that some slip of this part fits the answer by luck.
fn luck(answer: &Answer<'_>, values: &[Value], candidate: usize) -> f64 {
    let stated = answer.candidates[candidate].stated;
    let mut different: Vec<f64> = Vec::new();
    let mut sum = 0.0;
    for value in values {
        let size = value.value.abs();
        // A density around the key says nothing of zero, nor of what is zero but for noise.
        if size <= 1e-9 * answer.key.abs()
            || answer.key == 0.0
            || different.iter().any(|d| (d - size).abs() <= 1e-9 * size)
        {
            continue;
        }
        different.push(size);
        // A number of that size would have been written with as many figures as this one.
        let half = stated.figures().map_or(stated.half, |figures| {
            half_unit_of(size, figures, stated.size)
        });
        let width = half + value.allowance.min(0.02 * size);
        let off = libm::log(size / answer.key.abs()) / SPREAD;
        let density = 1.0 / (SPREAD * std::f64::consts::PI * (1.0 + off * off));
        sum += 2.0 * width / size * density;
    }
    1.0 - libm::exp(-sum)
}
