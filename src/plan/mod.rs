//! What can be prepared once for an assignment, so that marking a paper only runs through it.
//!
//! In: a checked sheet and the givens of a few sample draws. Out: a [`Plan`]: for each problem
//! its equations compiled over slots, the order in which they are solved, and for each part its
//! roads, slips and accepted expressions. Refused, with the equations named: equations that do
//! not determine the unknowns, that contradict each other, or that leave several answers.
//!
//! Slots: the givens in file order, then the unknowns. Values are in coherent SI units.

mod basis;
mod build;
mod key;
mod keyed;
mod meaning;
mod part;
mod replaced;
mod road;
mod slip;
#[cfg(test)]
mod tests;
mod told;

use rust_decimal::Decimal;

use crate::assignment::{AnswerPart, Assignment, Part, PartKind, Sheet};
use crate::formula::condition::Judge;
use crate::formula::order::Order;
use crate::formula::solve::Solver;
use crate::formula::tape::{SlotSet, Tape};

pub use build::prepare;
pub use key::KeyError;
pub use meaning::meaning;
pub use replaced::{Put, Replacer};
pub(crate) use road::LONGEST_ROAD;
pub use road::{MOST_INPUTS, MOST_ROADS, Road};
pub use slip::{SlipPlan, Way};
pub use told::key_diagnostic;

/// A sheet with everything prepared.
#[derive(Clone, Debug)]
pub struct Plan {
    /// What is handed out.
    pub sheet: Sheet,
    /// Its problems, prepared, in the same order.
    pub problems: Vec<Problem>,
    /// All parts of the paper in order.
    pub parts: Vec<PaperPart>,
}

/// A part as it stands on the paper.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PaperPart {
    /// Its id, the heading of its column.
    pub id: String,
    /// Index of its problem.
    pub problem: usize,
    /// Index in the problem's parts.
    pub part: usize,
}

impl Plan {
    /// The parts of a problem as indices into [`Plan::parts`].
    pub fn parts_of(&self, problem: usize) -> impl Iterator<Item = usize> + '_ {
        (0..self.parts.len()).filter(move |&at| self.parts[at].problem == problem)
    }

    /// The assignment that part `at` of the paper belongs to.
    pub fn assignment(&self, at: usize) -> &Assignment {
        &self.sheet.problems[self.parts[at].problem]
    }

    /// Part `at` of the paper as the file has it.
    pub fn part(&self, at: usize) -> &Part {
        &self.assignment(at).parts[self.parts[at].part]
    }

    /// Whether part `at` of the paper is judged by eye alone, so that no answer is keyed for it.
    pub fn is_by_eye(&self, at: usize) -> bool {
        matches!(self.part(at).kind, PartKind::Eye(_))
    }
}

/// One problem, prepared.
#[derive(Clone, Debug)]
pub struct Problem {
    /// How many slots are givens; the unknowns follow.
    pub givens: usize,
    /// The equations in file order, then those that slips put in their place.
    pub solver: Solver,
    /// How many of the solver's equations are the file's own.
    pub equations: usize,
    /// The order in which the key is solved.
    pub key: Order,
    /// Equations that the key does not need; it must satisfy them.
    pub redundant: Vec<usize>,
    /// What nature allows; each part of an `and` by itself.
    pub possible: Vec<Judge>,
    /// The parts, in file order.
    pub parts: Vec<PartPlan>,
    /// For each slot the size of its unit in SI units.
    pub sizes: Vec<f64>,
    /// All slots of the sample draws, by which roads are told apart.
    pub samples: Vec<Vec<f64>>,
}

/// One part, prepared.
#[derive(Clone, Debug)]
pub enum PartPlan {
    /// A quantity is asked for.
    Answer(AnswerPlan),
    /// A word is asked for: the condition of each option.
    Choose(Vec<Judge>),
    /// Judged by eye.
    Eye,
}

/// An asked-for quantity, prepared.
#[derive(Clone, Debug)]
pub struct AnswerPlan {
    /// The slot of the unknown that answers it.
    pub slot: usize,
    /// Ways from the givens alone, by what they solve on the way.
    pub own: Vec<Road>,
    /// Ways from earlier parts' answers, shortest first.
    pub roads: Vec<Road>,
    /// Ways that need a later part's answer.
    pub back: Vec<Road>,
    /// More roads were found than are used, or the search for them was cut short.
    pub more_roads: bool,
    /// Foreseen wrong ways, in file order.
    pub slips: Vec<SlipPlan>,
    /// Expressions that are also right, with their share of the value points.
    pub accepts: Vec<(Tape, Decimal)>,
    /// Slots of the givens that the answer depends on.
    pub depends: SlotSet,
    /// Whether its sign depends on the draw.
    pub turns: bool,
}

impl Problem {
    /// How many slots there are.
    pub fn slots(&self) -> usize {
        self.sizes.len()
    }

    /// Every smallest set of the equations `allowed` that determines the unknown in slot `target` from the
    /// givens and the unknowns `known`, shortest first; independence is judged at `key`.
    pub fn ways(&self, allowed: &[usize], known: SlotSet, target: usize, key: &[f64]) -> Vec<Road> {
        let wanted = road::Wanted {
            solver: &self.solver,
            allowed,
            unknowns: (self.givens..self.slots()).collect(),
            known,
            target,
            must: &[],
            keys: &[key.to_vec()],
        };
        road::search(&wanted).roads
    }

    /// The prepared answer of part `part`, if a quantity is asked for there.
    pub fn answer(&self, part: usize) -> Option<&AnswerPlan> {
        match self.parts.get(part) {
            Some(PartPlan::Answer(plan)) => Some(plan),
            _ => None,
        }
    }
}

impl AnswerPlan {
    /// The road of that index: those forward, then those back.
    pub fn road(&self, index: usize) -> Option<&Road> {
        self.roads.iter().chain(&self.back).nth(index)
    }
}

/// The answer part of an assignment at `part`, if a quantity is asked for there.
pub fn answer_part(assignment: &Assignment, part: usize) -> Option<&AnswerPart> {
    match &assignment.parts.get(part)?.kind {
        PartKind::Answer(answer) => Some(answer),
        PartKind::Choose(_) | PartKind::Eye(_) => None,
    }
}
