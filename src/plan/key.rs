//! Solves a problem for one draw: the key.
//!
//! In: the givens in their slots. Out: the unknowns in theirs; exactly one solution lies within
//! the ranges and satisfies all equations. Refused: none, several, or a contradiction.

use crate::formula::solve::{Solver, Trouble, Why};
use crate::formula::tape::SLOTS;
use crate::quantity::NOISE;

use super::{PartPlan, Problem};

/// A result below this share of the terms it came from is zero.
const ZERO: f64 = 1e-12;

/// Why a draw has no key.
#[derive(Clone, Debug, PartialEq)]
pub enum KeyError {
    /// A block of equations has no solution.
    Unsolved {
        /// Its equations.
        equations: Vec<usize>,
        /// The slots they should yield.
        unknowns: Vec<usize>,
        /// What is wrong with them.
        why: Why,
    },
    /// More than one solution lies within the ranges.
    Several {
        /// The first slot in which they differ.
        slot: usize,
        /// Its values.
        values: Vec<f64>,
    },
    /// A solution was found, but an equation that it does not need contradicts it.
    Contradiction {
        /// The equation.
        equation: usize,
    },
    /// Of the words to choose from in a part none holds, or several.
    Undecided {
        /// The part.
        part: usize,
        /// Indices of the words that hold.
        holding: Vec<usize>,
    },
}

impl Problem {
    /// Solves for the unknowns; `slots` holds the givens and receives the unknowns.
    ///
    /// # Errors
    /// [`KeyError`], with `slots` left in no particular state.
    pub fn solve(&self, slots: &mut [f64]) -> Result<(), KeyError> {
        if let Some(outcome) = self.solver.only_solution(&self.key, slots, None) {
            outcome.map_err(|trouble| self.unsolved(trouble))?;
            let broken = self.redundant.iter();
            let broken = broken.copied().find(|&e| !self.solver.holds(e, slots));
            if let Some(equation) = broken {
                return Err(KeyError::Contradiction { equation });
            }
            self.settle_zeros(slots);
            return Ok(());
        }
        let mut kept = [0.0; SLOTS];
        let mut found = 0;
        let mut differs: Option<(usize, Vec<f64>)> = None;
        let mut contradiction = None;
        let count = slots.len();
        let outcome = self
            .solver
            .solutions(&self.key, slots, None, &mut |solution| {
                if let Some(&equation) = self
                    .redundant
                    .iter()
                    .find(|&&equation| !self.solver.holds(equation, solution))
                {
                    contradiction = Some(equation);
                    return;
                }
                if found == 0 {
                    kept[..count].copy_from_slice(solution);
                } else {
                    let slot = (self.givens..count)
                        .find(|&slot| {
                            (kept[slot] - solution[slot]).abs() > NOISE * kept[slot].abs()
                        })
                        .unwrap_or(self.givens);
                    let (_, values) = differs.get_or_insert_with(|| (slot, vec![kept[slot]]));
                    values.push(solution[slot]);
                }
                found += 1;
            });
        if let Some((slot, values)) = differs {
            return Err(KeyError::Several { slot, values });
        }
        if found == 0 {
            return Err(match (contradiction, outcome) {
                (Some(equation), _) => KeyError::Contradiction { equation },
                (None, Err(trouble)) => self.unsolved(trouble),
                (None, Ok(())) => self.unsolved(Trouble {
                    block: 0,
                    why: Why::NoRoot,
                }),
            });
        }
        slots.copy_from_slice(&kept[..count]);
        self.settle_zeros(slots);
        Ok(())
    }

    /// Whether exactly one word holds in every part that asks for one; `slots` holds the key.
    ///
    /// # Errors
    /// [`KeyError::Undecided`] for the first part where it is otherwise.
    pub fn decide(&self, slots: &[f64]) -> Result<(), KeyError> {
        for (part, plan) in self.parts.iter().enumerate() {
            let PartPlan::Choose(judges) = plan else {
                continue;
            };
            if judges.iter().filter(|judge| judge.holds(slots)).count() != 1 {
                let holding = (0..judges.len()).filter(|&word| judges[word].holds(slots));
                let holding = holding.collect();
                return Err(KeyError::Undecided { part, holding });
            }
        }
        Ok(())
    }

    fn unsolved(&self, trouble: Trouble) -> KeyError {
        let block = self.key.blocks.get(trouble.block);
        KeyError::Unsolved {
            equations: block
                .map(|block| block.equations.clone())
                .unwrap_or_default(),
            unknowns: block
                .map(|block| block.unknowns.clone())
                .unwrap_or_default(),
            why: trouble.why,
        }
    }

    /// Makes exactly zero what is only rounding noise.
    fn settle_zeros(&self, slots: &mut [f64]) {
        for block in &self.key.blocks {
            for &slot in &block.unknowns {
                let small = slots[slot] != 0.0 && slots[slot].abs() < 1e-6 * self.sizes[slot];
                if small
                    && block
                        .equations
                        .iter()
                        .any(|&e| is_noise(&self.solver, e, slot, slots))
                {
                    slots[slot] = 0.0;
                }
            }
        }
    }
}

fn is_noise(solver: &Solver, equation: usize, slot: usize, slots: &[f64]) -> bool {
    let tape = &solver.tapes[equation];
    let (_, size) = tape.sized(slots);
    let (_, slope) = tape.slope(slots, slot);
    (slots[slot] * slope).abs() < ZERO * size
}
