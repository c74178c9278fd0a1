//! A term: several sheets and classes beside each other, and how each student went on.
//!
//! In: class reports, and for each student what every sheet came to. Out: [`Term`], which `page` draws on a
//! terminal and `lines` writes for programs. Shares of the points make sheets comparable. Students are in
//! it only where they are asked for: that is for the teacher alone.

pub mod lines;
mod page;

use rust_decimal::Decimal;

use super::{ClassReport, Left, moments::f64_of};

pub use page::page;

/// Several sheets.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Term {
    /// The sheets, in the order in which they were named.
    pub sheets: Vec<SheetReports>,
    /// How each student went on, class by class in the order of its roster; empty unless asked for.
    pub students: Vec<Course>,
}

/// One sheet in all its classes.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetReports {
    /// Each class.
    pub classes: Vec<ClassReport>,
    /// All of them together, where there are several.
    pub together: Option<ClassReport>,
}

/// What the sheets of a term came to for a student.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// The class.
    pub class: String,
    /// The student's id.
    pub student: String,
    /// The name on the roster.
    pub name: String,
    /// For each sheet of the term; none where the class has none of its papers.
    pub sheets: Vec<Option<Stand>>,
}

/// What one sheet came to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stand {
    /// The points, or why there are none.
    pub total: Result<Decimal, Left>,
    /// Out of how many.
    pub out_of: Decimal,
}

impl Stand {
    /// Whether a paper is out that has not come in.
    pub fn is_owed(&self) -> bool {
        matches!(self.total, Err(Left::NotKeyed | Left::Absent))
    }
}

impl Course {
    /// The points of all sheets that are marked, and out of how many; none where none is.
    pub fn sum(&self) -> Option<(Decimal, Decimal)> {
        let stands = self.sheets.iter().flatten();
        let marked = stands.filter_map(|stand| Some((stand.total.ok()?, stand.out_of)));
        marked.reduce(|(points, out_of), (more, of)| (points + more, out_of + of))
    }
}

impl SheetReports {
    /// The code of the sheet.
    pub fn code(&self) -> &str {
        self.classes.first().map_or("", |report| &report.code)
    }

    /// Each class, and behind them all together where there are several.
    pub fn all(&self) -> impl Iterator<Item = (&str, &ClassReport)> {
        let classes = self.classes.iter().map(|it| (it.class.as_str(), it));
        classes.chain(self.together.iter().map(|it| ("together", it)))
    }
}

/// A share of points; none out of none.
fn share(points: Decimal, out_of: Decimal) -> Option<f64> {
    (!out_of.is_zero()).then(|| f64_of(points) / f64_of(out_of))
}
