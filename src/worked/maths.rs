//! Maths as it is set on a board: a small tree that knows no way of drawing.
//!
//! In: the pieces of an expression. Out: a tree with its sums and products flattened and with the brackets
//! that it needs wherever fractions, powers and roots are drawn as such; whoever writes it in one line
//! adds those of fractions. Nothing is refused.

use serde::Serialize;

use crate::text::DecimalMark;

/// The minus of a negative number, as numbers are printed.
pub const MINUS: char = '−';

/// The space within printed numbers and before units.
pub const NARROW: char = '\u{202f}';

/// An expression.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Maths {
    /// A letter, or a word for want of one, with what stands below it; both may not be empty.
    Name {
        /// `m`, `θ`, `surplus`.
        letter: String,
        /// `A`; empty where nothing stands there.
        below: String,
    },
    /// A number with its unit, as printed.
    Amount {
        /// `−3.27`.
        number: String,
        /// With the space before it; empty for a plain number.
        unit: String,
    },
    /// Terms one after the other; at least two, or one with a minus.
    Sum(Vec<Term>),
    /// Factors one after the other; at least two.
    Product(Vec<Maths>),
    /// The first over the second.
    Fraction(Box<Maths>, Box<Maths>),
    /// The first raised to the second.
    Power(Box<Maths>, Box<Maths>),
    /// A square root.
    Root(Box<Maths>),
    /// The size of something.
    Absolute(Box<Maths>),
    /// In round brackets.
    Brackets(Box<Maths>),
    /// A function by its usual name.
    Function(String, Vec<Maths>),
    /// Both the sum and the difference of two things.
    PlusMinus(Box<Maths>, Box<Maths>),
    /// With a box around it, to show where something was written otherwise.
    Marked(Box<Maths>),
}

/// A term of a sum.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Term {
    /// Whether it is taken away.
    pub minus: bool,
    /// What is added or taken away.
    pub maths: Maths,
}

/// What stands between two sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs, reason = "the words say it")]
pub enum Sign {
    Equal,
    NotEqual,
    Less,
    LessOrEqual,
    Greater,
    GreaterOrEqual,
}

impl Sign {
    /// The sign itself.
    pub fn text(self) -> &'static str {
        match self {
            Self::Equal => "=",
            Self::NotEqual => "≠",
            Self::Less => "<",
            Self::LessOrEqual => "≤",
            Self::Greater => ">",
            Self::GreaterOrEqual => "≥",
        }
    }
}

/// Sides with signs between them: `a = b = c`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Chain {
    /// The side that stands first.
    pub first: Maths,
    /// The others, each with the sign before it.
    pub rest: Vec<(Sign, Maths)>,
}

impl Chain {
    /// Shows all names and amounts in it, to be written another way.
    pub fn each_leaf(&mut self, change: &mut impl FnMut(&mut Maths)) {
        self.first.each_leaf(change);
        for (_, side) in &mut self.rest {
            side.each_leaf(change);
        }
    }

    /// `first sign other`.
    pub(super) fn of(first: Maths, sign: Sign, other: Maths) -> Self {
        let rest = vec![(sign, other)];
        Self { first, rest }
    }

    /// `first = other`.
    pub(super) fn equal(first: Maths, other: Maths) -> Self {
        Self::of(first, Sign::Equal, other)
    }

    /// Whether both say the same, the order of factors and zeros at the end of a number aside.
    pub(super) fn says(&self, other: &Self) -> bool {
        let mut rest = self.rest.iter().zip(&other.rest);
        self.rest.len() == other.rest.len()
            && self.first.says(&other.first)
            && rest.all(|(left, right)| left.0 == right.0 && left.1.says(&right.1))
    }

    /// The same with `= other` behind it, unless that stands there already.
    #[must_use]
    pub(super) fn then(mut self, other: Maths) -> Self {
        let last = self.rest.last().map_or(&self.first, |(_, last)| last);
        if *last != other {
            self.rest.push((Sign::Equal, other));
        }
        self
    }
}

impl Maths {
    /// Shows all names and amounts in it, to be written another way.
    pub fn each_leaf(&mut self, change: &mut impl FnMut(&mut Self)) {
        match self {
            Self::Name { .. } | Self::Amount { .. } => change(self),
            Self::Sum(terms) => {
                for term in terms {
                    term.maths.each_leaf(change);
                }
            }
            Self::Product(all) | Self::Function(_, all) => {
                for maths in all {
                    maths.each_leaf(change);
                }
            }
            Self::Fraction(one, other) | Self::Power(one, other) | Self::PlusMinus(one, other) => {
                one.each_leaf(change);
                other.each_leaf(change);
            }
            Self::Root(inner)
            | Self::Absolute(inner)
            | Self::Brackets(inner)
            | Self::Marked(inner) => {
                inner.each_leaf(change);
            }
        }
    }

    /// Writes an amount with this decimal mark; anything else stays as it is.
    pub fn write(&mut self, mark: DecimalMark) {
        if let Self::Amount { number, .. } = self {
            *number = mark.written(number).into_owned();
        }
    }

    /// A plain whole number.
    pub(super) fn whole(number: u32) -> Self {
        Self::Amount {
            number: number.to_string(),
            unit: String::new(),
        }
    }

    /// `left + right` or `left − right`, without brackets that change nothing.
    pub(super) fn sum(left: Self, minus: bool, right: Self) -> Self {
        let mut terms = match left {
            Self::Sum(terms) => terms,
            other => vec![Term {
                minus: false,
                maths: other,
            }],
        };
        match right {
            Self::Sum(more) if !minus && more.first().is_some_and(|term| !term.minus) => {
                terms.extend(more);
            }
            other => terms.push(Term {
                minus,
                maths: other.among_others(),
            }),
        }
        Self::Sum(terms)
    }

    /// `−inner`.
    pub(super) fn negated(inner: Self) -> Self {
        Self::Sum(vec![Term {
            minus: true,
            maths: inner.among_others(),
        }])
    }

    /// `left · right`.
    pub(super) fn product(left: Self, right: Self) -> Self {
        let mut factors = match left {
            Self::Product(factors) => factors,
            Self::Sum(_) | Self::PlusMinus(..) => vec![left.bracketed()],
            Self::Marked(_) => vec![left.among_others()],
            other => vec![other],
        };
        match right {
            Self::Product(more) => factors.extend(more),
            other => factors.push(other.among_others()),
        }
        Self::Product(factors)
    }

    /// `over / under`.
    pub(super) fn fraction(over: Self, under: Self) -> Self {
        Self::Fraction(Box::new(over), Box::new(under))
    }

    /// `base` to the power `exponent`.
    pub(super) fn power(base: Self, exponent: Self) -> Self {
        let base = match base {
            Self::Name { .. } | Self::Brackets(_) | Self::Absolute(_) => base,
            Self::Marked(inner) => return Self::Marked(Box::new(Self::power(*inner, exponent))),
            Self::Amount {
                ref number,
                ref unit,
            } if unit.is_empty() && !number.starts_with(MINUS) => base,
            other => other.bracketed(),
        };
        Self::Power(Box::new(base), Box::new(exponent))
    }

    /// The square of `base`.
    pub(super) fn squared(base: Self) -> Self {
        Self::power(base, Self::whole(2))
    }

    pub(super) fn root(inner: Self) -> Self {
        Self::Root(Box::new(inner))
    }

    fn says(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Amount { number, unit }, Self::Amount { number: n, unit: u }) => {
                unit == u && bare(number) == bare(n)
            }
            (Self::Product(left), Self::Product(right)) => {
                left.len() == right.len()
                    && left.iter().all(|l| right.iter().any(|r| l.says(r)))
                    && right.iter().all(|r| left.iter().any(|l| l.says(r)))
            }
            (Self::Sum(left), Self::Sum(right)) => {
                let mut pairs = left.iter().zip(right);
                left.len() == right.len()
                    && pairs.all(|(l, r)| l.minus == r.minus && l.maths.says(&r.maths))
            }
            _ => self == other,
        }
    }

    fn bracketed(self) -> Self {
        Self::Brackets(Box::new(self))
    }

    /// As it stands behind a sign of addition or multiplication.
    fn among_others(self) -> Self {
        match self {
            Self::Sum(_) | Self::PlusMinus(..) => self.bracketed(),
            Self::Marked(inner) => Self::Marked(Box::new(inner.among_others())),
            Self::Amount { ref number, .. } if number.starts_with(MINUS) => self.bracketed(),
            other => other,
        }
    }
}

/// A number without zeros at the end of its decimals.
fn bare(number: &str) -> &str {
    if number.contains('.') && !number.contains('×') {
        number.trim_end_matches('0').trim_end_matches('.')
    } else {
        number
    }
}
