//! CSV as people's programs write it, read row by row in memory that does not grow with the file.
//!
//! In goes a file that can be sought in, out come a heading and rows of text with their lines. UTF-8 with or
//! without byte order mark, UTF-16 with one, other encodings where they are told (such a file is held in
//! memory); comma, or semicolon or tab where the heading shows them, or what a line `sep=;` says; title rows
//! above the heading; quotes as in RFC 4180; LF, CRLF or CR. Rows of nothing but blanks are left out. What was
//! assumed is one note.
//!
//! Refused, each with its place and what to do: encodings that nobody told and files that are no text, an
//! empty file, a heading or a separator that is open, a quote that is never closed, a row that does not fit
//! the heading, a row of absurd length. The `csv` crate by itself tells of few of these, see `guard` and
//! `strict`.

pub mod cells;
pub mod declared;
pub mod encoding;
pub(crate) mod fault;
mod format;
mod guard;
mod heading;
mod other;
mod row;
pub(crate) mod sniff;
mod source;
mod strict;

use std::collections::HashMap;
use std::io::{self, Read, Seek};

use csv::Position;

use crate::diagnostic::{Diagnostic, Findings, Place};
pub use declared::Declared;
pub(crate) use fault::unreadable;
use format::Dialect;
pub use format::Format;
use guard::Guard;
pub use heading::Looks;
pub(crate) use other::{Other, ZIP};
pub use row::{Row, title};
use sniff::Text;
use source::Source;

/// Bytes read at a time when a file is read from front to back.
pub const IN_ORDER: usize = 1 << 16;

/// Bytes read at a time when rows are sought one by one.
pub const OUT_OF_ORDER: usize = 1 << 12;

/// A CSV file that is being read.
pub struct Table<R> {
    csv: csv::Reader<Guard<Source<R>>>,
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
    /// `findings` then hold the reason. What was assumed is a note there. Of what is declared nothing is
    /// looked for, and `looks` tells a heading from the title rows above it.
    pub fn open(
        mut input: R,
        declared: &Declared,
        looks: &dyn Fn(&[&str]) -> Looks,
        findings: &mut Findings,
    ) -> Option<Self> {
        let opened = Text::read(&mut input, declared, findings.file()).and_then(|text| {
            let found = heading::find(&text, declared, looks, findings.file())?;
            Ok((text, found))
        });
        let (text, found) = match opened {
            Ok(opened) => opened,
            Err(fault) => {
                findings.push(fault);
                return None;
            }
        };
        let assumed = fault::assumed(findings.file(), &text, &found, declared);
        assumed.into_iter().for_each(|note| findings.push(note));
        let dialect = Dialect {
            base: text.base,
            encoding: text.encoding,
            delimiter: found.delimiter,
            lone_cr: text.lone_cr,
            decoded: text.decoded,
        };
        let mut format = Format::new(findings.file(), dialect);
        format.declared = declared.clone();
        let mut table = match Self::resume(input, format, IN_ORDER) {
            Ok(table) => table,
            Err(error) => {
                findings.push(fault::unreadable(findings.file(), &error));
                return None;
            }
        };
        table.read_heading(found.line, findings).then_some(table)
    }

    /// Goes on with a file whose heading was read before; [`Table::seek`] must come before the first
    /// row. `buffer` is [`IN_ORDER`] or [`OUT_OF_ORDER`].
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn resume(input: R, format: Format, buffer: usize) -> io::Result<Self> {
        let source = Source::new(input, format.dialect.decoded.clone());
        let guard = Guard::new(source, format.dialect.base, format.dialect.lone_cr)?;
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
        self.csv.into_inner().into_input().into_file()
    }

    /// Reads the next row that fits the heading; `false` at the end. Rows that do not fit are passed
    /// over and told in `findings`; what spoils the rest of the file ends it, and is told there too.
    pub fn read(&mut self, row: &mut Row, findings: &mut Findings) -> bool {
        while self.read_any(row, findings) {
            if self.fits(row, findings) {
                return true;
            }
        }
        false
    }

    /// Reads the next row that is not blank, whether or not it fits the heading; `false` at the end, and
    /// where the rest of the file is spoilt, which is told in `findings`.
    pub fn read_any(&mut self, row: &mut Row, findings: &mut Findings) -> bool {
        match self.next(row) {
            Next::Row => true,
            Next::End => false,
            Next::Spoilt(fault) => {
                findings.push(fault);
                false
            }
        }
    }

    /// Whether a row has as many cells as the heading and nothing where there is no heading; else that is
    /// told in `findings`.
    pub fn fits(&self, row: &Row, findings: &mut Findings) -> bool {
        // More cells, though empty ones, may be what a comma in a number left behind.
        let fault = if row.cells.len() != self.format.heading.len() {
            fault::ragged(row, &self.format)
        } else if !row.is_blank(self.format.headless.iter().copied()) {
            fault::no_heading(row, &self.format)
        } else {
            return true;
        };
        findings.push(fault);
        false
    }

    /// Lets columns without a heading hold anything.
    pub fn allow_headless(&mut self, columns: &[usize]) {
        self.format.allow(columns);
    }

    /// Where the next row begins; empty lines may stand before it.
    pub fn position(&self) -> u64 {
        self.csv.position().byte()
    }

    /// Makes the row that begins there ([`Row::start`]) the next. Lines are not counted from here on.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn seek(&mut self, start: u64) -> io::Result<()> {
        if start == self.position() {
            return Ok(());
        }
        let mut position = Position::new();
        position.set_byte(start);
        Ok(self.csv.seek(position)?)
    }

    /// Reads up to the heading, which begins in that line.
    fn read_heading(&mut self, at: u64, findings: &mut Findings) -> bool {
        let mut row = Row::default();
        loop {
            match self.next(&mut row) {
                Next::Row if row.line >= at => break,
                Next::Row => {
                    self.format.title = Some(title(&row)).filter(|title| !title.is_empty())
                }
                // a file of nothing but separators
                Next::End => {
                    findings.push(match self.format.declared.heading_row {
                        Some(told) => {
                            fault::no_row_there(findings.file(), told, &self.format.declared)
                        }
                        None => fault::no_table(findings.file(), &sniff::EMPTY),
                    });
                    return false;
                }
                Next::Spoilt(fault) => {
                    findings.push(fault);
                    return false;
                }
            }
        }
        let heading: Vec<String> = row.cells().map(|cell| cell.trim().to_owned()).collect();
        self.format.heading_line = row.line;
        let declared = &self.format.declared;
        if let Some(told) = declared.heading_row.filter(|told| *told != row.line) {
            findings.push(fault::no_row_there(findings.file(), told, declared));
            return false;
        }
        let mut first = HashMap::new();
        for (column, name) in heading.iter().enumerate() {
            if name.is_empty() {
                self.format.headless.push(column);
            } else if let Some(before) = first.insert(name, column) {
                self.format.doubled.push([before, column]);
            }
        }
        self.format.heading = heading;
        true
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
                row.line = next_line.saturating_sub(row.breaks());
                return Next::Spoilt(fault::unclosed(row, &self.format));
            }
            let text = row.cells.as_slice();
            if text.contains('\0') {
                return Next::Spoilt(fault::row_with_nul(row, &self.format));
            }
            if text.contains('\n') {
                row.line = row.line.saturating_sub(row.breaks());
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
                Ok(raw) => fault::row_not_utf8(&self.format, line, &raw),
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
