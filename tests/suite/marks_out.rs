//! The file of marks as others read it: by RFC 4180, written down here a second time, and by a spreadsheet
//! program's rule of what a formula is.

use paperweight::gradebook::marks::{MarksRow, is_heading_of, push_heading, push_row};
use paperweight::gradebook::spreadsheet::{armed, disarmed};
use proptest::prelude::*;
use rust_decimal::Decimal;

/// A reader by the grammar of RFC 4180, section 2: CRLF ends a record, quotes are doubled within quotes,
/// and anything else is an error.
fn rfc_4180(text: &str) -> Vec<Vec<String>> {
    let mut records = Vec::new();
    let mut rest = text;
    while !rest.is_empty() {
        let mut record = Vec::new();
        loop {
            let mut cell = String::new();
            if let Some(quoted) = rest.strip_prefix('"') {
                rest = quoted;
                loop {
                    let (before, after) = rest.split_once('"').expect("a quote is never closed");
                    cell += before;
                    match after.strip_prefix('"') {
                        Some(after) => (cell.push('"'), rest = after),
                        None => break rest = after,
                    };
                }
            } else {
                let end = rest
                    .find([',', '\r', '\n', '"'])
                    .expect("no line break at the end");
                cell += &rest[..end];
                rest = &rest[end..];
            }
            record.push(cell);
            if let Some(after) = rest.strip_prefix("\r\n") {
                rest = after;
                break records.push(record);
            }
            rest = rest
                .strip_prefix(',')
                .expect("a comma or CRLF after a cell");
        }
    }
    records
}

/// What a spreadsheet program would run, and not merely read as a negative number.
fn runs(cell: &str) -> bool {
    let bare = cell.strip_prefix('-').unwrap_or(cell);
    let is_number = bare.split('.').count() <= 2
        && bare
            .split('.')
            .all(|d| !d.is_empty() && d.bytes().all(|b| b.is_ascii_digit()));
    cell.trim_start()
        .starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠'])
        && !is_number
        || cell.starts_with(['\t', '\r', '\n'])
}

fn texts() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<String>(),
        "[=+@＝＋－ \t\r\n,;\"'a1.-]{0,8}",
        "[ \u{200b}\u{feff}\u{a0}]{0,2}[=+@-][0-9.,]{0,4}",
        "-?[0-9]{1,4}(\\.[0-9]{1,2})?",
    ]
}

proptest! {
    #[test]
    fn text_comes_back_and_nothing_runs(
        rows in prop::collection::vec((texts(), texts(), texts(), texts(), texts()), 1..5),
        points in prop::collection::vec(prop::option::of((-9999i64..9999, 0u32..3)), 2),
    ) {
        let points: Vec<_> = points.into_iter().map(|p| p.map(|(digits, scale)| Decimal::new(digits, scale))).collect();
        let mut out = Vec::new();
        push_heading(["a", "b"], &mut out);
        for (student, name, section, status, feedback) in &rows {
            let row = MarksRow {
                student, name, section, status, feedback,
                parts: &points,
                paper_cost: points[0],
                late: None,
                adjusted: points[1],
                total: points[1],
                out_of: points[0],
            };
            push_row(&row, &mut out);
        }
        let text = String::from_utf8(out).unwrap();
        prop_assert!(is_heading_of(["a", "b"], text.split_inclusive('\n').next().unwrap().as_bytes()));
        let records = rfc_4180(&text);
        prop_assert_eq!(records.len(), rows.len() + 1);
        for (record, (student, name, section, status, feedback)) in records[1..].iter().zip(&rows) {
            prop_assert_eq!(record.len(), records[0].len());
            for cell in record {
                prop_assert!(!runs(cell), "{cell:?} runs");
                // To a program with another separator these are cells, and quotes before them fall to the cut.
                for piece in pieces(cell).skip(1) {
                    prop_assert!(!harms(piece), "{piece:?} of {cell:?} runs");
                }
            }
            for (cell, text) in [0, 1, 2, 3, 11].map(|column| &record[column]).into_iter().zip([student, name, section, status, feedback]) {
                let hides = |piece: &str| harms(piece.trim_start_matches(|c: char| {
                    c.is_whitespace() || c == '"' || paperweight::text::is_hidden(c)
                }));
                let changes = runs_or_hides(text) || pieces(text).skip(1).any(hides);
                if !text.contains('\'') {
                    let disarmed = disarmed(text);
                    prop_assert_eq!(&armed(&disarmed), text);
                }
                prop_assert!(cell == text || changes && differs_by_marks(cell, text), "{cell:?} for {text:?}");
            }
            for (cell, points) in record[4..11].iter().zip([points[0], points[1], points[0], None, points[1], points[1], points[0]]) {
                prop_assert_eq!(cell, &points.map_or(String::new(), |points| points.normalize().to_string()));
            }
        }
    }
}

/// What stands between possible separators.
fn pieces(cell: &str) -> impl Iterator<Item = &str> {
    cell.split_inclusive([';', '|', '\t', '\r', '\n'])
}

/// What would run, or reach out of the sheet, if it were a cell: a formula, or a call or link behind a sign.
fn harms(piece: &str) -> bool {
    let bare = piece.trim_start_matches(['"', ' ', '\t', '\r', '\n']);
    let reaches = bare.contains(['(', '!']) || bare.ends_with('|');
    bare.starts_with(['=', '@', '＝', '＠']) || bare.starts_with(['+', '-', '＋', '－']) && reaches
}

/// Whether a cell is the text with apostrophes put in, and nothing else.
fn differs_by_marks(cell: &str, text: &str) -> bool {
    let mut rest = text.chars().peekable();
    for found in cell.chars() {
        if rest.next_if_eq(&found).is_none() && found != '\'' {
            return false;
        }
    }
    rest.next().is_none()
}

/// Text that may be changed at all: it runs, or might once characters that cannot be seen are dropped.
fn runs_or_hides(text: &str) -> bool {
    let visible =
        text.trim_start_matches(|c: char| c.is_whitespace() || paperweight::text::is_hidden(c));
    runs(text)
        || visible != text && visible.starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠'])
}

#[test]
fn numbers_stay_numbers() {
    let mut out = Vec::new();
    push_heading(["a"], &mut out);
    let row = MarksRow {
        student: "-7",
        name: "-3.27",
        section: "0042",
        status: "-3,27",
        parts: &[Some(Decimal::new(-327, 2))],
        paper_cost: None,
        late: None,
        adjusted: None,
        total: None,
        out_of: None,
        feedback: "−3.27",
    };
    push_row(&row, &mut out);
    let text = String::from_utf8(out).unwrap();
    assert_eq!(
        rfc_4180(&text)[1],
        [
            "-7", "-3.27", "0042", "'-3,27", "-3.27", "", "", "", "", "", "−3.27"
        ]
    );
}
