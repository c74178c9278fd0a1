//! What a paper says about the mistakes behind its faulty answers.
//!
//! In: a student's key and what stands on the paper. Out: for each problem its answers after all tests.
//! Faulty is what is neither right nor follows from the student's own answers: what follows fits any cause
//! and is no evidence, even where it earns nothing. Blank and illegible answers say nothing either.

use arrayvec::ArrayVec;

use crate::formula::tape::SlotSet;
use crate::plan::{MOST_INPUTS, Plan, Problem, Road, Way};
use crate::quantity::Numeral;

use super::answer::{Answer, Outcome};
use super::carry::Carry;
use super::follow::{Ground, rounded_to};
use super::number::Number;
use super::window::Stated;
use super::{Key, Marker, Paper, Reason, Verdict};

/// The answers to one problem, and what they were worked out from.
pub struct Evidence<'p> {
    /// Index of the problem.
    pub problem: usize,
    plan: &'p Problem,
    /// The numbers worked with: those given, or those said to be misread.
    slots: Vec<f64>,
    answers: Vec<Answer<'p>>,
    /// For each answer its part, from 0 within the problem.
    parts: Vec<usize>,
    carry: Carry,
}

/// An answer as it is read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Read {
    /// Its digits; nothing where it was not written as a decimal.
    pub numeral: Option<Numeral>,
    /// The size of the unit it is read in, in SI units.
    pub size: f64,
    /// Its value, in SI units.
    pub value: f64,
}

impl<'p> Marker<'p> {
    /// What the answers to each problem say.
    pub fn evidence(&mut self, key: &Key, paper: &Paper) -> Vec<Evidence<'p>> {
        let plan: &'p Plan = self.plan;
        let mut first = 0;
        let mut all = Vec::with_capacity(plan.problems.len());
        for (at, key) in key.problems.iter().enumerate() {
            let problem = &plan.problems[at];
            let judged = self.judged(at, first, key, paper);
            first += problem.parts.len();
            let parts = (0..problem.parts.len()).filter(|part| problem.answer(*part).is_some());
            all.push(Evidence {
                problem: at,
                plan: problem,
                slots: judged.misread.unwrap_or_else(|| key.slots.clone()),
                answers: judged.answers,
                parts: parts.collect(),
                carry: judged.carry,
            });
        }
        all
    }
}

impl Evidence<'_> {
    /// The answers that are faulty, by their places among the answers.
    pub fn faulty(&self) -> Vec<usize> {
        let is_faulty = |answer: &Answer<'_>| {
            let Some(outcome) = &answer.outcome else {
                return !answer.candidates.is_empty();
            };
            match outcome.verdict {
                Verdict::Wrong => !follows(outcome),
                Verdict::Slip => true,
                _ => false,
            }
        };
        let answers = self.answers.iter().enumerate();
        answers
            .filter(|(_, answer)| is_faulty(answer) && !self.carry.is_empty())
            .map(|(at, _)| at)
            .collect()
    }

    /// The part of an answer, from 0 within the problem.
    pub fn part(&self, answer: usize) -> usize {
        self.parts[answer]
    }

    /// Whether an answer is right.
    pub fn is_right(&self, answer: usize) -> bool {
        self.answers[answer].is_right()
    }

    /// Whether an answer follows from others on the paper, for credit or not.
    pub fn follows(&self, answer: usize) -> bool {
        self.answers[answer].outcome.as_ref().is_some_and(follows)
    }

    /// How many answers there are.
    pub fn count(&self) -> usize {
        self.answers.len()
    }

    /// The slip that was found in an answer, and the chance that it is one by luck.
    pub fn slip(&self, answer: usize) -> Option<(usize, f64)> {
        let outcome = self.answers[answer].outcome.as_ref()?;
        outcome.reasons.iter().find_map(|reason| match reason {
            Reason::SlipMade { slip, luck, .. } => Some((*slip, *luck)),
            _ => None,
        })
    }

    /// The student's own key of an answer, in SI units.
    pub fn key(&self, answer: usize) -> f64 {
        self.slots[self.answers[answer].plan.slot]
    }

    /// The numbers worked with, in SI units: givens and key.
    pub fn slots(&self) -> &[f64] {
        &self.slots
    }

    /// The ways in which an answer is read.
    pub fn readings(&self, answer: usize) -> impl Iterator<Item = Read> + '_ {
        let candidates = self.answers[answer].candidates.iter();
        candidates.map(|candidate| Read {
            numeral: candidate.stated.numeral,
            size: candidate.stated.size,
            value: candidate.stated.value,
        })
    }

    fn ground<'e>(&'e self, problem: &'e Problem, slots: &'e [f64]) -> Ground<'e> {
        Ground {
            problem,
            slots,
            carry: &self.carry,
            exact: false,
            next_to: true,
        }
    }

    /// The numbers that a way leads to for an answer; `problem` is the one that the way belongs to, which
    /// may have equations that the paper's has not.
    pub fn numbers(
        &self,
        answer: usize,
        problem: &Problem,
        way: &Way,
        scratch: &mut Vec<f64>,
        add: &mut dyn FnMut(Number),
    ) {
        let ground = self.ground(problem, &self.slots);
        // A later answer may have come from this one: what is reckoned back from it is no evidence.
        let before = self.answers[..answer].iter();
        let before: SlotSet = before.map(|other| other.plan.slot).collect();
        let answer = &self.answers[answer];
        match way {
            Way::Expression { tape, size } => {
                ground.by_expression((tape, *size), before, scratch, &mut |value| {
                    if value.is_finite() {
                        add(Number {
                            value,
                            allowance: 0.0,
                        });
                    }
                });
            }
            // Who has written down an earlier answer goes on from it.
            Way::Roads { roads, .. } if roads.iter().any(|road| self.starts(road)) => {
                for road in roads {
                    ground.numbers_along(answer, road, scratch, add);
                }
            }
            way => ground.numbers(answer, way, scratch, add),
        }
    }

    /// How much work [`Self::numbers`] is at most, in equations evaluated.
    pub fn work(&self, way: &Way) -> u64 {
        match way {
            Way::Roads { roads, .. } if roads.iter().any(|road| self.starts(road)) => {
                let starting = roads.iter().filter(|road| self.starts(road));
                starting.map(Road::work).sum()
            }
            way => way.work(),
        }
    }

    /// The numbers that a careful student gets for an answer from other givens: the key, and what follows
    /// from the student's own earlier answers.
    pub fn followed(
        &self,
        answer: usize,
        slots: &[f64],
        scratch: &mut Vec<f64>,
        add: &mut dyn FnMut(Number),
    ) {
        let answer = &self.answers[answer];
        add(Number {
            value: slots[answer.plan.slot],
            allowance: 0.0,
        });
        let ground = self.ground(self.plan, slots);
        for road in &answer.plan.roads {
            ground.numbers_along(answer, road, scratch, add);
        }
    }

    /// The answers that are right by their size, but written with the other sign, by their slots.
    pub fn turned(&self) -> SlotSet {
        let turned = self.answers.iter().filter(|answer| {
            let first = answer.candidates.first();
            let is_turned = first.is_some_and(|first| first.stated.value * answer.key < 0.0);
            answer.is_right() && answer.size_only() && is_turned
        });
        turned.map(|answer| answer.plan.slot).collect()
    }

    /// The numbers that follow for an answer from others where those in `turned` are carried on as they are
    /// written.
    pub fn as_written(
        &self,
        answer: usize,
        turned: SlotSet,
        scratch: &mut Vec<f64>,
        add: &mut dyn FnMut(Number),
    ) {
        let answer = &self.answers[answer];
        let ground = self.ground(self.plan, &self.slots);
        let starts = |road: &&Road| self.starts(road) && !road.inputs.and(turned).is_empty();
        for road in answer.plan.roads.iter().filter(starts) {
            ground.combinations(road, |inputs| {
                let inputs = inputs.iter().map(|&(slot, stated)| {
                    let carried = if turned.has(slot) {
                        stated.negated()
                    } else {
                        stated
                    };
                    (slot, carried)
                });
                let inputs: ArrayVec<(usize, Stated), MOST_INPUTS> = inputs.collect();
                let values = inputs.iter().map(|(slot, stated)| (*slot, stated.value));
                if let Some(value) = ground.end(road, values, None, answer.key, scratch) {
                    let allowance = ground.allowance(answer, road, &inputs, value, scratch);
                    add(Number { value, allowance });
                }
            });
        }
    }

    /// The same from answers rounded to so many figures, fewer than written.
    pub fn rounded(
        &self,
        answer: usize,
        figures: u8,
        scratch: &mut Vec<f64>,
        add: &mut dyn FnMut(Number),
    ) {
        let answer = &self.answers[answer];
        let ground = self.ground(self.plan, &self.slots);
        for road in answer.plan.roads.iter().filter(|road| self.starts(road)) {
            ground.combinations(road, |inputs| {
                let rounded =
                    |stated: Stated| rounded_to(stated, figures, crate::quantity::Tie::Away);
                let inputs = inputs
                    .iter()
                    .map(|(slot, stated)| (*slot, rounded(*stated)));
                if let Some(value) = ground.end(road, inputs, None, answer.key, scratch) {
                    add(Number {
                        value,
                        allowance: 0.0,
                    });
                }
            });
        }
    }

    /// Whether every answer that a road starts from stands there.
    fn starts(&self, road: &Road) -> bool {
        let stands = |slot: usize| !self.carry[slot].values.is_empty();
        !road.inputs.is_empty() && road.inputs.iter().all(stands)
    }

    /// Whether an answer is this number, rounded at the figures written and on the way.
    pub fn fits(&self, answer: usize, number: &Number) -> bool {
        number.fit(&self.answers[answer]).is_some()
    }

    /// The chance that an answer is this number by luck.
    pub fn chance(&self, answer: usize, number: &Number) -> f64 {
        let answer = &self.answers[answer];
        let mut sum = 0.0;
        for (at, candidate) in answer.candidates.iter().enumerate() {
            let before = answer.candidates[..at].iter();
            let is_new = before
                .clone()
                .all(|other| other.stated.value != candidate.stated.value);
            if is_new {
                sum += number.chance(answer, candidate.stated);
            }
        }
        sum
    }
}

fn follows(outcome: &Outcome) -> bool {
    let follows = |reason: &Reason| matches!(reason, Reason::FollowedFrom { .. });
    outcome.reasons.iter().any(follows)
}
