//! The table of practice: `student,name,section,set,code,parts,mistakes,<givens…>`.
//!
//! In: who practises what, with which numbers. Out: CSV with a row a student, or a line of JSON each. It is
//! for the teacher: it says of students what they did.

use std::borrow::Cow;

use serde::Serialize;
use serde_json::{Map, Value};

use super::issued::{Numbers, Paper, begins_with, codes_are_of, table};
use crate::assignment::Sheet;
use crate::text;
use crate::variant::PRACTICE;

const HEADINGS: [&str; 7] = [
    "student", "name", "section", "set", "code", "parts", "mistakes",
];

/// What one student practises.
#[derive(Clone, Debug)]
pub struct Practised<'a> {
    /// The student, the code and the numbers.
    pub paper: Paper<'a>,
    /// The ids of the parts.
    pub parts: Vec<&'a str>,
    /// What was done.
    pub mistakes: Vec<Cow<'a, str>>,
}

/// The whole table as CSV.
pub fn csv(sheet: &Sheet, all: &[Practised<'_>]) -> Vec<u8> {
    let rows = all.iter().map(|practised| {
        let (parts, mistakes) = (practised.parts.join(" "), practised.mistakes.join("; "));
        let paper = &practised.paper;
        let set = set(paper).to_string();
        let who = [paper.student, paper.name, paper.section, &set, paper.code];
        let mut cells = who.map(str::to_owned).to_vec();
        cells.extend([parts, mistakes]);
        (paper, cells)
    });
    table(sheet, &HEADINGS, rows)
}

#[derive(Serialize)]
struct Line<'a> {
    student: &'a str,
    name: &'a str,
    section: &'a str,
    set: u32,
    code: &'a str,
    parts: &'a [&'a str],
    mistakes: &'a [Cow<'a, str>],
    givens: Map<String, Value>,
}

/// One JSON object a student and line.
pub fn json(sheet: &Sheet, all: &[Practised<'_>]) -> Vec<u8> {
    let numbers = Numbers::of(sheet);
    let mut out = Vec::new();
    for practised in all {
        let paper = &practised.paper;
        let line = Line {
            student: paper.student,
            name: paper.name,
            section: paper.section,
            set: set(paper),
            code: paper.code,
            parts: &practised.parts,
            mistakes: &practised.mistakes,
            givens: numbers.json(paper),
        };
        text::push_json(&line, &mut out);
    }
    out
}

/// Whether a whole file is the table of practice of this sheet and this class.
pub fn is_of(file: &[u8], sheet: &str, class: &str) -> bool {
    begins_with(file, &HEADINGS) && codes_are_of(file, PRACTICE, sheet, class)
}

/// The set that a paper belongs to.
fn set(paper: &Paper<'_>) -> u32 {
    paper.issue.saturating_sub(PRACTICE)
}
