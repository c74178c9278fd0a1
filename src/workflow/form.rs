//! The forms in which marks are written: which heading, which rows, and which files each may replace.
//!
//! In: a plan, a row of marks. Out: bytes. What goes into a row was decided before.

use crate::gradebook::{lines, mailing, marks};
use crate::plan::Plan;

/// In which form marks are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// The CSV file of marks.
    Csv,
    /// One JSON object a line.
    JsonLines,
    /// The CSV file of feedback, for a mail merge.
    Letters,
}

impl Form {
    /// Appends the heading, where the form has one.
    pub(super) fn push_heading(self, plan: &Plan, out: &mut Vec<u8>) {
        match self {
            Self::Csv => marks::push_heading(plan.parts.iter().map(|part| part.id.as_str()), out),
            Self::Letters => mailing::push_heading(out),
            Self::JsonLines => {}
        }
    }

    /// Whether students keep it, so that it says nothing that may still change.
    pub(super) fn is_for_students(self) -> bool {
        match self {
            Self::Letters => true,
            Self::Csv | Self::JsonLines => false,
        }
    }

    /// Appends a row of CSV.
    pub(super) fn push_row(self, row: &marks::MarksRow<'_>, out: &mut Vec<u8>) {
        match self {
            Self::Letters => mailing::push_row(row, out),
            Self::Csv | Self::JsonLines => marks::push_row(row, out),
        }
    }

    /// Tells by its first line whether a file holds marks of this plan in this form.
    pub(super) fn is_ours(self, plan: &Plan) -> impl Fn(&[u8]) -> bool + 'static {
        let parts: Vec<String> = plan.parts.iter().map(|part| part.id.clone()).collect();
        let code = plan.sheet.code.clone();
        move |line| match self {
            Self::Csv => marks::is_heading_of(parts.iter().map(String::as_str), line),
            Self::JsonLines => lines::is_line_of(&code, line),
            Self::Letters => mailing::is_heading(line),
        }
    }
}
