//! Roads through equations put in place of the file's.
//!
//! In: a problem, an equation of it and what is put in its place. Out: for a part the roads that run
//! through the replacement, from the givens alone and from earlier answers. A foreseen replacement whose
//! dimensions do not fit is reckoned with the numbers as printed on the paper, since that is how it is
//! made; everything else in SI units. Left out: sets of equations in which
//! a replacement meets its own right counterpart, which no student's work does.

use crate::assignment::{AnswerPart, Assignment};
use crate::formula::check;
use crate::formula::solve::Solver;
use crate::formula::tape::{Measure, SlotSet, Tape, TooLong};
use crate::formula::tree::{Equation, Expr};

use super::build::Builder;
use super::road::{self, Wanted};
use super::slip::Way;
use super::{MOST_ROADS, Problem, Road};

/// Equations in the places of others.
#[derive(Clone, Debug, Default)]
pub struct Put {
    /// The file's, which are not used.
    replaced: Vec<usize>,
    /// Those used for them, by their places in the solver.
    by: Vec<usize>,
}

impl<'a> Builder<'a> {
    /// The slots that the parts in `parts` ask for.
    pub(super) fn asked(&self, parts: impl Iterator<Item = usize>) -> SlotSet {
        parts
            .filter_map(|part| super::answer_part(self.assignment, part))
            .map(|answer| self.assignment.givens.len() + answer.unknown)
            .collect()
    }

    /// The sizes of the units by which printed numbers are read; angles count in radians.
    fn printed_sizes(&self) -> Vec<f64> {
        self.sizes
            .iter()
            .zip(&self.solver.angles)
            .map(|(&size, &angle)| if angle { 1.0 } else { size })
            .collect()
    }

    /// Puts an equation in the place of the file's. Where its dimensions do not fit it is reckoned with the
    /// numbers as printed, if that is asked for.
    pub(super) fn put(
        &self,
        (replaced, by): (usize, &Equation),
        as_printed: bool,
        solver: &mut Solver,
        put: &mut Put,
    ) -> Result<(), TooLong> {
        let printed = self.printed_sizes();
        let measure = if as_printed && check::check_equation(by, self.assignment).is_err() {
            Measure::Printed(&printed)
        } else {
            Measure::Si
        };
        let tape = Tape::residual(by, &|name| self.meaning(name), measure)?;
        put.replaced.push(replaced);
        put.by.push(solver.tapes.len());
        solver.tapes.push(tape);
        Ok(())
    }

    /// The roads to the answer of part `at` that run through what was put in, from the givens alone and
    /// from the answers of earlier parts.
    pub(super) fn roads_through(
        &self,
        at: usize,
        answer: &AnswerPart,
        put: &Put,
        solver: &Solver,
        keys: &[Vec<f64>],
    ) -> (Vec<Road>, Vec<Road>) {
        let slot = self.assignment.givens.len() + answer.unknown;
        let earlier = self.asked(0..at).without(SlotSet::of(slot));
        let equations = 0..self.assignment.equations.len();
        let allowed: Vec<usize> = equations
            .filter(|equation| !put.replaced.contains(equation))
            .chain(put.by.iter().copied())
            .collect();
        let search = |known: SlotSet| {
            let wanted = Wanted {
                solver,
                allowed: &allowed,
                unknowns: self.unknowns,
                known,
                target: slot,
                must: &put.by,
                keys,
            };
            let mut roads = road::search(&wanted).roads;
            roads.retain(|road| {
                let restored = road.equations.iter().map(|e| {
                    let place = put.by.iter().position(|by| by == e);
                    place.map_or(*e, |place| put.replaced[place])
                });
                !road::is_hollow(&wanted, &restored.collect::<Vec<_>>())
            });
            let mut roads = road::distinct(solver, roads, keys);
            roads.truncate(MOST_ROADS);
            roads
        };
        let own = search(SlotSet::default());
        let mut roads = search(earlier);
        roads.retain(|road| !road.inputs.is_empty());
        (own, roads)
    }

    /// Another quantity answered instead of the one asked for.
    pub(super) fn answered(&self, answer: &AnswerPart, expr: &Expr) -> Result<Way, TooLong> {
        let unit = self.assignment.unknowns[answer.unknown].unit;
        let found = check::dimension(expr, self.assignment);
        let fits = matches!(found, Ok(None)) || found == Ok(Some(unit.dimension()));
        let printed = self.printed_sizes();
        let measure = if fits {
            Measure::Si
        } else {
            Measure::Printed(&printed)
        };
        let tape = Tape::expr(expr, &|name| self.meaning(name), measure)?;
        Ok(Way::Expression {
            tape,
            size: if fits { 1.0 } else { answer.unit.factor() },
        })
    }
}

/// Tries equations in the places of a problem's own, one after the other.
pub struct Replacer<'a> {
    builder: Builder<'a>,
    keys: &'a [Vec<f64>],
    solver: Solver,
}

impl<'a> Replacer<'a> {
    /// Begins with a problem as it is; nothing where the assignment is not the one it was made from.
    pub fn new(assignment: &'a Assignment, problem: &'a Problem) -> Option<Self> {
        Some(Self {
            builder: Builder::new(assignment).ok()?,
            keys: &problem.samples,
            solver: problem.solver.clone(),
        })
    }

    /// Puts `by` in the place of an equation, in SI units whatever its dimensions; nothing where it is too
    /// long.
    pub fn put(&mut self, equation: usize, by: &Equation) -> Option<Put> {
        self.put_all(&[(equation, by.clone())])
    }

    /// The same with several equations, each in the place of its own.
    pub fn put_all(&mut self, equations: &[(usize, Equation)]) -> Option<Put> {
        let mut put = Put::default();
        for (equation, by) in equations {
            let (what, solver) = ((*equation, by), &mut self.solver);
            self.builder.put(what, false, solver, &mut put).ok()?;
        }
        Some(put)
    }

    /// How the answer of part `at` comes about with what was put in; nothing where no road leads there.
    pub fn way(&self, at: usize, put: &Put) -> Option<Way> {
        let answer = super::answer_part(self.builder.assignment, at)?;
        let (own, roads) = self
            .builder
            .roads_through(at, answer, put, &self.solver, self.keys);
        (!own.is_empty() || !roads.is_empty()).then_some(Way::Roads { own, roads })
    }

    /// Another quantity answered in part `at`.
    pub fn answered(&self, at: usize, expr: &Expr) -> Option<Way> {
        let answer = super::answer_part(self.builder.assignment, at)?;
        self.builder.answered(answer, expr).ok()
    }

    /// All equations, those put in behind the file's.
    pub fn into_solver(self) -> Solver {
        self.solver
    }
}
