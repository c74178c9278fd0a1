//! Compiles trees into tapes.
//!
//! In: a tree, what its names stand for, and the units it is reckoned in. Out: a [`Tape`]. Derived names are
//! put in, and exponents that are fixed numbers folded. Refused: what grows beyond [`LONGEST`] operations.

use super::{LONGEST, Op, SlotSet, Tape, TooLong};
use crate::formula::parse::DEEPEST;
use crate::formula::tree::{Equation, Expr, Node, Operator};

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
        let mut compiler = Compiler::new(meaning, measure);
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
        let mut compiler = Compiler::new(meaning, measure);
        compiler.expr(left)?;
        compiler.expr(right)?;
        compiler.push(Op::Subtract)?;
        compiler.finish()
    }
}

struct Compiler<'a, 'm> {
    ops: Vec<Op>,
    meaning: &'m dyn Fn(&str) -> Option<Meaning<'a>>,
    measure: Measure<'m>,
    depth: usize,
}

impl<'a, 'm> Compiler<'a, 'm> {
    fn new(meaning: &'m dyn Fn(&str) -> Option<Meaning<'a>>, measure: Measure<'m>) -> Self {
        Self {
            ops: Vec::new(),
            meaning,
            measure,
            depth: 0,
        }
    }

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
                if self.depth >= DEEPEST {
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
