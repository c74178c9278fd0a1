//! CSV as people's programs write it, read row by row in memory that does not grow with the file.
//!
//! In goes a file that can be sought in, out come a heading and rows of text with their lines. UTF-8 with or
//! without byte order mark; comma, or semicolon or tab where the heading shows them; quotes as in
//! RFC 4180; LF, CRLF or CR. Rows of nothing but blanks are left out.
//!
//! Refused, each with its place and what to do: other encodings and files that are no text, an empty
//! file, doubled headings, a quote that is never closed, a row that does not fit the heading, a row of
//! absurd length. The `csv` crate by itself tells of few of these, see `guard` and `strict`.

pub mod encoding;
mod fault;
mod guard;
mod sniff;
mod strict;

use std::collections::HashMap;
use std::io::{self, Read, Seek};

use csv::{Position, StringRecord};

use crate::diagnostic::{Diagnostic, Findings, Place};
use guard::Guard;
use sniff::Dialect;

/// Bytes read at a time when a file is read from front to back.
pub const IN_ORDER: usize = 1 << 16;

/// Bytes read at a time when rows are sought one by one.
pub const OUT_OF_ORDER: usize = 1 << 12;

/// What the beginning of a file says about all of it; enough to go on reading it later.
#[derive(Clone, Debug)]
pub struct Format {
    file: String,
    dialect: Dialect,
    heading: Vec<String>,
    heading_line: u64,
    /// Columns without a heading, which may hold blanks alone.
    headless: Vec<usize>,
}

impl Format {
    /// The file's name as the user typed it.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// The headings, trimmed; where a column has none, an empty text.
    pub fn heading(&self) -> &[String] {
        &self.heading
    }

    /// Where the heading stands.
    pub fn heading_place(&self) -> Place {
        line(self.heading_line)
    }
}

/// One row, to be reused for all rows of a file.
#[derive(Clone, Debug, Default)]
pub struct Row {
    cells: StringRecord,
    line: u64,
    start: u64,
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

    fn is_blank(&self, columns: impl IntoIterator<Item = usize>) -> bool {
        columns
            .into_iter()
            .all(|column| self.cell(column).trim().is_empty())
    }
}

/// A CSV file that is being read.
pub struct Table<R> {
    csv: csv::Reader<Guard<R>>,
    format: Format,
}

/// What comes next in a file.
enum Next {
    Row,
    End,
    /// Nothing after this can be read.
    Spoilt(Diagnostic),
}

impl<R: Read + Seek> Table<R> {
    /// Reads the heading and stops before the first row; `None` when that cannot be done, and
    /// `findings` then hold the reason. What was assumed is a note there.
    pub fn open(mut input: R, findings: &mut Findings) -> Option<Self> {
        let dialect = match sniff::read_head(&mut input) {
            Ok(Ok(dialect)) => dialect,
            Ok(Err(reason)) => {
                findings.push(fault::no_table(findings.file(), &reason));
                return None;
            }
            Err(error) => {
                findings.push(fault::unreadable(findings.file(), &error));
                return None;
            }
        };
        if let Some(note) = fault::assumed(findings.file(), dialect.delimiter) {
            findings.push(note);
        }
        let format = Format {
            file: findings.file().to_owned(),
            dialect,
            heading: Vec::new(),
            heading_line: 1,
            headless: Vec::new(),
        };
        let mut table = match Self::resume(input, format, IN_ORDER) {
            Ok(table) => table,
            Err(error) => {
                findings.push(fault::unreadable(findings.file(), &error));
                return None;
            }
        };
        table.read_heading(findings).then_some(table)
    }

    /// Goes on with a file whose heading was read before; [`Table::seek`] must come before the first
    /// row. `buffer` is [`IN_ORDER`] or [`OUT_OF_ORDER`].
    pub fn resume(input: R, format: Format, buffer: usize) -> io::Result<Self> {
        let guard = Guard::new(input, format.dialect.base, format.dialect.lone_cr)?;
        let csv = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(format.dialect.delimiter)
            // CRLF would leave the LF to the next row, and its line and place would be off by one
            .terminator(csv::Terminator::Any(b'\n'))
            .buffer_capacity(buffer)
            .from_reader(guard);
        Ok(Self { csv, format })
    }

    /// What is known of the whole file.
    pub fn format(&self) -> &Format {
        &self.format
    }

    /// The file itself, to be read again.
    pub fn into_input(self) -> R {
        self.csv.into_inner().into_input()
    }

    /// Reads the next row that fits the heading; `false` at the end. Rows that do not fit are passed
    /// over and told in `findings`; what spoils the rest of the file ends it, and is told there too.
    pub fn read(&mut self, row: &mut Row, findings: &mut Findings) -> bool {
        loop {
            match self.next(row) {
                Next::Row => {}
                Next::End => return false,
                Next::Spoilt(fault) => {
                    findings.push(fault);
                    return false;
                }
            }
            // More cells, though empty ones, may be what a comma in a number left behind.
            if row.cells.len() != self.format.heading.len() {
                findings.push(fault::ragged(row, &self.format));
            } else if !row.is_blank(self.format.headless.iter().copied()) {
                findings.push(fault::no_heading(row, &self.format));
            } else {
                return true;
            }
        }
    }

    /// Where the next row begins; empty lines may stand before it.
    pub fn position(&self) -> u64 {
        self.csv.position().byte()
    }

    /// Makes the row that begins there ([`Row::start`]) the next. Lines are not counted from here on.
    pub fn seek(&mut self, start: u64) -> io::Result<()> {
        if start == self.position() {
            return Ok(());
        }
        let mut position = Position::new();
        position.set_byte(start);
        Ok(self.csv.seek(position)?)
    }

    fn read_heading(&mut self, findings: &mut Findings) -> bool {
        let mut row = Row::default();
        match self.next(&mut row) {
            Next::Row => {}
            // a file of nothing but separators
            Next::End => {
                findings.push(fault::no_table(findings.file(), &sniff::EMPTY));
                return false;
            }
            Next::Spoilt(fault) => {
                findings.push(fault);
                return false;
            }
        }
        let heading: Vec<String> = (0..row.cells.len())
            .map(|column| row.cell(column).trim().to_owned())
            .collect();
        self.format.heading_line = row.line;
        let mut first = HashMap::new();
        let errors = findings.errors();
        for (column, name) in heading.iter().enumerate() {
            if name.is_empty() {
                self.format.headless.push(column);
            } else if let Some(before) = first.insert(name, column) {
                findings.push(fault::doubled(&row, &self.format, name, [before, column]));
            }
        }
        self.format.heading = heading;
        findings.errors() == errors
    }

    /// The next row that is not blank, whatever its length.
    fn next(&mut self, row: &mut Row) -> Next {
        loop {
            row.start = self.position();
            let line = self.csv.position().line();
            self.csv.get_mut().begin_row(row.start);
            match self.csv.read_record(&mut row.cells) {
                Ok(true) => {}
                Ok(false) => return Next::End,
                Err(error) => return Next::Spoilt(self.failed(error, row.start, line)),
            }
            let position = self.csv.position();
            let (end, next_line) = (position.byte(), position.line());
            row.line = next_line.saturating_sub(1);
            if self.csv.get_ref().is_end(end) {
                if row.cells.as_slice() == "\0" {
                    return Next::End;
                }
                let breaks = row.cells.as_slice().matches('\n').count();
                row.line = next_line.saturating_sub(breaks as u64);
                return Next::Spoilt(fault::unclosed(row, &self.format));
            }
            let text = row.cells.as_slice();
            if text.contains('\0') {
                return Next::Spoilt(fault::nul(row, &self.format));
            }
            if text.contains('\n') {
                row.line = row.line.saturating_sub(text.matches('\n').count() as u64);
                if let Some(fault) = self.loose_quote(row, end) {
                    return Next::Spoilt(fault);
                }
            }
            if !row.is_blank(0..row.cells.len()) {
                return Next::Row;
            }
        }
    }

    /// A row over several lines is either meant so or the work of a stray quote; the `csv` crate takes both.
    fn loose_quote(&mut self, row: &Row, end: u64) -> Option<Diagnostic> {
        match self.csv.get_mut().raw(row.start, end) {
            Ok(raw) => {
                let at = strict::loose_quote(&raw, self.format.dialect.delimiter)?;
                let before = raw[..at].iter().filter(|byte| **byte == b'\n').count();
                let blank = raw.iter().take_while(|byte| matches!(byte, b'\n' | b'\r'));
                let blank = blank.filter(|byte| **byte == b'\n').count();
                Some(fault::loose_quote(
                    row,
                    row.line + (before - blank) as u64,
                    &self.format,
                ))
            }
            Err(error) => Some(fault::unreadable(&self.format.file, &error)),
        }
    }

    /// What an error of the `csv` crate means for a row that begins there.
    fn failed(&mut self, error: csv::Error, start: u64, line: u64) -> Diagnostic {
        let (end, next_line) = (self.position(), self.csv.position().line());
        if self.csv.get_ref().too_long() {
            return fault::too_long(&self.format, line, next_line > line);
        }
        match error.into_kind() {
            csv::ErrorKind::Utf8 { .. } => match self.csv.get_mut().raw(start, end) {
                Ok(raw) => fault::not_utf8(&self.format, line, &raw),
                Err(error) => fault::unreadable(&self.format.file, &error),
            },
            csv::ErrorKind::Io(error) => fault::unreadable(&self.format.file, &error),
            // the reader is told to take rows of any length and to deserialize nothing
            kind => fault::unreadable(&self.format.file, &io::Error::other(format!("{kind:?}"))),
        }
    }
}

fn line(line: u64) -> Place {
    Place::Line { line, column: None }
}

#[cfg(test)]
mod tests;
