//! Proves the dimensions of a formula before any number is put in.
//!
//! In: a tree and what the names in it stand for. Out: its dimension, or every place where
//! unlike things are added, compared or put into a function. Exact: exponents are ratios. That the
//! names stand for something is taken for granted. A plain `0` goes with any dimension, and so does a product with it.

use num_rational::BigRational;
use num_traits::ToPrimitive;

use super::FormulaError;
use super::tree::{Condition, Equation, Expr, Function, Node, Operator};
use crate::diagnostic::Span;
use crate::quantity::{Dimension, Exponent};

/// What to do where unlike things meet.
pub const FACTOR_OR_UNIT: &str =
    "look for a factor left out, or a unit under [given] or [find] that is not meant";
/// What to do where a plain number is wanted.
const PLAIN: &str = "divide it by a quantity of its own kind";

/// What the names in a formula stand for.
pub trait Names {
    /// The dimension of `name`; `None` where nothing is called so, which was reported before.
    fn dimension(&self, name: &str) -> Option<Dimension>;
}

/// The dimension of an expression; `None` where it is zero and goes with any.
///
/// # Errors
/// All clashes of dimensions.
pub fn dimension(expr: &Expr, names: &dyn Names) -> Result<Option<Dimension>, Vec<FormulaError>> {
    let mut checker = Checker {
        names,
        errors: Vec::new(),
    };
    let found = checker.expr(expr);
    checker.result(match found {
        Found::Is(dimension) => Some(dimension),
        Found::Any | Found::Broken => None,
    })
}

/// Whether both sides of an equation have one dimension.
///
/// # Errors
/// All clashes of dimensions.
pub fn check_equation(equation: &Equation, names: &dyn Names) -> Result<(), Vec<FormulaError>> {
    let mut checker = Checker {
        names,
        errors: Vec::new(),
    };
    checker.alike(&equation.left, &equation.right, "equated");
    checker.result(())
}

/// Whether a condition compares like with like.
///
/// # Errors
/// All clashes of dimensions.
pub fn check_condition(condition: &Condition, names: &dyn Names) -> Result<(), Vec<FormulaError>> {
    let mut checker = Checker {
        names,
        errors: Vec::new(),
    };
    condition.comparisons(&mut |_, left, right| {
        checker.alike(left, right, "compared");
    });
    checker.result(())
}

#[derive(Clone, Copy)]
enum Found {
    Is(Dimension),
    Any,
    /// An error below, or a name that nothing is called by, was reported already.
    Broken,
}

struct Checker<'a> {
    names: &'a dyn Names,
    errors: Vec<FormulaError>,
}

impl Checker<'_> {
    fn result<T>(self, value: T) -> Result<T, Vec<FormulaError>> {
        if self.errors.is_empty() {
            Ok(value)
        } else {
            Err(self.errors)
        }
    }

    fn error(&mut self, span: Span, message: String, help: &str) -> Found {
        self.errors
            .push(FormulaError::new(span, message).help(help));
        Found::Broken
    }

    fn expr(&mut self, expr: &Expr) -> Found {
        match &expr.node {
            Node::Number(numeral) if numeral.is_zero() => Found::Any,
            Node::Number(_) | Node::Pi => Found::Is(Dimension::NONE),
            Node::Quantity(quantity) => Found::Is(quantity.unit.dimension()),
            Node::Name(name) => self.names.dimension(name).map_or(Found::Broken, Found::Is),
            Node::Negate(inner) => self.expr(inner),
            Node::Binary(operator, left, right) => self.binary(*operator, left, right, expr.span),
            Node::Call(function, arguments) => self.call(*function, arguments, expr.span),
        }
    }

    fn binary(&mut self, operator: Operator, left: &Expr, right: &Expr, span: Span) -> Found {
        match operator {
            Operator::Add => self.alike(left, right, "added"),
            Operator::Subtract => self.alike(left, right, "subtracted"),
            Operator::Multiply | Operator::Divide => {
                let (l, r) = (self.expr(left), self.expr(right));
                match (l, r) {
                    (Found::Broken, _) | (_, Found::Broken) => Found::Broken,
                    (Found::Any, _) | (_, Found::Any) => Found::Any,
                    (Found::Is(l), Found::Is(r)) => {
                        let joined = if operator == Operator::Multiply {
                            l.checked_mul(r)
                        } else {
                            l.checked_div(r)
                        };
                        joined.map_or_else(|| self.too_large(span), Found::Is)
                    }
                }
            }
            Operator::Power => self.power(left, right, span),
        }
    }

    fn too_large(&mut self, span: Span) -> Found {
        self.error(
            span,
            "the powers of units in here grow beyond all sense".to_owned(),
            "look for an exponent that is not meant",
        )
    }

    /// Both sides must have one dimension, which is the result's.
    fn alike(&mut self, left: &Expr, right: &Expr, joined: &str) -> Found {
        let span = Span {
            start: left.span.start,
            end: right.span.end,
        };
        match (self.expr(left), self.expr(right)) {
            (Found::Broken, _) | (_, Found::Broken) => Found::Broken,
            (Found::Any, found) | (found, Found::Any) => found,
            (Found::Is(l), Found::Is(r)) if l == r => Found::Is(l),
            (Found::Is(l), Found::Is(r)) => {
                let what = match joined {
                    "added" | "subtracted" => "these",
                    _ => "the two sides",
                };
                let message = format!("{what} cannot be {joined}: left is {l}, right is {r}");
                self.error(span, message, FACTOR_OR_UNIT)
            }
        }
    }

    fn power(&mut self, base: &Expr, exponent: &Expr, span: Span) -> Found {
        let found = self.expr(base);
        match self.expr(exponent) {
            Found::Is(dimension) if dimension != Dimension::NONE => {
                return self.error(
                    exponent.span,
                    format!("an exponent is a plain number, found {dimension}"),
                    PLAIN,
                );
            }
            Found::Broken => return Found::Broken,
            _ => {}
        }
        match found {
            Found::Is(dimension) if dimension != Dimension::NONE => {
                let Some(exponent) = constant(exponent).and_then(|value| {
                    Exponent::new(value.numer().to_i32()?, value.denom().to_i32()?)
                }) else {
                    return self.error(
                        exponent.span,
                        format!("the exponent of something that is {dimension} must be a simple fixed number, such as 2 or 1/2"),
                        "write the number itself, or make the base a plain number",
                    );
                };
                dimension
                    .checked_pow(exponent)
                    .map_or_else(|| self.too_large(span), Found::Is)
            }
            other => other,
        }
    }

    fn call(&mut self, function: Function, arguments: &[Expr], span: Span) -> Found {
        match (function, arguments) {
            (Function::Min | Function::Max, [left, right]) => self.alike(left, right, "compared"),
            (Function::Atan2, [left, right]) => match self.alike(left, right, "compared") {
                Found::Broken => Found::Broken,
                _ => Found::Is(Dimension::NONE),
            },
            (Function::Abs, [inner]) => self.expr(inner),
            (Function::Sqrt, [inner]) => match self.expr(inner) {
                Found::Is(dimension) => {
                    match Exponent::new(1, 2).and_then(|half| dimension.checked_pow(half)) {
                        Some(root) => Found::Is(root),
                        None => self.too_large(span),
                    }
                }
                other => other,
            },
            (_, [inner, ..]) => match self.expr(inner) {
                Found::Is(dimension) if dimension != Dimension::NONE => self.error(
                    inner.span,
                    format!(
                        "`{}` takes a plain number or an angle, found {dimension}",
                        function.name()
                    ),
                    PLAIN,
                ),
                Found::Broken => Found::Broken,
                _ => Found::Is(Dimension::NONE),
            },
            (_, []) => Found::Broken,
        }
    }
}

/// The exact value of an expression of plain numbers, for exponents.
fn constant(expr: &Expr) -> Option<BigRational> {
    match &expr.node {
        // An exponent that needs a large power of ten is none: keep the exact value small.
        Node::Number(numeral) if numeral.to_f64().abs() < 1000.0 && numeral.decimals() < 6 => {
            Some(numeral.exact())
        }
        Node::Negate(inner) => Some(-constant(inner)?),
        Node::Binary(operator, left, right) => {
            let (left, right) = (constant(left)?, constant(right)?);
            match operator {
                Operator::Add => Some(left + right),
                Operator::Subtract => Some(left - right),
                Operator::Multiply => Some(left * right),
                Operator::Divide if *right.numer() != 0.into() => Some(left / right),
                _ => None,
            }
        }
        _ => None,
    }
}
