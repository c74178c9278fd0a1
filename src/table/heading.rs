//! Where the heading of a file stands, and what separates its cells.
//!
//! In go the beginning of a file, what was told of it, and what a heading of such a file looks like; out
//! comes a [`Found`]. Each separator that may be meant is tried; the one by which a row looks like a heading is
//! taken, of several the one that makes more cells of it. A line `sep=;` is believed. Title rows may stand
//! above the heading.
//!
//! Refused, with the option that settles it: two rows that could be the heading, two separators that make
//! equally good ones, a heading row that was told and is none. Where no row looks like a heading the first
//! one is it, as in a file whose columns are named by options.

use std::io::Cursor;

use super::declared::Declared;
use super::fault;
use super::sniff::Text;
use super::{Dialect, Format, IN_ORDER, Next, Row, Table};
use crate::diagnostic::Diagnostic;

/// How many rows are looked at; title rows are few.
const LOOKED_AT: usize = 20;

/// What is tried where nothing was told, in the order in which ties are settled.
const SEPARATORS: [u8; 3] = [b',', b';', b'\t'];

/// How much a row looks like a heading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Looks {
    /// Not at all.
    No,
    /// Like one, but its words are also those of titles and cells.
    Perhaps,
    /// Like one and nothing else.
    Heading,
}

/// The heading of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Found {
    pub(super) delimiter: u8,
    /// Whether a line of its own says so.
    pub(super) by_line: bool,
    /// The line in which the heading begins; the first row that is not blank comes no later.
    pub(super) line: u64,
    /// Whether title rows stand above it.
    pub(super) has_titles: bool,
}

/// A row of the beginning, cut by one of the separators.
struct FirstRow {
    line: u64,
    cells: Vec<String>,
    looks: Looks,
}

/// A row that may be the heading, of those cut by one separator.
struct Candidate {
    delimiter: u8,
    rows: Vec<FirstRow>,
    at: usize,
}

impl Candidate {
    fn row(&self) -> &FirstRow {
        &self.rows[self.at]
    }

    fn rank(&self) -> (Looks, usize) {
        (self.row().looks, self.row().cells.len())
    }

    /// Another row that could as well be the heading: right below, or anywhere below a doubtful one.
    fn rival(&self) -> Option<&FirstRow> {
        let row = self.row();
        let below = match row.looks {
            Looks::No => return None,
            Looks::Perhaps => self.rows.len(),
            Looks::Heading => 1,
        };
        let others = self.rows.iter().skip(self.at + 1).take(below);
        let mut strong = others.filter(|other| other.looks == Looks::Heading);
        strong.find(|other| other.cells != row.cells)
    }
}

/// Finds the heading.
pub(super) fn find(
    text: &Text,
    declared: &Declared,
    looks: &dyn Fn(&[&str]) -> Looks,
    file: &str,
) -> Result<Found, Diagnostic> {
    let by_line = separator_line(text);
    let told = declared.delimiter.or(by_line);
    let separators = told.map_or_else(|| SEPARATORS.to_vec(), |told| vec![told]);
    let mut candidates = Vec::new();
    for delimiter in separators {
        let mut rows = rows(text, delimiter, looks, declared.heading_row);
        if by_line.is_some() && !rows.is_empty() {
            rows.remove(0);
        }
        let at = match declared.heading_row {
            Some(line) => rows.iter().position(|row| row.line == line),
            None => (!rows.is_empty()).then(|| likely(&rows).unwrap_or(0)),
        };
        candidates.extend(at.map(|at| Candidate {
            delimiter,
            rows,
            at,
        }));
    }
    let by_line_alone = by_line.is_some() && declared.delimiter.is_none();
    let Some(best) = best(&candidates) else {
        // Nothing there, or bytes that cannot be read: reading on will tell which.
        return Ok(Found {
            delimiter: told.unwrap_or(SEPARATORS[0]),
            by_line: by_line_alone,
            line: declared.heading_row.unwrap_or(1),
            has_titles: false,
        });
    };
    let equal = candidates
        .iter()
        .filter(|other| other.rank() == best.rank() && other.row().cells.len() > 1);
    let equal: Vec<u8> = equal.map(|other| other.delimiter).collect();
    if equal.len() > 1 && best.row().looks > Looks::No {
        return Err(fault::separators(file, best.row().line, &equal, declared));
    }
    if let Some(rival) = best.rival().filter(|_| declared.heading_row.is_none()) {
        let lines = [best.row().line, rival.line];
        return Err(fault::two_headings(file, lines, declared));
    }
    Ok(Found {
        delimiter: best.delimiter,
        by_line: by_line_alone,
        line: best.row().line,
        has_titles: best.at > 0,
    })
}

/// The first of those with the highest rank.
fn best(candidates: &[Candidate]) -> Option<&Candidate> {
    let mut best: Option<&Candidate> = None;
    for candidate in candidates {
        if best.is_none_or(|best| candidate.rank() > best.rank()) {
            best = Some(candidate);
        }
    }
    best
}

/// The first row that looks like a heading. What only perhaps is one counts as the first row, or below
/// rows with fewer cells in them, as titles are.
fn likely(rows: &[FirstRow]) -> Option<usize> {
    let filled = |row: &FirstRow| row.cells.iter().filter(|cell| !cell.is_empty()).count();
    let mut most = 0;
    for (at, row) in rows.iter().enumerate() {
        let filled = filled(row);
        match row.looks {
            Looks::Heading => return Some(at),
            Looks::Perhaps if filled > most => return Some(at),
            _ => most = most.max(filled),
        }
    }
    None
}

/// The first rows that are not blank, or all up to a line that was told.
fn rows(
    text: &Text,
    delimiter: u8,
    looks: &dyn Fn(&[&str]) -> Looks,
    until: Option<u64>,
) -> Vec<FirstRow> {
    let dialect = Dialect {
        base: 0,
        encoding: text.encoding,
        delimiter,
        lone_cr: text.lone_cr,
        decoded: None,
    };
    let format = Format::new("", dialect);
    let Ok(mut table) = Table::resume(Cursor::new(text.head()), format, IN_ORDER) else {
        return Vec::new();
    };
    let mut rows = Vec::new();
    let mut row = Row::default();
    // What spoils the beginning is told when the file is read, by the separator that was found.
    while rows.len() < LOOKED_AT || until.is_some_and(|line| row.line() < line) {
        let Next::Row = table.next(&mut row) else {
            break;
        };
        let cells: Vec<String> = row.cells().map(|cell| cell.trim().to_owned()).collect();
        let borrowed: Vec<&str> = cells.iter().map(String::as_str).collect();
        rows.push(FirstRow {
            line: row.line(),
            looks: looks(&borrowed),
            cells,
        });
    }
    rows
}

/// What a first line such as `sep=;` says.
fn separator_line(text: &Text) -> Option<u8> {
    let line = text
        .head()
        .split(|byte| matches!(byte, b'\n' | b'\r'))
        .next()?;
    let line = line.strip_prefix(b"\"").unwrap_or(line);
    let line = line.strip_suffix(b"\"").unwrap_or(line);
    let (word, rest) = line.split_at_checked(4)?;
    match rest {
        [byte] if word.eq_ignore_ascii_case(b"sep=") && byte.is_ascii() => Some(*byte),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::super::declared::Options;
    use super::*;

    /// A heading has `id` in it; `no` may be one.
    fn looks(cells: &[&str]) -> Looks {
        if cells.contains(&"id") {
            Looks::Heading
        } else if cells.contains(&"no") {
            Looks::Perhaps
        } else {
            Looks::No
        }
    }

    fn found(text: &str, declared: &Declared) -> Result<(u8, u64), String> {
        let text = Text::read(&mut Cursor::new(text), declared, "f").unwrap();
        find(&text, declared, &looks, "f")
            .map(|found| (found.delimiter, found.line))
            .map_err(|error| format!("{} ({})", error.message, error.help.unwrap_or_default()))
    }

    #[test]
    fn headings_and_separators() {
        let cases = [
            ("id,name\n1,A\n", (b',', 1)),
            ("\u{feff}id;name\r\n", (b';', 1)),
            ("id\tname", (b'\t', 1)),
            ("id\n1;2", (b',', 1)),
            ("\n\r\n id;name\n", (b';', 3)),
            ("\"a;b;c\",d\n", (b',', 1)),
            ("\"a\nb\";d\n", (b';', 1)),
            ("a;b,c\n", (b',', 1)),
            ("é;b\n", (b';', 1)),
            ("sep=;\nid;a,b,c\n", (b';', 2)),
            ("\"SEP=|\"\r\nid|name\r\n", (b'|', 2)),
            ("Class 3A, Physics, 2026\n\nid;name\n1;A\n", (b';', 3)),
            ("Class,3A,\nTeacher,O,\nid,name,x\n", (b',', 3)),
            ("Class 3A\nno;name\n1;A\n", (b';', 2)),
            // a cell that says "no" does not make a heading of its row
            ("login,large\n1,no\n2,no\n", (b',', 1)),
            // printed again on the next page
            ("id,name\nid,name\n1,A\n", (b',', 1)),
        ];
        for (text, expected) in cases {
            assert_eq!(found(text, &Declared::default()), Ok(expected), "{text:?}");
        }
    }

    #[test]
    fn what_is_open_is_asked() {
        let cases = [
            ("no,name\nx,y\nid,a\n", "lines 1 and 3", "--heading-row"),
            ("id,name\nid,Vorname\n", "lines 1 and 2", "--heading-row"),
            ("id;a,id\n", "commas or semicolons", "--delimiter"),
        ];
        for (text, expected, option) in cases {
            let message = found(text, &Declared::default()).unwrap_err();
            assert!(message.contains(expected), "{message}");
            assert!(message.contains(option), "{message}");
            let desk = Declared {
                options: Options::Desk,
                ..Declared::default()
            };
            let message = found(text, &desk).unwrap_err();
            let elsewhere = format!("at the command line: {option}");
            assert!(message.contains(&elsewhere), "{message}");
        }
    }

    #[test]
    fn what_is_told_counts() {
        let row = |line| Declared {
            heading_row: Some(line),
            ..Declared::default()
        };
        let text = "no,name\nx,y\n\nid,a\n\"1\n2\",b\n";
        assert_eq!(found(text, &row(1)), Ok((b',', 1)));
        assert_eq!(found(text, &row(4)), Ok((b',', 4)));
        let semicolon = Declared {
            delimiter: Some(b';'),
            ..Declared::default()
        };
        assert_eq!(found("id,name\n", &semicolon), Ok((b';', 1)));
        assert_eq!(found("sep=,\nid;a\n", &semicolon), Ok((b';', 2)));
    }
}
