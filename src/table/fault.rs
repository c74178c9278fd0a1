//! The words for what is wrong with a table: place, what was found, what to do.

use std::io;

use super::declared::{self, Declared};
use super::encoding::{Encoding, Undecodable};
use super::guard::LONGEST_ROW_SAID;
use super::heading::Found;
use super::other::Other;
use super::sniff::{LONGEST_DECODED, Text, Unreadable};
use super::{Format, Row, line};
use crate::diagnostic::{Diagnostic, Place};
use crate::text::{QUOTED, excerpt};

const CLOSE_IT: &str = "close the quote where its cell ends; a quote that belongs to the text is doubled, in a cell in quotes";

pub(crate) fn unreadable(file: &str, error: &io::Error) -> Diagnostic {
    if error.kind() == io::ErrorKind::IsADirectory {
        return Diagnostic::error(file, Place::File, "expected a CSV file, found a folder")
            .help("name a file in it");
    }
    Diagnostic::error(
        file,
        Place::File,
        format!("the file cannot be read: {error}"),
    )
    .help("see that it is still there, that you may read it, and that no other program holds it")
}

/// Something else in the place of a CSV file.
pub(crate) fn another(file: &str, other: Other, help: &str) -> Diagnostic {
    let message = format!("expected a CSV file, found {}", other.name);
    Diagnostic::error(file, Place::File, message).help(help)
}

pub(super) fn no_table(file: &str, reason: &Unreadable) -> Diagnostic {
    Diagnostic::error(file, Place::File, reason.message).help(reason.help)
}

/// One note of all that was assumed, unless the file is as plain as can be.
pub(super) fn assumed(
    file: &str,
    text: &Text,
    found: &Found,
    declared: &Declared,
) -> Option<Diagnostic> {
    let mut said = Vec::new();
    if let Some(encoding) = text.told_by_mark {
        said.push(format!(
            "read as {}, as its byte order mark says",
            encoding.name()
        ));
    }
    if declared.delimiter.is_none() && found.delimiter != b',' {
        let name = declared::plural(found.delimiter);
        let why = if found.by_line {
            "its first line says"
        } else {
            "the heading shows"
        };
        said.push(format!("the cells are separated by {name}, as {why}"));
    }
    if declared.heading_row.is_none() && found.has_titles {
        said.push(format!(
            "the heading is in line {}, below title rows",
            found.line
        ));
    }
    (!said.is_empty()).then(|| Diagnostic::note(file, Place::File, said.join("; ")))
}

pub(super) fn contradicted(
    file: &str,
    found: Encoding,
    told: Encoding,
    declared: &Declared,
) -> Diagnostic {
    let option = declared.said_encoding(&told.name().to_lowercase());
    let message = format!(
        "{option} says {}, the byte order mark of the file {}",
        told.name(),
        found.name()
    );
    Diagnostic::error(file, Place::File, message).help(format!("leave {option} out"))
}

pub(super) fn without_mark(file: &str, found: Encoding, declared: &Declared) -> Diagnostic {
    let message = format!(
        "expected UTF-8, found what looks like {} without a byte order mark",
        found.name()
    );
    let say = declared.say_encoding(&found.name().to_lowercase());
    Diagnostic::error(file, Place::File, message).help(format!("if it is that, {say}"))
}

pub(super) fn too_long_to_decode(file: &str, encoding: Encoding) -> Diagnostic {
    let message = format!(
        "more than {} mebibytes of {}, which is held in memory",
        LONGEST_DECODED >> 20,
        encoding.name()
    );
    Diagnostic::error(file, Place::File, message).help("save it as 'CSV UTF-8', which is not")
}

/// Bytes that an encoding does not have. `text` is what stands behind the byte order mark.
pub(crate) fn undecodable(
    file: &str,
    encoding: Encoding,
    declared: &Declared,
    text: &[u8],
    bad: Undecodable,
) -> Diagnostic {
    let (before, after) = text.split_at(bad.at.min(text.len()));
    let at = 1 + encoding.decode(before).map_or(0, |text| breaks(&text));
    if encoding == Encoding::Utf8 && declared.encoding.is_none() {
        return not_utf8(file, declared, at, (text, before.len()), b",;\t");
    }
    let byte = after.first().copied().unwrap_or_default();
    let message = format!("expected {}, found the byte {byte:02X}", encoding.name());
    Diagnostic::error(file, line(at), message)
        .help("the file is damaged or in another encoding: save it as 'CSV UTF-8'")
}

/// Line breaks of any kind.
fn breaks(text: &str) -> u64 {
    text.matches('\n').count() as u64
        + text
            .split('\r')
            .skip(1)
            .filter(|rest| !rest.starts_with('\n'))
            .count() as u64
}

pub(super) fn no_row_there(file: &str, at: u64, declared: &Declared) -> Diagnostic {
    let counted = "lines are counted from 1, with blank ones; a cell may go over several";
    let (who, help) = if declared.remembered.heading_row {
        let anew = declared.anew("heading-row");
        let say = format!("say {anew} and the line where the heading is now");
        (
            "the record remembers for the heading".to_owned(),
            format!("{say}; {counted}"),
        )
    } else {
        let option = declared.option("heading-row");
        (format!("{option} names"), counted.to_owned())
    };
    let message = format!("no row begins in line {at}, which {who}");
    Diagnostic::error(file, Place::File, message).help(help)
}

pub(super) fn two_headings(file: &str, lines: [u64; 2], declared: &Declared) -> Diagnostic {
    let [first, second] = lines;
    let option = declared.option("heading-row");
    let message = format!("lines {first} and {second} both look like the heading");
    Diagnostic::error(file, line(first), message).help(format!(
        "say which one it is{}: {option} {first} or {option} {second}",
        declared.at_command_line()
    ))
}

pub(super) fn separators(file: &str, at: u64, equal: &[u8], declared: &Declared) -> Diagnostic {
    let names: Vec<String> = equal.iter().map(|byte| declared::plural(*byte)).collect();
    let message = format!(
        "the cells of the heading are separated by {}",
        names.join(" or ")
    );
    let option = declared.option("delimiter");
    let words: Vec<String> = equal
        .iter()
        .map(|byte| format!("{option} {}", declared::word(*byte)))
        .collect();
    Diagnostic::error(file, line(at), message).help(format!(
        "say which{}: {}",
        declared.at_command_line(),
        words.join(" or ")
    ))
}

pub(super) fn doubled(format: &Format, columns: [usize; 2]) -> Diagnostic {
    let [first, second] = columns.map(|column| column + 1);
    let name = excerpt(
        format.heading.get(columns[0]).map_or("", String::as_str),
        QUOTED,
    );
    Diagnostic::error(
        &format.file,
        format.heading_place(),
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
    let last = row.line + row.breaks();
    let message = format!("a quote joins lines {} to {last} into one row", row.line);
    Diagnostic::error(&format.file, line(at), message).help(CLOSE_IT)
}

pub(super) fn row_with_nul(row: &Row, format: &Format) -> Diagnostic {
    nul(&format.file, row.place())
}

pub(crate) fn nul(file: &str, place: Place) -> Diagnostic {
    Diagnostic::error(file, place, "expected text, found a NUL byte")
        .help("the file is damaged, or is not a text file: save it again as 'CSV UTF-8'")
}

pub(super) fn too_long(format: &Format, at: u64, has_breaks: bool) -> Diagnostic {
    if has_breaks {
        let message = format!(
            "the row that begins here does not end within {LONGEST_ROW_SAID}: a quote in it is not closed"
        );
        Diagnostic::error(&format.file, line(at), message).help(CLOSE_IT)
    } else {
        let message = format!("expected a line break within {LONGEST_ROW_SAID}, found none");
        Diagnostic::error(&format.file, line(at), message)
            .help("this is not a CSV file, or it is damaged: save it again as 'CSV UTF-8'")
    }
}

/// `raw` are the bytes of the row, which begins in the line `at` or after some empty ones.
pub(super) fn row_not_utf8(format: &Format, at: u64, raw: &[u8]) -> Diagnostic {
    let bad = std::str::from_utf8(raw).err();
    let bad = bad.map_or(0, |error| error.valid_up_to());
    let before = raw[..bad].iter().filter(|byte| **byte == b'\n').count();
    let separators = [format.dialect.delimiter];
    let at = at + before as u64;
    not_utf8(&format.file, &format.declared, at, (raw, bad), &separators)
}

/// What is not UTF-8, at an offset of `text` in the line `at`, shown as the cell would be read in the encoding
/// that most such files have.
fn not_utf8(
    file: &str,
    declared: &Declared,
    at: u64,
    (text, bad): (&[u8], usize),
    separators: &[u8],
) -> Diagnostic {
    let (before, behind) = text.split_at(bad);
    let ends = |byte: &u8| separators.contains(byte) || matches!(byte, b'\n' | b'\r' | b'"');
    let start = before.iter().rposition(ends).map_or(0, |at| at + 1);
    let end = behind
        .iter()
        .position(ends)
        .map_or(text.len(), |at| bad + at);
    let byte = behind.first().copied().unwrap_or_default();
    let cell = Encoding::named("windows-1252").ok();
    let cell =
        cell.and_then(|encoding| Some(encoding.decode(&text[start..end]).ok()?.into_owned()));
    // Bytes for which that encoding has no letter come out as control characters.
    let cell = cell.filter(|cell| !cell.chars().any(char::is_control));
    let mut message = format!("expected UTF-8, found the byte {byte:02X}");
    if let Some(cell) = cell {
        let cell = excerpt(&cell, QUOTED);
        message += &format!("; read as windows-1252 ('ANSI') the cell is '{cell}'");
    }
    let say = declared.say_encoding("windows-1252");
    Diagnostic::error(file, line(at), message).help(format!(
        "if that is right, {say}; else name what it is, or save the file as 'CSV UTF-8'"
    ))
}
