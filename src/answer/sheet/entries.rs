//! All that one student handed in, in a buffer that is used for one student after the other.
//!
//! In: cells that the scan has checked, each with its slot. Out: entries, working, givens, status, day.

use chrono::NaiveDate;

use super::columns::{Columns, given_slot, working_slot};
use crate::text::date;

/// What the `status` column says of a student's paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Status {
    /// Nothing said: there is a paper.
    #[default]
    Present,
    /// There is none.
    Absent,
    /// There is none, and it does not count.
    Excused,
    /// A paper was handed in with nothing on it.
    Empty,
}

impl Status {
    /// The words for it in a file.
    pub(super) const WORDS: [(&'static str, Status); 3] = [
        ("absent", Status::Absent),
        ("excused", Status::Excused),
        ("empty", Status::Empty),
    ];

    pub(super) fn parse(cell: &str) -> Option<Self> {
        let cell = cell.trim();
        if cell.is_empty() {
            return Some(Self::Present);
        }
        let known = Self::WORDS
            .iter()
            .find(|(word, _)| word.eq_ignore_ascii_case(cell));
        known.map(|(_, status)| *status)
    }
}

/// A day in a cell; blank is none.
pub(super) fn parse_date(cell: &str) -> Result<Option<NaiveDate>, ()> {
    let cell = cell.trim();
    if cell.is_empty() {
        return Ok(None);
    }
    date(cell).map(Some).ok_or(())
}

/// The entries of one student, verbatim; places are those of the lists in [`Columns`].
#[derive(Clone, Debug, Default)]
pub struct StudentEntries {
    text: String,
    /// Where in `text` each slot's cell stands.
    cells: Vec<(usize, usize)>,
    parts: usize,
    status: Status,
    handed_in: Option<NaiveDate>,
    line: u32,
}

impl StudentEntries {
    /// What was written for a part, blank or not; empty where the file has no such cell.
    pub fn entry(&self, part: usize) -> &str {
        if part < self.parts {
            self.cell(part)
        } else {
            ""
        }
    }

    /// The points keyed for a part's working, as written.
    pub fn working(&self, part: usize) -> &str {
        if part < self.parts {
            self.cell(working_slot(self.parts, part))
        } else {
            ""
        }
    }

    /// The value used for a given in its place, as written.
    pub fn given(&self, given: usize) -> &str {
        self.cell(given_slot(self.parts, given))
    }

    /// Whether there is a paper.
    pub fn status(&self) -> Status {
        self.status
    }

    /// The day it was handed in.
    pub fn handed_in(&self) -> Option<NaiveDate> {
        self.handed_in
    }

    /// The line of the file in which the student's first row begins, counted from 1.
    pub fn line(&self) -> u64 {
        u64::from(self.line)
    }

    /// Empties it for a student whose first row begins in this line.
    pub(super) fn clear(&mut self, columns: &Columns, line: u32) {
        self.line = line;
        self.text.clear();
        self.cells.clear();
        self.cells.resize(columns.status(), (0, 0));
        self.parts = columns.parts().len();
        self.status = Status::Present;
        self.handed_in = None;
    }

    /// Takes a cell that the scan has checked.
    pub(super) fn put(&mut self, columns: &Columns, slot: usize, cell: &str) {
        if slot == columns.status() {
            self.status = Status::parse(cell).unwrap_or_default();
        } else if slot == columns.handed_in() {
            self.handed_in = parse_date(cell).unwrap_or_default();
        } else {
            let start = self.text.len();
            self.text.push_str(cell);
            self.cells[slot] = (start, self.text.len());
        }
    }

    fn cell(&self, slot: usize) -> &str {
        let (start, end) = self.cells.get(slot).copied().unwrap_or_default();
        &self.text[start..end]
    }
}
