//! Whose a paper is, as it is printed.
//!
//! In: papers and the roster. Out: name, class, decimal mark and size of letters for each paper, and the students
//! whose names the fonts cannot draw as they are. Nothing is refused.

use rustc_hash::FxHashMap;

use crate::paper::Missing;
use crate::record::Issue;
use crate::roster::{PrintSize, Student};
use crate::text::DecimalMark;

use super::PrintRequest;

/// The size of letters, in points, where the roster says nothing.
const LETTERS: u8 = 11;

/// The size of letters, in points, that a roster asks for.
pub(super) fn letters(size: Option<PrintSize>) -> u8 {
    size.map_or(LETTERS, PrintSize::points)
}

/// Students whose names cannot be drawn as they are, and what no font has of each.
#[derive(Default)]
pub(in crate::workflow) struct Unlike(pub(super) Vec<(String, Missing)>);

/// Names as they are printed.
pub(in crate::workflow) struct People<'a> {
    request: &'a PrintRequest<'a>,
    /// How many students share a name and a section.
    shared: FxHashMap<(&'a str, Option<&'a str>), usize>,
}

impl<'a> People<'a> {
    pub(in crate::workflow) fn of(request: &'a PrintRequest<'a>) -> Self {
        let mut shared = FxHashMap::default();
        for student in request.roster.iter() {
            *shared.entry((student.name, student.section)).or_default() += 1;
        }
        Self { request, shared }
    }

    /// The student of a paper; one without a name if the roster has them no more.
    pub(in crate::workflow) fn student(&self, issue: &'a Issue) -> Student<'a> {
        let roster = self.request.roster;
        let found = roster.find(&issue.student).and_then(|at| roster.get(at));
        found.unwrap_or(Student {
            id: &issue.student,
            section: issue.section.as_deref(),
            ..Student::default()
        })
    }

    /// The name; with the id where it is not enough. Ids of names that cannot be drawn go to `unlike`.
    pub(in crate::workflow) fn name(&self, issue: &'a Issue, unlike: &mut Unlike) -> String {
        self.name_of(self.student(issue), unlike)
    }

    /// The same of a student of the roster.
    pub(in crate::workflow) fn name_of(&self, student: Student<'a>, unlike: &mut Unlike) -> String {
        let fonts = self.request.fonts;
        let (mut missing, mut ignored) = (Missing::default(), Missing::default());
        let name = fonts.shown(student.name, &mut missing);
        let id = fonts.shown(student.id, &mut ignored);
        if !missing.is_empty() {
            // One may hold several papers.
            if !unlike.0.iter().any(|(id, _)| id == student.id) {
                unlike.0.push((student.id.to_owned(), missing.clone()));
            }
        }
        if name.is_empty() {
            return id;
        }
        let others = self.shared.get(&(student.name, student.section));
        let is_doubled = others.is_some_and(|count| *count > 1);
        if is_doubled || !missing.is_empty() {
            format!("{name} ({id})")
        } else {
            name
        }
    }

    /// The decimal mark that the student of a paper writes.
    pub(in crate::workflow) fn mark(&self, issue: &'a Issue) -> DecimalMark {
        let own = self.student(issue).decimal;
        own.unwrap_or(self.request.decimal)
    }

    /// The name, where papers do not go by their codes alone.
    pub(in crate::workflow) fn name_beside_code(
        &self,
        issue: &'a Issue,
        unlike: &mut Unlike,
    ) -> Option<String> {
        (!self.request.layout.nameless).then(|| self.name(issue, unlike))
    }

    /// The size of letters on a student's paper, in points.
    pub(in crate::workflow) fn letters(&self, issue: &'a Issue) -> u8 {
        letters(self.student(issue).print)
    }

    /// Class and section.
    pub(in crate::workflow) fn class(&self, issue: &Issue) -> String {
        let mut ignored = Missing::default();
        let mut shown = |text: &str| self.request.fonts.shown(text, &mut ignored);
        let class = shown(self.request.class);
        match issue.section.as_deref() {
            Some(section) if section != self.request.class => {
                format!("{class}, {}", shown(section))
            }
            _ => class,
        }
    }
}
