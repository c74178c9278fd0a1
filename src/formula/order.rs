//! Splits a square set of equations into the smallest blocks that can be solved in turn.
//!
//! In: compiled equations and the slots that are unknown. Out: an [`Order`]: blocks, each with
//! its equations, the unknowns it yields and how it is solved; or nothing, where no one-to-one
//! pairing of equations and unknowns exists (too few or too many equations, or some say the same
//! of the same unknowns). Purely structural; whether the numbers allow it, `solve` finds out.

use super::tape::{SlotSet, Tape};

/// The largest number of unknowns that may have to be solved at once.
pub const LARGEST_BLOCK: usize = 12;

/// Equations that are solved together.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// Indices of the equations, in the order of the file.
    pub equations: Vec<usize>,
    /// Slots of the unknowns, as many as there are equations.
    pub unknowns: Vec<usize>,
    /// How they are solved.
    pub method: Method,
}

/// How a block is solved.
#[derive(Clone, Debug, PartialEq)]
pub enum Method {
    /// Linear in its unknowns: by elimination, exactly one solution or none.
    Linear,
    /// One unknown, a polynomial of degree two in it: both roots from the formula.
    Quadratic,
    /// One unknown: every change of sign over its range.
    Scan,
    /// With one unknown held, the others follow by linear blocks; the equation left over is
    /// scanned over that unknown.
    Tear {
        /// The slot that is held.
        held: usize,
        /// The others, in order; all linear.
        rest: Vec<Block>,
        /// The equation left over.
        left_over: usize,
    },
    /// Newton's method from many starts: roots are found, none can be excluded.
    Search,
}

/// A square set of equations, in the order they are solved.
#[derive(Clone, Debug, PartialEq)]
pub struct Order {
    /// The blocks, each needing only what those before it yield.
    pub blocks: Vec<Block>,
}

impl Order {
    /// The order for the equations `set` of `tapes` in exactly the slots `unknowns`; `None` where
    /// they cannot be paired or more than [`LARGEST_BLOCK`] would have to be solved at once.
    pub fn of(tapes: &[Tape], set: &[usize], unknowns: SlotSet) -> Option<Self> {
        blocks(tapes, set, unknowns, Block::new).map(|blocks| Self { blocks })
    }

    /// Slots that it yields.
    pub fn unknowns(&self) -> SlotSet {
        self.blocks
            .iter()
            .flat_map(|block| block.unknowns.iter().copied())
            .collect()
    }

    /// Whether some block takes hundreds of evaluations instead of a few.
    pub fn is_dear(&self) -> bool {
        let dear = |block: &Block| !matches!(block.method, Method::Linear | Method::Quadratic);
        self.blocks.iter().any(dear)
    }

    /// How much work it is to solve again next to an old solution, at most: about how many equations are
    /// evaluated. A count, so that it is the same on every machine.
    pub fn work(&self) -> u64 {
        self.blocks.iter().map(Block::work).sum()
    }

    /// Whether some block can only be searched, so that "none other found" is all one can say.
    pub fn is_searched(&self) -> bool {
        self.blocks
            .iter()
            .any(|block| block.method == Method::Search)
    }
}

/// Places at which a block that is scanned is looked at, those that close in on a root among them.
const SCANNED: u64 = 350;

/// Steps of Newton's method next to an old solution, over all its starts, where none leads to a root: most
/// give up early.
const SEARCHED: u64 = 60;

impl Block {
    /// About how many equations are evaluated to solve it next to an old solution.
    fn work(&self) -> u64 {
        let equations = self.equations.len() as u64;
        match &self.method {
            Method::Linear => 2 * equations,
            Method::Quadratic => 3,
            Method::Scan => SCANNED,
            // Each step solves for the derivatives and tries several shares of itself.
            Method::Tear { .. } | Method::Search => SEARCHED * equations * (equations + 5),
        }
    }

    fn new(tapes: &[Tape], equations: Vec<usize>, unknowns: Vec<usize>) -> Option<Self> {
        if unknowns.len() > LARGEST_BLOCK {
            return None;
        }
        let set: SlotSet = unknowns.iter().copied().collect();
        let degree = equations
            .iter()
            .map(|&e| tapes[e].degree(set))
            .try_fold(0, |most, degree| degree.map(|degree| degree.max(most)));
        let method = match (degree, unknowns.len()) {
            (Some(0 | 1), _) => Method::Linear,
            (Some(2), 1) => Method::Quadratic,
            (_, 1) => Method::Scan,
            _ => tear(tapes, &equations, set).unwrap_or(Method::Search),
        };
        Some(Self {
            equations,
            unknowns,
            method,
        })
    }

    /// The block, if it is linear.
    fn linear(tapes: &[Tape], equations: Vec<usize>, unknowns: Vec<usize>) -> Option<Self> {
        let set: SlotSet = unknowns.iter().copied().collect();
        let linear = equations
            .iter()
            .all(|&e| matches!(tapes[e].degree(set), Some(0 | 1)));
        linear.then_some(Self {
            equations,
            unknowns,
            method: Method::Linear,
        })
    }
}

/// Holds one unknown so that the rest is linear, if there is such a one.
fn tear(tapes: &[Tape], equations: &[usize], unknowns: SlotSet) -> Option<Method> {
    for held in unknowns.iter() {
        for (at, &left_over) in equations.iter().enumerate() {
            let mut others = equations.to_vec();
            others.remove(at);
            let free = unknowns.without(SlotSet::of(held));
            if let Some(rest) = blocks(tapes, &others, free, Block::linear) {
                return Some(Method::Tear {
                    held,
                    rest,
                    left_over,
                });
            }
        }
    }
    None
}

/// Makes a block of equations and the slots they yield, if it can be one.
type Make = fn(&[Tape], Vec<usize>, Vec<usize>) -> Option<Block>;

/// The equations `set` in turn, each block made by `make`; `None` as soon as one cannot be made.
fn blocks(tapes: &[Tape], set: &[usize], unknowns: SlotSet, make: Make) -> Option<Vec<Block>> {
    if set.len() != unknowns.len() {
        return None;
    }
    let uses: Vec<SlotSet> = set.iter().map(|&e| tapes[e].uses().and(unknowns)).collect();
    let matched = pairing(&uses)?;
    let mut blocks = Vec::new();
    let mut left: Vec<usize> = (0..set.len()).collect();
    while !left.is_empty() {
        // The smallest closure under "needs the equation paired with" is a block by itself.
        let smallest = left
            .iter()
            .map(|&s| closure(s, &uses, &matched, &left))
            .min_by_key(Vec::len)?;
        left.retain(|equation| !smallest.contains(equation));
        let mut slots: Vec<usize> = smallest.iter().map(|&e| matched[e]).collect();
        slots.sort_unstable();
        blocks.push(make(
            tapes,
            smallest.iter().map(|&e| set[e]).collect(),
            slots,
        )?);
    }
    Some(blocks)
}

/// Pairs each equation with an unknown of its own, by augmenting paths (Kuhn); `None` if one
/// stays alone. The result holds, for each equation, its slot.
fn pairing(uses: &[SlotSet]) -> Option<Vec<usize>> {
    let mut owner: Vec<Option<usize>> = vec![None; super::tape::SLOTS];
    for equation in 0..uses.len() {
        let mut seen = SlotSet::default();
        if !augment(equation, uses, &mut owner, &mut seen) {
            return None;
        }
    }
    let mut matched = vec![0; uses.len()];
    for (slot, equation) in owner.iter().enumerate() {
        if let Some(equation) = equation {
            matched[*equation] = slot;
        }
    }
    Some(matched)
}

fn augment(
    equation: usize,
    uses: &[SlotSet],
    owner: &mut [Option<usize>],
    seen: &mut SlotSet,
) -> bool {
    for slot in uses[equation].iter() {
        if seen.has(slot) {
            continue;
        }
        *seen = seen.or(SlotSet::of(slot));
        let free = match owner[slot] {
            None => true,
            Some(other) => augment(other, uses, owner, seen),
        };
        if free {
            owner[slot] = Some(equation);
            return true;
        }
    }
    false
}

/// All equations in `left` that must be solved with or before `start`, in ascending order.
fn closure(start: usize, uses: &[SlotSet], matched: &[usize], left: &[usize]) -> Vec<usize> {
    let mut found = vec![start];
    let mut next = 0;
    while let Some(&equation) = found.get(next) {
        next += 1;
        for &other in left {
            if uses[equation].has(matched[other]) && !found.contains(&other) {
                found.push(other);
            }
        }
    }
    found.sort_unstable();
    found
}
