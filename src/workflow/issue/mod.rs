//! Hands papers out, and once more.
//!
//! In: a prepared sheet, a roster, the record. Out: the papers of the class, as issued: those who have
//! one keep it, the others get numbers that nobody has. Refused: students who seem to have papers in
//! another class already, a reissue to who never had one, draws that cannot be made. `chosen` says who gets
//! another paper, `draw` what stands on it.

mod chosen;
mod draw;

use chrono::{DateTime, NaiveDate, Utc};
use rustc_hash::{FxHashMap, FxHashSet};

use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::record::{Before, Due, DueFor, FiledFigure, Issue, Record, RosterFile};
use crate::roster::Roster;

use super::export::named;
use super::kept::{Kept, filed};
use super::{Failure, Figures, Findings, Prepared, difference, figures};
use chosen::{chosen, unkeyed};
pub(super) use chosen::{id_of, was_absent};
use draw::{To, draw};

/// To whom papers are handed out.
#[derive(Debug)]
pub struct IssueRequest<'a> {
    /// The sheet, prepared.
    pub prepared: &'a Prepared,
    /// The class.
    pub roster: &'a Roster,
    /// Its name.
    pub class: &'a str,
    /// Whether the name was said, and not taken from the roster's file.
    pub class_is_said: bool,
    /// Where the roster lies.
    pub file: RosterFile,
    /// The day papers are due.
    pub due: Option<NaiveDate>,
    /// Now.
    pub now: DateTime<Utc>,
}

/// Who gets another paper.
#[derive(Clone, Debug)]
pub enum Again {
    /// These students, by id or by the code of a paper.
    Students(Vec<String>),
    /// All who are noted as absent.
    Absent,
}

/// Papers as handed out.
#[derive(Clone, Debug, Default)]
pub struct IssueOutcome {
    /// The latest paper of each student, in the order of the roster.
    pub papers: Vec<Issue>,
    /// All papers of these students, those that others took the place of too.
    pub all: Vec<Issue>,
    /// How many of them are new.
    pub new: usize,
    /// The students who joined: those of new papers where others had theirs before.
    pub joined: Vec<String>,
    /// How many had another due date before.
    pub moved: usize,
    /// What should be known.
    pub findings: Findings,
}

/// Hands a paper to every student of the roster who has none.
///
/// # Errors
/// See the module. Then nothing is issued.
pub fn issue(request: &IssueRequest<'_>, record: &mut Record) -> Result<IssueOutcome, Failure> {
    let plan = &request.prepared.plan;
    let filed = filed(request.prepared);
    let spaces = request.prepared.spaces()?;
    let name = record.name().to_owned();
    let (drawings, mut findings) = drawings(request.prepared);
    let new = record.issue(&filed, &drawings, |before| {
        if !request.class_is_said {
            others_of_the_same_ids(request, before, &name)?;
        }
        let have: FxHashSet<&str> = before
            .issues
            .iter()
            .filter(|issue| issue.class == request.class)
            .map(|issue| issue.student.as_str())
            .collect();
        let to: Vec<To<'_>> = request
            .roster
            .iter()
            .filter(|student| !have.contains(student.id))
            .map(|student| To { student, number: 1 })
            .collect();
        draw(request, &spaces, before, &filed.digest, &to)
    })?;
    record.set_roster(request.class, &request.file)?;
    let moved = move_due(request, record)?;
    let kept = Kept::of(record, &plan.sheet.code, request.class)?;
    let fresh: FxHashSet<_> = new.iter().map(|issue| issue.id).collect();
    let before: Vec<Issue> = kept
        .issues
        .iter()
        .filter(|issue| !fresh.contains(&issue.id))
        .cloned()
        .collect();
    if new.is_empty() {
        findings.list.clear();
    }
    let joined = match before.is_empty() {
        true => Vec::new(),
        false => new.iter().map(|issue| issue.student.clone()).collect(),
    };
    findings.list.extend(difference::since_issued(
        record,
        &before,
        &filed,
        &request.prepared.sources,
    )?);
    Ok(IssueOutcome {
        papers: kept.latest_of(request.roster),
        all: all(request.roster, &kept),
        new: new.len(),
        joined,
        moved,
        findings,
    })
}

/// Hands some students another paper, unlike every one they had.
///
/// # Errors
/// See the module. Then nothing is issued.
pub fn reissue(
    request: &IssueRequest<'_>,
    again: &Again,
    record: &mut Record,
) -> Result<IssueOutcome, Failure> {
    let plan = &request.prepared.plan;
    let filed = filed(request.prepared);
    let spaces = request.prepared.spaces()?;
    let kept = Kept::of_issued(record, &plan.sheet, request.class)?;
    let chosen = chosen(request, again, &kept, record.name())?;
    let unkeyed = match again {
        Again::Absent => unkeyed(request.roster, &kept, record.name()),
        Again::Students(_) => None,
    };
    let (drawings, mut findings) = drawings(request.prepared);
    findings.list.extend(unkeyed);
    let new = record.issue(&filed, &drawings, |before| {
        let mut last: FxHashMap<&str, u32> = FxHashMap::default();
        for issue in before
            .issues
            .iter()
            .filter(|issue| issue.class == request.class)
        {
            last.insert(&issue.student, issue.number);
        }
        let to: Vec<To<'_>> = chosen
            .iter()
            .filter_map(|at| request.roster.get(*at))
            .filter_map(|student| {
                let number = last.get(student.id)?.checked_add(1)?;
                Some(To { student, number })
            })
            .collect();
        draw(request, &spaces, before, &filed.digest, &to)
    })?;
    record.set_roster(request.class, &request.file)?;
    let kept = Kept::of(record, &plan.sheet.code, request.class)?;
    let fresh: FxHashSet<_> = new.iter().map(|issue| issue.id).collect();
    let mut papers = kept.latest_of(request.roster);
    papers.retain(|paper| fresh.contains(&paper.id));
    Ok(IssueOutcome {
        papers,
        all: all(request.roster, &kept),
        new: new.len(),
        joined: Vec::new(),
        moved: 0,
        findings,
    })
}

/// The figures of a sheet as they are kept, and warnings about those that cannot be printed, and so not kept.
fn drawings(prepared: &Prepared) -> (Vec<Option<FiledFigure>>, Findings) {
    let Figures {
        figures,
        mut findings,
    } = figures(&prepared.plan.sheet);
    for finding in &mut findings.list {
        finding.severity = Severity::Warning;
    }
    findings.sources.extend(prepared.sources.iter().cloned());
    let kept = figures.into_iter();
    let kept = kept.map(|figure| Some(FiledFigure::of(figure?.text().to_owned())));
    (kept.collect(), findings)
}

/// Students of the roster who hold papers under the name of another class: the same people after their
/// file was renamed, or others who happen to have their ids. Only the teacher knows.
fn others_of_the_same_ids(
    request: &IssueRequest<'_>,
    before: &Before<'_>,
    record: &str,
) -> Result<(), Failure> {
    let class = request.class;
    if before.issues.iter().any(|issue| issue.class == class) {
        return Ok(());
    }
    let same = before
        .issues
        .iter()
        .filter(|issue| request.roster.find(&issue.student).is_some() && issue.number == 1);
    let Some(first) = same.clone().next() else {
        return Ok(());
    };
    let other = &first.class;
    let same = same.filter(|issue| issue.class == *other);
    let ids: Vec<&str> = same.map(|issue| issue.student.as_str()).collect();
    let count = ids.len();
    let have = match count {
        1 => "has a paper",
        _ => "have papers",
    };
    let message = format!(
        "{count} of these ids {have} already in the class `{other}`: {}",
        named(&ids)
    );
    let help = format!(
        "if they are the same students, add --class {other}; if others have the same ids, name \
         their class: --class {class}"
    );
    let error = Diagnostic::error(record, Place::File, message).help(help);
    Err(Failure::of(error))
}

/// Gives the class the due date asked for where papers handed out before have another one.
fn move_due(request: &IssueRequest<'_>, record: &mut Record) -> Result<usize, Failure> {
    let sheet = &request.prepared.plan.sheet.code;
    let Some(day) = request.due else { return Ok(0) };
    let kept = Kept::of(record, sheet, request.class)?;
    let first = kept.issues.iter().filter(|issue| issue.number == 1);
    let moved = first.filter(|issue| kept.due(issue) != Some(day)).count();
    if moved > 0 {
        let due = Due {
            class: request.class.to_owned(),
            number: 1,
            to: DueFor::Class,
            day: Some(day),
        };
        record.set_due(sheet, &[due], request.now)?;
    }
    Ok(moved)
}

fn all(roster: &Roster, kept: &Kept) -> Vec<Issue> {
    let papers = roster.iter().flat_map(|student| kept.papers_of(student.id));
    papers.cloned().collect()
}
