//! The board's equation with the term marked in which it was written otherwise.
//!
//! In: an equation of an assignment, and the same as somebody wrote it. Out: the board's own, with the smallest
//! pieces marked that are not as they should be: the term left out, the quotient turned over, the quantity in
//! whose place another stands. Where two differ throughout, whole sides are marked. Nothing is refused.

use crate::assignment::Assignment;
use crate::formula::Equation;
use crate::formula::tree::{Expr, Node, Operator};
use crate::plan::Plan;

use super::board::Board;
use super::maths::{Chain, Maths, Sign};
use super::units::Units;
use super::{ProblemKey, name};

/// An equation of a problem as on the board, with the pieces marked that `written` has otherwise.
pub fn on_the_board(plan: &Plan, problem: usize, equation: &Equation, written: &Equation) -> Chain {
    let mut marked = Vec::new();
    differing(&equation.left, &written.left, &mut marked);
    differing(&equation.right, &written.right, &mut marked);
    let side = |expr| set(plan, problem, expr, &marked);
    Chain::equal(side(&equation.left), side(&equation.right))
}

/// A quantity that was asked for, and beside it, marked, what was answered for it.
pub fn answered_for(plan: &Plan, problem: usize, asked: &str, answered: &Expr) -> Chain {
    let answered = set(plan, problem, answered, &[answered]);
    Chain::of(name::set(asked), Sign::NotEqual, answered)
}

/// An expression as on the board.
pub fn expression(plan: &Plan, problem: usize, expr: &Expr) -> Maths {
    set(plan, problem, expr, &[])
}

fn set(plan: &Plan, problem: usize, expr: &Expr, marked: &[&Expr]) -> Maths {
    let assignment: &Assignment = &plan.sheet.problems[problem];
    let board = Board {
        assignment,
        problem: &plan.problems[problem],
        // Names alone are set, for which no numbers are needed.
        key: &ProblemKey::default(),
        units: Units::of(assignment),
        figures: 0,
    };
    board.names_marking(expr, marked)
}

/// Finds the smallest pieces of `right` that are otherwise in `wrong`.
fn differing<'a>(right: &'a Expr, wrong: &Expr, into: &mut Vec<&'a Expr>) {
    if alike(right, wrong) {
        return;
    }
    if let Some(piece) = left_out(right, wrong) {
        return into.push(piece);
    }
    match (&right.node, &wrong.node) {
        (Node::Binary(own, left, behind), Node::Binary(other, l, r)) if own == other => {
            differing(left, l, into);
            differing(behind, r, into);
            return;
        }
        (Node::Negate(inner), Node::Negate(other)) => return differing(inner, other, into),
        (Node::Call(own, arguments), Node::Call(function, others))
            if own == function && arguments.len() == others.len() =>
        {
            for (argument, other) in arguments.iter().zip(others) {
                differing(argument, other, into);
            }
            return;
        }
        _ => {}
    }
    // A sign turned: the term behind it; what stands there else is a matter of that term.
    if let Node::Binary(operator, left, behind) = &right.node
        && let Node::Binary(other, l, r) = &wrong.node
        && is_sum(*operator)
        && is_sum(*other)
        && alike(left, l)
        && alike(behind, r)
    {
        return into.push(behind);
    }
    into.push(right);
}

/// The term or factor without which `right` would be `wrong`. It is asked before anything else, or a sum of
/// several terms would be held against one in which each stands a place further on.
fn left_out<'a>(right: &'a Expr, wrong: &Expr) -> Option<&'a Expr> {
    let Node::Binary(operator, left, behind) = &right.node else {
        return None;
    };
    let of_sum = is_sum(*operator);
    if !of_sum && *operator != Operator::Multiply {
        return None;
    }
    if alike(left, wrong) {
        return Some(behind);
    }
    let turned = |term: &Expr| matches!(&wrong.node, Node::Negate(inner) if alike(inner, term));
    (alike(behind, wrong) || (of_sum && turned(behind))).then_some(left)
}

fn is_sum(operator: Operator) -> bool {
    matches!(operator, Operator::Add | Operator::Subtract)
}

/// Whether two expressions say the same, wherever they stand.
fn alike(one: &Expr, other: &Expr) -> bool {
    match (&one.node, &other.node) {
        (Node::Negate(one), Node::Negate(other)) => alike(one, other),
        (Node::Binary(one, a, b), Node::Binary(other, c, d)) => {
            one == other && alike(a, c) && alike(b, d)
        }
        (Node::Call(one, a), Node::Call(other, b)) => {
            one == other && a.len() == b.len() && a.iter().zip(b).all(|(a, b)| alike(a, b))
        }
        (one, other) => one == other,
    }
}
