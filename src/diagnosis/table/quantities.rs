//! Mistakes about which quantity stands where: another body's, another weight, a diameter for a radius.
//!
//! In: a piece of an equation and what else its assignment knows. Out: what a student may have made of it.

use crate::formula::tree::{Equation, Expr, Node, Operator};
use crate::quantity::{Dimension, Exponent};

use super::super::rewrite::{Change, Spot, put_in};
use super::super::scene::{Scene, piece};
use super::trees::{binary, number, quoted, with};

/// An equation with another body's quantity in all places of one: the whole equation of another body.
pub(super) fn throughout(scene: &Scene<'_>, equation: &Equation) -> Vec<(Equation, String)> {
    let mut names: Vec<&str> = Vec::new();
    let mut twice: Vec<&str> = Vec::new();
    equation.names(&mut |name, _| {
        if names.contains(&name) && !twice.contains(&name) {
            twice.push(name);
        }
        names.push(name);
    });
    let mut all = Vec::new();
    for name in twice {
        let own = scene.stand_ins.iter().find(|at| at.text == name);
        let Some(own) = own.filter(|own| !own.dimension.is_none()) else {
            continue;
        };
        let others = scene
            .stand_ins
            .iter()
            .filter(|other| other.dimension == own.dimension && other.text != name);
        for other in others {
            let what = format!("`{}` in all places of `{name}`", other.text);
            all.push((put_in(equation, name, &other.expr), what));
        }
    }
    all
}

/// A name, or a sum, with another of its dimension in its place.
pub(super) fn other_quantity(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let own = piece(text, expr.span);
    let is_sum = matches!(
        expr.node,
        Node::Binary(Operator::Add | Operator::Subtract, ..)
    );
    if !is_sum && !matches!(expr.node, Node::Name(_)) {
        return Vec::new();
    }
    let Some(dimension) = scene.dimension(expr).filter(|found| !found.is_none()) else {
        return Vec::new();
    };
    let others = scene.stand_ins.iter();
    let others = others.filter(|other| other.dimension == dimension && other.text != own);
    others
        .map(|other| Change {
            by: with(expr, other.expr.node.clone()),
            what: format!("`{}` in the place of `{own}`", other.text),
        })
        .collect()
}

/// A weight, a product with a constant such as g, of anything else that may have one: of another body, of
/// several.
pub(crate) fn other_weights(scene: &Scene<'_>, text: &str, expr: &Expr) -> Vec<(String, Expr)> {
    let Node::Binary(Operator::Multiply, left, right) = &expr.node else {
        return Vec::new();
    };
    let is_constant = |expr: &Expr| match &expr.node {
        Node::Name(name) => scene.assignment.givens.iter().any(|given| {
            given.name == *name && given.draw.count() == 1 && !given.unit.dimension().is_none()
        }),
        _ => false,
    };
    let (of, constant) = match (is_constant(left), is_constant(right)) {
        (true, false) => (right, left),
        (false, true) => (left, right),
        _ => return Vec::new(),
    };
    let Some(dimension) = scene.dimension(of) else {
        return Vec::new();
    };
    let others = scene
        .stand_ins
        .iter()
        .filter(|at| at.dimension == dimension);
    others
        .map(|other| {
            let stand_in = with(of, other.expr.node.clone());
            let product = binary(expr, Operator::Multiply, stand_in, (**constant).clone());
            let name = piece(text, constant.span);
            let words = if other.text.contains(' ') {
                format!("({})*{name}", other.text)
            } else {
                format!("{}*{name}", other.text)
            };
            (words, product)
        })
        .collect()
}

/// A length twice or half as long.
pub(super) fn other_length(scene: &Scene<'_>, text: &str, spot: Spot<'_>) -> Vec<Change> {
    let expr = spot.expr;
    let one = Exponent::new(1, 1);
    let is_length = |found: Dimension| {
        let [first, rest @ ..] = found.0;
        Some(first) == one && rest.iter().all(|exponent| exponent.is_zero())
    };
    let is_given = |name: &str| {
        scene
            .assignment
            .givens
            .iter()
            .any(|given| given.name == name)
    };
    let Node::Name(name) = &expr.node else {
        return Vec::new();
    };
    if !is_given(name) || !scene.dimension(expr).is_some_and(is_length) {
        return Vec::new();
    }
    let Some(two) = number(expr, "2") else {
        return Vec::new();
    };
    let own = quoted(text, expr);
    vec![
        Change {
            by: binary(expr, Operator::Multiply, two.clone(), expr.clone()),
            what: format!("twice {own} in its place"),
        },
        Change {
            by: binary(expr, Operator::Divide, expr.clone(), two),
            what: format!("half of {own} in its place"),
        },
    ]
}
