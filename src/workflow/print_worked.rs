//! Prints worked solutions of papers as they were issued.
//!
//! In: papers as issued, today's sheet. Out: `worked.pdf` as bytes. A paper whose givens are no longer
//! those of the file has no key today: it is left out and told. Refused: what cannot be drawn.

use crate::diagnostic::{Diagnostic, Severity};
use crate::marking::Key;
use crate::paper::{self, Missing, WorkedPages, WorkedPaper, WorkedProblem};
use crate::record::{Issue, Record};
use crate::text::DecimalMark;
use crate::worked;

use super::drawn::key_of;
use super::kept::Kept;
use super::print::{People, stack};
use super::{Failure, Findings, PrintRequest, Printed};

/// The latest paper of each student who has one, in the order of the roster.
///
/// # Errors
/// A class without papers, a record that cannot be read.
pub fn latest_papers(request: &PrintRequest<'_>, record: &Record) -> Result<Vec<Issue>, Failure> {
    let kept = Kept::of_issued(record, &request.prepared.plan.sheet, request.class)?;
    let students = request.roster.iter();
    let latest = students.filter_map(|student| kept.latest(student.id));
    Ok(latest.cloned().collect())
}

/// Prints the worked solutions of papers.
///
/// # Errors
/// What cannot be drawn, a program built without PDFs.
pub fn print_worked(request: &PrintRequest<'_>) -> Result<Printed, Failure> {
    let plan = &request.prepared.plan;
    let people = People::of(request);
    let mut missing = Missing::default();
    let mut list = Vec::new();
    let mut papers = Vec::new();
    let mut key = Key::default();
    for issue in stack(request) {
        if let Err(fault) = key_of(plan, issue, &mut key) {
            list.push(Diagnostic {
                severity: Severity::Warning,
                ..fault
            });
            continue;
        }
        let values = key.problems.iter().map(|problem| {
            let values = problem.givens.iter();
            values
                .map(|value| value.printed(DecimalMark::Point))
                .collect()
        });
        let solutions = worked::solutions(plan, &key);
        let problems = plan.sheet.problems.iter().zip(&solutions);
        papers.push(WorkedPaper {
            code: issue.code.as_str().to_owned(),
            name: people.name_beside_code(issue, &mut Vec::new()),
            values: values.collect(),
            problems: problems
                .map(|(problem, solution)| {
                    WorkedProblem::of(problem, solution, request.fonts, &mut missing)
                })
                .collect(),
        });
    }
    let mut shown = |text: &str| request.fonts.shown(text, &mut missing);
    let pages = WorkedPages {
        title: shown(&plan.sheet.title),
        class: shown(request.class),
        page: request.layout.page,
        papers,
    };
    let findings = Findings {
        list,
        sources: request.prepared.sources.clone(),
    };
    if pages.papers.is_empty() {
        return Err(Failure::Input(findings));
    }
    let bytes = paper::worked(&pages, request.fonts)
        .map_err(|fault| Failure::input(vec![fault], Vec::new()))?;
    Ok(Printed { bytes, findings })
}
