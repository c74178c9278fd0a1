//! What a file of answers would add to the stack, or change on it.
//!
//! In: the file. Out: the acts that would key it, each with what stands there now; nothing for what
//! stands there already. The acts are those that `mark` puts into the record for the same file, but that
//! `mark` also notes as absent who has no row: on the desk the rest may lie in the stack still.
//! Refused: what the reader of answers refuses.

use std::path::Path;

use chrono::NaiveDate;

use crate::answer::sheet::Codes;
use crate::diagnostic::{Diagnostic, Place};
use crate::files;
use crate::record::{Attendance, Deed, Keyed};
use crate::table::Declared;
use crate::table::declared::Options;
use crate::table::encoding::Encoding;
use crate::variant::PaperCode;

use super::super::Failure;
use super::super::import::{self, AnswersFile, Asked};
use super::Stack;

/// One thing that a file of answers would do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// The paper.
    pub paper: usize,
    /// What would be done.
    pub deed: Deed,
    /// What it is about: a part, a part's working, a given.
    pub about: String,
    /// What stands there now; empty for nothing.
    pub before: String,
    /// What would stand there.
    pub after: String,
}

impl Stack {
    /// What the answers in the file at `path` would add or change, and what was found on the way.
    ///
    /// # Errors
    /// As the reader of answers.
    pub fn changes(
        &self,
        path: &Path,
        encoding: Option<Encoding>,
    ) -> Result<(Vec<Change>, Vec<Diagnostic>), Failure> {
        let name = path.to_string_lossy();
        let plan = self.plan();
        let fault = |list| Failure::input(list, Vec::new());
        let codes: Codes = self
            .papers
            .iter()
            .map(|paper| (paper.issue.code, paper.student))
            .collect();
        let asked = Asked {
            plan,
            roster: self.roster(),
            decimal: self.decimal,
            codes: &codes,
        };
        // Without a code, answers belong to the paper issued last.
        let paper = |student: usize, code: Option<PaperCode>| {
            let papers = self.papers.iter().enumerate().rev();
            let mut meant = papers.filter(|(_, paper)| {
                paper.student == student && code.is_none_or(|code| code == paper.issue.code)
            });
            meant.next().map(|(at, paper)| (at, &paper.standing))
        };
        let file = AnswersFile {
            input: files::open(path)?,
            name: &name,
            // What else is to be said can be said to `mark`.
            declared: Declared {
                encoding,
                options: Options::AnswersAtDesk,
                ..Declared::default()
            },
        };
        let import = import::read(file, &asked, paper).map_err(fault)?;
        let mut findings = import.findings;
        let mut changes = Vec::new();
        for said in import.students {
            let Some(at) = said.paper else {
                let id = self.roster.id(said.student);
                let message = format!("student {id}: no paper was issued");
                findings.push(Diagnostic::warning(&name, Place::File, message));
                continue;
            };
            findings.extend(said.faults);
            changes.extend(said.deeds.into_iter().map(|deed| self.change(at, deed)));
        }
        Ok((changes, findings))
    }

    /// An act beside what stands there now.
    fn change(&self, paper: usize, deed: Deed) -> Change {
        let standing = &self.papers[paper].standing;
        let shown = |points: Option<u8>| points.map_or_else(String::new, |p| p.to_string());
        let said = |attendance: Option<Attendance>| attendance.map_or("", Attendance::name);
        let (about, before, after) = match &deed {
            Deed::Entry { part, text, .. } => {
                let before = standing.entry(part).map_or("", Keyed::as_entry);
                (format!("({part})"), before.to_owned(), text.clone())
            }
            Deed::Working { part, points } => {
                let before = shown(standing.working(part));
                (format!("({part}) by eye"), before, shown(*points))
            }
            Deed::Misread { given, value } => {
                let before = standing.misread.get(given).cloned();
                let after = value.clone().unwrap_or_default();
                (
                    format!("{given} misread"),
                    before.unwrap_or_default(),
                    after,
                )
            }
            Deed::Attend { attendance } => {
                let (before, after) = (said(standing.attendance), said(Some(*attendance)));
                ("paper".to_owned(), before.to_owned(), after.to_owned())
            }
            Deed::HandedIn { day } => {
                let told = |day: Option<NaiveDate>| day.map_or_else(String::new, |d| d.to_string());
                ("handed in".to_owned(), told(standing.handed_in), told(*day))
            }
            // A file of answers says nothing else.
            _ => (String::new(), String::new(), String::new()),
        };
        Change {
            paper,
            deed,
            about,
            before,
            after,
        }
    }
}
