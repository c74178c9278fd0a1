//! Pieces of trees that the mistakes are put together from.
//!
//! In: an expression. Out: what it is made of, or one that stands in its place.

use crate::formula::tree::{Expr, Node, Operator};
use crate::quantity::Numeral;

use super::super::scene::piece;

pub(super) fn quoted(text: &str, expr: &Expr) -> String {
    format!("`{}`", piece(text, expr.span))
}

pub(super) fn with(expr: &Expr, node: Node) -> Expr {
    Expr {
        node,
        span: expr.span,
    }
}

pub(super) fn number(expr: &Expr, text: &str) -> Option<Expr> {
    Some(with(expr, Node::Number(Numeral::parse(text).ok()?)))
}

pub(super) fn binary(expr: &Expr, operator: Operator, left: Expr, right: Expr) -> Expr {
    with(
        expr,
        Node::Binary(operator, Box::new(left), Box::new(right)),
    )
}

pub(super) fn negated(expr: &Expr) -> Expr {
    with(expr, Node::Negate(Box::new(expr.clone())))
}

/// The sides of a sum.
pub(super) fn sum(expr: &Expr) -> Option<(bool, &Expr, &Expr)> {
    match &expr.node {
        Node::Binary(Operator::Add, left, right) => Some((false, left, right)),
        Node::Binary(Operator::Subtract, left, right) => Some((true, left, right)),
        _ => None,
    }
}

pub(super) fn is_zero(expr: &Expr) -> bool {
    matches!(&expr.node, Node::Number(number) if number.is_zero())
}
