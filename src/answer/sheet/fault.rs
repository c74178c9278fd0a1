//! The words for what is wrong with a file of answers: place, what was found, what to do.

use super::columns::Columns;
use super::entries::Status;
use crate::diagnostic::{Diagnostic, Place, nearest};
use crate::roster::Roster;
use crate::table::{Format, Row};
use crate::text::{self, QUOTED, excerpt, quoted};

fn headings(format: &Format) -> String {
    quoted(format.heading().iter().map(String::as_str))
}

fn in_heading(format: &Format, message: String) -> Diagnostic {
    Diagnostic::error(format.file(), format.heading_place(), message)
}

pub(super) fn no_student_column(format: &Format) -> Diagnostic {
    let message = format!(
        "expected a column headed 'student', found the headings {}",
        headings(format)
    );
    in_heading(format, message).help(
        "the heading is 'student' and the part ids, or 'student', 'part' and 'entry'; the ids are those of the roster",
    )
}

/// A file that holds something else, by its heading.
pub(super) fn another_file(format: &Format, what: &str) -> Diagnostic {
    let message = format!(
        "expected answers, found what looks like {what}: the headings are {}",
        headings(format)
    );
    in_heading(format, message).help(
        "answers are what stands on the papers; the list of the class, with ids and names, is another file: the roster",
    )
}

/// Only one of the columns that make the layout of an entry a row: `missing` is the other.
pub(super) fn half_long(format: &Format, missing: &str, meant: Option<&str>) -> Diagnostic {
    let message = format!(
        "expected the headings 'student', 'part' and 'entry' for a row an entry, found {}",
        headings(format)
    );
    let help = match meant {
        Some(meant) => format!("did you mean '{missing}' for '{}'?", excerpt(meant, QUOTED)),
        None => format!("add the column '{missing}', or head each column of answers with its part"),
    };
    in_heading(format, message).help(help)
}

pub(super) fn student_columns(format: &Format, ids: &[usize]) -> Diagnostic {
    let ids = quoted(ids.iter().map(|column| format.heading()[*column].as_str()));
    in_heading(
        format,
        format!("expected one column of student ids, found {ids}"),
    )
    .help("keep the one that has the roster's ids")
}

/// One fault for each heading that something else may have been meant by, and one for all the others.
pub(super) fn unknown_columns(
    format: &Format,
    headings: &[&str],
    columns: &Columns,
    long: bool,
) -> Vec<Diagnostic> {
    let unknown = |headings: &[&str]| {
        let noun = if headings.len() == 1 {
            "column"
        } else {
            "columns"
        };
        let list = quoted(headings.iter().copied());
        in_heading(format, format!("unknown {noun} {list}"))
    };
    let mut faults = Vec::new();
    let mut others = Vec::new();
    for heading in headings {
        match meant(heading, columns) {
            Some(help) if !long => faults.push(unknown(&[heading]).help(help)),
            _ => others.push(*heading),
        }
    }
    if !others.is_empty() {
        let help = if long {
            "with an entry a row the columns are 'student', 'part' and 'entry'".to_owned()
        } else {
            let known = known_names(columns);
            format!("{known}; or is this the file of another assignment?")
        };
        faults.push(unknown(&others).help(help));
    }
    faults
}

/// What an unknown name of a part may have meant.
fn meant(name: &str, columns: &Columns) -> Option<String> {
    if let Some(part) = columns.without_working(name) {
        return Some(format!(
            "part '{}' has no points for working",
            excerpt(part, QUOTED)
        ));
    }
    let names: Vec<_> = columns.names().collect();
    nearest(bare(name), names.iter().map(String::as_str))
        .map(|near| format!("did you mean '{}'?", excerpt(near, QUOTED)))
}

fn known_names(columns: &Columns) -> String {
    let names: Vec<_> = columns.names().collect();
    format!(
        "known are {}: parts are named by their ids, without brackets, capitals as in the file",
        quoted(names.iter().map(String::as_str))
    )
}

/// A heading without the brackets that papers have round the ids of parts.
pub(super) fn bare(heading: &str) -> &str {
    heading.trim_matches(|c: char| matches!(c, '(' | ')' | '[' | ']' | '.') || c.is_whitespace())
}

pub(super) fn unused(format: &Format, headings: &[&str]) -> Diagnostic {
    let (noun, verb) = if headings.len() == 1 {
        ("column", "is")
    } else {
        ("columns", "are")
    };
    let list = quoted(headings.iter().copied());
    let message = format!("the {noun} {list} {verb} not used: the roster says this");
    Diagnostic::note(format.file(), format.heading_place(), message)
}

pub(super) fn no_parts(format: &Format, parts: &[&str]) -> Diagnostic {
    let parts = quoted(parts.iter().copied());
    let message = format!(
        "expected columns for the parts {parts}, found the headings {}",
        headings(format)
    );
    in_heading(format, message).help("head each column of answers with the id of its part")
}

pub(super) fn missing_parts(format: &Format, parts: &[&str]) -> Diagnostic {
    let noun = if parts.len() == 1 { "part" } else { "parts" };
    let message = format!(
        "no column for the {noun} {}: blank, unless the record has an entry",
        quoted(parts.iter().copied())
    );
    Diagnostic::warning(format.file(), format.heading_place(), message)
        .help("add the column if the part was answered")
}

pub(super) fn no_student(file: &str, row: &Row) -> Diagnostic {
    Diagnostic::error(
        file,
        row.place(),
        "expected a student's id, found an empty cell",
    )
    .help("write the id that the roster has for this paper")
}

pub(super) fn only_names(file: &str, rows: u64) -> Diagnostic {
    Diagnostic::error(file, Place::File, nobody(rows)).help(
        "put the ids of the roster in the column of students, not names: two may have the same",
    )
}

/// Told by itself: what may have been meant by a single one of these `ids` is not.
pub(super) fn only_strangers<'a>(
    file: &str,
    rows: u64,
    ids: impl Iterator<Item = &'a str>,
    roster: &Roster,
) -> Diagnostic {
    const SHOWN: usize = 3;
    let ids: Vec<String> = ids
        .take(SHOWN)
        .map(|id| format!("'{}'", excerpt(id, QUOTED)))
        .collect();
    let more = if rows > SHOWN as u64 { ", …" } else { "" };
    let message = format!("{}: {}{more}", nobody(rows), ids.join(", "));
    let like = roster.iter().next().map_or(String::new(), |first| {
        let id = excerpt(first.id, QUOTED);
        format!(" ids there are like '{id}', and leading zeros count")
    });
    Diagnostic::error(file, Place::File, message)
        .help(format!("is it the roster of this class?{like}"))
}

/// The same of paper codes that the record does not know, for which the roster is not to blame.
pub(super) fn only_codes(file: &str, rows: u64) -> Diagnostic {
    let message = format!("{}: what stands there are paper codes", nobody(rows));
    Diagnostic::error(file, Place::File, message).help(
        "no paper of this assignment and class has one of them in the record: check the assignment, --class and --record",
    )
}

fn nobody(rows: u64) -> String {
    match rows {
        1 => "the one student in this file is not on the roster".to_owned(),
        _ => format!("none of the {rows} students in this file is on the roster"),
    }
}

pub(super) fn no_rows(file: &str) -> Diagnostic {
    Diagnostic::warning(
        file,
        Place::File,
        "no answers below the heading: everyone counts as absent",
    )
    .help("if papers were handed in, see that it is the file that was meant")
}

/// `first` is the line of the earlier row.
pub(super) fn second_row(file: &str, row: &Row, id: &str, first: u32) -> Diagnostic {
    let message = format!(
        "'{}' has a second row here, the first is line {first}",
        excerpt(id, QUOTED)
    );
    Diagnostic::error(file, row.place(), message).help("keep one row for each student")
}

pub(super) fn apart(file: &str, row: &Row, id: &str, first: u32) -> Diagnostic {
    let id = excerpt(id, QUOTED);
    let message =
        format!("rows of '{id}' stand here and, with others between, from line {first} on");
    Diagnostic::error(file, row.place(), message)
        .help("sort the file by student, so that the rows of each stand together")
}

pub(super) fn second_part(file: &str, row: &Row, id: &str, part: &str, first: u64) -> Diagnostic {
    let (id, part) = (excerpt(id, QUOTED), excerpt(part, QUOTED));
    let message = format!("'{part}' of '{id}' stands here and in line {first}");
    Diagnostic::error(file, row.place(), message)
        .help("keep the entry that counts; where a student wrote two answers, put both in one cell")
}

pub(super) fn unknown_part(file: &str, row: &Row, part: &str, columns: &Columns) -> Diagnostic {
    let message = format!("unknown part '{}'", excerpt(part, QUOTED));
    let help = meant(part, columns).unwrap_or_else(|| known_names(columns));
    Diagnostic::error(file, row.place(), message).help(help)
}

pub(super) fn no_status(file: &str, row: &Row, cell: &str) -> Diagnostic {
    let message = format!("unknown status '{}'", excerpt(cell.trim(), QUOTED));
    let words = quoted(Status::WORDS.map(|(word, _)| word));
    Diagnostic::error(file, row.place(), message).help(format!(
        "known are {words}; leave it blank where there is a paper"
    ))
}

pub(super) fn no_date(file: &str, row: &Row, cell: &str) -> Diagnostic {
    let (message, help) = text::no_date(cell.trim());
    Diagnostic::error(file, row.place(), message).help(help)
}

pub(super) fn written_by_nobody(file: &str, line: u64, id: &str, status: Status) -> Diagnostic {
    let word = Status::WORDS
        .iter()
        .find(|(_, known)| *known == status)
        .map_or("", |(word, _)| word);
    let message = format!("'{}' is {word} and yet has an entry", excerpt(id, QUOTED));
    Diagnostic::error(file, Place::Line { line, column: None }, message)
        .help("clear the status or the entries")
}

/// Nothing that the scan found fits any more.
pub(super) fn changed(file: &str) -> Diagnostic {
    Diagnostic::error(file, Place::File, "the file changed while it was read")
        .help("close it in other programs and run the command again")
}
