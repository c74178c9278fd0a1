//! Worked solutions: how a person gets from a student's numbers to the answers, line by line.
//!
//! In: a plan and a student's key. Out: plain data: for each part the equations in the order in which they
//! are solved, with the numbers put in and solved step by step, the answer as it is asked for, what a choice
//! rests on, and what nature allows, both sides in numbers. It all comes from the trees and the solver that
//! the marks come from; no text of its own is kept anywhere.
//!
//! `guide` chooses the way: from what is known by then, along the fewest and plainest equations. `board`
//! writes equations with names and with values, `single`, `square`, `peel` and `several` solve them as on
//! paper; each goes by its own reckoning and is dropped for "solved numerically" where that does not meet
//! the key. `holds` writes conditions, `marked` the board's equation with a mistake marked in it. Nothing is
//! refused.

mod board;
mod guide;
mod holds;
mod marked;
mod maths;
mod name;
mod peel;
mod several;
mod sides;
mod single;
mod square;
#[cfg(test)]
mod tests;
mod text;
mod units;

use serde::Serialize;

use crate::assignment::{Derived, Part, PartKind};
use crate::formula::tape::SlotSet;
use crate::marking::figures::{Asked, least_figures};
use crate::marking::{Key, ProblemKey, choice};
use crate::plan::{PartPlan, Plan, Problem};

use board::Board;
pub use marked::{answered_for, expression, on_the_board};
pub use maths::{Chain, MINUS, Maths, NARROW, Sign, Term};
pub use name::set as set_name;
use units::Units;

/// The worked solution of one problem.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Solution {
    /// The heading of the problem.
    pub title: String,
    /// Its code.
    pub code: String,
    /// The student's numbers, each converted to the unit in which it is reckoned.
    pub numbers: Vec<Chain>,
    /// Names for expressions of the givens, with their values.
    pub names: Vec<Chain>,
    /// What the draw was required to meet.
    pub required: Vec<Held>,
    /// The parts in the order of the paper.
    pub parts: Vec<SolvedPart>,
}

/// One part, solved.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SolvedPart {
    /// Its id on the paper.
    pub id: String,
    /// The steps, in order; none where a condition on givens or an earlier part settles it.
    pub stages: Vec<Stage>,
    /// What is to be written down.
    pub outcome: Outcome,
    /// What nature allows of the values found in this part.
    pub checks: Vec<Held>,
}

/// Equations that are solved together, and how.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stage {
    /// The lines of the working.
    pub lines: Vec<Line>,
}

/// A line of the working.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Line {
    /// Why it may be written.
    pub say: Say,
    /// What is written; several stand side by side.
    pub chains: Vec<Chain>,
}

/// Why a line may be written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Say {
    /// The equation of this name, as on the board.
    Equation(String),
    /// An expression that has a name.
    Meaning,
    /// With the numbers put in.
    Numbers,
    /// It follows from the line above.
    Then,
    /// The equation of this name, solved for one of its unknowns.
    From(String),
    /// What was found is put into the equation of this name.
    Into(String),
    /// What was found is put into a line above.
    Back,
    /// The formula for squares.
    Formula,
    /// Both solutions.
    Either,
    /// Only the solution that is taken meets this.
    Within,
    /// The other solution leads to none for the remaining equations.
    Elsewhere,
    /// Found by trial, not by hand.
    Numerically,
}

impl Say {
    /// A word or two before the line; empty where it simply follows.
    pub fn label(&self) -> String {
        let plain = match self {
            Self::Equation(name) => name.as_str(),
            Self::From(name) => return format!("from {name}"),
            Self::Into(name) => return format!("into {name}"),
            Self::Meaning => "with",
            Self::Numbers => "numbers",
            Self::Then => "",
            Self::Back => "back",
            Self::Formula => "formula",
            Self::Either => "either",
            Self::Within => "because",
            Self::Elsewhere => "because only",
            Self::Numerically => "numerically",
        };
        // A part that asks for an expression has an equation without a name of the teacher's.
        let own = !plain.contains(' ') || *self == Self::Elsewhere;
        if own { plain } else { "as asked" }.to_owned()
    }

    /// What stands between chains that stand side by side.
    pub fn between(&self) -> &'static str {
        match self {
            Self::Either => "or",
            _ => "and",
        }
    }

    /// What stands behind the line; mostly nothing.
    pub fn after(&self) -> &'static str {
        match self {
            Self::Elsewhere => "goes with the remaining equations",
            _ => "",
        }
    }
}

/// What is to be written down for a part.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// A quantity, with the figures and in the unit asked for.
    Answer {
        /// The name and the rounded value.
        chain: Chain,
        /// The value without its minus, where only the size is asked for and it has one.
        size: Option<Maths>,
    },
    /// One of several words.
    Word {
        /// The word.
        word: String,
        /// The condition under which it is the right one.
        held: Vec<Held>,
    },
    /// Judged by eye: what is looked for.
    Eye(Vec<String>),
}

/// A condition that holds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Held {
    /// With names.
    pub names: Chain,
    /// With both sides as numbers; nothing where that says the same.
    pub numbers: Option<Chain>,
}

impl Solution {
    /// Shows all names and amounts in it, to be written another way.
    pub fn each_leaf(&mut self, change: &mut impl FnMut(&mut Maths)) {
        let mut chains: Vec<&mut Chain> = Vec::new();
        chains.extend(self.numbers.iter_mut().chain(&mut self.names));
        let mut held: Vec<&mut Held> = self.required.iter_mut().collect();
        for part in &mut self.parts {
            let lines = part.stages.iter_mut().flat_map(|stage| &mut stage.lines);
            chains.extend(lines.flat_map(|line| &mut line.chains));
            held.extend(&mut part.checks);
            match &mut part.outcome {
                Outcome::Answer { chain, size } => {
                    chains.push(chain);
                    if let Some(size) = size {
                        size.each_leaf(change);
                    }
                }
                Outcome::Word { held: why, .. } => held.extend(why),
                Outcome::Eye(_) => {}
            }
        }
        for Held { names, numbers } in held {
            chains.push(names);
            chains.extend(numbers);
        }
        for chain in chains {
            chain.each_leaf(change);
        }
    }
}

/// The worked solutions of all problems of a sheet, in order.
pub fn solutions(plan: &Plan, key: &Key) -> Vec<Solution> {
    let problems = plan.problems.iter().zip(&key.problems).enumerate();
    problems
        .map(|(at, (problem, key))| solution(plan, at, problem, key))
        .collect()
}

fn solution(plan: &Plan, at: usize, problem: &Problem, key: &ProblemKey) -> Solution {
    let assignment = &plan.sheet.problems[at];
    let data = least_figures(key.givens.iter().copied());
    let mut board = Board {
        assignment,
        problem,
        key,
        units: Units::of(assignment),
        figures: data.max(2),
    };
    let numbers = assignment.givens.iter().zip(&key.givens).enumerate();
    let numbers = numbers.map(|(slot, (given, value))| {
        let drawn = units::written(&value.numeral, &value.unit);
        Chain::equal(name::set(&given.name), drawn).then(board.amount_of(slot))
    });
    let numbers = numbers.collect();
    let of_givens = |d: &&Derived| board.uses(&d.expr).and(board.unknowns()).is_empty();
    let names = assignment.derived.iter().filter(of_givens);
    let names = names.map(|derived| board.meaning(derived)).collect();
    let required = assignment.requirements.iter();
    let required = required.flat_map(|named| board.held(&named.item)).collect();
    let mut known = SlotSet::default();
    let mut parts = Vec::new();
    for place in plan.parts_of(at) {
        let part = &assignment.parts[place_in(plan, place)];
        let prepared = &problem.parts[place_in(plan, place)];
        if let PartPlan::Answer(answer) = prepared {
            board.figures = Asked::in_part(part.rules.figures, answer, key).shown;
        }
        let before = known;
        let stages = board.stages(part, prepared, &mut known);
        let found = known.without(before);
        parts.push(SolvedPart {
            id: plan.parts[place].id.clone(),
            stages,
            outcome: board.outcome(part, prepared),
            checks: board.allowed(found, known),
        });
    }
    Solution {
        title: assignment.title.clone(),
        code: assignment.code.clone(),
        numbers,
        names,
        required,
        parts,
    }
}

fn place_in(plan: &Plan, place: usize) -> usize {
    plan.parts[place].part
}

impl Board<'_> {
    /// The steps to a part, from what is known before it.
    fn stages(&self, part: &Part, prepared: &PartPlan, known: &mut SlotSet) -> Vec<Stage> {
        match (prepared, &part.kind) {
            (PartPlan::Answer(answer), PartKind::Answer(asks)) => {
                self.lead(answer.slot, asks.by.as_deref(), known)
            }
            (PartPlan::Choose(judges), _) => {
                let needed = choice::holding(judges, &self.key.slots)
                    .map_or_else(SlotSet::default, |option| judges[option].uses());
                let mut stages = Vec::new();
                for slot in needed.and(self.unknowns()).iter() {
                    stages.extend(self.lead(slot, None, known));
                }
                stages
            }
            _ => Vec::new(),
        }
    }

    /// What is to be written down for a part.
    fn outcome(&self, part: &Part, prepared: &PartPlan) -> Outcome {
        match (prepared, &part.kind) {
            (PartPlan::Answer(answer), PartKind::Answer(asks)) => {
                let value = self.key.slots[answer.slot];
                let written = |value| units::rounded(value, &asks.unit, self.figures);
                let size_only = part.rules.sign == crate::assignment::Sign::Size;
                Outcome::Answer {
                    chain: Chain::equal(self.name(answer.slot), written(value)),
                    size: (size_only && value < 0.0).then(|| written(-value)),
                }
            }
            (PartPlan::Choose(judges), PartKind::Choose(choice)) => {
                let holding = choice::holding(judges, &self.key.slots);
                let option = holding.and_then(|at| choice.options.get(at));
                Outcome::Word {
                    word: option.map_or_else(String::new, |option| option.label.clone()),
                    held: option.map_or_else(Vec::new, |option| self.held(&option.condition)),
                }
            }
            (_, PartKind::Eye(items)) => Outcome::Eye(items.clone()),
            _ => Outcome::Eye(Vec::new()),
        }
    }
}
