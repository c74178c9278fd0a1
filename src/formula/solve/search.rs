//! Blocks that can only be searched: Newton's method, damped, from many starts.
//!
//! In: a block of several unknowns that no held one makes linear. Out: the different roots that
//! were met. The starts are a fixed sequence over sizes around the units of the unknowns and
//! both signs, so the same block gives the same roots everywhere.

use super::{CONSISTENT, Root, Roots, Solver, Why, alike, linear, put};
use crate::formula::order::{Block, LARGEST_BLOCK};

/// How many starts a block is searched from.
const STARTS: u64 = 160;

/// How long Newton's method goes on from one start.
pub(super) struct Patience {
    /// Steps at most.
    pub(super) steps: usize,
    /// The least share of a step that is tried.
    pub(super) least: f64,
    /// The residual, as a share of its terms, that is small enough.
    pub(super) enough: f64,
}

/// From anywhere.
const FAR: Patience = Patience {
    steps: 60,
    least: 1e-4,
    enough: 1e-15,
};

pub(super) fn search(solver: &Solver, block: &Block, slots: &mut [f64]) -> Result<Roots, Why> {
    let mut roots = Roots::new();
    for start in 0..STARTS {
        let from: Root = block
            .unknowns
            .iter()
            .enumerate()
            .map(|(at, &slot)| solver.scales[slot] * spread(start, at as u64, solver.angles[slot]))
            .collect();
        if let Some(root) = newton(solver, block, from, slots, &FAR)
            && !roots.iter().any(|known| alike(known, &root))
            && roots.try_push(root).is_err()
        {
            break;
        }
    }
    if roots.is_empty() {
        Err(Why::NoRoot)
    } else {
        Ok(roots)
    }
}

/// A number for a start: its size from 10⁻² to 10³, either sign; within half a turn for angles.
fn spread(start: u64, at: u64, angle: bool) -> f64 {
    // Mixed thoroughly: one unknown's start must tell nothing about another's, or whole regions stay
    // without any. The constants are odd and otherwise of no account.
    let count = start * LARGEST_BLOCK as u64 + at + 1;
    let mixed = count.wrapping_mul(0x9E37_79B9_7F4A_7C15);
    let mixed = (mixed ^ (mixed >> 31)).wrapping_mul(0xD6E8_FEB8_6659_FD93);
    let mixed = mixed ^ (mixed >> 32);
    let fraction = (mixed >> 11) as f64 / (1_u64 << 53) as f64;
    let sign = if (start >> (at % 6)) & 1 == 0 {
        1.0
    } else {
        -1.0
    };
    if angle {
        sign * fraction * 3.0
    } else {
        sign * libm::exp10(5.0 * fraction - 2.0)
    }
}

/// Newton's method from one start.
pub(super) fn newton(
    solver: &Solver,
    block: &Block,
    from: Root,
    slots: &mut [f64],
    patience: &Patience,
) -> Option<Root> {
    let mut here = from;
    let mut error = solver.error(block, &here, slots);
    for _ in 0..patience.steps {
        put(block, &here, slots);
        let step = linear::step(solver, block, slots)?;
        let mut damping = 1.0;
        let (mut next, mut next_error);
        loop {
            next = here
                .iter()
                .zip(&step)
                .map(|(x, s)| x + damping * s)
                .collect::<Root>();
            next_error = solver.error(block, &next, slots);
            if next_error < error || damping < patience.least {
                break;
            }
            damping *= 0.5;
        }
        let moved = here
            .iter()
            .zip(&next)
            .any(|(x, y)| (x - y).abs() > 1e-13 * y.abs());
        here = next;
        error = next_error;
        if !error.is_finite() {
            return None;
        }
        if !moved || error < patience.enough {
            break;
        }
    }
    (error <= CONSISTENT).then_some(here)
}
