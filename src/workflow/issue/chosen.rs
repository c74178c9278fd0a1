//! Who gets another paper.
//!
//! In: students by id or by the code of a paper, or all who were absent. Out: their places on the roster. Refused:
//! who never had a paper; all who were absent where nobody is noted so. Of whom nothing is known is told.

use crate::diagnostic::{Diagnostic, Place, nearest};
use crate::record::{Attendance, Standing};
use crate::roster::Roster;
use crate::text::excerpt;
use crate::variant::PaperCode;

use super::super::Failure;
use super::super::export::named;
use super::super::kept::Kept;
use super::{Again, IssueRequest};

/// Places on the roster of those who get another paper, in its order.
pub(super) fn chosen(
    request: &IssueRequest<'_>,
    again: &Again,
    kept: &Kept,
    record: &str,
) -> Result<Vec<usize>, Failure> {
    let roster = request.roster;
    let mut faults = Vec::new();
    let mut chosen = Vec::new();
    match again {
        Again::Students(students) => {
            for typed in students {
                let id = id_of(typed, kept);
                match roster.find(id).filter(|_| kept.latest(id).is_some()) {
                    Some(at) => chosen.push(at),
                    None => faults.push(no_paper(typed, roster, kept)),
                }
            }
        }
        Again::Absent => {
            let absent = |id: &str| {
                let latest = kept.latest(id);
                latest.is_some_and(|issue| was_absent(kept.standing(issue.id)))
            };
            chosen.extend((0..roster.len()).filter(|at| absent(roster.id(*at))));
            if chosen.is_empty() {
                let message = "nobody is noted as absent";
                let help = "note them with `attend --absent`, or name them with --student";
                faults.push(Diagnostic::error(record, Place::File, message).help(help));
                faults.extend(unkeyed(roster, kept, record));
            }
        }
    }
    if !faults.is_empty() {
        return Err(Failure::input(faults, Vec::new()));
    }
    chosen.sort_unstable();
    chosen.dedup();
    Ok(chosen)
}

/// Of whom nothing was keyed and nothing noted: they may have been absent, or their papers still lie in the
/// stack. Only the teacher knows.
pub(super) fn unkeyed(roster: &Roster, kept: &Kept, record: &str) -> Option<Diagnostic> {
    let is_unkeyed = |id: &str| {
        let latest = kept.latest(id).map(|issue| kept.standing(issue.id));
        latest.is_some_and(|standing| standing.attendance.is_none() && !standing.has_paper())
    };
    let ids = roster.iter().map(|student| student.id);
    let ids: Vec<String> = ids.filter(|id| is_unkeyed(id)).map(str::to_owned).collect();
    if ids.is_empty() {
        return None;
    }
    let message = format!(
        "nothing was keyed yet, and nobody noted as absent, of {}",
        named(&ids)
    );
    let note = Diagnostic::warning(record, Place::File, message);
    Some(note.help("they get no other paper until `attend --absent` says that they were not there"))
}

/// Whether it is noted that no paper was handed in.
pub(in crate::workflow) fn was_absent(standing: &Standing) -> bool {
    standing.attendance == Some(Attendance::Absent)
}

/// The id that was typed, or that of the student whose paper carries the code that was typed.
pub(in crate::workflow) fn id_of<'a>(typed: &'a str, kept: &'a Kept) -> &'a str {
    if kept.latest(typed).is_some() {
        return typed;
    }
    let code = PaperCode::parse(typed).ok();
    let found = code.and_then(|code| kept.coded(code));
    found.map_or(typed, |issue| &issue.student)
}

fn no_paper(typed: &str, roster: &Roster, kept: &Kept) -> Diagnostic {
    let known = roster.find(typed).is_some();
    let found = excerpt(typed, 20);
    let message = if known {
        format!("the student '{found}' has no paper yet")
    } else {
        format!("no student on the roster has the id '{found}', and no paper this code")
    };
    let help = match nearest(
        typed,
        kept.issues.iter().map(|issue| issue.student.as_str()),
    ) {
        Some(near) if !known => format!("did you mean '{near}'?"),
        _ if known => "`issue` hands out the first paper".to_owned(),
        _ => "correct the id, or add the student to the roster and hand papers out with `issue`"
            .to_owned(),
    };
    Diagnostic::error("--student", Place::File, message).help(help)
}
