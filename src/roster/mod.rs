//! The students of a class, in the order of the teacher's file.
//!
//! In goes a CSV file with a heading (see [`crate::table`]); out comes a [`Roster`]. Ids are text, always:
//! they are trimmed and else left alone, and `007` is not `7`. Only the columns that are needed are read. A
//! file may hold several lists one below the other, see `rows`; their titles are sections where no column
//! says them.
//!
//! Refused, all at once: no column that holds ids, two that could, empty and doubled ids, ids that a
//! spreadsheet has cut short, sums, a decimal mark or a print size that is none, a file without students.

mod build;
mod columns;
mod compare;
mod fault;
mod headings;
mod index;
pub mod oneroster;
mod rows;
mod sourced;

use crate::text::{self, DecimalMark};
pub use columns::RosterColumns;
pub use compare::Changes;
pub use headings::{is_id_heading, is_roster_heading};
use index::Index;
pub use sourced::{SOURCED_HEADINGS, Sourced};

/// What a student goes by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Student<'a> {
    /// Unlike any other on the roster, never empty.
    pub id: &'a str,
    /// As the file has it; may be empty.
    pub name: &'a str,
    /// Class or group.
    pub section: Option<&'a str>,
    /// How this student writes decimals, where the roster says so.
    pub decimal: Option<DecimalMark>,
    /// How large this student's papers are printed, where the roster says so.
    pub print: Option<PrintSize>,
}

/// The letters of papers in large print.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PrintSize {
    /// 18 points.
    Large,
    /// 24 points.
    VeryLarge,
}

impl PrintSize {
    /// The size of the letters in points.
    pub fn points(self) -> u8 {
        match self {
            Self::Large => 18,
            Self::VeryLarge => 24,
        }
    }
}

/// The students in file order.
///
/// A student takes 16 bytes, the bytes of id and name, and 8 to 16 bytes to be found by id.
#[derive(Clone, Debug, Default)]
pub struct Roster {
    /// Ids and names, one after the other.
    text: String,
    entries: Vec<Entry>,
    sections: Vec<Box<str>>,
    index: Index,
    /// Of a roster that came from a OneRoster file.
    sourced: Option<Box<Sourced>>,
    understood: Understood,
}

/// What was made of the columns of a roster.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Understood {
    /// The headings, trimmed; empty where a column has none.
    pub heading: Vec<String>,
    /// The line of the heading, counted from 1.
    pub heading_line: u64,
    /// The name of the encoding.
    pub encoding: &'static str,
    /// What separates the cells.
    pub delimiter: u8,
    /// What was taken, in words, and from which column. A name may come from two.
    pub taken: Vec<(&'static str, usize)>,
    /// Columns with a heading that were left aside.
    pub unused: Vec<usize>,
    /// How many lists stand in the file, each below a heading.
    pub lists: usize,
    /// Whether they are without doubt those of a file of answers, in which students may be missing.
    pub seem_answers: bool,
}

#[derive(Clone, Copy, Debug, Default)]
struct Entry {
    /// Where in `text` the id begins; the name ends where the next id begins.
    id: u32,
    name: u32,
    /// One more than its number, 0 for none.
    section: u32,
    decimal: Option<DecimalMark>,
    print: Option<PrintSize>,
}

impl Roster {
    /// How many students there are.
    pub fn len(&self) -> usize {
        self.entries.len()
    }

    /// Whether there are none; never true of a roster that was read.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// The student at a place in the file's order, if there are so many.
    pub fn get(&self, student: usize) -> Option<Student<'_>> {
        let entry = self.entries.get(student)?;
        let end = self
            .entries
            .get(student + 1)
            .map_or(self.text.len(), |next| next.id as usize);
        let section = (entry.section as usize).checked_sub(1);
        Some(Student {
            id: &self.text[entry.id as usize..entry.name as usize],
            name: &self.text[entry.name as usize..end],
            section: section.map(|number| &*self.sections[number]),
            decimal: entry.decimal,
            print: entry.print,
        })
    }

    /// The id of the student at a place; empty beyond the last.
    pub fn id(&self, student: usize) -> &str {
        id_in(&self.text, &self.entries, student)
    }

    /// All students in the file's order.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = Student<'_>> + Clone {
        (0..self.len()).map(|student| self.get(student).unwrap_or_default())
    }

    /// The place of the student with exactly this id.
    pub fn find(&self, id: &str) -> Option<usize> {
        self.index.find(id, |student| self.id(student))
    }

    /// The places of all whose names have these words, whatever their order, capitals and accents.
    pub fn named(&self, typed: &str) -> Vec<usize> {
        let typed = text::folded(typed);
        let typed: Vec<&str> = text::words(&typed).collect();
        let has = |name: &str| {
            let name = text::folded(name);
            typed
                .iter()
                .all(|word| text::words(&name).any(|own| own == *word))
        };
        let called = (0..self.len()).filter(|at| self.get(*at).is_some_and(|of| has(of.name)));
        if typed.is_empty() {
            Vec::new()
        } else {
            called.collect()
        }
    }

    /// The sections, each once, in the order of their first student.
    pub fn sections(&self) -> impl ExactSizeIterator<Item = &str> {
        self.sections.iter().map(|section| &**section)
    }

    /// What was made of its columns.
    pub fn understood(&self) -> &Understood {
        &self.understood
    }

    /// The ids that its OneRoster columns hold, if it has them.
    pub fn sourced(&self) -> Option<&Sourced> {
        self.sourced.as_deref()
    }

    /// Bytes of memory held.
    pub fn bytes(&self) -> usize {
        self.text.capacity()
            + self.entries.capacity() * size_of::<Entry>()
            + self
                .sections
                .iter()
                .map(|section| section.len() + size_of::<Box<str>>())
                .sum::<usize>()
            + self.index.bytes()
    }
}

fn id_in<'a>(text: &'a str, entries: &[Entry], student: usize) -> &'a str {
    let entry = entries.get(student);
    entry.map_or("", |entry| &text[entry.id as usize..entry.name as usize])
}

#[cfg(test)]
mod tests;
