//! A row of a file.
//!
//! In: cells as the `csv` crate splits them. Out: their texts, and where the row stands.

use csv::StringRecord;

#[cfg(doc)]
use super::Table;
use super::line;
use crate::diagnostic::Place;

/// One row, to be reused for all rows of a file.
#[derive(Clone, Debug, Default)]
pub struct Row {
    pub(super) cells: StringRecord,
    pub(super) line: u64,
    pub(super) start: u64,
}

impl Row {
    /// The text of a column as it stands in the file, not trimmed; empty beyond the last column.
    pub fn cell(&self, column: usize) -> &str {
        let text = self.cells.get(column).unwrap_or("");
        // rows are ended at LF alone, so that places are exact; the CR before it is here
        if column + 1 == self.cells.len() {
            text.strip_suffix('\r').unwrap_or(text)
        } else {
            text
        }
    }

    /// The cells of the row, in their order.
    pub fn cells(&self) -> impl ExactSizeIterator<Item = &str> {
        (0..self.cells.len()).map(|column| self.cell(column))
    }

    /// How many line breaks stand within its cells.
    pub fn breaks(&self) -> u64 {
        self.cells.as_slice().matches('\n').count() as u64
    }

    /// The line in which the row begins, counted from 1.
    pub fn line(&self) -> u64 {
        self.line
    }

    /// Where the row begins in the file, for a diagnostic.
    pub fn place(&self) -> Place {
        line(self.line)
    }

    /// Where the row begins, for [`Table::seek`].
    pub fn start(&self) -> u64 {
        self.start
    }

    pub(super) fn is_blank(&self, columns: impl IntoIterator<Item = usize>) -> bool {
        columns
            .into_iter()
            .all(|column| self.cell(column).trim().is_empty())
    }
}

/// The filled cells of a row, with blanks between them.
pub fn title(row: &Row) -> String {
    let filled = row.cells().map(str::trim).filter(|cell| !cell.is_empty());
    filled.collect::<Vec<_>>().join(" ")
}
