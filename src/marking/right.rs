//! The key, and what is accepted beside it.
//!
//! In: an answer and its key. Out: right, with how it fits; or nothing. The declared tolerance
//! and rounding at the figures written come first; then the allowance for unknowns that were
//! solved and rounded on the way, for every way that leads from the givens; then the expressions
//! and ranges the file accepts.

use rust_decimal::Decimal;

use crate::assignment::{Leniency, Sign};
use crate::formula::tape::SlotSet;
use crate::plan::{Problem, Road};
use crate::quantity::NOISE;

use super::answer::{Answer, Candidate, Outcome};
use super::follow::both_ways;
use super::window::{Fit, How, Window, beside, half_unit_of};
use super::{Reason, Verdict};

/// Judges an answer by its key. `written` holds the slots of earlier answers that stand on the
/// paper: what was carried from those shows in the answers themselves.
pub(super) fn judge(
    answer: &Answer<'_>,
    problem: &Problem,
    slots: &[f64],
    written: SlotSet,
    scratch: &mut Vec<f64>,
) -> Option<Outcome> {
    let key = slots[answer.plan.slot];
    let right = |(at, fit): (usize, Fit)| {
        Outcome::new(Verdict::Right, Decimal::ONE, Some(reason(fit.how))).by(at, fit)
    };
    let plain = window(answer, key);
    // What rounding explains is not cut off; and where cutting off costs the figures, a tolerance
    // that takes the value does not hide it.
    let uncut = Window {
        truncated: None,
        by_rounding: charges_truncation(answer),
        ..plain
    };
    if let Some(found) = answer.fit(&uncut, key) {
        return Some(right(found));
    }
    if is_near(answer, slots) {
        for road in &answer.plan.own {
            let allowance = allowance(answer, problem, slots, written, road, scratch);
            if let Some(found) = answer.fit(&Window { allowance, ..uncut }, key) {
                return Some(right(found));
            }
        }
        let cut = Window {
            by_rounding: uncut.by_rounding,
            ..plain
        };
        let found = answer.fit(&cut, key).or_else(|| answer.fit(&plain, key));
        if let Some(found) = found {
            return Some(right(found));
        }
    }
    accepted(answer, slots)
}

/// What rounding the unknowns on a way from the givens does to the key; `slots` holds that key and
/// what leads to it.
pub(super) fn allowance(
    answer: &Answer<'_>,
    problem: &Problem,
    slots: &[f64],
    written: SlotSet,
    road: &Road,
    scratch: &mut Vec<f64>,
) -> f64 {
    let figures = answer.asked.carried(answer.figures());
    let key = slots[answer.plan.slot];
    let hidden = road.hidden.without(written);
    hidden
        .iter()
        .map(|hidden| {
            let half = half_unit_of(slots[hidden], figures, problem.sizes[hidden]);
            both_ways(half, |by| {
                scratch.clear();
                scratch.extend_from_slice(slots);
                let end = road.value(&problem.solver, scratch, Some((hidden, by)), key)?;
                Some((end - key).abs())
            })
        })
        .sum()
}

/// Whether an answer lies so near to the key that an allowance for rounding may reach it.
pub(super) fn is_near(answer: &Answer<'_>, slots: &[f64]) -> bool {
    let key = slots[answer.plan.slot];
    let window = window(answer, key);
    let reaches = |c: &Candidate| window.within_reach(c.stated, key);
    answer.candidates.iter().any(reaches)
}

/// Whether an answer is the key but for rounding, there or anywhere on the way.
pub(super) fn is_by_rounding(
    answer: &Answer<'_>,
    problem: &Problem,
    slots: &[f64],
    scratch: &mut Vec<f64>,
) -> bool {
    let key = slots[answer.plan.slot];
    let mut widest = Window {
        by_rounding: true,
        ..window(answer, key)
    };
    let fits = |window: &Window| answer.fit(window, key).is_some();
    fits(&widest)
        || answer.plan.own.iter().any(|road| {
            let none = SlotSet::default();
            widest.allowance = allowance(answer, problem, slots, none, road, scratch);
            fits(&widest)
        })
}

/// The window of the key without any allowance.
pub(super) fn window(answer: &Answer<'_>, key: f64) -> Window {
    Window {
        truncated: Some(answer.asked.least),
        ..Window::declared(answer.declared(key), answer.rules().sign)
    }
}

pub(super) fn reason(how: How) -> Reason {
    match how {
        How::Rounded => Reason::Rounded,
        How::Tolerance => Reason::WithinTolerance,
        How::Allowance => Reason::RoundedOnTheWay,
        How::Truncated => Reason::Truncated,
    }
}

/// Expressions and ranges that the file accepts.
fn accepted(answer: &Answer<'_>, slots: &[f64]) -> Option<Outcome> {
    for (index, (tape, share)) in answer.plan.accepts.iter().enumerate() {
        let value = tape.value(slots);
        if let Some((at, fit)) = answer.fit(&window(answer, value), value) {
            let mut outcome = Outcome::new(Verdict::Right, *share, Some(Reason::Accepted(index)));
            outcome.because(reason(fit.how));
            return Some(outcome.by(at, fit));
        }
    }
    let (from, to) = answer.asks.window?;
    let (from, to) = (from.si().min(to.si()), from.si().max(to.si()));
    // The ends are the teacher's own decimals: an answer that is one of them lies within.
    let noise = NOISE * from.abs().max(to.abs());
    let within = |x: f64| (from - noise..=to + noise).contains(&x);
    let sign = answer.rules().sign;
    let inside = |x: f64| {
        within(x)
            || (sign.is_size_only() && within(-x))
            || (sign == Sign::Turn && within(beside(x, from.midpoint(to))))
    };
    let at = answer
        .candidates
        .iter()
        .position(|candidate| inside(candidate.stated.value))?;
    let mut outcome = Outcome::new(Verdict::Right, Decimal::ONE, Some(Reason::InWindow));
    outcome.candidate = at;
    Some(outcome)
}

/// Whether a value cut off costs the figures in this part.
pub(super) fn charges_truncation(answer: &Answer<'_>) -> bool {
    answer.rules().truncated == Leniency::Charge
}
