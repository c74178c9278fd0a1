//! The students of a class, in the order of the teacher's file.
//!
//! In goes a CSV file with a heading (see [`crate::table`]); out comes a [`Roster`]. Ids are text, always: they are
//! trimmed and else left alone, and `007` is not `7`. Only the columns that are needed are read.
//!
//! Refused, all at once: no column that holds ids, two that could, empty and doubled ids, a decimal mark or a
//! print size that is none, a file without students.

mod columns;
mod index;

use std::borrow::Cow;
use std::io::{Read, Seek};

use rustc_hash::FxHashMap;

use crate::diagnostic::{Diagnostic, Findings, Place};
use crate::table::{Row, Table};
use crate::text::{DecimalMark, excerpt, safe};
pub use columns::{RosterColumns, is_id_heading, is_roster_heading};
use index::Index;

/// Columns of a terminal that a quoted cell may take in a message.
const QUOTED: usize = 40;

/// What a student goes by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Student<'a> {
    /// Unlike any other on the roster, never empty.
    pub id: &'a str,
    /// As the file has it; may be empty.
    pub name: &'a str,
    /// Class or group.
    pub section: Option<&'a str>,
    /// How this student writes decimals, where the roster says so.
    pub decimal: Option<DecimalMark>,
    /// How large this student's papers are printed, where the roster says so.
    pub print: Option<PrintSize>,
}

/// The letters of papers in large print.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PrintSize {
    /// 18 points.
    Large,
    /// 24 points.
    VeryLarge,
}

impl PrintSize {
    /// The size of the letters in points.
    pub fn points(self) -> u8 {
        match self {
            Self::Large => 18,
            Self::VeryLarge => 24,
        }
    }
}

/// The students in file order.
///
/// A student takes 16 bytes, the bytes of id and name, and 8 to 16 bytes to be found by id.
#[derive(Clone, Debug, Default)]
pub struct Roster {
    /// Ids and names, one after the other.
    text: String,
    entries: Vec<Entry>,
    sections: Vec<Box<str>>,
    index: Index,
}

#[derive(Clone, Copy, Debug, Default)]
struct Entry {
    /// Where in `text` the id begins; the name ends where the next id begins.
    id: u32,
    name: u32,
    /// One more than its number, 0 for none.
    section: u32,
    decimal: Option<DecimalMark>,
    print: Option<PrintSize>,
}

impl Roster {
    /// Reads a roster, and tells what was assumed on the way; or tells all that is wrong with it. `file` is its
    /// name as the user typed it.
    pub fn read(
        input: impl Read + Seek,
        file: &str,
        declared: &RosterColumns,
    ) -> Result<(Self, Vec<Diagnostic>), Vec<Diagnostic>> {
        let mut findings = Findings::new(file);
        let roster = Self::collect(input, declared, &mut findings);
        match roster {
            Some(roster) if findings.errors() == 0 => Ok((roster, findings.into_vec())),
            _ => Err(findings.into_vec()),
        }
    }

    /// How many students there are.
    pub fn len(&self) -> usize {
        self.entries.len()
    }

    /// Whether there are none; never true of a roster that was read.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// The student at a place in the file's order, if there are so many.
    pub fn get(&self, student: usize) -> Option<Student<'_>> {
        let entry = self.entries.get(student)?;
        let end = self
            .entries
            .get(student + 1)
            .map_or(self.text.len(), |next| next.id as usize);
        let section = (entry.section as usize).checked_sub(1);
        Some(Student {
            id: &self.text[entry.id as usize..entry.name as usize],
            name: &self.text[entry.name as usize..end],
            section: section.map(|number| &*self.sections[number]),
            decimal: entry.decimal,
            print: entry.print,
        })
    }

    /// The id of the student at a place; empty beyond the last.
    pub fn id(&self, student: usize) -> &str {
        id_in(&self.text, &self.entries, student)
    }

    /// All students in the file's order.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = Student<'_>> + Clone {
        (0..self.len()).map(|student| self.get(student).unwrap_or_default())
    }

    /// The place of the student with exactly this id.
    pub fn find(&self, id: &str) -> Option<usize> {
        self.index.find(id, |student| self.id(student))
    }

    /// The sections, each once, in the order of their first student.
    pub fn sections(&self) -> impl ExactSizeIterator<Item = &str> {
        self.sections.iter().map(|section| &**section)
    }

    /// Bytes of memory held.
    pub fn bytes(&self) -> usize {
        self.text.capacity()
            + self.entries.capacity() * size_of::<Entry>()
            + self
                .sections
                .iter()
                .map(|section| section.len() + size_of::<Box<str>>())
                .sum::<usize>()
            + self.index.bytes()
    }

    fn collect(
        input: impl Read + Seek,
        declared: &RosterColumns,
        findings: &mut Findings,
    ) -> Option<Self> {
        let mut table = Table::open(input, findings)?;
        let columns = columns::choose(table.format(), declared, findings)?;
        let mut roster = Self::default();
        // Lines and section numbers are needed while reading only.
        let mut lines = Vec::new();
        let mut numbers: FxHashMap<String, u32> = FxHashMap::default();
        let mut row = Row::default();
        while table.read(&mut row, findings) {
            let id = row.cell(columns.id).trim();
            if id.is_empty() {
                let heading = &table.format().heading()[columns.id];
                findings.push(no_id(findings.file(), &row, heading));
                continue;
            }
            let (text, entries) = (&roster.text, &roster.entries);
            if let Some(first) = roster
                .index
                .find_or_add(id, |student| id_in(text, entries, student))
            {
                findings.push(doubled_id(findings.file(), &row, id, lines[first]));
                continue;
            }
            if matches!(safe(id), Cow::Owned(_)) {
                findings.push(hidden_in_id(findings.file(), &row, id));
            }
            let decimal = match columns
                .decimal
                .map(|column| columns::decimal_mark(row.cell(column)))
            {
                None => None,
                Some(Ok(mark)) => mark,
                Some(Err(cell)) => {
                    findings.push(no_decimal_mark(findings.file(), &row, cell));
                    None
                }
            };
            let print = match columns
                .print
                .map(|column| columns::print_size(row.cell(column)))
            {
                None => None,
                Some(Ok(size)) => size,
                Some(Err(cell)) => {
                    findings.push(no_print_size(findings.file(), &row, cell));
                    None
                }
            };
            let section = columns.section.map_or("", |column| row.cell(column).trim());
            let section = if section.is_empty() {
                0
            } else if let Some(number) = numbers.get(section) {
                *number
            } else {
                roster.sections.push(section.into());
                numbers.insert(section.to_owned(), roster.sections.len() as u32);
                roster.sections.len() as u32
            };
            let entry = Entry {
                section,
                decimal,
                print,
                ..Entry::default()
            };
            if !roster.push(id, columns.name_of(&row), entry) {
                let message = "the ids and names together take more than 4 gibibytes";
                findings.push(Diagnostic::error(findings.file(), row.place(), message));
                return None;
            }
            lines.push(row.line());
        }
        if roster.is_empty() && findings.errors() == 0 {
            let message = "expected students below the heading, found none";
            findings.push(
                Diagnostic::error(findings.file(), Place::File, message)
                    .help("write one row for each student"),
            );
        }
        roster.text.shrink_to_fit();
        roster.entries.shrink_to_fit();
        Some(roster)
    }

    /// Takes a student whose id is in the index; `false` when the text outgrows its offsets.
    fn push<'a>(&mut self, id: &str, name: impl Iterator<Item = &'a str>, entry: Entry) -> bool {
        let start = self.text.len();
        self.text.push_str(id);
        let name_start = self.text.len();
        for word in name.filter(|word| !word.is_empty()) {
            if self.text.len() > name_start {
                self.text.push(' ');
            }
            self.text.push_str(word);
        }
        if u32::try_from(self.text.len()).is_err() {
            return false;
        }
        self.entries.push(Entry {
            id: start as u32,
            name: name_start as u32,
            ..entry
        });
        true
    }
}

fn id_in<'a>(text: &'a str, entries: &[Entry], student: usize) -> &'a str {
    let entry = entries.get(student);
    entry.map_or("", |entry| &text[entry.id as usize..entry.name as usize])
}

fn no_id(file: &str, row: &Row, heading: &str) -> Diagnostic {
    let message = format!("expected a student's id in column '{heading}', found an empty cell");
    Diagnostic::error(file, row.place(), message)
        .help("give the student an id of any kind, or delete the row")
}

fn doubled_id(file: &str, row: &Row, id: &str, first: u64) -> Diagnostic {
    let id = excerpt(id, QUOTED);
    let message = format!("the id '{id}' stands here and in line {first}");
    Diagnostic::error(file, row.place(), message)
        .help("each student needs one row and an id of their own")
}

fn hidden_in_id(file: &str, row: &Row, id: &str) -> Diagnostic {
    let id = excerpt(id, QUOTED);
    let message = format!("the id '{id}' holds characters that cannot be seen or typed");
    Diagnostic::warning(file, row.place(), message)
        .help("type the id anew, or answers for it will not be found")
}

fn no_decimal_mark(file: &str, row: &Row, cell: &str) -> Diagnostic {
    let cell = excerpt(cell, QUOTED);
    let message = format!("expected a decimal mark, found '{cell}'");
    Diagnostic::error(file, row.place(), message)
        .help("write 'point' or 'comma', '.' or \",\", or leave the cell empty")
}

fn no_print_size(file: &str, row: &Row, cell: &str) -> Diagnostic {
    let cell = excerpt(cell, QUOTED);
    let message = format!("expected the size of large print, found '{cell}'");
    Diagnostic::error(file, row.place(), message)
        .help("write 18 or 24, for so many points, or leave the cell empty")
}

#[cfg(test)]
mod tests;
