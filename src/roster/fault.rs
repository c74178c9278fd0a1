//! The words for what is wrong with a roster, and for what was left out of it.

use crate::diagnostic::{Diagnostic, Place};
use crate::table::{Format, Row, title};
use crate::text::{QUOTED, excerpt, quoted};

/// Words in the column of ids that stand for no student (common practice, in the languages of the headings).
const SUMS: [&str; 17] = [
    "total",
    "totals",
    "sum",
    "count",
    "average",
    "mean",
    "median",
    "summe",
    "gesamt",
    "anzahl",
    "durchschnitt",
    "mittelwert",
    "somme",
    "moyenne",
    "promedio",
    "totale",
    "media",
];

/// Whether what stands in the place of an id is the name of a sum.
pub(super) fn is_sum(id: &str) -> bool {
    SUMS.contains(&id.trim_end_matches(':').to_lowercase().as_str())
}

/// Whether an id is a number as a spreadsheet shortens it, such as 1.23E+15.
pub(super) fn is_cut_short(id: &str) -> bool {
    let Some((number, power)) = id.split_once("E+") else {
        return false;
    };
    let is_digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let (whole, rest) = number.split_once(['.', ',']).unwrap_or((number, "0"));
    whole.len() == 1 && is_digits(whole) && is_digits(rest) && is_digits(power)
}

pub(super) fn sum(file: &str, row: &Row, id: &str) -> Diagnostic {
    let message = format!(
        "expected a student's id, found '{}', as below a list",
        excerpt(id, QUOTED)
    );
    Diagnostic::error(file, row.place(), message)
        .help("delete the row; if that is a student, give them another id")
}

pub(super) fn cut_short(file: &str, row: &Row, id: &str) -> Diagnostic {
    let id = excerpt(id, QUOTED);
    let message = format!("the id '{id}' has lost its last digits in a spreadsheet");
    Diagnostic::error(file, row.place(), message).help(
        "export the list anew, and import it into the spreadsheet with this column as text, or not at all",
    )
}

pub(super) fn other_heading(format: &Format, row: &Row) -> Diagnostic {
    let message = "another heading begins here, with other columns than the first";
    Diagnostic::error(format.file(), row.place(), message)
        .help("put this list into a file of its own, or give both the same columns")
}

pub(super) fn left_out(file: &str, row: &Row) -> Diagnostic {
    let text = title(row);
    let message = format!(
        "'{}' is not a student, and is left out",
        excerpt(&text, QUOTED)
    );
    Diagnostic::note(file, row.place(), message)
}

/// `titles` are those taken as sections.
pub(super) fn several_lists(file: &str, line: u64, titles: &[String]) -> Diagnostic {
    let place = Place::Line { line, column: None };
    let message = match titles {
        [] => "the heading comes again; the rows below it are students too".to_owned(),
        _ => format!(
            "the heading comes again; the titles above are taken as sections: {}",
            quoted(titles.iter().map(String::as_str))
        ),
    };
    Diagnostic::note(file, place, message)
}

/// The same where a column says the sections, and titles say nothing.
pub(super) fn pages(file: &str, line: u64, titles: &[String]) -> Diagnostic {
    let mut note = several_lists(file, line, &[]);
    if !titles.is_empty() {
        let titles = quoted(titles.iter().map(String::as_str));
        note.message += &format!("; left out are the titles above: {titles}");
    }
    note
}

pub(super) fn no_id(file: &str, row: &Row, heading: &str) -> Diagnostic {
    let message = format!("expected a student's id in column '{heading}', found an empty cell");
    Diagnostic::error(file, row.place(), message)
        .help("give the student an id of any kind, or delete the row")
}

pub(super) fn doubled_id(file: &str, row: &Row, id: &str, first: u64) -> Diagnostic {
    let id = excerpt(id, QUOTED);
    let message = format!("the id '{id}' stands here and in line {first}");
    Diagnostic::error(file, row.place(), message)
        .help("each student needs one row and an id of their own")
}

pub(super) fn hidden_in_id(file: &str, row: &Row, id: &str) -> Diagnostic {
    let id = excerpt(id, QUOTED);
    let message = format!("the id '{id}' holds characters that cannot be seen or typed");
    Diagnostic::warning(file, row.place(), message)
        .help("type the id anew, or answers for it will not be found")
}

pub(super) fn no_decimal_mark(file: &str, row: &Row, cell: &str) -> Diagnostic {
    let cell = excerpt(cell, QUOTED);
    let message = format!("expected a decimal mark, found '{cell}'");
    Diagnostic::error(file, row.place(), message)
        .help("write 'point' or 'comma', '.' or \",\", or leave the cell empty")
}

pub(super) fn no_print_size(file: &str, row: &Row, cell: &str) -> Diagnostic {
    let cell = excerpt(cell, QUOTED);
    let message = format!("expected the size of large print, found '{cell}'");
    Diagnostic::error(file, row.place(), message)
        .help("write 18 or 24, for so many points, or leave the cell empty")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_that_are_none() {
        for id in ["1.23E+15", "1,2E+8", "9E+10"] {
            assert!(is_cut_short(id), "{id}");
        }
        for id in ["1E5", "12E+3", "E+1", "1.E+3", "A1.2E+3", "1.2E+", "007"] {
            assert!(!is_cut_short(id), "{id}");
        }
        assert!(is_sum("Total:") && is_sum("Anzahl") && !is_sum("Totally"));
    }
}
