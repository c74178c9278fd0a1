//! The file of marks, one row a student:
//! `student,name,section,status,<part id>…,paper_cost,late,adjusted,total,out_of,feedback`.
//!
//! In go rows as they were decided, out goes CSV by the letter of RFC 4180: UTF-8 without byte order mark,
//! CRLF, quotes where needed. An empty cell is "no mark", which is not 0.
//!
//! It is a file for people as well as machines, and teachers open it in spreadsheet programs; so every
//! text in it that would start a formula gets a leading apostrophe, ids and names included (they come
//! from someone else's file). An id that is plainly a number or begins with a letter or digit, as ids do, is
//! never touched.

use rust_decimal::Decimal;

use crate::headings::{AFTER_PARTS, BEFORE_PARTS};
use crate::marking::{PartMark, Status};

use super::spreadsheet::{self, separates, starts_formula};

/// One student's row. `None` leaves the cell empty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MarksRow<'a> {
    /// The id on the roster.
    pub student: &'a str,
    /// As the roster has it.
    pub name: &'a str,
    /// Class or group; empty for none.
    pub section: &'a str,
    /// `marked`, `partly marked`, `absent`, `excused` or `needs a look`.
    pub status: &'a str,
    /// Points of each part, in the order of the heading.
    pub parts: &'a [Option<Decimal>],
    /// What is charged once for the whole paper, misread numbers and another constant, as a number
    /// that is added: 0 or below. (Units and figures are charged on parts.)
    pub paper_cost: Option<Decimal>,
    /// What lateness costs, 0 or below.
    pub late: Option<Decimal>,
    /// What the teacher added or took away.
    pub adjusted: Option<Decimal>,
    /// Parts + paper cost + late + adjusted.
    pub total: Option<Decimal>,
    /// The most that could be had.
    pub out_of: Option<Decimal>,
    /// For the student.
    pub feedback: &'a str,
}

/// The points of a part as a cell has them: none where it is still to be judged by eye, which is not 0.
pub fn points(mark: &PartMark, status: Status) -> Option<Decimal> {
    (status == Status::Marked || !mark.is_open()).then_some(mark.points)
}

/// Appends the heading for parts of these ids.
pub fn push_heading<'a>(parts: impl IntoIterator<Item = &'a str>, out: &mut Vec<u8>) {
    push_cells(heading(parts), out);
}

fn heading<'a>(parts: impl IntoIterator<Item = &'a str>) -> impl Iterator<Item = &'a str> {
    BEFORE_PARTS.into_iter().chain(parts).chain(AFTER_PARTS)
}

/// Appends one row, for as many parts as it has. Rows can be made apart from each other, on several
/// threads, and are put one after the other.
pub fn push_row(row: &MarksRow, out: &mut Vec<u8>) {
    for text in [row.student, row.name, row.section, row.status] {
        push_text(text, out);
    }
    for points in row.parts {
        push_points(*points, out);
    }
    for points in [
        row.paper_cost,
        row.late,
        row.adjusted,
        row.total,
        row.out_of,
    ] {
        push_points(points, out);
    }
    push_text(row.feedback, out);
    end_row(out);
}

/// Appends a row of texts and ends it.
pub fn push_cells<'a>(cells: impl IntoIterator<Item = &'a str>, out: &mut Vec<u8>) {
    for cell in cells {
        push_text(cell, out);
    }
    end_row(out);
}

/// Points as a cell has them.
pub(super) fn shown(points: Option<Decimal>) -> String {
    points.map_or(String::new(), |points| points.normalize().to_string())
}

/// Whether a line (break or not) is this heading.
pub fn is_line<'a>(heading: impl IntoIterator<Item = &'a str>, line: &[u8]) -> bool {
    let mut ours = Vec::new();
    push_cells(heading, &mut ours);
    without_break(line) == without_break(&ours)
}

/// A cell and the comma after it, in quotes where the text holds what would end it.
fn push_text(text: &str, out: &mut Vec<u8>) {
    // without stopping at the first, so that it runs over many bytes at a time
    let (quoted, cut) = text.bytes().fold((false, false), |(quoted, cut), byte| {
        let quoted = quoted | matches!(byte, b',' | b'"' | b'\r' | b'\n');
        (quoted, cut | separates(byte))
    });
    let disarmed;
    let text = if cut || starts_formula(text) {
        disarmed = spreadsheet::disarmed(text);
        &*disarmed
    } else {
        text
    };
    if !quoted {
        out.extend_from_slice(text.as_bytes());
        out.push(b',');
        return;
    }
    out.push(b'"');
    for (at, piece) in text.split('"').enumerate() {
        if at > 0 {
            out.extend_from_slice(b"\"\"");
        }
        out.extend_from_slice(piece.as_bytes());
    }
    out.extend_from_slice(b"\",");
}

fn push_points(points: Option<Decimal>, out: &mut Vec<u8>) {
    if let Some(points) = points {
        push_decimal(points, out);
    }
    out.push(b',');
}

/// Puts the line break where the comma after the last cell stands.
fn end_row(out: &mut Vec<u8>) {
    out.pop();
    out.extend_from_slice(b"\r\n");
}

/// Whether a file that begins with this line (break or not) holds marks for parts of exactly these
/// ids, in their order: the only one that new marks of theirs may replace.
pub fn is_heading_of<'a>(parts: impl IntoIterator<Item = &'a str>, line: &[u8]) -> bool {
    is_line(heading(parts), line)
}

fn without_break(line: &[u8]) -> &[u8] {
    let line = line.strip_suffix(b"\n").unwrap_or(line);
    line.strip_suffix(b"\r").unwrap_or(line)
}

/// Digits without trailing zeros behind the point, as `2`, `-0.5`: what `Decimal` prints of the normalized
/// value, without its detour over a `String`.
fn push_decimal(points: Decimal, out: &mut Vec<u8>) {
    let (Ok(mut digits), mut scale) = (
        u64::try_from(points.mantissa().unsigned_abs()),
        points.scale(),
    ) else {
        out.extend_from_slice(points.normalize().to_string().as_bytes());
        return;
    };
    while scale > 0 && digits % 10 == 0 {
        digits /= 10;
        scale -= 1;
    }
    if points.is_sign_negative() && digits != 0 {
        out.push(b'-');
    }
    let start = out.len();
    let mut place = 0;
    // from the last digit, at least one before the point
    while digits > 0 || place <= scale {
        if place == scale && scale > 0 {
            out.push(b'.');
        }
        out.push(b'0' + (digits % 10) as u8);
        digits /= 10;
        place += 1;
    }
    out[start..].reverse();
}

#[cfg(test)]
mod tests {
    use super::*;

    fn decimal(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    #[test]
    fn points_are_printed_plainly() {
        let cases = [
            ("0", "0"),
            ("0.00", "0"),
            ("-0", "0"),
            ("3", "3"),
            ("3.50", "3.5"),
            ("-0.5", "-0.5"),
            ("0.05", "0.05"),
            ("10", "10"),
            ("100.010", "100.01"),
            ("-12.25", "-12.25"),
            ("18446744073709551615", "18446744073709551615"),
            ("1844674407370955161.5", "1844674407370955161.5"),
            ("18446744073709551616.10", "18446744073709551616.1"),
            (
                "0.0000000000000000000000000001",
                "0.0000000000000000000000000001",
            ),
        ];
        for (text, expected) in cases {
            let mut out = Vec::new();
            push_decimal(decimal(text), &mut out);
            assert_eq!(String::from_utf8(out).unwrap(), expected, "{text}");
        }
    }

    #[test]
    fn a_file_of_marks() {
        let mut out = Vec::new();
        push_heading(["a", "turn"], &mut out);
        let ada = MarksRow {
            student: "007",
            name: "=Ada, \"B\"",
            section: "",
            status: "marked",
            parts: &[Some(decimal("2.50")), Some(decimal("0"))],
            paper_cost: Some(decimal("-0.5")),
            late: Some(decimal("0")),
            adjusted: Some(decimal("0")),
            total: Some(decimal("2")),
            out_of: Some(decimal("4")),
            feedback: "(a) right",
        };
        push_row(&ada, &mut out);
        let absent = MarksRow {
            status: "absent",
            parts: &[None, None],
            paper_cost: None,
            late: None,
            adjusted: None,
            total: None,
            feedback: "",
            ..ada
        };
        push_row(&absent, &mut out);
        let text = String::from_utf8(out).unwrap();
        let lines: Vec<_> = text.split("\r\n").collect();
        assert_eq!(
            lines[0],
            "student,name,section,status,a,turn,paper_cost,late,adjusted,total,out_of,feedback"
        );
        assert_eq!(
            lines[1],
            "007,\"'=Ada, \"\"B\"\"\",,marked,2.5,0,-0.5,0,0,2,4,(a) right"
        );
        assert_eq!(lines[2], "007,\"'=Ada, \"\"B\"\"\",,absent,,,,,,,4,");
        assert!(is_heading_of(["a", "turn"], lines[0].as_bytes()));
    }

    #[test]
    fn only_our_heading_is_ours() {
        let ours = [
            "student,name,section,status,1a,1b,paper_cost,late,adjusted,total,out_of,feedback\r\n",
            "student,name,section,status,paper_cost,late,adjusted,total,out_of,feedback",
        ];
        let others = [
            "",
            "student,a,b",
            "student,name,section,status,a,paper_cost,late,adjusted,total,out_of,feedback,mine",
            "student;name;section;status;a;paper_cost;late;adjusted;total;out_of;feedback",
            "student,name,section,status,xpaper_cost,late,adjusted,total,out_of,feedback",
        ];
        for line in others {
            assert!(!is_heading_of(["a"], line.as_bytes()), "{line}");
        }
        assert!(is_heading_of(["1a", "1b"], ours[0].as_bytes()));
        assert!(is_heading_of([], ours[1].as_bytes()));
        for parts in [&["1a"][..], &["1b", "1a"], &["1a", "1b", "1c"], &["a", "b"]] {
            let parts = parts.iter().copied();
            assert!(!is_heading_of(parts, ours[0].as_bytes()));
        }
    }
}
