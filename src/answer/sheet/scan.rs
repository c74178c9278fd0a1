//! The first reading: checks all of a file and notes where each student's rows begin.
//!
//! In: a file of answers, the roster, the names that may stand in it. Out: [`Answers`], to be read student by
//! student. Refused, all at once: whatever would leave open what a student wrote.

use std::io::{Read, Seek};

use super::columns::Columns;
use super::entries::{Status, parse_date};
use super::fault;
use super::layout::{self, Layout};
use super::read::AnswerReader;
use super::stranger::Strangers;
use crate::diagnostic::{Diagnostic, Findings, Severity};
use crate::roster::Roster;
use crate::table::{Declared, Format, IN_ORDER, OUT_OF_ORDER, Row, Table, unreadable};
use crate::variant::PaperCode;
use rustc_hash::FxHashMap;

/// In place of an offset: no row.
pub(super) const NOWHERE: u64 = u64::MAX;

/// A file of answers that has been checked.
#[derive(Debug)]
pub struct Answers<'a, R> {
    input: R,
    format: Format,
    layout: Layout,
    roster: &'a Roster,
    columns: &'a Columns,
    /// By place on the roster, where the student's first row begins.
    offsets: Vec<u64>,
    /// As `offsets`, the line of that row, for messages.
    lines: Vec<u32>,
    /// By place on the roster, the paper code that a student's rows carry in place of the id.
    coded: FxHashMap<usize, String>,
    findings: Vec<Diagnostic>,
    strangers: u64,
}

/// Whose paper carries which code: places on the roster.
pub type Codes = FxHashMap<PaperCode, usize>;

impl<'a, R: Read + Seek> Answers<'a, R> {
    /// Reads and checks the whole file, whose name is as the user typed it. Rows of students who are not on
    /// the roster are warnings.
    ///
    /// # Errors
    /// Everything that is wrong with the file.
    pub fn scan(
        input: R,
        file: &str,
        roster: &'a Roster,
        columns: &'a Columns,
    ) -> Result<Self, Vec<Diagnostic>> {
        let declared = Declared::default();
        Self::scan_with(input, file, &declared, roster, columns, &Codes::default())
    }

    /// The same where the user said how the file is written, or a paper code may stand for the student.
    ///
    /// # Errors
    /// As of [`Answers::scan`].
    pub fn scan_with(
        input: R,
        file: &str,
        declared: &Declared,
        roster: &'a Roster,
        columns: &'a Columns,
        codes: &Codes,
    ) -> Result<Self, Vec<Diagnostic>> {
        let mut findings = Findings::new(file);
        let looks = |cells: &[&str]| layout::looks(cells, columns);
        let Some(table) = Table::open(input, declared, &looks, &mut findings) else {
            return Err(findings.into_vec());
        };
        let Some(layout) = Layout::find(table.format(), columns, &mut findings) else {
            return Err(findings.into_vec());
        };
        let mut scan = Scan {
            table,
            row: Row::default(),
            layout,
            roster,
            columns,
            codes,
            coded: FxHashMap::default(),
            offsets: vec![NOWHERE; roster.len()],
            lines: vec![0; roster.len()],
            group: Group {
                part_lines: vec![0; columns.len()],
                ..Group::default()
            },
            students: 0,
            strangers: Strangers::default(),
            findings,
        };
        scan.run();
        let Scan {
            table,
            layout,
            offsets,
            lines,
            coded,
            strangers,
            findings,
            ..
        } = scan;
        if findings.errors() > 0 {
            return Err(findings.into_vec());
        }
        let (format, findings) = (table.format().clone(), findings.into_vec());
        let input = table.into_input();
        Ok(Self {
            input,
            format,
            layout,
            roster,
            columns,
            offsets,
            lines,
            coded,
            findings,
            strangers: strangers.count(),
        })
    }

    /// The paper code that stands for the student at a place on the roster, as written, where one does.
    pub fn code(&self, student: usize) -> Option<&str> {
        self.coded.get(&student).map(String::as_str)
    }

    /// What was assumed, left aside or belongs to nobody; no errors.
    pub fn findings(&self) -> &[Diagnostic] {
        &self.findings
    }

    /// How many students in the file are not on the roster (in the long layout: groups of rows).
    pub fn strangers(&self) -> u64 {
        self.strangers
    }

    /// Whether something is left to settle: rows that belong to nobody, or of several students no row at all.
    /// (One who was absent may be a piece of a class by itself.)
    pub fn leave_open(&self) -> bool {
        let is_silent = || self.offsets.iter().all(|offset| *offset == NOWHERE);
        self.strangers > 0 || self.offsets.len() > 1 && is_silent()
    }

    /// Whether the student at a place on the roster has a row. One without was absent.
    pub fn has(&self, student: usize) -> bool {
        self.offsets
            .get(student)
            .is_some_and(|offset| *offset != NOWHERE)
    }

    /// The file itself, for a test to change behind our back.
    #[cfg(test)]
    pub(super) fn input_mut(&mut self) -> &mut R {
        &mut self.input
    }

    /// The second reading, for as many students as wanted; best in the order of the roster.
    ///
    /// # Errors
    /// The file cannot be read a second time.
    pub fn reader(&mut self) -> Result<AnswerReader<'_, R>, Box<Diagnostic>> {
        let in_order = self
            .offsets
            .iter()
            .filter(|offset| **offset != NOWHERE)
            .is_sorted();
        let buffer = if in_order { IN_ORDER } else { OUT_OF_ORDER };
        let table = Table::resume(&mut self.input, self.format.clone(), buffer)
            .map_err(|error| Box::new(unreadable(self.format.file(), &error)))?;
        Ok(AnswerReader::new(
            table,
            &self.layout,
            self.roster,
            self.columns,
            &self.offsets,
            &self.lines,
            &self.coded,
        ))
    }
}

struct Scan<'a, R> {
    table: Table<R>,
    row: Row,
    layout: Layout,
    roster: &'a Roster,
    columns: &'a Columns,
    codes: &'a Codes,
    coded: FxHashMap<usize, String>,
    offsets: Vec<u64>,
    /// As `offsets`, for messages.
    lines: Vec<u32>,
    group: Group,
    students: u64,
    strangers: Strangers,
    findings: Findings,
}

/// The rows of one student that stand together; in the wide layout one row.
#[derive(Default)]
struct Group {
    /// As written; empty before the first.
    id: String,
    /// Place on the roster.
    student: Option<usize>,
    line: u64,
    status: Status,
    has_entry: bool,
    /// By slot, the last line that filled it; one before `line` belongs to another student.
    part_lines: Vec<u64>,
}

impl<R: Read + Seek> Scan<'_, R> {
    fn run(&mut self) {
        let layout = self.layout.clone();
        while self.table.read(&mut self.row, &mut self.findings) {
            if self.begins_group() {
                self.end_group();
                self.begin_group();
            }
            match &layout {
                Layout::Wide { slots, .. } => {
                    for (column, slot) in slots.iter().enumerate() {
                        if let Some(slot) = slot {
                            self.check_cell(*slot, column);
                        }
                    }
                }
                Layout::Long { part, entry, .. } => self.check_part(*part, *entry),
            }
        }
        self.end_group();
        let (file, rows) = (self.table.format().file(), self.students);
        let is_sound = self.findings.errors() == 0;
        let are_names = self.strangers.are_names(self.roster);
        let nobody = match self.strangers.count() == rows && rows > 0 && is_sound {
            false => None,
            true if are_names => Some(fault::only_names(file, rows)),
            true if self.strangers.ids().all(|id| PaperCode::parse(id).is_ok()) => {
                Some(fault::only_codes(file, rows))
            }
            true => {
                let ids = self.strangers.ids();
                Some(fault::only_strangers(file, rows, ids, self.roster))
            }
        };
        // What to do about each of several strangers would, once it is done, put another class on the roster.
        if nobody.is_none() || are_names || rows == 1 {
            // Who may have been meant is known only where all rows are.
            self.strangers
                .tell(self.roster, &self.offsets, &mut self.findings);
        }
        if rows == 0 && is_sound {
            self.findings.push(fault::no_rows(file));
        }
        if let Some(nobody) = nobody {
            self.findings.push(nobody);
        }
    }

    fn begins_group(&self) -> bool {
        let long = matches!(self.layout, Layout::Long { .. });
        let id = self.layout.student(&self.row);
        !long || self.students == 0 || id != self.group.id
    }

    fn begin_group(&mut self) {
        let (row, findings) = (&self.row, &mut self.findings);
        let id = self.layout.student(row);
        // most files are in the roster's order
        let next = self.group.student.map_or(0, |student| student + 1);
        let student = if self.roster.id(next) == id {
            Some(next)
        } else {
            self.roster.find(id)
        };
        // An id outranks a code that looks like it.
        let student = student.or_else(|| {
            if self.codes.is_empty() {
                return None;
            }
            let place = *self.codes.get(&PaperCode::parse(id).ok()?)?;
            self.coded.entry(place).or_insert_with(|| id.to_owned());
            Some(place)
        });
        self.students += 1;
        self.group.id.clear();
        self.group.id.push_str(id);
        self.group.line = row.line();
        self.group.status = Status::Present;
        self.group.has_entry = false;
        self.group.student = None;
        if id.is_empty() {
            findings.push_with(Severity::Error, |file| fault::no_student(file, row));
            return;
        }
        let Some(student) = student else {
            self.strangers.add(row.place(), id);
            return;
        };
        self.group.student = Some(student);
        if self.offsets[student] == NOWHERE {
            self.offsets[student] = row.start();
            self.lines[student] = u32::try_from(row.line()).unwrap_or(u32::MAX);
            return;
        }
        let first = self.lines[student];
        let long = matches!(self.layout, Layout::Long { .. });
        let fault = if long {
            fault::apart
        } else {
            fault::second_row
        };
        findings.push_with(Severity::Error, |file| fault(file, row, id, first));
    }

    fn check_part(&mut self, part: usize, entry: usize) {
        let (row, findings) = (&self.row, &mut self.findings);
        let name = row.cell(part).trim();
        let Some(slot) = layout::slot(self.columns, name) else {
            let columns = self.columns;
            findings.push_with(Severity::Error, |file| {
                fault::unknown_part(file, row, name, columns)
            });
            return;
        };
        let seen = std::mem::replace(&mut self.group.part_lines[slot], row.line());
        if seen >= self.group.line {
            let id = self.group.id.as_str();
            findings.push_with(Severity::Error, |file| {
                fault::second_part(file, row, id, name, seen)
            });
        }
        self.check_cell(slot, entry);
    }

    fn check_cell(&mut self, slot: usize, column: usize) {
        let (row, findings) = (&self.row, &mut self.findings);
        let cell = row.cell(column);
        if self.columns.is_entry(slot) {
            self.group.has_entry = self.group.has_entry || !cell.trim().is_empty();
        } else if slot == self.columns.status() {
            match Status::parse(cell) {
                Some(status) => self.group.status = status,
                None => {
                    findings.push_with(Severity::Error, |file| fault::no_status(file, row, cell))
                }
            }
        } else if slot == self.columns.handed_in() && parse_date(cell).is_err() {
            findings.push_with(Severity::Error, |file| fault::no_date(file, row, cell));
        }
    }

    fn end_group(&mut self) {
        let group = &self.group;
        if group.has_entry && group.status != Status::Present {
            let (line, id, status) = (group.line, group.id.as_str(), group.status);
            let fault = |file: &str| fault::written_by_nobody(file, line, id, status);
            self.findings.push_with(Severity::Error, fault);
        }
    }
}
