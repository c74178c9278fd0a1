//! Whether a record is in order.
//!
//! In: an open record. Out: everything that is wrong with it: what SQLite finds, and what breaks our
//! own rules. Nothing is mended.

use rusqlite::Connection;
use rustc_hash::{FxHashMap, FxHashSet};

use super::error::{Files, RecordError};
use super::{Record, rows};
use crate::diagnostic::{Diagnostic, Place};
use crate::files::owner;
use crate::quantity::Quantity;
use crate::record::act::{ActId, Deed, IssueId};
use crate::record::issue::{Filed, FiledFigure, Issue};

/// Faults told at most.
const MOST: usize = 20;

/// What `check` counted on its way.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Checked {
    /// Papers issued.
    pub issues: usize,
    /// Acts about them.
    pub acts: usize,
    /// What is wrong, as errors, and what should not be, as warnings.
    pub findings: Vec<Diagnostic>,
}

impl Record {
    /// Checks the whole record: SQLite's own checks; every row can be read; kept files and figures are what
    /// their digests say; each issue has its files and its figures, and values with units; each act is about a
    /// paper that is there, and takes back only what stands before it; nobody else may read the file.
    ///
    /// # Errors
    /// A busy record, or one that is too damaged to be read at all.
    pub fn check(&self) -> Result<Checked, RecordError> {
        let mut faults = Vec::new();
        sqlite(&self.connection, &self.files, &mut faults)?;
        let issues = rows::all_issues(&self.connection, &self.files)?;
        let acts = rows::all_acts(&self.connection, &self.files)?;
        let filed = rows::all_filed(&self.connection, &self.files)?;
        let figures = rows::all_figures(&self.connection, &self.files)?;
        let mut checked = Checked {
            issues: issues.len(),
            acts: acts.len(),
            findings: Vec::new(),
        };
        let filed = readable(filed, &mut faults);
        let issues = readable(issues, &mut faults);
        check_files(&filed, &mut faults);
        check_figures(&figures, &issues, &mut faults);
        check_issues(&issues, &mut faults);
        // Each act is about a paper; what takes back names an earlier act about the same one. (Acts done in
        // one go may be about papers of two classes, of which one was purged: groups prove nothing.)
        let mut papers: FxHashMap<ActId, IssueId> = FxHashMap::default();
        let known: FxHashSet<IssueId> = issues.iter().map(|issue| issue.id).collect();
        for act in readable(acts, &mut faults) {
            let id = act.id.0;
            if !known.contains(&act.issue) {
                faults.push(format!(
                    "what was keyed as no. {id} is about a paper that is not there"
                ));
            }
            if let Deed::TakeBack { act: back } = act.deed
                && papers.get(&back) != Some(&act.issue)
            {
                faults.push(format!("no. {id} takes back what is not there before it"));
            }
            papers.insert(act.id, act.issue);
        }
        let more = faults.len().saturating_sub(MOST);
        faults.truncate(MOST);
        if more > 0 {
            faults.push(format!("{more} more like these"));
        }
        let help = "go back to a backup; keep this file aside until that is done";
        let name = self.files.name();
        checked.findings = faults
            .into_iter()
            .map(|fault| Diagnostic::error(name, Place::File, fault).help(help))
            .collect();
        if let Some(path) = self.path()
            && owner::is_open_to_others(path)
        {
            let message = "others than its owner can read this record of students";
            let warning = Diagnostic::warning(name, Place::File, message);
            checked
                .findings
                .push(warning.help("chmod 600 on the file makes it private"));
        }
        Ok(checked)
    }
}

/// An error if SQLite finds something wrong.
pub(super) fn is_sound(connection: &Connection, files: &Files) -> Result<(), RecordError> {
    let mut faults = Vec::new();
    sqlite(connection, files, &mut faults)?;
    match faults.first() {
        None => Ok(()),
        Some(fault) => Err(files.damaged(fault)),
    }
}

fn sqlite(
    connection: &Connection,
    files: &Files,
    faults: &mut Vec<String>,
) -> Result<(), RecordError> {
    let failed = |error| files.failed(error);
    let mut integrity = connection
        .prepare("PRAGMA integrity_check(20)")
        .map_err(failed)?;
    let mut rows = integrity.query([]).map_err(failed)?;
    while let Some(row) = rows.next().map_err(failed)? {
        let line: String = row.get(0).map_err(failed)?;
        if line != "ok" {
            faults.push(line);
        }
    }
    let mut foreign = connection
        .prepare("PRAGMA foreign_key_check")
        .map_err(failed)?;
    let mut rows = foreign.query([]).map_err(failed)?;
    while let Some(row) = rows.next().map_err(failed)? {
        let table: String = row.get(0).map_err(failed)?;
        faults.push(format!(
            "a part of the record belongs to nothing (table `{table}`)"
        ));
    }
    Ok(())
}

fn readable<T>(rows: Vec<Result<T, String>>, faults: &mut Vec<String>) -> Vec<T> {
    let mut found = Vec::with_capacity(rows.len());
    for row in rows {
        match row {
            Ok(value) => found.push(value),
            Err(fault) => faults.push(fault),
        }
    }
    found
}

/// Each file has the digest of its texts.
fn check_files(filed: &[Filed], faults: &mut Vec<String>) {
    for file in filed {
        let digest = Filed::digest(file.texts.iter().map(|(_, text)| text.as_str()));
        if digest != file.digest {
            faults.push(format!("a file of `{}` is not what was issued", file.sheet));
        }
    }
}

/// Each figure has the digest of its text, and none that a paper was handed out with is lacking.
fn check_figures(figures: &[FiledFigure], issues: &[Issue], faults: &mut Vec<String>) {
    let changed = figures
        .iter()
        .filter(|figure| FiledFigure::of(figure.svg.clone()).digest != figure.digest);
    let message = "a figure that papers were handed out with was changed";
    faults.extend(changed.map(|_| message.to_owned()));
    let known: FxHashSet<&str> = figures
        .iter()
        .map(|figure| figure.digest.as_str())
        .collect();
    for issue in issues {
        let own = issue.figures.iter().flatten().flatten();
        for _ in own.filter(|digest| !known.contains(digest.as_str())) {
            faults.push(format!(
                "the paper {} lacks the figure it was handed out with",
                issue.code
            ));
        }
    }
}

/// Values can be read, and a student's papers of a sheet are numbered from 1 without a gap.
fn check_issues(issues: &[Issue], faults: &mut Vec<String>) {
    let mut last: FxHashMap<(String, &str, &str), u32> = FxHashMap::default();
    for issue in issues {
        let Issue { student, code, .. } = issue;
        let drawn = issue.values.iter().flatten();
        for drawn in drawn.filter(|drawn| Quantity::parse(&drawn.value).is_err()) {
            let name = &drawn.name;
            faults.push(format!("`{name}` of the paper {code} is no quantity"));
        }
        let key = (
            issue.sheet.to_lowercase(),
            issue.class.as_str(),
            student.as_str(),
        );
        let before = last.entry(key).or_default();
        if Some(issue.number) != before.checked_add(1) {
            faults.push(format!(
                "the paper {code} of student {student} lacks one before it"
            ));
        }
        *before = issue.number;
    }
}
