//! Opening a record file.
//!
//! In: a path and what is wanted of it. Out: a connection to a record of the newest version, whose
//! file and journal only their owner can read. Refused before SQLite touches it: a file that is not
//! ours, one from a newer version, one that is cut short, a journal that is not ours; and before anything
//! is read from it: what holds other tables, triggers or views than ours, for a record may come from anybody.
//!
//! The journal is the rollback journal with `synchronous = EXTRA`: at rest the record is one file,
//! which can lie in a folder that is synchronized or backed up; each commit is on the disk, with the
//! folder, before it is reported. A commit costs a few flushes, which nobody waits for who types.
//! A second copy of the program reads between two commits and waits for its turn to write.

use std::fs::{self, File};
use std::io::{self, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::config::DbConfig;
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

/// What a rollback journal begins with, and ends with where a super-journal is named (the same, section 3).
const JOURNAL_MAGIC: [u8; 8] = [0xd9, 0xd5, 0x05, 0xf9, 0x20, 0xa1, 0x63, 0xd7];

/// Opens the file, making or migrating it where that is wanted.
pub(super) fn open(path: &Path, mode: OpenMode, files: &Files) -> Result<Connection, RecordError> {
    // SQLite keeps the journal beside what a link leads to.
    let path = &fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let is_unfinished = has_journal(path, files)?;
    match header(path, is_unfinished, files)? {
        Found::Nothing if mode == OpenMode::Create => create(path, files)?,
        Found::Nothing => return Err(files.absent()),
        Found::Empty if mode != OpenMode::Create => return Err(files.not_ours()),
        Found::Empty | Found::Ours => {}
    }
    let access = match mode {
        // What was cut off is taken back first, which has to write.
        OpenMode::Read if !is_unfinished => OpenFlags::SQLITE_OPEN_READ_ONLY,
        _ => OpenFlags::SQLITE_OPEN_READ_WRITE,
    };
    let flags = access | OpenFlags::SQLITE_OPEN_NO_MUTEX | OpenFlags::SQLITE_OPEN_PRIVATE_CACHE;
    let failed = |error| files.failed(error);
    let mut connection = Connection::open_with_flags(path, flags).map_err(failed)?;
    settings(&connection).map_err(failed)?;
    migrations::only_ours(&connection, files)?;
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
    // before anything is read, the schema too
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_VIEW, false)?;
    connection.busy_timeout(PATIENCE)?;
    connection.execute_batch(
        "PRAGMA synchronous = EXTRA;
         PRAGMA foreign_keys = ON;
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

fn header(path: &Path, is_unfinished: bool, files: &Files) -> Result<Found, RecordError> {
    // Asked before it is opened: a pipe would be waited for.
    match fs::metadata(path) {
        Ok(found) if found.is_file() => {}
        Ok(found) if found.is_dir() => {
            return Err(files.io(&io::Error::from(io::ErrorKind::IsADirectory)));
        }
        Ok(_) => return Err(files.not_ours()),
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Found::Nothing),
        Err(error) => return Err(files.io(&error)),
    }
    let mut bytes = Vec::new();
    let read = File::open(path).and_then(|file| {
        let length = file.metadata()?.len();
        file.take(HEADER as u64).read_to_end(&mut bytes)?;
        Ok(length)
    });
    let length = read.map_err(|error| files.io(&error))?;
    // A journal that was left behind says that the last commit was cut off; SQLite goes back to the
    // one before. Until then length and header may be anything in between.
    if bytes.is_empty() || (is_unfinished && bytes.iter().take(MAGIC.len()).all(|byte| *byte == 0))
    {
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
    // How a file is written and read: 1 is the rollback journal.
    if bytes[18..20] != [1, 1] || beside(path, "-wal").symlink_metadata().is_ok() {
        return Err(files.other_journal());
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
    if !is_unfinished && long(24) == long(92) && length < expected {
        return Err(files.truncated(expected, length));
    }
    Ok(Found::Ours)
}

/// Whether a journal was left beside the file.
///
/// # Errors
/// One that ends by naming a super-journal (the SQLite file format, section 3): SQLite would delete the file
/// of that name, whatever it is. This program works in one file at a time and never writes such a journal.
fn has_journal(path: &Path, files: &Files) -> Result<bool, RecordError> {
    let journal = journal(path);
    let found = match fs::symlink_metadata(&journal) {
        Ok(found) => found,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(false),
        Err(error) => return Err(files.io(&error)),
    };
    if !found.is_file() {
        return Err(files.foreign_journal());
    }
    let mut end = Vec::new();
    let read = File::open(&journal).and_then(|mut file| {
        file.seek(SeekFrom::Start(found.len().saturating_sub(8)))?;
        file.read_to_end(&mut end)
    });
    match read {
        // It was taken back meanwhile.
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(false),
        // Windows says so of one that another copy is deleting.
        Err(error) if error.kind() == io::ErrorKind::PermissionDenied => Ok(true),
        Err(error) => Err(files.io(&error)),
        Ok(_) if end == JOURNAL_MAGIC => Err(files.foreign_journal()),
        Ok(_) => Ok(true),
    }
}

/// The rollback journal of a file.
fn journal(path: &Path) -> PathBuf {
    beside(path, "-journal")
}

fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
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
