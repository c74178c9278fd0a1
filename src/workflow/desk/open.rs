//! Lays a stack on the desk.
//!
//! In: a prepared sheet, a class, what the record holds of both. Out: the stack, every paper marked
//! once. A paper whose numbers do not fit today's file is kept and says so. For a one-off the
//! roster is issued on the spot, in a record that lives as long as the program.

use std::path::Path;
use std::sync::{Arc, OnceLock};

use chrono::{DateTime, Utc};
use rustc_hash::{FxHashMap, FxHashSet};

use crate::diagnosis::Classmates;
use crate::marking::{Key, Marked, Paper, Status};
use crate::plan::Plan;
use crate::record::{Act, Dues, Issue, IssueId, Record, RosterFile, Standing};
use crate::roster::Roster;
use crate::text::DecimalMark;

use super::super::{
    Failure, IssueRequest, Kept, Prepared, issue, key_of, known_roster, load, prepare,
};
use super::{OnDesk, Points, Stack, handles};

/// A class as it was read.
#[derive(Clone, Debug)]
pub struct Class {
    /// Its students.
    pub roster: Arc<Roster>,
    /// Its name.
    pub name: String,
    /// The decimal mark of students for whom the roster does not say it.
    pub decimal: DecimalMark,
}

impl Class {
    /// Reads a class where the record says that its roster lies, in the course folder `root`.
    ///
    /// # Errors
    /// A roster that cannot be read.
    pub fn read(root: &Path, name: &str, file: &RosterFile) -> Result<Self, Failure> {
        let (roster, _) = known_roster(root, name, file)?;
        Ok(Self {
            roster: Arc::new(roster),
            name: name.to_owned(),
            decimal: file.decimal(),
        })
    }
}

impl OnDesk {
    /// A paper as it was handed out, about which nothing is known yet; `None` if its student is not on
    /// the roster.
    pub(super) fn unmarked(
        plan: &Plan,
        roster: &Roster,
        issue: Issue,
        dues: &Dues,
    ) -> Option<Self> {
        let student = roster.find(&issue.student)?;
        let mut key = Key::default();
        let solved = key_of(plan, &issue, &mut key).map_err(|fault| fault.message);
        let marked = Marked::nothing(Status::NeedsALook, plan.sheet.points());
        let standing = Standing::default();
        Some(Self {
            handles: handles(&issue, &roster.get(student)?),
            due: dues.of(&issue),
            issue,
            student,
            key: solved.map(|()| key),
            points: Points::of(plan, &standing, &marked),
            standing,
            paper: Paper::default(),
            marked,
            fits: Vec::new(),
            faults: Vec::new(),
            causes: OnceLock::new(),
        })
    }

    /// Papers lie in the order of the roster, a student's later issues behind the first.
    pub(super) fn place(&self) -> (usize, u32) {
        (self.student, self.issue.number)
    }
}

/// The keys of the papers, by where they lie. One without a key fits nothing, and has a place all the same.
pub(super) fn classmates(plan: &Plan, papers: &[OnDesk]) -> Classmates {
    let none = Key::default();
    let keys = papers
        .iter()
        .map(|paper| paper.key.as_ref().unwrap_or(&none));
    Classmates::of(plan, keys)
}

/// Where each issue lies.
pub(super) fn places(papers: &[OnDesk]) -> FxHashMap<IssueId, usize> {
    let papers = papers.iter().enumerate();
    papers.map(|(at, paper)| (paper.issue.id, at)).collect()
}

impl Stack {
    /// Reads and prepares the sheet in the file at `path`.
    ///
    /// # Errors
    /// All that is wrong with it.
    pub fn sheet(path: &Path) -> Result<Arc<Prepared>, Failure> {
        Ok(Arc::new(prepare(load(path)?)?))
    }

    /// The papers of a class with what was done to them.
    pub fn open(prepared: Arc<Prepared>, class: Class, kept: Kept) -> Self {
        let Kept {
            issues, acts, dues, ..
        } = kept;
        let lay = |issue| OnDesk::unmarked(&prepared.plan, &class.roster, issue, &dues);
        let mut papers: Vec<OnDesk> = issues.into_iter().filter_map(lay).collect();
        papers.sort_by_key(OnDesk::place);
        let by_issue = places(&papers);
        let classmates = Arc::new(classmates(&prepared.plan, &papers));
        let mut stack = Self {
            prepared,
            roster: class.roster,
            class: class.name,
            decimal: class.decimal,
            papers,
            by_issue,
            classmates,
            acts: Vec::new(),
            foreign: FxHashSet::default(),
            next: 0,
        };
        stack.lay(acts);
        stack
    }

    /// Numbers its acts on from where the stack that lay on the desk before it got to: both share one
    /// [`Writer`](super::Writer), and what that says of one must not be taken for the other.
    pub fn number_on_from(&mut self, before: &Self) {
        self.next = self.next.max(before.next);
    }

    /// Issues every student of the class a paper in a record of its own, for a one-off.
    ///
    /// # Errors
    /// Requirements that cannot be met for so many, a draw without a key.
    pub fn one_off(
        prepared: &Prepared,
        class: &Class,
        now: DateTime<Utc>,
    ) -> Result<Record, Failure> {
        let mut record = Record::in_memory()?;
        let request = IssueRequest {
            prepared,
            roster: &class.roster,
            class: &class.name,
            class_is_said: true,
            file: RosterFile {
                comma: class.decimal == DecimalMark::Comma,
                ..RosterFile::default()
            },
            due: None,
            now,
        };
        issue(&request, &mut record)?;
        Ok(record)
    }

    /// Folds all acts and marks every paper once.
    fn lay(&mut self, acts: Vec<Act>) {
        self.acts = acts;
        self.acts
            .retain(|act| self.by_issue.contains_key(&act.issue));
        self.fold((0..self.papers.len()).collect());
    }

    /// Folds the acts about some papers anew, and marks these.
    pub(super) fn fold(&mut self, mut papers: Vec<usize>) {
        papers.sort_unstable();
        papers.dedup();
        let mut by_paper: FxHashMap<usize, Vec<&Act>> =
            papers.iter().map(|&at| (at, Vec::new())).collect();
        for act in &self.acts {
            if let Some(own) = by_paper.get_mut(&self.by_issue[&act.issue]) {
                own.push(act);
            }
        }
        let standings: Vec<(usize, Standing)> = by_paper
            .into_iter()
            .map(|(at, acts)| (at, Standing::of(acts)))
            .collect();
        for (at, standing) in standings {
            self.papers[at].standing = standing;
            self.mark(at);
        }
    }
}
