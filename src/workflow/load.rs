//! Opens and reads an assignment and a roster.
//!
//! In: paths as typed. Out: the checked sheet with its sources, and the roster with what was
//! assumed of it. Refused: whatever the readers refuse, and files that cannot be opened.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::assignment::{self, Sheet};
use crate::course::{self, ASSIGNMENTS, Course};
use crate::diagnostic::{Diagnostic, Place, Source};
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
    if let Some(what) = another_file(path, &source.text) {
        let message = format!("expected an assignment, found {what}");
        let error = Diagnostic::error(&source.name, Place::File, message);
        return Err(Failure::of(error.help(
            "the assignment (.toml) stands first; the list of the class goes with --roster, the answers with --answers",
        )));
    }
    let (course, mut findings) = course_around(path, &source)?;
    findings.extend(same_code(path, &source)?);
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

/// What a text is that is no assignment, where its name or its beginning says so.
fn another_file(path: &Path, text: &str) -> Option<&'static str> {
    let ending = path.extension().unwrap_or_default();
    if ending.eq_ignore_ascii_case("csv") {
        Some("a CSV file")
    } else if text.trim_start().starts_with('<') {
        Some("a figure")
    } else {
        None
    }
}

/// The fault of a problem that has the code of another file of its course folder: a copy whose code was
/// forgotten would be taken for the other one, which was issued. Of a sheet the folder is searched anyway.
fn same_code(path: &Path, source: &Source) -> Result<Option<Diagnostic>, Failure> {
    let folder = course_folder(path).join(ASSIGNMENTS);
    if course::names_problems(&source.text) || !folder.is_dir() {
        return Ok(None);
    }
    let Some((code, span)) = course::code_of(&source.text) else {
        return Ok(None);
    };
    let own = path.canonicalize().ok();
    let is_other = |file: &PathBuf| file.canonicalize().ok() != own;
    let written = code.to_lowercase();
    // Looked at by the way: a folder that cannot be read keeps nobody from a problem in another.
    let Ok(files) = files::below(&folder, "toml") else {
        return Ok(None);
    };
    for file in files {
        // Only a file with these letters in it is worth reading as TOML.
        let Ok(other) = files::read_beside(&file) else {
            continue;
        };
        if other.text.to_lowercase().contains(&written)
            && course::code_of(&other.text)
                .is_some_and(|(other, _)| other.eq_ignore_ascii_case(&code))
            // The file itself has it as well; asked last, for that takes the system a while.
            && is_other(&file)
        {
            return Ok(Some(course::doubled(source, span, &code, &other.name)));
        }
    }
    Ok(None)
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

/// Reads the roster of a class where the record says that it lies, in the course folder `root`.
///
/// # Errors
/// One that lies there no more, with what to do; all that is wrong with the file.
pub fn known_roster(
    root: &Path,
    class: &str,
    file: &RosterFile,
) -> Result<(Roster, Findings), Failure> {
    let path = root.join(&file.path);
    if !path.exists() {
        let message = format!("the list of the class `{class}` was here and is not any more");
        let error = Diagnostic::error(&path.to_string_lossy(), Place::File, message);
        let help = format!(
            "put it back, or say where it is now: paperweight roster compare FILE --class {class} --apply"
        );
        return Err(Failure::of(error.help(help)));
    }
    roster(&path, &file.columns())
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
            remembered: self.columns.each_ref().map(Option::is_some),
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
