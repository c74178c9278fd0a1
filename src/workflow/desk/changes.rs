//! What a file of answers would add to the stack, or change on it.
//!
//! In: the file. Out: the acts that would key it, each with what stands there now; nothing for what
//! stands there already. The acts are those that `mark` puts into the record for the same file.
//! Refused: what the reader of answers refuses.

use std::path::Path;

use chrono::NaiveDate;

use crate::answer::sheet::{Answers, Codes, StudentEntries};
use crate::diagnostic::{Diagnostic, Place};
use crate::files;
use crate::marking::Paper;
use crate::record::{Attendance, Deed, Keyed};

use super::super::paper::{Desk, columns, givens};
use super::super::{Failure, import};
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
    pub fn changes(&self, path: &Path) -> Result<(Vec<Change>, Vec<Diagnostic>), Failure> {
        let name = path.to_string_lossy();
        let plan = self.plan();
        let fault = |list| Failure::input(list, Vec::new());
        let columns = columns(&plan.sheet);
        let codes: Codes = self
            .papers
            .iter()
            .map(|paper| (paper.issue.code, paper.student))
            .collect();
        let input = files::open(path)?;
        let answers = Answers::scan_with(input, &name, self.roster(), &columns, &codes);
        let mut answers = answers.map_err(fault)?;
        let mut findings = answers.findings().to_vec();
        let typed: Vec<Option<String>> = (0..self.roster.len())
            .map(|at| answers.code(at).map(str::to_owned))
            .collect();
        let desk = Desk::new(plan, None, self.decimal);
        let mut reader = answers.reader().map_err(|finding| fault(vec![*finding]))?;
        let mut entries = StudentEntries::default();
        let mut read = Paper::default();
        let mut changes = Vec::new();
        for (student, who) in self.roster.iter().enumerate() {
            let there = reader.read(student, &mut entries);
            if !there.map_err(|finding| fault(vec![*finding]))? {
                continue;
            }
            let code = typed.get(student).and_then(Option::as_deref);
            let is_meant = |at: &usize| {
                let paper = &self.papers[*at];
                let coded = code.is_none_or(|code| code.parse() == Ok(paper.issue.code));
                paper.student == student && coded
            };
            // Without a code, answers belong to the paper issued last.
            let Some(at) = (0..self.papers.len()).rev().find(is_meant) else {
                let message = format!("student {}: no paper was issued", who.id);
                findings.push(Diagnostic::warning(&name, Place::File, message));
                continue;
            };
            let mut faults = Vec::new();
            desk.fill(&entries, who.decimal, &mut read, &mut faults);
            findings.extend(faults.into_iter().map(|why| {
                let message = format!("student {}, {why}", who.id);
                Diagnostic::warning(&name, Place::File, message).help("it counts as not keyed")
            }));
            let is_read = |problem: usize, given: usize| {
                let mut misread = read.misread.iter();
                misread.any(|(p, g, _)| (*p, *g) == (problem, given))
            };
            let misread = givens(&plan.sheet).enumerate();
            let misread = misread
                .filter(|(_, (_, problem, given))| is_read(*problem, *given))
                .map(|(index, (name, ..))| (name, entries.given(index).trim().to_owned()))
                .collect();
            let paper = &self.papers[at];
            let row = import::Row {
                plan,
                entries: &entries,
                misread,
                standing: &paper.standing,
            };
            let acts = row.acts(paper.issue.id, paper.issue.at);
            changes.extend(acts.into_iter().map(|act| self.change(at, act.deed)));
        }
        Ok((changes, findings))
    }

    /// An act beside what stands there now.
    fn change(&self, paper: usize, deed: Deed) -> Change {
        let standing = &self.papers[paper].standing;
        let shown = |points: Option<u8>| points.map_or_else(String::new, |p| p.to_string());
        let said = |attendance: Option<Attendance>| match attendance {
            Some(Attendance::Absent) => "absent",
            Some(Attendance::Excused) => "excused",
            Some(Attendance::Present) => "present",
            None => "",
        };
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
