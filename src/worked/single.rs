//! An equation with one unknown: solved as on paper.
//!
//! In: an equation of the file and the one slot in it that is not known. Out: its lines: as on the board,
//! with the numbers, multiplied out, collected, divided. Squares go to `square`, an unknown that stands
//! once within roots and functions to `peel`; what none of them can do is "solved numerically".

use crate::assignment::Derived;
use crate::formula::Equation;
use crate::formula::tape::SlotSet;
use crate::formula::tree::{Expr, Node};
use crate::quantity::Dimension;

use super::board::{Board, CLOSE};
use super::maths::{Chain, Maths};
use super::{Line, Say, Stage};

impl Board<'_> {
    /// Solves an equation for the unknown in `slot`, everything else in it being known.
    pub(super) fn single(&self, equation: usize, slot: usize) -> Stage {
        let item = &self.assignment.equations[equation].item;
        let mut lines = self.meanings(item, SlotSet::of(slot));
        lines.push(self.equation(equation));
        let solved = self
            .isolated(item, slot)
            .or_else(|| self.in_line(item, slot))
            .or_else(|| self.in_square(item, slot))
            .or_else(|| self.peeled(item, slot));
        let solved = solved.unwrap_or_else(|| {
            vec![
                self.with_numbers(item, SlotSet::of(slot)),
                self.numerically(slot),
            ]
        });
        lines.extend(solved);
        Stage { lines }
    }

    /// The values of names for expressions that an equation uses, but for those with an open unknown.
    pub(super) fn meanings(&self, equation: &Equation, open: SlotSet) -> Vec<Line> {
        let mut lines = Vec::new();
        let mut told: Vec<&str> = Vec::new();
        equation.names(&mut |name, _| {
            let derived = self.assignment.derived.iter().find(|d| d.name == name);
            let Some(derived) = derived.filter(|_| !told.contains(&name)) else {
                return;
            };
            told.push(name);
            // What the givens alone make is told beforehand.
            let unknowns = self.uses(&derived.expr).and(self.unknowns());
            if !unknowns.is_empty() && unknowns.and(open).is_empty() {
                lines.push(Line::of(Say::Meaning, self.meaning(derived)));
            }
        });
        lines
    }

    /// What a name for an expression stands for, and its value.
    pub(super) fn meaning(&self, derived: &Derived) -> Chain {
        let expr = &derived.expr;
        let chain = Chain::equal(super::name::set(&derived.name), self.names(expr));
        let chain = chain.then(self.values(expr, SlotSet::default()));
        chain.then(self.amount(self.value(expr), derived.dimension))
    }

    pub(super) fn with_numbers(&self, equation: &Equation, open: SlotSet) -> Line {
        let Equation { left, right } = equation;
        let chain = Chain::equal(self.values(left, open), self.values(right, open));
        Line::of(Say::Numbers, chain)
    }

    pub(super) fn numerically(&self, slot: usize) -> Line {
        let chain = Chain::equal(self.name(slot), self.amount_of(slot));
        Line::of(Say::Numerically, chain)
    }

    /// Whether a value that was reckoned here is that of the key.
    pub(super) fn meets(&self, slot: usize, value: f64) -> bool {
        let key = self.key.slots[slot];
        (value - key).abs() <= CLOSE * key.abs().max(1e-9 * self.unit(slot).factor())
    }

    /// The unknown alone on one side.
    fn isolated(&self, equation: &Equation, slot: usize) -> Option<Vec<Line>> {
        let Equation { left, right } = equation;
        let other = if self.is_name(left, slot) {
            right
        } else if self.is_name(right, slot) {
            left
        } else {
            return None;
        };
        if self.uses(other).has(slot) {
            return None;
        }
        let chain = Chain::equal(self.name(slot), self.values(other, SlotSet::default()));
        Some(vec![Line::of(
            Say::Numbers,
            chain.then(self.amount_of(slot)),
        )])
    }

    fn is_name(&self, expr: &Expr, slot: usize) -> bool {
        matches!(&expr.node, Node::Name(name) if self.slot(name) == Some(slot))
    }

    /// Linear in the unknown.
    fn in_line(&self, equation: &Equation, slot: usize) -> Option<Vec<Line>> {
        let open = SlotSet::of(slot);
        let left = self.linear(&equation.left, open)?;
        let right = self.linear(&equation.right, open)?;
        let dimension = self.dimension_of(equation);
        let mut lines = vec![self.with_numbers(equation, open)];
        let sorted = Chain::equal(self.side(&left, dimension), self.side(&right, dimension));
        lines.push(Line::of(Say::Then, sorted));
        let factor = left.plus(&right.times(-1.0)).factor(slot);
        let made = (right.constant, -left.constant);
        self.divided(factor, made, dimension, slot, &mut lines)?;
        Some(without_repeats(lines))
    }

    /// `factor · unknown = one + other`, and the unknown.
    pub(super) fn divided(
        &self,
        factor: f64,
        (one, other): (f64, f64),
        dimension: Dimension,
        slot: usize,
        lines: &mut Vec<Line>,
    ) -> Option<()> {
        if factor == 0.0 || !self.meets(slot, (one + other) / factor) {
            return None;
        }
        // What stands beside the unknown stays in front of what is brought over.
        let (first, second) = match factor < 0.0 {
            true => (-other, -one),
            false => (one, other),
        };
        let factor = factor.abs();
        let over = self.amount(first + second, dimension);
        let sum = self.both(first, second, dimension);
        let made = |first: Maths, last: Maths| {
            let chain = Chain::equal(first, sum.clone().unwrap_or_else(|| last.clone()));
            Line::of(Say::Then, chain.then(last))
        };
        let own = self.over(dimension, slot, 1);
        if own.is_none() && factor == 1.0 {
            lines.push(made(self.name(slot), self.amount_of(slot)));
        } else {
            lines.push(made(self.times(factor, dimension, slot), over.clone()));
            let quotient = Maths::fraction(over, self.amount(factor, own));
            let chain = Chain::equal(self.name(slot), quotient);
            lines.push(Line::of(Say::Then, chain.then(self.amount_of(slot))));
        }
        Some(())
    }
}

/// Leaves out lines that say what the one above says, with the sides exchanged or not.
pub(super) fn without_repeats(lines: Vec<Line>) -> Vec<Line> {
    let mut kept: Vec<Line> = Vec::new();
    for line in lines {
        let says = |known: &Line| match (&known.chains[..], &line.chains[..]) {
            ([known], [new]) => {
                known.says(new) || known.exchanged().is_some_and(|known| known.says(new))
            }
            _ => false,
        };
        if !kept.last().is_some_and(says) {
            kept.push(line);
        }
    }
    kept
}

impl Line {
    pub(super) fn of(say: Say, chain: Chain) -> Self {
        let chains = vec![chain];
        Self { say, chains }
    }
}

impl Chain {
    /// An equation of two sides with the sides exchanged.
    fn exchanged(&self) -> Option<Self> {
        match &self.rest[..] {
            [(super::Sign::Equal, other)] => Some(Self::equal(other.clone(), self.first.clone())),
            _ => None,
        }
    }
}
