//! The students of a class, in the order of the teacher's file.
//!
//! In goes a CSV file with a heading (see [`crate::table`]); out comes a [`Roster`]. Ids are text, always:
//! they are trimmed and else left alone, and `007` is not `7`. Only the columns that are needed are read. A
//! file may hold several lists one below the other, see `rows`; their titles are sections where no column
//! says them.
//!
//! Refused, all at once: no column that holds ids, two that could, empty and doubled ids, ids that a
//! spreadsheet has cut short, sums, a decimal mark or a print size that is none, a file without students.

mod columns;
mod compare;
mod fault;
mod headings;
mod index;
pub mod oneroster;
mod rows;
mod sourced;

use std::borrow::Cow;
use std::io::{Read, Seek};

use rustc_hash::FxHashMap;

use crate::diagnostic::{Diagnostic, Findings, Place};
use crate::table::{Format, Row, Table};
use crate::text::{DecimalMark, safe};
use columns::Columns;
pub use columns::RosterColumns;
pub use compare::Changes;
pub use headings::{is_id_heading, is_roster_heading};
use index::Index;
use rows::Rows;
pub use sourced::{SOURCED_HEADINGS, Sourced};

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
    /// Of a roster that came from a OneRoster file.
    sourced: Option<Box<Sourced>>,
    understood: Understood,
}

/// What was made of the columns of a roster.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Understood {
    /// The headings, trimmed; empty where a column has none.
    pub heading: Vec<String>,
    /// The line of the heading, counted from 1.
    pub heading_line: u64,
    /// The name of the encoding.
    pub encoding: &'static str,
    /// What separates the cells.
    pub delimiter: u8,
    /// What was taken, in words, and from which column. A name may come from two.
    pub taken: Vec<(&'static str, usize)>,
    /// Columns with a heading that were left aside.
    pub unused: Vec<usize>,
    /// How many lists stand in the file, each below a heading.
    pub lists: usize,
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
    /// Reads a roster, and tells what was assumed on the way. `file` is its name as the user typed it.
    ///
    /// # Errors
    /// All that is wrong with it.
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

    /// A roster of ids and sections (empty for none) that stand in no file. Each id counts once.
    pub fn of<'a>(students: impl IntoIterator<Item = (&'a str, &'a str)>) -> Self {
        let mut roster = Self::default();
        let mut numbers = FxHashMap::default();
        for (id, section) in students {
            let (text, entries) = (&roster.text, &roster.entries);
            let known = roster
                .index
                .find_or_add(id, |place| id_in(text, entries, place));
            if known.is_none() {
                let entry = Entry {
                    section: roster.section(section, &mut numbers),
                    ..Entry::default()
                };
                roster.push(id, std::iter::empty(), entry);
            }
        }
        roster
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

    /// What was made of its columns.
    pub fn understood(&self) -> &Understood {
        &self.understood
    }

    /// The ids that its OneRoster columns hold, if it has them.
    pub fn sourced(&self) -> Option<&Sourced> {
        self.sourced.as_deref()
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
        let looks = |cells: &[&str]| columns::looks(cells, declared);
        let mut table = Table::open(input, &declared.file, &looks, findings)?;
        let columns = columns::choose(table.format(), declared, findings)?;
        table.allow_headless(&columns.may_be_headless(table.format()));
        let mut roster = Self::default();
        let mut reading = Reading {
            sourced: columns.has_sourced().then(Sourced::default),
            ..Reading::default()
        };
        let mut rows = Rows::new(table, declared);
        let mut row = Row::default();
        while rows.next(&mut row, findings) {
            let title = rows.title();
            if !roster.take(&row, title, &columns, &mut reading, rows.format(), findings) {
                return None;
            }
        }
        if roster.is_empty() && findings.errors() == 0 {
            let message = "expected students below the heading, found none";
            findings.push(
                Diagnostic::error(findings.file(), Place::File, message)
                    .help("write one row for each student"),
            );
        }
        // The title of a single list names the list, not a section of it.
        if columns.section.is_none() && rows.again().is_empty() {
            roster.sections.clear();
            for entry in &mut roster.entries {
                entry.section = 0;
            }
        }
        if let Some(first) = rows.again().first() {
            let sections = roster.sections().map(str::to_owned).collect::<Vec<_>>();
            findings.push(match columns.section {
                None => fault::several_lists(findings.file(), *first, &sections),
                Some(_) => fault::pages(findings.file(), *first, rows.titles()),
            });
        }
        let format = rows.format();
        roster.understood = Understood {
            heading: format.heading().to_vec(),
            heading_line: format.heading_line(),
            encoding: format.encoding().name(),
            delimiter: format.delimiter(),
            taken: columns.taken,
            unused: columns.unused,
            lists: rows.again().len() + 1,
        };
        roster.sourced = reading.sourced.map(Box::new);
        roster.text.shrink_to_fit();
        roster.entries.shrink_to_fit();
        Some(roster)
    }

    /// Takes in one student's row; `false` when the ids and names outgrow what they are kept in.
    fn take(
        &mut self,
        row: &Row,
        title: Option<&str>,
        columns: &Columns,
        reading: &mut Reading,
        format: &Format,
        findings: &mut Findings,
    ) -> bool {
        let id = row.cell(columns.id).trim();
        if id.is_empty() {
            let heading = &format.heading()[columns.id];
            findings.push(fault::no_id(findings.file(), row, heading));
            return true;
        }
        if fault::is_sum(id) {
            findings.push(fault::sum(findings.file(), row, id));
            return true;
        }
        if fault::is_cut_short(id) {
            findings.push(fault::cut_short(findings.file(), row, id));
            return true;
        }
        let (text, entries) = (&self.text, &self.entries);
        if let Some(first) = self
            .index
            .find_or_add(id, |student| id_in(text, entries, student))
        {
            findings.push(fault::doubled_id(
                findings.file(),
                row,
                id,
                reading.lines[first],
            ));
            return true;
        }
        if matches!(safe(id), Cow::Owned(_)) {
            findings.push(fault::hidden_in_id(findings.file(), row, id));
        }
        let mut said = |fault: fn(&str, &Row, &str) -> Diagnostic, cell: &str| {
            findings.push(fault(findings.file(), row, cell));
        };
        let decimal = columns
            .decimal
            .map(|column| headings::decimal_mark(row.cell(column)));
        let decimal = decimal.unwrap_or(Ok(None)).unwrap_or_else(|cell| {
            said(fault::no_decimal_mark, cell);
            None
        });
        let print = columns
            .print
            .map(|column| headings::print_size(row.cell(column)));
        let print = print.unwrap_or(Ok(None)).unwrap_or_else(|cell| {
            said(fault::no_print_size, cell);
            None
        });
        let section = match columns.section {
            Some(column) => row.cell(column).trim(),
            None => title.unwrap_or(""),
        };
        let entry = Entry {
            section: self.section(section, &mut reading.numbers),
            decimal,
            print,
            ..Entry::default()
        };
        if !self.push(id, columns.name_of(row), entry) {
            let message = "the ids and names together take more than 4 gibibytes";
            findings.push(Diagnostic::error(findings.file(), row.place(), message));
            return false;
        }
        reading.lines.push(row.line());
        if let Some(sourced) = &mut reading.sourced {
            sourced.take(
                columns
                    .sourced
                    .map(|column| column.map_or("", |at| row.cell(at).trim())),
            );
        }
        true
    }

    /// The number of a section, which is 0 for none.
    fn section(&mut self, name: &str, numbers: &mut FxHashMap<String, u32>) -> u32 {
        if name.is_empty() {
            return 0;
        }
        if let Some(number) = numbers.get(name) {
            return *number;
        }
        self.sections.push(name.into());
        numbers.insert(name.to_owned(), self.sections.len() as u32);
        self.sections.len() as u32
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

/// What is needed while reading only.
#[derive(Default)]
struct Reading {
    /// The line of each student.
    lines: Vec<u64>,
    /// Numbers of sections.
    numbers: FxHashMap<String, u32>,
    sourced: Option<Sourced>,
}

#[cfg(test)]
mod tests;
