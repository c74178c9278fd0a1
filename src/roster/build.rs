//! Builds a roster, row by row.
//!
//! In: a CSV file and what is declared of its columns. Out: the [`Roster`], with what was assumed; or all that is
//! wrong with it.

use std::borrow::Cow;
use std::io::{Read, Seek};

use rustc_hash::FxHashMap;

use super::columns::{self, Columns, RosterColumns};
use super::rows::Rows;
use super::{Entry, Roster, Sourced, Understood, fault, headings, id_in};
use crate::diagnostic::{Diagnostic, Findings, Place};
use crate::table::{Format, Row, Table};
use crate::text::safe;

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
            seem_answers: columns.seem_answers,
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

/// What is needed while reading only.
#[derive(Default)]
struct Reading {
    /// The line of each student.
    lines: Vec<u64>,
    /// Numbers of sections.
    numbers: FxHashMap<String, u32>,
    sourced: Option<Sourced>,
}
