//! What a foreseen slip is once prepared: its way and its share. `part` and `replaced` prepare them.

use rust_decimal::Decimal;

use crate::formula::tape::Tape;

use super::Road;

/// A foreseen slip, prepared.
#[derive(Clone, Debug)]
pub struct SlipPlan {
    /// How its value is reckoned.
    pub way: Way,
    /// Its share of the part's value points.
    pub share: Decimal,
}

/// How the value of a slip is reckoned.
#[derive(Clone, Debug)]
pub enum Way {
    /// Along roads that run through a replaced equation.
    Roads {
        /// From the givens alone.
        own: Vec<Road>,
        /// From earlier parts' answers.
        roads: Vec<Road>,
    },
    /// By an expression.
    Expression {
        /// Its value times `size` is the answer in SI units.
        tape: Tape,
        /// 1, or the size of the part's unit where the expression is reckoned as printed.
        size: f64,
    },
}

impl Way {
    /// How much work it is to reckon; in the measure of [`Order::work`](crate::formula::order::Order::work).
    pub fn work(&self) -> u64 {
        match self {
            Self::Roads { own, roads } => {
                let own: u64 = own.iter().map(|road| road.order.work()).sum();
                own + roads.iter().map(Road::work).sum::<u64>()
            }
            Self::Expression { .. } => 1,
        }
    }
}
