//! Mistakes with the factors of a product: a constant or a number left out or taken twice, a quotient turned over.
//!
//! In: a piece of an equation. Out: what a student may have made of it.

use crate::formula::tree::{Expr, Function, Node, Operator};

use super::super::rewrite::{Change, Spot};
use super::super::scene::Scene;
use super::trees::{binary, quoted};

/// A product without one of its factors.
fn without(expr: &Expr, is_meant: &dyn Fn(&Expr) -> bool) -> Vec<(Expr, Expr)> {
    let mut found = Vec::new();
    match &expr.node {
        Node::Binary(Operator::Multiply, left, right) => {
            if is_meant(right) {
                found.push(((**left).clone(), (**right).clone()));
            }
            if is_meant(left) {
                found.push(((**right).clone(), (**left).clone()));
            }
        }
        Node::Binary(Operator::Divide, left, right) if is_meant(right) => {
            found.push(((**left).clone(), (**right).clone()));
        }
        _ => {}
    }
    found
}

fn left_out_of(text: &str, expr: &Expr, is_meant: &dyn Fn(&Expr) -> bool) -> Vec<Change> {
    let found = without(expr, is_meant).into_iter();
    found
        .map(|(by, gone)| Change {
            by,
            what: format!("{} in {}", quoted(text, &gone), quoted(text, expr)),
        })
        .collect()
}

/// A constant, such as g, or a function, such as a cosine, left out of a product.
pub(super) fn constant_left_out(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let is_fixed = |name: &str| {
        let mut givens = scene.assignment.givens.iter();
        givens.any(|given| given.name == name && given.draw.count() == 1)
    };
    left_out_of(text, spot.expr, &|factor| match &factor.node {
        Node::Name(name) => is_fixed(name),
        Node::Call(function, _) => {
            matches!(function, Function::Sin | Function::Cos | Function::Tan)
        }
        _ => false,
    })
}

pub(super) fn number_left_out(text: &str, spot: Spot<'_>) -> Vec<Change> {
    left_out_of(text, spot.expr, &|factor| match &factor.node {
        Node::Number(number) => !number.is_zero(),
        Node::Binary(Operator::Divide, left, right) => {
            matches!(left.node, Node::Number(_)) && matches!(right.node, Node::Number(_))
        }
        _ => false,
    })
}

pub(super) fn turned_over(text: &str, spot: Spot<'_>) -> Vec<Change> {
    match &spot.expr.node {
        Node::Binary(Operator::Divide, left, right) => vec![Change {
            by: binary(
                spot.expr,
                Operator::Divide,
                (**right).clone(),
                (**left).clone(),
            ),
            what: quoted(text, spot.expr),
        }],
        _ => Vec::new(),
    }
}

/// A number taken twice, or the other way round.
pub(super) fn other_number(text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let mut changes = Vec::new();
    for (factor, by) in numbers_in(expr) {
        let Node::Number(number) = &factor.node else {
            continue;
        };
        if number.is_zero() || number.to_f64() == 1.0 {
            continue;
        }
        let own = quoted(text, factor);
        changes.push(Change {
            by: by(binary(
                factor,
                Operator::Multiply,
                factor.clone(),
                factor.clone(),
            )),
            what: format!("the number {own} taken twice"),
        });
    }
    changes
}

/// The numbers that an expression is multiplied or divided by, each with how it is put back.
#[allow(clippy::type_complexity, reason = "a factor and the product around it")]
fn numbers_in(expr: &Expr) -> Vec<(&Expr, Box<dyn Fn(Expr) -> Expr + '_>)> {
    let Node::Binary(operator @ (Operator::Multiply | Operator::Divide), left, right) = &expr.node
    else {
        return Vec::new();
    };
    let mut found: Vec<(&Expr, Box<dyn Fn(Expr) -> Expr + '_>)> = Vec::new();
    if matches!(left.node, Node::Number(_)) {
        found.push((
            left,
            Box::new(|by| binary(expr, *operator, by, (**right).clone())),
        ));
    }
    if matches!(right.node, Node::Number(_)) {
        found.push((
            right,
            Box::new(|by| binary(expr, *operator, (**left).clone(), by)),
        ));
    }
    found
}

/// A product of two names made a quotient, or the reverse.
pub(super) fn divided(text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let is_name = |expr: &Expr| matches!(expr.node, Node::Name(_));
    let (operator, left, right) = match &expr.node {
        Node::Binary(Operator::Multiply, left, right) => (Operator::Divide, left, right),
        Node::Binary(Operator::Divide, left, right) => (Operator::Multiply, left, right),
        _ => return Vec::new(),
    };
    if !is_name(left) || !is_name(right) {
        return Vec::new();
    }
    let mut changes = vec![Change {
        by: binary(expr, operator, (**left).clone(), (**right).clone()),
        what: quoted(text, expr),
    }];
    if operator == Operator::Divide {
        changes.push(Change {
            by: binary(expr, operator, (**right).clone(), (**left).clone()),
            what: quoted(text, expr),
        });
    }
    changes
}
