//! Prints the key of a stack, and the list of codes for papers without names.
//!
//! In: papers as issued, today's sheet. Out: `key.pdf` and `codes.pdf` as bytes. A paper whose givens are
//! no longer those of the file has no key today: it is left out and told.

use crate::assignment::{Draw, PartKind};
use crate::diagnostic::Diagnostic;
use crate::formula::Symbol;
use crate::marking::figures::Asked;
use crate::marking::{Key, ProblemKey, choice};
use crate::paper::{self, CodeList, Column, KeyList, Missing, Row};
use crate::plan::{PartPlan, Plan, answer_part};
use crate::quantity::{Unit, numeral_of};
use crate::text::DecimalMark;

use super::drawn::key_of;
use super::print::{People, stack};
use super::{Failure, Findings, PrintRequest, Printed};

/// Prints everyone's answers.
///
/// # Errors
/// What cannot be drawn, a program built without PDFs.
pub fn print_key(request: &PrintRequest<'_>) -> Result<Printed, Failure> {
    let plan = &request.prepared.plan;
    let people = People::of(request);
    let mut findings = Vec::new();
    let mut rows = Vec::new();
    let mut key = Key::default();
    for issue in stack(request) {
        if let Err(fault) = key_of(plan, issue, &mut key) {
            findings.push(Diagnostic {
                severity: crate::diagnostic::Severity::Warning,
                ..fault
            });
            continue;
        }
        let of_problem = |at: usize| &key.problems[at];
        let problems = 0..plan.problems.len();
        rows.push(Row {
            code: issue.code.as_str().to_owned(),
            name: people.name_beside_code(issue, &mut Vec::new()),
            numbers: problems
                .clone()
                .map(|at| numbers(plan, at, of_problem(at), request, DecimalMark::Point))
                .collect(),
            answers: problems
                .map(|at| answers(plan, at, of_problem(at), request, DecimalMark::Point))
                .collect(),
        });
    }
    let list = KeyList {
        title: shown(request, &plan.sheet.title),
        class: shown(request, request.class),
        page: request.layout.page,
        problems: (0..plan.problems.len())
            .map(|at| columns(plan, at))
            .collect(),
        rows,
        by_eye: by_eye(plan, request),
    };
    let bytes = paper::key(&list, request.fonts).map_err(fault)?;
    Ok(Printed {
        bytes,
        findings: Findings {
            list: findings,
            sources: request.prepared.sources.clone(),
        },
    })
}

/// Prints whose code is whose.
///
/// # Errors
/// What cannot be drawn, a program built without PDFs.
pub fn print_codes(request: &PrintRequest<'_>) -> Result<Printed, Failure> {
    let people = People::of(request);
    let rows = stack(request).into_iter().map(|issue| {
        let code = issue.code.as_str().to_owned();
        let name = people.name(issue, &mut Vec::new());
        (code, name, people.class(issue))
    });
    let list = CodeList {
        title: shown(request, &request.prepared.plan.sheet.title),
        page: request.layout.page,
        rows: rows.collect(),
    };
    let bytes = paper::codes(&list, request.fonts).map_err(fault)?;
    Ok(Printed {
        bytes,
        findings: Findings::default(),
    })
}

fn fault(fault: Diagnostic) -> Failure {
    Failure::input(vec![fault], Vec::new())
}

fn shown(request: &PrintRequest<'_>, text: &str) -> String {
    request.fonts.shown(text, &mut Missing::default())
}

/// The parts of a problem that have a key.
fn keyed(plan: &Plan, problem: usize) -> impl Iterator<Item = (usize, &PartPlan)> {
    let parts = plan.problems[problem].parts.iter().enumerate();
    parts.filter(|(_, part)| !matches!(part, PartPlan::Eye))
}

fn columns(plan: &Plan, problem: usize) -> Vec<Column> {
    let columns = keyed(plan, problem).map(|(part, _)| Column {
        id: plan.sheet.part_id(problem, part),
        unit: unit(plan, problem, part).map_or_else(String::new, |unit| unit.printed()),
    });
    columns.collect()
}

/// The unit a part asks for; none where a word is asked for.
fn unit(plan: &Plan, problem: usize, part: usize) -> Option<Unit> {
    answer_part(&plan.sheet.problems[problem], part).map(|answer| answer.unit)
}

/// All answers of one paper with their units, and the ids of their parts.
pub(super) fn with_units(
    plan: &Plan,
    key: &Key,
    request: &PrintRequest<'_>,
    mark: DecimalMark,
) -> Vec<(String, String)> {
    let mut all = Vec::new();
    for (problem, key) in key.problems.iter().enumerate() {
        let answers = answers(plan, problem, key, request, mark);
        for ((part, _), answer) in keyed(plan, problem).zip(answers) {
            let unit = unit(plan, problem, part);
            let unit = unit.map_or_else(String::new, |unit| unit.printed_behind());
            all.push((plan.sheet.part_id(problem, part), answer + &unit));
        }
    }
    all
}

/// The answers of one paper to one problem, to the figures asked for.
pub(super) fn answers(
    plan: &Plan,
    problem: usize,
    key: &ProblemKey,
    request: &PrintRequest<'_>,
    mark: DecimalMark,
) -> Vec<String> {
    let answers = keyed(plan, problem).map(|(part, prepared)| {
        let model = &plan.sheet.problems[problem].parts[part];
        match (&model.kind, prepared) {
            (PartKind::Answer(answer), PartPlan::Answer(prepared)) => {
                let asked = Asked::in_part(model.rules.figures, prepared, key);
                let value = answer.unit.from_si(key.slots[prepared.slot]);
                numeral_of(value, asked.shown)
                    .map_or_else(String::new, |numeral| numeral.printed(mark))
            }
            (PartKind::Choose(words), PartPlan::Choose(judges)) => {
                let holding = choice::holding(judges, &key.slots);
                let word = holding.and_then(|at| words.options.get(at));
                word.map_or_else(String::new, |word| shown(request, &word.label))
            }
            _ => String::new(),
        }
    });
    answers.collect()
}

/// The numbers of one paper that are drawn, as symbol and value.
pub(super) fn numbers(
    plan: &Plan,
    problem: usize,
    key: &ProblemKey,
    request: &PrintRequest<'_>,
    mark: DecimalMark,
) -> Vec<(String, String, String)> {
    let problem = &plan.sheet.problems[problem];
    let drawn = problem.givens.iter().zip(&key.givens);
    let drawn = drawn.filter(|(given, _)| !matches!(given.draw, Draw::Fixed(_)));
    drawn
        .map(|(given, value)| {
            let Symbol { letter, below } = Symbol::of(&given.name);
            (
                shown(request, &letter),
                shown(request, &below),
                value.printed(mark),
            )
        })
        .collect()
}

/// What is looked for by eye: in parts without a key, and in the working.
fn by_eye(plan: &Plan, request: &PrintRequest<'_>) -> Vec<(String, Vec<String>)> {
    let parts = plan.sheet.part_ids().map(|(id, problem, part)| {
        let part = &plan.sheet.problems[problem].parts[part];
        let items = match &part.kind {
            PartKind::Eye(items) => items,
            _ => &part.working,
        };
        (id, items.iter().map(|item| shown(request, item)).collect())
    });
    parts
        .filter(|(_, items): &(String, Vec<String>)| !items.is_empty())
        .collect()
}
