//! Another allowed constant, such as g = 10 m/s².
//!
//! In: the answers of one problem after the key was tried, and the student's key. Out: the one
//! constant that explains answers the key does not, if it explains every right answer it touches
//! as well. Tested at the figures written, since a tolerance would hide most constants.

use crate::assignment::Assignment;
use crate::formula::tape::SlotSet;
use crate::plan::Problem;
use crate::quantity::Quantity;

use super::ProblemKey;
use super::answer::Answer;
use super::right;
use super::window::{Fit, Window};

/// A constant that was found, with the key it leads to and the answers it explains.
#[derive(Clone, Debug)]
pub(super) struct Constant {
    pub(super) given: usize,
    pub(super) allowed: usize,
    pub(super) slots: Vec<f64>,
    /// Index of the answer, the candidate that fits, and how.
    pub(super) explains: Vec<(usize, usize, Fit)>,
}

/// The other values that givens may have: the given, the index of the value, and the value.
pub(super) fn all(assignment: &Assignment) -> impl Iterator<Item = (usize, usize, Quantity)> {
    let givens = assignment.givens.iter().enumerate();
    givens.flat_map(|(given, model)| {
        let allowed = model.allowed.iter().enumerate();
        allowed.map(move |(index, allowed)| (given, index, allowed.quantity))
    })
}

/// Looks for the constant that explains most.
pub(super) fn find(
    answers: &[Answer<'_>],
    assignment: &Assignment,
    problem: &Problem,
    key: &ProblemKey,
    scratch: &mut Vec<f64>,
) -> Option<Constant> {
    let mut best: Option<Constant> = None;
    for (given, allowed, quantity) in all(assignment) {
        let touches = |answer: &&Answer<'_>| answer.plan.depends.has(given);
        if !answers.iter().filter(touches).any(Answer::is_open) {
            continue;
        }
        let mut slots = key.slots.clone();
        slots[given] = quantity.si();
        if problem.solve(&mut slots).is_err() {
            continue;
        }
        let mut found = Constant {
            given,
            allowed,
            slots,
            explains: Vec::new(),
        };
        let mut contradicted = false;
        for (at, answer) in answers
            .iter()
            .enumerate()
            .filter(|(_, answer)| touches(answer))
        {
            let value = found.slots[answer.plan.slot];
            match &answer.outcome {
                Some(outcome) if outcome.verdict.is_right() => {
                    // Judged as by its own key, with all that is accepted beside it.
                    let none = SlotSet::default();
                    let judged = right::judge(answer, problem, &found.slots, none, scratch);
                    contradicted |= judged.is_none();
                }
                Some(_) => {}
                None => {
                    let window = window(answer);
                    if let Some((candidate, fit)) = answer.fit(&window, value) {
                        found.explains.push((at, candidate, fit));
                    }
                }
            }
        }
        let better = best
            .as_ref()
            .is_none_or(|best| found.explains.len() > best.explains.len());
        if !contradicted && !found.explains.is_empty() && better {
            best = Some(found);
        }
    }
    best
}

/// What is taken for the key with another constant: only at the figures written, no tolerance, no
/// allowance.
pub(super) fn window(answer: &Answer<'_>) -> Window {
    Window::declared(0.0, answer.rules().sign)
}
