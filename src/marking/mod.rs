//! Marks one paper.
//!
//! In: the plan, the student's own key, and what the teacher has before them: the entries as
//! read, points keyed for working, misread numbers, attendance, days late. Out: a [`Marked`]
//! paper: for every part a verdict with its reasons and its points, the paper's costs, and the
//! total. A wrong or illegible answer is a verdict, never an error.
//!
//! The tests of one part stand in the order of the trade: `right` (the key, then expressions
//! accepted beside it), `constant` (another allowed constant), misread numbers, `sign`,
//! `follow` (the student's own earlier answers), `slip` (foreseen wrong ways); `choice` is for
//! parts answered by a word. `unit` and `figures` are judged apart from the value, `window` says
//! what "equal" means, `points` turns verdicts into points.
//!
//! `marker` runs them all. `key` solves the student's own key; `answer` is one under judgement,
//! `judged` puts those of one problem through the tests, `settle` closes each, `sum` adds up the paper.
//! For `follow`, `carry` holds the numbers that may be carried on, `circle` keeps an answer from
//! resting on itself, `possible` says what nature allows, `credit` settles what follows. `number`
//! tells how likely a number fits by luck. `evidence` hands on the faulty answers, `explanation` is
//! what a diagnosis says of them, `diagnosed` gives points for it; `trace` goes over a judgement again.

mod answer;
mod carry;
pub mod choice;
mod circle;
mod constant;
mod credit;
mod diagnosed;
mod evidence;
mod explanation;
pub mod figures;
mod follow;
mod judged;
mod key;
mod marker;
mod number;
pub mod points;
mod possible;
mod right;
mod settle;
mod sign;
pub mod slip;
mod sum;
#[cfg(test)]
mod tests;
mod trace;
pub mod unit;
pub mod window;

use arrayvec::ArrayVec;
use rust_decimal::Decimal;

use crate::answer::{Choice, Reading};
use crate::formula::tape::SlotSet;
use crate::quantity::Quantity;
use figures::FiguresVerdict;
use unit::UnitVerdict;

pub use diagnosed::{Diagnosed, share as diagnosed_share};
pub use evidence::{Evidence, Read};
pub use explanation::{Explanation, Kind, Strength};
pub use key::{Key, ProblemKey, resolved};
pub use marker::Marker;
pub use number::Number;
pub use trace::{By, Test, Trace};

/// What the teacher has before them: one student's paper.
#[derive(Clone, Debug, Default)]
pub struct Paper {
    /// For each part of the plan what stands there.
    pub entries: Vec<Entry>,
    /// For each part the points keyed for its working.
    pub working: Vec<Option<u8>>,
    /// Numbers the student misread: problem, given, and the number used.
    pub misread: Vec<(usize, usize, Quantity)>,
    /// Whether there is a paper at all.
    pub attendance: Attendance,
    /// Days after the date due, 0 if in time.
    pub days_late: u32,
}

/// What stands in the place for one part.
#[expect(
    clippy::large_enum_variant,
    reason = "a number is the rule, and is not to allocate"
)]
#[derive(Clone, Debug, PartialEq)]
pub enum Entry {
    /// An answer to a quantity asked for.
    Answer(Reading),
    /// A word, for a part that asks for one.
    Choice(Choice),
    /// Points given by eye; nothing yet.
    Eye(Option<u8>),
}

/// Whether a student handed in a paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Attendance {
    /// There is a paper.
    #[default]
    Present,
    /// There is none.
    Absent,
    /// There is none, and none is wanted.
    Excused,
}

/// The outcome for one part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// The key, or what is accepted beside it.
    Right,
    /// The key with another allowed constant.
    RightOtherConstant,
    /// The key for misread numbers.
    RightMisread,
    /// The key but for its sign, where that counts.
    WrongSign,
    /// It follows from the student's own answers.
    Followed,
    /// A foreseen wrong way.
    Slip,
    /// None of these.
    Wrong,
    /// Several answers.
    Several,
    /// Nothing.
    Blank,
    /// Something that cannot be read.
    Unreadable,
    /// The teacher's to judge.
    ByEye,
}

impl Verdict {
    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::RightOtherConstant => "right with another constant",
            Self::RightMisread => "right on misread numbers",
            Self::WrongSign => "wrong sign",
            Self::Followed => "followed",
            Self::Slip => "slip",
            Self::Wrong => "wrong",
            Self::Several => "several",
            Self::Blank => "blank",
            Self::Unreadable => "unreadable",
            Self::ByEye => "by eye",
        }
    }

    /// Whether the answer is right in value.
    pub fn is_right(self) -> bool {
        matches!(
            self,
            Self::Right | Self::RightOtherConstant | Self::RightMisread
        )
    }
}

/// Why a part has its verdict and its points. Rendered by `feedback` and `explain`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reason {
    /// It is the key, rounded to the figures written.
    Rounded,
    /// It lies within the declared tolerance.
    WithinTolerance,
    /// It is the key but for rounding on the way.
    RoundedOnTheWay,
    /// It was cut off instead of rounded.
    Truncated,
    /// It is an accepted expression, of that index.
    Accepted(usize),
    /// It lies in the accepted range.
    InWindow,
    /// It ignores an earlier wrong answer.
    IgnoresEarlier,
    /// It is right with the allowed constant of that given.
    OtherConstant {
        /// Index of the given.
        given: usize,
        /// Index among its allowed values.
        allowed: usize,
    },
    /// It was marked on misread numbers.
    OnMisread,
    /// Numbers were said to be misread, but with them the problem has no single key: the teacher
    /// should look what was keyed.
    MisreadHasNoKey,
    /// It has a minus where a size is asked for, or the paper's own convention turns it; that is
    /// not charged.
    SignNoted,
    /// Its sign is not the key's; that is charged.
    SignCharged,
    /// It follows along a road from the student's own answers.
    FollowedFrom {
        /// Index of the road among the part's roads, those back behind those forward.
        road: u8,
        /// Slots of the answers used.
        inputs: SlotSet,
        /// The figures to which they were rounded before being carried on.
        rounded_to: Option<u8>,
    },
    /// It follows, but no credit is given: what it rests on or leads to is impossible.
    Impossible {
        /// Index of the condition in the problem's `possible`.
        condition: usize,
    },
    /// It follows, but the value carried on makes the work trivial.
    Trivial,
    /// A foreseen slip.
    SlipMade {
        /// Index of the slip.
        slip: usize,
        /// The chance that some slip of this part would fit by luck.
        luck: f64,
        /// No share is given without the teacher's look.
        look: bool,
    },
    /// Another foreseen slip gives the same number.
    OrSlip(usize),
    /// The mistake behind it was worked out, and the scheme gives a share for that.
    MistakeFound {
        /// The chance that some mistake explains it by luck.
        luck: f64,
        /// No share is given without the teacher's look.
        look: bool,
    },
    /// The number is read as thousands or with a decimal mark: only one way fits.
    ReadTheWayThatFits,
    /// Nothing was keyed for the working of a right answer: all of it is given.
    WorkingAssumed,
    /// Points for the working are still to be keyed.
    WorkingOpen,
    /// The teacher set the points. Marking never gives it: it is for telling the student.
    ByTeacher,
}

impl Reason {
    /// Whether it tells what was done, so that the same reason on another paper is the same case. That a mistake
    /// was found does not tell which.
    pub fn tells_cause(&self) -> bool {
        match self {
            Self::Accepted(_)
            | Self::OtherConstant { .. }
            | Self::SignCharged
            | Self::FollowedFrom { .. }
            | Self::Impossible { .. }
            | Self::Trivial
            | Self::SlipMade { .. }
            | Self::Truncated => true,
            Self::Rounded
            | Self::WithinTolerance
            | Self::RoundedOnTheWay
            | Self::InWindow
            | Self::IgnoresEarlier
            | Self::OnMisread
            | Self::MisreadHasNoKey
            | Self::SignNoted
            | Self::OrSlip(_)
            | Self::MistakeFound { .. }
            | Self::ReadTheWayThatFits
            | Self::WorkingAssumed
            | Self::WorkingOpen
            | Self::ByTeacher => false,
        }
    }
}

/// How many reasons one part may have.
pub const MOST_REASONS: usize = 8;

/// The mark of one part.
#[derive(Clone, Debug, PartialEq)]
pub struct PartMark {
    /// The verdict.
    pub verdict: Verdict,
    /// Why.
    pub reasons: ArrayVec<Reason, MOST_REASONS>,
    /// The verdict on the unit, where a number was read.
    pub unit: Option<UnitVerdict>,
    /// The verdict on the figures, where a number was read.
    pub figures: Option<FiguresVerdict>,
    /// Share of the value points earned, before costs.
    pub share: Decimal,
    /// Points for the working.
    pub working: Decimal,
    /// Taken off for the unit.
    pub unit_cost: Decimal,
    /// Taken off for the figures.
    pub figures_cost: Decimal,
    /// What the part earns: value and working less costs.
    pub points: Decimal,
    /// What it is out of.
    pub out_of: Decimal,
    /// The teacher should look at it.
    pub look: bool,
}

/// How far a paper is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// Every part has its points.
    Marked,
    /// Points judged by eye are missing.
    PartlyMarked,
    /// No paper.
    Absent,
    /// No paper, and none wanted.
    Excused,
    /// The teacher should look at it.
    NeedsALook,
    /// A paper was handed out, and nothing was keyed or noted of it: it may lie in the stack, or its student
    /// was absent. Only a record knows that.
    NotKeyed,
    /// No paper was handed out; likewise.
    NoPaper,
}

impl Status {
    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Marked => "marked",
            Self::PartlyMarked => "partly marked",
            Self::Absent => "absent",
            Self::Excused => "excused",
            Self::NeedsALook => "needs a look",
            Self::NotKeyed => "not keyed",
            Self::NoPaper => "no paper",
        }
    }
}

/// A marked paper. `parts` and costs add up: points of the parts + `paper_cost` + `late` =
/// `total`, which is never below 0; `paper_cost` and `late` are 0 or negative.
#[derive(Clone, Debug, PartialEq)]
pub struct Marked {
    /// How far it is.
    pub status: Status,
    /// The mark of each part, in the plan's order; empty where there is no paper.
    pub parts: Vec<PartMark>,
    /// Taken off for the paper as a whole: misread numbers, another constant.
    pub paper_cost: Decimal,
    /// Taken off for lateness.
    pub late: Decimal,
    /// The sum.
    pub total: Decimal,
    /// What the paper is out of.
    pub out_of: Decimal,
}

impl PartMark {
    /// Whether it is judged by eye and was not yet.
    pub fn is_open(&self) -> bool {
        self.verdict == Verdict::ByEye && self.reasons.contains(&Reason::WorkingOpen)
    }
}

/// Whether these are the marks of a paper handed in empty: it has nothing to be judged by eye.
pub fn is_empty_paper(marks: &[PartMark]) -> bool {
    marks.iter().all(|mark| {
        let is_blank = mark.verdict == Verdict::Blank;
        !mark.look && (is_blank || mark.reasons.contains(&Reason::WorkingOpen))
    })
}

impl Marked {
    /// A paper on which no part was judged.
    pub fn nothing(status: Status, out_of: Decimal) -> Self {
        Self {
            status,
            parts: Vec::new(),
            paper_cost: Decimal::ZERO,
            late: Decimal::ZERO,
            total: Decimal::ZERO,
            out_of,
        }
    }
}
