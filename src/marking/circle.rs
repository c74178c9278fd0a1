//! What rests on what: no answer may carry one that rests on it.
//!
//! In: answers under judgement, and what follows without credit. Out: whether a way back from later
//! answers would go in a circle, or says nothing.

use crate::formula::tape::SlotSet;
use crate::plan::Problem;

use super::answer::{Answer, Outcome};
use super::right;

/// Whether some answer was found to follow from the one in `slot`.
pub(super) fn is_used(answers: &[Answer<'_>], withheld: &[(usize, Outcome)], slot: usize) -> bool {
    let settled = answers.iter().filter_map(|answer| answer.outcome.as_ref());
    let withheld = withheld.iter().map(|(_, outcome)| outcome);
    settled
        .chain(withheld)
        .any(|outcome| outcome.rests_on.has(slot))
}

/// Whether answers in `inputs` rest on the answer at `at`, directly or through others, if only
/// without credit: what rests on it cannot carry it.
pub(super) fn is_circular(
    answers: &[Answer<'_>],
    withheld: &[(usize, Outcome)],
    at: usize,
    inputs: SlotSet,
) -> bool {
    let settled = answers.iter().enumerate();
    let settled = settled.filter_map(|(other, answer)| Some((other, answer.outcome.as_ref()?)));
    let withheld = withheld.iter().map(|(other, outcome)| (*other, outcome));
    let outcomes = settled.chain(withheld);
    // An answer may have come to rest on others after something was found to rest on it.
    let mut roots = inputs;
    loop {
        let further = outcomes.clone().fold(roots, |roots, (other, outcome)| {
            if roots.has(answers[other].plan.slot) {
                roots.or(outcome.rests_on)
            } else {
                roots
            }
        });
        if further == roots {
            return roots.has(answers[at].plan.slot);
        }
        roots = further;
    }
}

/// Whether a way back from the answers in `inputs` says anything, on the numbers in `slots`. Those
/// that are right must be so by rounding: one that is right within the tolerance alone, or with
/// another constant, may have been worked out from the very answer it leads back to, whose error it
/// dampens, and would make it right in a circle that does not show.
pub(super) fn is_sound(
    answers: &[Answer<'_>],
    inputs: SlotSet,
    problem: &Problem,
    slots: &[f64],
    scratch: &mut Vec<f64>,
) -> bool {
    let used = answers.iter().filter(|a| inputs.has(a.plan.slot));
    used.filter(|answer| answer.is_right())
        .all(|answer| right::is_by_rounding(answer, problem, slots, scratch))
}
