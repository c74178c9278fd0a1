//! A term for programs.
//!
//! In: a term. Out: one JSON object: each sheet with its classes, as they are reported alone, and the
//! students where they are in it.

use serde::Serialize;

use super::super::lines::{Whole, whole};
use super::{Course, Term};
use crate::statistics::Left;

#[derive(Serialize)]
struct Lines<'a> {
    assignments: Vec<Sheet<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    students: Vec<Student<'a>>,
}

#[derive(Serialize)]
struct Sheet<'a> {
    assignment: &'a str,
    classes: Vec<Whole<'a>>,
    together: Option<Whole<'a>>,
}

#[derive(Serialize)]
struct Student<'a> {
    class: &'a str,
    student: &'a str,
    name: &'a str,
    assignments: Vec<Mark<'a>>,
}

#[derive(Serialize)]
struct Mark<'a> {
    assignment: &'a str,
    status: &'static str,
    total: Option<String>,
    out_of: String,
}

/// What a student's paper is called where it has no total, and where it has.
pub fn status(total: Option<Left>) -> &'static str {
    match total {
        None => "marked",
        Some(Left::PartlyMarked) => "partly marked",
        Some(Left::NeedsALook) => "needs a look",
        Some(Left::NotKeyed) => "not come in",
        Some(Left::WithoutPaper) => "no paper",
        Some(Left::Absent) => "absent",
        Some(Left::Excused) => "excused",
    }
}

/// One JSON object in a line.
pub fn json(term: &Term) -> Vec<u8> {
    let sheets = term.sheets.iter().map(|sheet| Sheet {
        assignment: sheet.code(),
        classes: sheet.classes.iter().map(whole).collect(),
        together: sheet.together.as_ref().map(whole),
    });
    let lines = Lines {
        assignments: sheets.collect(),
        students: term.students.iter().map(|it| student(term, it)).collect(),
    };
    let mut out = Vec::new();
    crate::text::push_json(&lines, &mut out);
    out
}

fn student<'a>(term: &'a Term, course: &'a Course) -> Student<'a> {
    let stands = term.sheets.iter().zip(&course.sheets);
    let marks = stands.filter_map(|(sheet, stand)| {
        let stand = stand.as_ref()?;
        Some(Mark {
            assignment: sheet.code(),
            status: status(stand.total.err()),
            total: stand.total.ok().map(|total| total.normalize().to_string()),
            out_of: stand.out_of.normalize().to_string(),
        })
    });
    Student {
        class: &course.class,
        student: &course.student,
        name: &course.name,
        assignments: marks.collect(),
    }
}
