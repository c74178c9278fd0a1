//! The words for what is wrong with a table: place, what was found, what to do.

use std::io;

use super::sniff::Unreadable;
use super::{Format, Row, line};
use crate::diagnostic::{Diagnostic, Place};
use crate::text::excerpt;

/// Columns of a terminal that a quoted cell may take in a message.
const QUOTED: usize = 40;

const CLOSE_IT: &str = "close the quote where its cell ends; a quote that belongs to the text is doubled, in a cell in quotes";

/// The characters of Windows-1252 from 80 to 9F, U+FFFD where it has none (Unicode's table CP1252; from
/// memory, compared with Python's). From A0 on its codes are Unicode's.
const WINDOWS_1252: &str = "€\u{FFFD}‚ƒ„…†‡ˆ‰Š‹Œ\u{FFFD}Ž\u{FFFD}\u{FFFD}‘’“”•–—˜™š›œ\u{FFFD}žŸ";

pub(super) fn unreadable(file: &str, error: &io::Error) -> Diagnostic {
    if error.kind() == io::ErrorKind::IsADirectory {
        return Diagnostic::error(file, Place::File, "expected a CSV file, found a folder")
            .help("name a file in it");
    }
    Diagnostic::error(
        file,
        Place::File,
        format!("the file cannot be read: {error}"),
    )
}

pub(super) fn no_table(file: &str, reason: &Unreadable) -> Diagnostic {
    Diagnostic::error(file, Place::File, reason.message).help(reason.help)
}

/// A note unless the separator is the comma.
pub(super) fn assumed(file: &str, delimiter: u8) -> Option<Diagnostic> {
    let name = match delimiter {
        b';' => "semicolons",
        b'\t' => "tabs",
        _ => return None,
    };
    let message = format!("the cells are separated by {name}, as the heading shows");
    Some(Diagnostic::note(file, Place::File, message))
}

pub(super) fn doubled(row: &Row, format: &Format, name: &str, columns: [usize; 2]) -> Diagnostic {
    let [first, second] = columns.map(|column| column + 1);
    let name = excerpt(name, QUOTED);
    Diagnostic::error(
        &format.file,
        row.place(),
        format!("columns {first} and {second} have the same heading '{name}'"),
    )
    .help("give each column a heading of its own")
}

pub(super) fn ragged(row: &Row, format: &Format) -> Diagnostic {
    let (expected, found) = (format.heading.len(), row.cells.len());
    let cells = if expected == 1 { "cell" } else { "cells" };
    let help = if row.cells.as_slice().contains('\n') {
        "a quote in this row joins several lines: check where it is closed"
    } else if found < expected {
        "write an empty cell for what is blank, with its separator"
    } else if format.dialect.delimiter == b',' {
        "a cell that holds a comma is put in quotes, as in \"3,27\""
    } else {
        "a cell that holds the separator is put in quotes"
    };
    Diagnostic::error(
        &format.file,
        row.place(),
        format!("expected {expected} {cells} as in the heading, found {found}"),
    )
    .help(help)
}

pub(super) fn no_heading(row: &Row, format: &Format) -> Diagnostic {
    let filled = format
        .headless
        .iter()
        .find(|column| !row.cell(**column).trim().is_empty());
    let column = filled.copied().unwrap_or_default();
    let cell = excerpt(row.cell(column), QUOTED);
    let message = format!(
        "'{cell}' stands in column {}, which has no heading",
        column + 1
    );
    Diagnostic::error(&format.file, row.place(), message)
        .help("give the column a heading or empty the cell")
}

/// The row is the last one and its last cell holds all that came after the quote.
pub(super) fn unclosed(row: &Row, format: &Format) -> Diagnostic {
    let last = row.cells.len().saturating_sub(1);
    let before: usize = (0..last)
        .map(|column| row.cell(column).matches('\n').count())
        .sum();
    let text = row
        .cells
        .get(last)
        .unwrap_or_default()
        .lines()
        .next()
        .unwrap_or_default();
    let message = format!(
        "a quote is opened before '{}' and never closed, so the rest of the file is one cell",
        excerpt(text, QUOTED)
    );
    Diagnostic::error(&format.file, line(row.line + before as u64), message).help(CLOSE_IT)
}

/// `at` is the line of the quote.
pub(super) fn loose_quote(row: &Row, at: u64, format: &Format) -> Diagnostic {
    let last = row.line + row.cells.as_slice().matches('\n').count() as u64;
    let message = format!("a quote joins lines {} to {last} into one row", row.line);
    Diagnostic::error(&format.file, line(at), message).help(CLOSE_IT)
}

pub(super) fn nul(row: &Row, format: &Format) -> Diagnostic {
    Diagnostic::error(&format.file, row.place(), "expected text, found a NUL byte")
        .help("the file is damaged or no text file: save it again as 'CSV UTF-8'")
}

pub(super) fn too_long(format: &Format, at: u64, has_breaks: bool) -> Diagnostic {
    if has_breaks {
        let message =
            "the row that begins here does not end within a mebibyte: a quote in it is not closed";
        Diagnostic::error(&format.file, line(at), message).help(CLOSE_IT)
    } else {
        let message = "expected a line break within a mebibyte, found none";
        Diagnostic::error(&format.file, line(at), message)
            .help("this is not a CSV file, or it is damaged: save it again as 'CSV UTF-8'")
    }
}

/// `raw` are the bytes of the row, which begins in the line `at` or after some empty ones.
pub(super) fn not_utf8(format: &Format, at: u64, raw: &[u8]) -> Diagnostic {
    let bad = std::str::from_utf8(raw)
        .err()
        .map_or(0, |error| error.valid_up_to());
    let ends =
        |byte: &u8| *byte == format.dialect.delimiter || matches!(byte, b'\n' | b'\r' | b'"');
    let start = raw[..bad].iter().rposition(ends).map_or(0, |at| at + 1);
    let end = raw[bad..]
        .iter()
        .position(ends)
        .map_or(raw.len(), |at| bad + at);
    let byte = raw.get(bad).copied().unwrap_or_default();
    let before = raw[..bad].iter().filter(|byte| **byte == b'\n').count();
    let cell: String = raw[start..end]
        .iter()
        .map(|byte| windows_1252(*byte))
        .collect();
    let message = if cell.contains('\u{FFFD}') {
        format!(
            "expected UTF-8, found the byte {byte:02X} in '{}'",
            excerpt(&cell, QUOTED)
        )
    } else {
        let cell = excerpt(&cell, QUOTED);
        format!(
            "expected UTF-8, found the byte {byte:02X}; read as Windows-1252 ('ANSI') the cell is '{cell}'"
        )
    };
    Diagnostic::error(&format.file, line(at + before as u64), message)
        .help("save the file as 'CSV UTF-8' in the spreadsheet program")
}

fn windows_1252(byte: u8) -> char {
    let special = byte
        .checked_sub(0x80)
        .and_then(|at| WINDOWS_1252.chars().nth(usize::from(at)));
    special.unwrap_or(char::from(byte))
}
