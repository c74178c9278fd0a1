//! How far a class is, and how its parts went.
//!
//! In: the papers of a stack. Out: how far each paper is; counts over the class, totals, and for
//! each part its facility and the commonest mistakes.

use rust_decimal::Decimal;

use crate::explain;
use crate::marking::Status;
use crate::plan::Plan;
use crate::record::Attendance;

use super::{OnDesk, Stack};

/// How far a paper is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Progress {
    /// Nobody got there yet.
    ToDo,
    /// Some of its parts are keyed.
    Begun,
    /// Everything is keyed, and something needs the teacher's look.
    Look,
    /// Everything is keyed.
    Done,
    /// There is no paper.
    Absent,
    /// There is none, and none is wanted.
    Excused,
}

impl Progress {
    /// Whether nothing more is to be done.
    pub fn is_settled(self) -> bool {
        matches!(self, Self::Done | Self::Absent | Self::Excused)
    }

    /// Whether nobody got there, or there is no paper.
    pub fn is_nothing(self) -> bool {
        matches!(self, Self::ToDo | Self::Absent | Self::Excused)
    }

    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Self::ToDo => "to do",
            Self::Begun => "begun",
            Self::Look => "needs a look",
            Self::Done => "done",
            Self::Absent => "absent",
            Self::Excused => "excused",
        }
    }
}

impl OnDesk {
    /// How far the paper is.
    pub fn progress(&self, plan: &Plan) -> Progress {
        match self.standing.attendance {
            Some(Attendance::Absent) => return Progress::Absent,
            Some(Attendance::Excused) => return Progress::Excused,
            _ if !self.standing.has_paper() => return Progress::ToDo,
            _ => {}
        }
        let is_open = |part| !self.is_keyed(plan, part) && !self.is_adjusted(plan, part);
        let open = (0..plan.parts.len()).any(is_open);
        let empty = self.standing.attendance == Some(Attendance::Present)
            && self
                .standing
                .parts
                .values()
                .all(|part| part.first.is_none() && part.working.is_none());
        if open && !empty {
            return Progress::Begun;
        }
        let look = self.points.status == Status::NeedsALook || self.key.is_err();
        let differs = self.standing.parts.values().any(|part| part.differs());
        if look || differs || !self.faults.is_empty() {
            Progress::Look
        } else {
            Progress::Done
        }
    }

    /// What may have been done in a part, where the teacher took a diagnosis as the reason.
    pub fn taken_cause(&self, plan: &Plan, part: usize) -> Option<&str> {
        let standing = self.standing.get(&plan.parts.get(part)?.id)?;
        standing.adjustment.as_ref()?.hint.as_deref()
    }

    /// Whether something stands there for a part: an entry, or points where it is judged by eye.
    pub fn is_keyed(&self, plan: &Plan, part: usize) -> bool {
        let id = &plan.parts[part].id;
        if plan.is_by_eye(part) {
            self.standing.working(id).is_some()
        } else {
            self.standing.entry(id).is_some()
        }
    }

    /// Whether the teacher set the points of a part.
    pub fn is_adjusted(&self, plan: &Plan, part: usize) -> bool {
        let standing = self.standing.get(&plan.parts[part].id);
        standing.is_some_and(|part| part.adjustment.is_some())
    }
}

/// Counts over a class.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Counts {
    /// Students whose papers nobody got to yet.
    pub to_do: usize,
    /// Papers that are partly keyed.
    pub begun: usize,
    /// Papers that need a look.
    pub look: usize,
    /// Papers that are done.
    pub done: usize,
    /// Students without a paper.
    pub absent: usize,
    /// Students of whom none is wanted.
    pub excused: usize,
    /// Papers handed in late.
    pub late: usize,
    /// Totals of the papers that are done, in the order of the roster.
    pub totals: Vec<Decimal>,
    /// What a paper is out of.
    pub out_of: Decimal,
    /// Each part.
    pub parts: Vec<PartCounts>,
}

/// How one part went on the papers on which it is keyed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PartCounts {
    /// Papers on which it is keyed.
    pub keyed: usize,
    /// Points earned on them.
    pub points: Decimal,
    /// What they were out of.
    pub out_of: Decimal,
    /// What went wrong, commonest first.
    pub mistakes: Vec<Mistake>,
}

/// A mistake and how many made it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mistake {
    /// In words.
    pub words: String,
    /// On so many papers.
    pub count: usize,
}

impl PartCounts {
    /// Points earned as a share of what there was; nothing before a paper is keyed.
    pub fn facility(&self) -> Option<Decimal> {
        (self.out_of > Decimal::ZERO).then(|| self.points / self.out_of)
    }
}

impl Counts {
    /// How many students have a paper.
    pub fn students(&self) -> usize {
        self.to_do + self.begun + self.look + self.done + self.absent + self.excused
    }

    /// How many need nothing more.
    pub fn settled(&self) -> usize {
        self.done + self.absent + self.excused
    }

    /// Mean of the papers that are done.
    pub fn mean(&self) -> Option<Decimal> {
        let count = self.totals.len();
        (count > 0).then(|| self.totals.iter().sum::<Decimal>() / Decimal::from(count))
    }

    /// Whole points in one step of a histogram of about five.
    pub fn step(&self) -> Decimal {
        (self.out_of / Decimal::from(5)).ceil().max(Decimal::ONE)
    }

    /// How many totals lie in each step of so many points, from 0 on; full marks are in the last.
    pub fn histogram(&self, step: Decimal) -> Vec<usize> {
        if step <= Decimal::ZERO {
            return Vec::new();
        }
        let at = |points: Decimal| usize::try_from((points / step).floor()).unwrap_or(0);
        let last = usize::try_from((self.out_of / step).ceil())
            .unwrap_or(0)
            .max(1)
            - 1;
        let mut counts = vec![0; last + 1];
        for total in &self.totals {
            counts[at(*total).min(last)] += 1;
        }
        counts
    }
}

impl Stack {
    /// Counts over the class. Of a student with several papers the one that counts is looked at.
    pub fn counts(&self) -> Counts {
        let plan = self.plan();
        let mut counts = Counts {
            out_of: plan.sheet.points(),
            parts: vec![PartCounts::default(); plan.parts.len()],
            ..Counts::default()
        };
        for at in self.counting() {
            let paper = &self.papers[at];
            let progress = paper.progress(plan);
            let count = match progress {
                Progress::ToDo => &mut counts.to_do,
                Progress::Begun => &mut counts.begun,
                Progress::Look => &mut counts.look,
                Progress::Done => &mut counts.done,
                Progress::Absent => &mut counts.absent,
                Progress::Excused => &mut counts.excused,
            };
            *count += 1;
            counts.late += usize::from(paper.paper.days_late > 0);
            if progress == Progress::Done {
                counts.totals.push(paper.points.total);
            }
            for (at, (mark, part)) in paper.marked.parts.iter().zip(&mut counts.parts).enumerate() {
                if !paper.is_keyed(plan, at) {
                    continue;
                }
                part.keyed += 1;
                part.points += paper.points.parts.get(at).copied().unwrap_or_default();
                part.out_of += mark.out_of;
                let taken = paper.taken_cause(plan, at);
                let taken = taken.filter(|_| !mark.verdict.is_right());
                let taken = taken.map(str::to_owned);
                let unexplained = || explain::mistake(plan, at, mark);
                if let Some(words) = taken.or_else(unexplained) {
                    match part
                        .mistakes
                        .iter_mut()
                        .find(|mistake| mistake.words == words)
                    {
                        Some(mistake) => mistake.count += 1,
                        None => part.mistakes.push(Mistake { words, count: 1 }),
                    }
                }
            }
        }
        for part in &mut counts.parts {
            part.mistakes
                .sort_by_key(|mistake| std::cmp::Reverse(mistake.count));
        }
        counts
    }
}
