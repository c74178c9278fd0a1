//! Marks on their way to the gradebook. Nothing here reckons a mark: rows come in as they were decided.

pub mod issued;
pub mod lines;
pub mod marks;
pub mod oneroster;
pub mod spreadsheet;
