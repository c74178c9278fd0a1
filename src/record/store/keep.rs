//! Backups, and what is deleted at the year's end.
//!
//! In: an open record. Out: a second file with the same content, checked before it gets its name; or
//! a record without a class. Refused: a backup over a file that is there.

use std::io;
use std::path::Path;
use std::time::Duration;

use rusqlite::backup::Backup;
use rusqlite::{Connection, OpenFlags};

use super::error::{Files, RecordError};
use super::{Record, begin, check};
use crate::files;

/// Pages copied before another copy of the program gets its turn.
const PAGES: i32 = 1024;

/// What a purge deleted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Purged {
    /// Papers that were issued.
    pub issues: usize,
    /// Acts about them.
    pub acts: usize,
}

impl Record {
    /// Writes a backup to a new file that its owner alone can read, whether or not another copy of the
    /// program is at work in the record.
    ///
    /// # Errors
    /// A file that is there already, a full disk, a damaged record.
    pub fn backup(&self, target: &Path) -> Result<(), RecordError> {
        let files = Files::named(&target.to_string_lossy());
        let exists = || {
            let message = "a file stands there, which is not replaced; nothing was written";
            files.refused(message, "name another file for the backup")
        };
        if target.is_dir() {
            let inside = target.join("backup.sqlite");
            let help = format!("name a file in it, such as {}", inside.display());
            return Err(files.refused("expected a file, found a folder", &help));
        }
        if target.symlink_metadata().is_ok() {
            return Err(exists());
        }
        let folder = files::parent(target);
        if !folder.is_dir() {
            let message = "the folder of this file does not exist";
            return Err(files.refused(message, "make the folder first, or check its name"));
        }
        let begun = files::temporary::file(folder);
        let (_listed, temporary) = begun.map_err(|error| files.io(&error))?;
        // Closed, for SQLite has locks of its own.
        let temporary = temporary.into_temp_path();
        {
            let failed = |error| files.failed(error);
            let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
            let mut copy = Connection::open_with_flags(&temporary, flags).map_err(failed)?;
            // Nothing is brought back into a file that has no name yet, and no second file lies beside it.
            copy.pragma_update(None, "journal_mode", "OFF")
                .map_err(failed)?;
            let backup = Backup::new(&self.connection, &mut copy).map_err(failed)?;
            backup
                .run_to_completion(PAGES, Duration::from_millis(5), None)
                .map_err(failed)?;
            drop(backup);
            check::is_sound(&copy, &files)?;
            copy.close().map_err(|(_, error)| failed(error))?;
        }
        let kept = temporary.persist_noclobber(target);
        kept.map_err(|error| match error.error.kind() {
            io::ErrorKind::AlreadyExists => exists(),
            _ => files.io(&error.error),
        })?;
        files::sync_folder(folder).map_err(|error| files.io(&error))
    }

    /// Deletes all papers of a class and all that was done to them, and what is no longer needed of
    /// the files. What is deleted is overwritten in the file; other copies of it are not reached.
    ///
    /// # Errors
    /// A busy or failing record; then nothing is deleted.
    pub fn purge(&mut self, class: &str) -> Result<Purged, RecordError> {
        let files = self.files.clone();
        let failed = |error| files.failed(error);
        let transaction = begin(&mut self.connection, &files)?;
        let delete = |sql: &str| transaction.execute(sql, [class]).map_err(failed);
        let acts =
            delete("DELETE FROM acts WHERE issue IN (SELECT id FROM issues WHERE class = ?)")?;
        let issues = delete("DELETE FROM issues WHERE class = ?")?;
        delete("DELETE FROM dues WHERE class = ?")?;
        delete("DELETE FROM written WHERE class = ?")?;
        delete("DELETE FROM classes WHERE name = ?")?;
        for unneeded in [
            "DELETE FROM files WHERE digest NOT IN (SELECT file FROM issues)",
            "DELETE FROM figures WHERE digest NOT IN
                (SELECT value FROM issues, json_each(issues.figures) WHERE value NOT NULL)",
        ] {
            transaction.execute(unneeded, []).map_err(failed)?;
        }
        transaction.commit().map_err(failed)?;
        self.connection.execute_batch("VACUUM").map_err(failed)?;
        Ok(Purged { issues, acts })
    }
}
