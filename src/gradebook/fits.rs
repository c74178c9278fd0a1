//! Papers whose wrong answers are another student's numbers, for the teacher alone: one row a paper fitted,
//! `student,name,fits,fits_name,parts,whole,by_luck`.
//!
//! In go papers as they were compared, out goes CSV as in [`super::marks`]. It is a file of its own, written on
//! request only: no other that this program writes names one student beside another. `by_luck` is how many
//! papers of the class would fit so well by luck, on average.

use crate::quantity::round_to_figures;

use super::marks::{self, push_cells};

/// The heading.
pub const HEADING: [&str; 7] = [
    "student",
    "name",
    "fits",
    "fits_name",
    "parts",
    "whole",
    "by_luck",
];

/// One paper that fits another.
#[derive(Clone, Copy, Debug)]
pub struct FitRow<'a> {
    /// The student's id and name.
    pub student: (&'a str, &'a str),
    /// Those of the student whose numbers they are.
    pub other: (&'a str, &'a str),
    /// Ids of the parts whose answers are, between spaces.
    pub parts: &'a str,
    /// Whether every number on the paper is.
    pub is_whole: bool,
    /// How many papers would by luck.
    pub chance: f64,
}

/// Appends the heading.
pub fn push_heading(out: &mut Vec<u8>) {
    push_cells(HEADING, out);
}

/// Appends one row.
pub fn push_row(row: &FitRow<'_>, out: &mut Vec<u8>) {
    let chance = round_to_figures(row.chance, 2);
    push_cells(
        [
            row.student.0,
            row.student.1,
            row.other.0,
            row.other.1,
            row.parts,
            if row.is_whole { "yes" } else { "no" },
            &chance,
        ],
        out,
    );
}

/// Whether a file that begins with this line is one of these.
pub fn is_heading(line: &[u8]) -> bool {
    marks::is_line(HEADING, line)
}
