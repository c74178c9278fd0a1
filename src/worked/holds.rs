//! Conditions that hold, with both sides in numbers.
//!
//! In: a condition of the file. Out: its comparisons as far as they hold for this student, each with names
//! and with the values of its sides.

use crate::formula::condition::Judge;
use crate::formula::tape::SlotSet;
use crate::formula::tree::Condition;
use crate::plan;
use crate::quantity::Dimension;

use super::Held;
use super::board::{Board, sign};
use super::maths::Chain;

/// The figures beyond which two sides are not told apart.
const MOST_FIGURES: u8 = 11;

impl Board<'_> {
    /// The comparisons of a condition that hold.
    pub(super) fn held(&self, condition: &Condition) -> Vec<Held> {
        match condition {
            Condition::Compare(comparison, left, right) => {
                if !self.is_true(condition) {
                    return Vec::new();
                }
                let sign = sign(*comparison);
                let names = Chain::of(self.names(left), sign, self.names(right));
                let dimension = match self.dimension(left) {
                    Dimension::NONE => self.dimension(right),
                    dimension => dimension,
                };
                let (left_value, right_value) = (self.value(left), self.value(right));
                let side = |expr, value: f64, figures: u8| {
                    let unit = self.units.of_dimension(dimension);
                    match self.reckoned(expr) {
                        // A plain 0 goes with any unit.
                        zero if value == 0.0 => zero,
                        _ if figures > self.figures => super::units::amount(value, &unit, figures),
                        reckoned => reckoned,
                    }
                };
                let numbers = (self.figures..MOST_FIGURES)
                    .map(|figures| {
                        let left = side(left, left_value, figures);
                        (left, side(right, right_value, figures))
                    })
                    .find(|(left, right)| left_value == right_value || left != right);
                let numbers = numbers.map(|(left, right)| Chain::of(left, sign, right));
                let numbers = numbers.filter(|numbers| *numbers != names);
                vec![Held { names, numbers }]
            }
            Condition::All(parts) => parts.iter().flat_map(|part| self.held(part)).collect(),
            Condition::Any(parts) => {
                let holding = parts.iter().find(|part| self.is_true(part));
                holding.map_or_else(Vec::new, |part| self.held(part))
            }
        }
    }

    /// What nature allows of values just found, as far as all in it is known.
    pub(super) fn allowed(&self, found: SlotSet, known: SlotSet) -> Vec<Held> {
        let unknowns = self.unknowns();
        let possible = self.assignment.possible.iter();
        let mut comparisons = Vec::new();
        for named in possible {
            split(&named.item, &mut comparisons);
        }
        let tells = |condition: &&Condition| {
            let uses = self.uses_of(condition).and(unknowns);
            !uses.and(found).is_empty() && uses.without(known).is_empty()
        };
        let told = comparisons.into_iter().filter(tells);
        told.flat_map(|condition| self.held(condition)).collect()
    }

    fn judge(&self, condition: &Condition) -> Option<Judge> {
        Judge::of(condition, &|name| plan::meaning(self.assignment, name)).ok()
    }

    fn uses_of(&self, condition: &Condition) -> SlotSet {
        self.judge(condition)
            .map_or_else(SlotSet::default, |judge| judge.uses())
    }

    fn is_true(&self, condition: &Condition) -> bool {
        self.judge(condition)
            .is_some_and(|judge| judge.holds(&self.key.slots))
    }
}

/// The parts of an `and`, each by itself.
fn split<'a>(condition: &'a Condition, into: &mut Vec<&'a Condition>) {
    match condition {
        Condition::All(parts) => parts.iter().for_each(|part| split(part, into)),
        other => into.push(other),
    }
}
