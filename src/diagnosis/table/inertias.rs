//! Mistakes about moments of inertia: another body's, one in the place of a mass.
//!
//! In: a piece of an equation and what else its assignment knows. Out: what a student may have made of it.

use crate::formula::tree::{Expr, Node, Operator};
use crate::quantity::{Dimension, Exponent};

use super::super::rewrite::{Change, Spot};
use super::super::scene::Scene;
use super::trees::{binary, number, quoted, sum, with};

/// A moment of inertia added to masses as if it were one.
pub(super) fn inertia_for_mass(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let Some((subtracted, left, right)) = sum(spot.expr) else {
        return Vec::new();
    };
    let is_mass = |found: Dimension| found.name() == Some("mass");
    if subtracted || !scene.dimension(right).is_some_and(is_mass) {
        return Vec::new();
    }
    let is_inertia = |dimension: Dimension| {
        let length = dimension.0[0];
        let mass = dimension.0[1];
        let rest = dimension.0[2..].iter().all(|exponent| exponent.is_zero());
        rest && Some(length) == Exponent::new(2, 1) && Some(mass) == Exponent::new(1, 1)
    };
    let inertias = scene.stand_ins.iter().filter(|at| is_inertia(at.dimension));
    inertias
        .map(|inertia| Change {
            by: binary(
                spot.expr,
                Operator::Add,
                left.clone(),
                with(right, inertia.expr.node.clone()),
            ),
            what: format!("`{}` in the place of {}", inertia.text, quoted(text, right)),
        })
        .collect()
}

/// Numbers in front of m R²: of a hoop or a point, a disc, a ball, a hollow ball.
const INERTIAS: [(&str, &str); 4] = [("1", "1"), ("1", "2"), ("2", "5"), ("2", "3")];

/// A number in front of a product with a mass and a square of a length.
pub(super) fn other_inertia(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let value = match &expr.node {
        Node::Number(number) => Some(number.to_f64()),
        Node::Binary(Operator::Divide, left, right) => match (&left.node, &right.node) {
            (Node::Number(left), Node::Number(right)) => Some(left.to_f64() / right.to_f64()),
            _ => None,
        },
        _ => None,
    };
    let inertia = |(above, below): (&str, &str)| -> Option<(f64, Expr)> {
        let (above, below) = (number(expr, above)?, number(expr, below)?);
        let (Node::Number(a), Node::Number(b)) = (&above.node, &below.node) else {
            return None;
        };
        let value = a.to_f64() / b.to_f64();
        Some((value, binary(expr, Operator::Divide, above, below)))
    };
    let known: Vec<(f64, Expr)> = INERTIAS.into_iter().filter_map(inertia).collect();
    let Some(value) = value.filter(|value| known.iter().any(|(of, _)| of == value)) else {
        return Vec::new();
    };
    // Elsewhere a half is no body's.
    let has_mass =
        scene.assignment.givens.iter().any(|given| {
            given.unit.dimension().name() == Some("mass") && text.contains(&given.name)
        });
    if !has_mass || value == 1.0 {
        return Vec::new();
    }
    let own = quoted(text, expr);
    known
        .into_iter()
        .filter(|(other, _)| *other != value)
        .map(|(_, by)| {
            let what = match &by.node {
                Node::Binary(_, above, below) => match (&above.node, &below.node) {
                    (Node::Number(a), Node::Number(b)) => {
                        format!("{}/{} in the place of {own}", a.pretty(), b.pretty())
                    }
                    _ => own.clone(),
                },
                _ => own.clone(),
            };
            Change { by, what }
        })
        .collect()
}
