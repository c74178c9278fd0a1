//! Reports on a term: several sheets, each with the classes that have its papers.
//!
//! In: sheets, prepared, each with its classes and their rosters; the record. Out: a [`Term`]; with each
//! student's course only where that is asked for. Nothing is written. Refused: what a report on one class
//! refuses.

use crate::record::Record;
use crate::statistics::term::{Course, SheetReports, Stand, Term};

use super::report::Pile;
use super::{Failure, ReportRequest};

/// Reports on sheets, each given by its classes.
///
/// # Errors
/// See the module.
pub fn term(
    sheets: &[Vec<ReportRequest<'_>>],
    with_students: bool,
    record: &Record,
) -> Result<Term, Failure> {
    let mut term = Term::default();
    let places = match with_students {
        true => places(sheets, &mut term.students),
        false => Vec::new(),
    };
    for (at, classes) in sheets.iter().enumerate() {
        let mut together = Pile::default();
        let mut reports = Vec::new();
        for request in classes {
            let plan = &request.prepared.plan;
            let out_of = plan.sheet.points();
            let first = places.iter().find(|(class, _)| *class == request.class);
            let mut pile = Pile::default();
            pile.add(request, record, |student, total| {
                if let Some((_, first)) = first {
                    term.students[first + student].sheets[at] = Some(Stand { total, out_of });
                }
            })?;
            if classes.len() > 1 {
                together.join(&pile);
            }
            reports.push(pile.report(plan, request.class));
        }
        let several = classes.first().filter(|_| classes.len() > 1);
        let together = several.map(|request| together.report(&request.prepared.plan, ""));
        term.sheets.push(SheetReports {
            classes: reports,
            together,
        });
    }
    Ok(term)
}

/// Adds the students of all classes, and gives the place of the first one of each class.
fn places<'a>(
    sheets: &[Vec<ReportRequest<'a>>],
    students: &mut Vec<Course>,
) -> Vec<(&'a str, usize)> {
    let mut places: Vec<(&str, usize)> = Vec::new();
    for request in sheets.iter().flatten() {
        if places.iter().any(|(class, _)| *class == request.class) {
            continue;
        }
        places.push((request.class, students.len()));
        students.extend(request.roster.iter().map(|student| Course {
            class: request.class.to_owned(),
            student: student.id.to_owned(),
            name: student.name.to_owned(),
            sheets: vec![None; sheets.len()],
        }));
    }
    places
}
