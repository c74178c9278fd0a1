//! Conditions that hold, with both sides in numbers.
//!
//! In: a condition of the file. Out: its comparisons as far as they hold for this student, each with names
//! and with the values of its sides, a sum beside a given down to the given's last place: `4.50 kg < 6.10 kg`.

use crate::formula::condition::Judge;
use crate::formula::tape::SlotSet;
use crate::formula::tree::{Condition, Expr, Node};
use crate::plan;
use crate::quantity::Dimension;

use super::Held;
use super::board::{Board, sign};
use super::maths::{Chain, Maths};
use super::units;

/// The figures beyond which two sides are not told apart.
const MOST_FIGURES: u8 = 11;

impl Board<'_> {
    /// The comparisons of a condition that hold.
    pub(super) fn held(&self, condition: &Condition) -> Vec<Held> {
        match condition {
            Condition::Compare(comparison, left_expr, right_expr) => {
                let (left, right) = (left_expr, right_expr);
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
                        _ if figures > self.figures => units::amount(value, &unit, figures),
                        reckoned => reckoned,
                    }
                };
                let numbers = (self.figures..MOST_FIGURES)
                    .map(|figures| {
                        let left = side(left, left_value, figures);
                        (left, side(right, right_value, figures))
                    })
                    .find(|(left, right)| left_value == right_value || left != right);
                let level = |this: Maths, (expr, value): (_, f64), (by, other): (_, &Maths)| {
                    let is_reckoned =
                        value != 0.0 && !self.is_as_written(expr) && self.is_as_written(by);
                    let short = decimals(other).saturating_sub(decimals(&this));
                    match digits(&this).checked_add(short) {
                        Some(figures) if is_reckoned && short > 0 => {
                            units::rounded(value, &self.units.of_dimension(dimension), figures)
                        }
                        _ => this,
                    }
                };
                let numbers = numbers.map(|(left, right)| {
                    let (l, r) = ((left_expr, left_value), (right_expr, right_value));
                    let first = level(left.clone(), l, (right_expr, &right));
                    Chain::of(first, sign, level(right, r, (left_expr, &left)))
                });
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

    /// Whether an expression is written with the digits that somebody gave it.
    fn is_as_written(&self, expr: &Expr) -> bool {
        match &expr.node {
            Node::Name(name) => {
                let slot = self.slot(name);
                slot.is_some_and(|slot| slot < self.assignment.givens.len())
            }
            Node::Number(_) | Node::Quantity(_) => true,
            _ => false,
        }
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

/// The number of an amount, unless it has a power of ten.
fn plain(side: &Maths) -> Option<&str> {
    match side {
        Maths::Amount { number, .. } if !number.contains('×') => Some(number),
        _ => None,
    }
}

/// How many digits of an amount stand behind the mark; 0 where that cannot be compared.
fn decimals(side: &Maths) -> u8 {
    let decimals = plain(side).and_then(|number| Some(number.split_once('.')?.1));
    count(decimals.unwrap_or_default())
}

/// How many figures an amount has, zeros in front not counted.
fn digits(side: &Maths) -> u8 {
    let number = plain(side).unwrap_or_default();
    count(number.trim_start_matches(['0', '.', super::MINUS, super::NARROW]))
}

fn count(text: &str) -> u8 {
    let digits = text.chars().filter(char::is_ascii_digit).count();
    u8::try_from(digits).unwrap_or(u8::MAX)
}

/// The parts of an `and`, each by itself.
fn split<'a>(condition: &'a Condition, into: &mut Vec<&'a Condition>) {
    match condition {
        Condition::All(parts) => parts.iter().for_each(|part| split(part, into)),
        other => into.push(other),
    }
}
