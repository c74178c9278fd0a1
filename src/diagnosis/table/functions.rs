//! Mistakes with functions: another one of an angle, degrees for radians, a square or a root left out.
//!
//! In: a piece of an equation. Out: what a student may have made of it.

use crate::formula::tree::{Expr, Function, Node, Operator};

use super::super::rewrite::{Change, Spot};
use super::super::scene::Scene;
use super::trees::{binary, number, quoted, with};

pub(super) fn other_function(text: &str, spot: Spot<'_>) -> Vec<Change> {
    let Node::Call(function, arguments) = &spot.expr.node else {
        return Vec::new();
    };
    let angles = [Function::Sin, Function::Cos, Function::Tan];
    let inverse = [Function::Asin, Function::Acos, Function::Atan];
    let family = [angles, inverse]
        .into_iter()
        .find(|at| at.contains(function));
    let others = family
        .into_iter()
        .flatten()
        .filter(|other| other != function);
    others
        .map(|other| Change {
            by: with(spot.expr, Node::Call(other, arguments.clone())),
            what: format!("`{}` for {}", other.name(), quoted(text, spot.expr)),
        })
        .collect()
}

pub(super) fn degrees_as_radians(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let Node::Call(_, arguments) = &spot.expr.node else {
        return Vec::new();
    };
    let by = in_radians(scene, spot.expr).zip(arguments.first());
    let change = by.map(|(by, argument)| Change {
        by,
        what: quoted(text, argument),
    });
    change.into_iter().collect()
}

/// A function of an angle given in degrees, as it comes out where the number is taken as radians.
pub(super) fn in_radians(scene: &Scene<'_>, expr: &Expr) -> Option<Expr> {
    let Node::Call(function, arguments) = &expr.node else {
        return None;
    };
    let in_degrees = |name: &str| {
        let mut givens = scene.assignment.givens.iter();
        givens.any(|at| at.name == name && at.unit.is_angle() && at.unit.factor() != 1.0)
    };
    let (Function::Sin | Function::Cos | Function::Tan, [argument]) = (function, &arguments[..])
    else {
        return None;
    };
    let Node::Name(name) = &argument.node else {
        return None;
    };
    let turn = number(argument, "180").filter(|_| in_degrees(name))?;
    let times = binary(argument, Operator::Multiply, argument.clone(), turn);
    let by = binary(argument, Operator::Divide, times, with(argument, Node::Pi));
    Some(with(expr, Node::Call(*function, vec![by])))
}

pub(super) fn not_squared(text: &str, spot: Spot<'_>) -> Vec<Change> {
    match &spot.expr.node {
        Node::Binary(Operator::Power, base, exponent) if matches!(&exponent.node, Node::Number(number) if number.to_f64() == 2.0) =>
        {
            vec![Change {
                by: (**base).clone(),
                what: quoted(text, base),
            }]
        }
        _ => Vec::new(),
    }
}

pub(super) fn no_root(text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    match &expr.node {
        Node::Call(Function::Sqrt, arguments) => arguments
            .iter()
            .map(|argument| Change {
                by: argument.clone(),
                what: quoted(text, argument),
            })
            .collect(),
        // `v^2 = …` solved for v without the root.
        Node::Binary(Operator::Power, base, exponent)
            if spot.is_side
                && matches!(&exponent.node, Node::Number(number) if number.to_f64() == 2.0) =>
        {
            vec![Change {
                by: (**base).clone(),
                what: quoted(text, expr),
            }]
        }
        _ => Vec::new(),
    }
}
