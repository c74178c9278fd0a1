//! Opens and reads an assignment and a roster.
//!
//! In: paths as typed. Out: the checked sheet with its sources, and the roster with what was
//! assumed of it. Refused: whatever the readers refuse, and files that cannot be opened.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::assignment::{self, Sheet};
use crate::course::{self, ASSIGNMENTS, Course};
use crate::diagnostic::{Diagnostic, Source};
use crate::files::{self, FileError};
use crate::record::RosterFile;
use crate::roster::{Roster, RosterColumns};
use crate::text::DecimalMark;

use super::{Failure, Findings, course_folder};

/// A checked sheet and the files it came from.
#[derive(Clone, Debug)]
pub struct Loaded {
    /// What is handed out.
    pub sheet: Sheet,
    /// The files read, for showing findings in them.
    pub sources: Vec<Arc<Source>>,
}

/// Reads the assignment or sheet at `path`; the problems of a sheet are found by their codes
/// among the files of its course folder.
///
/// # Errors
/// All that is wrong with the file, or with opening it.
pub fn load(path: &Path) -> Result<Loaded, Failure> {
    let source = Arc::new(files::read_source(path)?);
    let (course, mut findings) = course_around(path, &source)?;
    let outcome = assignment::read(&source, &course);
    findings.extend(outcome.findings);
    match outcome.sheet {
        Some(sheet) if findings.is_empty() => Ok(Loaded {
            sheet,
            sources: outcome.sources,
        }),
        _ => {
            let mut sources = outcome.sources;
            sources.extend(course.files().map(|(_, source)| Arc::clone(source)));
            Err(Failure::input(findings, sources))
        }
    }
}

/// The course folder around a file, if the file needs one: only a sheet names others.
fn course_around(path: &Path, source: &Arc<Source>) -> Result<(Course, Vec<Diagnostic>), Failure> {
    if !course::names_problems(&source.text) {
        return Ok((Course::default(), Vec::new()));
    }
    let root = course_folder(path);
    let assignments = root.join(ASSIGNMENTS);
    let folder = if assignments.is_dir() {
        assignments
    } else if root.as_os_str().is_empty() {
        // A bare name stands in the current folder.
        PathBuf::from(".")
    } else {
        root
    };
    Ok(course_below(&folder)?)
}

/// The assignments below a folder, and codes that two of them have. A file that cannot be read has no code;
/// whoever needs it is told then.
pub(super) fn course_below(folder: &Path) -> Result<(Course, Vec<Diagnostic>), FileError> {
    let sources = files::below(folder, "toml")?;
    let sources = sources
        .iter()
        .filter_map(|file| files::read_beside(file).ok())
        .map(Arc::new);
    Ok(Course::new(sources))
}

/// Reads the roster at `path`, and what was assumed of it.
///
/// # Errors
/// All that is wrong with the file, or with opening it.
pub fn roster(path: &Path, columns: &RosterColumns) -> Result<(Roster, Findings), Failure> {
    let name = path.to_string_lossy();
    let input = files::open(path)?;
    let (roster, list) =
        Roster::read(input, &name, columns).map_err(|list| Failure::input(list, Vec::new()))?;
    Ok((
        roster,
        Findings {
            list,
            sources: Vec::new(),
        },
    ))
}

impl RosterFile {
    /// How its columns were named.
    pub fn columns(&self) -> RosterColumns {
        let [id, name, section, decimal] = self.columns.clone();
        RosterColumns {
            file: self.written.declared(),
            id,
            name,
            section,
            decimal,
            // Only printing asks for it, and the heading says it.
            print: None,
        }
    }

    /// The decimal mark of students for whom it does not say one.
    pub fn decimal(&self) -> DecimalMark {
        if self.comma {
            DecimalMark::Comma
        } else {
            DecimalMark::Point
        }
    }
}
