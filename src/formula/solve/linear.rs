//! Linear blocks, and the step of Newton's method for the others.
//!
//! In: a block and slots. Out: its one solution, or the step towards a root. Rows and columns
//! are brought to one size before elimination, so that units of unlike size do no harm; a pivot
//! below [`SINGULAR`] after that means that the equations do not determine the unknowns.

use arrayvec::ArrayVec;

use super::{Root, Solver, Why, put};
use crate::formula::order::{Block, LARGEST_BLOCK};

/// The smallest pivot, as a share of the largest entry of its row and column.
const SINGULAR: f64 = 1e-10;

type Row = [f64; LARGEST_BLOCK + 1];

/// Filled in place: they are too large to be handed about.
type Rows = ArrayVec<Row, LARGEST_BLOCK>;

/// Solves a block that is linear in its unknowns, with one step of refinement, and puts its
/// solution into the slots.
pub(super) fn solve(solver: &Solver, block: &Block, slots: &mut [f64]) -> Result<(), Why> {
    if let ([equation], [slot]) = (&block.equations[..], &block.unknowns[..]) {
        return single(solver, *equation, *slot, slots);
    }
    for &slot in &block.unknowns {
        slots[slot] = 0.0;
    }
    let n = block.unknowns.len();
    let mut again = Rows::new();
    rows(solver, block, slots, &mut again).ok_or(Why::Singular)?;
    let mut first = Rows::new();
    first.extend(again.iter().copied());
    let mut root = eliminate(&mut first, n).ok_or(Why::Singular)?;
    put(block, &root, slots);
    // The derivatives are the same everywhere: only what is left over is reckoned again.
    for (row, &equation) in again.iter_mut().zip(&block.equations) {
        row[n] = -solver.tapes[equation].value(slots);
        if !row[n].is_finite() {
            return Err(Why::Singular);
        }
    }
    let step = eliminate(&mut again, n).ok_or(Why::Singular)?;
    for (value, step) in root.iter_mut().zip(&step) {
        *value += step;
    }
    put(block, &root, slots);
    if root.iter().all(|value| value.is_finite()) {
        Ok(())
    } else {
        Err(Why::NotFinite)
    }
}

fn single(solver: &Solver, equation: usize, slot: usize, slots: &mut [f64]) -> Result<(), Why> {
    slots[slot] = 0.0;
    let tape = &solver.tapes[equation];
    let (at_zero, slope) = tape.slope(slots, slot);
    if at_zero.is_nan() || slope.is_nan() {
        return Err(Why::NotFinite);
    }
    if slope == 0.0 {
        return Err(Why::Singular);
    }
    let value = -at_zero / slope;
    slots[slot] = value;
    let value = value - tape.value(slots) / slope;
    slots[slot] = value;
    if value.is_finite() {
        Ok(())
    } else {
        Err(Why::NotFinite)
    }
}

/// The step of Newton's method from the values in `slots`; `None` where the derivatives do not
/// determine one.
pub(super) fn step(solver: &Solver, block: &Block, slots: &[f64]) -> Option<Root> {
    let mut rows = Rows::new();
    self::rows(solver, block, slots, &mut rows)?;
    eliminate(&mut rows, block.unknowns.len())
}

/// The derivatives of a block's equations, each with what is to be made up for behind them.
/// `None` where one is no number.
fn rows(solver: &Solver, block: &Block, slots: &[f64], rows: &mut Rows) -> Option<()> {
    let n = block.unknowns.len();
    for &equation in &block.equations {
        let tape = &solver.tapes[equation];
        let mut row = [0.0; LARGEST_BLOCK + 1];
        let mut value = None;
        for (cell, &slot) in row.iter_mut().zip(&block.unknowns) {
            if tape.uses().has(slot) {
                let (at, slope) = tape.slope(slots, slot);
                value = Some(at);
                *cell = slope;
            }
        }
        row[n] = -value.unwrap_or_else(|| tape.value(slots));
        if row[..=n].iter().any(|cell| !cell.is_finite()) {
            return None;
        }
        rows.push(row);
    }
    Some(())
}

fn eliminate(rows: &mut [Row], n: usize) -> Option<Root> {
    let mut columns = [0.0; LARGEST_BLOCK];
    for (at, column) in columns.iter_mut().enumerate().take(n) {
        *column = rows
            .iter()
            .fold(0.0_f64, |most, row| most.max(row[at].abs()));
        if *column == 0.0 {
            return None;
        }
        for row in rows.iter_mut() {
            row[at] /= *column;
        }
    }
    for row in rows.iter_mut() {
        let largest = row[..n]
            .iter()
            .fold(0.0_f64, |most, cell| most.max(cell.abs()));
        if largest == 0.0 {
            return None;
        }
        row[..=n].iter_mut().for_each(|cell| *cell /= largest);
    }
    for at in 0..n {
        let pivot = (at..n).fold(at, |best, row| {
            if rows[row][at].abs() > rows[best][at].abs() {
                row
            } else {
                best
            }
        });
        rows.swap(at, pivot);
        if rows[at][at].abs() < SINGULAR {
            return None;
        }
        let (done, below) = rows.split_at_mut(at + 1);
        let pivot = &done[at];
        for row in below {
            let factor = row[at] / pivot[at];
            if factor != 0.0 {
                for column in at..=n {
                    row[column] -= factor * pivot[column];
                }
            }
        }
    }
    let mut root = Root::new();
    root.extend(std::iter::repeat_n(0.0, n));
    for at in (0..n).rev() {
        let known: f64 = (at + 1..n)
            .map(|column| rows[at][column] * root[column])
            .sum();
        root[at] = (rows[at][n] - known) / rows[at][at];
    }
    for (value, column) in root.iter_mut().zip(&columns) {
        *value /= column;
    }
    root.iter().all(|value| value.is_finite()).then_some(root)
}
