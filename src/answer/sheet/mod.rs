//! A stack of answers from a CSV file, student by student, in memory that does not grow with what they
//! wrote.
//!
//! In go the file, the roster and the names that may be answered ([`Columns`]); out come [`Answers`], which
//! give the entries of any student ([`StudentEntries`]) exactly as they stand in the file. Two
//! layouts, told apart by the heading:
//!
//! - wide, a row a student: `student,a,b,turn`, and where wanted `a.working` (points keyed for working),
//!   `given:mA` (a value misread), `status` (`absent`, `excused`, `empty`) and `handed_in` (`2026-11-25`);
//! - long, a row an entry: `student,part,entry`, where the part may be any of these names. The rows
//!   of a student stand together.
//!
//! The file is read twice: a scan checks all of it and keeps 8 bytes a student; then each student's
//! rows are read where they begin. A paper code may stand for the student. Refused, all at once: another
//! file by its heading, unknown columns and parts, rows that do not fit, a student or a part that comes
//! twice, dates and status words that are none, entries of someone absent. Rows of students who are not
//! on the roster are told, and the rest goes on.

mod columns;
mod entries;
mod fault;
mod layout;
mod read;
mod scan;
mod stranger;

pub use columns::{Columns, PartColumn};
pub use entries::{Status, StudentEntries};
pub use read::AnswerReader;
pub use scan::{Answers, Codes};
pub use stranger::advice;

#[cfg(test)]
mod tests;
