//! Mistakes that the question cannot tell from right work.
//!
//! In: the keys of a few draws, the terms of the equations. Out: a finding where a term left out or turned
//! leads no answer that it touches further from its key than three tolerances, whatever the variant: whoever
//! makes that mistake is marked right, and neither student nor teacher hears of it. Left out: what leads
//! to the very key, which is no mistake. Foreseen slips are looked at by `slips`.

use crate::diagnosis::{Mistake, Mistakes};
use crate::diagnostic::Diagnostic;
use crate::formula::tape::SlotSet;
use crate::plan::Way;
use crate::quantity::NOISE;

use super::pass::Pass;
use super::threshold::{CLEAR, CLEAR_IN_WORDS, UNTOLD};
use super::view::{Asks, View, among};

/// Keys looked at: each takes all mistakes.
const KEYS: usize = 24;

/// Mistakes told of one problem; the rest is counted.
const TOLD: usize = 2;

pub(super) fn check(
    view: &View<'_>,
    pass: &Pass,
    (mistakes, problem): (&Mistakes, usize),
    found: &mut Vec<Diagnostic>,
) {
    let Some(altered) = mistakes.altered(problem) else {
        return;
    };
    let answers: Vec<Asks<'_>> = view.answers().collect();
    let keys = pass.survey.some(KEYS).count();
    let mut untold: Vec<(usize, usize, &Mistake)> = Vec::new();
    for mistake in mistakes.of_problem(problem) {
        if !mistake.is_of_a_term {
            continue;
        }
        let (mut count, mut first) = (0, 0);
        for (draw, slots) in pass.survey.some(KEYS) {
            let mut scratch = slots.to_vec();
            let mut is_news = false;
            let is_near = answers.iter().all(|asks| {
                let Some(Way::Roads { own, .. }) = &mistake.ways[asks.index] else {
                    return true;
                };
                let key = slots[asks.plan.slot];
                let width = asks.half_width(key, view.asked(asks, draw).shown);
                own.iter().all(|road| {
                    scratch.copy_from_slice(slots);
                    let since = (SlotSet::default(), altered.equations);
                    let end = road.value_next_to(&altered.solver, &mut scratch, since);
                    let off = end.map_or(f64::INFINITY, |end| {
                        (asks.counted(end) - asks.counted(key)).abs()
                    });
                    is_news |= off > NOISE * key.abs();
                    off <= CLEAR * width
                })
            });
            if is_near && is_news {
                if count == 0 {
                    first = draw;
                }
                count += 1;
            }
        }
        if count > 0 && count as f64 >= UNTOLD * keys as f64 {
            untold.push((count, first, mistake));
        }
    }
    untold.sort_by_key(|(count, ..)| std::cmp::Reverse(*count));
    let others = untold.len().saturating_sub(TOLD);
    for (at, (count, first, mistake)) in untold.into_iter().take(TOLD).enumerate() {
        let Some(equation) = mistake
            .equation
            .and_then(|at| view.assignment.equations.get(at))
        else {
            continue;
        };
        let message = format!(
            "a mistake that no answer tells from right work: in `{}` {}, {}",
            equation.name,
            mistake.says,
            among(count, keys)
        );
        let mut help = format!(
            "where it matters, draw numbers that keep the answers {CLEAR_IN_WORDS} apart with [require], or narrow the tolerance"
        );
        if at + 1 == TOLD && others > 0 {
            help = format!("{help}; {others} more are like it");
        }
        let givens = (0..view.problem.givens).collect();
        found.push(
            view.warning(equation.span, message)
                .label(format!("such as with {}", view.told(givens, first)))
                .help(help),
        );
    }
}
