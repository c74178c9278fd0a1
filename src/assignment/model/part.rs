//! What is asked for.

use rust_decimal::Decimal;

#[cfg(doc)]
use super::{Assignment, Sheet};
use super::{PartRules, Template};
use crate::diagnostic::Span;
use crate::formula::{Condition, Equation, Expr};
use crate::quantity::{Quantity, Unit};

/// One asked-for answer.
#[derive(Clone, Debug)]
pub struct Part {
    /// Unique in the file; [`Sheet::part_id`] is what students and columns know.
    pub id: String,
    /// The part's place in the file.
    pub span: Span,
    /// The question as printed.
    pub ask: Template,
    /// What kind of answer is asked for.
    pub kind: PartKind,
    /// Above 0.
    pub points: Decimal,
    /// Steps judged by eye, one point each, out of `points`.
    pub working: Vec<String>,
    /// How the answer is judged.
    pub rules: PartRules,
}

impl Part {
    /// What is looked for by eye, a point each: all of a part without a key, the working of any other.
    pub fn by_eye(&self) -> &[String] {
        match &self.kind {
            PartKind::Eye(items) => items,
            PartKind::Answer(_) | PartKind::Choose(_) => &self.working,
        }
    }
}

/// What kind of answer is asked for.
#[derive(Clone, Debug)]
#[expect(
    clippy::large_enum_variant,
    reason = "an assignment has a handful of parts"
)]
pub enum PartKind {
    /// A quantity.
    Answer(AnswerPart),
    /// One of several words.
    Choose(ChoicePart),
    /// What is judged by eye alone, one point each.
    Eye(Vec<String>),
}

/// A quantity asked for.
#[derive(Clone, Debug)]
pub struct AnswerPart {
    /// Index in [`Assignment::unknowns`].
    pub unknown: usize,
    /// The unit asked for, of the unknown's dimension.
    pub unit: Unit,
    /// Sets of equations to go by, as indices in [`Assignment::equations`].
    pub by: Option<Vec<Vec<usize>>>,
    /// The value a "show that" prints.
    pub printed: Option<Quantity>,
    /// Foreseen wrong ways.
    pub slips: Vec<Slip>,
    /// Expressions that are also right.
    pub accepts: Vec<Accept>,
    /// Values from the first to the second are also right.
    pub window: Option<(Quantity, Quantity)>,
}

/// A wrong way the teacher foresaw.
#[derive(Clone, Debug)]
pub struct Slip {
    /// Its place in the file.
    pub span: Span,
    /// What it is.
    pub kind: SlipKind,
    /// What the student is told.
    pub say: Option<String>,
    /// Share of the value points, instead of the part's `slip_share`.
    pub share: Option<Decimal>,
}

/// The two kinds of slip. Their formulas are free of the dimension check.
#[derive(Clone, Debug)]
pub enum SlipKind {
    /// Equations as the slip has them, each with the index of the one it replaces.
    Replace(Vec<(usize, Equation)>),
    /// Another quantity answered.
    Answer(Expr),
}

/// An expression that is also right.
#[derive(Clone, Debug)]
pub struct Accept {
    /// The expression, of the unknown's dimension.
    pub expr: Expr,
    /// Share of the value points.
    pub share: Decimal,
}

/// A choice between words.
#[derive(Clone, Debug)]
pub struct ChoicePart {
    /// The words, at least two.
    pub options: Vec<ChoiceOption>,
}

/// One of the words to choose from.
#[derive(Clone, Debug)]
pub struct ChoiceOption {
    /// The word.
    pub label: String,
    /// When it is the right one.
    pub condition: Condition,
    /// Other spellings.
    pub also: Vec<String>,
}
