//! The record in its file, and the only place that knows SQLite.
//!
//! In: a path; then issues, acts and due dates, each batch in one transaction that is durable when
//! the call returns. Out: the same as plain values. Refused, in words: files that are not ours,
//! newer, cut short, read-only, or in use by another copy for longer than a few seconds.
//!
//! `open` finds out what a file is, `migrations` brings it up to date, `rows` turns rows into values,
//! `check` looks for damage, `keep` makes backups and purges; `written` is what went into gradebooks.

mod check;
mod error;
mod keep;
mod migrations;
mod open;
mod rows;
#[cfg(test)]
mod tests;
mod written;

use std::path::{Path, PathBuf};

use chrono::{DateTime, Utc};
use rusqlite::{Connection, OptionalExtension as _, Transaction, TransactionBehavior, params};

use super::act::{Act, ActId, IssueId, NewAct};
use super::due::{Due, DueFor, Dues};
use super::issue::{Filed, FiledFigure, Issue, NewIssue, RosterFile};
use crate::variant::PaperCode;
pub use check::Checked;
use error::Files;
pub use error::RecordError;
pub use keep::Purged;

/// The name of a record in its course folder.
pub const RECORD: &str = "paperweight.sqlite";

/// The name that stands for a record which is gone when the program ends.
pub const IN_MEMORY: &str = ":memory:";

/// What is wanted of a record file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OpenMode {
    /// Reading alone.
    Read,
    /// Reading and writing a record that is there.
    Write,
    /// The same, and if there is none it is made.
    Create,
}

/// An open record.
#[derive(Debug)]
pub struct Record {
    connection: Connection,
    path: Option<PathBuf>,
    files: Files,
}

/// What was issued before, while new papers are drawn.
#[derive(Debug)]
pub struct Before<'a> {
    /// All papers of the sheet, in the order in which they were issued.
    pub issues: Vec<Issue>,
    connection: &'a Connection,
    files: &'a Files,
}

impl Before<'_> {
    /// Whether any paper in the record, of whatever sheet, carries a code.
    ///
    /// # Errors
    /// A failing record.
    pub fn has_code(&self, code: PaperCode) -> Result<bool, RecordError> {
        rows::has_code(self.connection, code, self.files)
    }
}

/// How far a class is with a sheet, as far as the record tells without marking anything.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Begun {
    /// The code of the sheet.
    pub sheet: String,
    /// Its title when papers were last issued.
    pub title: String,
    /// The class.
    pub class: String,
    /// Where its roster was last read from.
    pub roster: Option<RosterFile>,
    /// Students who have a paper.
    pub students: usize,
    /// Papers about which something was done, at most as many as there are students.
    pub touched: usize,
    /// The last thing done, where it is among the latest thousand acts in the record.
    pub last: Option<DateTime<Utc>>,
}

impl Record {
    /// Opens a record file; [`IN_MEMORY`] is one that is gone when it is dropped.
    ///
    /// # Errors
    /// What is not ours, newer, cut short, read-only or in use, and failures of the machine.
    pub fn open(path: &Path, mode: OpenMode) -> Result<Self, RecordError> {
        if path == Path::new(IN_MEMORY) {
            return Self::in_memory();
        }
        let files = Files::named(&path.to_string_lossy());
        Ok(Self {
            connection: open::open(path, mode, &files)?,
            path: Some(path.to_owned()),
            files,
        })
    }

    /// A record that is gone when it is dropped.
    ///
    /// # Errors
    /// No memory.
    pub fn in_memory() -> Result<Self, RecordError> {
        let files = Files::named(IN_MEMORY);
        Ok(Self {
            connection: open::in_memory(&files)?,
            path: None,
            files,
        })
    }

    /// The file, if it is one.
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// Its name as the user typed it.
    pub fn name(&self) -> &str {
        self.files.name()
    }

    /// Appends acts as one group in one transaction, which is durable when this returns. Gives their
    /// numbers, in their order.
    ///
    /// # Errors
    /// A busy or failing record; then none of the acts is kept.
    pub fn append(&mut self, acts: &[NewAct]) -> Result<Vec<ActId>, RecordError> {
        if acts.is_empty() {
            return Ok(Vec::new());
        }
        let files = &self.files;
        let failed = |error| files.failed(error);
        let transaction = begin(&mut self.connection, files)?;
        let last = "SELECT seq FROM sqlite_sequence WHERE name = 'acts'";
        let last = transaction
            .query_row(last, [], |row| row.get::<_, i64>(0))
            .optional()
            .map_err(failed)?;
        let group = last.unwrap_or(0).checked_add(1);
        let group =
            group.ok_or_else(|| files.damaged("no number is left for what is keyed next"))?;
        let mut ids = Vec::with_capacity(acts.len());
        {
            let mut insert = transaction
                .prepare("INSERT INTO acts (id, grp, at, issue, deed) VALUES (?, ?, ?, ?, ?)")
                .map_err(failed)?;
            for (id, act) in (group..).zip(acts) {
                let row = params![
                    id,
                    group,
                    rows::moment(act.at),
                    act.issue.0,
                    rows::json(&act.deed)
                ];
                insert.execute(row).map_err(failed)?;
                ids.push(ActId(id));
            }
        }
        transaction.commit().map_err(failed)?;
        Ok(ids)
    }

    /// Hands out papers of a sheet, with a figure or none for each of its problems, in one transaction.
    /// `draw` is given everything that was issued of the sheet, and nobody else can issue until it is done.
    /// Gives the papers as issued.
    ///
    /// # Errors
    /// What `draw` says, a paper whose code or number is taken, a busy or failing record; then nothing
    /// is issued.
    pub fn issue<E: From<RecordError>>(
        &mut self,
        filed: &Filed,
        figures: &[Option<FiledFigure>],
        draw: impl FnOnce(&Before<'_>) -> Result<Vec<NewIssue>, E>,
    ) -> Result<Vec<Issue>, E> {
        let files = &self.files;
        let failed = |error| E::from(files.failed(error));
        let transaction = begin(&mut self.connection, files)?;
        let new = draw(&Before {
            issues: rows::issues(&transaction, &filed.sheet, files)?,
            connection: &transaction,
            files,
        })?;
        if new.is_empty() {
            return Ok(Vec::new());
        }
        transaction
            .execute(
                "INSERT INTO files VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING",
                params![
                    filed.digest,
                    filed.sheet,
                    filed.title,
                    rows::json(&filed.texts)
                ],
            )
            .map_err(failed)?;
        for figure in figures.iter().flatten() {
            let insert = "INSERT INTO figures VALUES (?, ?) ON CONFLICT DO NOTHING";
            let row = params![figure.digest, figure.svg];
            transaction.execute(insert, row).map_err(failed)?;
        }
        let digests = figures
            .iter()
            .map(|figure| Some(figure.as_ref()?.digest.clone()));
        let digests: Vec<Option<String>> = digests.collect();
        let mut issues = Vec::with_capacity(new.len());
        for new in new {
            transaction
                .execute(
                    "INSERT INTO issues (sheet, class, student, section, number, code, drawn, file, at, due, figures)
                     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                    params![
                        new.sheet,
                        new.class,
                        new.student,
                        new.section,
                        new.number,
                        new.code.as_str(),
                        rows::json(&new.values),
                        new.file,
                        rows::moment(new.at),
                        new.due.map(rows::day),
                        rows::json(&digests),
                    ],
                )
                .map_err(failed)?;
            let id = IssueId(transaction.last_insert_rowid());
            issues.push(new.issued(id, Some(digests.clone())));
        }
        transaction.commit().map_err(failed)?;
        Ok(issues)
    }

    /// All papers issued of a sheet, in the order in which they were issued.
    ///
    /// # Errors
    /// A busy, damaged or failing record.
    pub fn issues(&self, sheet: &str) -> Result<Vec<Issue>, RecordError> {
        rows::issues(&self.connection, sheet, &self.files)
    }

    /// All papers issued to a class, whatever the sheet, in the order in which they were issued.
    ///
    /// # Errors
    /// A busy, damaged or failing record.
    pub fn issues_of_class(&self, class: &str) -> Result<Vec<Issue>, RecordError> {
        rows::issues_of_class(&self.connection, class, &self.files)
    }

    /// All acts about the papers of a sheet, in their order.
    ///
    /// # Errors
    /// A busy, damaged or failing record.
    pub fn acts(&self, sheet: &str) -> Result<Vec<Act>, RecordError> {
        self.acts_after(sheet, ActId(0))
    }

    /// The acts about the papers of a sheet that came after one; so a second copy sees what the first did.
    ///
    /// # Errors
    /// A busy, damaged or failing record.
    pub fn acts_after(&self, sheet: &str, after: ActId) -> Result<Vec<Act>, RecordError> {
        rows::acts(&self.connection, sheet, after, &self.files)
    }

    /// A number that is another one once somebody else has written to the file; what is written through
    /// this record does not change it.
    ///
    /// # Errors
    /// A busy or failing record.
    pub fn version(&self) -> Result<i64, RecordError> {
        let version = self
            .connection
            .query_row("PRAGMA data_version", [], |row| row.get(0));
        version.map_err(|error| self.files.failed(error))
    }

    /// The files that papers were drawn from.
    ///
    /// # Errors
    /// A busy, damaged or failing record.
    pub fn filed(&self, digest: &str) -> Result<Option<Filed>, RecordError> {
        rows::filed(&self.connection, digest, &self.files)
    }

    /// The file of a figure that papers were handed out with.
    ///
    /// # Errors
    /// A busy, damaged or failing record.
    pub fn figure(&self, digest: &str) -> Result<Option<FiledFigure>, RecordError> {
        rows::figure(&self.connection, digest, &self.files)
    }

    /// The days set for the papers of a sheet.
    ///
    /// # Errors
    /// A busy, damaged or failing record.
    pub fn dues(&self, sheet: &str) -> Result<Dues, RecordError> {
        rows::dues(&self.connection, sheet, &self.files)
    }

    /// Sets days for papers of a sheet, in one transaction.
    ///
    /// # Errors
    /// A busy or failing record; then none is kept.
    pub fn set_due(
        &mut self,
        sheet: &str,
        dues: &[Due],
        at: DateTime<Utc>,
    ) -> Result<(), RecordError> {
        let files = &self.files;
        let failed = |error| files.failed(error);
        let transaction = begin(&mut self.connection, files)?;
        for due in dues {
            let insert =
                "INSERT INTO dues (at, sheet, class, number, who, day) VALUES (?, ?, ?, ?, ?, ?)";
            let row = params![
                rows::moment(at),
                sheet,
                due.class,
                due.number,
                rows::json::<DueFor>(&due.to),
                due.day.map(rows::day)
            ];
            transaction.execute(insert, row).map_err(failed)?;
        }
        transaction.commit().map_err(failed)
    }

    /// Where the roster of a class was last read from.
    ///
    /// # Errors
    /// A busy or failing record.
    pub fn roster_of(&self, class: &str) -> Result<Option<RosterFile>, RecordError> {
        rows::roster(&self.connection, class, &self.files)
    }

    /// Notes where the roster of a class lies.
    ///
    /// # Errors
    /// A busy or failing record.
    pub fn set_roster(&mut self, class: &str, roster: &RosterFile) -> Result<(), RecordError> {
        if self.roster_of(class)?.as_ref() == Some(roster) {
            return Ok(());
        }
        let insert = "INSERT INTO classes VALUES (?, ?)
                      ON CONFLICT (name) DO UPDATE SET roster = excluded.roster";
        let done = self
            .connection
            .execute(insert, params![class, rows::json(roster)]);
        done.map(|_| ()).map_err(|error| self.files.failed(error))
    }

    /// How far each class is with each sheet, by sheet and class.
    ///
    /// # Errors
    /// A busy, damaged or failing record.
    pub fn progress(&self) -> Result<Vec<Begun>, RecordError> {
        rows::progress(&self.connection, &self.files)
    }
}

/// Begins a change which nobody else can make meanwhile.
fn begin<'c>(
    connection: &'c mut Connection,
    files: &Files,
) -> Result<Transaction<'c>, RecordError> {
    connection
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(|error| files.failed(error))
}
