//! The words for what keeps a gradebook from being filled: place, what was found, what to do.

use crate::diagnostic::{Diagnostic, Place, nearest};
use crate::table::cells::Unsound;
use crate::table::declared::Options;
use crate::table::encoding::Encoding;
use crate::text::{QUOTED, excerpt, quoted};

pub(super) fn line(line: u64) -> Place {
    Place::Line { line, column: None }
}

pub(super) fn unsound(file: &str, fault: Unsound) -> Diagnostic {
    let (at, message) = match fault {
        Unsound::Unclosed(at) => (
            at,
            "a quote is opened here and never closed, so the rest of the file is one cell",
        ),
        Unsound::Joins(at) => (
            at,
            "a quote is opened here and closed lines below, with text behind it",
        ),
    };
    Diagnostic::error(file, line(at), message)
        .help("close the quote where its cell ends; nothing is filled while it is not clear where cells end")
}

/// The whole file was read as text, and a cell by itself is none.
pub(super) fn undecodable(file: &str, at: u64, encoding: Encoding) -> Diagnostic {
    let message = format!("a cell of this row by itself is not {}", encoding.name());
    Diagnostic::error(file, line(at), message).help("save the file as 'CSV UTF-8', and fill that")
}

pub(super) fn empty(file: &str) -> Diagnostic {
    Diagnostic::error(
        file,
        Place::File,
        "the file is empty, or holds blank lines alone",
    )
    .help("expected a gradebook: a heading and a row for each student")
}

/// No row begins where the heading was said to be.
pub(super) fn no_row(file: &str, at: u64) -> Diagnostic {
    let message = format!("no row begins in line {at}, near the top, where the heading should be");
    Diagnostic::error(file, line(at), message)
        .help("count lines from 1, empty ones too; without --heading-row the heading is looked for")
}

/// Where a column was named already.
const TAKE_ONE: &str = "take one of these headings, or '#2' for the second column";

/// The heading was not found. `seen` are the headings of the row most like one.
pub(super) fn no_heading(
    file: &str,
    at: u64,
    seen: &[String],
    id: Option<&str>,
    columns: &[&str],
    lacks_id: bool,
    options: Options,
) -> Diagnostic {
    let headings = seen
        .iter()
        .map(String::as_str)
        .filter(|name| !name.is_empty());
    let found = quoted(headings.clone());
    let is_named = match lacks_id {
        true => id.is_some(),
        false => columns.len() == 1,
    };
    let (expected, option, meant) = if lacks_id {
        let expected = match id {
            Some(id) => format!("a column '{}'", excerpt(id, QUOTED)),
            None => "a column of ids".to_owned(),
        };
        (
            expected,
            "--id-column",
            id.and_then(|id| nearest(id, headings)),
        )
    } else {
        let columns = columns.iter().map(|name| excerpt(name, QUOTED));
        let columns: Vec<String> = columns.map(|name| format!("'{name}'")).collect();
        let expected = format!("a column {}", columns.join(" or "));
        let meant = nearest_of(&columns, headings);
        (expected, "--column", meant)
    };
    let message = format!("expected {expected}, found the headings {found}");
    let did = meant.map_or(String::new(), |meant| {
        format!("did you mean '{}'? ", excerpt(meant, QUOTED))
    });
    if options == Options::Desk && lacks_id {
        let name = match is_named {
            true => "take one of these headings as id_column, under [gradebook] in course.toml",
            false => "name it in course.toml, under [gradebook]: id_column",
        };
        return Diagnostic::error(file, line(at), message).help(format!(
            "{did}{name}; where the heading stands in another line, use `export --into` with --heading-row"
        ));
    }
    if options == Options::Desk {
        return Diagnostic::error(file, line(at), message).help(match is_named {
            true => format!("{did}{TAKE_ONE}"),
            false => format!(
                "{did}type `column` and its heading behind the file's name ('#5' is the fifth column), or name it \
                 for the whole course in course.toml, under [gradebook]: column"
            ),
        });
    }
    let name = match is_named {
        true => TAKE_ONE.to_owned(),
        false => format!("name its heading with {option} ('#5' is the fifth column)"),
    };
    Diagnostic::error(file, line(at), message).help(format!(
        "{did}{name}; where the heading stands in another line, say which with --heading-row"
    ))
}

fn nearest_of<'a>(
    wanted: &[String],
    known: impl Iterator<Item = &'a str> + Clone,
) -> Option<&'a str> {
    let bare = wanted.iter().map(|name| name.trim_matches('\''));
    bare.filter_map(|name| nearest(name, known.clone())).next()
}

/// Several columns have the heading that is wanted.
pub(super) fn doubled_column(
    file: &str,
    at: u64,
    name: &str,
    columns: &[usize],
    option: &str,
) -> Diagnostic {
    let numbers: Vec<String> = columns
        .iter()
        .map(|column| (column + 1).to_string())
        .collect();
    let message = format!(
        "columns {} have the same heading '{}'",
        numbers.join(" and "),
        excerpt(name, QUOTED)
    );
    Diagnostic::error(file, line(at), message).help(format!(
        "say which one by its number, for example {option} '#{}'",
        columns.first().map_or(1, |column| column + 1)
    ))
}

/// Several columns may hold ids, and the students do not tell which.
pub(super) fn several_ids(file: &str, at: u64, names: &[&str]) -> Diagnostic {
    let message = format!(
        "several columns may hold the ids: {}",
        quoted(names.iter().copied())
    );
    Diagnostic::error(file, line(at), message).help("say which one with --id-column")
}

/// The two columns are one.
pub(super) fn same_column(file: &str, at: u64, name: &str) -> Diagnostic {
    let message = format!(
        "the column '{}' holds the ids, and marks cannot go there",
        excerpt(name, QUOTED)
    );
    Diagnostic::error(file, line(at), message).help("name the column for the marks with --column")
}

pub(super) fn other_section(file: &str, at: u64) -> Diagnostic {
    Diagnostic::error(
        file,
        line(at),
        "a second heading stands here, and its columns are others than those of the first",
    )
    .help("take the parts of the file apart, and fill each by itself")
}

pub(super) fn ragged(file: &str, at: u64, id: &str, expected: usize, found: usize) -> Diagnostic {
    let message = format!(
        "the row of '{}' has {found} cells, the heading {expected}",
        excerpt(id, QUOTED)
    );
    let help = if found < expected {
        "write an empty cell, with its separator, for what is blank"
    } else {
        "a cell that holds the separator is put in quotes, as in \"3,27\"; mend the row, for it is not \
         clear which of its cells is meant"
    };
    Diagnostic::error(file, line(at), message).help(help)
}

pub(super) fn odd(file: &str, at: u64, id: &str) -> Diagnostic {
    let message = format!(
        "in the row of '{}' text stands behind a closed quote, so a cell may end elsewhere",
        excerpt(id, QUOTED)
    );
    Diagnostic::error(file, line(at), message)
        .help("a quote that belongs to the text is doubled, in a cell in quotes")
}

pub(super) fn doubled_id(file: &str, at: u64, id: &str, cell: &str, first: u64) -> Diagnostic {
    let mut message = format!(
        "the student {} stands here and in line {first}",
        excerpt(id, QUOTED)
    );
    if cell != id {
        message += &format!(" (here as '{}')", excerpt(cell, QUOTED));
    }
    Diagnostic::error(file, line(at), message)
        .help("each student needs one row; delete or mend the other, for it is not clear which one counts")
}

pub(super) fn not_round(file: &str, at: u64, encoding: &str) -> Diagnostic {
    let message = format!("this row does not come back as it was from {encoding}");
    Diagnostic::error(file, line(at), message)
        .help("the file may be written in something else: say what with --encoding")
}

/// The byte of a separator is also a part of characters.
pub(super) fn hidden_separator(file: &str, delimiter: u8, encoding: &str) -> Diagnostic {
    let message = format!(
        "in {encoding} '{}' may be half of a character, so cells cannot be told apart by it",
        char::from(delimiter)
    );
    Diagnostic::error(file, Place::File, message)
        .help("separate cells with commas, semicolons or tabs, or save the file as 'CSV UTF-8'")
}

pub(super) fn lacks_character(file: &str, at: u64, text: &str, encoding: &str) -> Diagnostic {
    let message = format!(
        "'{}' cannot be written in {encoding}",
        excerpt(text, QUOTED)
    );
    Diagnostic::error(file, line(at), message)
        .help("choose another word in [gradebook] of course.toml, or save the file as 'CSV UTF-8'")
}

/// What was written is not what was to be written: a fault of ours or of the machine.
pub(super) fn damaged(file: &str, at: u64, what: &str) -> Diagnostic {
    let message = format!("the new file was read back, and {what}; the old one was left as it is");
    Diagnostic::error(file, line(at), message).help("please report this with the file")
}

/// One line on how the file was read, where that is not plain.
pub(super) fn assumed(file: &str, said: &[String]) -> Option<Diagnostic> {
    (!said.is_empty()).then(|| Diagnostic::note(file, Place::File, said.join("; ")))
}

pub(super) fn wrapped(file: &str, rows: usize) -> Diagnostic {
    let message = match rows {
        1 => "1 id stands there as a formula, =\"…\", and is read without that".to_owned(),
        _ => format!("{rows} ids stand there as formulas, =\"…\", and are read without that"),
    };
    Diagnostic::note(file, Place::File, message)
}

pub(super) fn trailing(file: &str, cells: usize) -> Diagnostic {
    let cells = match cells {
        1 => "an empty cell".to_owned(),
        cells => format!("{cells} empty cells"),
    };
    let message = format!("every student's row ends in {cells} more than the heading has");
    Diagnostic::note(file, Place::File, message)
}
