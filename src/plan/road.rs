//! Finds the roads to a part's answer.
//!
//! In: the equations, what is known (givens, and the answers of other parts) and keys of sample
//! draws. Out: every smallest set of equations that determines the answer, in the order
//! they are solved; sets of one value for all entries are one road, and the four shortest count,
//! since each further road is another chance for wrong work to fit by luck.

use std::collections::BTreeSet;

use crate::formula::order::{Block, Order};
use crate::formula::solve::Solver;
use crate::formula::tape::{SLOTS, SlotSet};
use crate::quantity::NOISE;

/// How many roads of a part count.
pub const MOST_ROADS: usize = 4;

/// How many sets of equations are looked at before the search is cut short.
const MOST_SETS: usize = 20_000;

/// How many equations a road may have.
pub(crate) const LONGEST_ROAD: usize = 10;

/// How many answers of other parts a road may start from.
pub const MOST_INPUTS: usize = 16;

/// One way to get an answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Road {
    /// Its equations, in file order.
    pub equations: Vec<usize>,
    /// The order they are solved in.
    pub order: Order,
    /// Slots of the other parts' answers that it starts from.
    pub inputs: SlotSet,
    /// Slots of the unknowns solved on the way, before the answer.
    pub hidden: SlotSet,
    /// The slot of the answer.
    pub target: usize,
}

impl Road {
    /// How much work it is to walk once and, for what rounding does on it, once more either way for all it
    /// starts from and passes; in the measure of [`Order::work`].
    pub fn work(&self) -> u64 {
        let moved = self.inputs.len() + self.hidden.len();
        self.order.work() * (1 + 2 * moved as u64)
    }

    /// The value at the end of the road that is nearest to `near`, for givens and inputs in `slots`, which
    /// is left holding all values on the way; `None` where there is no solution. `nudge` moves one hidden
    /// unknown as soon as it is solved.
    pub fn value(
        &self,
        solver: &Solver,
        slots: &mut [f64],
        nudge: Option<(usize, f64)>,
        near: f64,
    ) -> Option<f64> {
        if let Some(outcome) = solver.only_solution(&self.order, slots, nudge) {
            outcome.ok()?;
            return Some(slots[self.target]).filter(|value| value.is_finite());
        }
        let mut best: Option<f64> = None;
        let mut kept = [0.0; SLOTS];
        let count = slots.len();
        let outcome = solver.solutions(&self.order, slots, nudge, &mut |solution| {
            let value = solution[self.target];
            let closer = |best: f64| (value - near).abs() < (best - near).abs();
            if value.is_finite() && best.is_none_or(closer) {
                best = Some(value);
                kept[..count].copy_from_slice(solution);
            }
        });
        outcome.ok()?;
        slots.copy_from_slice(&kept[..count]);
        best
    }
}

impl Road {
    /// The value at the end of the road next to the solution that stands in `slots`, in which those in
    /// `changed` were set to other values since; equations from number `holding` on did not hold for it.
    /// `slots` is left holding all values on the way.
    pub fn value_next_to(
        &self,
        solver: &Solver,
        slots: &mut [f64],
        (changed, holding): (SlotSet, usize),
    ) -> Option<f64> {
        let is_solved = solver.solve_next_to(&self.order.blocks, slots, changed, holding);
        Some(slots[self.target]).filter(|value| is_solved && value.is_finite())
    }

    /// How far the end of the road moves when the value in `slot` moves by `by`, to first order; `slots`
    /// holds the solution on it and is left as it was.
    pub fn moved_by(
        &self,
        solver: &Solver,
        slots: &mut [f64],
        slot: usize,
        by: f64,
    ) -> Option<f64> {
        let mut before = [0.0; SLOTS];
        let count = slots.len();
        before[..count].copy_from_slice(slots);
        let end = slots[self.target];
        let yields = |block: &Block| block.unknowns.contains(&slot);
        let from = self.order.blocks.iter().position(yields);
        let blocks = &self.order.blocks[from.map_or(0, |block| block + 1)..];
        slots[slot] += by;
        let is_solved = solver.solve_next_to(blocks, slots, SlotSet::of(slot), usize::MAX);
        let moved = (slots[self.target] - end).abs();
        slots.copy_from_slice(&before[..count]);
        is_solved.then_some(moved).filter(|moved| moved.is_finite())
    }
}

/// What to look for.
pub(super) struct Wanted<'a> {
    pub(super) solver: &'a Solver,
    /// Equations that may be used.
    pub(super) allowed: &'a [usize],
    /// Slots of all unknowns.
    pub(super) unknowns: SlotSet,
    /// Unknowns that count as known: other parts' answers.
    pub(super) known: SlotSet,
    /// The slot of the answer.
    pub(super) target: usize,
    /// At least one of these must be used (none named: any road will do).
    pub(super) must: &'a [usize],
    /// Keys of sample draws: all slots filled.
    pub(super) keys: &'a [Vec<f64>],
}

/// The roads, and whether the search was cut short.
pub(super) struct Found {
    pub(super) roads: Vec<Road>,
    pub(super) cut_short: bool,
}

/// Every road, shortest first, then in file order.
pub(super) fn search(wanted: &Wanted<'_>) -> Found {
    let mut level: BTreeSet<Vec<usize>> = wanted
        .allowed
        .iter()
        .filter(|&&equation| wanted.solver.tapes[equation].uses().has(wanted.target))
        .map(|&equation| vec![equation])
        .collect();
    let mut found = Found {
        roads: Vec::new(),
        cut_short: false,
    };
    let mut looked_at = 0;
    while !level.is_empty() {
        let mut next = BTreeSet::new();
        for set in &level {
            looked_at += 1;
            if looked_at > MOST_SETS {
                found.cut_short = true;
                return found;
            }
            if found
                .roads
                .iter()
                .any(|road| road.equations.iter().all(|e| set.contains(e)))
            {
                continue;
            }
            let open = open_unknowns(wanted, set);
            if open.len() == set.len() {
                found.roads.extend(road(wanted, set, open));
            } else if open.len() > set.len() {
                if set.len() == LONGEST_ROAD {
                    found.cut_short = true;
                    continue;
                }
                next.extend(grown(wanted, set, open));
            }
        }
        level = next;
    }
    let before = found.roads.len();
    found.roads.retain(|road| road.inputs.len() <= MOST_INPUTS);
    found.cut_short |= found.roads.len() < before;
    if !wanted.must.is_empty() {
        found
            .roads
            .retain(|road| road.equations.iter().any(|e| wanted.must.contains(e)));
    }
    found
}

/// The unknowns that a set of equations leaves to be solved.
fn open_unknowns(wanted: &Wanted<'_>, set: &[usize]) -> SlotSet {
    let used = set.iter().fold(SlotSet::default(), |used, &e| {
        used.or(wanted.solver.tapes[e].uses())
    });
    used.and(wanted.unknowns)
        .without(wanted.known)
        .or(SlotSet::of(wanted.target))
}

/// The sets one equation larger that share an open unknown.
fn grown<'a>(
    wanted: &'a Wanted<'_>,
    set: &'a [usize],
    open: SlotSet,
) -> impl Iterator<Item = Vec<usize>> + 'a {
    let joins = move |equation: &&usize| {
        !set.contains(equation) && !wanted.solver.tapes[**equation].uses().and(open).is_empty()
    };
    wanted.allowed.iter().filter(joins).map(|&equation| {
        let mut larger = set.to_vec();
        larger.push(equation);
        larger.sort_unstable();
        larger
    })
}

/// Whether a set of equations looks square and yet is not: one of them says what the others say. A
/// slip put into such a set meets its own right counterpart, which no student's work does.
pub(super) fn is_hollow(wanted: &Wanted<'_>, set: &[usize]) -> bool {
    let open = open_unknowns(wanted, set);
    open.len() == set.len() && road(wanted, set, open).is_none()
}

/// The road over a square set, if its equations are independent at the sample keys.
fn road(wanted: &Wanted<'_>, set: &[usize], open: SlotSet) -> Option<Road> {
    let order = Order::of(&wanted.solver.tapes, set, open)?;
    let regular = |slots: &Vec<f64>| {
        order
            .blocks
            .iter()
            .all(|block| wanted.solver.is_regular(block, slots))
    };
    if !wanted.keys.iter().all(regular) {
        return None;
    }
    let used = set.iter().fold(SlotSet::default(), |used, &e| {
        used.or(wanted.solver.tapes[e].uses())
    });
    let mut hidden = SlotSet::default();
    for block in &order.blocks {
        if block.unknowns.contains(&wanted.target) {
            break;
        }
        hidden = hidden.or(block.unknowns.iter().copied().collect());
    }
    Some(Road {
        equations: set.to_vec(),
        inputs: used.and(wanted.known).without(SlotSet::of(wanted.target)),
        hidden,
        target: wanted.target,
        order,
    })
}

/// Leaves one road of each value: what they give for entries that are slightly off, each by its
/// own amount, tells them apart. Only roads from the same answers can be one.
pub(super) fn distinct(solver: &Solver, roads: Vec<Road>, keys: &[Vec<f64>]) -> Vec<Road> {
    let mut kept: Vec<(Road, Option<Vec<Option<f64>>>)> = Vec::new();
    for (at, road) in roads.iter().enumerate() {
        let alone = roads
            .iter()
            .enumerate()
            .all(|(other, twin)| other == at || twin.inputs != road.inputs);
        let signature = (!alone).then(|| signature(solver, road, keys));
        let known = |(_, known): &(Road, Option<Vec<Option<f64>>>)| match (known, &signature) {
            (Some(known), Some(signature)) => same(known, signature),
            _ => false,
        };
        if !kept.iter().any(known) {
            kept.push((road.clone(), signature));
        }
    }
    kept.into_iter().map(|(road, _)| road).collect()
}

fn signature(solver: &Solver, road: &Road, keys: &[Vec<f64>]) -> Vec<Option<f64>> {
    let mut values = Vec::new();
    for key in keys.iter().take(5) {
        for pattern in 0..2 {
            let mut slots = key.clone();
            for slot in road.inputs.iter() {
                let share = 0.004 * ((slot * 7 + pattern * 5) % 11 + 1) as f64;
                let size = if key[slot] == 0.0 {
                    solver.scales[slot]
                } else {
                    key[slot]
                };
                slots[slot] += share * size;
            }
            values.push(road.value(solver, &mut slots, None, key[road.target]));
        }
    }
    values
}

fn same(left: &[Option<f64>], right: &[Option<f64>]) -> bool {
    let near = |(l, r): (&Option<f64>, &Option<f64>)| match (l, r) {
        (Some(l), Some(r)) => (l - r).abs() <= NOISE * l.abs().max(r.abs()),
        (None, None) => true,
        _ => false,
    };
    left.iter().zip(right).all(near) && left.iter().any(Option::is_some)
}
