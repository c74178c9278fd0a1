//! What a spreadsheet program makes of the file of marks.
//!
//! `tests/data/spreadsheet/marks.csv` is what we write for the rows below; LibreOffice 7.4.7.2 opened it, and
//! `tests/scripts/spreadsheet.py` wrote down in `cells.csv` what it held then. The program itself is not
//! needed here. Where nobody says that ids are text, LibreOffice turns 004071 into 4071, as every spreadsheet
//! program does with a CSV file; that, too, is in the file, and what the README says of it rests on it.

use std::fs;
use std::path::{Path, PathBuf};

use paperweight::gradebook::marks::{MarksRow, push_heading, push_row};
use rust_decimal::Decimal;

/// Id, name, total, feedback.
const ROWS: [(&str, &str, &str, &str); 9] = [
    ("004071", "=1+1", "-3.27", "All parts right."),
    ("000095", "@SUM(A1:A9)", "12.5", "=HYPERLINK(\"x\")"),
    ("1E5", "+44 7700", "0", "-2+3"),
    ("1234567890123456789", "-2+3", "100", "Right: (a), (b)."),
    ("3/4", " =1+1", "0.05", "a line\nand another"),
    (
        "2026-11-25",
        "Zoë \"Z\" D’Ambrisi, Jr.",
        "7.25",
        "−3.27 is the key",
    ),
    ("TRUE", "欧阳晓岚", "13", "＝1+1"),
    ("0x1F", "\u{202e}Li Wei", "1", ""),
    ("12%", "Ada", "2.5", "'quoted"),
];

const NAME: usize = 2;
const TOTAL: usize = 9;
const FEEDBACK: usize = 11;

fn data(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data/spreadsheet")
        .join(name)
}

fn marks() -> Vec<u8> {
    let mut out = Vec::new();
    push_heading(["a"], &mut out);
    for (student, name, total, feedback) in ROWS {
        let total: Decimal = total.parse().unwrap();
        let row = MarksRow {
            student,
            name,
            section: "",
            status: "marked",
            parts: &[Some(total)],
            paper_cost: Some(Decimal::new(-5, 1)),
            late: None,
            adjusted: Some(Decimal::ZERO),
            total: Some(total),
            out_of: Some(Decimal::from(13)),
            feedback,
        };
        push_row(&row, &mut out);
    }
    out
}

#[test]
fn a_spreadsheet_program_takes_ids_for_text_marks_for_numbers_and_runs_nothing() {
    let marks = marks();
    if std::env::var_os("INSTA_UPDATE").is_some_and(|update| update == "always") {
        fs::write(data("marks.csv"), &marks).unwrap();
    }
    assert_eq!(
        fs::read(data("marks.csv")).unwrap(),
        marks,
        "run tests/scripts/spreadsheet.py again"
    );
    let mut reader = csv::Reader::from_path(data("cells.csv")).unwrap();
    let (mut checked, mut lost) = (0, 0);
    for cell in reader.records() {
        let cell = cell.unwrap();
        let (row, column): (usize, usize) = (cell[1].parse().unwrap(), cell[2].parse().unwrap());
        assert_eq!(&cell[5], "", "row {row}, column {column} is a formula");
        let Some((id, name, total, feedback)) = row.checked_sub(2).map(|at| ROWS[at]) else {
            continue;
        };
        if &cell[0] == "as it comes" {
            lost += usize::from(&cell[4] != id);
            continue;
        }
        let is_text = |text: &str| {
            assert_eq!(&cell[3], "string", "row {row}, column {column}");
            let found = cell[4].strip_prefix('\'').unwrap_or(&cell[4]);
            let text = text.strip_prefix('\'').unwrap_or(text);
            assert_eq!(
                found.trim_start(),
                text.trim_start(),
                "row {row}, column {column}"
            );
        };
        match column {
            1 => is_text(id),
            NAME => is_text(name),
            FEEDBACK => is_text(feedback),
            TOTAL => {
                assert_eq!(&cell[3], "float", "row {row}");
                assert_eq!(cell[4].parse::<Decimal>().unwrap(), total.parse().unwrap());
            }
            _ => continue,
        }
        checked += 1;
    }
    // one student is told nothing
    assert_eq!(checked, ROWS.len() * 4 - 1);
    assert!(lost > 0, "what the README warns of");
}
