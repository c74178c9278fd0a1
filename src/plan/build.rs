//! Builds the plan of a sheet.
//!
//! In: a checked sheet and, for each sample draw and problem, the values of the givens in SI
//! units. Out: the plan, or everything that is wrong with the equations, each with its place.

use crate::assignment::{Assignment, Sheet};
use crate::diagnostic::{Diagnostic, Place, Span};
use crate::formula::solve::{Range, Solver};
use crate::formula::tape::{Meaning, Measure, SlotSet, Tape, TooLong};

use super::meaning::meaning;
use super::{PaperPart, Plan, Problem};

/// Prepares a sheet. `samples` holds draws of the givens: for each draw, for each problem, the
/// values in SI units. Independence, roads and equal roads are judged at them; three or more
/// different draws are wanted where the givens vary.
///
/// # Errors
/// Equations that do not determine the unknowns, contradict each other or leave several answers.
pub fn prepare(sheet: Sheet, samples: &[Vec<Vec<f64>>]) -> Result<Plan, Vec<Diagnostic>> {
    let mut errors = Vec::new();
    let mut problems = Vec::new();
    for (at, assignment) in sheet.problems.iter().enumerate() {
        let draws: Vec<Vec<f64>> = samples
            .iter()
            .filter_map(|draw| draw.get(at).cloned())
            .collect();
        match problem(assignment, &draws) {
            Ok(problem) => problems.push(problem),
            Err(found) => errors.extend(found),
        }
    }
    if !errors.is_empty() {
        return Err(errors);
    }
    let parts = sheet
        .part_ids()
        .map(|(id, problem, part)| PaperPart { id, problem, part })
        .collect();
    Ok(Plan {
        problems,
        parts,
        sheet,
    })
}

fn problem(assignment: &Assignment, draws: &[Vec<f64>]) -> Result<Problem, Vec<Diagnostic>> {
    let builder = Builder::new(assignment).map_err(|error| vec![error])?;
    let (key, redundant, keys) = builder.key(draws)?;
    let mut problem = Problem {
        givens: assignment.givens.len(),
        equations: assignment.equations.len(),
        sizes: builder.sizes.clone(),
        solver: builder.solver.clone(),
        key,
        redundant,
        possible: Vec::new(),
        parts: Vec::new(),
        samples: keys,
    };
    let mut errors = Vec::new();
    for condition in &assignment.possible {
        match builder.judges(&condition.item) {
            Ok(judges) => problem.possible.extend(judges),
            Err(TooLong) => errors.push(builder.too_long(condition.span)),
        }
    }
    for at in 0..assignment.parts.len() {
        match builder.part(at, &problem.samples, &mut problem.solver) {
            Ok(part) => problem.parts.push(part),
            Err(error) => errors.push(error),
        }
    }
    if errors.is_empty() {
        Ok(problem)
    } else {
        Err(errors)
    }
}

pub(super) struct Builder<'a> {
    pub(super) assignment: &'a Assignment,
    pub(super) solver: Solver,
    pub(super) sizes: Vec<f64>,
    pub(super) unknowns: SlotSet,
}

impl<'a> Builder<'a> {
    pub(super) fn new(assignment: &'a Assignment) -> Result<Self, Diagnostic> {
        let givens = assignment.givens.len();
        let slots = givens + assignment.unknowns.len();
        let units = assignment.givens.iter().map(|given| given.unit);
        let units: Vec<_> = units
            .chain(assignment.unknowns.iter().map(|unknown| unknown.unit))
            .collect();
        let sizes: Vec<f64> = units.iter().map(|unit| unit.factor()).collect();
        let angles: Vec<bool> = units.iter().map(|unit| unit.is_angle()).collect();
        let mut builder = Self {
            assignment,
            unknowns: (givens..slots).collect(),
            solver: Solver {
                tapes: Vec::new(),
                ranges: vec![Range::default(); slots],
                scales: sizes.clone(),
                angles,
            },
            sizes,
        };
        for equation in &assignment.equations {
            let tape = Tape::residual(&equation.item, &|name| builder.meaning(name), Measure::Si)
                .map_err(|TooLong| builder.too_long(equation.span))?;
            builder.solver.tapes.push(tape);
        }
        for (at, unknown) in assignment.unknowns.iter().enumerate() {
            let limit = |expr: &'a Option<crate::formula::Expr>| {
                expr.as_ref()
                    .map(|expr| Tape::expr(expr, &|name| builder.meaning(name), Measure::Si))
                    .transpose()
                    .map_err(|TooLong| builder.too_long(unknown.span))
            };
            let range = Range {
                above: limit(&unknown.above)?,
                below: limit(&unknown.below)?,
            };
            builder.solver.ranges[givens + at] = range;
        }
        Ok(builder)
    }

    pub(super) fn meaning(&self, name: &str) -> Option<Meaning<'a>> {
        meaning(self.assignment, name)
    }

    pub(super) fn error(&self, span: Span, message: impl Into<String>) -> Diagnostic {
        self.error_at(Some(span), message)
    }

    /// The same of the whole file, where no place in it can be named.
    pub(super) fn error_at(&self, span: Option<Span>, message: impl Into<String>) -> Diagnostic {
        let place = span.map_or(Place::File, Place::Span);
        Diagnostic::error(&self.assignment.source.name, place, message)
    }

    pub(super) fn too_long(&self, span: Span) -> Diagnostic {
        self.error(span, TooLong.to_string())
            .help("split it into several equations or conditions")
    }

    /// The name of a slot as the file has it.
    pub(super) fn name(&self, slot: usize) -> &str {
        let givens = self.assignment.givens.len();
        match slot.checked_sub(givens) {
            None => &self.assignment.givens[slot].name,
            Some(at) => &self.assignment.unknowns[at].name,
        }
    }

    pub(super) fn equation_names(&self, equations: &[usize]) -> String {
        let names: Vec<String> = equations
            .iter()
            .filter_map(|&e| self.assignment.equations.get(e))
            .map(|equation| format!("`{}`", equation.name))
            .collect();
        names.join(", ")
    }
}
