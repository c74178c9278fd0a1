//! Files and folders in the making, and what is left of those that were never finished.
//!
//! In: the folder in which something will stand. Out: a file or a folder in it under a name that tells nothing, for
//! its owner alone, gone again unless it is put in a place. A signal that ends the program takes along what is open
//! ([`clear_on_signals`]). Of what no signal tells, a `kill -9` or a loss of power, files are cleared away when the
//! next one is begun in the same folder ([`clear`]). Refused: what the system refuses.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use tempfile::{Builder, NamedTempFile, TempDir};

use super::owner;

/// How names begin and end; in between stand letters and digits that nobody can foresee.
const PREFIX: &str = ".paperweight-";
const SUFFIX: &str = ".tmp";

/// How many of them.
const CHOSEN: usize = 6;

/// How long nobody wrote to a file that is cleared away: writing one takes seconds, but a program may have been
/// stopped in between, or a lid closed.
const LEFT_FOR: Duration = Duration::from_secs(24 * 60 * 60);

/// All that this program has open.
static OPEN: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

fn open() -> MutexGuard<'static, Vec<PathBuf>> {
    OPEN.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Something that a signal takes along, as long as this lives.
#[derive(Debug)]
pub(crate) struct Listed(PathBuf);

impl Drop for Listed {
    fn drop(&mut self) {
        open().retain(|path| *path != self.0);
    }
}

/// Makes something and lists it, so that no signal comes in between.
fn listed<T: AsRef<Path>>(make: impl FnOnce() -> io::Result<T>) -> io::Result<(Listed, T)> {
    let mut open = open();
    let made = make()?;
    open.push(made.as_ref().to_owned());
    Ok((Listed(made.as_ref().to_owned()), made))
}

/// A new file beside its later place, readable by its owner from the first moment on, and deleted unless it is put
/// there. What others left in that folder is cleared away.
pub(crate) fn file(folder: &Path) -> io::Result<(Listed, NamedTempFile)> {
    let (listed, file) = listed(|| named(0o600).tempfile_in(folder))?;
    owner::claim(file.as_file());
    // What cannot be cleared away is no reason not to write.
    let _ = clear(folder, file.as_file());
    Ok((listed, file))
}

/// A new folder beside its later place, for its owner alone, and deleted with all in it unless it is put there.
pub(super) fn folder(above: &Path) -> io::Result<(Listed, TempDir)> {
    listed(|| named(0o700).tempdir_in(above))
}

/// A folder in which an old one stands aside. No signal takes it along: for a moment there is no other.
pub(super) fn aside(above: &Path) -> io::Result<TempDir> {
    named(0o700).tempdir_in(above)
}

fn named(mode: u32) -> Builder<'static, 'static> {
    let mut builder = Builder::new();
    builder.prefix(PREFIX).suffix(SUFFIX).rand_bytes(CHOSEN);
    owner::restrict(&mut builder, mode);
    builder
}

/// Whether a name is one that [`file`] gives.
fn is_ours(name: &str) -> bool {
    let chosen = name.strip_prefix(PREFIX);
    let chosen = chosen.and_then(|rest| rest.strip_suffix(SUFFIX));
    chosen.is_some_and(|chosen| {
        chosen.len() == CHOSEN && chosen.bytes().all(|byte| byte.is_ascii_alphanumeric())
    })
}

/// Clears away what programs that are no more left in a folder: plain files under names as they are given here, of
/// the owner of `own`, to which nobody wrote in the day before it was begun, and which nobody holds. Another copy of
/// the program holds what it writes, but for a backup, which SQLite writes. Where locks are unlike Unix's nothing is
/// cleared. Folders stay: in one the only copy of what was to be replaced may stand.
fn clear(folder: &Path, own: &File) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        if entry.file_name().to_str().is_some_and(is_ours) {
            let path = entry.path();
            // Held while it is deleted, so that nobody else takes the name for free.
            if let Ok(Some(_held)) = owner::abandoned(&path, own, LEFT_FOR) {
                let _ = fs::remove_file(&path);
            }
        }
    }
    Ok(())
}

/// From now on a signal that ends the program clears away first what it has open. A signal that whoever started the
/// program wants ignored stays ignored.
///
/// # Errors
/// What the system refuses; then signals end the program as if nobody had asked.
pub fn clear_on_signals() -> io::Result<()> {
    owner::before_ending(|| {
        let open = open();
        for path in &*open {
            let _ = fs::remove_file(path).or_else(|_| fs::remove_dir_all(path));
        }
        // Not given back: nothing new is begun.
        std::mem::forget(open);
    })
}
