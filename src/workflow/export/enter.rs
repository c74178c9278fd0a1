//! The entries of a file of answers go into the record, before marks are taken from there.
//!
//! In: a file of answers, a class with papers. Out: acts in the record, and what was found in the file. Who has no
//! row handed nothing in, unless the record knows of a paper. Refused: answers of students to whom nothing was
//! issued; then nothing is kept.

use chrono::{DateTime, Utc};
use rustc_hash::FxHashSet;

use crate::answer::sheet::Codes;
use crate::diagnostic::{self, Diagnostic, Place};
use crate::record::{Attendance, Deed, NewAct, Record};
use crate::roster::Roster;
use crate::variant::PaperCode;

use super::super::import::{self, AnswersFile, Asked, Said};
use super::super::kept::Kept;
use super::super::{Failure, MarkOutcome};
use super::{ExportRequest, HAND_OUT};

/// Puts the entries of a file of answers into the record, as keyed now. Gives how many acts that
/// took, and the findings of the file.
///
/// # Errors
/// Answers that cannot be read, or of students to whom nothing was issued; then nothing is kept.
pub fn enter(
    request: &ExportRequest<'_>,
    answers: AnswersFile<'_>,
    record: &mut Record,
) -> Result<MarkOutcome, Failure> {
    let plan = &request.prepared.plan;
    let roster = request.roster;
    let name = answers.name;
    let fault = |list| Failure::input(list, request.prepared.sources.clone());
    let kept = Kept::of(record, &plan.sheet.code, request.class)?;
    let codes: Codes = kept
        .issues
        .iter()
        .filter_map(|issue| Some((issue.code, roster.find(&issue.student)?)))
        .collect();
    let asked = Asked {
        plan,
        roster,
        decimal: request.decimal,
        codes: &codes,
    };
    let paper = |at: usize, code: Option<PaperCode>| {
        let issue = match code {
            Some(code) => kept.coded(code),
            None => kept.latest(roster.id(at)),
        }?;
        Some((issue.id, kept.standing(issue.id)))
    };
    let import = import::read(answers, &asked, paper).map_err(fault)?;
    let otherwise =
        "`issue` hands papers out; `--record :memory:` marks a one-off that is not kept";
    kept.has_issued(record, &plan.sheet, request.class, otherwise)?;
    let mut acts = without_a_row(&import.students, roster, &kept, request.now);
    let mut strange = diagnostic::Findings::new(name);
    let mut faults = diagnostic::Findings::new(name);
    for said in import.students {
        let Some(issue) = said.paper else {
            strange.push(not_issued(name, roster.id(said.student), &plan.sheet.code));
            continue;
        };
        said.faults.into_iter().for_each(|found| faults.push(found));
        let deeds = said.deeds.into_iter();
        acts.extend(deeds.map(|deed| NewAct::new(request.now, issue, deed)));
    }
    let strange = strange.into_vec();
    if !strange.is_empty() {
        return Err(fault(strange));
    }
    let faults = faults.into_vec();
    let mut outcome = MarkOutcome {
        has_findings: import.leaves_open || roster.understood().seem_answers || !faults.is_empty(),
        ..MarkOutcome::default()
    };
    outcome.findings.list = import.findings;
    outcome.findings.list.extend(faults);
    record.append(&acts)?;
    Ok(outcome)
}

/// Who has no row in the answers of a class handed nothing in, unless the record knows of a paper.
fn without_a_row<P>(
    said: &[Said<P>],
    roster: &Roster,
    kept: &Kept,
    now: DateTime<Utc>,
) -> Vec<NewAct> {
    let with: FxHashSet<usize> = said.iter().map(|said| said.student).collect();
    let absent = roster.iter().enumerate().filter_map(|(at, student)| {
        let latest = kept.latest(student.id).filter(|_| !with.contains(&at))?;
        let deed = Deed::Attend {
            attendance: Attendance::Absent,
        };
        let is_known = kept.is_known(student.id);
        (!is_known).then(|| NewAct::new(now, latest.id, deed))
    });
    absent.collect()
}

fn not_issued(file: &str, student: &str, code: &str) -> Diagnostic {
    let message = format!("the student {student} never got a paper of `{code}`");
    Diagnostic::error(file, Place::File, message)
        .help(format!("{HAND_OUT}; nothing was kept of this file"))
}
