//! Chooses equations that determine the unknowns, out of a set that may say some things twice.
//!
//! In: compiled equations and draws of the givens. Out: as many independent equations as there
//! are unknowns, in the order preferred; or the unknowns that are left undetermined. Independent
//! is judged by the rank of the derivatives at points that nothing makes special.

use crate::formula::solve::Solver;
use crate::formula::tape::SlotSet;

/// A pivot below this share of its row counts as none.
const SINGULAR: f64 = 1e-9;

/// Equations that are independent in `unknowns`, taken greedily in the order of `preferred`.
pub(super) fn independent(
    solver: &Solver,
    preferred: &[usize],
    unknowns: SlotSet,
    givens: &[f64],
) -> Vec<usize> {
    (0..6)
        .map(|point| {
            let slots = somewhere(solver, givens, point);
            let mut rows: Vec<Vec<f64>> = Vec::new();
            let independent =
                |&&equation: &&usize| add(&mut rows, row(solver, equation, unknowns, &slots));
            preferred
                .iter()
                .filter(independent)
                .copied()
                .collect::<Vec<_>>()
        })
        .max_by_key(Vec::len)
        .unwrap_or_default()
}

/// The unknowns that `equations` leave open at draws of the givens such as these.
pub(super) fn undetermined(
    solver: &Solver,
    equations: &[usize],
    unknowns: SlotSet,
    givens: &[f64],
) -> Vec<usize> {
    let full = independent(solver, equations, unknowns, givens).len();
    // An unknown is determined if leaving out its column lowers the rank.
    let open = |&slot: &usize| {
        let others = unknowns.without(SlotSet::of(slot));
        independent(solver, equations, others, givens).len() == full
    };
    unknowns.iter().filter(open).collect()
}

/// The draw with unknowns of sizes around their units, different at each point.
fn somewhere(solver: &Solver, givens: &[f64], point: usize) -> Vec<f64> {
    let mut slots = givens.to_vec();
    for slot in givens.len()..solver.scales.len() {
        // Fractions of multiples of an irrational: spread, and the same everywhere.
        let step = libm::sqrt(2.0) * (slot + 7 * point + 1) as f64;
        let fraction = step - step.floor();
        let sign = if point >> (slot % 3) & 1 == 0 {
            1.0
        } else {
            -1.0
        };
        slots.push(sign * solver.scales[slot] * (0.4 + 0.5 * fraction));
    }
    slots
}

fn row(solver: &Solver, equation: usize, unknowns: SlotSet, slots: &[f64]) -> Vec<f64> {
    let tape = &solver.tapes[equation];
    let slope = |slot: usize| {
        let slope = tape.slope(slots, slot).1 * solver.scales[slot];
        // Not defined here: that it depends on the unknown is all that can be said.
        if slope.is_finite() {
            slope
        } else {
            0.37 + slot as f64
        }
    };
    unknowns
        .iter()
        .map(|slot| {
            if tape.uses().has(slot) {
                slope(slot)
            } else {
                0.0
            }
        })
        .collect()
}

/// Adds `row` to rows in echelon form, unless it depends on them.
fn add(rows: &mut Vec<Vec<f64>>, mut row: Vec<f64>) -> bool {
    let size = |row: &[f64]| row.iter().fold(0.0_f64, |most, cell| most.max(cell.abs()));
    let before = size(&row);
    if before == 0.0 {
        return false;
    }
    row.iter_mut().for_each(|cell| *cell /= before);
    for known in rows.iter() {
        let pivot = pivot(known);
        let factor = row[pivot] / known[pivot];
        row.iter_mut()
            .zip(known)
            .for_each(|(cell, known)| *cell -= factor * known);
        row[pivot] = 0.0;
    }
    if size(&row) < SINGULAR {
        return false;
    }
    rows.push(row);
    true
}

fn pivot(row: &[f64]) -> usize {
    (0..row.len()).fold(0, |best, at| {
        if row[at].abs() > row[best].abs() {
            at
        } else {
            best
        }
    })
}
