//! Papers whose wrong answers are another student's numbers.
//!
//! In: the papers of a class as they were issued, one of them and its marks. Out: the papers it fits, and the
//! answers concerned noted as needing the teacher's look; no mark moves. That is for the teacher alone:
//! nothing of it goes into feedback, files of marks or a gradebook, where such a paper is one that needs a
//! look like any other. The look is taken by setting the points of the answers concerned, to what they are or
//! to something else, or by moving them to the paper where they belong.

use rustc_hash::FxHashMap;

use crate::diagnosis::{Classmates, Fit};
use crate::gradebook::fits;
use crate::gradebook::lines::FitsOther;
use crate::marking::{Key, Marked, Marker, Paper, PartMark, Status};
use crate::plan::Plan;
use crate::record::{Issue, IssueId};
use crate::roster::Roster;

use super::super::drawn::key_of;

/// The keys of a class, by the papers that were issued.
#[derive(Debug)]
pub(super) struct ClassKeys {
    classmates: Classmates,
    /// Ids of the students, in the same order.
    students: Vec<String>,
    places: FxHashMap<IssueId, usize>,
}

impl ClassKeys {
    /// Solves the keys of all papers. One that today's file cannot solve is told where it is marked itself.
    pub(in crate::workflow) fn of(plan: &Plan, issues: &[Issue]) -> Self {
        let mut all = Self {
            classmates: Classmates::new(plan),
            students: Vec::with_capacity(issues.len()),
            places: FxHashMap::default(),
        };
        let mut key = Key::default();
        for issue in issues {
            if key_of(plan, issue, &mut key).is_ok() {
                all.classmates.add(plan, &key);
                all.places.insert(issue.id, all.students.len());
                all.students.push(issue.student.clone());
            }
        }
        all.classmates.sort();
        all
    }

    /// The place of a paper, if it is one of these.
    pub(in crate::workflow) fn place(&self, issue: IssueId) -> Option<usize> {
        self.places.get(&issue).copied()
    }

    /// The students whose numbers the wrong answers of a paper are, which is noted on it.
    pub(in crate::workflow) fn note(
        &self,
        plan: &Plan,
        own: IssueId,
        marker: &mut Marker<'_>,
        papers: (&Key, &Paper),
        marked: &mut Marked,
    ) -> Vec<(String, Fit)> {
        let Some(place) = self.place(own) else {
            return Vec::new();
        };
        let fits = note(plan, (&self.classmates, place), marker, papers, marked);
        let named = fits
            .into_iter()
            .map(|fit| (self.students[fit.paper].clone(), fit));
        named.collect()
    }
}

/// A paper that fits another, with the students' places on the roster.
#[derive(Clone, Debug, PartialEq)]
pub struct OtherPaper {
    /// Whose paper it is.
    pub student: usize,
    /// Whose numbers its wrong answers are; none of somebody who is no longer on the roster.
    pub other: Option<usize>,
    /// How they fit.
    pub fit: Fit,
}

/// What a file for the teacher alone says of a class: a row for each paper that another fits.
pub fn for_teacher(plan: &Plan, roster: &Roster, found: &[OtherPaper]) -> Vec<u8> {
    let mut out = Vec::new();
    fits::push_heading(&mut out);
    for of in found {
        let named = |at: Option<usize>| {
            let student = at.and_then(|at| roster.get(at)).unwrap_or_default();
            (student.id, student.name)
        };
        let row = fits::FitRow {
            student: named(Some(of.student)),
            other: named(of.other),
            parts: &ids(plan, &of.fit).join(" "),
            is_whole: of.fit.is_whole,
            chance: of.fit.chance,
        };
        fits::push_row(&row, &mut out);
    }
    out
}

/// The ids of the parts that fit.
pub(in crate::workflow) fn ids<'p>(plan: &'p Plan, fit: &Fit) -> Vec<&'p str> {
    let parts = fit.parts.iter().filter_map(|at| plan.parts.get(*at));
    parts.map(|part| part.id.as_str()).collect()
}

/// The same for a line of JSON.
pub(in crate::workflow) fn lines<'p>(
    plan: &'p Plan,
    roster: &'p Roster,
    found: &[OtherPaper],
) -> Vec<FitsOther<'p>> {
    let line = |of: &OtherPaper| FitsOther {
        student: of.other.map_or("", |other| roster.id(other)),
        parts: ids(plan, &of.fit),
        whole: of.fit.is_whole,
        by_luck: of.fit.chance,
    };
    found.iter().map(line).collect()
}

/// Whether a marked paper has wrong numbers enough to fit another: fewer than two say nothing.
pub(super) fn may_fit(marked: &Marked) -> bool {
    let is_wrong = |mark: &&PartMark| mark.unit.is_some() && !mark.verdict.is_right();
    marked.parts.iter().filter(is_wrong).count() >= 2
}

/// Notes on a marked paper which answers need a look, since they are another paper's. `own` is its place
/// among the class's papers.
pub(in crate::workflow) fn note(
    plan: &Plan,
    (classmates, own): (&Classmates, usize),
    marker: &mut Marker<'_>,
    (key, paper): (&Key, &Paper),
    marked: &mut Marked,
) -> Vec<Fit> {
    if !may_fit(marked) {
        return Vec::new();
    }
    let fits = classmates.fits(plan, own, &marker.evidence(key, paper));
    for part in fits.iter().flat_map(|fit| &fit.parts) {
        marked.parts[*part].look = true;
        marked.status = Status::NeedsALook;
    }
    fits
}

/// What is said of a paper that fits others, the best first; `of` names them. Nothing of one that fits none.
pub(in crate::workflow) fn words(
    plan: &Plan,
    fits: &[Fit],
    of: &dyn Fn(usize) -> String,
) -> Option<String> {
    let best = fits.first()?;
    let ids: Vec<String> = ids(plan, best).iter().map(|id| format!("({id})")).collect();
    let other = match fits.iter().filter(|fit| fit.parts == best.parts).count() {
        1 => of(best.paper),
        2 => format!("{} and of one other", of(best.paper)),
        count => format!("{} and of {} others", of(best.paper), count - 1),
    };
    Some(if best.is_whole {
        format!(
            "every number fits the paper of {other}: probably swapped, or keyed under the wrong code"
        )
    } else {
        let ids = ids.join(" and ");
        format!("{ids} fit the paper of {other}: have a look, papers do get swapped")
    })
}
