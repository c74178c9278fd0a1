//! Trees with one place altered.
//!
//! In: an equation, and what may stand in the place of a piece of it. Out: every equation that differs from
//! it in one place, each with the piece that was altered.

use crate::formula::tree::{Equation, Expr, Node};

/// A piece of an equation, and where it stands.
#[derive(Clone, Copy)]
pub(super) struct Spot<'e> {
    pub(super) expr: &'e Expr,
    /// Whether it is a whole side of the equation.
    pub(super) is_side: bool,
}

/// One place altered: what stands there now, and the words for it.
pub(super) struct Change {
    pub(super) by: Expr,
    pub(super) what: String,
}

/// Every equation with one place altered by `changes`.
pub(super) fn everywhere(
    equation: &Equation,
    changes: &dyn Fn(Spot<'_>) -> Vec<Change>,
) -> Vec<(Equation, String)> {
    let mut all = Vec::new();
    for change in side(&equation.left, changes) {
        let altered = Equation {
            left: change.by,
            right: equation.right.clone(),
        };
        all.push((altered, change.what));
    }
    for change in side(&equation.right, changes) {
        let altered = Equation {
            left: equation.left.clone(),
            right: change.by,
        };
        all.push((altered, change.what));
    }
    all
}

/// Every expression with one place altered.
pub(super) fn whole(expr: &Expr, changes: &dyn Fn(Spot<'_>) -> Vec<Change>) -> Vec<Change> {
    piece(expr, changes)
}

/// An equation with an expression in all places of a name.
pub(super) fn put_in(equation: &Equation, name: &str, by: &Expr) -> Equation {
    Equation {
        left: with_put_in(&equation.left, name, by),
        right: with_put_in(&equation.right, name, by),
    }
}

fn with_put_in(expr: &Expr, name: &str, by: &Expr) -> Expr {
    each(expr, &|piece| match &piece.node {
        Node::Name(own) if own == name => Some(Expr {
            node: by.node.clone(),
            span: piece.span,
        }),
        _ => None,
    })
}

/// An expression with everything in it that is altered, from the innermost pieces out.
pub(super) fn each(expr: &Expr, alter: &dyn Fn(&Expr) -> Option<Expr>) -> Expr {
    let inside = |expr: &Expr| each(expr, alter);
    let node = match &expr.node {
        Node::Number(_) | Node::Quantity(_) | Node::Pi | Node::Name(_) => expr.node.clone(),
        Node::Negate(inner) => Node::Negate(Box::new(inside(inner))),
        Node::Binary(operator, left, right) => {
            Node::Binary(*operator, Box::new(inside(left)), Box::new(inside(right)))
        }
        Node::Call(function, arguments) => {
            Node::Call(*function, arguments.iter().map(inside).collect())
        }
    };
    let whole = Expr {
        node,
        span: expr.span,
    };
    alter(&whole).unwrap_or(whole)
}

fn side(expr: &Expr, changes: &dyn Fn(Spot<'_>) -> Vec<Change>) -> Vec<Change> {
    let mut all = changes(Spot {
        expr,
        is_side: true,
    });
    all.extend(below(expr, changes));
    all
}

fn piece(expr: &Expr, changes: &dyn Fn(Spot<'_>) -> Vec<Change>) -> Vec<Change> {
    let mut all = changes(Spot {
        expr,
        is_side: false,
    });
    all.extend(below(expr, changes));
    all
}

/// Changes of what an expression is made of, put back into it.
fn below(expr: &Expr, changes: &dyn Fn(Spot<'_>) -> Vec<Change>) -> Vec<Change> {
    let mut all = Vec::new();
    let mut put_back = |changed: Vec<Change>, around: &dyn Fn(Expr) -> Node| {
        all.extend(changed.into_iter().map(|change| Change {
            by: Expr {
                node: around(change.by),
                span: expr.span,
            },
            what: change.what,
        }));
    };
    match &expr.node {
        Node::Number(_) | Node::Quantity(_) | Node::Pi | Node::Name(_) => {}
        Node::Negate(inner) => {
            put_back(piece(inner, changes), &|by| Node::Negate(Box::new(by)));
        }
        Node::Binary(operator, left, right) => {
            put_back(piece(left, changes), &|by| {
                Node::Binary(*operator, Box::new(by), right.clone())
            });
            put_back(piece(right, changes), &|by| {
                Node::Binary(*operator, left.clone(), Box::new(by))
            });
        }
        Node::Call(function, arguments) => {
            for (at, argument) in arguments.iter().enumerate() {
                put_back(piece(argument, changes), &|by| {
                    let mut arguments = arguments.clone();
                    arguments[at] = by;
                    Node::Call(*function, arguments)
                });
            }
        }
    }
    all
}
