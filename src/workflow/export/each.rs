//! Each student of a class with their marks, as the record holds them and today's file makes them.
//!
//! In: a class with papers, whoever is shown each row. Out: rows in the order of the roster, counts, and what is kept
//! once the marks are taken. Refused: a class without papers, papers that today's file cannot solve, marks that
//! would move because the file or the program has changed.

use rust_decimal::Decimal;

use crate::diagnostic::{Diagnostic, Place};
use crate::gradebook::style::Total;
use crate::marking::{Marked, Status};
use crate::record::{Account, Deed, IssueId, NewAct, Proposal, Record, Standing, proposal};
use crate::text::counted;

use super::super::kept::{Kept, filed};
use super::super::marked::class::ClassMarker;
use super::super::marked::classmates::{self, OtherPaper};
use super::super::marked::row::Row;
use super::super::{Failure, Findings, Form, MarkOutcome, difference, paper, told};
use super::{ExportRequest, HAND_OUT, named};

/// The version kept with what the program proposed.
pub(in crate::workflow) const PROGRAM: &str = env!("CARGO_PKG_VERSION");

/// What to do about papers that nothing was keyed of.
const KEY_THEM: &str = "key their papers, or note with `attend` who was absent or excused";

/// What is known of a class after each of its papers was looked at.
#[derive(Debug, Default)]
pub(in crate::workflow) struct Walked {
    /// Counts, and what was found on the way.
    pub(in crate::workflow) outcome: MarkOutcome,
    /// What is kept once the marks are taken.
    pub(in crate::workflow) accepts: Vec<NewAct>,
    /// Students who never had a paper.
    pub(in crate::workflow) without: Vec<String>,
    /// Students with a paper of which nothing was keyed.
    pub(in crate::workflow) unkeyed: Vec<String>,
}

impl Walked {
    /// Who has no mark, though nobody said absent or excused: those without a paper, then those of whom nothing
    /// was keyed.
    pub(in crate::workflow) fn unmarked(&self, record: &str) -> Vec<Diagnostic> {
        let groups = [
            (&self.without, "students without a paper", HAND_OUT),
            (
                &self.unkeyed,
                "students of whom nothing was keyed yet",
                KEY_THEM,
            ),
        ];
        let there = groups
            .into_iter()
            .filter(|(students, ..)| !students.is_empty());
        there
            .map(|(students, what, help)| {
                let message = format!("{what}, who get no mark: {}", named(students));
                Diagnostic::warning(record, Place::File, message).help(help)
            })
            .collect()
    }
}

/// Shows each student's row and what it comes to, in the order of the roster.
///
/// # Errors
/// A class without papers, papers that today's file cannot solve, marks that would move.
pub(in crate::workflow) fn each(
    request: &ExportRequest<'_>,
    record: &Record,
    show: &mut dyn FnMut(&Row<'_>, &Total),
) -> Result<Walked, Failure> {
    let plan = &request.prepared.plan;
    let sources = &request.prepared.sources;
    let fault = |list| Failure::input(list, sources.clone());
    let kept = Kept::of_issued(record, &plan.sheet, request.class)?;
    let now = filed(request.prepared);
    let mut walked = Walked::default();
    walked.outcome.findings = Findings {
        list: difference::since_issued(record, &kept.issues, &now, sources)?,
        sources: sources.clone(),
    };
    walked
        .outcome
        .findings
        .list
        .extend(gone(request, &kept, record.name()));
    let mut marker = ClassMarker::new(request.prepared, request.decimal);
    let mut words = String::new();
    let mut moved = Vec::new();
    for (at, student) in request.roster.iter().enumerate() {
        let mut counted = marker
            .counting(&kept, student.id, student.decimal)
            .map_err(|finding| fault(vec![finding]))?;
        if let Some(counted) = &mut counted
            && !kept.is_known(student.id)
        {
            counted.account.status = Status::NotKeyed;
            walked.unkeyed.push(student.id.to_owned());
        }
        let nobody;
        let (issue, marked, account, standing) = match &counted {
            Some(it) => (Some(it.issue), &it.marked, &it.account, it.standing),
            None => {
                walked.without.push(student.id.to_owned());
                nobody = no_paper(plan.sheet.points());
                (None, &nobody.0, &nobody.1, &Standing::NOTHING)
            }
        };
        let tally = &mut walked.outcome.tally;
        let by_part = marked.parts.iter().zip(&account.by_part);
        let points = by_part.map(|(mark, added)| mark.points + added);
        tally.add(at, marked, points, (account.status, account.total));
        let told = told::told(plan, marked, account, standing);
        words.clear();
        told::words(plan, marker.key(), &told, standing, &mut words);
        let causes = match &counted {
            Some(counted) if request.form == Form::JsonLines => {
                marker.causes(request.prepared.mistakes(), counted)
            }
            _ => Vec::new(),
        };
        let fits = counted.iter().flat_map(|counted| &counted.fits);
        let others: Vec<OtherPaper> = fits
            .map(|(other, fit)| OtherPaper {
                student: at,
                other: request.roster.find(other),
                fit: fit.clone(),
            })
            .collect();
        let fits = classmates::lines(plan, request.roster, &others);
        let row = Row {
            plan,
            student,
            key: marker.key(),
            marked,
            told: &told,
            account,
            standing,
            feedback: &words,
            causes: &causes,
            fits: request.for_teacher.then_some(&fits[..]),
            partial: request.partial,
        };
        let due = issue.and_then(|issue| kept.due(issue));
        let total = Total {
            status: account.status,
            is_late: paper::days_late(due, standing.handed_in) > 0,
            total: account.total,
            out_of: marked.out_of,
        };
        show(&row, &total);
        walked.outcome.others.extend(others);
        if let Some(issue) = issue
            && !marked.parts.is_empty()
        {
            let today = proposal(plan, marked, &now.digest, PROGRAM);
            match changed(standing, &today, &kept, issue.id) {
                Change::None => {}
                Change::Own => {
                    let deed = Deed::Accept { proposal: today };
                    walked
                        .accepts
                        .push(NewAct::new(request.now, issue.id, deed));
                }
                Change::Moved => moved.push(student.id.to_owned()),
            }
        }
    }
    if !moved.is_empty() {
        return Err(fault(vec![would_move(record.name(), &moved)]));
    }
    Ok(walked)
}

/// Students who have a paper and are not on the roster any more.
fn gone(request: &ExportRequest<'_>, kept: &Kept, record: &str) -> Option<Diagnostic> {
    let papers = kept.issues.iter().filter(|issue| issue.number == 1);
    let ids = papers.map(|issue| issue.student.as_str());
    let ids: Vec<&str> = ids.filter(|id| request.roster.find(id).is_none()).collect();
    let message = format!("not on the roster any more, so left out: {}", named(&ids));
    (!ids.is_empty()).then(|| Diagnostic::note(record, Place::File, message))
}

/// How a proposal stands to the one that was accepted.
enum Change {
    /// The same marks.
    None,
    /// None was accepted, or the teacher keyed something since.
    Own,
    /// The file or the program makes other marks of the same entries.
    Moved,
}

fn changed(standing: &Standing, today: &Proposal, kept: &Kept, issue: IssueId) -> Change {
    let Some(accepted) = &standing.accepted else {
        return Change::Own;
    };
    let before = &accepted.proposal;
    if same_marks(before, today) {
        return Change::None;
    }
    let keyed = kept.is_keyed_since(issue, accepted.act);
    let same_rules = before.scheme == today.scheme && before.program == today.program;
    if keyed || same_rules {
        Change::Own
    } else {
        Change::Moved
    }
}

/// Whether two proposals give the same points for the same reasons.
pub(in crate::workflow) fn same_marks(one: &Proposal, other: &Proposal) -> bool {
    one.parts == other.parts && one.paper_cost == other.paper_cost && one.late == other.late
}

fn would_move(record: &str, students: &[String]) -> Diagnostic {
    let message = format!(
        "marks of {} would move, since the file or the program has changed: {}",
        counted(students.len(), "paper"),
        named(students)
    );
    Diagnostic::error(record, Place::File, message)
        .help("`remark` shows them all, `remark --apply` takes them; then export again")
}

/// Where a student has no paper at all.
fn no_paper(out_of: Decimal) -> (Marked, Account) {
    let account = Account {
        status: Status::NoPaper,
        by_part: Vec::new(),
        adjusted: Decimal::ZERO,
        total: Decimal::ZERO,
    };
    (Marked::nothing(Status::NoPaper, out_of), account)
}
