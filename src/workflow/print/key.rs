//! Prints the key of a stack, and the list of codes for papers without names.
//!
//! In: papers as issued, today's sheet. Out: `key.pdf` and `codes.pdf` as bytes. A paper whose givens are
//! no longer those of the file has no key today: it is left out and told.

use crate::assignment::{Draw, PartKind};
use crate::diagnostic::Diagnostic;
use crate::formula::Symbol;
use crate::marking::figures::Asked;
use crate::marking::{Key, ProblemKey, choice};
use crate::paper::{self, CodeList, Column, KeyList, Pen, Row};
use crate::plan::{PartPlan, Plan, answer_part};
use crate::quantity::{Unit, numeral_of};

use super::super::drawn::key_of;
use super::super::{Failure, Findings, PrintRequest, Printed};
use super::lacks::lacks;
use super::people::{People, Unlike};
use super::stack;

/// Prints everyone's answers.
///
/// # Errors
/// What cannot be drawn, a program built without PDFs.
pub fn print_key(request: &PrintRequest<'_>) -> Result<Printed, Failure> {
    let plan = &request.prepared.plan;
    let people = People::of(request);
    let mut pen = Pen::new(request.fonts, request.decimal);
    let (mut list, mut unlike) = (Vec::new(), Unlike::default());
    let mut rows = Vec::new();
    let mut key = Key::default();
    for issue in stack(request) {
        if let Err(fault) = key_of(plan, issue, &mut key) {
            list.push(Diagnostic {
                severity: crate::diagnostic::Severity::Warning,
                ..fault
            });
            continue;
        }
        pen.mark = people.mark(issue);
        let name = people.name_beside_code(issue, &mut unlike);
        rows.push(row(plan, &key, issue.code.as_str(), name, &mut pen));
    }
    let page = page(request, rows, &mut pen);
    list.extend(lacks(request, &pen.missing, &unlike));
    let bytes = paper::key(&page, request.fonts).map_err(Failure::of)?;
    Ok(Printed {
        bytes,
        findings: Findings {
            list,
            sources: request.prepared.sources.clone(),
        },
    })
}

/// The answers of one paper, under the code on it.
pub(in crate::workflow) fn row(
    plan: &Plan,
    key: &Key,
    code: &str,
    name: Option<String>,
    pen: &mut Pen<'_>,
) -> Row {
    let problems = key.problems.iter().enumerate();
    let numbers = problems.clone();
    let numbers = numbers.map(|(at, key)| numbers_of(plan, at, key, pen));
    let numbers = numbers.collect();
    let answers = problems.map(|(at, key)| answers(plan, at, key, pen));
    Row {
        code: code.to_owned(),
        name,
        numbers,
        answers: answers.collect(),
    }
}

/// The key of a stack of which these are the rows.
pub(in crate::workflow) fn page(
    request: &PrintRequest<'_>,
    rows: Vec<Row>,
    pen: &mut Pen<'_>,
) -> KeyList {
    let plan = &request.prepared.plan;
    KeyList {
        code: plan.sheet.code.clone(),
        title: pen.shown(&plan.sheet.title),
        class: pen.shown(request.class),
        page: request.layout.page,
        problems: (0..plan.problems.len())
            .map(|at| columns(plan, at))
            .collect(),
        rows,
        by_eye: by_eye(plan, pen),
    }
}

/// Prints whose code is whose.
///
/// # Errors
/// What cannot be drawn, a program built without PDFs.
pub fn print_codes(request: &PrintRequest<'_>) -> Result<Printed, Failure> {
    let people = People::of(request);
    let mut pen = Pen::new(request.fonts, request.decimal);
    let mut unlike = Unlike::default();
    let rows = stack(request).into_iter().map(|issue| {
        let code = issue.code.as_str().to_owned();
        let name = people.name(issue, &mut unlike);
        (code, name, people.class(issue))
    });
    let rows = rows.collect();
    let list = CodeList {
        code: request.prepared.plan.sheet.code.clone(),
        title: pen.shown(&request.prepared.plan.sheet.title),
        page: request.layout.page,
        rows,
    };
    let bytes = paper::codes(&list, request.fonts);
    Printed::of(request, bytes, &pen.missing, &unlike)
}

/// The parts of a problem that have a key.
pub(in crate::workflow) fn keyed(
    plan: &Plan,
    problem: usize,
) -> impl Iterator<Item = (usize, &PartPlan)> {
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
pub(in crate::workflow) fn with_units(
    plan: &Plan,
    key: &Key,
    pen: &mut Pen<'_>,
) -> Vec<(String, String)> {
    let mut all = Vec::new();
    for (problem, key) in key.problems.iter().enumerate() {
        let answers = answers(plan, problem, key, pen);
        for ((part, _), answer) in keyed(plan, problem).zip(answers) {
            let unit = unit(plan, problem, part);
            let unit = unit.map_or_else(String::new, |unit| unit.printed_behind());
            all.push((plan.sheet.part_id(problem, part), answer + &unit));
        }
    }
    all
}

/// The answers of one paper to one problem, to the figures asked for.
pub(in crate::workflow) fn answers(
    plan: &Plan,
    problem: usize,
    key: &ProblemKey,
    pen: &mut Pen<'_>,
) -> Vec<String> {
    let answers = keyed(plan, problem).map(|(part, prepared)| {
        let model = &plan.sheet.problems[problem].parts[part];
        match (&model.kind, prepared) {
            (PartKind::Answer(answer), PartPlan::Answer(prepared)) => {
                let asked = Asked::in_part(model.rules.figures, prepared, key);
                let value = answer.unit.from_si(key.slots[prepared.slot]);
                numeral_of(value, asked.shown)
                    .map_or_else(String::new, |numeral| numeral.printed(pen.mark))
            }
            (PartKind::Choose(words), PartPlan::Choose(judges)) => {
                let holding = choice::holding(judges, &key.slots);
                let word = holding.and_then(|at| words.options.get(at));
                word.map_or_else(String::new, |word| pen.shown(&word.label))
            }
            _ => String::new(),
        }
    });
    answers.collect()
}

/// The numbers of one paper that are drawn, as symbol and value.
pub(in crate::workflow) fn numbers_of(
    plan: &Plan,
    problem: usize,
    key: &ProblemKey,
    pen: &mut Pen<'_>,
) -> Vec<(String, String, String)> {
    let problem = &plan.sheet.problems[problem];
    let drawn = problem.givens.iter().zip(&key.givens);
    let drawn = drawn.filter(|(given, _)| !matches!(given.draw, Draw::Fixed(_)));
    drawn
        .map(|(given, value)| {
            let Symbol { letter, below } = Symbol::of(&given.name);
            (
                pen.shown(&letter),
                pen.shown(&below),
                value.printed(pen.mark),
            )
        })
        .collect()
}

/// What is looked for by eye: in parts without a key, and in the working.
fn by_eye(plan: &Plan, pen: &mut Pen<'_>) -> Vec<(String, Vec<String>)> {
    let parts = plan.sheet.part_ids().map(|(id, problem, part)| {
        let part = &plan.sheet.problems[problem].parts[part];
        (
            id,
            part.by_eye().iter().map(|item| pen.shown(item)).collect(),
        )
    });
    parts
        .filter(|(_, items): &(String, Vec<String>)| !items.is_empty())
        .collect()
}
