//! Formulas compiled for speed: a tape of operations over numbered slots.
//!
//! In: a tree and what its names stand for. Out: a [`Tape`], made once for an assignment and run
//! for every student without allocating. One interpreter, [`Tape::run`], serves several kinds of
//! [`Number`]: plain values, values with a derivative ([`Dual`], forward differentiation, exact),
//! values with the size of the terms they came from ([`Weighed`]), and the degree in some unknowns
//! ([`Degree`]). Refused: formulas that grow beyond [`LONGEST`] operations once names are put in.

mod compile;
mod degree;
mod dual;
mod number;
mod slots;
mod weighed;

use arrayvec::ArrayVec;

use super::tree::Function;
use degree::Degree;
use dual::Dual;
use number::Number;
use weighed::Weighed;

pub use compile::{Meaning, Measure};
pub use slots::{SLOTS, SlotSet};

/// How many operations one formula may have with its derived names put in.
pub const LONGEST: usize = 4000;

/// How many intermediate values may wait at once.
const STACK: usize = 160;

#[derive(Clone, Copy, Debug, PartialEq)]
enum Op {
    Constant(f64),
    Slot(u16),
    /// A slot times a constant: the number as printed.
    Scaled(u16, f64),
    Negate,
    Add,
    Subtract,
    Multiply,
    Divide,
    PowerInteger(i32),
    PowerReal(f64),
    Power,
    Call(Function),
}

/// A compiled formula.
#[derive(Clone, Debug, PartialEq)]
pub struct Tape {
    ops: Box<[Op]>,
    uses: SlotSet,
}

/// The formula is too long or nests too deep once derived names are put in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "with its derived names put in, this formula has more than {LONGEST} operations or nests too deep"
)]
pub struct TooLong;

impl Tape {
    /// The slots it reads.
    pub fn uses(&self) -> SlotSet {
        self.uses
    }

    /// Its value.
    pub fn value(&self, slots: &[f64]) -> f64 {
        self.run(|slot| slots[slot])
    }

    /// Its value, and its derivative with respect to the slot `along`.
    pub fn slope(&self, slots: &[f64], along: usize) -> (f64, f64) {
        let dual = self.run(|slot| Dual(slots[slot], if slot == along { 1.0 } else { 0.0 }));
        (dual.0, dual.1)
    }

    /// Its value, and the size of the terms it was summed from: what "nearly zero" is measured by.
    pub fn sized(&self, slots: &[f64]) -> (f64, f64) {
        let sized = self.run(|slot| Weighed(slots[slot], slots[slot].abs()));
        (sized.0, sized.1)
    }

    /// Its degree as a polynomial in `unknowns`; `None` where it is no polynomial in them.
    pub fn degree(&self, unknowns: SlotSet) -> Option<u32> {
        self.run(|slot| Degree(Some(u32::from(unknowns.has(slot)))))
            .0
    }

    /// A tape of `ops`, if they never let more values wait than there is room for.
    fn balanced(ops: Vec<Op>) -> Result<Self, TooLong> {
        let mut depth = 0_usize;
        let mut deepest = 0;
        let mut uses = SlotSet::default();
        for op in &ops {
            match *op {
                Op::Slot(at) | Op::Scaled(at, _) => {
                    uses = uses.or(SlotSet::of(usize::from(at)));
                    depth += 1;
                }
                Op::Constant(_) => depth += 1,
                Op::Add | Op::Subtract | Op::Multiply | Op::Divide | Op::Power => depth -= 1,
                Op::Call(Function::Min | Function::Max | Function::Atan2) => depth -= 1,
                Op::Negate | Op::PowerInteger(_) | Op::PowerReal(_) | Op::Call(_) => {}
            }
            deepest = deepest.max(depth);
        }
        if deepest > STACK {
            Err(TooLong)
        } else {
            Ok(Self {
                ops: ops.into(),
                uses,
            })
        }
    }

    /// Runs the tape over one kind of number.
    fn run<N: Number>(&self, slot: impl Fn(usize) -> N) -> N {
        let mut stack: ArrayVec<N, STACK> = ArrayVec::new();
        for op in &self.ops {
            let value = match *op {
                Op::Constant(value) => N::constant(value),
                Op::Slot(at) => slot(usize::from(at)),
                Op::Scaled(at, factor) => slot(usize::from(at)).multiply(N::constant(factor)),
                Op::Negate => pop(&mut stack).negate(),
                Op::PowerInteger(exponent) => pop(&mut stack).power_integer(exponent),
                Op::PowerReal(exponent) => pop(&mut stack).power(N::constant(exponent)),
                Op::Call(function @ (Function::Min | Function::Max | Function::Atan2)) => {
                    let right = pop(&mut stack);
                    pop(&mut stack).call_two(function, right)
                }
                Op::Call(function) => pop(&mut stack).call(function),
                Op::Add | Op::Subtract | Op::Multiply | Op::Divide | Op::Power => {
                    let right = pop(&mut stack);
                    let left = pop(&mut stack);
                    match op {
                        Op::Add => left.add(right),
                        Op::Subtract => left.add(right.negate()),
                        Op::Multiply => left.multiply(right),
                        Op::Divide => left.divide(right),
                        _ => left.power(right),
                    }
                }
            };
            stack.push(value);
        }
        pop(&mut stack)
    }
}

/// The compiler balances the stack; an empty one can only mean "nothing known".
fn pop<N: Number>(stack: &mut ArrayVec<N, STACK>) -> N {
    stack.pop().unwrap_or_else(|| N::constant(f64::NAN))
}
