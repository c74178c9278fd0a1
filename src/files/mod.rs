//! Files in and out: opened with a clear message when that cannot be done, written whole or not at all.
//!
//! In go paths as the user typed them; out come inputs that can be sought in, sources for diagnostics, and
//! [`Draft`]s that take a file's place in one step, and [`Original`]s of others that are replaced as a whole. What
//! is written can be read by its owner alone; a file of someone else keeps its permissions.
//!
//! Refused: a folder for a file, writing over what this program did not write, a text that is not UTF-8.

mod draft;
mod folder;
mod input;
mod original;
pub(crate) mod owner;
pub(crate) mod temporary;

pub use draft::Draft;
pub(crate) use draft::parent;
pub use folder::put_folder;
pub use input::{Input, below, open, read_beside, read_bytes, read_source};
pub use original::Original;

pub(crate) use owner::sync_folder;
pub use temporary::clear_on_signals;

use std::io;
use std::path::Path;

use crate::diagnostic::{Diagnostic, Place};

/// Makes a folder, and those above it, that only their owner may enter.
///
/// # Errors
/// A file of that name, a folder that may not be written to.
pub fn make_folder(path: &Path) -> Result<(), FileError> {
    owner::make_folder(path).map_err(|error| FileError::from_io(&name(path), &error))
}

/// A name for one file made of any text: letters, digits, `-`, `_` and `.` within stay, all else is `_`.
/// A text that is changed by this has a few letters of its digest behind it, so that no two share a name.
pub fn plain_name(text: &str) -> String {
    let plain = |c: char| match c {
        '-' | '_' | '.' => c,
        c if c.is_alphanumeric() => c,
        _ => '_',
    };
    let name: String = text.chars().map(plain).collect();
    let inside = name.trim_start_matches('.');
    if inside == text && !inside.is_empty() {
        return inside.to_owned();
    }
    let digest = blake3::hash(text.as_bytes()).to_hex();
    format!("{inside}-{}", &digest[..6])
}

/// Why a file could not be read or written.
#[derive(Clone, Debug)]
pub enum FileError {
    /// Another file must be named: bad input.
    Refused(Box<Diagnostic>),
    /// The machine failed: a full disk, a broken one, a lock.
    Failed(Box<Diagnostic>),
}

impl FileError {
    /// What to tell the user.
    pub fn diagnostic(&self) -> &Diagnostic {
        let (Self::Refused(diagnostic) | Self::Failed(diagnostic)) = self;
        diagnostic
    }

    /// From an error of the system while working on a file of this name.
    pub fn from_io(file: &str, error: &io::Error) -> Self {
        let failed = |message: String| Diagnostic::error(file, Place::File, message);
        match error.kind() {
            io::ErrorKind::NotFound => {
                refused(failed("no file of this name".into()).help("check the name and the folder"))
            }
            io::ErrorKind::PermissionDenied => refused(
                failed("no permission for this file, or for the folder it lies in".into()).help(
                    "name a place where you may read and write, or ask whoever owns this one",
                ),
            ),
            io::ErrorKind::IsADirectory => refused(folder(file)),
            io::ErrorKind::NotADirectory => refused(
                failed("expected a folder on the way there, found a file".into())
                    .help("check the name and the folder"),
            ),
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::Failed(Box::new(
                failed("the disk is full; nothing was written".into())
                    .help("make room and run the command again"),
            )),
            _ => Self::Failed(Box::new(failed(format!("the system reports: {error}")))),
        }
    }
}

fn refused(diagnostic: Diagnostic) -> FileError {
    FileError::Refused(Box::new(diagnostic))
}

fn folder(file: &str) -> Diagnostic {
    Diagnostic::error(file, Place::File, "expected a file, found a folder")
        .help("name a file in it")
}

/// The name of a path as the user typed it.
fn name(path: &Path) -> String {
    path.to_string_lossy().into_owned()
}

#[cfg(test)]
mod tests;
