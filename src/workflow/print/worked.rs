//! Prints worked solutions of papers as they were issued.
//!
//! In: papers as issued, today's sheet, the record with the figures of then. Out: `worked.pdf` as bytes. A
//! paper whose givens are no longer those of the file has no key today: it is left out and told. Refused:
//! what cannot be drawn.

use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::marking::Key;
use crate::paper::{self, Pen, WorkedPages, WorkedPaper, WorkedProblem};
use crate::plan::Plan;
use crate::record::{Issue, Record};
use crate::text::counted;
use crate::worked;

use super::super::drawn::key_of;
use super::super::kept::Kept;
use super::super::{Failure, Findings, PrintRequest, Printed};
use super::figures::Drawings;
use super::lacks::lacks;
use super::people::{People, Unlike};
use super::stack;

/// The latest paper of each student who has one, in the order of the roster.
///
/// # Errors
/// A class without papers, a roster that knows nobody who has one, a record that cannot be read.
pub fn latest_papers(request: &PrintRequest<'_>, record: &Record) -> Result<Vec<Issue>, Failure> {
    let sheet = &request.prepared.plan.sheet;
    let kept = Kept::of_issued(record, sheet, request.class)?;
    let latest = kept.latest_of(request.roster);
    if latest.is_empty() {
        let (were, none) = match kept.issues.len() {
            1 => ("was", "to nobody"),
            _ => ("were", "none of them to a student"),
        };
        let message = format!(
            "{} of `{}` {were} issued to the class `{}`, {none} of this roster",
            counted(kept.issues.len(), "paper"),
            sheet.code,
            request.class
        );
        let error = Diagnostic::error(record.name(), Place::File, message)
            .help("name the roster that they were issued to: --roster CSV");
        return Err(Failure::of(error));
    }
    Ok(latest)
}

/// Prints the worked solutions of papers.
///
/// # Errors
/// What cannot be drawn, a program built without PDFs.
pub fn print_worked(request: &PrintRequest<'_>, record: &Record) -> Result<Printed, Failure> {
    let plan = &request.prepared.plan;
    let people = People::of(request);
    let mut drawings = Drawings::of(request, Some(record));
    let mut pen = Pen::new(request.fonts, request.decimal);
    let (mut list, mut unlike) = (Vec::new(), Unlike::default());
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
        pen.mark = people.mark(issue);
        let name = people.name_beside_code(issue, &mut unlike);
        papers.push(WorkedPaper {
            figures: drawings.of_paper(&plan.sheet, issue, pen.mark)?,
            ..worked_paper(plan, &key, issue.code.as_str(), name, &mut pen)
        });
    }
    let pages = pages(request, papers, &mut pen);
    list.extend(drawings.findings());
    list.extend(lacks(request, &pen.missing, &unlike));
    let findings = Findings {
        list,
        sources: request.prepared.sources.clone(),
    };
    if pages.papers.is_empty() {
        return Err(Failure::Input(findings));
    }
    let bytes = paper::worked(&pages, request.fonts).map_err(Failure::of)?;
    Ok(Printed { bytes, findings })
}

/// The worked solutions of these papers.
pub(super) fn pages(
    request: &PrintRequest<'_>,
    papers: Vec<WorkedPaper>,
    pen: &mut Pen<'_>,
) -> WorkedPages {
    let sheet = &request.prepared.plan.sheet;
    WorkedPages {
        code: sheet.code.clone(),
        title: pen.shown(&sheet.title),
        class: pen.shown(request.class),
        page: request.layout.page,
        papers,
    }
}

/// The worked solution of one paper, under the code on it, without figures.
pub(super) fn worked_paper(
    plan: &Plan,
    key: &Key,
    code: &str,
    name: Option<String>,
    pen: &mut Pen<'_>,
) -> WorkedPaper {
    let values = key.problems.iter().map(|problem| {
        let values = problem.givens.iter();
        values.map(|value| value.printed(pen.mark)).collect()
    });
    let values = values.collect();
    let solutions = worked::solutions(plan, key);
    let problems = plan.sheet.problems.iter().zip(&solutions);
    WorkedPaper {
        code: code.to_owned(),
        name,
        values,
        figures: vec![None; plan.problems.len()],
        problems: problems
            .map(|(problem, solution)| WorkedProblem::of(problem, solution, pen))
            .collect(),
    }
}
