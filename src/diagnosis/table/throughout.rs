//! One mistake made in every equation: one thing misunderstood, not one for each place where it shows.
//!
//! In: what an assignment is made of. Out: for each such mistake its equations as a student may have written
//! them all. Left out: what shows in one place only, which the other rules find.

use std::cell::Cell;

use crate::formula::tree::{Equation, Expr, Function, Node, Operator};

use super::super::rewrite::{each, put_in};
use super::super::scene::Scene;
use super::functions::in_radians;
use super::trees::{is_zero, negated, number, sum, with};

/// A mistake made wherever it can be.
pub(in super::super) struct Throughout {
    /// For the teacher.
    pub(in super::super) says: String,
    /// For the student, tentative: no number, no formula.
    pub(in super::super) hint: &'static str,
    /// The equations that it alters, by number, and what they become.
    pub(in super::super) equations: Vec<(usize, Equation)>,
}

/// What stands in the place of a piece, whose parts were altered before; nothing where it stays.
type Alter<'a> = dyn Fn(&Expr) -> Option<Expr> + 'a;

/// All mistakes that are made throughout an assignment.
pub(in super::super) fn all(scene: &Scene<'_>) -> Vec<Throughout> {
    let mut all = Vec::new();
    let mut push = |says: String, hint, alter: &Alter<'_>| {
        let (equations, places) = altered(scene, alter);
        if places > 1 {
            all.push(Throughout {
                says,
                hint,
                equations,
            });
        }
    };
    push(
        "sine and cosine exchanged throughout".to_owned(),
        "sine and cosine stand in each other's places",
        &exchanged,
    );
    push(
        "angles in degrees taken as radians throughout".to_owned(),
        "angles are taken in radians instead of degrees",
        &|expr| in_radians(scene, expr),
    );
    for given in &scene.assignment.givens {
        let name = given.name.as_str();
        if given.draw.count() > 1 {
            push(
                format!("all terms with `{name}` left out"),
                "something is left out of every equation",
                &|expr| without_terms(expr, name),
            );
        } else {
            push(
                format!("the factor `{name}` left out throughout"),
                "one factor is left out of every equation",
                &|expr| without_factor(expr, name),
            );
        }
    }
    all
}

/// The equations that an alteration changes, and in how many places.
fn altered(scene: &Scene<'_>, alter: &Alter<'_>) -> (Vec<(usize, Equation)>, usize) {
    let places = Cell::new(0);
    let counted = |expr: &Expr| {
        let by = alter(expr);
        places.set(places.get() + usize::from(by.is_some()));
        by
    };
    let assignment = scene.assignment;
    let mut equations = Vec::new();
    for (at, own) in assignment.equations.iter().enumerate() {
        let mut equation = own.item.clone();
        for derived in &assignment.derived {
            let mut is_used = false;
            equation.names(&mut |name, _| is_used |= name == derived.name);
            let by = is_used.then(|| each(&derived.expr, &counted));
            if let Some(by) = by.filter(|by| *by != derived.expr) {
                equation = put_in(&equation, &derived.name, &by);
            }
        }
        equation = Equation {
            left: each(&equation.left, &counted),
            right: each(&equation.right, &counted),
        };
        if equation != own.item {
            equations.push((at, equation));
        }
    }
    (equations, places.get())
}

fn exchanged(expr: &Expr) -> Option<Expr> {
    let Node::Call(function, arguments) = &expr.node else {
        return None;
    };
    let other = match function {
        Function::Sin => Function::Cos,
        Function::Cos => Function::Sin,
        _ => return None,
    };
    Some(with(expr, Node::Call(other, arguments.clone())))
}

/// A sum without those of its terms in which a name is a factor.
fn without_terms(expr: &Expr, name: &str) -> Option<Expr> {
    let (subtracted, left, right) = sum(expr)?;
    match (is_product_with(left, name), is_product_with(right, name)) {
        (true, true) => number(expr, "0"),
        (true, false) if is_zero(right) => Some(right.clone()),
        (true, false) if subtracted => Some(negated(right)),
        (true, false) => Some(right.clone()),
        (false, true) => Some(left.clone()),
        (false, false) => None,
    }
}

/// Whether an expression is a product, or a name, in which `name` is a factor.
fn is_product_with(expr: &Expr, name: &str) -> bool {
    match &expr.node {
        Node::Name(own) => own == name,
        Node::Negate(inner) => is_product_with(inner, name),
        Node::Binary(Operator::Multiply, left, right) => {
            is_product_with(left, name) || is_product_with(right, name)
        }
        Node::Binary(Operator::Divide, left, _) => is_product_with(left, name),
        _ => false,
    }
}

fn without_factor(expr: &Expr, name: &str) -> Option<Expr> {
    let Node::Binary(operator @ (Operator::Multiply | Operator::Divide), left, right) = &expr.node
    else {
        return None;
    };
    let is_own = |expr: &Expr| matches!(&expr.node, Node::Name(own) if own == name);
    if is_own(right) {
        return Some((**left).clone());
    }
    (*operator == Operator::Multiply && is_own(left)).then(|| (**right).clone())
}
