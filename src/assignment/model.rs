//! The checked model: what an assignment file means once nothing is wrong with it.
//!
//! Only [`super::read`] makes these. Whoever holds one may rely on this: every index is in range,
//! every name in a formula stands for something, dimensions agree, points and costs are not
//! negative, shares lie within 0 and 1, ids are unique. Not promised: that the equations have a
//! solution; the plan finds that out.

use std::sync::Arc;

use rust_decimal::Decimal;

use crate::diagnostic::{Source, Span};
use crate::formula::{Condition, Equation, Expr};
use crate::quantity::{Dimension, Numeral, Quantity, Unit};

/// What is handed out: one or several problems on one paper.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Unique in the course folder.
    pub code: String,
    /// The heading on the paper.
    pub title: String,
    /// What holds for the paper as a whole.
    pub paper: PaperRules,
    /// The problems in the order they are printed; at least one.
    pub problems: Vec<Assignment>,
    /// Whether this is an assignment by itself and not a sheet that names its problems.
    pub lone: bool,
}

impl Sheet {
    /// The id of a part as columns and students know it: `a` of a lone assignment, `1a`, `2a` on a
    /// sheet of several. Both are counted from 0.
    pub fn part_id(&self, problem: usize, part: usize) -> String {
        let id = self
            .problems
            .get(problem)
            .and_then(|problem| problem.parts.get(part))
            .map_or("", |part| part.id.as_str());
        if self.lone {
            id.to_owned()
        } else {
            format!("{}{id}", problem + 1)
        }
    }

    /// The ids of all parts in the order of the paper, each with its problem and part from 0.
    pub fn part_ids(&self) -> impl Iterator<Item = (String, usize, usize)> + '_ {
        self.problems
            .iter()
            .enumerate()
            .flat_map(move |(problem, assignment)| {
                (0..assignment.parts.len())
                    .map(move |part| (self.part_id(problem, part), problem, part))
            })
    }

    /// The givens by the names they have in files of answers and of issued papers, each with its problem
    /// and its place there from 0: on a sheet of several problems with the problem's number before the
    /// name, as in `2mA`.
    pub fn given_ids(&self) -> impl Iterator<Item = (String, usize, usize)> + '_ {
        let id = |problem: usize, name: &str| {
            if self.lone {
                name.to_owned()
            } else {
                format!("{}{name}", problem + 1)
            }
        };
        let problems = self.problems.iter().enumerate();
        problems.flat_map(move |(problem, assignment)| {
            let givens = assignment.givens.iter().enumerate();
            givens.map(move |(at, given)| (id(problem, &given.name), problem, at))
        })
    }

    /// What a paper is out of.
    pub fn points(&self) -> Decimal {
        self.problems
            .iter()
            .flat_map(|problem| &problem.parts)
            .map(|part| part.points)
            .sum()
    }
}

/// One problem.
#[derive(Clone, Debug)]
pub struct Assignment {
    /// The file it was read from; spans below are places in it.
    pub source: Arc<Source>,
    /// Unique in the course folder.
    pub code: String,
    /// Its heading.
    pub title: String,
    /// Another seed gives everyone other numbers.
    pub seed: u64,
    /// The problem as printed.
    pub text: Template,
    /// The figure that is printed with it.
    pub figure: Option<FigureFile>,
    /// Who shares numbers with whom.
    pub variants: Variants,
    /// The given quantities, in file order.
    pub givens: Vec<Given>,
    /// Named expressions; each uses only givens, unknowns and those before it.
    pub derived: Vec<Derived>,
    /// The unknowns: those of `[find]`, then one for each part that asks for an expression.
    pub unknowns: Vec<Unknown>,
    /// Conditions on givens that every draw meets.
    pub requirements: Vec<Named<Condition>>,
    /// Kinds of draws that are to come so often; most files have none.
    pub mix: Vec<DrawKind>,
    /// Conditions on unknowns that nature sets.
    pub possible: Vec<Named<Condition>>,
    /// The equations: those of `[equation]`, then one for each part that asks for an expression.
    pub equations: Vec<Named<Equation>>,
    /// What holds for the paper if the assignment is handed out by itself.
    pub paper: PaperRules,
    /// The parts in the order they are asked; at least one.
    pub parts: Vec<Part>,
}

/// The file of a figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FigureFile {
    /// Its name; it lies beside the assignment's own file.
    pub name: String,
    /// Where the assignment names it.
    pub span: Span,
}

/// Something that has a name in the file.
#[derive(Clone, Debug)]
pub struct Named<T> {
    /// The name.
    pub name: String,
    /// The value's place in the file, for a formula the letters between the quotes: its own spans
    /// are counted from there.
    pub span: Span,
    /// What is named.
    pub item: T,
}

/// A kind of draw.
#[derive(Clone, Debug)]
pub struct DrawKind {
    /// Its name in the file.
    pub name: String,
    /// The condition's place in the file.
    pub span: Span,
    /// Of givens alone; a draw is of the first kind whose condition holds.
    pub when: Condition,
    /// The share of draws that are to be of it, above 0; all of them come to 1 at most.
    pub of: Decimal,
}

/// Who shares numbers with whom.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Variants {
    /// Own numbers for each student.
    PerStudent,
    /// So many versions, from 1 to 26; 1 is the same for all.
    Versions(u32),
}

/// A given quantity.
#[derive(Clone, Debug)]
pub struct Given {
    /// Its name in formulas and texts.
    pub name: String,
    /// The place of its name in the file.
    pub span: Span,
    /// Its values and how one of them is drawn.
    pub draw: Draw,
    /// The unit of all its values.
    pub unit: Unit,
    /// Other values a student may use; only of a fixed given.
    pub allowed: Vec<Allowed>,
}

/// The values a given may take.
#[derive(Clone, Debug)]
pub enum Draw {
    /// `from`, `from + step`, and so on.
    Steps {
        /// The first value.
        from: Quantity,
        /// From one value to the next, in the unit of `from`; above 0.
        step: Numeral,
        /// How many values there are, at least 2.
        count: u64,
    },
    /// One of these, all different and in one unit, at least 2.
    Pick(Vec<Quantity>),
    /// Always this.
    Fixed(Quantity),
}

impl Draw {
    /// How many values there are, at least 1.
    pub fn count(&self) -> u64 {
        match self {
            Self::Steps { count, .. } => *count,
            Self::Pick(values) => values.len() as u64,
            Self::Fixed(_) => 1,
        }
    }

    /// The value of that index, exact and with its digits as written; `None` from [`Draw::count`] on.
    pub fn value(&self, index: u64) -> Option<Quantity> {
        match self {
            Self::Steps { from, step, count } if index < *count => {
                let numeral = from.numeral.plus(step, index)?;
                Some(Quantity {
                    numeral,
                    unit: from.unit,
                })
            }
            Self::Steps { .. } => None,
            Self::Pick(values) => values.get(usize::try_from(index).ok()?).copied(),
            Self::Fixed(value) => (index == 0).then_some(*value),
        }
    }
}

/// Another value of a constant that a student may use.
#[derive(Clone, Copy, Debug)]
pub struct Allowed {
    /// The value.
    pub quantity: Quantity,
    /// Points it costs, once a paper.
    pub cost: Decimal,
}

/// A name for an expression.
#[derive(Clone, Debug)]
pub struct Derived {
    /// The name.
    pub name: String,
    /// The expression's place in the file.
    pub span: Span,
    /// What it stands for.
    pub expr: Expr,
    /// Its dimension.
    pub dimension: Dimension,
}

/// Something to be found.
#[derive(Clone, Debug)]
pub struct Unknown {
    /// Its name in formulas; of a part that asks for an expression `answer of <part id>`.
    pub name: String,
    /// The place of its name in the file.
    pub span: Span,
    /// The unit it is asked for in.
    pub unit: Unit,
    /// The root lies above this expression of givens.
    pub above: Option<Expr>,
    /// The root lies below this expression of givens.
    pub below: Option<Expr>,
}

/// What holds for a paper as a whole.
#[derive(Clone, Debug, PartialEq)]
pub struct PaperRules {
    /// How often one fault costs.
    pub charge: Charge,
    /// Points for misread numbers, once a paper.
    pub misread_cost: Decimal,
    /// What a late paper loses.
    pub late: Option<Late>,
    /// Which issue counts.
    pub reissue_counts: ReissueCounts,
}

/// How often a unit cost and a figures cost are taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Charge {
    /// At most once a paper, each.
    Once,
    /// On every part.
    Each,
}

/// What a late paper loses, as shares of what was earned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Late {
    /// For each day.
    pub per_day: Decimal,
    /// At most.
    pub at_most: Decimal,
}

/// Which issue counts for a student who has several.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the words say it")]
pub enum ReissueCounts {
    Latest,
    Best,
    First,
}

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

/// How an answer is judged.
#[derive(Clone, Debug, PartialEq)]
pub struct PartRules {
    /// Declared tolerance as a fraction of the key.
    pub percent: Option<f64>,
    /// Declared tolerance as a quantity of the answer's dimension.
    pub absolute: Option<Quantity>,
    /// The figures asked for.
    pub figures: FiguresRule,
    /// Whether the unit is judged.
    pub units: Units,
    /// Whether the sign is judged.
    pub sign: Sign,
    /// Points for a unit missing or wrong.
    pub unit_cost: Decimal,
    /// Points for too few or too many figures.
    pub figures_cost: Decimal,
    /// Share of the value points for a foreseen slip.
    pub slip_share: Decimal,
    /// Share of the value points for a mistake the program worked out.
    pub diagnosed_share: Decimal,
    /// A value cut off instead of rounded.
    pub truncated: Leniency,
    /// A fraction, a surd or a multiple of π left as it is.
    pub unevaluated: Leniency,
    /// Whether a right value with no working points keyed earns none of them.
    pub value_needs_working: bool,
}

impl PartRules {
    /// The declared tolerance either way around a value, both in SI units: the wider of the two; 0
    /// where none is declared.
    pub fn tolerance(&self, value: f64) -> f64 {
        let share = self.percent.map_or(0.0, |percent| percent * value.abs());
        let absolute = self.absolute.map_or(0.0, |quantity| {
            quantity.numeral.to_f64().abs() * quantity.unit.factor()
        });
        share.max(absolute)
    }
}

/// The figures asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FiguresRule {
    /// So many; one fewer to two more is taken.
    Asked(u8),
    /// From the first to the second.
    Range(u8, u8),
    /// The least of the givens used.
    Data,
}

/// Who writes the unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    /// The student.
    Written,
    /// It is printed on the answer line and not judged.
    Printed,
}

/// What a sign counts for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// A minus is noted, not charged.
    Size,
    /// One convention all over the problem.
    Either,
    /// As in the key.
    Fixed,
    /// As in the key, for a direction: angles that differ by whole turns are one.
    Turn,
}

impl Sign {
    /// Whether values are compared by their sizes alone.
    pub fn is_size_only(self) -> bool {
        matches!(self, Self::Size | Self::Either)
    }
}

/// What becomes of a harmless fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Leniency {
    /// It is noted.
    Take,
    /// It costs the figures.
    Charge,
}

/// A text with places for the givens.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Template {
    /// What is printed, in order.
    pub pieces: Vec<Piece>,
}

/// A piece of a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Piece {
    /// As it stands.
    Text(String),
    /// The given of that index, as drawn.
    Given(usize),
}
