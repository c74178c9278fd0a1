//! Marks as JSON Lines, one object a student.
//!
//! In: a marked paper with what stood on it. Out: the line
//! `{"assignment","student","name","section","status","total","out_of","paper_cost","late",
//! "adjusted","parts":[{"id","entry","verdict","points","out_of","unit","figures","road",
//! "reasons":[…],"feedback"}],"feedback","explanations":[{"strength","kind","equation","says",
//! "hint","explains":[…],"tried","chance"}]}`, with `"misread":{"given","value"}` in an explanation where
//! that is the mistake, and `"fits_other":[{"student","parts":[…],"whole","by_luck"}]` where it is asked
//! for. Points are decimal strings; what is not there (a unit judged, a road, points of a part that was not
//! judged, the total of an unfinished paper) is null. Explanations are for the teacher. Characters that
//! would be hidden or work on a terminal are written as escapes, the same value for every reader.

use rust_decimal::Decimal;
use serde::{Serialize, Serializer};

use crate::explain;
use crate::feedback;
use crate::marking::{Explanation, Key, Marked, Reason, Status};
use crate::plan::Plan;
use crate::roster::Student;
use crate::text;

/// One student's paper, as it was decided.
#[derive(Clone, Copy, Debug)]
pub struct LinePaper<'a> {
    /// What was handed out.
    pub plan: &'a Plan,
    /// The student's key.
    pub key: &'a Key,
    /// Whose paper.
    pub student: Student<'a>,
    /// The marks as proposed.
    pub marked: &'a Marked,
    /// The paper as the student is told of it.
    pub told: &'a Marked,
    /// How far the paper is in the end.
    pub status: Status,
    /// Points of each part; `None` where it is still to be judged or keyed.
    pub points: &'a [Option<Decimal>],
    /// What the teacher added or took away; `None` where no paper was handed in.
    pub adjusted: Option<Decimal>,
    /// Parts + paper cost + late + adjusted; `None` where it is not known or not wanted yet.
    pub total: Option<Decimal>,
    /// For the student.
    pub feedback: &'a str,
    /// That is the teacher's own word: nothing is said of single parts then.
    pub is_own: bool,
    /// What may have been done, for the teacher.
    pub causes: &'a [Explanation],
    /// Other papers that wrong answers fit, by their students, for the teacher alone; nothing where that was
    /// not asked for.
    pub fits: Option<&'a [FitsOther<'a>]>,
}

/// Another student whose numbers wrong answers are.
#[derive(Clone, Debug, Serialize)]
pub struct FitsOther<'a> {
    /// The student's id.
    pub student: &'a str,
    /// Ids of the parts.
    pub parts: Vec<&'a str>,
    /// Whether every number on the paper is.
    pub whole: bool,
    /// How many papers of the class would fit so well by luck, on average.
    #[serde(serialize_with = "chance")]
    pub by_luck: f64,
}

#[derive(Serialize)]
struct Line<'a> {
    assignment: &'a str,
    student: &'a str,
    name: &'a str,
    section: Option<&'a str>,
    status: &'a str,
    total: Option<String>,
    out_of: String,
    paper_cost: Option<String>,
    late: Option<String>,
    adjusted: Option<String>,
    parts: Vec<Part<'a>>,
    feedback: &'a str,
    explanations: Vec<Cause<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    fits_other: Option<&'a [FitsOther<'a>]>,
}

#[derive(Serialize)]
struct Cause<'a> {
    strength: &'a str,
    kind: &'a str,
    equation: Option<&'a str>,
    says: &'a str,
    hint: &'a str,
    explains: Vec<&'a str>,
    tried: usize,
    /// Left out where all were.
    #[serde(skip_serializing_if = "Option::is_none")]
    untried: Option<usize>,
    #[serde(serialize_with = "chance")]
    chance: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    misread: Option<Misread<'a>>,
}

/// To a millionth: more digits would promise what a model cannot keep.
fn chance<S: Serializer>(chance: &f64, out: S) -> Result<S::Ok, S::Error> {
    out.serialize_f64((chance * 1e6).round() / 1e6)
}

#[derive(Serialize)]
struct Misread<'a> {
    given: &'a str,
    value: &'a str,
}

impl<'a> Cause<'a> {
    fn of(plan: &'a Plan, found: &'a Explanation) -> Self {
        let ids = found.explains.iter().filter_map(|at| plan.parts.get(*at));
        Self {
            strength: found.strength.name(),
            kind: found.kind.name(),
            equation: found.equation.as_deref(),
            says: &found.says,
            hint: found.hint,
            explains: ids.map(|part| part.id.as_str()).collect(),
            tried: found.tried,
            untried: Some(found.untried).filter(|count| *count > 0),
            chance: found.chance,
            misread: found
                .misread
                .as_ref()
                .map(|(given, value)| Misread { given, value }),
        }
    }
}

#[derive(Serialize)]
struct Part<'a> {
    id: &'a str,
    entry: &'a str,
    verdict: &'a str,
    points: Option<String>,
    out_of: String,
    unit: Option<&'a str>,
    figures: Option<&'a str>,
    road: Option<Vec<&'a str>>,
    reasons: Vec<String>,
    feedback: String,
}

/// Appends the line of one student. `entry` gives what stood in the place for a part.
pub fn push<'a>(paper: &LinePaper<'a>, entry: &dyn Fn(usize) -> &'a str, out: &mut Vec<u8>) {
    let &LinePaper {
        plan,
        key,
        student,
        marked,
        told,
        status,
        points,
        ..
    } = paper;
    let is_there = !marked.parts.is_empty();
    let shown = |points: Decimal| points.normalize().to_string();
    let some = |points| is_there.then(|| shown(points));
    let parts = marked.parts.iter().enumerate().map(|(at, mark)| {
        let place = &plan.parts[at];
        let reasons = mark
            .reasons
            .iter()
            .map(|reason| explain::reason(plan, at, reason));
        let mut words = String::new();
        if !paper.is_own {
            feedback::part(plan, key, told, at, &mut words);
        }
        Part {
            id: &place.id,
            entry: entry(at),
            verdict: mark.verdict.name(),
            points: points.get(at).copied().flatten().map(shown),
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
        assignment: &plan.sheet.code,
        student: student.id,
        name: student.name,
        section: student.section,
        status: status.name(),
        total: paper.total.map(shown),
        out_of: marked.out_of.normalize().to_string(),
        paper_cost: some(marked.paper_cost),
        late: some(marked.late),
        adjusted: paper.adjusted.map(shown),
        parts: parts.collect(),
        feedback: paper.feedback,
        explanations: paper
            .causes
            .iter()
            .map(|found| Cause::of(plan, found))
            .collect(),
        fits_other: paper.fits,
    };
    text::push_json(&line, out);
}

/// Whether a file that begins with this line holds papers of the assignment with this code: the only
/// one that new lines of its may replace.
pub fn is_line_of(code: &str, line: &[u8]) -> bool {
    #[derive(Serialize)]
    struct Start<'a> {
        assignment: &'a str,
    }
    let mut start = Vec::new();
    text::push_json(&Start { assignment: code }, &mut start);
    // without the brace and the line break at its end
    let start = start.get(..start.len().saturating_sub(2));
    let rest = start.and_then(|start| line.strip_prefix(start));
    rest.is_some_and(|rest| rest.starts_with(b",\"student\":"))
}

/// The names of the equations of the road that a reason names.
fn road<'a>(plan: &'a Plan, at: usize, reason: &Reason) -> Option<Vec<&'a str>> {
    let Reason::FollowedFrom { road, .. } = reason else {
        return None;
    };
    let place = &plan.parts[at];
    let answer = plan.problems[place.problem].answer(place.part)?;
    let road = answer.road(usize::from(*road))?;
    let equations = &plan.sheet.problems[place.problem].equations;
    Some(
        road.equations
            .iter()
            .filter_map(|&e| Some(equations.get(e)?.name.as_str()))
            .collect(),
    )
}

#[cfg(test)]
mod tests {
    use super::is_line_of;

    #[test]
    fn only_lines_of_the_same_assignment_are_ours() {
        let ours = br#"{"assignment":"ropes-1","student":"007","name":"Ada"}"#;
        assert!(is_line_of("ropes-1", ours));
        for code in ["ropes-2", "ropes-", "ropes-11", ""] {
            assert!(!is_line_of(code, ours), "{code}");
        }
        for line in [
            "",
            "{",
            r#"{"student":"007"}"#,
            r#"{"assignment":"ropes-1"}"#,
        ] {
            assert!(!is_line_of("ropes-1", line.as_bytes()), "{line}");
        }
    }
}
