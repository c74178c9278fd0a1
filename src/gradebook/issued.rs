//! The table of issued papers: `student,name,section,issue,code,<givens…>`.
//!
//! In: papers as issued. Out: CSV with a row a paper, or a line of JSON each. The givens of a sheet of
//! several problems have the problem's number before them. A given that a paper has not, since the file
//! has changed, is an empty cell. A file that is there can be asked whether it is such a table, and whose.

use serde::Serialize;
use serde_json::{Map, Value};

use super::marks::push_cells;
use super::spreadsheet::armed;
use crate::assignment::Sheet;
use crate::text;
use crate::variant::PaperCode;

/// Tries of a paper code that are looked at: of the first 32 all but some have a code, and one that another paper
/// has already is rare.
const TRIES: u32 = 32;

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

/// The numbers of papers by the headings of their givens.
pub(super) struct Numbers<'s>(Vec<(String, usize, &'s str)>);

impl<'s> Numbers<'s> {
    /// The givens of a sheet, each with its problem and its own name.
    pub(super) fn of(sheet: &'s Sheet) -> Self {
        let givens = sheet.given_ids().map(|(heading, problem, given)| {
            let given = &sheet.problems[problem].givens[given];
            (heading, problem, given.name.as_str())
        });
        Self(givens.collect())
    }

    /// Those of a paper, under their headings; nothing for a given that it has not.
    fn on<'a>(&self, paper: &'a Paper<'_>) -> impl Iterator<Item = (&str, Option<&'a str>)> {
        self.0.iter().map(|(heading, problem, name)| {
            let drawn = paper.values.get(*problem).into_iter().flatten();
            let mut drawn = drawn.filter(|(drawn, _)| drawn == name);
            (heading.as_str(), drawn.next().map(|(_, value)| *value))
        })
    }

    /// The same for JSON.
    pub(super) fn json(&self, paper: &Paper<'_>) -> Map<String, Value> {
        let drawn = self.on(paper);
        let drawn = drawn.filter_map(|(heading, value)| Some((heading.to_owned(), value?.into())));
        drawn.collect()
    }
}

/// A table as CSV: the headings, and for each paper its cells under them, before its numbers.
pub(super) fn table<'p>(
    sheet: &Sheet,
    headings: &[&str],
    rows: impl Iterator<Item = (&'p Paper<'p>, Vec<String>)>,
) -> Vec<u8> {
    let numbers = Numbers::of(sheet);
    let mut out = Vec::new();
    let givens = numbers.0.iter().map(|(heading, ..)| heading.as_str());
    push_cells(headings.iter().copied().chain(givens), &mut out);
    for (paper, cells) in rows {
        let values = numbers.on(paper).map(|(_, value)| value.unwrap_or(""));
        let cells = cells.iter().map(String::as_str);
        push_cells(cells.chain(values), &mut out);
    }
    out
}

/// The whole table as CSV.
pub fn csv(sheet: &Sheet, papers: &[Paper<'_>]) -> Vec<u8> {
    let rows = papers.iter().map(|paper| {
        let number = paper.issue.to_string();
        let cells = [
            paper.student,
            paper.name,
            paper.section,
            &number,
            paper.code,
        ];
        (paper, cells.map(str::to_owned).to_vec())
    });
    table(sheet, &HEADINGS, rows)
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
    let numbers = Numbers::of(sheet);
    let mut out = Vec::new();
    for paper in papers {
        let line = Line {
            student: paper.student,
            name: paper.name,
            section: paper.section,
            issue: paper.issue,
            code: paper.code,
            givens: numbers.json(paper),
        };
        text::push_json(&line, &mut out);
    }
    out
}

/// Whether a whole file is the table of papers of this sheet and this class. Paper codes tell: each is reckoned
/// from sheet, class, student and number, so that no column has to say it.
pub fn is_of(file: &[u8], sheet: &str, class: &str) -> bool {
    is_heading(file) && codes_are_of(file, 0, sheet, class)
}

/// Whether the codes of a table with the columns of this one in front are of this sheet and this class;
/// numbers in it are counted from `first`.
pub(super) fn codes_are_of(file: &[u8], first: u32, sheet: &str, class: &str) -> bool {
    let mut rows = csv::ReaderBuilder::new().flexible(true).from_reader(file);
    let mut rows = rows.records();
    rows.all(|row| {
        let Ok(row) = row else { return false };
        let [student, number, code] = [0, 3, 4].map(|at| row.get(at).unwrap_or_default());
        let number = number.parse().ok();
        let Some(number) = number.and_then(|at| first.checked_add(at)) else {
            return false;
        };
        [student, &armed(student)].into_iter().any(|id| {
            let codes = (0..TRIES).filter_map(|at| PaperCode::of(sheet, class, id, number, at));
            codes.into_iter().any(|known| known.as_str() == code)
        })
    })
}

/// Whether a file that begins with this line is a table of issued papers.
fn is_heading(line: &[u8]) -> bool {
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
    use super::{is_heading, is_of};
    use crate::variant::PaperCode;

    #[test]
    fn a_table_is_known_by_its_codes() {
        let code = |class, student| {
            let mut codes = (0..9).filter_map(|at| PaperCode::of("ropes-1", class, student, 1, at));
            codes.next().unwrap()
        };
        let table = format!(
            "student,name,section,issue,code,mA\r\n1,\"A, B\",,1,{},6 kg\r\n'=2,,,1,{},5 kg\r\n",
            code("set-3", "1"),
            code("set-3", "=2"),
        );
        assert!(is_of(table.as_bytes(), "ropes-1", "set-3"));
        assert!(!is_of(table.as_bytes(), "ropes-1", "set-4"));
        assert!(!is_of(table.as_bytes(), "ropes-2", "set-3"));
        let mixed = format!("{table}1,,,1,{},6 kg\r\n", code("set-4", "1"));
        assert!(!is_of(mixed.as_bytes(), "ropes-1", "set-3"));
        let empty = b"student,name,section,issue,code,mA\r\n";
        assert!(is_of(empty, "ropes-1", "set-3"));
    }

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
