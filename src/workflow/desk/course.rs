//! What lies in a course folder: its assignments by class, and how far each is.
//!
//! In: the folder, and what the record counts. Out: a line for each sheet and class with papers out,
//! then one for each sheet without. Files that are no assignments are passed over.

use std::path::{Path, PathBuf};

use crate::course::{ASSIGNMENTS, ROSTERS, code_of, title_of};
use crate::files;
use crate::record::{Begun, RosterFile};

use super::super::{Failure, class_of};

/// One assignment and one class.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Line {
    /// The assignment's file; none if it is no longer in the folder.
    pub file: Option<PathBuf>,
    /// Its code.
    pub code: String,
    /// Its title.
    pub title: String,
    /// The class's name; empty where no papers were handed out.
    pub class: String,
    /// Where its roster lies.
    pub roster: Option<RosterFile>,
    /// Students who have a paper.
    pub issued: usize,
    /// Students about whose papers something was done.
    pub touched: usize,
}

/// The classes of the course folder at `root`: what its rosters are called.
///
/// # Errors
/// A folder that cannot be read.
pub fn classes(root: &Path) -> Result<Vec<String>, Failure> {
    Ok(rosters(root)?.iter().map(|path| class_of(path)).collect())
}

/// The rosters of a course folder; none where it has no folder for them yet.
fn rosters(root: &Path) -> Result<Vec<PathBuf>, Failure> {
    let folder = root.join(ROSTERS);
    if !folder.exists() {
        return Ok(Vec::new());
    }
    Ok(files::below(&folder, "csv")?)
}

/// Where the roster of a class lies in the course folder at `root`; with the name that a class has by
/// default where there is none, so that whoever reads it says what is missing.
///
/// # Errors
/// A folder that cannot be read.
pub fn roster_in(root: &Path, class: &str) -> Result<RosterFile, Failure> {
    let found = rosters(root)?
        .into_iter()
        .find(|path| class_of(path) == class);
    let inside = found
        .as_deref()
        .and_then(|path| path.strip_prefix(root).ok());
    let path = inside.map_or_else(
        || format!("{ROSTERS}/{class}.csv"),
        |path| path.to_string_lossy().into_owned(),
    );
    Ok(RosterFile {
        path,
        ..RosterFile::default()
    })
}

/// The lines of the course folder at `root`; what was worked on last stands first.
///
/// # Errors
/// A folder that cannot be read.
pub fn lines(root: &Path, progress: Vec<Begun>) -> Result<Vec<Line>, Failure> {
    let mut sheets = Vec::new();
    for path in files::below(&root.join(ASSIGNMENTS), "toml")? {
        // A file that cannot be read is told about by whoever needs it.
        let Ok(source) = files::read_beside(&path) else {
            continue;
        };
        if let Some((code, _)) = code_of(&source.text) {
            let title = title_of(&source.text).unwrap_or_default();
            sheets.push((code, title, path));
        }
    }
    let mut progress = progress;
    progress.sort_by_key(|known| std::cmp::Reverse(known.last));
    let mut lines: Vec<Line> = progress
        .into_iter()
        .map(|known| {
            let sheet = sheets
                .iter()
                .find(|(code, ..)| code.eq_ignore_ascii_case(&known.sheet));
            Line {
                file: sheet.map(|(.., path)| path.clone()),
                code: known.sheet,
                title: sheet.map_or(known.title, |(_, title, _)| title.clone()),
                class: known.class,
                roster: known.roster,
                issued: known.students,
                touched: known.touched,
            }
        })
        .collect();
    for (code, title, path) in sheets {
        if !lines
            .iter()
            .any(|line| line.code.eq_ignore_ascii_case(&code))
        {
            lines.push(Line {
                file: Some(path),
                code,
                title,
                ..Line::default()
            });
        }
    }
    Ok(lines)
}
