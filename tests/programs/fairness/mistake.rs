//! Mistakes.
//!
//! In: the equations of an assignment, or a number. Out: every alteration of an equation that one
//! change makes (a term with the other sign, a term left out, another given of the same unit, sine
//! for cosine, a factor of two or a square forgotten); or the number with a slip of the pen (two
//! digits swapped, one left out, another one, a power of ten).

use paperweight::assignment::Assignment;
use paperweight::formula::solve::Solver;
use paperweight::formula::tape::{Meaning, Measure, Tape};
use paperweight::formula::tree::{Expr, Function, Node, Operator};
use paperweight::plan::Problem;
use paperweight::quantity::{Numeral, numeral_of};

use crate::random::Random;

/// One equation, altered.
#[derive(Clone, Debug)]
pub(crate) struct Alteration {
    /// Which.
    pub(crate) equation: usize,
    /// What was done to it.
    pub(crate) what: String,
    /// All equations, with this one in its altered form.
    pub(crate) solver: Solver,
}

/// A signed term of an equation, all on one side.
#[derive(Clone, Debug)]
pub(crate) struct Term {
    /// Whether it counts negative.
    negative: bool,
    expr: Expr,
}

/// What a name stands for.
pub(crate) fn meaning<'a>(assignment: &'a Assignment, name: &str) -> Option<Meaning<'a>> {
    let names = assignment.givens.iter().map(|given| &given.name);
    let mut names = names.chain(assignment.unknowns.iter().map(|unknown| &unknown.name));
    if let Some(slot) = names.position(|known| known == name) {
        return Some(Meaning::Slot(slot));
    }
    let derived = assignment
        .derived
        .iter()
        .find(|derived| derived.name == name)?;
    Some(Meaning::Derived(&derived.expr))
}

/// The terms of an equation, left minus right.
pub(crate) fn terms(assignment: &Assignment, equation: usize) -> Vec<Term> {
    let equation = &assignment.equations[equation].item;
    let mut terms = Vec::new();
    split(&equation.left, false, &mut terms);
    split(&equation.right, true, &mut terms);
    terms
}

fn split(expr: &Expr, negative: bool, terms: &mut Vec<Term>) {
    match &expr.node {
        Node::Binary(Operator::Add, left, right) => {
            split(left, negative, terms);
            split(right, negative, terms);
        }
        Node::Binary(Operator::Subtract, left, right) => {
            split(left, negative, terms);
            split(right, !negative, terms);
        }
        Node::Negate(inner) => split(inner, !negative, terms),
        _ => terms.push(Term {
            negative,
            expr: expr.clone(),
        }),
    }
}

impl Term {
    /// Its value as a tape, with its sign.
    pub(crate) fn tape(&self, assignment: &Assignment) -> Option<Tape> {
        let expr = if self.negative {
            negated(self.expr.clone())
        } else {
            self.expr.clone()
        };
        Tape::expr(&expr, &|name| meaning(assignment, name), Measure::Si).ok()
    }
}

fn negated(expr: Expr) -> Expr {
    let span = expr.span;
    Expr {
        node: Node::Negate(Box::new(expr)),
        span,
    }
}

/// Every alteration of every equation, each value once.
pub(crate) fn alterations(assignment: &Assignment, problem: &Problem) -> Vec<Alteration> {
    let mut all = Vec::new();
    for equation in 0..assignment.equations.len() {
        let terms = terms(assignment, equation);
        let name = &assignment.equations[equation].name;
        let mut add = |what: String, terms: &[Term]| {
            let Some(tape) = sum(assignment, terms) else {
                return;
            };
            let mut solver = problem.solver.clone();
            solver.tapes[equation] = tape;
            all.push(Alteration {
                equation,
                what: format!("{name}: {what}"),
                solver,
            });
        };
        for at in 0..terms.len() {
            let mut flipped = terms.clone();
            flipped[at].negative = !flipped[at].negative;
            add(format!("sign of term {}", at + 1), &flipped);
            if terms.len() > 2 {
                let mut fewer = terms.clone();
                fewer.remove(at);
                add(format!("term {} left out", at + 1), &fewer);
            }
            for (what, expr) in changed(assignment, &terms[at].expr) {
                let mut other = terms.clone();
                other[at].expr = expr;
                add(format!("{what} in term {}", at + 1), &other);
            }
        }
    }
    all
}

fn sum(assignment: &Assignment, terms: &[Term]) -> Option<Tape> {
    let mut terms = terms.iter().map(|term| {
        if term.negative {
            negated(term.expr.clone())
        } else {
            term.expr.clone()
        }
    });
    let first = terms.next()?;
    let whole = terms.fold(first, |left, right| {
        let span = left.span;
        Expr {
            node: Node::Binary(Operator::Add, Box::new(left), Box::new(right)),
            span,
        }
    });
    Tape::expr(&whole, &|name| meaning(assignment, name), Measure::Si).ok()
}

/// An expression with one change somewhere in it.
fn changed(assignment: &Assignment, expr: &Expr) -> Vec<(String, Expr)> {
    let with = |node: Node| Expr {
        node,
        span: expr.span,
    };
    let mut all = Vec::new();
    match &expr.node {
        Node::Name(name) => {
            let unit = |name: &str| {
                let given = assignment.givens.iter().find(|given| given.name == name);
                given.map(|given| given.unit)
            };
            for other in &assignment.givens {
                if other.name != *name && unit(name).is_some_and(|unit| unit.same_as(&other.unit)) {
                    let what = format!("{} for {name}", other.name);
                    all.push((what, with(Node::Name(other.name.clone()))));
                }
            }
        }
        Node::Negate(inner) => {
            let inner = changed(assignment, inner).into_iter();
            all.extend(inner.map(|(what, e)| (what, with(Node::Negate(Box::new(e))))));
        }
        Node::Binary(operator, left, right) => {
            if is_two(right) && matches!(operator, Operator::Divide | Operator::Power) {
                let what = if *operator == Operator::Power {
                    "square forgotten"
                } else {
                    "half forgotten"
                };
                all.push((what.to_owned(), (**left).clone()));
            }
            if is_two(left) && *operator == Operator::Multiply {
                all.push(("factor two forgotten".to_owned(), (**right).clone()));
            }
            if matches!(operator, Operator::Add | Operator::Subtract) {
                let other = if *operator == Operator::Add {
                    Operator::Subtract
                } else {
                    Operator::Add
                };
                all.push((
                    "sign in brackets".to_owned(),
                    with(Node::Binary(other, left.clone(), right.clone())),
                ));
                all.push(("left out in brackets".to_owned(), (**left).clone()));
                all.push(("left out in brackets".to_owned(), (**right).clone()));
            }
            for (what, e) in changed(assignment, left) {
                let node = Node::Binary(*operator, Box::new(e), right.clone());
                all.push((what, with(node)));
            }
            for (what, e) in changed(assignment, right) {
                let node = Node::Binary(*operator, left.clone(), Box::new(e));
                all.push((what, with(node)));
            }
        }
        Node::Call(function, arguments) => {
            let other = match function {
                Function::Sin => Some(Function::Cos),
                Function::Cos => Some(Function::Sin),
                _ => None,
            };
            if let Some(other) = other {
                let what = format!("{} for {}", other.name(), function.name());
                all.push((what, with(Node::Call(other, arguments.clone()))));
            }
            for (at, argument) in arguments.iter().enumerate() {
                for (what, e) in changed(assignment, argument) {
                    let mut arguments = arguments.clone();
                    arguments[at] = e;
                    all.push((what, with(Node::Call(*function, arguments))));
                }
            }
        }
        Node::Number(_) | Node::Quantity(_) | Node::Pi => {}
    }
    all
}

fn is_two(expr: &Expr) -> bool {
    matches!(&expr.node, Node::Number(numeral) if numeral.to_f64() == 2.0)
}

/// A slip of the pen within the first `figures` digits of a number.
pub(crate) fn slip(value: f64, figures: u8, random: &mut Random) -> f64 {
    let Some(text) = numeral_of(value, 13).map(|_| format!("{:.12e}", value.abs())) else {
        return value;
    };
    let (digits, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let mut digits: Vec<u8> = digits.bytes().filter(u8::is_ascii_digit).collect();
    let figures = usize::from(figures);
    let mut exponent: i32 = exponent.parse().unwrap_or(0);
    match random.below(4) {
        0 => {
            let at = random.below(figures - 1);
            digits.swap(at, at + 1);
        }
        1 => {
            digits.remove(random.below(figures));
        }
        2 => exponent += if random.coin() { 1 } else { -1 },
        _ => digits[random.below(figures)] = b'0' + random.below(10) as u8,
    }
    let digits: String = digits.into_iter().map(char::from).collect();
    let (first, rest) = digits.split_at(1);
    let slipped = Numeral::parse(&format!("{first}.{rest}e{exponent}"));
    slipped.map_or(value, |slipped| slipped.to_f64() * value.signum())
}
