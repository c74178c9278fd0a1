//! Which way a person would take.
//!
//! In: an unknown to be found, and what is known by then. Out: the stages that lead there. Of all smallest
//! sets of equations the one is taken that is least work: few equations, solved one after the other, each
//! with its unknown alone on one side if it can be, short ones before long ones. What is found on the way
//! is known from there on.

use crate::formula::order::{Block, Method};
use crate::formula::tape::SlotSet;
use crate::plan::Road;

use super::Stage;
use super::board::Board;

impl Board<'_> {
    /// The stages that lead to the unknown in `target`, by the equations of `by` alone where it names some.
    pub(super) fn lead(
        &self,
        target: usize,
        by: Option<&[Vec<usize>]>,
        known: &mut SlotSet,
    ) -> Vec<Stage> {
        if known.has(target) {
            return Vec::new();
        }
        let all: Vec<usize> = (0..self.problem.equations).collect();
        let named = by.map(|sets| {
            let mut named: Vec<usize> = sets.iter().flatten().copied().collect();
            named.sort_unstable();
            named.dedup();
            named
        });
        let road = named
            .and_then(|named| self.easiest(&named, target, *known))
            .or_else(|| self.easiest(&all, target, *known));
        let blocks = match &road {
            Some(road) => &road.order.blocks[..],
            // The search was cut short: the order of the key leads there as well.
            None => &self.problem.key.blocks[..],
        };
        let mut stages = Vec::new();
        for block in blocks {
            let found: SlotSet = block.unknowns.iter().copied().collect();
            if !found.without(*known).is_empty() {
                stages.push(match (&block.equations[..], &block.unknowns[..]) {
                    ([equation], [slot]) => self.single(*equation, *slot),
                    _ => self.several(block, target),
                });
                *known = known.or(found);
            }
            if known.has(target) {
                break;
            }
        }
        stages
    }

    /// The way that is least work.
    fn easiest(&self, allowed: &[usize], target: usize, known: SlotSet) -> Option<Road> {
        let slots = &self.key.slots;
        let ways = self.problem.ways(allowed, known, target, slots);
        ways.into_iter().min_by_key(|road| {
            let blocks = road.order.blocks.iter();
            blocks.map(|block| self.work(block)).sum::<usize>()
        })
    }

    /// How much work a block is, in terms written.
    fn work(&self, block: &Block) -> usize {
        let written: usize = block.equations.iter().map(|&at| self.length(at)).sum();
        let effort = match (&block.method, &block.unknowns[..]) {
            (Method::Linear, [_]) => 10,
            (Method::Linear, several) => 40 * several.len(),
            (Method::Quadratic, _) => 30,
            (Method::Scan, _) => 40,
            (Method::Tear { .. } | Method::Search, several) => 100 * several.len(),
        };
        effort + written
    }

    /// How long an equation is.
    fn length(&self, equation: usize) -> usize {
        let mut length = 0;
        if let Some(named) = self.assignment.equations.get(equation) {
            named.item.left.walk(&mut |_| length += 1);
            named.item.right.walk(&mut |_| length += 1);
        }
        length
    }
}
