//! A sheet and what the record holds of it for one class.
//!
//! In: an open record, the code of the sheet, the class. Out: the papers that were issued, what stands
//! on each, when each is due.

use std::path::Path;

use chrono::NaiveDate;
use rust_decimal::Decimal;
use rustc_hash::{FxHashMap, FxHashSet};

use crate::assignment::{ReissueCounts, Sheet};
use crate::diagnostic::{Diagnostic, Place};
use crate::record::{Act, ActId, Deed, Dues, Filed, Issue, IssueId, Record, RecordError, Standing};
use crate::roster::Roster;
use crate::variant::PaperCode;

use super::{Failure, Prepared};

/// The files of a sheet as they are now, the way the record keeps them.
pub fn filed(prepared: &Prepared) -> Filed {
    let texts = prepared.sources.iter();
    let texts: Vec<(String, String)> = texts
        .map(|source| {
            let path = Path::new(&source.name);
            let name = path.file_name().unwrap_or(path.as_os_str());
            (name.to_string_lossy().into_owned(), source.text.clone())
        })
        .collect();
    let sheet = &prepared.plan.sheet;
    Filed {
        digest: Filed::digest(texts.iter().map(|(_, text)| text.as_str())),
        sheet: sheet.code.clone(),
        title: sheet.title.clone(),
        texts,
    }
}

/// The papers of one sheet, of one class or of all.
#[derive(Debug, Default)]
pub struct Kept {
    /// In the order in which they were issued.
    pub issues: Vec<Issue>,
    /// All acts about these papers, in their order.
    pub acts: Vec<Act>,
    /// When papers are due.
    pub dues: Dues,
    standings: FxHashMap<IssueId, Standing>,
    /// By student, places in `issues`, which rise with the papers' numbers.
    students: FxHashMap<String, Vec<usize>>,
}

impl Kept {
    /// Reads what the record holds of a sheet for a class.
    ///
    /// # Errors
    /// A record that cannot be read.
    pub fn of(record: &Record, sheet: &str, class: &str) -> Result<Self, RecordError> {
        let mut issues = record.issues(sheet)?;
        issues.retain(|issue| issue.class == class);
        let mut students: FxHashMap<String, Vec<usize>> = FxHashMap::default();
        for (at, issue) in issues.iter().enumerate() {
            students.entry(issue.student.clone()).or_default().push(at);
        }
        let mut kept = Self {
            issues,
            dues: record.dues(sheet)?,
            students,
            ..Self::default()
        };
        kept.catch_up(record, sheet)?;
        Ok(kept)
    }

    /// The same where papers have to have been issued to the class.
    ///
    /// # Errors
    /// None were, with what to do; a record that cannot be read.
    pub fn of_issued(record: &Record, sheet: &Sheet, class: &str) -> Result<Self, Failure> {
        let kept = Self::of(record, &sheet.code, class)?;
        kept.has_issued(record, sheet, class, "`issue` hands papers out")?;
        Ok(kept)
    }

    /// Refuses a class to which no paper of the sheet was issued; `otherwise` is what to do where no class has
    /// one.
    ///
    /// # Errors
    /// As said, with what to do.
    pub(super) fn has_issued(
        &self,
        record: &Record,
        sheet: &Sheet,
        class: &str,
        otherwise: &str,
    ) -> Result<(), Failure> {
        if !self.issues.is_empty() {
            return Ok(());
        }
        let code = &sheet.code;
        let message = format!("no paper of `{code}` was issued to the class `{class}`");
        let error = Diagnostic::error(record.name(), Place::File, message);
        let classes = classes(record, code)?;
        Err(Failure::of(match classes.as_slice() {
            [] => error.help(otherwise),
            [one] => error.help(format!(
                "{otherwise}; papers were issued to: {one}: only if these are the same students, add --class {one}"
            )),
            several => error.help(format!(
                "{otherwise}; papers were issued to: {}: only if one of them is these students, name it with --class",
                several.join(", ")
            )),
        }))
    }

    /// Reads the acts that came since.
    ///
    /// # Errors
    /// A record that cannot be read.
    pub fn catch_up(&mut self, record: &Record, sheet: &str) -> Result<(), RecordError> {
        let last = self.acts.last().map_or(ActId(0), |act| act.id);
        let mine: FxHashSet<IssueId> = self.issues.iter().map(|at| at.id).collect();
        let new = record.acts_after(sheet, last)?;
        self.acts
            .extend(new.into_iter().filter(|act| mine.contains(&act.issue)));
        let mut by_issue: FxHashMap<IssueId, Vec<&Act>> = FxHashMap::default();
        for act in &self.acts {
            by_issue.entry(act.issue).or_default().push(act);
        }
        self.standings = by_issue
            .into_iter()
            .map(|(issue, acts)| (issue, Standing::of(acts)))
            .collect();
        Ok(())
    }

    /// A student's papers, from the first to the latest.
    pub fn papers_of(&self, student: &str) -> impl DoubleEndedIterator<Item = &Issue> {
        let places = self.students.get(student).map_or(&[][..], Vec::as_slice);
        places.iter().filter_map(|at| self.issues.get(*at))
    }

    /// A student's latest paper, on which what is keyed goes.
    pub fn latest(&self, student: &str) -> Option<&Issue> {
        self.papers_of(student).next_back()
    }

    /// Whether a paper is its student's latest.
    pub fn is_latest(&self, issue: &Issue) -> bool {
        self.latest(&issue.student)
            .is_some_and(|latest| latest.id == issue.id)
    }

    /// The latest paper of each student who has one, in the order of the roster.
    pub fn latest_of(&self, roster: &Roster) -> Vec<Issue> {
        let papers = roster.iter().filter_map(|student| self.latest(student.id));
        papers.cloned().collect()
    }

    /// Whether anything was keyed or noted of a student: that there is a paper, or none.
    pub fn is_known(&self, student: &str) -> bool {
        self.papers_of(student).any(|issue| {
            let standing = self.standing(issue.id);
            standing.attendance.is_some() || standing.has_paper()
        })
    }

    /// The paper that carries a code.
    pub fn coded(&self, code: PaperCode) -> Option<&Issue> {
        self.issues.iter().find(|issue| issue.code == code)
    }

    /// Whether the teacher keyed or took back something on a paper after an act.
    pub fn is_keyed_since(&self, issue: IssueId, act: ActId) -> bool {
        let since = self.acts.iter().rev().take_while(|at| at.id > act);
        since
            .filter(|at| at.issue == issue)
            .any(|at| at.deed.moves_proposal() || matches!(at.deed, Deed::TakeBack { .. }))
    }

    /// What stands on a paper.
    pub fn standing(&self, issue: IssueId) -> &Standing {
        const NOTHING: &Standing = &Standing::NOTHING;
        self.standings.get(&issue).unwrap_or(NOTHING)
    }

    /// The day a paper is due.
    pub fn due(&self, issue: &Issue) -> Option<NaiveDate> {
        self.dues.of(issue)
    }

    /// The papers that may count for a student, best last: of those handed in the first or the latest, or
    /// all of them where the best counts. Where none was handed in, the latest.
    pub fn counting(&self, student: &str, rule: ReissueCounts) -> Vec<&Issue> {
        let papers: Vec<&Issue> = self.papers_of(student).collect();
        let handed_in = papers
            .iter()
            .map(|issue| self.standing(issue.id).has_paper());
        let places = may_count(handed_in, rule).into_iter();
        places.filter_map(|at| papers.get(at).copied()).collect()
    }
}

/// The classes that have papers of a sheet, in the order in which they got them.
///
/// # Errors
/// A record that cannot be read.
pub fn classes(record: &Record, sheet: &str) -> Result<Vec<String>, RecordError> {
    let mut classes: Vec<String> = Vec::new();
    for issue in record.issues(sheet)? {
        if !classes.contains(&issue.class) {
            classes.push(issue.class);
        }
    }
    Ok(classes)
}

/// Of a student's papers, told by whether each was handed in, the places of those that may count: see
/// [`Kept::counting`].
pub(super) fn may_count(
    handed_in: impl ExactSizeIterator<Item = bool>,
    rule: ReissueCounts,
) -> Vec<usize> {
    let last = handed_in.len().checked_sub(1);
    let mut places: Vec<usize> = handed_in
        .enumerate()
        .filter_map(|(at, handed_in)| handed_in.then_some(at))
        .collect();
    if places.is_empty() {
        return last.into_iter().collect();
    }
    match rule {
        ReissueCounts::Best => places,
        ReissueCounts::First => {
            places.truncate(1);
            places
        }
        ReissueCounts::Latest => places.split_off(places.len() - 1),
    }
}

/// Of papers that may count the one that does: that of the highest total, of equal ones the last.
pub(super) fn best<T>(
    papers: impl IntoIterator<Item = T>,
    total: impl Fn(&T) -> Decimal,
) -> Option<T> {
    papers.into_iter().max_by_key(total)
}
