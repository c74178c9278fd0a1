//! Filling one column of someone else's gradebook, without touching anything else in it.
//!
//! In go the bytes of their file, what its columns are called, and the text that each student's cell shall
//! hold; out come a [`Changes`] that lists every cell before and after, and the bytes of the new file.
//! The way: `found` finds encoding, separator, heading and columns, `plan` finds each student's cell,
//! `near` those that may be meant under another id, `splice` replaces the cells and holds the result
//! against the old file. `fault` has the words.
//!
//! Refused, with the row: quotes that join rows, a column that is missing or doubled, a row of a student
//! that has more or fewer cells than the heading, an id that stands twice, text that does not come back
//! as it was. Ids that are merely alike are listed, never taken.

mod fault;
mod found;
mod near;
mod plan;
mod splice;
#[cfg(test)]
mod tests;

use std::ops::Range;

use rustc_hash::FxHashMap;

use crate::diagnostic::Diagnostic;
use crate::table::Declared;
use crate::table::cells::{Cut, Scan};

pub use plan::plan;
pub use splice::{check, filled};

/// What is said about someone's file; what is not said is found, or asked for.
#[derive(Clone, Debug, Default)]
pub struct Wanted<'a> {
    /// The heading of the column of ids.
    pub id_column: Option<&'a str>,
    /// The headings that the column to fill may have; the first that is there counts. `#5` is the fifth.
    pub columns: &'a [&'a str],
    /// How the file is written.
    pub declared: Declared,
}

/// Someone's file, and where in it what stands.
#[derive(Clone, Debug)]
pub struct Gradebook<'a> {
    bytes: &'a [u8],
    /// Its name as the user typed it.
    file: String,
    cut: Cut,
    /// The rows below the heading.
    body: Scan<'a>,
    heading_line: u64,
    heading: Vec<String>,
    /// The column of ids.
    id: usize,
    /// The column to fill.
    column: usize,
    /// What was assumed.
    notes: Vec<Diagnostic>,
}

/// A student of ours, and what shall stand in their cell.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Entry<'a> {
    /// The id on the roster.
    pub id: &'a str,
    /// As the roster has it.
    pub name: &'a str,
    /// What shall stand there; `None` leaves the cell as it is.
    pub text: Option<&'a str>,
    /// What this program wrote there last.
    pub ours: Option<&'a str>,
}

/// By what stands in the column of ids, the id of the student who is meant.
pub type Links = FxHashMap<String, String>;

/// What stood in a cell before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Before {
    /// Nothing.
    Blank,
    /// What this program wrote there last.
    Ours,
    /// Something else or nothing, though this program wrote this there last: it was changed by hand.
    Changed(String),
    /// Something that this program knows nothing of.
    Unknown,
}

/// A cell that will hold something else.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// The line in which its row begins.
    pub line: u64,
    /// The student, by place in the list.
    pub student: usize,
    /// What stands there now, without quotes.
    pub old: String,
    /// What will stand there.
    pub new: String,
    /// Whose that was.
    pub before: Before,
    bytes: Range<usize>,
    is_quoted: bool,
}

impl Change {
    /// Whether something would be lost that this program did not write.
    pub fn overwrites(&self) -> bool {
        matches!(self.before, Before::Changed(_) | Before::Unknown)
    }
}

/// How a row that nobody was found for is like a student whom nothing was found for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Likeness {
    /// The same id without its leading zeros.
    Zeros,
    /// The same id as a number in scientific notation, which has lost digits.
    Rounded,
    /// The same id but for capitals, blanks, dashes, full width, an apostrophe or `.0`.
    Spelling,
    /// The name of the student stands in the row.
    Name,
    /// A name that differs by a letter a word.
    NearlyName,
}

/// A student and a row that may belong together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Near {
    /// The student, by place in the list.
    pub student: usize,
    /// The line of the row.
    pub line: u64,
    /// What stands in the column of ids.
    pub cell: String,
    /// Why they may.
    pub likeness: Likeness,
    /// Whether neither of them is like anybody else, and no other name stands in the row.
    pub is_only: bool,
    /// Whether the row holds words, and the student's name is not among them.
    pub is_other_name: bool,
}

/// What filling would do.
#[derive(Clone, Debug, Default)]
pub struct Changes {
    /// The cells that will change, in the order of the file.
    pub changes: Vec<Change>,
    /// How many cells hold what they shall already.
    pub same: usize,
    /// Cells that hold what this program wrote and no longer stands, with their lines: there is nothing to
    /// write there now.
    pub stale: Vec<(u64, usize)>,
    /// Students without a row.
    pub without: Vec<usize>,
    /// Rows of nobody on the roster: line and id, the first [`plan::NAMED`] of them.
    pub strangers: Vec<(u64, String)>,
    /// How many there are in all.
    pub strange: usize,
    /// Who may be meant by them.
    pub near: Vec<Near>,
    /// Students who were found through a link.
    pub linked: usize,
    /// Of the columns beside ours the first that has a number with a decimal point, and with a decimal comma, in
    /// the first rows of students.
    pub decimals: [Option<usize>; 2],
    /// What was assumed on the way.
    pub notes: Vec<Diagnostic>,
}

impl Gradebook<'_> {
    /// The file's name as the user typed it.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// The heading of the column to fill; where it has none, its number as `#5`.
    pub fn column_name(&self) -> String {
        self.name_of(self.column)
    }

    /// The heading of a column, or its number.
    pub fn name_of(&self, column: usize) -> String {
        match self.heading.get(column).map(String::as_str) {
            None | Some("") => format!("#{}", column + 1),
            Some(name) => name.to_owned(),
        }
    }

    /// What was assumed about the file.
    pub fn notes(&self) -> &[Diagnostic] {
        &self.notes
    }
}
