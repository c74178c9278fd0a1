//! The table of issued papers: `student,name,section,issue,code,<givens…>`.
//!
//! In: papers as issued. Out: CSV with a row a paper, or a line of JSON each. The givens of a sheet of
//! several problems have the problem's number before them. A given that a paper has not, since the file
//! has changed, is an empty cell.

use serde::Serialize;
use serde_json::{Map, Value};

use super::spreadsheet::{DISARMED, starts_formula};
use crate::assignment::Sheet;
use crate::text;

const HEADINGS: [&str; 5] = ["student", "name", "section", "issue", "code"];

/// One issued paper.
#[derive(Clone, Debug)]
pub struct Paper<'a> {
    /// The id on the roster.
    pub student: &'a str,
    /// As the roster has it.
    pub name: &'a str,
    /// As on the roster when it was issued; empty for none.
    pub section: &'a str,
    /// Which paper of the sheet it is for the student, from 1.
    pub issue: u32,
    /// The paper code.
    pub code: &'a str,
    /// For each problem the givens, with their values.
    pub values: Vec<Vec<(&'a str, &'a str)>>,
}

/// The givens by their headings, each with its problem and its own name.
pub(super) fn givens(sheet: &Sheet) -> Vec<(String, usize, &str)> {
    let givens = sheet.given_ids().map(|(heading, problem, given)| {
        let given = &sheet.problems[problem].givens[given];
        (heading, problem, given.name.as_str())
    });
    givens.collect()
}

pub(super) fn value<'a>(paper: &Paper<'a>, problem: usize, name: &str) -> Option<&'a str> {
    let drawn = paper.values.get(problem)?.iter();
    drawn
        .clone()
        .find(|(drawn, _)| *drawn == name)
        .map(|(_, value)| *value)
}

/// The whole table as CSV.
pub fn csv(sheet: &Sheet, papers: &[Paper<'_>]) -> Vec<u8> {
    let givens = givens(sheet);
    let mut out = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    let headings = givens.iter().map(|(heading, ..)| heading.as_str());
    // Into memory nothing can fail to be written.
    let _ = out.write_record(HEADINGS.into_iter().chain(headings));
    for paper in papers {
        let number = paper.issue.to_string();
        let cells = [
            paper.student,
            paper.name,
            paper.section,
            &number,
            paper.code,
        ];
        let values = givens
            .iter()
            .map(|(_, problem, name)| value(paper, *problem, name).unwrap_or(""));
        let _ = out.write_record(cells.into_iter().chain(values).map(disarmed));
    }
    out.into_inner().unwrap_or_default()
}

pub(super) fn disarmed(cell: &str) -> String {
    if starts_formula(cell) {
        format!("{}{cell}", char::from(DISARMED))
    } else {
        cell.to_owned()
    }
}

#[derive(Serialize)]
struct Line<'a> {
    student: &'a str,
    name: &'a str,
    section: &'a str,
    issue: u32,
    code: &'a str,
    givens: Map<String, Value>,
}

/// One JSON object a paper and line.
pub fn json(sheet: &Sheet, papers: &[Paper<'_>]) -> Vec<u8> {
    let givens = givens(sheet);
    let mut out = Vec::new();
    for paper in papers {
        let drawn = givens.iter().filter_map(|(heading, problem, name)| {
            Some((heading.clone(), value(paper, *problem, name)?.into()))
        });
        let line = Line {
            student: paper.student,
            name: paper.name,
            section: paper.section,
            issue: paper.issue,
            code: paper.code,
            givens: drawn.collect(),
        };
        text::push_json(&line, &mut out);
    }
    out
}

/// Whether a file that begins with this line is a table of issued papers.
pub fn is_heading(line: &[u8]) -> bool {
    begins_with(line, &HEADINGS)
}

/// Whether a line has these headings first.
pub(super) fn begins_with(line: &[u8], headings: &[&str]) -> bool {
    let start = headings.join(",");
    line.strip_prefix(start.as_bytes()).is_some_and(|rest| {
        rest.first()
            .is_none_or(|next| matches!(next, b',' | b'\r' | b'\n'))
    })
}

#[cfg(test)]
mod tests {
    use super::is_heading;

    #[test]
    fn only_our_table_is_ours() {
        for ours in [
            "student,name,section,issue,code,mA\r\n",
            "student,name,section,issue,code",
        ] {
            assert!(is_heading(ours.as_bytes()), "{ours}");
        }
        for other in [
            "",
            "student,name,section,issue,codes",
            "student,name,section,status,a",
        ] {
            assert!(!is_heading(other.as_bytes()), "{other}");
        }
    }
}
