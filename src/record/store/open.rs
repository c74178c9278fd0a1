//! Opening a record file.
//!
//! In: a path and what is wanted of it. Out: a connection to a record of the newest version, whose
//! file and journal only their owner can read. Refused before SQLite touches it: a file that is not
//! ours, one from a newer version, one that is cut short.
//!
//! The journal is the rollback journal with `synchronous = EXTRA`: at rest the record is one file,
//! which can lie in a folder that is synchronized or backed up; each commit is on the disk, with the
//! folder, before it is reported. A commit costs a few flushes, which nobody waits for who types.
//! A second copy of the program reads between two commits and waits for its turn to write.

use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags};

use crate::files::owner;

use super::OpenMode;
use super::error::{Files, RecordError};
use super::migrations::{self, APPLICATION_ID, VERSION};

/// How long a copy waits for another one to finish its commit.
const PATIENCE: Duration = Duration::from_secs(5);

/// Bytes of a SQLite file's header, and what stands in it (the SQLite file format, section 1.3).
const HEADER: usize = 100;
const MAGIC: &[u8; 16] = b"SQLite format 3\0";

/// Opens the file, making or migrating it where that is wanted.
pub(super) fn open(path: &Path, mode: OpenMode, files: &Files) -> Result<Connection, RecordError> {
    match header(path, files)? {
        Found::Nothing if mode == OpenMode::Create => create(path, files)?,
        Found::Nothing => return Err(files.absent()),
        Found::Empty if mode != OpenMode::Create => return Err(files.not_ours()),
        Found::Empty | Found::Ours => {}
    }
    let access = match mode {
        OpenMode::Read => OpenFlags::SQLITE_OPEN_READ_ONLY,
        OpenMode::Write | OpenMode::Create => OpenFlags::SQLITE_OPEN_READ_WRITE,
    };
    let flags = access | OpenFlags::SQLITE_OPEN_NO_MUTEX | OpenFlags::SQLITE_OPEN_PRIVATE_CACHE;
    let failed = |error| files.failed(error);
    let mut connection = Connection::open_with_flags(path, flags).map_err(failed)?;
    settings(&connection).map_err(failed)?;
    if mode == OpenMode::Read {
        return match migrations::version(&connection, files)? {
            VERSION => Ok(connection),
            // Nothing can be brought up to date without writing.
            _ => {
                drop(connection);
                open(path, OpenMode::Write, files)
            }
        };
    }
    if connection.is_readonly("main").map_err(failed)? {
        return Err(files.read_only());
    }
    if migrations::version(&connection, files)? != VERSION {
        migrations::migrate(&mut connection, files)?;
    }
    Ok(connection)
}

/// A record that is gone when it is dropped.
pub(super) fn in_memory(files: &Files) -> Result<Connection, RecordError> {
    let failed = |error| files.failed(error);
    let mut connection = Connection::open_in_memory().map_err(failed)?;
    settings(&connection).map_err(failed)?;
    migrations::migrate(&mut connection, files)?;
    Ok(connection)
}

fn settings(connection: &Connection) -> rusqlite::Result<()> {
    connection.busy_timeout(PATIENCE)?;
    connection.execute_batch(
        "PRAGMA synchronous = EXTRA;
         PRAGMA foreign_keys = ON;
         PRAGMA trusted_schema = OFF;
         PRAGMA cell_size_check = ON;
         PRAGMA secure_delete = ON;",
    )
}

/// What stands at a path.
enum Found {
    Nothing,
    /// A file without content, or with none that was ever committed.
    Empty,
    Ours,
}

fn header(path: &Path, files: &Files) -> Result<Found, RecordError> {
    let mut bytes = Vec::new();
    let read = File::open(path).and_then(|file| {
        let found = file.metadata()?;
        if found.is_dir() {
            return Err(io::Error::from(io::ErrorKind::IsADirectory));
        }
        if !found.is_file() {
            return Err(io::Error::from(io::ErrorKind::InvalidInput));
        }
        file.take(HEADER as u64).read_to_end(&mut bytes)?;
        Ok(found.len())
    });
    let length = match read {
        Ok(length) => length,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Found::Nothing),
        Err(error) if error.kind() == io::ErrorKind::InvalidInput => return Err(files.not_ours()),
        Err(error) => return Err(files.io(&error)),
    };
    // A journal that was left behind says that the last commit was cut off; SQLite goes back to the
    // one before. Until then length and header may be anything in between.
    let unfinished = journal(path).exists();
    if bytes.is_empty() || (unfinished && bytes.iter().take(MAGIC.len()).all(|byte| *byte == 0)) {
        return Ok(Found::Empty);
    }
    let long = |at: usize| {
        let four = bytes.get(at..at + 4).and_then(|four| four.try_into().ok());
        four.map_or(0, u32::from_be_bytes)
    };
    if !bytes.starts_with(MAGIC) || long(68) != APPLICATION_ID as u32 {
        return Err(files.not_ours());
    }
    if bytes.len() < HEADER {
        return Err(files.truncated(HEADER as u64, length));
    }
    let version = i64::from(long(60) as i32);
    if usize::try_from(version).is_ok_and(|version| version > VERSION) {
        return Err(files.newer(version, VERSION));
    }
    let page = match u16::from_be_bytes([bytes[16], bytes[17]]) {
        1 => 65_536,
        size => u64::from(size),
    };
    let expected = page * u64::from(long(28));
    // The count of pages holds where the two change counters agree.
    if !unfinished && long(24) == long(92) && length < expected {
        return Err(files.truncated(expected, length));
    }
    Ok(Found::Ours)
}

/// The rollback journal of a file.
fn journal(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push("-journal");
    PathBuf::from(name)
}

/// Makes an empty file that its owner alone can read; the journal takes over its permissions.
fn create(path: &Path, files: &Files) -> Result<(), RecordError> {
    match owner::create(path) {
        Ok(_) => Ok(()),
        // Another copy was faster; what it made is looked at as any file.
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => Ok(()),
        Err(error) => Err(files.io(&error)),
    }
}
