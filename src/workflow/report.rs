//! Reports how a class did, and what to teach again.
//!
//! In: a prepared sheet, a roster, the record. Out: a [`ClassReport`]: figures over all papers that are
//! fully marked, with the teacher's word, and the mistakes that several share. Nothing is written and no
//! student is named. Refused: a class without papers, papers that today's file cannot solve.

use crate::marking::{Explanation, Kind, Marked, Status, Strength};
use crate::plan::Plan;
use crate::record::Record;
use crate::roster::Roster;
use crate::statistics::{self, Cell, ClassReport, LeftOut, Paper, Part, Shared};
use crate::text::DecimalMark;

use super::class::{ClassMarker, Counted};
use super::kept::Kept;
use super::{Failure, Prepared, told};

/// Whose papers are reported.
#[derive(Clone, Copy, Debug)]
pub struct ReportRequest<'a> {
    /// The sheet, prepared.
    pub prepared: &'a Prepared,
    /// The class.
    pub class: &'a str,
    /// Its roster.
    pub roster: &'a Roster,
    /// The decimal mark of students for whom the roster does not say it.
    pub decimal: DecimalMark,
}

/// Reports on a class.
///
/// # Errors
/// See the module.
pub fn report(request: &ReportRequest<'_>, record: &Record) -> Result<ClassReport, Failure> {
    let prepared = request.prepared;
    let plan = &prepared.plan;
    let fault = |list| Failure::input(list, prepared.sources.clone());
    let kept = Kept::of_issued(record, &plan.sheet, request.class)?;
    let mut marker = ClassMarker::new(plan, request.decimal);
    let (mut papers, mut shared) = (Vec::new(), Vec::new());
    let mut left_out = LeftOut::default();
    for student in request.roster.iter() {
        let counted = marker
            .counting(&kept, student.id, student.decimal)
            .map_err(|finding| fault(vec![finding]))?;
        let Some(counted) = counted else {
            left_out.without_paper += 1;
            continue;
        };
        if !kept.is_known(student.id) {
            left_out.not_keyed += 1;
            continue;
        }
        match counted.account.status {
            Status::Marked => {
                let (account, standing) = (&counted.account, counted.standing);
                let told = told::told(plan, &counted.marked, account, standing);
                papers.push(paper(&counted, &told, &marker));
                if told.parts.iter().any(|mark| !mark.verdict.is_right()) {
                    let mut causes = marker.causes(prepared.mistakes(), &counted);
                    // What earned all its points by the teacher's word is nothing to go over.
                    let is_open = |at: &usize| !told.parts[*at].verdict.is_right();
                    causes.retain(|cause| cause.explains.iter().any(is_open));
                    share(plan, &causes, &mut shared);
                }
            }
            Status::PartlyMarked => left_out.partly_marked += 1,
            Status::NeedsALook => left_out.needs_a_look += 1,
            Status::Absent => left_out.absent += 1,
            Status::Excused => left_out.excused += 1,
        }
    }
    shared.sort_by_key(|shared: &Shared| std::cmp::Reverse(shared.papers));
    let parts: Vec<Part> = (0..plan.parts.len()).map(|at| part(plan, at)).collect();
    let givens: Vec<String> = plan.sheet.given_ids().map(|(name, ..)| name).collect();
    let out_of: Vec<_> = parts.iter().map(|part| part.out_of).collect();
    Ok(ClassReport {
        title: plan.sheet.title.clone(),
        code: plan.sheet.code.clone(),
        class: request.class.to_owned(),
        analysis: statistics::analyse(&parts, &givens, &papers),
        left_out,
        shared,
        map: statistics::map(&out_of, &papers),
    })
}

fn part(plan: &Plan, at: usize) -> Part {
    let place = &plan.parts[at];
    Part {
        id: place.id.clone(),
        problem: place.problem,
        out_of: plan.assignment(at).parts[place.part].points,
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
/// the one that is shown first.
fn share(plan: &Plan, causes: &[Explanation], shared: &mut Vec<Shared>) {
    let mut explained: Vec<&[usize]> = Vec::new();
    for cause in causes {
        let is_known = cause.strength != Strength::Possible && cause.kind != Kind::Entry;
        if !is_known || explained.contains(&&cause.explains[..]) {
            continue;
        }
        explained.push(&cause.explains);
        let equation = equation(plan, cause);
        let same = shared
            .iter_mut()
            .find(|known| known.says == cause.says && known.equation == equation);
        let ids = cause.explains.iter().filter_map(|at| plan.parts.get(*at));
        let ids = ids.map(|part| part.id.clone());
        match same {
            Some(known) => {
                known.papers += 1;
                for id in ids {
                    if !known.parts.contains(&id) {
                        known.parts.push(id);
                    }
                }
            }
            None => shared.push(Shared {
                parts: ids.collect(),
                says: cause.says.clone(),
                equation,
                papers: 1,
            }),
        }
    }
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
