//! The marks of a class as the record holds it, and entries that go into the record first.
//!
//! In: a prepared sheet, a roster, a record; for marking a file of answers too. Out: the file of
//! marks as bytes, a tally, and in the record what was proposed when the marks were taken. Refused:
//! answers of students to whom nothing was issued, and marks that would move because the file or the
//! program has changed: `remark` shows those first.

use std::borrow::Borrow;
use std::path::Path;

use chrono::{DateTime, Utc};
use rust_decimal::Decimal;
use rustc_hash::FxHashSet;

use crate::answer::sheet::Codes;
use crate::diagnostic::{self, Diagnostic, Place};
use crate::files::Draft;
use crate::gradebook::pseudonyms::Pseudonyms;
use crate::gradebook::style::Total;
use crate::marking::{Marked, Status};
use crate::record::{
    Account, Attendance, Deed, IssueId, NewAct, Proposal, Record, Standing, proposal,
};
use crate::roster::Roster;
use crate::statistics::SMALL;
use crate::text::{DecimalMark, counted, excerpt, width};
use crate::variant::PaperCode;

use super::import::{self, AnswersFile, Asked, Said};
use super::kept::{Kept, filed};
use super::marked::class::ClassMarker;
use super::marked::classmates::{self, OtherPaper};
use super::marked::misfit::{self, Numbers};
use super::marked::row::Row;
use super::paper;
use super::{Failure, Findings, Form, MarkOutcome, Prepared, difference, told};

/// The version kept with what the program proposed.
pub(super) const PROGRAM: &str = env!("CARGO_PKG_VERSION");

/// Columns that ids take in a message.
const NAMED: usize = 60;

/// What to write out.
#[derive(Clone, Copy, Debug)]
pub struct ExportRequest<'a> {
    /// The sheet, prepared.
    pub prepared: &'a Prepared,
    /// The class.
    pub roster: &'a Roster,
    /// Its name.
    pub class: &'a str,
    /// The decimal mark of students for whom the roster does not say it.
    pub decimal: DecimalMark,
    /// The form of the output.
    pub form: Form,
    /// Whether there are totals of papers that are partly marked or need a look.
    pub partial: bool,
    /// Whether lines of JSON say which papers fit another student's numbers.
    pub for_teacher: bool,
    /// Codes that stand for the students, in another order; only of a file of marks.
    pub pseudonyms: Option<&'a Pseudonyms>,
    /// Now.
    pub now: DateTime<Utc>,
}

/// Marks of a class, not written yet.
#[derive(Debug, Default)]
pub struct Export {
    /// The whole output.
    pub bytes: Vec<u8>,
    /// Counts and findings.
    pub outcome: MarkOutcome,
    accepts: Vec<NewAct>,
}

impl Export {
    /// Puts the marks into a file that appears complete or not at all. What stands at `path` is
    /// replaced only if it holds marks of the same parts.
    ///
    /// # Errors
    /// Another file that stands there, a place where none can be written.
    pub fn put(&self, request: &ExportRequest<'_>, path: &Path) -> Result<(), Failure> {
        let draft = Draft::create(path, request.form.is_ours(&request.prepared.plan))?;
        Ok(draft.put(&self.bytes)?)
    }

    /// Keeps in the record what was proposed, as the marks are taken.
    ///
    /// # Errors
    /// A busy or failing record.
    pub fn accept(&self, record: &mut Record) -> Result<(), Failure> {
        record.append(&self.accepts)?;
        Ok(())
    }
}

/// Looks whether marks may be put there, before the answers go into the record: whoever has no row in them counts
/// as absent from then on.
///
/// # Errors
/// Another file that stands there, a place where none can be written.
pub fn may_export(request: &ExportRequest<'_>, path: &Path) -> Result<(), Failure> {
    Draft::create(path, request.form.is_ours(&request.prepared.plan))?;
    Ok(())
}

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
    kept.has_issued(record.name(), &plan.sheet, request.class)?;
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

/// Marks the class as it stands in the record.
///
/// # Errors
/// A class without papers, papers that today's file cannot solve, marks that would move.
pub fn export(request: &ExportRequest<'_>, record: &Record) -> Result<Export, Failure> {
    let plan = &request.prepared.plan;
    let mut bytes = Vec::new();
    request.form.push_heading(plan, &mut bytes);
    let walked = match request.pseudonyms {
        None => each(request, record, &mut |row, _| {
            row.push(request.form, &mut bytes)
        })?,
        // Under codes rows stand in another order than the roster's.
        Some(drawn) => {
            let mut rows: Vec<Vec<u8>> = Vec::with_capacity(request.roster.len());
            let walked = each(request, record, &mut |row, _| {
                let mut bytes = Vec::new();
                match drawn.codes.get(rows.len()) {
                    Some(code) => row.under(code).push(request.form, &mut bytes),
                    None => row.push(request.form, &mut bytes),
                }
                rows.push(bytes);
            })?;
            let ordered = drawn.order.iter().filter_map(|at| rows.get(*at));
            ordered.for_each(|row| bytes.extend(row));
            walked
        }
    };
    let unmarked = walked.unmarked("marked as absent", record.name());
    let mut export = Export {
        bytes,
        accepts: walked.accepts,
        outcome: walked.outcome,
    };
    let outcome = &mut export.outcome;
    outcome.has_findings |= !unmarked.is_empty();
    outcome.findings.list.extend(unmarked);
    if request.pseudonyms.is_some() && request.roster.len() < SMALL {
        let message = format!(
            "in a class of {} marks alone may tell whose they are",
            request.roster.len()
        );
        let warning = Diagnostic::warning(request.class, Place::File, message);
        outcome
            .findings
            .list
            .push(warning.help("think twice before giving them to anybody"));
    }
    let misfit = misfit::warning(plan, &outcome.tally, Numbers::Issued, record.name());
    outcome.has_findings |= misfit.is_some();
    outcome.findings.list.extend(misfit);
    Ok(export)
}

/// What to do about students without a paper, and about papers that nothing was keyed of.
pub(super) const HAND_OUT: &str = "`issue` hands papers to those who have none";
const KEY_THEM: &str = "key their papers, or note with `attend` who was absent or excused";

/// What is known of a class after each of its papers was looked at.
#[derive(Debug, Default)]
pub(super) struct Walked {
    /// Counts, and what was found on the way.
    pub(super) outcome: MarkOutcome,
    /// What is kept once the marks are taken.
    pub(super) accepts: Vec<NewAct>,
    /// Students who never had a paper.
    pub(super) without: Vec<String>,
    /// Students with a paper of which nothing was keyed.
    pub(super) unkeyed: Vec<String>,
}

impl Walked {
    /// Who has no mark, and what becomes of them, as `so` says it: those without a paper, then those of
    /// whom nothing was keyed.
    pub(super) fn unmarked(&self, so: &str, record: &str) -> Vec<Diagnostic> {
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
                let message = format!("{what}, {so}: {}", named(students));
                Diagnostic::warning(record, Place::File, message).help(help)
            })
            .collect()
    }
}

/// Shows each student's row and what it comes to, in the order of the roster.
///
/// # Errors
/// A class without papers, papers that today's file cannot solve, marks that would move.
pub(super) fn each(
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
    let mut marker = ClassMarker::new(request.prepared, request.decimal);
    let mut words = String::new();
    let mut moved = Vec::new();
    for (at, student) in request.roster.iter().enumerate() {
        let counted = marker
            .counting(&kept, student.id, student.decimal)
            .map_err(|finding| fault(vec![finding]))?;
        let nobody;
        let (issue, marked, account, standing) = match &counted {
            Some(it) => (Some(it.issue), &it.marked, &it.account, it.standing),
            None => {
                walked.without.push(student.id.to_owned());
                nobody = absent(plan.sheet.points());
                (None, &nobody.0, &nobody.1, &Standing::NOTHING)
            }
        };
        let is_known = issue.is_some() && kept.is_known(student.id);
        if issue.is_some() && !is_known {
            walked.unkeyed.push(student.id.to_owned());
        }
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
            is_known,
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
pub(super) fn same_marks(one: &Proposal, other: &Proposal) -> bool {
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

/// The first of some ids, as far as a line goes.
pub(super) fn named(ids: &[impl Borrow<str>]) -> String {
    let mut line = String::new();
    for (at, id) in ids.iter().enumerate() {
        let id = excerpt(id.borrow(), NAMED);
        if at > 0 && width(&line) + 2 + width(&id) > NAMED {
            return format!("{line} and {} more", ids.len() - at);
        }
        line += if at > 0 { ", " } else { "" };
        line += &id;
    }
    line
}

fn not_issued(file: &str, student: &str, code: &str) -> Diagnostic {
    let message = format!("the student {student} never got a paper of `{code}`");
    Diagnostic::error(file, Place::File, message)
        .help(format!("{HAND_OUT}; nothing was kept of this file"))
}

/// Where a student has no paper at all.
fn absent(out_of: Decimal) -> (Marked, Account) {
    let account = Account {
        status: Status::Absent,
        by_part: Vec::new(),
        adjusted: Decimal::ZERO,
        total: Decimal::ZERO,
    };
    (Marked::nothing(Status::Absent, out_of), account)
}
