//! The solution next to the values that stand in the slots.
//!
//! In: blocks, slots that hold a solution but for some that were changed since or equations put in the
//! place of others. Out: the slots solved again: what nothing changed reaches is left as it is, linear
//! blocks and squares are solved completely, others by Newton's method from where they stand; where that
//! leads nowhere or out of the ranges, one unknown is sought over its whole range, and several from a few
//! starts more. That is how hundreds of altered systems are solved for one paper: a solution far from the
//! right one may be missed, which no mark depends on. Of several the nearest is taken, block by block.

use super::{HALF_TURN, Root, Roots, Solver, linear, put, scan, search};
use crate::formula::order::{Block, Method};
use crate::formula::tape::SlotSet;

/// How long Newton's method goes on from one start.
const NEAR: search::Patience = search::Patience {
    steps: 16,
    least: 0.2,
    enough: 1e-13,
};

/// Where a block of several unknowns is sought, as multiples of its old solution.
const FACTORS: [f64; 6] = [1.0, 0.5, 2.0, -1.0, 0.2, 5.0];

impl Solver {
    /// Solves `blocks` again after the slots in `changed` were set to other values. Equations from number
    /// `holding` on did not hold before; the others did. Gives false, with `slots` in no particular state,
    /// where that leads to no solution within the ranges.
    pub fn solve_next_to(
        &self,
        blocks: &[Block],
        slots: &mut [f64],
        changed: SlotSet,
        holding: usize,
    ) -> bool {
        let mut changed = changed;
        let mut solved = SlotSet::default();
        for block in blocks {
            let is_touched = block.equations.iter().any(|&equation| {
                equation >= holding || !self.tapes[equation].uses().and(changed).is_empty()
            });
            if !is_touched {
                continue;
            }
            if !self.block_next_to(block, slots) {
                return false;
            }
            solved = solved.or(block.unknowns.iter().copied().collect());
            changed = changed.or(solved);
        }
        solved
            .iter()
            .all(|slot| self.inside(slot, slots) && self.is_within_a_turn(slot, slots))
    }

    fn block_next_to(&self, block: &Block, slots: &mut [f64]) -> bool {
        match block.method {
            Method::Linear => linear::solve(self, block, slots).is_ok(),
            Method::Quadratic => {
                let slot = block.unknowns[0];
                let before = slots[slot];
                let Ok(roots) = scan::quadratic(self, block, slots) else {
                    return false;
                };
                let found = self.nearest(&roots, slot, before, slots);
                slots[slot] = found.unwrap_or(before);
                found.is_some()
            }
            Method::Scan => {
                let slot = block.unknowns[0];
                let before = slots[slot];
                if self.newton_next_to(block, &[before], slots) {
                    return true;
                }
                slots[slot] = before;
                let Ok(roots) = self.roots(block, slots) else {
                    return false;
                };
                let found = self.nearest(&roots, slot, before, slots);
                slots[slot] = found.unwrap_or(before);
                found.is_some()
            }
            Method::Tear { .. } | Method::Search => {
                let before: Root = block.unknowns.iter().map(|&slot| slots[slot]).collect();
                (0..FACTORS.len()).any(|start| {
                    // Not all of them scaled alike, or whole regions stay without a start.
                    let factor = |at: usize| FACTORS[start * (at + 1) % FACTORS.len()];
                    let from = before.iter().enumerate();
                    let from: Root = from.map(|(at, value)| value * factor(at)).collect();
                    self.newton_next_to(block, &from, slots)
                })
            }
        }
    }

    /// Newton's method from one start; true with the root in `slots`, if it lies within the
    /// ranges.
    fn newton_next_to(&self, block: &Block, from: &[f64], slots: &mut [f64]) -> bool {
        let from: Root = from.iter().copied().collect();
        let Some(root) = search::newton(self, block, from, slots, &NEAR) else {
            return false;
        };
        put(block, &root, slots);
        let mut unknowns = block.unknowns.iter();
        unknowns.all(|&slot| self.inside(slot, slots) && self.is_within_a_turn(slot, slots))
    }

    /// The root within the range that is nearest to `before`.
    fn nearest(&self, roots: &Roots, slot: usize, before: f64, slots: &mut [f64]) -> Option<f64> {
        let mut best: Option<f64> = None;
        for root in roots {
            let value = root[0];
            slots[slot] = value;
            let is_nearer = |best: f64| (value - before).abs() < (best - before).abs();
            if self.inside(slot, slots) && best.is_none_or(is_nearer) {
                best = Some(value);
            }
        }
        best
    }

    /// Angles without a range are sought within half a turn either way.
    fn is_within_a_turn(&self, slot: usize, slots: &[f64]) -> bool {
        let range = &self.ranges[slot];
        let is_open = range.above.is_none() && range.below.is_none();
        !(self.angles[slot] && is_open) || slots[slot].abs() <= HALF_TURN
    }
}
