//! The table of practice: `student,name,section,practice,parts,mistakes,<givens…>`.
//!
//! In: who practises what, with which numbers. Out: CSV with a row a student, or a line of JSON each. It is
//! for the teacher: it says of students what they did.

use serde::Serialize;
use serde_json::{Map, Value};

use super::issued::{Paper, disarmed, givens, value};
use crate::assignment::Sheet;
use crate::text;

const HEADINGS: [&str; 6] = [
    "student", "name", "section", "practice", "parts", "mistakes",
];

/// What one student practises.
#[derive(Clone, Debug)]
pub struct Practised<'a> {
    /// The student and the numbers.
    pub paper: Paper<'a>,
    /// What stands on it in the place of a code.
    pub label: String,
    /// The ids of the parts.
    pub parts: Vec<&'a str>,
    /// What was done.
    pub mistakes: Vec<&'a str>,
}

/// The whole table as CSV.
pub fn csv(sheet: &Sheet, all: &[Practised<'_>]) -> Vec<u8> {
    let givens = givens(sheet);
    let mut out = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    let headings = givens.iter().map(|(heading, ..)| heading.as_str());
    // Into memory nothing can fail to be written.
    let _ = out.write_record(HEADINGS.into_iter().chain(headings));
    for practised in all {
        let (parts, mistakes) = (practised.parts.join(" "), practised.mistakes.join("; "));
        let paper = &practised.paper;
        let cells = [
            paper.student,
            paper.name,
            paper.section,
            &practised.label,
            &parts,
            &mistakes,
        ];
        let values = givens
            .iter()
            .map(|(_, problem, name)| value(paper, *problem, name).unwrap_or(""));
        let _ = out.write_record(cells.into_iter().chain(values).map(disarmed));
    }
    out.into_inner().unwrap_or_default()
}

#[derive(Serialize)]
struct Line<'a> {
    student: &'a str,
    name: &'a str,
    section: &'a str,
    practice: &'a str,
    parts: &'a [&'a str],
    mistakes: &'a [&'a str],
    givens: Map<String, Value>,
}

/// One JSON object a student and line.
pub fn json(sheet: &Sheet, all: &[Practised<'_>]) -> Vec<u8> {
    let givens = givens(sheet);
    let mut out = Vec::new();
    for practised in all {
        let paper = &practised.paper;
        let drawn = givens.iter().filter_map(|(heading, problem, name)| {
            Some((heading.clone(), value(paper, *problem, name)?.into()))
        });
        let line = Line {
            student: paper.student,
            name: paper.name,
            section: paper.section,
            practice: &practised.label,
            parts: &practised.parts,
            mistakes: &practised.mistakes,
            givens: drawn.collect(),
        };
        text::push_json(&line, &mut out);
    }
    out
}

/// Whether a file that begins with this line is a table of practice.
pub fn is_heading(line: &[u8]) -> bool {
    super::issued::begins_with(line, &HEADINGS)
}
