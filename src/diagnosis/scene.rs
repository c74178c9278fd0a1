//! What an assignment's equations are made of.
//!
//! In: a checked assignment. Out: its names with their dimensions, the sums in its equations, and the text
//! of every piece of an equation as it stands in the file.

use crate::assignment::{Assignment, Named};
use crate::diagnostic::Span;
use crate::formula::check;
use crate::formula::tree::{Equation, Expr, Node, Operator};
use crate::quantity::Dimension;

/// An assignment, looked at for what may be done wrong in it.
pub(super) struct Scene<'a> {
    pub(super) assignment: &'a Assignment,
    /// Everything that may stand in the place of something of its dimension: names, and sums of names.
    pub(super) stand_ins: Vec<StandIn>,
}

/// What may stand in the place of something else.
#[derive(Clone, Debug)]
pub(super) struct StandIn {
    pub(super) text: String,
    pub(super) expr: Expr,
    pub(super) dimension: Dimension,
}

impl<'a> Scene<'a> {
    pub(super) fn of(assignment: &'a Assignment) -> Self {
        let mut scene = Self {
            assignment,
            stand_ins: Vec::new(),
        };
        let givens = assignment.givens.iter().map(|given| given.name.as_str());
        let unknowns = assignment
            .unknowns
            .iter()
            .map(|unknown| unknown.name.as_str());
        let derived = assignment
            .derived
            .iter()
            .map(|derived| derived.name.as_str());
        let names: Vec<&str> = givens.chain(unknowns).chain(derived).collect();
        for name in names {
            scene.push(name, name_of(name));
        }
        for equation in &assignment.equations {
            let text = text_of(assignment, equation);
            for side in [&equation.item.left, &equation.item.right] {
                side.walk(&mut |expr| {
                    if is_sum_of_names(expr) {
                        scene.push(piece(text, expr.span), expr.clone());
                    }
                });
            }
        }
        scene.totals();
        scene
    }

    /// The sum of all givens that differ by a draw, where there are two or more of one dimension: all
    /// masses, all resistances.
    fn totals(&mut self) {
        let drawn = self
            .assignment
            .givens
            .iter()
            .filter(|given| given.draw.count() > 1);
        let drawn: Vec<(&str, Dimension)> = drawn
            .map(|given| (given.name.as_str(), given.unit.dimension()))
            .collect();
        for (at, (_, dimension)) in drawn.iter().enumerate() {
            let alike = drawn.iter().filter(|(_, other)| other == dimension);
            let names: Vec<&str> = alike.map(|(name, _)| *name).collect();
            let is_first = drawn[..at].iter().all(|(_, other)| other != dimension);
            if names.len() < 2 || !is_first {
                continue;
            }
            let sum = names.iter().skip(1).fold(name_of(names[0]), |sum, name| {
                let span = sum.span;
                Expr {
                    node: Node::Binary(Operator::Add, Box::new(sum), Box::new(name_of(name))),
                    span,
                }
            });
            self.push(&names.join(" + "), sum);
        }
    }

    fn push(&mut self, text: &str, expr: Expr) {
        let Ok(Some(dimension)) = check::dimension(&expr, self.assignment) else {
            return;
        };
        if self.stand_ins.iter().all(|known| known.text != text) {
            self.stand_ins.push(StandIn {
                text: text.to_owned(),
                expr,
                dimension,
            });
        }
    }

    /// The dimension of an expression that has one.
    pub(super) fn dimension(&self, expr: &Expr) -> Option<Dimension> {
        check::dimension(expr, self.assignment).ok().flatten()
    }

    /// The text of an equation.
    pub(super) fn text(&self, equation: &Named<Equation>) -> &'a str {
        text_of(self.assignment, equation)
    }

    /// The text at a place of the file.
    pub(super) fn text_at(&self, span: Span) -> &'a str {
        let text = &self.assignment.source.text;
        text.get(span.start..span.end).unwrap_or("")
    }
}

fn text_of<'a>(assignment: &'a Assignment, equation: &Named<Equation>) -> &'a str {
    let span = equation.span;
    assignment
        .source
        .text
        .get(span.start..span.end)
        .unwrap_or("")
}

/// A piece of a formula's text.
pub(super) fn piece(text: &str, span: Span) -> &str {
    let own = text.get(span.start..span.end).unwrap_or("").trim();
    // Brackets around the whole say nothing.
    let inside = own.strip_prefix('(').and_then(|own| own.strip_suffix(')'));
    let is_pair = |inside: &str| {
        let mut open = 0;
        inside.chars().all(|letter| {
            open += i32::from(letter == '(') - i32::from(letter == ')');
            open >= 0
        })
    };
    inside.filter(|inside| is_pair(inside)).unwrap_or(own)
}

fn name_of(name: &str) -> Expr {
    Expr {
        node: Node::Name(name.to_owned()),
        span: Span { start: 0, end: 0 },
    }
}

fn is_sum_of_names(expr: &Expr) -> bool {
    let is_name = |expr: &Expr| matches!(expr.node, Node::Name(_));
    match &expr.node {
        Node::Binary(Operator::Add, left, right) => {
            (is_name(left) || is_sum_of_names(left)) && (is_name(right) || is_sum_of_names(right))
        }
        _ => false,
    }
}
