//! Solves equations block by block.
//!
//! In: compiled equations, an [`Order`], ranges of the unknowns and slots filled with what is
//! known. Out: every solution within the ranges, each handed to a visitor with all slots filled;
//! or the [`Trouble`] that left none. Linear blocks and squares are solved completely, a block of
//! one unknown (or one that can be held so that the rest is linear) is scanned over its whole
//! range, and other blocks are searched from many starts, where no one can promise that no
//! further root exists. Nothing is refused here: that a problem must have one solution, its
//! caller decides.

mod linear;
mod near;
mod scan;
mod search;

use arrayvec::ArrayVec;

use super::order::{Block, LARGEST_BLOCK, Method, Order};
use super::tape::Tape;

/// How many roots of one block are followed up.
const MOST_ROOTS: usize = 16;

/// How many solutions are reported in all.
const MOST_SOLUTIONS: usize = 64;

/// Left and right side count as equal when they differ by less than this share of the terms.
pub const CONSISTENT: f64 = 1e-9;

/// Half a turn and a bit, so that rounding does not put what is half a turn outside.
const HALF_TURN: f64 = std::f64::consts::PI * (1.0 + 1e-9);

/// One root of a block: the values of its unknowns, in their order.
type Root = ArrayVec<f64, LARGEST_BLOCK>;
type Roots = ArrayVec<Root, MOST_ROOTS>;

/// Why a block has no solution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// No value within the range satisfies it.
    NoRoot,
    /// The equations do not determine the unknowns.
    Singular,
    /// A result is infinite or not a number.
    NotFinite,
}

/// No solution: which block failed, and why.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Trouble {
    /// Index of the block in the order.
    pub block: usize,
    /// What was wrong.
    pub why: Why,
}

/// The range of an unknown; either end open where nothing is said. Strict at both ends.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Range {
    /// Values lie above this.
    pub above: Option<Tape>,
    /// Values lie below this.
    pub below: Option<Tape>,
}

/// The equations of a problem with what is needed to solve any square set of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Solver {
    /// The equations, as left minus right.
    pub tapes: Vec<Tape>,
    /// For each slot the range of its unknown (open for givens).
    pub ranges: Vec<Range>,
    /// For each slot the size of its unit in SI units: where roots are looked for first.
    pub scales: Vec<f64>,
    /// For each slot whether it is an angle, sought within half a turn either way.
    pub angles: Vec<bool>,
}

/// A slot that is moved by an amount as soon as it is solved, to see what that does.
pub type Nudge = Option<(usize, f64)>;

impl Solver {
    /// Visits every solution of `order` within the ranges. `slots` holds the known values and is
    /// left holding whatever came last.
    ///
    /// # Errors
    /// The trouble of the block that failed last, where there is no solution at all.
    pub fn solutions(
        &self,
        order: &Order,
        slots: &mut [f64],
        nudge: Nudge,
        visit: &mut dyn FnMut(&[f64]),
    ) -> Result<(), Trouble> {
        let mut found = 0;
        let mut trouble = Trouble {
            block: 0,
            why: Why::NoRoot,
        };
        let mut run = Run {
            solver: self,
            order,
            nudge,
            visit,
            found: &mut found,
            trouble: &mut trouble,
        };
        run.descend(0, slots);
        if found > 0 { Ok(()) } else { Err(trouble) }
    }

    /// Whether equation `equation` holds for the values in `slots`.
    pub fn holds(&self, equation: usize, slots: &[f64]) -> bool {
        let (value, size) = self.tapes[equation].sized(slots);
        value.abs() <= CONSISTENT * size
    }

    /// Whether the value in `slot` is strictly inside its range.
    fn inside(&self, slot: usize, slots: &[f64]) -> bool {
        let value = slots[slot];
        let clear = |limit: f64| 1e-9 * value.abs().max(limit.abs()).max(1e-6 * self.scales[slot]);
        let range = &self.ranges[slot];
        let above = range.above.as_ref().map(|tape| tape.value(slots));
        let below = range.below.as_ref().map(|tape| tape.value(slots));
        above.is_none_or(|limit| value > limit + clear(limit))
            && below.is_none_or(|limit| value < limit - clear(limit))
    }

    /// Whether the equations of `block` determine its unknowns at the values in `slots`, judged
    /// by the rank of their derivatives.
    pub fn is_regular(&self, block: &Block, slots: &[f64]) -> bool {
        linear::step(self, block, slots).is_some()
    }

    /// Solves `order` where all its blocks are linear, so that there is one solution at most, and
    /// leaves `slots` holding it. `None` where some block is not linear.
    pub fn only_solution(
        &self,
        order: &Order,
        slots: &mut [f64],
        nudge: Nudge,
    ) -> Option<Result<(), Trouble>> {
        let linear = order.blocks.iter().all(|b| b.method == Method::Linear);
        linear.then(|| self.solutions(order, slots, nudge, &mut |_| {}))
    }

    fn roots(&self, block: &Block, slots: &mut [f64]) -> Result<Roots, Why> {
        let roots = match &block.method {
            Method::Linear => {
                linear::solve(self, block, slots)?;
                let root = block.unknowns.iter().map(|&slot| slots[slot]).collect();
                return Ok(one(root));
            }
            Method::Quadratic => scan::quadratic(self, block, slots),
            Method::Scan => scan::scan(self, block.unknowns[0], slots, &mut |x, slots| {
                slots[block.unknowns[0]] = x;
                Some(self.tapes[block.equations[0]].sized(slots))
            }),
            Method::Tear {
                held,
                rest,
                left_over,
            } => scan::scan(self, *held, slots, &mut |x, slots| {
                slots[*held] = x;
                for block in rest {
                    linear::solve(self, block, slots).ok()?;
                }
                Some(self.tapes[*left_over].sized(slots))
            })
            .map(|held_roots| self.complete(block, &held_roots, slots)),
            Method::Search => search::search(self, block, slots),
        }?;
        let mut polished = Roots::new();
        for root in &roots {
            let root = self.polish(block, root, slots);
            let twice = polished.iter().any(|known| alike(known, &root));
            if !twice && polished.try_push(root).is_err() {
                break;
            }
        }
        if polished.is_empty() {
            Err(Why::NoRoot)
        } else {
            Ok(polished)
        }
    }

    /// The values of all unknowns of a torn block, for each value of the one that was held.
    fn complete(&self, block: &Block, held_roots: &Roots, slots: &mut [f64]) -> Roots {
        let Method::Tear { held, rest, .. } = &block.method else {
            return Roots::new();
        };
        let mut roots = Roots::new();
        for root in held_roots {
            slots[*held] = root[0];
            let solved = rest
                .iter()
                .all(|inner| linear::solve(self, inner, slots).is_ok());
            if solved {
                roots.push(block.unknowns.iter().map(|&slot| slots[slot]).collect());
            }
        }
        roots
    }

    /// Two steps of Newton's method, kept only where they lead closer.
    fn polish(&self, block: &Block, root: &Root, slots: &mut [f64]) -> Root {
        let mut best = root.clone();
        let mut error = self.error(block, &best, slots);
        for _ in 0..2 {
            put(block, &best, slots);
            let Some(step) = linear::step(self, block, slots) else {
                break;
            };
            let next: Root = best.iter().zip(&step).map(|(x, s)| x + s).collect();
            let next_error = self.error(block, &next, slots);
            if next_error.is_nan() || next_error >= error {
                break;
            }
            best = next;
            error = next_error;
        }
        best
    }

    /// The largest residual of a block as a share of its terms.
    fn error(&self, block: &Block, root: &Root, slots: &mut [f64]) -> f64 {
        put(block, root, slots);
        block.equations.iter().fold(0.0, |worst: f64, &equation| {
            let (value, size) = self.tapes[equation].sized(slots);
            let share = if size == 0.0 { 0.0 } else { value.abs() / size };
            if share.is_nan() {
                f64::INFINITY
            } else {
                worst.max(share)
            }
        })
    }
}

fn one(root: Root) -> Roots {
    let mut roots = Roots::new();
    roots.push(root);
    roots
}

fn put(block: &Block, root: &[f64], slots: &mut [f64]) {
    for (&slot, &value) in block.unknowns.iter().zip(root) {
        slots[slot] = value;
    }
}

fn alike(left: &Root, right: &Root) -> bool {
    let size = left
        .iter()
        .chain(right)
        .fold(0.0_f64, |most, x| most.max(x.abs()));
    left.iter()
        .zip(right)
        .all(|(l, r)| (l - r).abs() <= 1e-8 * l.abs().max(r.abs()).max(1e-6 * size))
}

/// One walk through the blocks, branching where a block has several roots.
struct Run<'a> {
    solver: &'a Solver,
    order: &'a Order,
    nudge: Nudge,
    visit: &'a mut dyn FnMut(&[f64]),
    found: &'a mut usize,
    trouble: &'a mut Trouble,
}

impl Run<'_> {
    fn descend(&mut self, at: usize, slots: &mut [f64]) {
        if *self.found >= MOST_SOLUTIONS {
            return;
        }
        let mut at = at;
        // Linear blocks have one root, which goes straight into its slots.
        while let Some(block) = self.order.blocks.get(at)
            && block.method == Method::Linear
        {
            if let Err(why) = linear::solve(self.solver, block, slots) {
                return self.fail(at, why);
            }
            self.nudge(block, slots);
            at += 1;
        }
        let Some(block) = self.order.blocks.get(at) else {
            // Ranges may depend on unknowns of later blocks, so they are judged at the end.
            let outside = self.order.blocks.iter().enumerate().find(|(_, block)| {
                block
                    .unknowns
                    .iter()
                    .any(|&slot| !self.solver.inside(slot, slots))
            });
            match outside {
                Some((block, _)) => self.fail(block, Why::NoRoot),
                None => {
                    *self.found += 1;
                    (self.visit)(slots);
                }
            }
            return;
        };
        let roots = match self.solver.roots(block, slots) {
            Ok(roots) => roots,
            Err(why) => return self.fail(at, why),
        };
        for root in &roots {
            put(block, root, slots);
            self.nudge(block, slots);
            self.descend(at + 1, slots);
        }
    }

    /// Moves the unknown that is to be moved, if this block gave it.
    fn nudge(&self, block: &Block, slots: &mut [f64]) {
        if let Some((slot, by)) = self.nudge
            && block.unknowns.contains(&slot)
        {
            slots[slot] += by;
        }
    }

    /// The block furthest on tells most about what is wrong.
    fn fail(&mut self, block: usize, why: Why) {
        if block >= self.trouble.block {
            *self.trouble = Trouble { block, why };
        }
    }
}
