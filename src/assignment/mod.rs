//! Assignment files: from text to a checked [`Sheet`].
//!
//! In: an assignment or a sheet as TOML, and the course folder's other files for the problems a
//! sheet names. Out: the model, where nothing is wrong, and otherwise *everything* that is wrong,
//! each with its place, what was found, what was expected and what to do. The way: `raw` reads
//! values with their places (`syntax` says what is wrong with the TOML), `shape` holds them against
//! the key table `keys`, and `problem` finds their meaning: `givens`, `terms` (quantities, units,
//! formulas), `names`, `mix`, `parts` with `answers`, `slips` and `choices`, `scheme`, `amounts`,
//! `template`. What they find wrong is collected in `report`; the outcome is the `model`. `schema` writes the
//! key table as a JSON Schema.
//!
//! Refused: whatever is not in the key table, and what has no meaning together. Not looked at:
//! whether the equations can be solved.

pub(crate) mod amounts;
mod answers;
mod choices;
mod givens;
pub(crate) mod keys;
mod mix;
mod model;
mod names;
mod parts;
mod problem;
pub(crate) mod raw;
mod report;
mod schema;
mod scheme;
pub(crate) mod shape;
mod slips;
mod syntax;
mod template;
mod terms;
#[cfg(test)]
mod tests;

use std::sync::Arc;

pub use model::*;
pub(crate) use names::DECLARE;
pub(crate) use report::Report;
pub use schema::schema;
pub(crate) use template::read_beside;

use crate::course::Course;
use crate::diagnostic::{Diagnostic, Source, nearest};
use keys::{ASSIGNMENT, SHEET, Table};
use raw::{Fields, Node};
use rustc_hash::FxHashSet;
use scheme::{Level, Rules};

/// What became of a file.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The sheet, where nothing is wrong.
    pub sheet: Option<Sheet>,
    /// What is wrong, file by file, each from top to bottom. Empty if and only if there is a sheet.
    pub findings: Vec<Diagnostic>,
    /// The files that were read, to draw the findings with.
    pub sources: Vec<Arc<Source>>,
}

/// Reads an assignment, or a sheet and the problems it names from `course`.
pub fn read(source: &Arc<Source>, course: &Course) -> Outcome {
    let mut sources = vec![Arc::clone(source)];
    let mut findings = Vec::new();
    let mut report = Report::new(source);
    let sheet = match form(source, &mut report) {
        Some((fields, table)) if std::ptr::eq(table, &SHEET) => {
            let mut join = Join {
                course,
                sources: &mut sources,
                findings: &mut findings,
            };
            join.sheet(&fields, &mut report)
        }
        Some((fields, _)) => {
            problem::read(source, &fields, Rules::default(), &mut report).map(lone)
        }
        None => None,
    };
    let mut all = report.finish();
    all.append(&mut findings);
    let sheet = sheet.filter(|_| all.is_empty());
    Outcome {
        sheet,
        findings: all,
        sources,
    }
}

/// An assignment as the sheet that it is by itself.
fn lone(problem: Assignment) -> Sheet {
    Sheet {
        code: problem.code.clone(),
        title: problem.title.clone(),
        paper: problem.paper.clone(),
        problems: vec![problem],
        lone: true,
    }
}

/// Reads a file and checks its form; which of the two kinds it is shows in `problems`.
fn form(source: &Source, report: &mut Report<'_>) -> Option<(Fields, &'static Table)> {
    let mut fields = raw::read(source, report)?;
    if fields.entries.is_empty() && report.len() == 0 {
        report
            .whole("the file is empty, or holds comments alone")
            .help("an assignment has at least a title, a code and one [[part]]");
        return None;
    }
    let table = if fields.get("problems").is_some() {
        &SHEET
    } else {
        &ASSIGNMENT
    };
    if !shape::check(&mut fields, table, report) {
        // What is named there is unknown as well: nearly every formula would be wrong.
        report.close("names and formulas are checked once this section is known");
        return None;
    }
    Some((fields, table))
}

/// Joins the problems of a sheet.
struct Join<'a> {
    course: &'a Course,
    sources: &'a mut Vec<Arc<Source>>,
    findings: &'a mut Vec<Diagnostic>,
}

impl Join<'_> {
    fn sheet(&mut self, fields: &Fields, report: &mut Report<'_>) -> Option<Sheet> {
        let before = report.len();
        let title = problem::title(fields, report);
        let code = problem::code(fields, report);
        let scheme = fields.table("scheme");
        let rules = scheme.map(|scheme| scheme::read(scheme, Level::Scheme, report));
        let rules = rules.unwrap_or_default();
        let paper = scheme::paper(scheme, report);
        let mut problems: Vec<Assignment> = Vec::new();
        for node in fields.list("problems") {
            problems.extend(self.problem(node, rules, report));
        }
        if report.len() > before || !self.findings.is_empty() {
            return None;
        }
        let sheet = Sheet {
            code: code?,
            title: title?,
            paper,
            problems,
            lone: false,
        };
        unique_ids(&sheet, fields, report);
        Some(sheet)
    }

    fn problem(
        &mut self,
        node: &Node,
        rules: Rules,
        report: &mut Report<'_>,
    ) -> Option<Assignment> {
        let text = node.text()?;
        let code = text.text;
        let Some(source) = self.course.source(code) else {
            let help = match nearest(code, self.course.codes()) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => "a sheet names problems by the `code` in their files, which lie in the course folder's assignments/".to_owned(),
            };
            report
                .error(
                    text.inner(),
                    format!("no assignment in the course folder has the code \"{code}\""),
                )
                .help(help);
            return None;
        };
        if self.sources.iter().any(|read| read.name == source.name) {
            report
                .error(
                    text.inner(),
                    format!("\"{code}\" stands on this sheet already"),
                )
                .help("name each problem once, and not the sheet itself");
            return None;
        }
        self.sources.push(Arc::clone(source));
        let mut inner = Report::new(source);
        let read = match form(source, &mut inner) {
            Some((_, table)) if std::ptr::eq(table, &SHEET) => {
                report
                    .error(text.inner(), format!("\"{code}\" is a sheet itself"))
                    .help("name its problems here instead");
                return None;
            }
            Some((fields, _)) => problem::read(source, &fields, rules, &mut inner),
            None => None,
        };
        self.findings.append(&mut inner.finish());
        read
    }
}

/// Part `1a` of problem 1 and part `a` of problem 11 would head one column.
fn unique_ids(sheet: &Sheet, fields: &Fields, report: &mut Report<'_>) {
    let mut seen = FxHashSet::default();
    for (id, problem, _) in sheet.part_ids() {
        if !seen.insert(id.to_lowercase())
            && let Some(node) = fields.list("problems").get(problem)
        {
            report
                .error(
                    node.span,
                    format!("two parts on this sheet would both be called {id}"),
                )
                .help("give one of them an id that begins with a letter");
        }
    }
}
