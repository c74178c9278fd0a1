//! Files to read: opened so that they can be sought in, or read whole as a source for diagnostics.
//!
//! In: a path. Out: something to read, a text, bytes. Refused: folders, what is too long for its purpose, and
//! pipes and devices where nobody typed their name.

use std::fs::{self, File};
use std::io::{self, Cursor, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};

use super::draft::parent;
use super::{FileError, folder, name, refused};
use crate::course::{ASSIGNMENTS, ROSTERS};
use crate::diagnostic::{Diagnostic, Place, Source, nearest};
use crate::table::Other;

/// What comes from a pipe is held in memory, since it is read twice.
const LONGEST_PIPE: u64 = 1 << 30;

/// An assignment takes a few kilobytes.
const LONGEST_SOURCE: u64 = 1 << 24;

/// A font for a large script takes some 20 megabytes, a collection several times that.
const LONGEST_BYTES: u64 = 1 << 28;

/// Something to read that can be sought in.
#[derive(Debug)]
pub enum Input {
    /// A file on disk.
    File(File),
    /// What came from a pipe.
    Bytes(Cursor<Vec<u8>>),
}

impl Input {
    /// Takes all there is in a pipe, such as standard input; `file` names it in messages.
    ///
    /// # Errors
    /// A pipe that fails or holds more than a gibibyte.
    pub fn from_pipe(pipe: impl Read, file: &str) -> Result<Self, FileError> {
        Self::up_to(LONGEST_PIPE, pipe, file)
    }

    /// A little more than `most` bytes of a pipe at most, for a reader who takes no more; or all there is.
    fn up_to(most: u64, pipe: impl Read, file: &str) -> Result<Self, FileError> {
        let mut bytes = Vec::new();
        let read = pipe.take(most + 1).read_to_end(&mut bytes);
        read.map_err(|error| FileError::from_io(file, &error))?;
        if bytes.len() as u64 > LONGEST_PIPE {
            let error = Diagnostic::error(
                file,
                Place::File,
                "more than a gibibyte came through the pipe",
            );
            return Err(refused(
                error.help("write it to a file first and name that"),
            ));
        }
        Ok(Self::Bytes(Cursor::new(bytes)))
    }
}

impl Read for Input {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        match self {
            Self::File(file) => file.read(buffer),
            Self::Bytes(bytes) => bytes.read(buffer),
        }
    }
}

impl Seek for Input {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        match self {
            Self::File(file) => file.seek(to),
            Self::Bytes(bytes) => bytes.seek(to),
        }
    }
}

/// Opens a file for reading; what is neither a file nor a folder is taken as a pipe.
///
/// # Errors
/// A folder, what is not there or may not be read, and what [`Input::from_pipe`] refuses.
pub fn open(path: &Path) -> Result<Input, FileError> {
    open_up_to(LONGEST_PIPE, path)
}

fn open_up_to(most: u64, path: &Path) -> Result<Input, FileError> {
    let file_name = name(path);
    let opened = File::open(path).and_then(|file| Ok((file.metadata()?, file)));
    let (found, file) = opened.map_err(|error| not_opened(path, &error))?;
    if found.is_dir() {
        return Err(refused(folder(&file_name)));
    }
    if found.is_file() {
        Ok(Input::File(file))
    } else {
        Input::up_to(most, file, &file_name)
    }
}

/// Reads a text file that another file names, or that lies in a course folder, as [`read_source`] does.
///
/// # Errors
/// As [`read_source`]; and a pipe or a device, which nobody typed and which may never end.
pub fn read_beside(path: &Path) -> Result<Source, FileError> {
    let is_stream = |found: fs::Metadata| !found.is_file() && !found.is_dir();
    if fs::metadata(path).is_ok_and(is_stream) {
        let message = "expected a file, found a pipe or a device";
        let error = Diagnostic::error(&name(path), Place::File, message);
        return Err(refused(error.help("put a file in its place")));
    }
    read_source(path)
}

/// How deep folders are searched, and how many files they may hold.
const DEEPEST: usize = 8;
const MOST_FILES: usize = 10_000;

/// All files below a folder whose names end in `.` and `ending`, by name. Hidden folders and links to
/// folders are passed over.
///
/// # Errors
/// A folder that cannot be read; more than 10,000 files.
pub fn below(root: &Path, ending: &str) -> Result<Vec<PathBuf>, FileError> {
    let mut found = Vec::new();
    let mut folders = vec![(root.to_owned(), 0)];
    while let Some((folder, depth)) = folders.pop() {
        let failed = |error: io::Error| FileError::from_io(&name(&folder), &error);
        for entry in fs::read_dir(&folder).map_err(failed)? {
            let entry = entry.map_err(failed)?;
            let kind = entry.file_type().map_err(failed)?;
            let path = entry.path();
            let hidden = entry.file_name().to_string_lossy().starts_with('.');
            if kind.is_dir() && depth < DEEPEST && !hidden {
                folders.push((path, depth + 1));
            } else if !kind.is_dir() && path.extension().is_some_and(|found| found == ending) {
                found.push(path);
            }
        }
        if found.len() > MOST_FILES {
            let message = format!("more than {MOST_FILES} files to search");
            let error = Diagnostic::error(&name(root), Place::File, message);
            return Err(refused(error.help("keep a course in a folder of its own")));
        }
    }
    found.sort_unstable();
    Ok(found)
}

/// Reads a text file as a whole, for a parser that tells places by byte; a byte order mark is left out.
///
/// # Errors
/// As [`open`]; a file of more than 16 mebibytes, what is no text, or not in UTF-8.
pub fn read_source(path: &Path) -> Result<Source, FileError> {
    let name = name(path);
    let bytes = start(path, LONGEST_SOURCE)?;
    if bytes.len() as u64 > LONGEST_SOURCE {
        let message =
            "expected an assignment or a figure of some kilobytes, found more than 16 mebibytes";
        let error = Diagnostic::error(&name, Place::File, message);
        return Err(refused(error.help("check the name of the file")));
    }
    if let Some(other) = Other::of(&bytes) {
        let message = format!("expected a text file, found {}", other.name);
        let error = Diagnostic::error(&name, Place::File, message);
        return Err(refused(error.help(
            "assignments (.toml) and figures (.svg) are plain text files: save it as plain text in UTF-8",
        )));
    }
    match String::from_utf8(bytes) {
        Ok(text) => {
            let text = text
                .strip_prefix('\u{feff}')
                .map(str::to_owned)
                .unwrap_or(text);
            Ok(Source { name, text })
        }
        Err(error) => Err(refused(not_utf8(
            &name,
            error.as_bytes(),
            error.utf8_error().valid_up_to(),
        ))),
    }
}

/// Reads a file of any kind as a whole, such as a font.
///
/// # Errors
/// As [`open`]; a file of more than 256 mebibytes.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, FileError> {
    let name = name(path);
    let bytes = start(path, LONGEST_BYTES)?;
    if bytes.len() as u64 > LONGEST_BYTES {
        let error = Diagnostic::error(&name, Place::File, "the file has more than 256 mebibytes");
        return Err(refused(error.help("check the name of the file")));
    }
    Ok(bytes)
}

/// All bytes of a file, or one more than `most` where it is longer.
fn start(path: &Path, most: u64) -> Result<Vec<u8>, FileError> {
    let mut bytes = Vec::new();
    let read = open_up_to(most, path)?
        .take(most + 1)
        .read_to_end(&mut bytes);
    read.map_err(|error| FileError::from_io(&name(path), &error))?;
    Ok(bytes)
}

fn not_utf8(file: &str, bytes: &[u8], bad: usize) -> Diagnostic {
    let (before, byte) = (&bytes[..bad], bytes.get(bad).copied().unwrap_or_default());
    let line = before.iter().filter(|byte| **byte == b'\n').count() as u64 + 1;
    let start = before
        .iter()
        .rposition(|byte| *byte == b'\n')
        .map_or(0, |at| at + 1);
    let column = String::from_utf8_lossy(&before[start..]).chars().count() as u64 + 1;
    let message = if bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF") {
        "expected text in UTF-8, found UTF-16".to_owned()
    } else {
        format!("expected text in UTF-8, found the byte {byte:02X}")
    };
    Diagnostic::error(
        file,
        Place::Line {
            line,
            column: Some(column),
        },
        message,
    )
    .help("save the file as UTF-8 in the text editor")
}

/// The file whose name was typed without its ending, or without the folder of a course in which it lies.
fn without_its_ending(path: &Path) -> Option<PathBuf> {
    let typed = path.file_name()?.to_string_lossy();
    // Not "." for the working folder: the name is to be as somebody would type it.
    let own = path.parent().unwrap_or(Path::new(""));
    let folders = ["", ASSIGNMENTS, ROSTERS].map(|folder| own.join(folder));
    let names = ["", ".toml", ".csv"].map(|ending| format!("{typed}{ending}"));
    let places = folders
        .iter()
        .flat_map(|folder| names.iter().map(|name| folder.join(name)));
    places.into_iter().find(|place| place.is_file())
}

/// Names a file that may have been meant.
fn not_opened(path: &Path, error: &io::Error) -> FileError {
    let found = FileError::from_io(&name(path), error);
    let (FileError::Refused(diagnostic), io::ErrorKind::NotFound) = (&found, error.kind()) else {
        return found;
    };
    if let Some(near) = without_its_ending(path) {
        return refused(
            Diagnostic::clone(diagnostic).help(format!("did you mean '{}'?", name(&near))),
        );
    }
    let Ok(entries) = fs::read_dir(parent(path)) else {
        return refused(Diagnostic::clone(diagnostic).help("the folder does not exist"));
    };
    // a folder of many thousand files is not worth the search
    let mut names: Vec<_> = entries
        .flatten()
        .take(1000)
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    // the system lists them in any order
    names.sort();
    let typed = path.file_name().unwrap_or_default().to_string_lossy();
    match nearest(&typed, names.iter().map(String::as_str)) {
        Some(near) => {
            let near = path.with_file_name(near);
            refused(Diagnostic::clone(diagnostic).help(format!("did you mean '{}'?", name(&near))))
        }
        None => found,
    }
}
