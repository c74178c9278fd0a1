//! Reports how a class did, and what to teach again.
//!
//! In: a prepared sheet, a roster, the record. Out: a [`ClassReport`]: figures over all papers that are
//! fully marked, with the teacher's word, and the mistakes that several share. Nothing is written and no
//! student is named. Refused: a class without papers, papers that today's file cannot solve.

use rust_decimal::Decimal;

use crate::plan::Plan;
use crate::record::Record;
use crate::roster::Roster;
use crate::statistics::{self, ClassReport, Left, LeftOut, Paper, Part, Shared};
use crate::text::DecimalMark;

use super::seen::Seen;
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
    let mut pile = Pile::default();
    pile.add(request, record, |_, _| {})?;
    Ok(pile.report(&request.prepared.plan, request.class))
}

/// The same with the papers that it is over, each with the place of its student on the roster.
pub(super) fn with_papers(
    request: &ReportRequest<'_>,
    record: &Record,
) -> Result<(ClassReport, Vec<(usize, Paper)>), Failure> {
    let mut pile = Pile::default();
    let mut students = Vec::new();
    pile.add(request, record, |at, total| {
        students.extend(total.map(|_| at))
    })?;
    let papers = students.into_iter().zip(pile.papers.clone()).collect();
    Ok((pile.report(&request.prepared.plan, request.class), papers))
}

/// Papers of one sheet, of one class or of several.
#[derive(Default)]
pub(super) struct Pile {
    papers: Vec<Paper>,
    shared: Vec<Shared>,
    left_out: LeftOut,
}

impl Pile {
    /// Adds those of a class; tells `course` of each student, by place on the roster, the total or why there
    /// is none.
    pub(super) fn add(
        &mut self,
        request: &ReportRequest<'_>,
        record: &Record,
        mut course: impl FnMut(usize, Result<Decimal, Left>),
    ) -> Result<(), Failure> {
        let plan = &request.prepared.plan;
        seen::each(request, record, |at, seen| match seen {
            Seen::Marked { paper, causes } => {
                seen::share(plan, &causes, &mut self.shared);
                course(at, Ok(paper.total));
                self.papers.push(paper);
            }
            Seen::Left(why) => {
                self.left_out.add(why);
                course(at, Err(why));
            }
        })
    }

    /// Adds those of another pile of the same sheet.
    pub(super) fn join(&mut self, other: &Self) {
        self.papers.extend_from_slice(&other.papers);
        for shared in &other.shared {
            shared.clone().add_to(&mut self.shared);
        }
        self.left_out.join(other.left_out);
    }

    /// What they come to.
    pub(super) fn report(mut self, plan: &Plan, class: &str) -> ClassReport {
        let papers = &self.papers;
        self.shared
            .sort_by_key(|shared| std::cmp::Reverse(shared.papers));
        let parts: Vec<Part> = (0..plan.parts.len()).map(|at| part(plan, at)).collect();
        let givens: Vec<String> = plan.sheet.given_ids().map(|(name, ..)| name).collect();
        let out_of: Vec<_> = parts.iter().map(|part| part.out_of).collect();
        ClassReport {
            title: plan.sheet.title.clone(),
            code: plan.sheet.code.clone(),
            class: class.to_owned(),
            analysis: statistics::analyse(&parts, &givens, papers),
            left_out: self.left_out,
            shared: self.shared,
            map: statistics::map(&out_of, papers),
        }
    }
}

fn part(plan: &Plan, at: usize) -> Part {
    let place = &plan.parts[at];
    Part {
        id: place.id.clone(),
        problem: place.problem,
        out_of: plan.part(at).points,
    }
}
