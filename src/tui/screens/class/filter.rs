//! Which papers of the class are listed.
//!
//! In: the stack, a filter. Out: whether a paper is listed under it.

use crate::workflow::desk::{Progress, Stack};

/// Which papers are listed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Filter {
    /// All.
    #[default]
    All,
    /// To do or begun.
    Open,
    /// Needs a look.
    Look,
    /// Absent or excused.
    Away,
    /// Handed in late.
    Late,
    /// With points the teacher set.
    Adjusted,
    /// Keyed twice, differently.
    Differs,
}

impl Filter {
    const ALL: [(Self, &'static str); 7] = [
        (Self::All, "all"),
        (Self::Open, "to do"),
        (Self::Look, "needs a look"),
        (Self::Away, "absent, excused"),
        (Self::Late, "late"),
        (Self::Adjusted, "adjusted"),
        (Self::Differs, "keyed differently"),
    ];

    pub(super) fn name(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(filter, _)| *filter == self)
            .map_or("", |(_, name)| name)
    }

    pub(super) fn next(self) -> Self {
        let at = Self::ALL
            .iter()
            .position(|(filter, _)| *filter == self)
            .unwrap_or(0);
        Self::ALL[(at + 1) % Self::ALL.len()].0
    }

    pub(super) fn holds(self, stack: &Stack, at: usize) -> bool {
        let paper = &stack.papers()[at];
        let plan = stack.plan();
        let progress = paper.progress(plan);
        match self {
            Self::All => true,
            Self::Open => matches!(progress, Progress::ToDo | Progress::Begun),
            Self::Look => progress == Progress::Look,
            Self::Away => matches!(progress, Progress::Absent | Progress::Excused),
            Self::Late => paper.paper.days_late > 0,
            Self::Adjusted => (0..plan.parts.len()).any(|part| paper.is_adjusted(plan, part)),
            Self::Differs => (0..plan.parts.len()).any(|part| stack.differs(at, part)),
        }
    }
}
