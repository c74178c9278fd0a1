//! Conditions on givens, decided exactly where floating point cannot tell.
//!
//! In: a condition's tree and what its names stand for, as values in slots and as exact numbers. Out:
//! whether it holds. Sides that differ clearly are compared in floating point; nearly equal ones are
//! worked out as ratios, so that on a grid of 0.1 kg `4.7 > 2.3 + 1.4 + 1.0` is false, as it is on
//! paper. Where a root, an angle in degrees or a function keeps a side from being a ratio, equality
//! within [`super::condition::ALIKE`] of the terms counts as equality.

use num_rational::BigRational;
use num_traits::{Pow, Signed, ToPrimitive, Zero};

use super::condition::compare;
use super::tape::{Meaning, Measure, Tape, TooLong};
use super::tree::{Comparison, Condition, Expr, Function, Node, Operator};

/// Sides that differ by more than this share of their terms differ clearly: far above the noise of
/// the longest formula (4000 operations of 2⁻⁵³ each), far below any step a teacher writes.
const CLEAR: f64 = 1e-9;

/// Ratios whose halves have more bits than this are not worked out.
const MOST_BITS: u64 = 20_000;

/// A condition that is decided exactly.
#[derive(Clone, Debug, PartialEq)]
pub enum Strict {
    /// Two sides compared.
    Compare {
        /// How.
        comparison: Comparison,
        /// Left minus right.
        difference: Tape,
        /// The left and the right side.
        sides: Box<(Expr, Expr)>,
    },
    /// All of them hold.
    All(Vec<Strict>),
    /// At least one holds.
    Any(Vec<Strict>),
}

impl Strict {
    /// Compiles `condition`.
    ///
    /// # Errors
    /// [`TooLong`]
    pub fn of<'a>(
        condition: &'a Condition,
        meaning: &dyn Fn(&str) -> Option<Meaning<'a>>,
    ) -> Result<Self, TooLong> {
        let each = |parts: &'a [Condition]| -> Result<Vec<Self>, TooLong> {
            parts.iter().map(|part| Self::of(part, meaning)).collect()
        };
        Ok(match condition {
            Condition::Compare(comparison, left, right) => Self::Compare {
                comparison: *comparison,
                difference: Tape::difference(left, right, meaning, Measure::Si)?,
                sides: Box::new((left.clone(), right.clone())),
            },
            Condition::All(parts) => Self::All(each(parts)?),
            Condition::Any(parts) => Self::Any(each(parts)?),
        })
    }

    /// Whether it holds for the values in `slots`, which `exact` gives as ratios where they are some.
    /// Both in coherent SI units. What is not a number satisfies nothing.
    pub fn holds(&self, slots: &[f64], exact: &dyn Fn(&str) -> Option<BigRational>) -> bool {
        match self {
            Self::Compare {
                comparison,
                difference,
                sides,
            } => {
                let (apart, size) = difference.sized(slots);
                // Also false where one of them is not a number.
                if apart.abs() <= CLEAR * size
                    && let (Some(left), Some(right)) =
                        (value(&sides.0, exact), value(&sides.1, exact))
                {
                    return comparison.holds(left.cmp(&right));
                }
                compare(*comparison, apart, size)
            }
            Self::All(parts) => parts.iter().all(|part| part.holds(slots, exact)),
            Self::Any(parts) => parts.iter().any(|part| part.holds(slots, exact)),
        }
    }
}

/// The exact value of an expression in coherent SI units; `None` where it is no ratio, or one too
/// long to work out.
pub fn value(expr: &Expr, exact: &dyn Fn(&str) -> Option<BigRational>) -> Option<BigRational> {
    let of = |expr: &Expr| value(expr, exact);
    let found = match &expr.node {
        Node::Number(numeral) => numeral.exact(),
        Node::Quantity(quantity) => quantity.exact_si()?,
        Node::Pi => return None,
        Node::Name(name) => exact(name)?,
        Node::Negate(inner) => -of(inner)?,
        Node::Binary(operator, left, right) => {
            let (left, right) = (of(left)?, of(right)?);
            match operator {
                Operator::Add => left + right,
                Operator::Subtract => left - right,
                Operator::Multiply => left * right,
                Operator::Divide if right.is_zero() => return None,
                Operator::Divide => left / right,
                Operator::Power => {
                    let power = right.is_integer().then(|| right.to_i32())??;
                    let longest = left.numer().bits().max(left.denom().bits());
                    if longest * u64::from(power.unsigned_abs()) > MOST_BITS
                        || (left.is_zero() && power < 0)
                    {
                        return None;
                    }
                    left.pow(power)
                }
            }
        }
        Node::Call(Function::Abs, arguments) => of(arguments.first()?)?.abs(),
        Node::Call(Function::Min, arguments) => of(arguments.first()?)?.min(of(arguments.get(1)?)?),
        Node::Call(Function::Max, arguments) => of(arguments.first()?)?.max(of(arguments.get(1)?)?),
        Node::Call(..) => return None,
    };
    let short = found.numer().bits() <= MOST_BITS && found.denom().bits() <= MOST_BITS;
    short.then_some(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula;
    use crate::quantity::Quantity;

    /// Whether a condition holds for masses called a, b, c, d.
    fn holds(text: &str, masses: &[&str]) -> bool {
        let condition = formula::condition(text).unwrap();
        let names = ["a", "b", "c", "d"];
        let quantities: Vec<Quantity> = masses
            .iter()
            .map(|mass| Quantity::parse(mass).unwrap())
            .collect();
        let slots: Vec<f64> = quantities.iter().map(Quantity::si).collect();
        let slot = |name: &str| names.iter().position(|known| *known == name);
        let strict = Strict::of(&condition, &|name| slot(name).map(Meaning::Slot)).unwrap();
        strict.holds(&slots, &|name| quantities.get(slot(name)?)?.exact_si())
    }

    #[test]
    fn equality_on_a_grid_is_equality() {
        let masses = ["4.7 kg", "2.3 kg", "1.4 kg", "1.0 kg"];
        // What floating point makes of it, which is why this module exists.
        assert!(4.7 > [2.3, 1.4, 1.0].iter().sum::<f64>());
        for (text, expected) in [
            ("a > b + c + d", false),
            ("a >= b + c + d", true),
            ("a = b + c + d", true),
            ("a != b + c + d", false),
            ("a < b + c + d", false),
            ("abs(a - b - c - d) > 0", false),
            ("(a - b)/(c + d) = 1", true),
            ("(a - b)^2 = (c + d)^2", true),
            ("max(a, b) = min(a, b + c + d)", true),
            ("a - b - c - d = -0", true),
            ("a > b + c + d or a = b + c + d", true),
            ("a > b + c + d and a = b + c + d", false),
            ("a/b^-1 = (b + c + d)*b", true),
        ] {
            assert_eq!(holds(text, &masses), expected, "{text}");
        }
    }

    #[test]
    fn units_and_figures_do_not_matter() {
        assert!(holds("a = b", &["2500 g", "2.50 kg"]));
        assert!(holds("a = [0.3 kg] + b", &["0.5 kg", "2.00e2 g"]));
        assert!(!holds("a > b", &["0.3 kg", "300 g"]));
    }

    #[test]
    fn what_is_no_ratio_is_equal_within_the_noise() {
        assert!(holds("sqrt(a)*sqrt(a) = b", &["2 kg", "2 kg"]));
        assert!(!holds("sqrt(a)*sqrt(a) > b", &["2 kg", "2 kg"]));
        assert!(holds("sin([30 deg]) = 1/2", &[]));
        assert!(
            !holds("a/(b - c) > 1", &["1 kg", "2 kg", "2 kg"]),
            "a division by zero"
        );
        assert!(!holds("1 < ln(-1)", &[]), "not a number");
        assert!(
            !holds("(((2^99)^99)^99)^99 = 0", &[]),
            "infinite, and far too long to work out"
        );
    }

    #[test]
    fn every_sum_on_the_grid_of_a_tenth_is_decided_as_in_whole_numbers() {
        let mut flipped = 0;
        for b in 10..40 {
            for c in 10..20 {
                let d = 10;
                let a = b + c + d;
                let kilograms = |tenths: i32| format!("{}.{} kg", tenths / 10, tenths % 10);
                let masses = [a, b, c, d].map(kilograms);
                let masses: Vec<&str> = masses.iter().map(String::as_str).collect();
                assert!(!holds("a > b + c + d", &masses), "{masses:?}");
                assert!(!holds("a < b + c + d", &masses), "{masses:?}");
                let float = |tenths: i32| f64::from(tenths) / 10.0;
                flipped += i32::from(float(a) != float(b) + float(c) + float(d));
            }
        }
        assert!(
            flipped > 20,
            "the case this guards against occurs: {flipped}"
        );
    }
}
