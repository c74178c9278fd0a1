//! What changed on a roster since papers were issued, and which roster a class goes by from now on.
//!
//! In: the new roster, and the old one or the record. Out: who joined, left, goes by another name, moved, and
//! what the record holds of those who left. Taking the new roster over changes one thing in the record: where
//! the class's roster lies. What was issued, entered or marked stays as it is.
//!
//! The record keeps no names, so of a class whose old file is gone only ids and sections can be compared: those
//! of the papers issued last.

use std::collections::BTreeMap;
use std::path::Path;

use crate::diagnostic::{Diagnostic, Place};
use crate::record::{Issue, Record};
use crate::roster::{Changes, Roster, RosterColumns};

use super::super::{Failure, Findings, load};

/// What to compare.
#[derive(Clone, Copy, Debug)]
pub struct CompareRequest<'a> {
    /// The old roster, if it is named.
    pub old: Option<&'a Path>,
    /// The new one.
    pub new: &'a Path,
    /// The course folder whose record this is.
    pub folder: &'a Path,
    /// How the new one is to be read.
    pub columns: &'a RosterColumns,
    /// The class in the record.
    pub class: &'a str,
}

/// Two versions of a roster.
#[derive(Debug)]
pub struct Compared {
    /// The one before, or what the record knows of it.
    pub old: Roster,
    /// Where it came from, in words.
    pub old_name: String,
    /// The new one.
    pub new: Roster,
    /// How they differ.
    pub changes: Changes,
    /// By student's id, how many papers of which sheet were issued; of all students of the class.
    pub papers: BTreeMap<String, Vec<(String, usize)>>,
    /// What was assumed.
    pub findings: Findings,
}

/// Compares.
///
/// # Errors
/// Rosters that cannot be read, nothing to compare with.
pub fn compare_rosters(
    request: &CompareRequest<'_>,
    record: Option<&Record>,
) -> Result<Compared, Failure> {
    let issues = match record {
        Some(record) => record.issues_of_class(request.class)?,
        None => Vec::new(),
    };
    let (new, mut findings) = load::roster(request.new, request.columns)?;
    let (old, old_name) = match before(request, record)? {
        Some((path, columns)) => {
            let (old, assumed) = load::roster(&path, &columns)?;
            findings.join(assumed);
            (old, path.to_string_lossy().into_owned())
        }
        None if !issues.is_empty() => (as_issued(&issues), "the papers in the record".to_owned()),
        None => return Err(nothing(request)),
    };
    let mut papers: BTreeMap<String, Vec<(String, usize)>> = BTreeMap::new();
    for issue in &issues {
        let sheets = papers.entry(issue.student.clone()).or_default();
        match sheets.iter_mut().find(|(sheet, _)| *sheet == issue.sheet) {
            Some((_, count)) => *count += 1,
            None => sheets.push((issue.sheet.clone(), 1)),
        }
    }
    let changes = Changes::between(&old, &new);
    if !old.is_empty() && changes.left.len() == old.len() {
        let message = "no student is on both rosters";
        let warning = Diagnostic::warning(&request.new.to_string_lossy(), Place::File, message);
        findings
            .list
            .push(warning.help("is this the class, and the column of ids the same?"));
    }
    for (before, after) in &changes.perhaps {
        let (old_id, new_id) = (old.id(*before), new.id(*after));
        let name = old.get(*before).unwrap_or_default().name;
        let message = format!("{name} was {old_id} and is {new_id} now: perhaps the same student");
        let warning = Diagnostic::warning(&request.new.to_string_lossy(), Place::File, message);
        findings.list.push(warning.help(
            "papers and marks belong to the id: write the old one into the new roster if it is the same student",
        ));
    }
    Ok(Compared {
        old,
        old_name,
        new,
        changes,
        papers,
        findings,
    })
}

/// The old roster's file: the one named, else the one that the record knows, if it is another than the new.
fn before(
    request: &CompareRequest<'_>,
    record: Option<&Record>,
) -> Result<Option<(std::path::PathBuf, RosterColumns)>, Failure> {
    if let Some(old) = request.old {
        // Two versions of one file are most likely written alike.
        return Ok(Some((old.to_owned(), request.columns.clone())));
    }
    let known = match record {
        Some(record) => record.roster_of(request.class)?,
        None => None,
    };
    let Some(known) = known.filter(|known| !known.path.is_empty()) else {
        return Ok(None);
    };
    let path = request.folder.join(&known.path);
    let is_new = match (path.canonicalize(), request.new.canonicalize()) {
        (Ok(old), Ok(new)) => old == new,
        // A file that is gone has nothing to tell.
        _ => true,
    };
    Ok((!is_new).then(|| (path, known.columns())))
}

/// The students as the record has them: ids, and the sections of their latest papers.
fn as_issued(issues: &[Issue]) -> Roster {
    let mut sections: BTreeMap<&str, &str> = BTreeMap::new();
    let mut ids: Vec<&str> = Vec::new();
    for issue in issues {
        let section = issue.section.as_deref().unwrap_or("");
        if sections.insert(&issue.student, section).is_none() {
            ids.push(&issue.student);
        }
    }
    Roster::of(
        ids.into_iter()
            .map(|id| (id, sections.get(id).copied().unwrap_or(""))),
    )
}

fn nothing(request: &CompareRequest<'_>) -> Failure {
    let message = format!(
        "there is nothing to compare with: the record has no papers of the class `{}`",
        request.class
    );
    let error = Diagnostic::error(&request.new.to_string_lossy(), Place::File, message);
    let help = "name the old roster before the new one, or the class with --class";
    Failure::of(error.help(help))
}
