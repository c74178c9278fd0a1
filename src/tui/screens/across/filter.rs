//! Which papers are gone through.
//!
//! In: a stack, a part. Out: whether a paper is meant, by how the part was marked there or what the teacher
//! said of it.

use crate::explain;
use crate::marking::{Reason, Verdict};
use crate::workflow::desk::Stack;

/// Which papers are gone through.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Filter {
    /// All on which the part is keyed.
    #[default]
    All,
    /// Points for working are still to be keyed.
    Open,
    /// The part needs a look.
    Look,
    /// Wrong, with nothing foreseen that fits.
    Wrong,
    /// A foreseen slip.
    Slip,
    /// It follows from the student's own answers.
    Followed,
    /// A fault of unit or figures.
    Units,
    /// With so many points for working, the number typed.
    Points(u8),
    /// With points the teacher set.
    Adjusted,
    /// Marked for the same reason as the paper whose points were set, and that paper.
    Alike,
    /// The second marking gives other points than the first.
    Differs,
}

impl Filter {
    pub(super) fn name(self) -> String {
        match self {
            Self::All => "all".to_owned(),
            Self::Open => "working open".to_owned(),
            Self::Look => "needs a look".to_owned(),
            Self::Wrong => format!("wrong, {}", explain::UNFORESEEN),
            Self::Slip => "foreseen slip".to_owned(),
            Self::Followed => "followed".to_owned(),
            Self::Units => "unit or figures".to_owned(),
            Self::Points(points) => format!("{points} for working"),
            Self::Adjusted => "adjusted".to_owned(),
            Self::Alike => "the same reason as where points were set".to_owned(),
            Self::Differs => "two markings differ".to_owned(),
        }
    }

    /// The next, with each number of points there may be for working.
    pub(super) fn next(self, most: u8) -> Self {
        match self {
            Self::All => Self::Open,
            Self::Open => Self::Look,
            Self::Look => Self::Wrong,
            Self::Wrong => Self::Slip,
            Self::Slip => Self::Followed,
            Self::Followed => Self::Units,
            Self::Units if most > 0 => Self::Points(0),
            Self::Points(points) if points < most => Self::Points(points + 1),
            Self::Units | Self::Points(_) => Self::Adjusted,
            Self::Adjusted => Self::Alike,
            Self::Alike => Self::Differs,
            Self::Differs => Self::All,
        }
    }

    pub(super) fn holds(self, stack: &Stack, at: usize, part: usize) -> bool {
        let paper = &stack.papers()[at];
        let plan = stack.plan();
        let away = paper.progress(plan).is_nothing();
        let Some(mark) = paper.mark(part).filter(|_| !away) else {
            return false;
        };
        let id = &plan.parts[part].id;
        match self {
            Self::All => true,
            Self::Open => mark.reasons.contains(&Reason::WorkingOpen),
            Self::Look => mark.look && !paper.is_adjusted(plan, part),
            Self::Wrong => {
                let is_wrong = matches!(mark.verdict, Verdict::Wrong | Verdict::Several);
                is_wrong && paper.taken_cause(plan, part).is_none()
            }
            Self::Slip => matches!(mark.verdict, Verdict::Slip | Verdict::WrongSign),
            Self::Followed => mark.verdict == Verdict::Followed,
            Self::Units => {
                mark.unit.is_some_and(|unit| unit.is_fault())
                    || mark.figures.is_some_and(|figures| figures.is_fault())
            }
            Self::Points(points) => paper.standing.working(id) == Some(points),
            Self::Adjusted => paper.is_adjusted(plan, part),
            // Which these are is found for all papers at once.
            Self::Alike => false,
            Self::Differs => {
                let first = paper.points.parts.get(part);
                let second = paper
                    .standing
                    .get(id)
                    .and_then(|part| part.opinions.values().next_back());
                second.is_some_and(|second| Some(&second.points) != first)
            }
        }
    }
}
