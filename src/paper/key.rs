//! `key.pdf`: everyone's answers at a glance, in the order of the stack.
//!
//! In: the columns of a sheet, for each paper its answers as printed. Out: PDF bytes. Parts judged by eye
//! have no column; what is looked for in them, and in the working, stands once below the tables.
//! Refused: what [`super::draw`] refuses.

use serde::Serialize;

use super::{Fonts, PageSize, Template, draw};
use crate::diagnostic::Diagnostic;

/// The template.
pub const TEMPLATE: Template = Template {
    name: "key.typ",
    text: include_str!("templates/key.typ"),
};

/// Columns side by side in one table; a sheet that has more gets several tables.
const ACROSS: usize = 16;

/// Columns that fit a page that stands upright.
const UPRIGHT: usize = 6;

/// The key of a stack.
#[derive(Clone, Debug, Serialize)]
pub struct KeyList {
    /// The code of the sheet.
    pub code: String,
    /// The title of the document.
    pub title: String,
    /// The class.
    pub class: String,
    /// The size of the pages.
    pub page: PageSize,
    /// The columns of each problem, in the order of the paper.
    pub problems: Vec<Vec<Column>>,
    /// The papers.
    pub rows: Vec<Row>,
    /// What the teacher's eye looks for: the part, and what there is to see.
    pub by_eye: Vec<(String, Vec<String>)>,
}

/// One answer on all papers.
#[derive(Clone, Debug, Serialize)]
pub struct Column {
    /// The part's id.
    pub id: String,
    /// The unit of the answers as printed; empty for words and plain numbers.
    pub unit: String,
}

/// The answers of one paper.
#[derive(Clone, Debug, Serialize)]
pub struct Row {
    /// The paper code.
    pub code: String,
    /// The student's name, safe to draw; none where papers go by their codes.
    pub name: Option<String>,
    /// For each problem the numbers that differ from paper to paper: symbol and value.
    pub numbers: Vec<Vec<(String, String, String)>>,
    /// For each problem the answers, one for each column.
    pub answers: Vec<Vec<String>>,
}

/// The key with its tables laid out.
#[derive(Serialize)]
struct Laid<'a> {
    #[serde(flatten)]
    list: &'a KeyList,
    /// Problems that share a table, by index.
    tables: Vec<Vec<usize>>,
    flipped: bool,
}

/// Draws the key.
///
/// # Errors
/// As [`super::draw`].
pub fn key(list: &KeyList, fonts: &Fonts) -> Result<Vec<u8>, Diagnostic> {
    let tables = tables(&list.problems);
    let columns = |table: &Vec<usize>| table.iter().map(|at| list.problems[*at].len()).sum();
    let widest: usize = tables.iter().map(columns).max().unwrap_or(0);
    let laid = Laid {
        list,
        tables,
        flipped: widest > UPRIGHT,
    };
    draw(TEMPLATE, &list.code, &laid, fonts)
}

/// Puts problems side by side as long as they fit.
fn tables(problems: &[Vec<Column>]) -> Vec<Vec<usize>> {
    let mut tables: Vec<Vec<usize>> = Vec::new();
    let mut room = 0;
    for (at, columns) in problems.iter().enumerate() {
        match tables.last_mut() {
            Some(table) if columns.len() <= room => table.push(at),
            _ => {
                tables.push(vec![at]);
                room = ACROSS;
            }
        }
        room = room.saturating_sub(columns.len());
    }
    tables
}
