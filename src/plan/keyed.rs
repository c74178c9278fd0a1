//! Chooses the equations by which the key is solved, and tries them on the sample draws.
//!
//! In: a problem's equations compiled, and draws of the givens. Out: the order of solving, what is
//! left over, and the keys. Refused: unknowns left undetermined, contradictions, several answers.

use crate::diagnostic::{Diagnostic, Place};
use crate::formula::order::{LARGEST_BLOCK, Order};
use crate::text::counted;

use super::build::Builder;
use super::told::key_diagnostic;
use super::{Problem, basis};

/// The basis chosen for the key, the equations left over, and the keys of the sample draws.
pub(super) type Keyed = (Order, Vec<usize>, Vec<Vec<f64>>);

impl Builder<'_> {
    /// Chooses the equations for the key and solves the sample draws with them. Where a choice
    /// turns out to hang together only at the solution, the next one is tried.
    pub(super) fn key(&self, draws: &[Vec<f64>]) -> Result<Keyed, Vec<Diagnostic>> {
        let all: Vec<usize> = (0..self.assignment.equations.len()).collect();
        let Some(first_draw) = draws.first() else {
            let message = "no draw of the givens to try the equations on";
            let file = &self.assignment.source.name;
            return Err(vec![Diagnostic::error(file, Place::File, message).help(
                "widen the ranges under [given], or ask for less under [require]",
            )]);
        };
        let mut first_error = None;
        for turn in 0..all.len().max(1) {
            let mut preferred = all.clone();
            preferred.rotate_left(turn);
            let mut basis = basis::independent(&self.solver, &preferred, self.unknowns, first_draw);
            basis.sort_unstable();
            if basis.len() < self.unknowns.len() {
                return Err(vec![self.undetermined(&all, &basis, first_draw)]);
            }
            let Some(order) = Order::of(&self.solver.tapes, &basis, self.unknowns) else {
                let message =
                    format!("more than {LARGEST_BLOCK} equations would have to be solved at once");
                let span = self.assignment.equations.first().map(|e| e.span);
                return Err(vec![
                    self.error_at(span, message)
                        .help("write equations that can be solved in turn"),
                ]);
            };
            let redundant: Vec<usize> =
                all.iter().copied().filter(|e| !basis.contains(e)).collect();
            match self.keys(&order, &redundant, draws) {
                Ok(keys) => return Ok((order, redundant, keys)),
                Err(error) => {
                    first_error.get_or_insert(error);
                }
            }
        }
        Err(first_error.into_iter().collect())
    }

    fn keys(
        &self,
        order: &Order,
        redundant: &[usize],
        draws: &[Vec<f64>],
    ) -> Result<Vec<Vec<f64>>, Diagnostic> {
        let trial = Problem {
            givens: self.assignment.givens.len(),
            equations: self.assignment.equations.len(),
            sizes: self.sizes.clone(),
            solver: self.solver.clone(),
            key: order.clone(),
            redundant: redundant.to_vec(),
            possible: Vec::new(),
            parts: Vec::new(),
            samples: Vec::new(),
        };
        draws
            .iter()
            .map(|draw| {
                let mut slots = draw.clone();
                slots.resize(self.sizes.len(), 0.0);
                trial
                    .solve(&mut slots)
                    .map_err(|error| key_diagnostic(self.assignment, draw, &error))?;
                Ok(slots)
            })
            .collect()
    }

    fn undetermined(&self, all: &[usize], basis: &[usize], draw: &[f64]) -> Diagnostic {
        let open = basis::undetermined(&self.solver, all, self.unknowns, draw);
        let names: Vec<String> = open
            .iter()
            .map(|&slot| format!("`{}`", self.name(slot)))
            .collect();
        let span = open
            .first()
            .and_then(|slot| slot.checked_sub(self.assignment.givens.len()))
            .and_then(|at| self.assignment.unknowns.get(at))
            .map(|unknown| unknown.span);
        let message = format!(
            "the equations do not determine {}: {} independent for {}",
            if names.is_empty() {
                "all unknowns".to_owned()
            } else {
                names.join(", ")
            },
            basis.len(),
            counted(self.unknowns.len(), "unknown"),
        );
        self.error_at(span, message)
            .help("add an equation that ties them to the givens, or take an unknown away")
    }
}
