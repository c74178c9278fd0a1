//! Feedback for a mail merge, one row a student: `student,name,section,status,total,out_of,feedback`.
//!
//! In go rows as they were decided, out goes CSV as in [`super::marks`], text that a spreadsheet program
//! might run disarmed. A row is about one student alone. Who has no paper has a row without feedback, so that
//! a letter can say that; so has, unless it is asked for, a paper that is not settled.

use super::marks::{self, MarksRow, push_cells};

/// The heading.
pub const HEADING: [&str; 7] = [
    "student", "name", "section", "status", "total", "out_of", "feedback",
];

/// Appends the heading.
pub fn push_heading(out: &mut Vec<u8>) {
    push_cells(HEADING, out);
}

/// Appends one row.
pub fn push_row(row: &MarksRow<'_>, out: &mut Vec<u8>) {
    let [total, out_of] = [row.total, row.out_of].map(marks::shown);
    push_cells(
        [
            row.student,
            row.name,
            row.section,
            row.status,
            &total,
            &out_of,
            row.feedback,
        ],
        out,
    );
}

/// Whether a file that begins with this line is one of these.
pub fn is_heading(line: &[u8]) -> bool {
    marks::is_line(HEADING, line)
}
