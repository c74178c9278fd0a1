//! Goes through the papers of a class, with what may have been done on each.
//!
//! In: a prepared sheet, a roster, the record. Out: the papers that are fully marked one after the other, in
//! the order of the roster, with the teacher's word on them; whose are left out, and why. Refused: a class
//! without papers, papers that today's file cannot solve.

use crate::marking::{Explanation, Kind, Marked, Status, Strength};
use crate::plan::Plan;
use crate::record::Record;
use crate::statistics::{Cell, Left, Paper, Shared};

use super::kept::Kept;
use super::marked::class::{ClassMarker, Counted};
use super::{Failure, Prepared, ReportRequest, told};

/// What there is of a student.
pub(super) enum Seen {
    /// A paper that is fully marked.
    Marked {
        /// What it came to.
        paper: Paper,
        /// What may have been done where something is not right; the best first.
        causes: Vec<Explanation>,
    },
    /// None that counts, and why.
    Left(Left),
}

/// Gives each student of the roster, by place, to `take`.
pub(super) fn each(
    request: &ReportRequest<'_>,
    record: &Record,
    mut take: impl FnMut(usize, Seen),
) -> Result<(), Failure> {
    let prepared = request.prepared;
    let kept = Kept::of_issued(record, &prepared.plan.sheet, request.class)?;
    let mut marker = ClassMarker::new(prepared, request.decimal);
    for (at, student) in request.roster.iter().enumerate() {
        let counted = marker
            .counting(&kept, student.id, student.decimal)
            .map_err(|finding| Failure::input(vec![finding], prepared.sources.clone()))?;
        let Some(counted) = counted else {
            take(at, Seen::Left(Left::WithoutPaper));
            continue;
        };
        let left = match counted.account.status {
            _ if !kept.is_known(student.id) => Left::NotKeyed,
            Status::Marked => {
                take(at, marked(prepared, &counted, &mut marker));
                continue;
            }
            Status::PartlyMarked => Left::PartlyMarked,
            Status::NeedsALook => Left::NeedsALook,
            Status::NotKeyed => Left::NotKeyed,
            Status::NoPaper => Left::WithoutPaper,
            Status::Absent => Left::Absent,
            Status::Excused => Left::Excused,
        };
        take(at, Seen::Left(left));
    }
    Ok(())
}

fn marked(prepared: &Prepared, counted: &Counted<'_>, marker: &mut ClassMarker<'_>) -> Seen {
    let (account, standing) = (&counted.account, counted.standing);
    let told = told::told(&prepared.plan, &counted.marked, account, standing);
    let mut causes = Vec::new();
    if told.parts.iter().any(|mark| !mark.verdict.is_right()) {
        causes = marker.causes(prepared.mistakes(), counted);
        // What earned all its points by the teacher's word is nothing to go over.
        let is_open = |at: &usize| !told.parts[*at].verdict.is_right();
        causes.retain(|cause| cause.explains.iter().any(is_open));
    }
    Seen::Marked {
        paper: paper(counted, &told, marker),
        causes,
    }
}

/// A paper as it stands with the teacher's word, which `told` has in it.
fn paper(counted: &Counted<'_>, told: &Marked, marker: &ClassMarker<'_>) -> Paper {
    let proposed = counted.marked.parts.iter().zip(&counted.account.by_part);
    let cells = told.parts.iter().zip(proposed);
    let cells = cells.map(|(mark, (proposed, more))| {
        let points = proposed.points + *more;
        Cell {
            points,
            verdict: mark.verdict,
            unit: mark.unit.is_some_and(|unit| unit.is_fault()),
            figures: mark.figures.is_some_and(|figures| figures.is_fault()),
        }
    });
    let problems = marker.key().problems.iter();
    Paper {
        cells: cells.collect(),
        total: counted.account.total,
        drawn: problems
            .flat_map(|key| key.givens.iter().map(|given| given.si()))
            .collect(),
    }
}

/// Adds the mistakes of one paper that are known well enough: of several that explain the same answers
/// the one that is shown first. Gives their places in `shared`.
pub(super) fn share(plan: &Plan, causes: &[Explanation], shared: &mut Vec<Shared>) -> Vec<usize> {
    let mut explained: Vec<&[usize]> = Vec::new();
    let mut places = Vec::new();
    for cause in causes {
        let is_known = cause.strength != Strength::Possible && cause.kind != Kind::Entry;
        if !is_known || explained.contains(&&cause.explains[..]) {
            continue;
        }
        explained.push(&cause.explains);
        let parts = cause.explains.iter().filter_map(|at| plan.parts.get(*at));
        let mistake = Shared {
            parts: parts.map(|part| part.id.clone()).collect(),
            says: cause.says.clone(),
            is_tied: is_tied(cause, causes),
            equation: equation(plan, cause),
            alteration: cause.alteration,
            papers: 1,
        };
        places.push(mistake.add_to(shared));
    }
    places
}

/// Whether another mistake explains the same as well.
fn is_tied(cause: &Explanation, causes: &[Explanation]) -> bool {
    causes.iter().any(|other| {
        other.says != cause.says
            && other.explains == cause.explains
            && (other.kind, other.strength) == (cause.kind, cause.strength)
    })
}

/// The equation a mistake was made in, by its name and as it stands in the file.
fn equation(plan: &Plan, cause: &Explanation) -> Option<(String, String)> {
    let name = cause.equation.as_ref()?;
    let assignment = plan.assignment(*cause.explains.first()?);
    let named = assignment
        .equations
        .iter()
        .find(|named| named.name == *name)?;
    let text = assignment
        .source
        .text
        .get(named.span.start..named.span.end)?;
    Some((name.clone(), text.to_owned()))
}
