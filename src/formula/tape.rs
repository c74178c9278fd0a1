//! Formulas compiled for speed: a tape of operations over numbered slots.
//!
//! In: a tree and what its names stand for. Out: a [`Tape`], made once for an assignment and run
//! for every student without allocating. One interpreter, [`Tape::run`], serves several kinds of
//! [`Number`]: plain values, values with a derivative ([`Dual`], forward differentiation, exact),
//! values with the size of the terms they came from ([`Weighed`]), and the degree in some unknowns
//! ([`Degree`]). Refused: formulas that grow beyond [`LONGEST`] operations once names are put in.

use arrayvec::ArrayVec;

use super::tree::{Equation, Expr, Function, Node, Operator};

/// The largest number of slots: givens and unknowns of one problem together.
pub const SLOTS: usize = 128;

/// How many operations one formula may have with its derived names put in.
pub const LONGEST: usize = 4000;

/// How many intermediate values may wait at once.
const STACK: usize = 160;

/// A set of slots.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SlotSet(u128);

impl SlotSet {
    /// The set of `slot` alone. Slots from [`SLOTS`] on are in no set.
    pub fn of(slot: usize) -> Self {
        Self(if slot < SLOTS { 1 << slot } else { 0 })
    }

    /// Whether it holds `slot`.
    pub fn has(self, slot: usize) -> bool {
        slot < SLOTS && self.0 >> slot & 1 == 1
    }

    /// Slots in either.
    pub fn or(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Slots in both.
    pub fn and(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    /// Slots in this one and not in `other`.
    pub fn without(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// How many there are.
    pub fn len(self) -> usize {
        self.0.count_ones() as usize
    }

    /// Whether there are none.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// The slots, smallest first.
    pub fn iter(self) -> impl Iterator<Item = usize> {
        let mut left = self.0;
        std::iter::from_fn(move || {
            let slot = left.trailing_zeros() as usize;
            left &= left.wrapping_sub(1);
            (slot < SLOTS).then_some(slot)
        })
    }
}

impl FromIterator<usize> for SlotSet {
    fn from_iter<I: IntoIterator<Item = usize>>(slots: I) -> Self {
        slots
            .into_iter()
            .fold(Self::default(), |set, slot| set.or(Self::of(slot)))
    }
}

/// What a name stands for when a formula is compiled.
#[derive(Clone, Copy, Debug)]
pub enum Meaning<'a> {
    /// The value in a slot, in coherent SI units.
    Slot(usize),
    /// A derived name: its expression is put in its place.
    Derived(&'a Expr),
}

/// In which units a tape reads its slots and constants.
#[derive(Clone, Copy, Debug)]
pub enum Measure<'a> {
    /// Coherent SI units.
    Si,
    /// The numbers as printed on the paper: the size of each slot's unit in SI units is given
    /// (1 for angles, which count in radians here too).
    Printed(&'a [f64]),
}

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
    /// Compiles an expression. Names without a meaning count as not a number; the dimension
    /// check has reported them before.
    ///
    /// # Errors
    /// [`TooLong`]
    pub fn expr<'a>(
        expr: &'a Expr,
        meaning: &dyn Fn(&str) -> Option<Meaning<'a>>,
        measure: Measure<'_>,
    ) -> Result<Self, TooLong> {
        let mut compiler = Compiler {
            ops: Vec::new(),
            meaning,
            measure,
            depth: 0,
        };
        compiler.expr(expr)?;
        compiler.finish()
    }

    /// Compiles an equation into left minus right, which is zero where it holds.
    ///
    /// # Errors
    /// [`TooLong`]
    pub fn residual<'a>(
        equation: &'a Equation,
        meaning: &dyn Fn(&str) -> Option<Meaning<'a>>,
        measure: Measure<'_>,
    ) -> Result<Self, TooLong> {
        Self::difference(&equation.left, &equation.right, meaning, measure)
    }

    /// Compiles left minus right.
    ///
    /// # Errors
    /// [`TooLong`]
    pub fn difference<'a>(
        left: &'a Expr,
        right: &'a Expr,
        meaning: &dyn Fn(&str) -> Option<Meaning<'a>>,
        measure: Measure<'_>,
    ) -> Result<Self, TooLong> {
        let mut compiler = Compiler {
            ops: Vec::new(),
            meaning,
            measure,
            depth: 0,
        };
        compiler.expr(left)?;
        compiler.expr(right)?;
        compiler.push(Op::Subtract)?;
        compiler.finish()
    }

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

struct Compiler<'a, 'm> {
    ops: Vec<Op>,
    meaning: &'m dyn Fn(&str) -> Option<Meaning<'a>>,
    measure: Measure<'m>,
    depth: usize,
}

impl<'a> Compiler<'a, '_> {
    fn push(&mut self, op: Op) -> Result<(), TooLong> {
        if self.ops.len() >= LONGEST {
            return Err(TooLong);
        }
        self.ops.push(op);
        Ok(())
    }

    fn finish(self) -> Result<Tape, TooLong> {
        Tape::balanced(self.ops)
    }

    fn expr(&mut self, expr: &'a Expr) -> Result<(), TooLong> {
        match &expr.node {
            Node::Number(numeral) => self.push(Op::Constant(numeral.to_f64())),
            Node::Quantity(quantity) => self.push(Op::Constant(match self.measure {
                Measure::Si => quantity.si(),
                // An angle counts in radians even where degrees are printed: the sine of the
                // printed number would be a second mistake.
                Measure::Printed(_) if !quantity.unit.is_angle() => quantity.numeral.to_f64(),
                Measure::Printed(_) => quantity.si(),
            })),
            Node::Pi => self.push(Op::Constant(std::f64::consts::PI)),
            Node::Name(name) => self.name(name),
            Node::Negate(inner) => {
                self.expr(inner)?;
                self.push(Op::Negate)
            }
            Node::Binary(operator, left, right) => {
                self.expr(left)?;
                let op = match operator {
                    Operator::Add => Op::Add,
                    Operator::Subtract => Op::Subtract,
                    Operator::Multiply => Op::Multiply,
                    Operator::Divide => Op::Divide,
                    Operator::Power => return self.power(right),
                };
                self.expr(right)?;
                self.push(op)
            }
            Node::Call(function, arguments) => {
                for argument in arguments {
                    self.expr(argument)?;
                }
                self.push(Op::Call(*function))
            }
        }
    }

    fn name(&mut self, name: &str) -> Result<(), TooLong> {
        match (self.meaning)(name) {
            Some(Meaning::Slot(slot)) => {
                let Ok(at) = u16::try_from(slot) else {
                    return Err(TooLong);
                };
                self.push(match self.measure {
                    Measure::Printed(sizes) => {
                        Op::Scaled(at, 1.0 / sizes.get(slot).unwrap_or(&1.0))
                    }
                    Measure::Si => Op::Slot(at),
                })
            }
            Some(Meaning::Derived(inner)) => {
                if self.depth >= super::parse::DEEPEST {
                    return Err(TooLong);
                }
                self.depth += 1;
                let done = self.expr(inner);
                self.depth -= 1;
                done
            }
            None => self.push(Op::Constant(f64::NAN)),
        }
    }

    /// The exponent, folded where it is a fixed number.
    fn power(&mut self, exponent: &'a Expr) -> Result<(), TooLong> {
        let start = self.ops.len();
        self.expr(exponent)?;
        let tail = Tape {
            ops: self.ops[start..].into(),
            uses: SlotSet::default(),
        };
        let fixed = tail
            .ops
            .iter()
            .all(|op| !matches!(op, Op::Slot(_) | Op::Scaled(..)));
        if !fixed {
            return self.push(Op::Power);
        }
        let value = tail.value(&[]);
        self.ops.truncate(start);
        let whole = value.fract() == 0.0 && value.abs() <= 64.0;
        self.push(if whole {
            Op::PowerInteger(value as i32)
        } else {
            Op::PowerReal(value)
        })
    }
}

/// What a tape can be run over.
trait Number: Copy {
    fn constant(value: f64) -> Self;
    fn negate(self) -> Self;
    fn add(self, other: Self) -> Self;
    fn multiply(self, other: Self) -> Self;
    fn divide(self, other: Self) -> Self;
    fn power_integer(self, exponent: i32) -> Self;
    fn power(self, exponent: Self) -> Self;
    fn call(self, function: Function) -> Self;
    fn call_two(self, function: Function, right: Self) -> Self;
}

/// Whole powers by repeated squaring: the same on every platform.
fn whole_power(base: f64, exponent: i32) -> f64 {
    let mut square = base;
    let mut left = exponent.unsigned_abs();
    let mut result = 1.0;
    while left > 0 {
        if left & 1 == 1 {
            result *= square;
        }
        square *= square;
        left >>= 1;
    }
    if exponent < 0 { 1.0 / result } else { result }
}

fn call(function: Function, x: f64) -> f64 {
    match function {
        Function::Sin => libm::sin(x),
        Function::Cos => libm::cos(x),
        Function::Tan => libm::tan(x),
        Function::Asin => libm::asin(x),
        Function::Acos => libm::acos(x),
        Function::Atan => libm::atan(x),
        Function::Sqrt => x.sqrt(),
        Function::Abs => x.abs(),
        Function::Exp => libm::exp(x),
        Function::Ln => libm::log(x),
        Function::Log10 => libm::log10(x),
        Function::Min | Function::Max | Function::Atan2 => f64::NAN,
    }
}

fn call_two(function: Function, left: f64, right: f64) -> f64 {
    match function {
        // Not `f64::min`: it would hide one that is not a number.
        Function::Min => {
            if left.is_nan() || left < right {
                left
            } else {
                right
            }
        }
        Function::Max => {
            if left.is_nan() || left > right {
                left
            } else {
                right
            }
        }
        Function::Atan2 => libm::atan2(left, right),
        _ => f64::NAN,
    }
}

/// The derivative of a function of one argument, its value being `y`.
fn derivative(function: Function, x: f64, y: f64) -> f64 {
    match function {
        Function::Sin => libm::cos(x),
        Function::Cos => -libm::sin(x),
        Function::Tan => 1.0 + y * y,
        Function::Asin => 1.0 / (1.0 - x * x).sqrt(),
        Function::Acos => -1.0 / (1.0 - x * x).sqrt(),
        Function::Atan => 1.0 / (1.0 + x * x),
        Function::Sqrt => 0.5 / y,
        Function::Abs => {
            if x < 0.0 {
                -1.0
            } else {
                1.0
            }
        }
        Function::Exp => y,
        Function::Ln => 1.0 / x,
        Function::Log10 => std::f64::consts::LOG10_E / x,
        Function::Min | Function::Max | Function::Atan2 => f64::NAN,
    }
}

impl Number for f64 {
    fn constant(value: f64) -> Self {
        value
    }
    fn negate(self) -> Self {
        -self
    }
    fn add(self, other: Self) -> Self {
        self + other
    }
    fn multiply(self, other: Self) -> Self {
        self * other
    }
    fn divide(self, other: Self) -> Self {
        self / other
    }
    fn power_integer(self, exponent: i32) -> Self {
        whole_power(self, exponent)
    }
    fn power(self, exponent: Self) -> Self {
        libm::pow(self, exponent)
    }
    fn call(self, function: Function) -> Self {
        call(function, self)
    }
    fn call_two(self, function: Function, right: Self) -> Self {
        call_two(function, self, right)
    }
}

/// A value and its derivative.
#[derive(Clone, Copy, Debug)]
struct Dual(f64, f64);

impl Number for Dual {
    fn constant(value: f64) -> Self {
        Self(value, 0.0)
    }
    fn negate(self) -> Self {
        Self(-self.0, -self.1)
    }
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0, self.1 + other.1)
    }
    fn multiply(self, other: Self) -> Self {
        Self(self.0 * other.0, self.1 * other.0 + self.0 * other.1)
    }
    fn divide(self, other: Self) -> Self {
        let value = self.0 / other.0;
        Self(value, (self.1 - value * other.1) / other.0)
    }
    fn power_integer(self, exponent: i32) -> Self {
        if exponent == 0 {
            return Self(1.0, 0.0);
        }
        let below = whole_power(self.0, exponent - 1);
        Self(
            whole_power(self.0, exponent),
            f64::from(exponent) * below * self.1,
        )
    }
    fn power(self, exponent: Self) -> Self {
        let value = libm::pow(self.0, exponent.0);
        let by_base = if self.1 == 0.0 {
            0.0
        } else {
            exponent.0 * libm::pow(self.0, exponent.0 - 1.0) * self.1
        };
        let by_exponent = if exponent.1 == 0.0 {
            0.0
        } else {
            value * libm::log(self.0) * exponent.1
        };
        Self(value, by_base + by_exponent)
    }
    fn call(self, function: Function) -> Self {
        let value = call(function, self.0);
        let slope = if self.1 == 0.0 {
            0.0
        } else {
            derivative(function, self.0, value) * self.1
        };
        Self(value, slope)
    }
    fn call_two(self, function: Function, right: Self) -> Self {
        let value = call_two(function, self.0, right.0);
        let slope = match function {
            Function::Atan2 => {
                let square = self.0 * self.0 + right.0 * right.0;
                (right.0 * self.1 - self.0 * right.1) / square
            }
            Function::Min if self.0 < right.0 => self.1,
            Function::Max if self.0 > right.0 => self.1,
            _ => right.1,
        };
        Self(value, slope)
    }
}

/// A value and the size of the terms it was summed from.
#[derive(Clone, Copy, Debug)]
struct Weighed(f64, f64);

impl Number for Weighed {
    fn constant(value: f64) -> Self {
        Self(value, value.abs())
    }
    fn negate(self) -> Self {
        Self(-self.0, self.1)
    }
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0, self.1 + other.1)
    }
    fn multiply(self, other: Self) -> Self {
        Self(self.0 * other.0, self.1 * other.1)
    }
    fn divide(self, other: Self) -> Self {
        Self(self.0 / other.0, self.1 / other.0.abs())
    }
    fn power_integer(self, exponent: i32) -> Self {
        Self(
            whole_power(self.0, exponent),
            whole_power(self.1, exponent.max(0)).max(whole_power(self.0, exponent).abs()),
        )
    }
    fn power(self, exponent: Self) -> Self {
        let value = libm::pow(self.0, exponent.0);
        Self(value, value.abs())
    }
    fn call(self, function: Function) -> Self {
        let value = call(function, self.0);
        Self(
            value,
            if function == Function::Abs {
                self.1
            } else {
                value.abs()
            },
        )
    }
    fn call_two(self, function: Function, right: Self) -> Self {
        let value = call_two(function, self.0, right.0);
        Self(value, value.abs())
    }
}

/// The degree as a polynomial in some slots; `None` where it is none.
#[derive(Clone, Copy, Debug)]
struct Degree(Option<u32>);

impl Degree {
    const MOST: u32 = 64;

    fn known(degree: u32) -> Self {
        Self((degree <= Self::MOST).then_some(degree))
    }

    /// What a function makes of it: still constant, or no polynomial.
    fn through(self) -> Self {
        Self(self.0.filter(|&degree| degree == 0))
    }
}

impl Number for Degree {
    fn constant(_: f64) -> Self {
        Self(Some(0))
    }
    fn negate(self) -> Self {
        self
    }
    fn add(self, other: Self) -> Self {
        Self(self.0.zip(other.0).map(|(left, right)| left.max(right)))
    }
    fn multiply(self, other: Self) -> Self {
        self.0
            .zip(other.0)
            .map_or(Self(None), |(left, right)| Self::known(left + right))
    }
    fn divide(self, other: Self) -> Self {
        Self(self.0.filter(|_| other.0 == Some(0)))
    }
    fn power_integer(self, exponent: i32) -> Self {
        match (self.0, u32::try_from(exponent)) {
            (Some(degree), Ok(exponent)) => Self::known(degree * exponent),
            _ => self.through(),
        }
    }
    fn power(self, exponent: Self) -> Self {
        Self(self.through().0.filter(|_| exponent.0 == Some(0)))
    }
    fn call(self, _: Function) -> Self {
        self.through()
    }
    fn call_two(self, _: Function, right: Self) -> Self {
        Self(self.through().0.filter(|_| right.0 == Some(0)))
    }
}
