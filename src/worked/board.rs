//! Equations as they stand on the board, and with a student's numbers in them.
//!
//! In: trees of the file and the student's key. Out: the same trees as [`Maths`], with names or with values,
//! and their values. A name left to be solved for stays a name; one derived from such a name is written
//! out, so that the unknown shows. Angles keep their degrees within sine, cosine and tangent, and are
//! numbers elsewhere.

use crate::assignment::Assignment;
use crate::formula::Equation;
use crate::formula::check;
use crate::formula::tape::{Measure, SlotSet, Tape};
use crate::formula::tree::{Comparison, Expr, Function, Node, Operator};
use crate::marking::ProblemKey;
use crate::plan::{self, Problem};
use crate::quantity::{Dimension, Unit};

use super::maths::{Chain, Maths, Sign};
use super::units::{self, Units};
use super::{Line, Say, name};

/// What is reckoned along the lines has to meet the key as closely as this.
pub(super) const CLOSE: f64 = 1e-6;

/// One problem with one student's key.
pub(super) struct Board<'a> {
    pub(super) assignment: &'a Assignment,
    pub(super) problem: &'a Problem,
    pub(super) key: &'a ProblemKey,
    pub(super) units: Units,
    /// The figures that are asked for just now.
    pub(super) figures: u8,
}

/// How names are written.
#[derive(Clone, Copy)]
enum Mode {
    /// As names.
    Names,
    /// As values, but for these slots.
    Values(SlotSet),
}

impl<'a> Board<'a> {
    pub(super) fn slot(&self, name: &str) -> Option<usize> {
        match plan::meaning(self.assignment, name)? {
            crate::formula::tape::Meaning::Slot(slot) => Some(slot),
            crate::formula::tape::Meaning::Derived(_) => None,
        }
    }

    /// The slots of the unknowns.
    pub(super) fn unknowns(&self) -> SlotSet {
        (self.problem.givens..self.problem.slots()).collect()
    }

    /// Slots that an expression depends on.
    pub(super) fn uses(&self, expr: &Expr) -> SlotSet {
        self.tape(expr)
            .map_or_else(SlotSet::default, |tape| tape.uses())
    }

    pub(super) fn tape(&self, expr: &Expr) -> Option<Tape> {
        let meaning = |name: &str| plan::meaning(self.assignment, name);
        Tape::expr(expr, &meaning, Measure::Si).ok()
    }

    /// The value of an expression for this student.
    pub(super) fn value(&self, expr: &Expr) -> f64 {
        self.tape(expr)
            .map_or(f64::NAN, |tape| tape.value(&self.key.slots))
    }

    /// The dimension of an expression; that of a plain number for a zero.
    pub(super) fn dimension(&self, expr: &Expr) -> Dimension {
        check::dimension(expr, self.assignment)
            .ok()
            .flatten()
            .unwrap_or(Dimension::NONE)
    }

    /// The dimension of both sides.
    pub(super) fn dimension_of(&self, equation: &Equation) -> Dimension {
        match self.dimension(&equation.left) {
            Dimension::NONE => self.dimension(&equation.right),
            dimension => dimension,
        }
    }

    /// The unit in which the value of a slot is written.
    pub(super) fn unit(&self, slot: usize) -> Unit {
        let givens = &self.assignment.givens;
        let unknown = slot.checked_sub(givens.len());
        let unknown = unknown.and_then(|at| self.assignment.unknowns.get(at));
        let unit = match unknown {
            Some(unknown) => unknown.unit,
            None => givens.get(slot).map_or(Unit::ONE, |given| given.unit),
        };
        self.units.working(unit)
    }

    /// The name of a slot as it is set.
    pub(super) fn name(&self, slot: usize) -> Maths {
        let givens = &self.assignment.givens;
        let unknown = slot.checked_sub(givens.len());
        let unknown = unknown.and_then(|at| self.assignment.unknowns.get(at));
        let given = || givens.get(slot).map_or("", |given| given.name.as_str());
        name::set(unknown.map_or_else(given, |unknown| unknown.name.as_str()))
    }

    /// A value in the unit of a dimension.
    pub(super) fn amount(&self, si: f64, dimension: Dimension) -> Maths {
        units::amount(si, &self.units.of_dimension(dimension), self.figures)
    }

    /// The value of a slot.
    pub(super) fn amount_of(&self, slot: usize) -> Maths {
        match self.key.givens.get(slot) {
            Some(given) => self.units.given(given),
            None => units::amount(self.key.slots[slot], &self.unit(slot), self.figures),
        }
    }

    /// An expression with its names.
    pub(super) fn names(&self, expr: &Expr) -> Maths {
        self.set(expr, Mode::Names, false)
    }

    /// The same with a mark on some of its pieces.
    pub(super) fn names_marking(&self, expr: &Expr, marked: &[&Expr]) -> Maths {
        self.set_marking(expr, Mode::Names, false, marked)
    }

    /// An expression with values for all names but those of the slots `open`.
    pub(super) fn values(&self, expr: &Expr, open: SlotSet) -> Maths {
        self.set(expr, Mode::Values(open), false)
    }

    /// The value of an expression as a number with its unit.
    pub(super) fn reckoned(&self, expr: &Expr) -> Maths {
        match &expr.node {
            Node::Name(name) if self.slot(name).is_some() => self.values(expr, SlotSet::default()),
            Node::Number(_) | Node::Quantity(_) => self.names(expr),
            _ => self.amount(self.value(expr), self.dimension(expr)),
        }
    }

    /// An equation as on the board, under its name.
    pub(super) fn equation(&self, at: usize) -> Line {
        let named = &self.assignment.equations[at];
        let Equation { left, right } = &named.item;
        Line {
            say: Say::Equation(named.name.clone()),
            chains: vec![Chain::equal(self.names(left), self.names(right))],
        }
    }

    fn set(&self, expr: &Expr, mode: Mode, is_angle: bool) -> Maths {
        self.set_marking(expr, mode, is_angle, &[])
    }

    fn set_marking(&self, expr: &Expr, mode: Mode, is_angle: bool, marked: &[&Expr]) -> Maths {
        let set = self.set_pieces(expr, mode, is_angle, marked);
        if marked.iter().any(|piece| std::ptr::eq(*piece, expr)) {
            Maths::Marked(Box::new(set))
        } else {
            set
        }
    }

    fn set_pieces(&self, expr: &Expr, mode: Mode, is_angle: bool, marked: &[&Expr]) -> Maths {
        let set = |expr| self.set_marking(expr, mode, is_angle, marked);
        match &expr.node {
            Node::Number(numeral) => units::written(numeral, &Unit::ONE),
            Node::Quantity(quantity) => self.units.given(quantity),
            Node::Pi => name::set("pi"),
            Node::Name(name) => self.named(name, mode, is_angle),
            Node::Negate(inner) => Maths::negated(set(inner)),
            Node::Binary(operator, left, right) => {
                let (left, right) = (set(left), set(right));
                match operator {
                    Operator::Add => Maths::sum(left, false, right),
                    Operator::Subtract => Maths::sum(left, true, right),
                    Operator::Multiply => Maths::product(left, right),
                    Operator::Divide => Maths::fraction(left, right),
                    Operator::Power => Maths::power(left, right),
                }
            }
            Node::Call(function, arguments) => self.call(*function, arguments, mode, marked),
        }
    }

    fn named(&self, name: &str, mode: Mode, is_angle: bool) -> Maths {
        let Mode::Values(open) = mode else {
            return name::set(name);
        };
        let Some(slot) = self.slot(name) else {
            let derived = self.assignment.derived.iter().find(|d| d.name == name);
            return match derived {
                Some(derived) if !self.uses(&derived.expr).and(open).is_empty() => {
                    self.set(&derived.expr, mode, is_angle)
                }
                Some(derived) => self.amount(self.value(&derived.expr), derived.dimension),
                None => name::set(name),
            };
        };
        if open.has(slot) {
            name::set(name)
        } else if self.unit(slot).is_angle() && !is_angle {
            self.amount(self.key.slots[slot], Dimension::NONE)
        } else {
            self.amount_of(slot)
        }
    }

    fn call(&self, function: Function, arguments: &[Expr], mode: Mode, marked: &[&Expr]) -> Maths {
        let turned = matches!(function, Function::Sin | Function::Cos | Function::Tan);
        let mut set = arguments
            .iter()
            .map(|a| self.set_marking(a, mode, turned, marked));
        match (function, set.next()) {
            (Function::Sqrt, Some(inner)) => Maths::root(inner),
            (Function::Abs, Some(inner)) => Maths::Absolute(Box::new(inner)),
            (_, first) => {
                let usual = match function {
                    Function::Asin => "arcsin",
                    Function::Acos => "arccos",
                    Function::Atan => "arctan",
                    Function::Log10 => "log",
                    other => other.name(),
                };
                Maths::Function(usual.to_owned(), first.into_iter().chain(set).collect())
            }
        }
    }
}

/// The sign of a comparison.
pub(super) fn sign(comparison: Comparison) -> Sign {
    match comparison {
        Comparison::Less => Sign::Less,
        Comparison::LessOrEqual => Sign::LessOrEqual,
        Comparison::Greater => Sign::Greater,
        Comparison::GreaterOrEqual => Sign::GreaterOrEqual,
        Comparison::Equal => Sign::Equal,
        Comparison::NotEqual => Sign::NotEqual,
    }
}
