//! The strongest and the weakest papers, by the points of their parts.
//!
//! In: the points of each paper. Out: the weight with which each paper belongs to the upper and to the
//! lower group. Papers of equal points at a group's edge share the place that is left, so that the order
//! of the papers makes no difference.

use rust_decimal::Decimal;

use super::moments::f64_of;

/// The share of papers in each group: common practice.
const SHARE: f64 = 0.27;

/// For each paper how far it belongs to a group, 0 to 1.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Groups {
    upper: Vec<f64>,
    lower: Vec<f64>,
}

/// The groups of papers with these points.
pub(super) fn of(points: &[Decimal]) -> Groups {
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by_key(|&at| points[at]);
    let lower = weights(points, order.iter().copied());
    let upper = weights(points, order.iter().rev().copied());
    Groups { upper, lower }
}

/// Fills a group from the front of an order.
fn weights(points: &[Decimal], order: impl Iterator<Item = usize>) -> Vec<f64> {
    let mut weights = vec![0.0; points.len()];
    let mut room = SHARE * points.len() as f64;
    let order: Vec<usize> = order.collect();
    for equal in order.chunk_by(|one, other| points[*one] == points[*other]) {
        let share = (room / equal.len() as f64).min(1.0);
        for &at in equal {
            weights[at] = share;
        }
        room -= share * equal.len() as f64;
        if room <= 0.0 {
            break;
        }
    }
    weights
}

impl Groups {
    /// The mean of a part in the upper group less that in the lower, as a share of its points.
    pub(super) fn difference(
        &self,
        points: impl Fn(usize) -> Decimal,
        out_of: Decimal,
    ) -> Option<f64> {
        let mean = |weights: &[f64]| {
            let earned: f64 = weights
                .iter()
                .enumerate()
                .filter(|(_, weight)| **weight > 0.0)
                .map(|(at, weight)| weight * f64_of(points(at)))
                .sum();
            let all: f64 = weights.iter().sum();
            (all > 0.0).then_some(earned / all)
        };
        let out_of = f64_of(out_of);
        (out_of > 0.0)
            .then(|| Some((mean(&self.upper)? - mean(&self.lower)?) / out_of))
            .flatten()
    }
}
