//! The ways in which a person may get an answer, found without the roads of the plan.
//!
//! In: a prepared problem, keys of some draws, and which unknowns were answered before. Out: every
//! smallest set of equations that gives the answer, from the givens alone or from the answers
//! before, none merged and none left out; and for each set every order of work: where several
//! equations have to be solved at once, also those in which some other unknown is found first,
//! written down, and put into the others.

use paperweight::formula::order::{Block, Order};
use paperweight::formula::solve::Solver;
use paperweight::formula::tape::SlotSet;
use paperweight::plan::{AnswerPlan, Problem};

/// Orders of work kept of one way.
const MOST_WORKS: usize = 48;

/// One step of work.
#[derive(Clone, Debug)]
pub(crate) struct Step {
    /// One block.
    pub(crate) order: Order,
    /// What is written down of its unknowns.
    pub(crate) keeps: Vec<usize>,
}

/// One way to an answer.
#[derive(Clone, Debug)]
pub(crate) struct Way {
    /// Its equations.
    pub(crate) equations: Vec<usize>,
    /// Slots of the answers it starts from.
    pub(crate) inputs: SlotSet,
    /// Slots that it yields.
    pub(crate) open: SlotSet,
    /// Whether the plan has it among its roads, or as the shortest way from the givens.
    pub(crate) prepared: bool,
    /// Orders of work; the first solves each block at a stroke.
    pub(crate) works: Vec<Vec<Step>>,
}

/// All ways to `plan`'s answer.
pub(crate) fn ways(
    problem: &Problem,
    plan: &AnswerPlan,
    before: SlotSet,
    keys: &[Vec<f64>],
) -> Vec<Way> {
    let mut ways = from(problem, plan, SlotSet::default(), keys);
    if !before.is_empty() {
        let carried = from(problem, plan, before, keys);
        ways.extend(carried.into_iter().filter(|way| !way.inputs.is_empty()));
    }
    ways
}

fn from(problem: &Problem, plan: &AnswerPlan, known: SlotSet, keys: &[Vec<f64>]) -> Vec<Way> {
    let solver = &problem.solver;
    let unknowns: SlotSet = (problem.givens..problem.slots()).collect();
    let target = SlotSet::of(plan.slot);
    let known = known.without(target);
    let mut sets: Vec<Vec<usize>> = (1_u32..1 << problem.equations)
        .map(|mask| {
            (0..problem.equations)
                .filter(|e| mask >> e & 1 == 1)
                .collect()
        })
        .collect();
    sets.sort_by_key(Vec::len);
    let mut found: Vec<Way> = Vec::new();
    for set in sets {
        let larger = |way: &Way| way.equations.iter().all(|e| set.contains(e));
        let used = set.iter().fold(SlotSet::default(), |used, &e| {
            used.or(solver.tapes[e].uses())
        });
        let open = used.and(unknowns).without(known).or(target);
        if open.len() != set.len() || !used.has(plan.slot) || found.iter().any(larger) {
            continue;
        }
        let Some(order) = Order::of(&solver.tapes, &set, open) else {
            continue;
        };
        if !is_regular(solver, &order, keys) {
            continue;
        }
        let inputs = used.and(known);
        let own = inputs.is_empty();
        let roads = if own {
            &plan.own[..plan.own.len().min(1)]
        } else {
            &plan.roads[..]
        };
        found.push(Way {
            prepared: roads.iter().any(|road| road.equations == set),
            works: works(solver, &order.blocks, plan.slot, keys),
            equations: set,
            inputs,
            open,
        });
    }
    found
}

/// Every set of equations that gives all unknowns at once.
pub(crate) fn systems(problem: &Problem, keys: &[Vec<f64>]) -> Vec<Vec<usize>> {
    let unknowns: SlotSet = (problem.givens..problem.slots()).collect();
    (1_u32..1 << problem.equations)
        .filter(|mask| mask.count_ones() as usize == unknowns.len())
        .map(|mask| {
            (0..problem.equations)
                .filter(|e| mask >> e & 1 == 1)
                .collect()
        })
        .filter(|set: &Vec<usize>| {
            Order::of(&problem.solver.tapes, set, unknowns)
                .is_some_and(|order| is_regular(&problem.solver, &order, keys))
        })
        .collect()
}

fn is_regular(solver: &Solver, order: &Order, keys: &[Vec<f64>]) -> bool {
    let regular = |key: &Vec<f64>| order.blocks.iter().all(|b| solver.is_regular(b, key));
    keys.iter().all(regular)
}

/// The orders of work through blocks up to the target.
fn works(solver: &Solver, blocks: &[Block], target: usize, keys: &[Vec<f64>]) -> Vec<Vec<Step>> {
    let mut works: Vec<Vec<Step>> = vec![Vec::new()];
    for block in needed(solver, blocks, target) {
        let inner = within(solver, block, target, keys);
        let mut longer = Vec::new();
        for steps in &inner {
            for work in &works {
                longer.push(work.iter().chain(steps).cloned().collect());
            }
        }
        longer.truncate(MOST_WORKS);
        works = longer;
    }
    works
}

/// The blocks that the target needs, in their order.
fn needed<'b>(solver: &Solver, blocks: &'b [Block], target: usize) -> Vec<&'b Block> {
    let mut wanted = SlotSet::of(target);
    let mut kept: Vec<&Block> = Vec::new();
    for block in blocks.iter().rev() {
        let yields: SlotSet = block.unknowns.iter().copied().collect();
        if !yields.and(wanted).is_empty() {
            for &equation in &block.equations {
                wanted = wanted.or(solver.tapes[equation].uses());
            }
            kept.push(block);
        }
    }
    kept.reverse();
    kept
}

/// The orders of work within one block: at a stroke; or one unknown first, then the others from
/// all equations but one.
fn within(solver: &Solver, block: &Block, target: usize, keys: &[Vec<f64>]) -> Vec<Vec<Step>> {
    let step = |keeps: Vec<usize>| Step {
        order: Order {
            blocks: vec![block.clone()],
        },
        keeps,
    };
    let is_last = block.unknowns.contains(&target);
    let stroke = if is_last {
        vec![target]
    } else {
        block.unknowns.clone()
    };
    let mut all = vec![vec![step(stroke)]];
    if block.unknowns.len() < 2 {
        return all;
    }
    let unknowns: SlotSet = block.unknowns.iter().copied().collect();
    for &first in block.unknowns.iter().filter(|&&first| first != target) {
        let open = unknowns.without(SlotSet::of(first));
        for dropped in &block.equations {
            let rest: Vec<usize> = block
                .equations
                .iter()
                .copied()
                .filter(|e| e != dropped)
                .collect();
            let Some(order) = Order::of(&solver.tapes, &rest, open) else {
                continue;
            };
            if !is_regular(solver, &order, keys) {
                continue;
            }
            // Of a block on the way all unknowns may be wanted; the last of them stands for all.
            let aim = if is_last {
                Some(target)
            } else {
                order.blocks.last().and_then(|b| b.unknowns.last().copied())
            };
            let tails = match aim {
                Some(aim) if is_last => works(solver, &order.blocks, aim, keys),
                _ => vec![order.blocks.iter().map(whole).collect()],
            };
            for tail in tails {
                let mut work = vec![step(vec![first])];
                work.extend(tail);
                all.push(work);
            }
        }
    }
    all.truncate(MOST_WORKS);
    all
}

fn whole(block: &Block) -> Step {
    Step {
        order: Order {
            blocks: vec![block.clone()],
        },
        keeps: block.unknowns.clone(),
    }
}
