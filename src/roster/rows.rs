//! The rows of students, told from what else stands in a file made for printing.
//!
//! In goes a table; out come its students' rows, each with the title of the list it stands in. A heading that
//! comes again begins another list (or page); a row with one filled cell above it is that list's title. What
//! stands alone below the last student, a date of printing or a count, is left out. Both are told.
//!
//! Refused: a heading with other columns further down. A row whose meaning is open is taken as a student's,
//! and refused if it does not fit.

use std::collections::VecDeque;
use std::io::{Read, Seek};

use super::columns::{self, RosterColumns};
use super::{fault, headings};
use crate::diagnostic::Findings;
use crate::table::{Format, Looks, Row, Table, title};

/// So many rows stand at most between two lists; more of the kind are students with odd ids.
const MOST_HELD: usize = 20;

/// Reads one roster.
pub(super) struct Rows<'a, R> {
    table: Table<R>,
    declared: &'a RosterColumns,
    /// Rows that may be titles or stand below a list, until it is clear which.
    held: VecDeque<Row>,
    /// Rows known to be students', to be given before more is read.
    ready: VecDeque<Row>,
    /// The line below the last row that was read.
    below: u64,
    title: Option<String>,
    /// The lines of headings that came again.
    again: Vec<u64>,
    /// The titles above them.
    titles: Vec<String>,
    spoilt: bool,
}

impl<'a, R: Read + Seek> Rows<'a, R> {
    pub(super) fn new(table: Table<R>, declared: &'a RosterColumns) -> Self {
        Self {
            title: table.format().title().map(str::to_owned),
            below: 0,
            table,
            declared,
            held: VecDeque::new(),
            ready: VecDeque::new(),
            again: Vec::new(),
            titles: Vec::new(),
            spoilt: false,
        }
    }

    /// What is known of the whole file.
    pub(super) fn format(&self) -> &Format {
        self.table.format()
    }

    /// The title of the list in which the row given last stands.
    pub(super) fn title(&self) -> Option<&str> {
        self.title.as_deref()
    }

    /// The lines in which the heading came again.
    pub(super) fn again(&self) -> &[u64] {
        &self.again
    }

    /// The titles that stand above these.
    pub(super) fn titles(&self) -> &[String] {
        &self.titles
    }

    /// Gives the next student's row; `false` at the end.
    pub(super) fn next(&mut self, row: &mut Row, findings: &mut Findings) -> bool {
        loop {
            if let Some(ready) = self.ready.pop_front() {
                *row = ready;
                if self.table.fits(row, findings) {
                    return true;
                }
                continue;
            }
            if self.spoilt || !self.table.read_any(row, findings) {
                self.spoilt = true;
                if self.held.is_empty() {
                    return false;
                }
                self.end(findings);
                continue;
            }
            let gap = row.line() > self.below;
            self.below = row.line() + row.breaks() + 1;
            if self.is_heading(row) {
                self.begin(row, findings);
            } else if (gap || !self.held.is_empty() || self.shares_heading(row))
                && self.is_other_heading(row)
            {
                findings.push(fault::other_heading(self.format(), row));
            } else if self.held.len() < MOST_HELD && self.is_title(row, gap) {
                self.held.push_back(std::mem::take(row));
            } else if self.held.is_empty() {
                if self.table.fits(row, findings) {
                    return true;
                }
            } else {
                self.ready.append(&mut self.held);
                self.ready.push_back(std::mem::take(row));
            }
        }
    }

    fn is_heading(&self, row: &Row) -> bool {
        let heading = self.format().heading();
        heading.len() > 1
            && row
                .cells()
                .map(str::trim)
                .eq(heading.iter().map(String::as_str))
    }

    /// Whether a cell of the row is a heading, word for word; a cheap sign that all of it may be one.
    fn shares_heading(&self, row: &Row) -> bool {
        let headings = self.format().heading();
        let mut cells = row.cells().filter(|cell| !cell.is_empty());
        cells.any(|cell| headings.iter().any(|heading| heading == cell))
    }

    fn is_other_heading(&self, row: &Row) -> bool {
        let cells: Vec<&str> = row.cells().map(str::trim).collect();
        columns::looks(&cells, self.declared) == Looks::Heading
    }

    /// Whether a row may be a title, or stand below a list: one filled cell, or two of which the first
    /// announces a class; and unlike a student of whom only the id is known.
    fn is_title(&self, row: &Row, gap: bool) -> bool {
        let headings = self.format().heading();
        if headings
            .iter()
            .filter(|heading| !heading.is_empty())
            .count()
            < 2
        {
            return false;
        }
        let mut filled = row.cells().map(str::trim).filter(|cell| !cell.is_empty());
        match (filled.next(), filled.next(), filled.next()) {
            (Some(cell), None, _) => gap || is_phrase(cell) || row.cells().len() != headings.len(),
            (Some(word), Some(_), None) => headings::announces_section(word),
            _ => false,
        }
    }

    /// Another list begins; the row right above its heading is its title, and what stands above that
    /// belongs to the list before.
    fn begin(&mut self, row: &Row, findings: &mut Findings) {
        self.again.push(row.line());
        self.title = self.held.pop_back().map(|row| title(&row));
        self.titles.extend(self.title.clone());
        self.leave_out(findings);
    }

    /// The file ends; what is held is no student where it is a phrase.
    fn end(&mut self, findings: &mut Findings) {
        let phrases = self.held.iter().rev();
        let phrases = phrases.take_while(|row| is_phrase(&title(row))).count();
        let students = self.held.len() - phrases;
        self.ready.extend(self.held.drain(..students));
        self.leave_out(findings);
    }

    fn leave_out(&mut self, findings: &mut Findings) {
        for row in self.held.drain(..) {
            findings.push(fault::left_out(findings.file(), &row));
        }
    }
}

/// Whether a cell holds several words, or a word before something. Ids do not.
fn is_phrase(cell: &str) -> bool {
    cell.contains(char::is_whitespace) || cell.contains(':')
}
