//! A student's own key.
//!
//! In: the plan and the values drawn for one student. Out: all slots of every problem filled.
//! Refused: a draw that has no single key.

use crate::formula::tape::SlotSet;
use crate::plan::{KeyError, Plan, Problem};
use crate::quantity::Quantity;

/// The key of one paper.
#[derive(Clone, Debug, Default)]
pub struct Key {
    /// The problems, in order.
    pub problems: Vec<ProblemKey>,
}

/// The key of one problem.
#[derive(Clone, Debug, Default)]
pub struct ProblemKey {
    /// The givens as drawn.
    pub givens: Vec<Quantity>,
    /// All slots, in SI units.
    pub slots: Vec<f64>,
}

impl Key {
    /// Solves the key for the values drawn, for each problem in order, reusing what it holds.
    ///
    /// # Errors
    /// The problem whose equations fail for this draw, or whose words do not, and why.
    pub fn fill<'a>(
        &mut self,
        plan: &Plan,
        draws: impl Iterator<Item = &'a [Quantity]>,
    ) -> Result<(), (usize, KeyError)> {
        self.problems
            .resize_with(plan.problems.len(), ProblemKey::default);
        for (at, (key, givens)) in self.problems.iter_mut().zip(draws).enumerate() {
            let problem = &plan.problems[at];
            key.givens.clear();
            key.givens.extend_from_slice(givens);
            key.slots.clear();
            key.slots.extend(givens.iter().map(Quantity::si));
            key.slots.resize(problem.slots(), 0.0);
            let solved = problem.solve(&mut key.slots);
            let decided = solved.and_then(|()| problem.decide(&key.slots));
            decided.map_err(|error| (at, error))?;
        }
        Ok(())
    }
}

/// Solves a problem for other givens, next to the key; nothing where they leave no single key.
pub fn resolved(problem: &Problem, key: &ProblemKey, given: usize, value: f64) -> Option<Vec<f64>> {
    let mut slots = key.slots.clone();
    slots[given] = value;
    let (blocks, since) = (&problem.key.blocks, SlotSet::of(given));
    if !problem
        .solver
        .solve_next_to(blocks, &mut slots, since, problem.equations)
    {
        slots.copy_from_slice(&key.slots);
        slots[given] = value;
        problem.solve(&mut slots).ok()?;
    }
    Some(slots)
}
