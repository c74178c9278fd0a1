//! The significant figures of an answer, judged by themselves.
//!
//! In: how many were written (a range where that is ambiguous, the kindest counts) and what the
//! scheme asks for. Out: the verdict. One fewer to two more than asked is taken; one figure
//! alone is too few unless one was asked for (common practice, no source).

use crate::assignment::{FiguresRule, Leniency};
use crate::plan::AnswerPlan;
use crate::quantity::{Figures, Quantity};

use super::ProblemKey;

/// What is said of the figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FiguresVerdict {
    /// As many as asked for.
    AsAsked,
    /// Not as many, but taken.
    Taken,
    /// Too few.
    TooFew,
    /// Too many.
    TooMany,
    /// A fraction, a surd or a multiple of π: exact, but left unevaluated.
    Exact,
    /// Left unevaluated where that is charged.
    Unevaluated,
    /// Zero has no figures to judge.
    NotJudged,
}

impl FiguresVerdict {
    /// Whether it costs points.
    pub fn is_fault(self) -> bool {
        matches!(self, Self::TooFew | Self::TooMany | Self::Unevaluated)
    }

    /// A short name for files.
    pub fn name(self) -> &'static str {
        match self {
            Self::AsAsked => "as asked",
            Self::Taken => "taken",
            Self::TooFew => "too few",
            Self::TooMany => "too many",
            Self::Exact => "exact",
            Self::Unevaluated => "not evaluated",
            Self::NotJudged => "not judged",
        }
    }
}

/// The figures asked for: how many, and from how few to how many are taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Asked {
    /// The number in which a key is shown: as many as asked for, of a range the most.
    pub shown: u8,
    /// The fewest that are as asked for.
    pub fewest: u8,
    /// The fewest taken.
    pub least: u8,
    /// The most taken.
    pub most: u8,
}

impl Asked {
    /// What a rule asks for; `data` is the least number of figures of the givens used.
    pub fn of(rule: FiguresRule, data: u8) -> Self {
        let about = |figures: u8| Self {
            shown: figures,
            fewest: figures,
            least: figures.saturating_sub(1).max(2).min(figures.max(1)),
            most: figures.saturating_add(2),
        };
        match rule {
            FiguresRule::Asked(figures) => about(figures),
            FiguresRule::Data => about(data.max(1)),
            FiguresRule::Range(least, most) => Self {
                shown: most,
                fewest: least,
                least,
                most,
            },
        }
    }

    /// What a rule asks for in a part, for the numbers of one student.
    pub fn in_part(rule: FiguresRule, plan: &AnswerPlan, key: &ProblemKey) -> Self {
        let used = plan.depends.iter().filter_map(|slot| key.givens.get(slot));
        Self::of(rule, least_figures(used.copied()))
    }

    /// The figures at which a value carried on is taken to have been rounded, given how many
    /// the answer was written with: two at least, those asked for at most.
    pub fn carried(self, written: Option<u8>) -> u8 {
        written.unwrap_or(self.shown).min(self.shown).max(2)
    }
}

/// The least number of figures of the givens used: what `figures = "data"` asks for. Three where
/// none is used.
pub fn least_figures(givens: impl Iterator<Item = Quantity>) -> u8 {
    let figures = givens.map(|given| given.numeral.figures().most);
    figures.min().unwrap_or(3)
}

/// Judges figures; `None` stands for an exact number.
pub fn judge(written: Option<Figures>, asked: Asked, unevaluated: Leniency) -> FiguresVerdict {
    let Some(Figures { least, most }) = written else {
        return match unevaluated {
            Leniency::Take => FiguresVerdict::Exact,
            Leniency::Charge => FiguresVerdict::Unevaluated,
        };
    };
    if least <= asked.shown && asked.fewest <= most {
        FiguresVerdict::AsAsked
    } else if most < asked.least {
        FiguresVerdict::TooFew
    } else if least > asked.most {
        FiguresVerdict::TooMany
    } else {
        FiguresVerdict::Taken
    }
}
