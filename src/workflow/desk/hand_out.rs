//! Hands papers out from the desk, and once more.
//!
//! In: an assignment of the course folder, a class, a day due; or a stack and students. Out: what handing
//! out would do, then the same done by [`workflow::issue`](super::super::issue) or
//! [`workflow::reissue`](super::super::reissue), on the thread that owns the record. No rule about
//! papers is here.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use chrono::{DateTime, NaiveDate, Utc};

use crate::record::{OpenMode, Record, RosterFile};
use crate::text::safe;

use super::super::{
    Again, Failure, IssueOutcome, IssueRequest, issue, load, prepare, reissue, roster,
};
use super::Stack;
use super::course::roster_in;

/// Handing out papers of one assignment to one class.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HandOut {
    /// The course folder.
    pub root: PathBuf,
    /// The assignment's file.
    pub file: PathBuf,
    /// The class.
    pub class: String,
    /// The day the papers are due.
    pub due: Option<NaiveDate>,
    /// The assignment's code.
    pub code: String,
    /// Students of the class.
    pub students: usize,
    /// Those who would get a paper.
    pub new: usize,
}

impl HandOut {
    /// What handing out would do; nothing is changed.
    ///
    /// # Errors
    /// An assignment or a roster that cannot be read.
    pub fn consider(
        root: &Path,
        file: &Path,
        class: &str,
        due: Option<NaiveDate>,
        record: &Record,
    ) -> Result<Self, Failure> {
        let sheet = load(file)?.sheet;
        let place = place(record, root, class)?;
        let (roster, _) = roster(&root.join(&place.path), &place.columns())?;
        let issues = record.issues(&sheet.code)?;
        let has = |id: &str| {
            let mut issues = issues.iter();
            issues.any(|issue| issue.class == class && issue.student == id)
        };
        let new = roster.iter().filter(|student| !has(student.id)).count();
        Ok(Self {
            root: root.to_owned(),
            file: file.to_owned(),
            class: class.to_owned(),
            due,
            code: sheet.code,
            students: roster.len(),
            new,
        })
    }

    /// What would be done, in words.
    pub fn words(&self) -> String {
        let (class, code) = (safe(&self.class), safe(&self.code));
        let who = match (self.new, self.students) {
            (0, all) => format!("All {all} students of {class} have a paper of {code}"),
            (new, all) if new == all => {
                format!(
                    "{all} students of {class} get a paper of {code}, each with their own numbers"
                )
            }
            (new, all) => format!(
                "{new} of {all} students of {class} have no paper of {code} yet and get one, with numbers that nobody has"
            ),
        };
        let due = match self.due {
            Some(day) if self.new == self.students => format!(", due {day}"),
            Some(day) => format!("; all are due {day} then"),
            None => String::new(),
        };
        format!("{who}{due}. No undo takes papers back.")
    }

    /// Whether it would do anything.
    pub fn does_something(&self) -> bool {
        self.new > 0 || self.due.is_some()
    }

    /// Does it. A record that is not kept yet becomes the file at `path`.
    ///
    /// # Errors
    /// As `issue`; then nothing is handed out.
    pub fn carry_out(
        &self,
        path: &Path,
        now: DateTime<Utc>,
        record: &mut Record,
    ) -> Result<IssueOutcome, Failure> {
        let prepared = prepare(load(&self.file)?)?;
        let place = place(record, &self.root, &self.class)?;
        let (roster, _) = roster(&self.root.join(&place.path), &place.columns())?;
        if record.path().is_none() {
            *record = Record::open(path, OpenMode::Create)?;
        }
        let request = IssueRequest {
            prepared: &prepared,
            roster: &roster,
            class: &self.class,
            class_is_said: false,
            file: place,
            due: self.due,
            now,
        };
        issue(&request, record)
    }
}

/// Where the roster of a class lies: as the record knows it, or else in the course folder.
fn place(record: &Record, root: &Path, class: &str) -> Result<RosterFile, Failure> {
    match record.roster_of(class)? {
        Some(known) => Ok(known),
        None => roster_in(root, class),
    }
}

impl Stack {
    /// Gives students of the stack another paper, once it is given the record.
    pub fn reissue(
        &self,
        students: Vec<String>,
        due: Option<NaiveDate>,
        now: DateTime<Utc>,
    ) -> impl FnOnce(&mut Record) -> Result<IssueOutcome, Failure> + Send + 'static {
        let prepared = Arc::clone(&self.prepared);
        let roster = Arc::clone(&self.roster);
        let class = self.class.clone();
        move |record| {
            let request = IssueRequest {
                prepared: &prepared,
                roster: &roster,
                class: &class,
                class_is_said: true,
                file: record.roster_of(&class)?.unwrap_or_default(),
                due,
                now,
            };
            reissue(&request, &Again::Students(students), record)
        }
    }
}
