//! From verdicts to points, in exact decimals.
//!
//! In: the share of each part's value points that was earned, the points keyed for its working,
//! faults of unit and figures. Out: points and costs. A cost never exceeds the value points that
//! were earned; "once" is charged on the first part that has points to take, unit and figures
//! each, whatever was adjusted or waived elsewhere.

use rust_decimal::Decimal;

use crate::assignment::{Charge, Late};

/// One part, before costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Earned {
    /// Points the part has for its value: all but those for the working.
    pub value_points: Decimal,
    /// Share of them that was earned, 0 to 1.
    pub share: Decimal,
    /// Points for the working.
    pub working: Decimal,
    /// What a fault of the unit costs; nothing if there is none.
    pub unit_fault: Option<Decimal>,
    /// What a fault of the figures costs; nothing if there is none.
    pub figures_fault: Option<Decimal>,
}

/// The points of one part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Points {
    /// Taken off for the unit.
    pub unit_cost: Decimal,
    /// Taken off for the figures.
    pub figures_cost: Decimal,
    /// What is left, with the working.
    pub points: Decimal,
}

/// Charges faults over a paper, part by part in its order.
#[derive(Clone, Copy, Debug)]
pub struct Charger {
    charge: Charge,
    unit_charged: bool,
    figures_charged: bool,
}

impl Charger {
    /// Starts on a paper.
    pub fn new(charge: Charge) -> Self {
        Self {
            charge,
            unit_charged: false,
            figures_charged: false,
        }
    }

    /// The points of the next part.
    pub fn part(&mut self, earned: &Earned) -> Points {
        let value = earned.value_points * earned.share;
        let unit_cost = self.cost(earned.unit_fault, value, self.unit_charged);
        self.unit_charged |= unit_cost > Decimal::ZERO;
        let figures_cost = self.cost(
            earned.figures_fault,
            value - unit_cost,
            self.figures_charged,
        );
        self.figures_charged |= figures_cost > Decimal::ZERO;
        let points = value - unit_cost - figures_cost + earned.working;
        Points {
            unit_cost,
            figures_cost,
            points,
        }
    }

    fn cost(&self, fault: Option<Decimal>, left: Decimal, charged: bool) -> Decimal {
        match (fault, self.charge) {
            (Some(_), Charge::Once) if charged => Decimal::ZERO,
            (Some(cost), _) => cost.min(left).max(Decimal::ZERO),
            (None, _) => Decimal::ZERO,
        }
    }
}

/// What a paper loses as a whole, as numbers not above 0, given what its parts earned.
pub fn paper_cost(earned: Decimal, cost: Decimal) -> Decimal {
    -cost.min(earned).max(Decimal::ZERO)
}

/// What a late paper loses, as a number not above 0: a share of what was earned, linear in days.
pub fn late(earned: Decimal, days: u32, rule: Option<&Late>) -> Decimal {
    let Some(late) = rule else {
        return Decimal::ZERO;
    };
    let share = (late.per_day * Decimal::from(days))
        .min(late.at_most)
        .min(Decimal::ONE);
    -(earned.max(Decimal::ZERO) * share)
}
