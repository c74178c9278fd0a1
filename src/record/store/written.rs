//! The cells that were written into gradebooks.
//!
//! In: what was written where. Out: the same, in the order in which it was written. Refused: nothing but
//! what keeps the record from being used.

use chrono::{DateTime, Utc};
use rusqlite::params;

use super::{Record, RecordError, begin, rows};
use crate::record::written::{Target, Written};

impl Record {
    /// All that was ever written for a class into columns of that heading, whatever the file, oldest first.
    ///
    /// # Errors
    /// A busy, damaged or failing record.
    pub fn written(&self, target: &Target) -> Result<Vec<Written>, RecordError> {
        let failed = |error| self.files.failed(error);
        let select = "SELECT file, student, text FROM written
                      WHERE sheet = ? AND class = ? AND heading = ? ORDER BY id";
        let mut statement = self.connection.prepare(select).map_err(failed)?;
        let read = |row: &rusqlite::Row<'_>| {
            Ok(Written {
                file: row.get(0)?,
                student: row.get(1)?,
                text: row.get(2)?,
            })
        };
        let place = params![target.sheet, target.class, target.column];
        let found = statement.query_map(place, read).map_err(failed)?;
        found.collect::<Result<_, _>>().map_err(failed)
    }

    /// Keeps what was written into cells, students with texts, in one transaction.
    ///
    /// # Errors
    /// A busy or failing record; then nothing of it is kept.
    pub fn note_written<'a>(
        &mut self,
        target: &Target,
        cells: impl IntoIterator<Item = (&'a str, &'a str)>,
        at: DateTime<Utc>,
    ) -> Result<(), RecordError> {
        let files = &self.files;
        let failed = |error| files.failed(error);
        let transaction = begin(&mut self.connection, files)?;
        {
            let insert = "INSERT INTO written (at, sheet, class, file, heading, student, text)
                          VALUES (?, ?, ?, ?, ?, ?, ?)";
            let mut insert = transaction.prepare(insert).map_err(failed)?;
            for (student, text) in cells {
                let row = params![
                    rows::moment(at),
                    target.sheet,
                    target.class,
                    target.file,
                    target.column,
                    student,
                    text
                ];
                insert.execute(row).map_err(failed)?;
            }
        }
        transaction.commit().map_err(failed)
    }
}
