//! What keeps a record from being used, in words.
//!
//! In: the errors of SQLite and of the system, with the file they are about. Out: a diagnostic, and
//! whether another file must be named, somebody else is at work, or the machine failed.

use std::io;

use rusqlite::ErrorCode;

use crate::diagnostic::{Diagnostic, Place};
use crate::files::FileError;
use crate::text::{QUOTED, excerpt};

/// Why a record could not be used. After an error nothing of what was to be done is kept.
#[derive(Clone, Debug)]
pub enum RecordError {
    /// Another file must be named, or this one mended: bad input.
    Refused(Box<Diagnostic>),
    /// Another copy of the program is writing; the same may be tried again.
    Busy(Box<Diagnostic>),
    /// The machine failed: a full disk, a broken one.
    Failed(Box<Diagnostic>),
}

impl RecordError {
    /// What to tell the user.
    pub fn diagnostic(&self) -> &Diagnostic {
        let (Self::Refused(diagnostic) | Self::Busy(diagnostic) | Self::Failed(diagnostic)) = self;
        diagnostic
    }
}

/// Makes errors about one file.
#[derive(Clone, Debug)]
pub(super) struct Files {
    name: String,
}

impl Files {
    pub(super) fn named(name: &str) -> Self {
        Self {
            name: name.to_owned(),
        }
    }

    pub(super) fn name(&self) -> &str {
        &self.name
    }

    fn error(&self, message: impl Into<String>) -> Diagnostic {
        Diagnostic::error(&self.name, Place::File, message)
    }

    pub(super) fn refused(&self, message: impl Into<String>, help: &str) -> RecordError {
        RecordError::Refused(Box::new(self.error(message).help(help)))
    }

    pub(super) fn not_ours(&self) -> RecordError {
        self.refused(
            "expected a record of this program, found another file; it was not touched",
            "name the record with --record; `issue` makes a new one",
        )
    }

    /// What the file holds would run with each act.
    pub(super) fn foreign(&self, kind: &str, name: &str) -> RecordError {
        let name = excerpt(name, QUOTED);
        self.refused(
            format!("the record holds what this program did not put there: {kind} `{name}`"),
            "somebody changed the file, and what they put there could change or delete marks: go back to a backup",
        )
    }

    /// What keeps issued numbers and acts from being changed was taken away.
    pub(super) fn lacks(&self, kind: &str, name: &str) -> RecordError {
        self.refused(
            format!("the record lacks its {kind} `{name}`"),
            "somebody changed the file: go back to a backup",
        )
    }

    /// A file in which commits may lie beside the record, so that a copy of it lacks them.
    pub(super) fn other_journal(&self) -> RecordError {
        self.refused(
            "the record was set to keep commits in a file beside it, which this program never does; it was not touched",
            "another program changed it: go back to a backup, or have that program set the journal back to `delete`",
        )
    }

    /// A journal by which SQLite would delete other files.
    pub(super) fn foreign_journal(&self) -> RecordError {
        self.refused(
            "the journal beside the record was not written by this program; neither was touched",
            "somebody put it there: it could delete files of yours; move it away, or go back to a backup",
        )
    }

    pub(super) fn newer(&self, found: i64, known: usize) -> RecordError {
        let message = format!(
            "this record has version {found}, and this program knows versions up to {known}; \
             it was not touched"
        );
        self.refused(message, "use the newer program that wrote it")
    }

    pub(super) fn truncated(&self, expected: u64, found: u64) -> RecordError {
        let message = format!(
            "the record is cut short: expected {expected} bytes, found {found}; it was not touched"
        );
        self.refused(
            message,
            "go back to a backup; keep this file aside until that is done",
        )
    }

    pub(super) fn absent(&self) -> RecordError {
        self.refused("there is no record of this name", "`issue` makes one")
    }

    pub(super) fn read_only(&self) -> RecordError {
        self.refused(
            "the record is read-only: nothing can be kept in it",
            "check the permissions of the file and of its folder",
        )
    }

    pub(super) fn io(&self, error: &io::Error) -> RecordError {
        match FileError::from_io(&self.name, error) {
            FileError::Refused(diagnostic) => RecordError::Refused(diagnostic),
            FileError::Failed(diagnostic) => RecordError::Failed(diagnostic),
        }
    }

    /// A row that does not hold what this version writes.
    pub(super) fn damaged(&self, what: &str) -> RecordError {
        self.broken(what, "`record check` tells how far; go back to a backup")
    }

    fn broken(&self, what: &str, help: &str) -> RecordError {
        let message = format!("the record is damaged: {what}");
        RecordError::Failed(Box::new(self.error(message).help(help)))
    }

    pub(super) fn failed(&self, error: rusqlite::Error) -> RecordError {
        let failed = |message: String, help: &str| {
            RecordError::Failed(Box::new(self.error(message).help(help)))
        };
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => {
                let message = "another program is at work in the record; nothing was changed";
                let help = "wait until it is done, or close it, and try again";
                RecordError::Busy(Box::new(self.error(message).help(help)))
            }
            Some(ErrorCode::NotADatabase) => self.not_ours(),
            Some(ErrorCode::ReadOnly) => self.read_only(),
            Some(ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => self.refused(
                "the record cannot be opened, or nothing can be written beside it",
                "check the permissions of the file and of its folder",
            ),
            Some(ErrorCode::DatabaseCorrupt) => self.broken(
                "a page of the file cannot be read",
                "copy this file aside, then put the last backup in its place under the same name",
            ),
            Some(ErrorCode::DiskFull) => failed(
                "the disk is full; what was to be kept is not in the record, all before is".into(),
                "make room and do it again",
            ),
            Some(ErrorCode::SystemIoFailure) => failed(
                format!(
                    "the record could not be written or read ({}); what was to be kept is not in \
                     it, all before is",
                    text(&error)
                ),
                "check that the disk has room and is in order, and do it again",
            ),
            _ => failed(
                format!("the record cannot be used (SQLite says: {})", text(&error)),
                "`record check` tells whether it is in order",
            ),
        }
    }
}

/// The words of SQLite.
fn text(error: &rusqlite::Error) -> String {
    match error {
        rusqlite::Error::SqliteFailure(_, Some(message)) => message.clone(),
        other => other.to_string(),
    }
}
