//! What rounding on the way does to an answer, held against its tolerance.
//!
//! In: the keys of a sample. Out: findings, and for each part how far rounding moves it. As in
//! marking, what is carried and what is solved on the way is moved by half a unit in the last
//! figure asked for, up and down, and the road walked again: at a stationary point, where slopes
//! promise that nothing happens, the move is seen too.

use crate::assignment::FiguresRule;
use crate::diagnostic::Diagnostic;
use crate::formula::tape::SlotSet;
use crate::marking::window::half_unit_of;
use crate::plan::Road;

use super::pass::Pass;
use super::threshold::{CAP, FIGURES, MANY};
use super::view::{Asks, View, among, joined, percent};

/// Keys looked at, and where some road is dear; each is walked to on every road, twice for every
/// value on it.
const WALKED: usize = 512;
const DEAR: usize = 16;

/// The share of variants that the reported rounding covers.
const MOST: f64 = 0.95;

/// For each part how far rounding on the way moves its answer along the worst road, as a share of
/// it that 95 % of the variants keep to; nothing where no quantity is asked for.
pub(super) fn check(view: &View<'_>, pass: &Pass, found: &mut Vec<Diagnostic>) -> Vec<Option<f64>> {
    let answers: Vec<Asks<'_>> = view.answers().collect();
    let mut moved = vec![None; view.assignment.parts.len()];
    let mut scratch = Vec::with_capacity(view.problem.slots());
    // What earlier parts ask for stands on the paper, and roads start from there.
    let mut written = SlotSet::default();
    for asks in &answers {
        figures(view, pass, asks, found);
        let roads: Vec<&Road> = roads(asks).collect();
        let mut worst: Option<(usize, &Road)> = None;
        let mut shares = Vec::new();
        let mut beyond = vec![0; roads.len()];
        let dear = roads.iter().any(|road| road.order.is_dear());
        for (draw, slots) in pass.survey.some(if dear { DEAR } else { WALKED }) {
            let key = slots[asks.plan.slot];
            let declared = asks.part.rules.tolerance(key);
            let tolerance = if declared > 0.0 {
                declared
            } else {
                CAP * key.abs()
            };
            let mut most = 0.0_f64;
            for (beyond, road) in beyond.iter_mut().zip(&roads) {
                let half = |slot: usize| half(view, &answers, asks, slot, slots[slot], draw);
                let rounded = Rounded {
                    carried: road.inputs,
                    hidden: road.hidden.without(written),
                };
                let reach = reach(view, road, rounded, slots, &half, &mut scratch);
                most = most.max(reach);
                *beyond += usize::from(reach > tolerance);
            }
            shares.push(if key == 0.0 { 0.0 } else { most / key.abs() });
        }
        for (beyond, road) in beyond.iter().zip(&roads) {
            if worst.is_none_or(|(most, _)| *beyond > most) {
                worst = Some((*beyond, road));
            }
        }
        moved[asks.index] = quantile(&mut shares);
        if let Some((beyond, road)) = worst {
            let share = beyond as f64 / shares.len().max(1) as f64;
            if share >= MANY {
                let moved = moved[asks.index].unwrap_or(0.0);
                let often = among(beyond, shares.len());
                found.push(wide(view, asks, road, &often, moved));
            }
        }
        written = written.or(SlotSet::of(asks.plan.slot));
    }
    moved
}

/// The roads a student may have taken: those from earlier answers, or from the givens alone.
fn roads<'a>(asks: &Asks<'a>) -> impl Iterator<Item = &'a Road> + use<'a> {
    asks.plan.roads.iter().chain(&asks.plan.own)
}

/// Half a unit in the last figure asked for of what stands in a slot.
fn half(
    view: &View<'_>,
    answers: &[Asks<'_>],
    asks: &Asks<'_>,
    slot: usize,
    value: f64,
    draw: usize,
) -> f64 {
    let asked = answers.iter().find(|other| other.plan.slot == slot);
    match asked {
        Some(other) => {
            let figures = view.asked(other, draw).carried(None);
            half_unit_of(value, figures, other.unit.factor())
        }
        None => {
            let figures = view.asked(asks, draw).carried(None);
            half_unit_of(value, figures, view.problem.sizes[slot])
        }
    }
}

/// What is rounded on a road.
#[derive(Clone, Copy)]
struct Rounded {
    /// Earlier answers it starts from.
    carried: SlotSet,
    /// Unknowns solved on the way that nobody asked for before.
    hidden: SlotSet,
}

/// How far the end of a road moves when everything rounded on it is off by its half unit, the larger
/// way, added up.
fn reach(
    view: &View<'_>,
    road: &Road,
    rounded: Rounded,
    slots: &[f64],
    half: &dyn Fn(usize) -> f64,
    scratch: &mut Vec<f64>,
) -> f64 {
    let key = slots[road.target];
    let mut end = |slot: usize, by: f64, carried: bool| {
        scratch.clear();
        scratch.extend_from_slice(slots);
        let nudge = if carried {
            scratch[slot] += by;
            None
        } else {
            Some((slot, by))
        };
        let end = road.value(&view.problem.solver, scratch, nudge, key);
        end.map_or(0.0, |end| (end - key).abs())
    };
    let mut larger = |slot: usize, carried: bool| {
        let half = half(slot);
        end(slot, half, carried).max(end(slot, -half, carried))
    };
    let carried: f64 = rounded.carried.iter().map(|slot| larger(slot, true)).sum();
    let hidden: f64 = rounded.hidden.iter().map(|slot| larger(slot, false)).sum();
    carried + hidden
}

fn quantile(shares: &mut [f64]) -> Option<f64> {
    if shares.is_empty() {
        return None;
    }
    let at = ((shares.len() - 1) as f64 * MOST) as usize;
    Some(*shares.select_nth_unstable_by(at, f64::total_cmp).1)
}

fn wide(view: &View<'_>, asks: &Asks<'_>, road: &Road, often: &str, moved: f64) -> Diagnostic {
    let rules = &asks.part.rules;
    let allowed = if rules.percent.is_some() || rules.absolute.is_some() {
        "than its tolerance"
    } else {
        "than is allowed for"
    };
    let message = format!(
        "rounding on the way moves the answer of part `{}` by up to {}, and more {allowed} {often}",
        asks.part.id,
        percent(moved)
    );
    let inputs: Vec<&str> = road.inputs.iter().map(|slot| view.name(slot)).collect();
    let from = if inputs.is_empty() {
        "the givens".to_owned()
    } else {
        joined(inputs.into_iter(), " + ")
    };
    let label = format!("by {} from {from}", view.equations(&road.equations));
    view.warning(asks.part.span, message).label(label).help(
        "ask for more figures, widen the tolerance, or keep roads over differences of near-equals out with `by`",
    )
}

/// Two figures are too few to be fair.
fn figures(view: &View<'_>, pass: &Pass, asks: &Asks<'_>, found: &mut Vec<Diagnostic>) {
    let least = pass
        .survey
        .iter()
        .map(|(draw, _)| view.asked(asks, draw).shown)
        .min();
    let Some(least) = least.filter(|least| *least < FIGURES) else {
        return;
    };
    let id = &asks.part.id;
    let (message, help) = match asks.part.rules.figures {
        FiguresRule::Data => (
            format!("part `{id}` is asked for to the figures of the data, and some have {least}"),
            "write the givens with three figures, such as \"6.00 kg\", or set `figures = 3`",
        ),
        FiguresRule::Asked(_) | FiguresRule::Range(..) => (
            format!("part `{id}` is asked for to {least} figures"),
            "set `figures = 3`",
        ),
    };
    found.push(
        view.warning(asks.part.span, message)
            .label("at so few figures rounding on the way rejects right work, and more guesses are taken")
            .help(help),
    );
}
