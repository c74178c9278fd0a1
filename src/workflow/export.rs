//! The marks of a class as the record holds it, and entries that go into the record first.
//!
//! In: a prepared sheet, a roster, a record; for marking a file of answers too. Out: the file of
//! marks as bytes, a tally, and in the record what was proposed when the marks were taken. Refused:
//! answers of students to whom nothing was issued, and marks that would move because the file or the
//! program has changed: `remark` shows those first.

use std::io::Write;
use std::path::Path;

use chrono::{DateTime, Utc};
use rust_decimal::Decimal;

use crate::answer::sheet::{Answers, Codes, StudentEntries};
use crate::diagnostic::{Diagnostic, Place};
use crate::feedback;
use crate::files::{Draft, FileError, Input};
use crate::gradebook::marks;
use crate::marking::{Marked, Status, Verdict};
use crate::plan::Plan;
use crate::record::{
    Account, Charge, Deed, IssueId, NewAct, Proposal, Record, Standing, paper_let_go, proposal,
};
use crate::roster::{Roster, Student};
use crate::text::DecimalMark;

use super::class::ClassMarker;
use super::kept::{Kept, filed, never_issued};
use super::mark::is_ours;
use super::misfit::{self, Numbers};
use super::paper::{Desk, columns, givens};
use super::row::Row;
use super::tally::Tally;
use super::{Failure, Findings, Form, MarkOutcome, Prepared, difference, import};

/// The version kept with what the program proposed.
pub(super) const PROGRAM: &str = env!("CARGO_PKG_VERSION");

/// Findings of one kind told at most.
const MOST: usize = 20;

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
        let mut draft = Draft::create(path, is_ours(&request.prepared.plan, request.form))?;
        let name = draft.name().to_owned();
        let written = draft.write_all(&self.bytes);
        written.map_err(|error| FileError::from_io(&name, &error))?;
        draft.commit()?;
        Ok(())
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

/// Puts the entries of a file of answers into the record, as keyed now. Gives how many acts that
/// took, and the findings of the file.
///
/// # Errors
/// Answers that cannot be read, or of students to whom nothing was issued; then nothing is kept.
pub fn enter(
    request: &ExportRequest<'_>,
    answers: (Input, &str),
    record: &mut Record,
) -> Result<MarkOutcome, Failure> {
    let plan = &request.prepared.plan;
    let roster = request.roster;
    let (input, name) = answers;
    let fault = |list| Failure::input(list, request.prepared.sources.clone());
    let kept = Kept::of(record, &plan.sheet.code, request.class)?;
    let columns = columns(&plan.sheet);
    let codes: Codes = kept
        .issues
        .iter()
        .filter_map(|issue| Some((issue.code, roster.find(&issue.student)?)))
        .collect();
    let mut answers = Answers::scan_with(input, name, roster, &columns, &codes).map_err(fault)?;
    if kept.issues.is_empty() {
        return Err(fault(vec![never_issued(
            record.name(),
            &plan.sheet,
            request.class,
        )]));
    }
    let mut outcome = MarkOutcome {
        has_findings: answers.strangers() > 0,
        ..MarkOutcome::default()
    };
    outcome.findings.list.extend_from_slice(answers.findings());
    let typed: Vec<Option<String>> = (0..roster.len())
        .map(|at| answers.code(at).map(str::to_owned))
        .collect();
    let desk = Desk::new(plan, None, request.decimal);
    let mut acts = Vec::new();
    let (mut strange, mut faults) = (Vec::new(), Vec::new());
    let mut entries = StudentEntries::default();
    let mut paper = crate::marking::Paper::default();
    let mut reader = answers.reader().map_err(|finding| fault(vec![*finding]))?;
    for (at, student) in roster.iter().enumerate() {
        let there = reader.read(at, &mut entries);
        if !there.map_err(|finding| fault(vec![*finding]))? {
            continue;
        }
        let code = typed.get(at).and_then(Option::as_deref);
        let code = code.and_then(|code| code.parse().ok());
        let issue = match code {
            Some(code) => kept.issues.iter().find(|issue| issue.code == code),
            None => kept.latest(student.id),
        };
        let Some(issue) = issue else {
            strange.push(not_issued(name, &student, &plan.sheet.code));
            continue;
        };
        let mut wrong = Vec::new();
        desk.fill(&entries, student.decimal, &mut paper, &mut wrong);
        for wrong in wrong {
            let message = format!("student {}, {wrong}", student.id);
            let warning = Diagnostic::warning(name, Place::File, message);
            faults.push(warning.help("it counts as not keyed"));
        }
        let read = |(name, problem, given): (String, usize, usize), cell: &str| {
            let read = paper
                .misread
                .iter()
                .any(|(p, g, _)| (*p, *g) == (problem, given));
            read.then(|| (name, cell.trim().to_owned()))
        };
        let misread = givens(&plan.sheet)
            .enumerate()
            .filter_map(|(at, given)| read(given, entries.given(at)));
        let row = import::Row {
            plan,
            entries: &entries,
            misread: misread.collect(),
            standing: kept.standing(issue.id),
        };
        acts.extend(row.acts(issue.id, request.now));
    }
    if !strange.is_empty() {
        return Err(fault(bounded(strange, name)));
    }
    outcome.has_findings |= !faults.is_empty();
    outcome.findings.list.extend(bounded(faults, name));
    record.append(&acts)?;
    Ok(outcome)
}

/// Marks the class as it stands in the record.
///
/// # Errors
/// A class without papers, papers that today's file cannot solve, marks that would move.
pub fn export(request: &ExportRequest<'_>, record: &Record) -> Result<Export, Failure> {
    let plan = &request.prepared.plan;
    let sources = &request.prepared.sources;
    let fault = |list| Failure::input(list, sources.clone());
    let kept = Kept::of(record, &plan.sheet.code, request.class)?;
    if kept.issues.is_empty() {
        return Err(fault(vec![never_issued(
            record.name(),
            &plan.sheet,
            request.class,
        )]));
    }
    let now = filed(request.prepared);
    let mut export = Export::default();
    let outcome = &mut export.outcome;
    outcome.findings = Findings {
        list: difference::since_issued(record, &kept.issues, &now)?,
        sources: sources.clone(),
    };
    if request.form == Form::Csv {
        marks::push_heading(
            plan.parts.iter().map(|part| part.id.as_str()),
            &mut export.bytes,
        );
    }
    let mut marker = ClassMarker::new(plan, request.decimal);
    let mut words = String::new();
    let (mut without, mut moved) = (Vec::new(), Vec::new());
    for (at, student) in request.roster.iter().enumerate() {
        let counted = marker
            .counting(&kept, student.id, student.decimal)
            .map_err(|finding| fault(vec![finding]))?;
        let nobody;
        let (issue, marked, account, standing) = match &counted {
            Some(it) => (Some(it.issue.id), &it.marked, &it.account, it.standing),
            None => {
                without.push(student.id.to_owned());
                nobody = absent(plan.sheet.points());
                (None, &nobody.0, &nobody.1, &Standing::NOTHING)
            }
        };
        tally(&mut outcome.tally, at, marked, account);
        words.clear();
        feedback::paper(
            plan,
            marker.key(),
            &as_told(plan, marked, account, standing),
            &mut words,
        );
        let row = Row {
            plan,
            student,
            key: marker.key(),
            marked,
            account,
            standing,
            feedback: &words,
            partial: request.partial,
        };
        row.push(request.form, &mut export.bytes);
        if let Some(issue) = issue
            && !marked.parts.is_empty()
        {
            let today = proposal(plan, marked, &now.digest, PROGRAM);
            match changed(standing, &today, &kept, issue) {
                Change::None => {}
                Change::Own => {
                    let deed = Deed::Accept { proposal: today };
                    export.accepts.push(NewAct::new(request.now, issue, deed));
                }
                Change::Moved => moved.push(student.id.to_owned()),
            }
        }
    }
    if !moved.is_empty() {
        return Err(fault(vec![would_move(record.name(), &moved)]));
    }
    if !without.is_empty() {
        outcome.has_findings = true;
        let ids = crate::text::excerpt(&without.join(", "), 60).into_owned();
        let message = format!("students without a paper, marked as absent: {ids}");
        let warning = Diagnostic::warning(record.name(), Place::File, message);
        outcome
            .findings
            .list
            .push(warning.help("`issue` hands papers to those who have none"));
    }
    let misfit = misfit::warning(plan, &outcome.tally, Numbers::Issued, record.name());
    outcome.has_findings |= misfit.is_some();
    outcome.findings.list.extend(misfit);
    Ok(export)
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
    let since = kept
        .acts
        .iter()
        .rev()
        .take_while(|act| act.id > accepted.act);
    let keyed = since
        .filter(|act| act.issue == issue)
        .any(|act| act.deed.moves_proposal() || matches!(act.deed, Deed::TakeBack { .. }));
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
    let ids = crate::text::excerpt(&students.join(", "), 50).into_owned();
    let message = format!(
        "marks of {} papers would move, since the file or the program has changed: {ids}",
        students.len()
    );
    Diagnostic::error(record, Place::File, message)
        .help("`remark` shows them all, `remark --apply` takes them; then export again")
}

fn not_issued(file: &str, student: &Student<'_>, code: &str) -> Diagnostic {
    let message = format!("the student {} never got a paper of `{code}`", student.id);
    Diagnostic::error(file, Place::File, message)
        .help("`issue` hands papers to those who have none; nothing was kept of this file")
}

fn bounded(mut list: Vec<Diagnostic>, name: &str) -> Vec<Diagnostic> {
    let more = list.len().saturating_sub(MOST);
    list.truncate(MOST);
    if more > 0 {
        let message = format!("{more} more like these are not shown");
        list.push(Diagnostic::warning(name, Place::File, message));
    }
    list
}

/// Where a student has no paper at all.
fn absent(out_of: Decimal) -> (Marked, Account) {
    let nothing = Decimal::ZERO;
    let marked = Marked {
        status: Status::Absent,
        parts: Vec::new(),
        paper_cost: nothing,
        late: nothing,
        total: nothing,
        out_of,
    };
    let account = Account {
        status: Status::Absent,
        by_part: Vec::new(),
        adjusted: nothing,
        total: nothing,
    };
    (marked, account)
}

fn tally(tally: &mut Tally, at: usize, marked: &Marked, account: &Account) {
    let marked = Marked {
        status: account.status,
        total: account.total,
        ..marked.clone()
    };
    tally.add(at, &marked);
}

/// The paper as the student is told of it: a part that the teacher gave all its points is right, and
/// what was let go counts for nothing.
fn as_told(plan: &Plan, marked: &Marked, account: &Account, standing: &Standing) -> Marked {
    let mut told = marked.clone();
    let parts = plan.parts.iter().zip(&mut told.parts).zip(&account.by_part);
    for ((place, mark), more) in parts {
        let waived = |charge| standing.is_waived(Some(&place.id), charge);
        let full = *more > Decimal::ZERO && mark.points + *more >= mark.out_of;
        if full || waived(Charge::Unit) {
            mark.points += mark.unit_cost;
            mark.unit = None;
            mark.unit_cost = Decimal::ZERO;
        }
        if full || waived(Charge::Figures) {
            mark.points += mark.figures_cost;
            mark.figures = None;
            mark.figures_cost = Decimal::ZERO;
        }
        if full && mark.points < mark.out_of {
            if mark.verdict != Verdict::ByEye {
                mark.verdict = Verdict::Right;
            }
            mark.points = mark.out_of;
            mark.reasons.clear();
            mark.look = false;
        }
    }
    told.paper_cost += paper_let_go(plan, marked, standing);
    if standing.is_waived(None, Charge::Late) {
        told.late = Decimal::ZERO;
    }
    told.status = account.status;
    told.total = account.total;
    told
}
