//! Marks as JSON Lines, one object a student.
//!
//! In: a marked paper with what stood on it. Out: the line
//! `{"student","name","section","status","total","out_of","paper_cost","late","parts":[{"id",
//! "entry","verdict","points","out_of","unit","figures","road","reasons":[…],"feedback"}],
//! "feedback"}`. Points are decimal strings; what a part has not (a unit judged, a road) is null.

use serde::Serialize;

use crate::explain;
use crate::feedback;
use crate::marking::{Key, Marked, Reason};
use crate::plan::Plan;
use crate::roster::Student;

#[derive(Serialize)]
struct Line<'a> {
    student: &'a str,
    name: &'a str,
    section: Option<&'a str>,
    status: &'a str,
    total: Option<String>,
    out_of: String,
    paper_cost: Option<String>,
    late: Option<String>,
    parts: Vec<Part<'a>>,
    feedback: &'a str,
}

#[derive(Serialize)]
struct Part<'a> {
    id: &'a str,
    entry: &'a str,
    verdict: &'a str,
    points: String,
    out_of: String,
    unit: Option<&'a str>,
    figures: Option<&'a str>,
    road: Option<Vec<&'a str>>,
    reasons: Vec<String>,
    feedback: String,
}

/// Appends the line of one student. `entry` gives what stood in the place for a part.
pub fn push<'a>(
    plan: &'a Plan,
    key: &Key,
    student: &Student<'a>,
    marked: &Marked,
    entry: &dyn Fn(usize) -> &'a str,
    feedback: &'a str,
    out: &mut Vec<u8>,
) {
    let is_there = !marked.parts.is_empty();
    let some = |points: rust_decimal::Decimal| is_there.then(|| points.normalize().to_string());
    let parts = marked.parts.iter().enumerate().map(|(at, mark)| {
        let place = &plan.parts[at];
        let reasons = mark
            .reasons
            .iter()
            .map(|reason| explain::reason(plan, at, reason));
        let mut words = String::new();
        feedback::part(plan, key, marked, at, &mut words);
        Part {
            id: &place.id,
            entry: entry(at),
            verdict: mark.verdict.name(),
            points: mark.points.normalize().to_string(),
            out_of: mark.out_of.normalize().to_string(),
            unit: mark.unit.map(|unit| unit.name()),
            figures: mark.figures.map(|figures| figures.name()),
            road: mark
                .reasons
                .iter()
                .find_map(|reason| road(plan, at, reason)),
            reasons: reasons.collect(),
            feedback: words,
        }
    });
    let line = Line {
        student: student.id,
        name: student.name,
        section: student.section,
        status: marked.status.name(),
        total: some(marked.total),
        out_of: marked.out_of.normalize().to_string(),
        paper_cost: some(marked.paper_cost),
        late: some(marked.late),
        parts: parts.collect(),
        feedback,
    };
    // Serializing strings into memory cannot fail; were it to, the line would be missing, not half there.
    let start = out.len();
    if serde_json::to_writer(&mut *out, &line).is_err() {
        out.truncate(start);
    }
    out.push(b'\n');
}

/// The names of the equations of the road that a reason names.
fn road<'a>(plan: &'a Plan, at: usize, reason: &Reason) -> Option<Vec<&'a str>> {
    let Reason::FollowedFrom { road, .. } = reason else {
        return None;
    };
    let place = &plan.parts[at];
    let answer = plan.problems[place.problem].answer(place.part)?;
    let road = answer
        .roads
        .iter()
        .chain(&answer.back)
        .nth(usize::from(*road))?;
    let equations = &plan.sheet.problems[place.problem].equations;
    Some(
        road.equations
            .iter()
            .filter_map(|&e| Some(equations.get(e)?.name.as_str()))
            .collect(),
    )
}
