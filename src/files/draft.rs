//! A file in the making: beside its place until it is complete, then in it by one rename.

use std::fs;
use std::io::{self, BufRead as _, BufReader, Read as _, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use super::{FileError, folder, name, owner, refused, temporary};
use crate::diagnostic::{Diagnostic, Place};

/// Tells by its first line, or by the whole of it, whether a file may be replaced.
type IsOurs = Box<dyn Fn(&[u8]) -> bool>;

/// Tells whether a file that stands in the place may be replaced.
enum Ours {
    /// By its first line.
    FirstLine(IsOurs),
    /// By these letters somewhere in it.
    Holding(String),
    /// By the whole of it.
    Whole(IsOurs),
}

/// How much of a first line is looked at to see whose file it is.
const LONGEST_HEADING: u64 = 1 << 20;

/// How much of a file is searched for letters of ours.
const LONGEST_SEARCH: u64 = 1 << 28;

/// Takes what is written; [`Draft::commit`] puts it in place, dropping it leaves everything as it was.
pub struct Draft {
    temporary: NamedTempFile,
    _listed: temporary::Listed,
    /// Where it goes, links followed.
    target: PathBuf,
    name: String,
    ours: Ours,
}

impl Draft {
    /// Begins a file that will stand at `path`. A file that stands there may be replaced if its first line is
    /// ours; anything else is refused at once, before any work is done.
    pub fn create(
        path: &Path,
        is_ours: impl Fn(&[u8]) -> bool + 'static,
    ) -> Result<Self, FileError> {
        Self::begin(path, Ours::FirstLine(Box::new(is_ours)))
    }

    /// Begins a file that will stand at `path`. A file that stands there may be replaced if these letters
    /// are in it.
    pub fn create_holding(path: &Path, mark: String) -> Result<Self, FileError> {
        Self::begin(path, Ours::Holding(mark))
    }

    /// Begins a file that will stand at `path`. A file that stands there may be replaced if the whole of it is
    /// ours.
    pub fn create_if(
        path: &Path,
        is_ours: impl Fn(&[u8]) -> bool + 'static,
    ) -> Result<Self, FileError> {
        Self::begin(path, Ours::Whole(Box::new(is_ours)))
    }

    fn begin(path: &Path, ours: Ours) -> Result<Self, FileError> {
        let name = name(path);
        let target = match fs::symlink_metadata(path) {
            Ok(found) if found.is_symlink() => {
                fs::canonicalize(path).map_err(|_| refused(no_target(&name)))?
            }
            _ => path.to_owned(),
        };
        may_replace(&target, &name, &ours)?;
        let begun = temporary::file(parent(&target));
        let (_listed, temporary) = begun.map_err(|error| match error.kind() {
            io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => refused(no_folder(&name)),
            _ => FileError::from_io(&name, &error),
        })?;
        Ok(Self {
            temporary,
            _listed,
            target,
            name,
            ours,
        })
    }

    /// Writes a whole file and puts it in its place.
    ///
    /// # Errors
    /// As [`Self::commit`]; what cannot be written.
    pub fn put(mut self, bytes: &[u8]) -> Result<(), FileError> {
        let written = self.write_all(bytes);
        written.map_err(|error| FileError::from_io(&self.name, &error))?;
        self.commit()
    }

    /// Puts the file in its place, durably. What stands there is looked at once more.
    pub fn commit(self) -> Result<(), FileError> {
        let Self {
            _listed,
            temporary,
            target,
            name,
            ours,
        } = self;
        let failed = |error: &io::Error| FileError::from_io(&name, error);
        temporary
            .as_file()
            .sync_all()
            .map_err(|error| failed(&error))?;
        let kept = if may_replace(&target, &name, &ours)? {
            temporary.persist(&target)
        } else {
            temporary.persist_noclobber(&target)
        };
        kept.map_err(|error| failed(&error.error))?;
        // The file stands, whole and by its name. That a folder cannot be synced (one that may not be
        // read, some file systems over a network) leaves open only whether a loss of power in the next
        // moment could bring the old one back, and to call that a failure would be wrong.
        let _ = owner::sync_folder(parent(&target));
        Ok(())
    }

    /// The name of the later file as the user typed it.
    pub fn name(&self) -> &str {
        &self.name
    }
}

impl Write for Draft {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.temporary.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.temporary.flush()
    }
}

/// Whether a file of ours stands there (`true`) or nothing (`false`); an error for anything else.
fn may_replace(target: &Path, name: &str, ours: &Ours) -> Result<bool, FileError> {
    let failed = |error: io::Error| FileError::from_io(name, &error);
    let found = match fs::metadata(target) {
        Ok(found) => found,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(false),
        Err(error) if error.kind() == io::ErrorKind::NotADirectory => {
            return Err(refused(no_folder(name)));
        }
        Err(error) => return Err(failed(error)),
    };
    if found.is_dir() {
        return Err(refused(folder(name)));
    }
    if !found.is_file() {
        return Err(refused(no_file(name)));
    }
    let file = fs::File::open(target).map_err(failed)?;
    if ours.holds(file).map_err(failed)? {
        Ok(true)
    } else {
        Err(refused(not_ours(name)))
    }
}

impl Ours {
    fn holds(&self, file: fs::File) -> io::Result<bool> {
        let mut found = Vec::new();
        match self {
            Self::FirstLine(is_ours) => {
                let mut lines = BufReader::new(file.take(LONGEST_HEADING));
                lines.read_until(b'\n', &mut found)?;
                Ok(is_ours(&found))
            }
            Self::Whole(is_ours) => {
                file.take(LONGEST_SEARCH).read_to_end(&mut found)?;
                Ok(is_ours(&found))
            }
            Self::Holding(mark) => {
                file.take(LONGEST_SEARCH).read_to_end(&mut found)?;
                let mut places = found.windows(mark.len());
                Ok(places.any(|letters| letters == mark.as_bytes()))
            }
        }
    }
}

/// The folder of a file; of a bare name the current one.
pub(crate) fn parent(target: &Path) -> &Path {
    target
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
        .unwrap_or(Path::new("."))
}

fn not_ours(file: &str) -> Diagnostic {
    let message = "another file stands there, which is not replaced; nothing was changed";
    Diagnostic::error(file, Place::File, message)
        .help("name another file, or move this one away first")
}

fn no_file(file: &str) -> Diagnostic {
    Diagnostic::error(
        file,
        Place::File,
        "expected a file, found a device or a pipe",
    )
    .help("'-' writes to standard output")
}

fn no_target(file: &str) -> Diagnostic {
    Diagnostic::error(file, Place::File, "a link stands there that leads nowhere")
        .help("name another file, or delete the link")
}

fn no_folder(file: &str) -> Diagnostic {
    Diagnostic::error(file, Place::File, "the folder of this file does not exist")
        .help("make the folder first, or check its name")
}
