//! Draws the papers that are handed out: numbers that nobody has, a free code, and a key for each.
//!
//! In: students with the numbers of their papers, what was issued before. Out: papers for the record. Refused: draws
//! that cannot be made or have no key.

use rustc_hash::FxHashSet;

use crate::diagnostic::Diagnostic;
use crate::marking::Key;
use crate::plan::Plan;
use crate::quantity::Quantity;
use crate::record::{Before, NewIssue};
use crate::roster::Student;
use crate::variant::{self, Draft, PaperCode, Space};

use super::super::drawn::{key_of, to_record};
use super::super::{Failure, fresh};
use super::IssueRequest;

/// A student and the number of the paper they get.
pub(super) struct To<'a> {
    pub(super) student: Student<'a>,
    pub(super) number: u32,
}

impl<'a> To<'a> {
    fn of(&self) -> fresh::To<'a> {
        fresh::To {
            student: self.student.id,
            number: self.number,
        }
    }
}

/// Draws papers, in an order that the roster's does not change.
pub(super) fn draw(
    request: &IssueRequest<'_>,
    spaces: &[Space<'_>],
    before: &Before<'_>,
    file: &str,
    to: &[To<'_>],
) -> Result<Vec<NewIssue>, Failure> {
    let plan = &request.prepared.plan;
    // By student as in `to`, by problem.
    let drawn = if before.issues.is_empty() {
        first(request, spaces, to)?
    } else {
        let to: Vec<fresh::To<'_>> = to.iter().map(To::of).collect();
        fresh::beside(request.prepared, spaces, request.class, &before.issues, &to)?
    };
    let mut codes = FxHashSet::default();
    let mut papers = Vec::with_capacity(to.len());
    for (To { student, number }, values) in to.iter().zip(drawn) {
        let code = code_for(request, before, student.id, *number, &mut codes)?;
        papers.push(NewIssue {
            sheet: plan.sheet.code.clone(),
            class: request.class.to_owned(),
            student: student.id.to_owned(),
            section: student.section.map(str::to_owned),
            number: *number,
            code,
            values: to_record(&plan.sheet, values),
            file: file.to_owned(),
            at: request.now,
            due: request.due,
        });
    }
    solvable(plan, &papers)
        .map_err(|finding| Failure::input(vec![finding], request.prepared.sources.clone()))?;
    Ok(papers)
}

/// The numbers of a class that holds none yet: by student as in `to`, by problem.
fn first(
    request: &IssueRequest<'_>,
    spaces: &[Space<'_>],
    to: &[To<'_>],
) -> Result<Vec<Vec<Vec<Quantity>>>, Failure> {
    let fault = |problem, error| fresh::no_draw(request.prepared, problem, &error);
    let ids: Vec<&str> = to.iter().map(|to| to.student.id).collect();
    let tries = variant::allocate(spaces, &ids).map_err(|(at, error)| fault(at, error))?;
    let mut drawn = vec![Vec::new(); to.len()];
    let mut draft = Draft::default();
    for (problem, space) in spaces.iter().enumerate() {
        for (at, drawn) in drawn.iter_mut().enumerate() {
            let attempt = tries.of(at).get(problem).copied().unwrap_or(0);
            space
                .picks(ids[at], 1, attempt, &mut draft)
                .map_err(|error| fault(problem, error))?;
            drawn.push(space.values(&draft.picks).collect());
        }
    }
    Ok(drawn)
}

/// Every paper that is handed out has a key.
fn solvable(plan: &Plan, papers: &[NewIssue]) -> Result<(), Diagnostic> {
    let mut key = Key::default();
    for paper in papers {
        key_of(plan, &paper.clone().as_issued(), &mut key)?;
    }
    Ok(())
}

/// The first free code of a paper.
fn code_for(
    request: &IssueRequest<'_>,
    before: &Before<'_>,
    student: &str,
    number: u32,
    codes: &mut FxHashSet<PaperCode>,
) -> Result<PaperCode, Failure> {
    let sheet = &request.prepared.plan.sheet.code;
    let mut attempt = 0;
    loop {
        let code = PaperCode::of(sheet, request.class, student, number, attempt);
        if let Some(code) = code
            && !codes.contains(&code)
            && !before.has_code(code)?
        {
            codes.insert(code);
            return Ok(code);
        }
        attempt += 1;
    }
}
