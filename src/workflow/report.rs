//! Reports how a class did, and what to teach again.
//!
//! In: a prepared sheet, a roster, the record. Out: a [`ClassReport`]: figures over all papers that are
//! fully marked, with the teacher's word, and the mistakes that several share. Nothing is written and no
//! student is named. Refused: a class without papers, papers that today's file cannot solve.

use crate::plan::Plan;
use crate::record::Record;
use crate::roster::Roster;
use crate::statistics::{self, ClassReport, Part, Shared};
use crate::text::DecimalMark;

use super::{Failure, Prepared, seen};

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
    let plan = &request.prepared.plan;
    let (mut papers, mut shared) = (Vec::new(), Vec::new());
    let left_out = seen::each(request, record, |seen| {
        seen::share(plan, &seen.causes, &mut shared);
        papers.push(seen.paper);
    })?;
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
