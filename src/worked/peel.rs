//! An unknown that stands once, within roots, quotients and functions: everything around it is undone, from
//! the outside in.
//!
//! In: an equation and the slot of the unknown. Out: a line for each thing undone, or nothing where
//! something cannot be: powers of the unknown's own, an angle that is not the one on the calculator.

use crate::formula::Equation;
use crate::formula::tape::SlotSet;
use crate::formula::tree::{Expr, Function, Node, Operator};

use super::board::{Board, CLOSE};
use super::maths::{Chain, Maths};
use super::{Line, Say};

/// The value that what is left has to have, reckoned and as it is written.
struct Made {
    value: f64,
    maths: Maths,
}

impl Board<'_> {
    /// Undoes everything around the unknown of `slot`.
    pub(super) fn peeled(&self, equation: &Equation, slot: usize) -> Option<Vec<Line>> {
        let Equation { left, right } = equation;
        let (mut side, other) = match (self.stands(left, slot)?, self.stands(right, slot)?) {
            (1, 0) => (left, right),
            (0, 1) => (right, left),
            _ => return None,
        };
        let open = SlotSet::of(slot);
        let mut lines = vec![self.with_numbers(equation, open)];
        let mut made = Made {
            value: self.value(other),
            maths: self.reckoned(other),
        };
        while !matches!(side.node, Node::Name(_)) {
            let (inner, undone) = self.undone(side, slot, &made)?;
            let value = self.value(inner);
            // What is no number at all, as a root of something negative, is not close either.
            let is_close = (undone.value - value).abs() <= CLOSE * value.abs();
            if !is_close {
                return None;
            }
            let is_name = matches!(inner.node, Node::Name(_));
            let maths = match is_name {
                true => self.amount_of(slot),
                false => self.amount(value, self.dimension(inner)),
            };
            let chain = Chain::equal(self.values(inner, open), undone.maths);
            lines.push(Line::of(Say::Then, chain.then(maths.clone())));
            made = Made { value, maths };
            side = inner;
        }
        Some(lines)
    }

    /// How often an unknown stands in an expression; nothing where a name with an expression hides it.
    fn stands(&self, expr: &Expr, slot: usize) -> Option<usize> {
        let mut count = 0;
        let mut hidden = false;
        expr.names(&mut |name, _| match self.slot(name) {
            Some(found) => count += usize::from(found == slot),
            None => {
                let derived = self.assignment.derived.iter().find(|d| d.name == name);
                hidden |= derived.is_some_and(|derived| self.uses(&derived.expr).has(slot));
            }
        });
        (!hidden).then_some(count)
    }

    /// The part of `side` that holds the unknown, and what it has to be.
    fn undone<'e>(&self, side: &'e Expr, slot: usize, made: &Made) -> Option<(&'e Expr, Made)> {
        let of = |value: f64, maths: Maths| Made { value, maths };
        let whole = || made.maths.clone();
        match &side.node {
            Node::Negate(inner) => Some((inner, of(-made.value, Maths::negated(whole())))),
            Node::Binary(operator, left, right) => {
                let is_left = self.stands(left, slot)? > 0;
                let (inner, other) = if is_left {
                    (left, right)
                } else {
                    (right, left)
                };
                let (value, known) = (self.value(other), self.reckoned(other));
                let undone = match (operator, is_left) {
                    (Operator::Add, _) => of(made.value - value, Maths::sum(whole(), true, known)),
                    (Operator::Subtract, true) => {
                        of(made.value + value, Maths::sum(whole(), false, known))
                    }
                    (Operator::Subtract, false) => {
                        of(value - made.value, Maths::sum(known, true, whole()))
                    }
                    (Operator::Multiply, _) => {
                        of(made.value / value, Maths::fraction(whole(), known))
                    }
                    (Operator::Divide, true) => {
                        of(made.value * value, Maths::product(whole(), known))
                    }
                    (Operator::Divide, false) => {
                        of(value / made.value, Maths::fraction(known, whole()))
                    }
                    (Operator::Power, true) if value == 2.0 => {
                        self.either(libm::sqrt(made.value), Maths::root(whole()), inner)
                    }
                    (Operator::Power, true) => of(
                        libm::pow(made.value, 1.0 / value),
                        Maths::power(whole(), Maths::fraction(Maths::whole(1), known)),
                    ),
                    (Operator::Power, false) => return None,
                };
                Some((inner, undone))
            }
            Node::Call(function, arguments) => {
                let [inner] = &arguments[..] else { return None };
                let by = |name: &str, value: f64| {
                    of(value, Maths::Function(name.to_owned(), vec![whole()]))
                };
                let undone = match function {
                    Function::Sqrt => of(made.value * made.value, Maths::squared(whole())),
                    Function::Abs => self.either(made.value, whole(), inner),
                    Function::Sin => by("arcsin", libm::asin(made.value)),
                    Function::Cos => by("arccos", libm::acos(made.value)),
                    Function::Tan => by("arctan", libm::atan(made.value)),
                    Function::Asin => by("sin", libm::sin(made.value)),
                    Function::Acos => by("cos", libm::cos(made.value)),
                    Function::Atan => by("tan", libm::tan(made.value)),
                    Function::Exp => by("ln", libm::log(made.value)),
                    Function::Ln => by("exp", libm::exp(made.value)),
                    Function::Log10 => of(
                        libm::pow(10.0, made.value),
                        Maths::power(Maths::whole(10), whole()),
                    ),
                    Function::Atan2 | Function::Min | Function::Max => return None,
                };
                Some((inner, undone))
            }
            Node::Number(_) | Node::Quantity(_) | Node::Pi | Node::Name(_) => None,
        }
    }

    /// A value that may have either sign: that of the expression at the key.
    fn either(&self, size: f64, maths: Maths, inner: &Expr) -> Made {
        match self.value(inner) < 0.0 {
            true => Made {
                value: -size,
                maths: Maths::negated(maths),
            },
            false => Made { value: size, maths },
        }
    }
}
