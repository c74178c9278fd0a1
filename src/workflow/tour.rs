//! The scratch folder of a tour: a course with a made-up class, a problem of the shelf and a stack of answers.
//!
//! In: where it goes. Out: the folder with its files as they are on the first day; an older tour that stands
//! there is taken away first. Refused: a folder in which anything stands that no tour put there; then nothing is
//! changed.

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::course::{ASSIGNMENTS, ROSTERS};
use crate::diagnostic::{Diagnostic, Place};
use crate::files::{self, Draft, FileError};
use crate::record::RECORD;
use crate::shelf;
use crate::text;

use super::Failure;

/// The problem that is marked, by its code on the shelf.
const PROBLEM: &str = "tram-1";

/// The file by which a folder is known as one of a tour, by the whole of its text.
const MARK: &str = "about-this-folder.txt";

const ABOUT: &str = "\
This folder belongs to `paperweight tour`. The class and its answers are made up.
Try anything here: the next tour makes the folder anew, unless it finds a file
that no tour put there. To be rid of it, delete it.
";

const ROSTER: &str = include_str!("../../assets/tour/roster.csv");
const ANSWERS: &str = include_str!("../../assets/tour/answers.csv");
const GRADEBOOK: &str = include_str!("../../assets/tour/gradebook.csv");

/// What the commands of a tour write besides what is laid out.
const WRITTEN: [&str; 7] = [
    RECORD,
    "marks.csv",
    "papers",
    "papers/issued.csv",
    "papers/papers.pdf",
    "papers/key.pdf",
    "papers/reissued.pdf",
];

/// Makes the folder of a tour, or makes it anew.
///
/// # Errors
/// A folder of someone else's, or one that cannot be written.
pub fn lay_out_tour(folder: &Path) -> Result<(), Failure> {
    let files = laid_out();
    clear(folder, &files)?;
    files::make_folder(folder)?;
    // First, so that a tour that breaks off is known as one.
    for (name, text) in files {
        let path = folder.join(name);
        if let Some(parent) = path.parent() {
            files::make_folder(parent)?;
        }
        Draft::create(&path, |_| false)?.put(text.as_bytes())?;
    }
    Ok(())
}

/// Files by their names below the folder, the one it is known by first.
fn laid_out() -> Vec<(String, &'static str)> {
    let mut files = vec![
        (MARK.to_owned(), ABOUT),
        (format!("{ROSTERS}/demo.csv"), ROSTER),
        ("answers.csv".to_owned(), ANSWERS),
        ("gradebook.csv".to_owned(), GRADEBOOK),
    ];
    if let Some(item) = shelf::item(PROBLEM) {
        files.push((format!("{ASSIGNMENTS}/{PROBLEM}.toml"), item.text));
        let drawn = item
            .figure
            .map(|svg| (format!("{ASSIGNMENTS}/{PROBLEM}.svg"), svg));
        files.extend(drawn);
    }
    files
}

/// Takes an older tour away. All of it is looked at before any of it goes.
fn clear(folder: &Path, files: &[(String, &str)]) -> Result<(), FileError> {
    let shown = folder.to_string_lossy();
    let failed = |error: &io::Error| FileError::from_io(&shown, error);
    match fs::symlink_metadata(folder) {
        Ok(found) if found.is_dir() => {}
        Ok(_) => return Err(not_ours(&shown, "a file or a link stands there")),
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(failed(&error)),
    }
    let mut found = Vec::new();
    below(folder, Path::new(""), &mut found).map_err(|error| failed(&error))?;
    if found.is_empty() {
        return Ok(());
    }
    let is_marked = fs::read(folder.join(MARK)).is_ok_and(|bytes| bytes == ABOUT.as_bytes());
    if !is_marked {
        return Err(not_ours(
            &shown,
            "the folder is there already, and no tour made it",
        ));
    }
    let known: BTreeSet<PathBuf> = files
        .iter()
        .map(|(name, _)| name.as_str())
        .chain(WRITTEN)
        .chain([ASSIGNMENTS, ROSTERS])
        .map(PathBuf::from)
        .collect();
    if let Some((stranger, _)) = found.iter().find(|(path, _)| !known.contains(path)) {
        let name = stranger.to_string_lossy();
        let message = format!("'{}' is in it, which no tour put there", text::safe(&name));
        return Err(not_ours(&shown, &message));
    }
    let (folders, mut files): (Vec<_>, Vec<_>) =
        found.into_iter().partition(|(_, is_folder)| *is_folder);
    // The mark goes last of the files: whatever breaks off is still a tour's.
    files.sort_by_key(|(path, _)| path == Path::new(MARK));
    // A folder was found before what is in it.
    for (path, is_folder) in files.iter().chain(folders.iter().rev()) {
        let path = folder.join(path);
        let gone = if *is_folder {
            fs::remove_dir(&path)
        } else {
            fs::remove_file(&path)
        };
        gone.map_err(|error| FileError::from_io(&path.to_string_lossy(), &error))?;
    }
    Ok(())
}

/// Everything in a folder, by its path below it, and whether it is a folder; links are not followed.
fn below(folder: &Path, at: &Path, found: &mut Vec<(PathBuf, bool)>) -> io::Result<()> {
    for entry in fs::read_dir(folder.join(at))? {
        let entry = entry?;
        let path = at.join(entry.file_name());
        let is_folder = entry.file_type()?.is_dir();
        found.push((path.clone(), is_folder));
        if is_folder {
            below(folder, &path, found)?;
        }
    }
    Ok(())
}

fn not_ours(folder: &str, message: &str) -> FileError {
    let error = Diagnostic::error(
        folder,
        Place::File,
        format!("{message}; nothing was changed"),
    );
    let help = "name a new folder for the tour with --folder, or move this one away";
    FileError::Refused(Box::new(error.help(help)))
}
