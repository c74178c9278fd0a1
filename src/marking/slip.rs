//! Foreseen slips.
//!
//! In: an answer that neither the key nor follow-through explains, and the slips its part
//! foresees. Out: the slip whose number it is, rounded at the figures written, from the givens or
//! from the student's own earlier answers. A match may be luck: its chance is summed over all the values
//! that the slips of this part can give. Above [`LOOK`] no share is given without the teacher.

use rust_decimal::Decimal;

use crate::quantity::NOISE;

use super::answer::{Answer, Outcome};
use super::follow::Ground;
use super::number::Number;
use super::window::Fit;
use super::{Reason, Verdict};

/// The chance of luck up to which a slip's share is given at once.
pub const LOOK: f64 = 0.01;

/// One number that a slip leads to.
pub(super) struct Value {
    pub(super) slip: usize,
    pub(super) number: Number,
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
    let mut found: Vec<(usize, (usize, Fit))> = values
        .iter()
        .filter_map(|value| Some((value.slip, value.number.fit(answer)?)))
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
        let first = values.len();
        ground.numbers(answer, &plan.way, scratch, &mut |number| {
            let known = |known: &Value| known.number.is(&number);
            if !values[first..].iter().any(known) {
                values.push(Value { slip, number });
            }
        });
    }
    values
}

/// The chance that some slip of this part fits the answer by luck.
fn luck(answer: &Answer<'_>, values: &[Value], candidate: usize) -> f64 {
    let stated = answer.candidates[candidate].stated;
    let mut different: Vec<f64> = Vec::new();
    let mut sum = 0.0;
    for Value { number, .. } in values {
        let size = number.value.abs();
        if different.iter().any(|d| (d - size).abs() <= NOISE * size) {
            continue;
        }
        different.push(size);
        sum += number.chance(answer, stated);
    }
    1.0 - libm::exp(-sum)
}
