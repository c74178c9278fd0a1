//! Hands papers out, and once more.
//!
//! In: a prepared sheet, a roster, the record. Out: the papers of the class, as issued: those who have
//! one keep it, the others get numbers that nobody has. Refused: students who seem to have papers in
//! another class already, a reissue to who never had one, draws that cannot be made.

use chrono::{DateTime, NaiveDate, Utc};
use rustc_hash::{FxHashMap, FxHashSet};

use crate::diagnostic::{Diagnostic, Place, Severity, nearest};
use crate::marking::Key;
use crate::plan::Plan;
use crate::quantity::Quantity;
use crate::record::{
    Attendance, Before, Due, DueFor, FiledFigure, Issue, NewIssue, Record, RosterFile, Standing,
};
use crate::roster::{Roster, Student};
use crate::text::excerpt;
use crate::variant::{self, Draft, PaperCode, Space};

use super::drawn::{key_of, to_record};
use super::export::named;
use super::kept::{Kept, filed};
use super::{Failure, Figures, Findings, Prepared, difference, figures, fresh};

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

/// Places on the roster of those who get another paper, in its order.
fn chosen(
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
fn unkeyed(roster: &Roster, kept: &Kept, record: &str) -> Option<Diagnostic> {
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
pub(super) fn was_absent(standing: &Standing) -> bool {
    standing.attendance == Some(Attendance::Absent)
}

/// The id that was typed, or that of the student whose paper carries the code that was typed.
pub(super) fn id_of<'a>(typed: &'a str, kept: &'a Kept) -> &'a str {
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
        _ => "`issue` hands out the first paper".to_owned(),
    };
    Diagnostic::error("--student", Place::File, message).help(help)
}

/// A student and the number of the paper they get.
struct To<'a> {
    student: Student<'a>,
    number: u32,
}

impl<'a> To<'a> {
    fn of(&self) -> fresh::To<'a> {
        fresh::To {
            student: self.student.id,
            number: self.number,
        }
    }
}

/// Draws papers, in an order that the roster's does not change.
fn draw(
    request: &IssueRequest<'_>,
    spaces: &[Space<'_>],
    before: &Before<'_>,
    file: &str,
    to: &[To<'_>],
) -> Result<Vec<NewIssue>, Failure> {
    let plan = &request.prepared.plan;
    // By student as in `to`, by problem.
    let drawn = if before.issues.is_empty() {
        first(request, spaces, to)?
    } else {
        let to: Vec<fresh::To<'_>> = to.iter().map(To::of).collect();
        fresh::beside(request.prepared, spaces, request.class, &before.issues, &to)?
    };
    let mut codes = FxHashSet::default();
    let mut papers = Vec::with_capacity(to.len());
    for (To { student, number }, values) in to.iter().zip(drawn) {
        let code = code_for(request, before, student.id, *number, &mut codes)?;
        papers.push(NewIssue {
            sheet: plan.sheet.code.clone(),
            class: request.class.to_owned(),
            student: student.id.to_owned(),
            section: student.section.map(str::to_owned),
            number: *number,
            code,
            values: to_record(&plan.sheet, values),
            file: file.to_owned(),
            at: request.now,
            due: request.due,
        });
    }
    solvable(plan, &papers)
        .map_err(|finding| Failure::input(vec![finding], request.prepared.sources.clone()))?;
    Ok(papers)
}

/// The numbers of a class that holds none yet: by student as in `to`, by problem.
fn first(
    request: &IssueRequest<'_>,
    spaces: &[Space<'_>],
    to: &[To<'_>],
) -> Result<Vec<Vec<Vec<Quantity>>>, Failure> {
    let fault = |problem, error| fresh::no_draw(request.prepared, problem, &error);
    let ids: Vec<&str> = to.iter().map(|to| to.student.id).collect();
    let tries = variant::allocate(spaces, &ids).map_err(|(at, error)| fault(at, error))?;
    let mut drawn = vec![Vec::new(); to.len()];
    let mut draft = Draft::default();
    for (problem, space) in spaces.iter().enumerate() {
        for (at, drawn) in drawn.iter_mut().enumerate() {
            let attempt = tries.of(at).get(problem).copied().unwrap_or(0);
            space
                .picks(ids[at], 1, attempt, &mut draft)
                .map_err(|error| fault(problem, error))?;
            drawn.push(space.values(&draft.picks).collect());
        }
    }
    Ok(drawn)
}

/// Every paper that is handed out has a key.
fn solvable(plan: &Plan, papers: &[NewIssue]) -> Result<(), Diagnostic> {
    let mut key = Key::default();
    for paper in papers {
        key_of(plan, &paper.clone().as_issued(), &mut key)?;
    }
    Ok(())
}

/// The first free code of a paper.
fn code_for(
    request: &IssueRequest<'_>,
    before: &Before<'_>,
    student: &str,
    number: u32,
    codes: &mut FxHashSet<PaperCode>,
) -> Result<PaperCode, Failure> {
    let sheet = &request.prepared.plan.sheet.code;
    let mut attempt = 0;
    loop {
        let code = PaperCode::of(sheet, request.class, student, number, attempt);
        if let Some(code) = code
            && !codes.contains(&code)
            && !before.has_code(code)?
        {
            codes.insert(code);
            return Ok(code);
        }
        attempt += 1;
    }
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
