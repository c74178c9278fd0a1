//! Issued values and the quantities that marking works with.
//!
//! In: an issued paper and today's plan. Out: the student's key. Refused: a paper whose givens are no
//! longer those of the file, with the difference.

use crate::assignment::{Assignment, Sheet};
use crate::diagnostic::{Diagnostic, Place};
use crate::marking::Key;
use crate::plan::{Plan, key_diagnostic};
use crate::quantity::Quantity;
use crate::record::{Drawn, Issue};
use crate::text::counted;

/// The values of every problem as they are kept.
pub(super) fn to_record(sheet: &Sheet, values: Vec<Vec<Quantity>>) -> Vec<Vec<Drawn>> {
    let problems = sheet.problems.iter().zip(values);
    let problems = problems.map(|(problem, values)| {
        let named = problem.givens.iter().zip(values);
        let drawn = named.map(|(given, value)| Drawn {
            name: given.name.clone(),
            value: value.to_string(),
        });
        drawn.collect()
    });
    problems.collect()
}

/// Kept values in the order of today's givens; the names that do not fit otherwise.
fn from_record(problem: &Assignment, drawn: &[Drawn]) -> Result<Vec<Quantity>, Vec<String>> {
    let mut faults = Vec::new();
    let mut values = Vec::with_capacity(problem.givens.len());
    for given in &problem.givens {
        match drawn.iter().find(|drawn| drawn.name == given.name) {
            None => faults.push(format!("`{}` was not drawn then", given.name)),
            Some(drawn) => match Quantity::parse(&drawn.value) {
                Ok(value) if value.unit.dimension() == given.unit.dimension() => values.push(value),
                _ => faults.push(format!(
                    "`{}` was {} then and is in {} now",
                    given.name, drawn.value, given.unit
                )),
            },
        }
    }
    for drawn in drawn {
        if !problem.givens.iter().any(|given| given.name == drawn.name) {
            faults.push(format!("`{}` is no longer there", drawn.name));
        }
    }
    if faults.is_empty() {
        Ok(values)
    } else {
        Err(faults)
    }
}

/// The values of every problem of an issued paper.
///
/// # Errors
/// Givens that are no longer those of the file.
pub(super) fn values(plan: &Plan, issue: &Issue) -> Result<Vec<Vec<Quantity>>, Diagnostic> {
    let sheet = &plan.sheet;
    let mut faults = Vec::new();
    let mut values = Vec::with_capacity(sheet.problems.len());
    for (at, problem) in sheet.problems.iter().enumerate() {
        let drawn = issue.values.get(at).map_or(&[][..], Vec::as_slice);
        match from_record(problem, drawn) {
            Ok(drawn) => values.push(drawn),
            Err(found) => faults.extend(found),
        }
    }
    if issue.values.len() != sheet.problems.len() {
        let (then, now) = (issue.values.len(), sheet.problems.len());
        let were = if then == 1 { "was" } else { "were" };
        let are = if now == 1 { "is" } else { "are" };
        let then = counted(then, "problem");
        faults.push(format!("there {were} {then} then and {are} {now} now"));
    }
    if faults.is_empty() {
        return Ok(values);
    }
    let file = sheet
        .problems
        .first()
        .map_or("", |problem| problem.source.name.as_str());
    let message = format!(
        "the givens have changed since the paper {} was issued: {}",
        issue.code,
        faults.join("; ")
    );
    let help = "issued papers keep their numbers: put the givens back, and use another code for \
                what is new";
    Err(Diagnostic::error(file, Place::File, message).help(help))
}

/// Solves the key of an issued paper, reusing what `key` holds.
///
/// # Errors
/// Givens that are no longer those of the file, a draw that has no single key any more.
pub fn key_of(plan: &Plan, issue: &Issue, key: &mut Key) -> Result<(), Diagnostic> {
    solve(plan, &values(plan, issue)?, key)
}

/// Solves the key to the values of every problem, reusing what `key` holds.
///
/// # Errors
/// A draw that has no single key, with its values.
pub(super) fn solve(
    plan: &Plan,
    values: &[Vec<Quantity>],
    key: &mut Key,
) -> Result<(), Diagnostic> {
    let draws = values.iter().map(Vec::as_slice);
    key.fill(plan, draws).map_err(|(problem, error)| {
        let draw: Vec<f64> = values[problem].iter().map(Quantity::si).collect();
        key_diagnostic(&plan.sheet.problems[problem], &draw, &error)
    })
}
