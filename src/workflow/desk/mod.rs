//! A stack of papers in memory: one sheet, one class, and what the teacher did to each paper.
//!
//! In: a prepared sheet, a roster, what was issued, and acts. Out: for each paper what stands on
//! it, how it was read and how it is marked, at once after each act; the papers that a few letters
//! mean; counts over the class. Pure: no disk, no clock. Refused: a paper whose numbers do not fit
//! the sheet is kept, says why, and is not marked.

mod acts;
mod alike;
mod causes;
mod changes;
mod counts;
pub mod course;
pub(crate) mod exchange;
mod export;
mod find;
mod hand_out;
mod open;
mod points;
mod report;
mod second;
mod several;
mod take_in;
#[cfg(test)]
mod tests;
mod told;
mod understood;
mod watch;
mod writer;

use std::sync::{Arc, OnceLock};

use chrono::NaiveDate;
use rustc_hash::{FxHashMap, FxHashSet};

use crate::assignment::{Part, Units};
use crate::diagnosis::{Classmates, Fit};
use crate::marking::{Explanation, Key, Marked, Marker, Paper, PartMark};
use crate::plan::{Plan, answer_part};
use crate::quantity::Unit;
use crate::record::{Act, ActId, Issue, IssueId, Keyed, Standing};
use crate::roster::{Roster, Student};
use crate::text::DecimalMark;

use super::Prepared;
use super::marked::{classmates, diagnosed};
use super::paper::PaperReader;

pub use changes::Change;
pub use counts::{Counts, Mistake, PartCounts, Progress};
pub use find::handles;
pub use hand_out::{HandOut, HandedOut};
pub use open::Class;
pub use points::Points;
pub use second::Twice;
pub use take_in::CameIn;
pub use understood::Understood;
pub use watch::{News, Watch};
pub use writer::{Outcome, Writer};

/// One sheet and one class.
#[derive(Clone, Debug)]
pub struct Stack {
    prepared: Arc<Prepared>,
    roster: Arc<Roster>,
    class: String,
    decimal: DecimalMark,
    papers: Vec<OnDesk>,
    by_issue: FxHashMap<IssueId, usize>,
    /// The keys of the papers.
    classmates: Arc<Classmates>,
    acts: Vec<Act>,
    /// Those that others did while the stack lay here.
    foreign: FxHashSet<ActId>,
    /// The next provisional number, above those of all stacks that lay on the desk before.
    next: i64,
}

/// One paper of the stack.
#[derive(Clone, Debug)]
pub struct OnDesk {
    /// What was handed out.
    pub issue: Issue,
    /// The day it is due.
    pub due: Option<NaiveDate>,
    /// The student's place on the roster.
    pub student: usize,
    /// The student's own key, or why there is none.
    pub key: Result<Key, String>,
    /// What stands on the paper.
    pub standing: Standing,
    /// How that was read.
    pub paper: Paper,
    /// How it is marked.
    pub marked: Marked,
    /// What the teacher counts for each part, and in all.
    pub points: Points,
    /// Other papers of the stack that its wrong answers fit, the best first. For the teacher alone.
    pub fits: Vec<Fit>,
    /// Misread numbers that could not be used, in words.
    pub faults: Vec<String>,
    /// What may have been done, once that was asked for.
    causes: OnceLock<Vec<Explanation>>,
    /// What finds it: folded id, code, name and initials.
    handles: Vec<String>,
}

impl Stack {
    /// What is prepared of the sheet.
    pub fn plan(&self) -> &Plan {
        &self.prepared.plan
    }

    /// The class's name.
    pub fn class(&self) -> &str {
        &self.class
    }

    /// The class.
    pub fn roster(&self) -> &Roster {
        &self.roster
    }

    /// The papers, in the order of the roster, a student's later issues behind the first.
    pub fn papers(&self) -> &[OnDesk] {
        &self.papers
    }

    /// All acts, in their order.
    pub fn acts(&self) -> &[Act] {
        &self.acts
    }

    /// The student of a paper.
    pub fn student(&self, at: usize) -> Student<'_> {
        let student = self
            .papers
            .get(at)
            .map_or(usize::MAX, |paper| paper.student);
        self.roster.get(student).unwrap_or_default()
    }

    /// The part of that index as the file has it.
    pub fn part(&self, at: usize) -> &Part {
        let plan = self.plan();
        &plan.assignment(at).parts[plan.parts[at].part]
    }

    /// The names of givens that may be misread, with their units.
    pub fn givens(&self) -> Vec<(String, Unit)> {
        let sheet = &self.plan().sheet;
        sheet
            .given_ids()
            .map(|(name, problem, given)| (name, sheet.problems[problem].givens[given].unit))
            .collect()
    }

    /// The unit asked for in a part, if one is and the student writes it.
    pub fn unit(&self, part: usize) -> Option<Unit> {
        let plan = self.plan();
        let answer = answer_part(plan.assignment(part), plan.parts[part].part)?;
        let judged = self.part(part).rules.units == Units::Written;
        (judged && !answer.unit.is_one()).then_some(answer.unit)
    }

    /// Whether a part is judged by eye alone.
    pub fn is_by_eye(&self, part: usize) -> bool {
        self.plan().is_by_eye(part)
    }

    /// The most points that may be keyed for a part by eye: its steps, or all of it.
    pub fn most_by_eye(&self, part: usize) -> usize {
        self.part(part).by_eye().len()
    }

    /// The paper that an issue belongs to.
    pub fn paper_of(&self, issue: IssueId) -> Option<usize> {
        self.by_issue.get(&issue).copied()
    }

    /// Reads and marks a paper anew.
    fn mark(&mut self, at: usize) {
        let prepared = Arc::clone(&self.prepared);
        let plan = &prepared.plan;
        let decimal = self.student(at).decimal;
        let paper = &mut self.papers[at];
        let reader = PaperReader::new(plan, None, self.decimal);
        paper.faults.clear();
        reader.fill_from(
            &paper.standing,
            paper.due,
            decimal,
            &mut paper.paper,
            &mut paper.faults,
        );
        paper.fits.clear();
        paper.causes.take();
        if let Ok(key) = &paper.key {
            let mut marker = Marker::new(plan);
            let papers = (key, &paper.paper);
            paper.marked = diagnosed::mark(plan, &|| prepared.mistakes(), &mut marker, papers);
            let others = (&*self.classmates, at);
            paper.fits = classmates::note(plan, others, &mut marker, papers, &mut paper.marked);
        }
        paper.points = Points::of(plan, &paper.standing, &paper.marked);
    }
}

impl OnDesk {
    /// What was keyed for a part, as it stands in a file of answers; `None` if nobody got there.
    pub fn entry(&self, part: &str) -> Option<&str> {
        self.standing.entry(part).map(Keyed::as_entry)
    }

    /// The proposed mark of a part; `None` where there is no paper.
    pub fn mark(&self, part: usize) -> Option<&PartMark> {
        self.marked.parts.get(part)
    }
}
