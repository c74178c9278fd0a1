//! An equation that is a square in its one unknown.
//!
//! In: an equation and the slot of the unknown. Out: the lines from the numbers to both roots, the one that
//! is taken, and why: the range that the file gives, or that the other one leads nowhere.

use crate::formula::Equation;
use crate::formula::tape::SlotSet;
use crate::quantity::Dimension;

use super::board::Board;
use super::maths::{Chain, Maths, Sign, Term};
use super::sides::Linear;
use super::single::without_repeats;
use super::units;
use super::{Line, Say};

impl Board<'_> {
    /// A square in the unknown of `slot`.
    pub(super) fn in_square(&self, equation: &Equation, slot: usize) -> Option<Vec<Line>> {
        let left = self.polynomial(&equation.left, slot)?;
        let right = self.polynomial(&equation.right, slot)?;
        let mut lines = vec![self.with_numbers(equation, SlotSet::of(slot))];
        let moved = [0, 1, 2].map(|power| {
            let (left, right) = (left[power], right[power]);
            let rest = left - right;
            if rest.abs() <= 1e-12 * left.abs().max(right.abs()) {
                0.0
            } else {
                rest
            }
        });
        self.rooted(moved, self.dimension_of(equation), slot, &mut lines)?;
        Some(without_repeats(lines))
    }

    /// The roots of a polynomial that has to be zero, smallest power first, and the one that is taken.
    pub(super) fn rooted(
        &self,
        polynomial: [f64; 3],
        dimension: Dimension,
        slot: usize,
        lines: &mut Vec<Line>,
    ) -> Option<()> {
        let sign = if polynomial[2] < 0.0 { -1.0 } else { 1.0 };
        let [c, b, a] = polynomial.map(|factor| factor * sign);
        if a == 0.0 {
            return None;
        }
        let roots = if b == 0.0 {
            self.pure(a, -c, dimension, slot, lines)?
        } else {
            self.mixed([c, b, a], dimension, slot, lines)?
        };
        let taken = roots.iter().position(|&root| self.meets(slot, root))?;
        let other = roots[1 - taken];
        if self.meets(slot, other) {
            return Some(());
        }
        lines.push(self.reason(slot, other));
        if b != 0.0 {
            let chain = Chain::equal(self.name(slot), self.amount_of(slot));
            lines.push(Line::of(Say::Then, chain));
        }
        Some(())
    }

    /// `a·x² = d`.
    fn pure(
        &self,
        a: f64,
        d: f64,
        dimension: Dimension,
        slot: usize,
        lines: &mut Vec<Line>,
    ) -> Option<[f64; 2]> {
        if d < 0.0 {
            return None;
        }
        let own = self.over(dimension, slot, 2);
        let square = Maths::squared(self.name(slot));
        let made = self.amount(d, dimension);
        let of_square = self.squared(slot)?;
        let under = self.amount(d / a, of_square);
        if own.is_none() && a == 1.0 {
            lines.push(Line::of(Say::Then, Chain::equal(square, made)));
        } else {
            let factor = self.amount(a, own);
            let product = Maths::product(factor.clone(), square.clone());
            lines.push(Line::of(Say::Then, Chain::equal(product, made.clone())));
            let quotient = Chain::equal(square, Maths::fraction(made, factor));
            lines.push(Line::of(Say::Then, quotient.then(under.clone())));
        }
        let root = libm::sqrt(d / a);
        let positive = self.key.slots[slot] >= 0.0;
        let drawn = Maths::root(under);
        let drawn = if positive {
            drawn
        } else {
            Maths::negated(drawn)
        };
        let chain = Chain::equal(self.name(slot), drawn).then(self.amount_of(slot));
        lines.push(Line::of(Say::Then, chain));
        Some([root, -root])
    }

    /// `a·x² + b·x + c = 0`, by the formula.
    fn mixed(
        &self,
        [c, b, a]: [f64; 3],
        dimension: Dimension,
        slot: usize,
        lines: &mut Vec<Line>,
    ) -> Option<[f64; 2]> {
        if b * b < 4.0 * a * c {
            return None;
        }
        let (of_a, of_b) = (self.over(dimension, slot, 2), self.over(dimension, slot, 1));
        let square = Maths::squared(self.name(slot));
        let first = match of_a.is_none() && a == 1.0 {
            true => square,
            false => Maths::product(self.amount(a, of_a), square),
        };
        let mut terms = vec![Term {
            minus: false,
            maths: first,
        }];
        terms.push(Term {
            minus: b < 0.0,
            maths: self.times(b.abs(), dimension, slot),
        });
        if c != 0.0 {
            terms.push(Term {
                minus: c < 0.0,
                maths: self.amount(c.abs(), dimension),
            });
        }
        let nothing = units::zero(&crate::quantity::Unit::ONE);
        lines.push(Line::of(
            Say::Then,
            Chain::equal(Maths::Sum(terms), nothing),
        ));
        let roots = if c == 0.0 {
            // One root shows without the formula.
            let inner = Linear {
                constant: b,
                factors: vec![(slot, a)],
            };
            let product = Maths::product(self.name(slot), self.side(&inner, of_b));
            let nothing = units::zero(&crate::quantity::Unit::ONE);
            lines.push(Line::of(Say::Then, Chain::equal(product, nothing)));
            [0.0, -b / a]
        } else {
            self.by_formula([c, b, a], dimension, slot, lines)
        };
        let chains = roots.map(|value| {
            let amount = units::amount(value, &self.unit(slot), self.figures);
            Chain::equal(self.name(slot), amount)
        });
        lines.push(Line {
            say: Say::Either,
            chains: chains.into(),
        });
        Some(roots)
    }

    /// Both roots by the formula, whose inside is known not to be negative.
    fn by_formula(
        &self,
        [c, b, a]: [f64; 3],
        dimension: Dimension,
        slot: usize,
        lines: &mut Vec<Line>,
    ) -> [f64; 2] {
        let (of_a, of_b) = (self.over(dimension, slot, 2), self.over(dimension, slot, 1));
        let four = Maths::product(
            Maths::product(Maths::whole(4), self.amount(a, of_a)),
            self.amount(c, dimension),
        );
        let inner = Maths::sum(Maths::squared(self.amount(b, of_b)), true, four);
        let twice = Maths::product(Maths::whole(2), self.amount(a, of_a));
        let both = |root: Maths| {
            let sides = Maths::PlusMinus(Box::new(self.amount(-b, of_b)), Box::new(root));
            Maths::fraction(sides, twice.clone())
        };
        let root = libm::sqrt(b * b - 4.0 * a * c);
        let chain = Chain::equal(self.name(slot), both(Maths::root(inner)));
        let twice_a = self.amount(2.0 * a, of_a);
        let short = Maths::fraction(
            Maths::PlusMinus(
                Box::new(self.amount(-b, of_b)),
                Box::new(self.amount(root, of_b)),
            ),
            twice_a,
        );
        lines.push(Line::of(Say::Formula, chain.then(short)));
        [(-b - root) / (2.0 * a), (-b + root) / (2.0 * a)]
    }

    fn squared(&self, slot: usize) -> Option<Dimension> {
        let own = self.unit(slot).dimension();
        own.checked_mul(own)
    }

    /// Why the other root is not taken.
    fn reason(&self, slot: usize, other: f64) -> Line {
        let unknown = slot.checked_sub(self.assignment.givens.len());
        let unknown = unknown.and_then(|at| self.assignment.unknowns.get(at));
        let limits = unknown.map(|unknown| {
            [
                (Sign::Greater, &unknown.above),
                (Sign::Less, &unknown.below),
            ]
        });
        for (sign, limit) in limits.into_iter().flatten() {
            let Some(limit) = limit else { continue };
            let value = self.value(limit);
            let excludes = match sign {
                Sign::Greater => other <= value,
                _ => other >= value,
            };
            if excludes {
                let chain = Chain::of(self.name(slot), sign, self.names(limit));
                let number = match value == 0.0 {
                    true => self.names(limit),
                    false => units::amount(value, &self.unit(slot), self.figures),
                };
                return Line::of(Say::Within, chain.then(number));
            }
        }
        let chain = Chain::equal(self.name(slot), self.amount_of(slot));
        Line::of(Say::Elsewhere, chain)
    }
}
