//! The second reading: the rows of one student after the other, each sought where the scan found it.
//!
//! In: a place on the roster. Out: what that student handed in. Refused: a file that changed since the scan.

use std::io::{Read, Seek};

use super::columns::Columns;
use super::entries::StudentEntries;
use super::fault;
use super::layout::{self, Layout};
use super::scan::NOWHERE;
use crate::diagnostic::{Diagnostic, Findings};
use crate::roster::Roster;
use crate::table::{Row, Table, unreadable};
use rustc_hash::FxHashMap;

/// Reading over so many bytes is cheaper than seeking.
const NEAR: u64 = 2048;

/// Gives the entries of students, see [`Answers::reader`](super::Answers::reader).
pub struct AnswerReader<'a, R> {
    table: Table<&'a mut R>,
    layout: &'a Layout,
    roster: &'a Roster,
    columns: &'a Columns,
    offsets: &'a [u64],
    lines: &'a [u32],
    coded: &'a FxHashMap<usize, String>,
    row: Row,
    /// Whether `row` is one that nobody has taken yet.
    waiting: bool,
    /// Whether a row was sought already: before that the heading is ahead, and what stands above it.
    is_below_heading: bool,
    findings: Findings,
}

impl<'a, R: Read + Seek> AnswerReader<'a, R> {
    pub(super) fn new(
        table: Table<&'a mut R>,
        layout: &'a Layout,
        roster: &'a Roster,
        columns: &'a Columns,
        offsets: &'a [u64],
        lines: &'a [u32],
        coded: &'a FxHashMap<usize, String>,
    ) -> Self {
        let findings = Findings::new(table.format().file());
        Self {
            table,
            layout,
            roster,
            columns,
            offsets,
            lines,
            coded,
            row: Row::default(),
            waiting: false,
            is_below_heading: false,
            findings,
        }
    }

    /// Puts into `into` what the student at a place on the roster handed in; `false`, and nothing in
    /// it, for one without a row.
    ///
    /// # Errors
    /// The file cannot be read or has changed since the scan.
    pub fn read(
        &mut self,
        student: usize,
        into: &mut StudentEntries,
    ) -> Result<bool, Box<Diagnostic>> {
        let line = self.lines.get(student).copied().unwrap_or_default();
        into.clear(self.columns, line);
        let offset = self.offsets.get(student).copied().unwrap_or(NOWHERE);
        if offset == NOWHERE {
            return Ok(false);
        }
        self.go_to(offset)?;
        if self.layout.student(&self.row) != self.written(student) {
            return Err(self.changed());
        }
        self.waiting = false;
        match self.layout {
            Layout::Wide { slots, .. } => {
                for (column, slot) in slots.iter().enumerate() {
                    if let Some(slot) = slot {
                        into.put(self.columns, *slot, self.row.cell(column));
                    }
                }
            }
            Layout::Long { part, entry, .. } => loop {
                let name = self.row.cell(*part).trim();
                let Some(slot) = layout::slot(self.columns, name) else {
                    return Err(self.changed());
                };
                into.put(self.columns, slot, self.row.cell(*entry));
                self.waiting = self.next()?;
                if !self.waiting || self.layout.student(&self.row) != self.written(student) {
                    break;
                }
            },
        }
        Ok(true)
    }

    /// How the file names a student.
    fn written(&self, student: usize) -> &str {
        let code = self.coded.get(&student).map(String::as_str);
        code.unwrap_or_else(|| self.roster.id(student))
    }

    /// Reads the row that begins there.
    fn go_to(&mut self, offset: u64) -> Result<(), Box<Diagnostic>> {
        if self.waiting && self.row.start() == offset {
            return Ok(());
        }
        let position = self.table.position();
        if !self.is_below_heading || offset < position || offset - position > NEAR {
            self.seek(offset)?;
            self.is_below_heading = true;
        }
        // a blank line or a stranger's row may stand before it
        loop {
            if !self.next()? || self.row.start() > offset {
                return Err(self.changed());
            }
            if self.row.start() == offset {
                return Ok(());
            }
        }
    }

    fn seek(&mut self, offset: u64) -> Result<(), Box<Diagnostic>> {
        let sought = self.table.seek(offset);
        sought.map_err(|error| Box::new(unreadable(self.table.format().file(), &error)))
    }

    fn next(&mut self) -> Result<bool, Box<Diagnostic>> {
        let found = self.table.read(&mut self.row, &mut self.findings);
        // the scan let no row pass that has a fault
        if self.findings.errors() > 0 {
            Err(self.changed())
        } else {
            Ok(found)
        }
    }

    fn changed(&self) -> Box<Diagnostic> {
        Box::new(fault::changed(self.table.format().file()))
    }
}
