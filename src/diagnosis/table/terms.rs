//! Mistakes with the terms of a sum: one left out, turned, added, two taken as equal.
//!
//! In: a piece of an equation. Out: what a student may have made of it.

use crate::formula::tree::{Expr, Node, Operator};

use super::super::rewrite::{Change, Spot};
use super::super::scene::Scene;
use super::trees::{binary, is_zero, negated, number, quoted, sum, with};

pub(super) fn left_out(text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let mut changes = Vec::new();
    match sum(expr) {
        Some((subtracted, left, right)) => {
            if sum(left).is_none() {
                let by = if subtracted {
                    negated(right)
                } else {
                    right.clone()
                };
                changes.push(Change {
                    by,
                    what: quoted(text, left),
                });
            }
            if sum(right).is_none() {
                changes.push(Change {
                    by: left.clone(),
                    what: quoted(text, right),
                });
            }
        }
        // A side that is one term, such as the inertia.
        None if spot.is_side && !matches!(expr.node, Node::Name(_)) && !is_zero(expr) => {
            if let Some(zero) = number(expr, "0") {
                changes.push(Change {
                    by: zero,
                    what: quoted(text, expr),
                });
            }
        }
        None => {}
    }
    changes
}

pub(super) fn turned(text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let mut changes = Vec::new();
    match sum(expr) {
        Some((subtracted, left, right)) => {
            let operator = |subtract| {
                if subtract {
                    Operator::Subtract
                } else {
                    Operator::Add
                }
            };
            if sum(left).is_none() {
                changes.push(Change {
                    by: binary(expr, operator(subtracted), negated(left), right.clone()),
                    what: quoted(text, left),
                });
            }
            changes.push(Change {
                by: binary(expr, operator(!subtracted), left.clone(), right.clone()),
                what: quoted(text, right),
            });
        }
        None if spot.is_side && !is_zero(expr) => changes.push(Change {
            by: negated(expr),
            what: quoted(text, expr),
        }),
        None => {}
    }
    changes
}

/// A given added to a sum of its dimension that has no place for it.
pub(super) fn added(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let Some(dimension) = sum(expr).and_then(|_| scene.dimension(expr)) else {
        return Vec::new();
    };
    let mut inside: Vec<&str> = Vec::new();
    expr.names(&mut |name, _| inside.push(name));
    let givens = scene.assignment.givens.iter().filter(|given| {
        given.unit.dimension() == dimension && !inside.contains(&given.name.as_str())
    });
    givens
        .map(|given| {
            let name = with(expr, Node::Name(given.name.clone()));
            Change {
                by: binary(expr, Operator::Add, expr.clone(), name),
                what: format!("`{}` added to {}", given.name, quoted(text, expr)),
            }
        })
        .collect()
}

/// A difference of two unknowns that is taken as nothing.
pub(super) fn taken_equal(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let is_unknown = |expr: &Expr| match &expr.node {
        Node::Name(name) => scene.assignment.unknowns.iter().any(|at| at.name == *name),
        _ => false,
    };
    match sum(spot.expr) {
        Some((true, left, right)) if is_unknown(left) && is_unknown(right) => {
            number(spot.expr, "0")
                .map(|zero| Change {
                    by: zero,
                    what: format!("{} and {}", quoted(text, left), quoted(text, right)),
                })
                .into_iter()
                .collect()
        }
        _ => Vec::new(),
    }
}
