//! The trees that formulas are read into.
//!
//! They keep the spans of their text, so that whatever is found later can be shown in place.

use std::cmp::Ordering;
use std::hash::{Hash, Hasher};

use crate::diagnostic::Span;
use crate::quantity::{Numeral, Quantity};

/// An expression and where it stands in the formula's text.
#[derive(Clone, Debug, PartialEq, Hash)]
pub struct Expr {
    /// What it is.
    pub node: Node,
    /// Bytes of the formula's text.
    pub span: Span,
}

/// The kinds of expression.
#[derive(Clone, Debug, PartialEq)]
pub enum Node {
    /// A bare number; a plain `0` goes with any dimension.
    Number(Numeral),
    /// A quantity in square brackets.
    Quantity(Quantity),
    /// The number π.
    Pi,
    /// A given, a derived name or an unknown.
    Name(String),
    /// `-x`.
    Negate(Box<Expr>),
    /// Two expressions joined.
    Binary(Operator, Box<Expr>, Box<Expr>),
    /// A function of one or two arguments.
    Call(Function, Vec<Expr>),
}

impl Hash for Node {
    fn hash<H: Hasher>(&self, state: &mut H) {
        std::mem::discriminant(self).hash(state);
        match self {
            Self::Number(numeral) => numeral.hash(state),
            // units of equal quantities are equal, and have no hash
            Self::Quantity(quantity) => quantity.numeral.hash(state),
            Self::Pi => {}
            Self::Name(name) => name.hash(state),
            Self::Negate(inner) => inner.hash(state),
            Self::Binary(operator, left, right) => (operator, left, right).hash(state),
            Self::Call(function, arguments) => (function, arguments).hash(state),
        }
    }
}

/// What joins two expressions.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Operator {
    /// `+`
    Add,
    /// `-`
    Subtract,
    /// `*`
    Multiply,
    /// `/`
    Divide,
    /// `^`
    Power,
}

impl Operator {
    /// The sign as written.
    pub fn sign(self) -> &'static str {
        match self {
            Self::Add => "+",
            Self::Subtract => "-",
            Self::Multiply => "*",
            Self::Divide => "/",
            Self::Power => "^",
        }
    }
}

/// The functions a formula may use.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[expect(
    missing_docs,
    reason = "each is the mathematical function of that name"
)]
pub enum Function {
    Sin,
    Cos,
    Tan,
    Asin,
    Acos,
    Atan,
    Atan2,
    Sqrt,
    Abs,
    Min,
    Max,
    Exp,
    Ln,
    Log10,
}

impl Function {
    /// Every function, its name and its number of arguments: the one place that lists them.
    pub const ALL: [(Self, &'static str, usize); 14] = [
        (Self::Sin, "sin", 1),
        (Self::Cos, "cos", 1),
        (Self::Tan, "tan", 1),
        (Self::Asin, "asin", 1),
        (Self::Acos, "acos", 1),
        (Self::Atan, "atan", 1),
        (Self::Atan2, "atan2", 2),
        (Self::Sqrt, "sqrt", 1),
        (Self::Abs, "abs", 1),
        (Self::Min, "min", 2),
        (Self::Max, "max", 2),
        (Self::Exp, "exp", 1),
        (Self::Ln, "ln", 1),
        (Self::Log10, "log10", 1),
    ];

    /// The function called `name`, and how many arguments it takes.
    pub fn named(name: &str) -> Option<(Self, usize)> {
        Self::ALL
            .iter()
            .find(|(_, n, _)| *n == name)
            .map(|&(f, _, arguments)| (f, arguments))
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(f, _, _)| *f == self)
            .map_or("", |&(_, name, _)| name)
    }
}

/// Names that mean something by themselves and can be no quantity's.
pub fn is_reserved(name: &str) -> bool {
    matches!(name, "pi" | "π" | "and" | "or") || Function::named(name).is_some()
}

/// `left = right`, as on the board.
#[derive(Clone, Debug, PartialEq, Hash)]
pub struct Equation {
    /// Left-hand side.
    pub left: Expr,
    /// Right-hand side.
    pub right: Expr,
}

/// A comparison sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Comparison {
    /// `<`
    Less,
    /// `<=`
    LessOrEqual,
    /// `>`
    Greater,
    /// `>=`
    GreaterOrEqual,
    /// `=`
    Equal,
    /// `!=`
    NotEqual,
}

impl Comparison {
    /// Whether it holds where left and right are in this order.
    pub fn holds(self, order: Ordering) -> bool {
        match self {
            Self::Less => order.is_lt(),
            Self::LessOrEqual => order.is_le(),
            Self::Greater => order.is_gt(),
            Self::GreaterOrEqual => order.is_ge(),
            Self::Equal => order.is_eq(),
            Self::NotEqual => order.is_ne(),
        }
    }
}

/// A condition on quantities.
#[expect(
    clippy::large_enum_variant,
    reason = "a few of them an assignment, made once"
)]
#[derive(Clone, Debug, PartialEq)]
pub enum Condition {
    /// Two expressions compared.
    Compare(Comparison, Expr, Expr),
    /// All of them hold (`and`, and chains such as `0 < a < g`).
    All(Vec<Condition>),
    /// At least one holds (`or`).
    Any(Vec<Condition>),
}

impl Expr {
    /// Calls `visit` for this expression and all below it, outermost first.
    pub fn walk<'a>(&'a self, visit: &mut dyn FnMut(&'a Expr)) {
        visit(self);
        match &self.node {
            Node::Number(_) | Node::Quantity(_) | Node::Pi | Node::Name(_) => {}
            Node::Negate(inner) => inner.walk(visit),
            Node::Binary(_, left, right) => {
                left.walk(visit);
                right.walk(visit);
            }
            Node::Call(_, arguments) => arguments.iter().for_each(|a| a.walk(visit)),
        }
    }

    /// Calls `visit` with each name in this expression and where it stands.
    pub fn names<'a>(&'a self, visit: &mut dyn FnMut(&'a str, Span)) {
        self.walk(&mut |expr| {
            if let Node::Name(name) = &expr.node {
                visit(name, expr.span);
            }
        });
    }
}

impl Equation {
    /// Calls `visit` with each name on both sides.
    pub fn names<'a>(&'a self, visit: &mut dyn FnMut(&'a str, Span)) {
        self.left.names(visit);
        self.right.names(visit);
    }
}

impl Condition {
    /// How many judges it becomes where each part of an `and` is judged by itself.
    pub fn judges(&self) -> usize {
        match self {
            Self::All(parts) => parts.iter().map(Self::judges).sum(),
            Self::Compare(..) | Self::Any(_) => 1,
        }
    }

    /// Calls `visit` with each comparison in it, in the order written.
    pub fn comparisons<'a>(&'a self, visit: &mut dyn FnMut(Comparison, &'a Expr, &'a Expr)) {
        match self {
            Self::Compare(comparison, left, right) => visit(*comparison, left, right),
            Self::All(parts) | Self::Any(parts) => {
                parts.iter().for_each(|part| part.comparisons(visit));
            }
        }
    }

    /// Calls `visit` with each name in it and where it stands.
    pub fn names<'a>(&'a self, visit: &mut dyn FnMut(&'a str, Span)) {
        self.comparisons(&mut |_, left, right| {
            left.names(visit);
            right.names(visit);
        });
    }
}
