//! Quantities, units and formulas as they stand in a file.
//!
//! In: strings of the file. Out: what they mean, with their names known and their dimensions
//! proved. Refused, at the very letters: what is no quantity, unit or formula, a name that may not
//! stand there, and dimensions that clash.

use super::names::{Admitted, Scope, Use, tell};
use super::raw::Text;
use super::report::{Added, Report};
use crate::diagnostic::Span;
use crate::formula::{self, Condition, Equation, Expr, FormulaError, check};
use crate::quantity::{Dimension, NumeralError, Quantity, QuantityError, Unit};

/// A quantity, `6.0 kg`.
pub(crate) fn quantity(text: Text<'_>, report: &mut Report<'_>) -> Option<Quantity> {
    match Quantity::parse(text.text) {
        Ok(quantity) => Some(quantity),
        Err(error) => {
            let found = text.text;
            let (start, end) = error.place(found);
            let message = match error {
                QuantityError::Numeral(NumeralError::Empty | NumeralError::Unexpected { .. }) => {
                    format!("expected a quantity such as \"6.0 kg\", found \"{found}\"")
                }
                _ => error.message(found),
            };
            let help = if has_decimal_comma(found) {
                "numbers in this file have a decimal point: \"6.0 kg\""
            } else {
                "a quantity is a number, a blank and a unit: \"6.0 kg\"; a plain number stands alone: \"0.40\""
            };
            report
                .error(text.locate(Span::new(start, end)), message)
                .help(help);
            None
        }
    }
}

fn has_decimal_comma(text: &str) -> bool {
    text.as_bytes()
        .windows(3)
        .any(|w| w[1] == b',' && w[0].is_ascii_digit() && w[2].is_ascii_digit())
}

/// A unit, `m/s^2`; nothing between the quotes is the unit of a plain number.
pub(crate) fn unit(text: Text<'_>, report: &mut Report<'_>) -> Option<Unit> {
    if text.text.trim().is_empty() {
        return Some(Unit::ONE);
    }
    match Unit::parse(text.text) {
        Ok(unit) => Some(unit),
        Err(error) => {
            let (start, end) = error.place(text.text);
            report
                .error(text.locate(Span::new(start, end)), error.message(text.text))
                .help("units are written \"m/s^2\", \"kg m^2\", \"rad\"; \"\" stands for a plain number");
            None
        }
    }
}

/// What is known of an expression's dimension.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Proof {
    /// It has this one.
    Is(Dimension),
    /// It is zero, which goes with any.
    Zero,
    /// A name in it is broken and reported.
    Unknown,
}

impl Proof {
    /// The dimension, if it is known to have one.
    pub(crate) fn dimension(self) -> Option<Dimension> {
        match self {
            Self::Is(dimension) => Some(dimension),
            Self::Zero | Self::Unknown => None,
        }
    }
}

/// A kind of formula: how it is read, and how its names are gone through.
type Form<T> = (
    fn(&str) -> Result<T, Vec<FormulaError>>,
    for<'a> fn(&'a T, &mut dyn FnMut(&'a str, Span)),
);

const EXPRESSION: Form<Expr> = (formula::expression, Expr::names);
const EQUATION: Form<Equation> = (formula::equation, Equation::names);
const CONDITION: Form<Condition> = (formula::condition, Condition::names);

/// An expression and what is known of its dimension.
pub(crate) fn expression(
    text: Text<'_>,
    allowed: Use,
    scope: &Scope,
    report: &mut Report<'_>,
) -> Option<(Expr, Proof)> {
    let (expr, whole) = named(text, EXPRESSION, allowed, scope, report)?;
    let proof = if whole {
        proved(check::dimension(&expr, scope), text, report)?.map_or(Proof::Zero, Proof::Is)
    } else {
        Proof::Unknown
    };
    Some((expr, proof))
}

/// An expression of the dimension `wanted`; `what` says of what, for the message.
pub(crate) fn expression_of(
    text: Text<'_>,
    allowed: Use,
    wanted: Dimension,
    what: &str,
    scope: &Scope,
    report: &mut Report<'_>,
) -> Option<Expr> {
    let (expr, proof) = expression(text, allowed, scope, report)?;
    if let Some(found) = proof.dimension().filter(|found| *found != wanted) {
        differs(text.inner(), found, wanted, what, report).help(check::FACTOR_OR_UNIT);
        return None;
    }
    Some(expr)
}

/// An equation whose sides have one dimension.
pub(crate) fn equation(text: Text<'_>, scope: &Scope, report: &mut Report<'_>) -> Option<Equation> {
    let (equation, whole) = named(text, EQUATION, Use::All, scope, report)?;
    if whole {
        proved(check::check_equation(&equation, scope), text, report)?;
    }
    Some(equation)
}

/// A condition that compares like with like.
pub(crate) fn condition(
    text: Text<'_>,
    allowed: Use,
    scope: &Scope,
    report: &mut Report<'_>,
) -> Option<Condition> {
    let (condition, whole) = named(text, CONDITION, allowed, scope, report)?;
    if whole {
        proved(check::check_condition(&condition, scope), text, report)?;
    }
    Some(condition)
}

/// An expression that is free of the dimension check, as slips are.
pub(crate) fn free_expression(
    text: Text<'_>,
    scope: &Scope,
    report: &mut Report<'_>,
) -> Option<Expr> {
    Some(named(text, EXPRESSION, Use::All, scope, report)?.0)
}

/// An equation that is free of the dimension check, as slips are.
pub(crate) fn free_equation(
    text: Text<'_>,
    scope: &Scope,
    report: &mut Report<'_>,
) -> Option<Equation> {
    Some(named(text, EQUATION, Use::All, scope, report)?.0)
}

/// Reads a formula whose names are all known and allowed here; also, whether its dimensions can be checked.
fn named<T>(
    text: Text<'_>,
    (read, visit): Form<T>,
    allowed: Use,
    scope: &Scope,
    report: &mut Report<'_>,
) -> Option<(T, bool)> {
    let tree = parsed(text, read, report)?;
    let mut names = Vec::new();
    visit(&tree, &mut |name, span| names.push((name, span)));
    let admitted = scope.admit(&names, allowed, text, report);
    (admitted != Admitted::No).then_some((tree, admitted == Admitted::Whole))
}

/// Reads a formula without looking at its names.
pub(crate) fn parsed<T>(
    text: Text<'_>,
    read: impl FnOnce(&str) -> Result<T, Vec<FormulaError>>,
    report: &mut Report<'_>,
) -> Option<T> {
    if text.text.trim().is_empty() {
        report
            .error(
                text.span,
                "expected a formula, found nothing between the quotes",
            )
            .help("write it there, or take the key out");
        return None;
    }
    proved(read(text.text), text, report)
}

/// Says that two things differ in dimension, with both named.
pub(crate) fn differs<'r>(
    span: Span,
    found: Dimension,
    wanted: Dimension,
    what: &str,
    report: &'r mut Report<'_>,
) -> Added<'r> {
    let message = format!("this is {found}, but {what} is {wanted}");
    report
        .error(span, message)
        .help("give both units of one kind")
}

fn proved<T>(
    result: Result<T, Vec<FormulaError>>,
    text: Text<'_>,
    report: &mut Report<'_>,
) -> Option<T> {
    match result {
        Ok(value) => Some(value),
        Err(errors) => {
            tell(errors, text, report);
            None
        }
    }
}
