//! Given and unknown quantities, and how numbers are drawn.

use rust_decimal::Decimal;

use crate::diagnostic::Span;
use crate::formula::{Condition, Expr};
use crate::quantity::{Dimension, Numeral, Quantity, Unit};

/// A kind of draw.
#[derive(Clone, Debug)]
pub struct DrawKind {
    /// Its name in the file.
    pub name: String,
    /// The condition's place in the file.
    pub span: Span,
    /// Of givens alone; a draw is of the first kind whose condition holds.
    pub when: Condition,
    /// The share of draws that are to be of it, above 0; all of them come to 1 at most.
    pub of: Decimal,
}

/// A given quantity.
#[derive(Clone, Debug)]
pub struct Given {
    /// Its name in formulas and texts.
    pub name: String,
    /// The place of its name in the file.
    pub span: Span,
    /// Its values and how one of them is drawn.
    pub draw: Draw,
    /// The unit of all its values.
    pub unit: Unit,
    /// Other values a student may use; only of a fixed given.
    pub allowed: Vec<Allowed>,
}

/// The values a given may take.
#[derive(Clone, Debug)]
pub enum Draw {
    /// `from`, `from + step`, and so on.
    Steps {
        /// The first value.
        from: Quantity,
        /// From one value to the next, in the unit of `from`; above 0.
        step: Numeral,
        /// How many values there are, at least 2.
        count: u64,
    },
    /// One of these, all different and in one unit, at least 2.
    Pick(Vec<Quantity>),
    /// Always this.
    Fixed(Quantity),
}

impl Draw {
    /// How many values there are, at least 1.
    pub fn count(&self) -> u64 {
        match self {
            Self::Steps { count, .. } => *count,
            Self::Pick(values) => values.len() as u64,
            Self::Fixed(_) => 1,
        }
    }

    /// The value of that index, exact and with its digits as written; `None` from [`Draw::count`] on.
    pub fn value(&self, index: u64) -> Option<Quantity> {
        match self {
            Self::Steps { from, step, count } if index < *count => {
                let numeral = from.numeral.plus(step, index)?;
                Some(Quantity {
                    numeral,
                    unit: from.unit,
                })
            }
            Self::Steps { .. } => None,
            Self::Pick(values) => values.get(usize::try_from(index).ok()?).copied(),
            Self::Fixed(value) => (index == 0).then_some(*value),
        }
    }
}

/// Another value of a constant that a student may use.
#[derive(Clone, Copy, Debug)]
pub struct Allowed {
    /// The value.
    pub quantity: Quantity,
    /// Points it costs, once a paper.
    pub cost: Decimal,
}

/// A name for an expression.
#[derive(Clone, Debug)]
pub struct Derived {
    /// The name.
    pub name: String,
    /// The expression's place in the file.
    pub span: Span,
    /// What it stands for.
    pub expr: Expr,
    /// Its dimension.
    pub dimension: Dimension,
}

/// Something to be found.
#[derive(Clone, Debug)]
pub struct Unknown {
    /// Its name in formulas; of a part that asks for an expression `answer of <part id>`.
    pub name: String,
    /// The place of its name in the file.
    pub span: Span,
    /// The unit it is asked for in.
    pub unit: Unit,
    /// The root lies above this expression of givens.
    pub above: Option<Expr>,
    /// The root lies below this expression of givens.
    pub below: Option<Expr>,
}
