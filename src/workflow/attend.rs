//! Who was there, who handed in late, what was given back, when it is due.
//!
//! In: students by id or paper code, and what to note of them. Out: of how many papers it was noted, and
//! how many of those handed in are not late.
//! Refused: students without a paper, all of them at once.

use std::collections::BTreeSet;

use chrono::{DateTime, NaiveDate, Utc};

use crate::diagnostic::{Diagnostic, Place, nearest};
use crate::record::{Attendance, Deed, Due, DueFor, Issue, NewAct, Record};
use crate::roster::Roster;
use crate::text::excerpt;

use super::export::HAND_OUT;
use super::issue::id_of;
use super::kept::Kept;
use super::{Failure, Prepared};

/// What to note.
#[derive(Clone, Debug)]
pub enum Note {
    /// Whether there is a paper.
    Attend(Attendance),
    /// There is a paper, handed in on that day.
    HandedIn(NaiveDate),
    /// The paper was given back.
    Returned,
}

/// Of whom.
#[derive(Clone, Debug)]
pub enum Whom {
    /// Students, by id or paper code.
    Students(Vec<String>),
    /// Everyone of a section.
    Section(String),
    /// Everyone of the class; for papers given back, all that were handed in.
    All,
}

/// What was noted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Attended {
    /// Of how many papers.
    pub papers: usize,
    /// Those handed in no later than they were due, or due on no day.
    pub in_time: usize,
    /// Those of which answers are keyed, though they are noted as absent or excused.
    pub keyed: usize,
    /// Those noted as absent or excused before, of which there is a paper now.
    pub called_back: usize,
}

/// Notes something of students' latest papers.
///
/// # Errors
/// Students without a paper; then nothing is noted.
pub fn attend(
    prepared: &Prepared,
    class: &str,
    whom: &Whom,
    note: &Note,
    now: DateTime<Utc>,
    record: &mut Record,
) -> Result<Attended, Failure> {
    let kept = Kept::of_issued(record, &prepared.plan.sheet, class)?;
    let papers = papers(&kept, whom)?;
    let mut acts = Vec::new();
    let mut noted = Attended {
        papers: 0,
        in_time: 0,
        keyed: 0,
        called_back: 0,
    };
    for paper in papers {
        let standing = kept.standing(paper.id);
        let is_there = standing.has_paper();
        let deeds = match note {
            Note::Attend(attendance) => vec![Deed::Attend {
                attendance: *attendance,
            }],
            Note::HandedIn(day) => vec![
                Deed::Attend {
                    attendance: Attendance::Present,
                },
                Deed::HandedIn { day: Some(*day) },
            ],
            Note::Returned if !is_there && !matches!(whom, Whom::Students(_)) => continue,
            Note::Returned => vec![Deed::Returned { on: now }],
        };
        noted.papers += 1;
        let is_away = matches!(note, Note::Attend(at) if *at != Attendance::Present);
        noted.keyed += usize::from(is_away && standing.is_keyed());
        if let Note::HandedIn(day) = note {
            let was_away = standing
                .attendance
                .is_some_and(|at| at != Attendance::Present);
            noted.called_back += usize::from(was_away);
            noted.in_time += usize::from(kept.due(paper).is_none_or(|due| *day <= due));
        }
        acts.extend(
            deeds
                .into_iter()
                .map(|deed| NewAct::new(now, paper.id, deed)),
        );
    }
    record.append(&acts)?;
    Ok(noted)
}

/// Sets the day that students' latest papers are due; `None` takes it away. Gives of how many.
///
/// # Errors
/// Students without a paper; then nothing is set.
pub fn set_due(
    prepared: &Prepared,
    class: &str,
    whom: &Whom,
    day: Option<NaiveDate>,
    now: DateTime<Utc>,
    record: &mut Record,
) -> Result<usize, Failure> {
    let sheet = &prepared.plan.sheet;
    let kept = Kept::of_issued(record, sheet, class)?;
    let papers = papers(&kept, whom)?;
    let due = |to, number| Due {
        class: class.to_owned(),
        number,
        to,
        day,
    };
    // A day is kept for first papers, for second ones, and so on: all that are about have it.
    let numbers: BTreeSet<u32> = papers.iter().map(|paper| paper.number).collect();
    let for_all = |to: DueFor| {
        let dues = numbers.iter().map(|number| due(to.clone(), *number));
        dues.collect()
    };
    let dues: Vec<Due> = match whom {
        Whom::All => for_all(DueFor::Class),
        Whom::Section(section) => for_all(DueFor::Section(section.clone())),
        Whom::Students(_) => papers
            .iter()
            .map(|paper| due(DueFor::Student(paper.student.clone()), paper.number))
            .collect(),
    };
    record.set_due(&sheet.code, &dues, now)?;
    Ok(papers.len())
}

fn papers<'k>(kept: &'k Kept, whom: &Whom) -> Result<Vec<&'k Issue>, Failure> {
    let everyone = || kept.issues.iter().filter(|issue| kept.is_latest(issue));
    match whom {
        Whom::All => Ok(everyone().collect()),
        Whom::Section(section) => {
            let of = |issue: &&Issue| issue.section.as_deref() == Some(section.as_str());
            let papers: Vec<&Issue> = everyone().filter(of).collect();
            if papers.is_empty() {
                let message = format!(
                    "no paper was issued to the section '{}'",
                    excerpt(section, 20)
                );
                let sections = kept
                    .issues
                    .iter()
                    .filter_map(|issue| issue.section.as_deref());
                let error = Diagnostic::error("--section", Place::File, message);
                return Err(fault(vec![meant(error, section, sections)]));
            }
            Ok(papers)
        }
        Whom::Students(typed) => {
            let (mut papers, mut faults) = (Vec::new(), Vec::new());
            for typed in typed {
                match paper(kept, typed, "--student", None) {
                    // a student named twice, or by id and code, has one paper
                    Ok(paper) if papers.iter().any(|known: &&Issue| known.id == paper.id) => {}
                    Ok(paper) => papers.push(paper),
                    Err(fault) => faults.push(*fault),
                }
            }
            if faults.is_empty() {
                Ok(papers)
            } else {
                Err(fault(faults))
            }
        }
    }
}

/// The latest paper of a student by id, or the paper that carries a code; `option` is where that was said. A name
/// finds nobody, but with a roster its id is told.
///
/// # Errors
/// Nobody of that id or code.
pub(super) fn paper<'k>(
    kept: &'k Kept,
    typed: &str,
    option: &str,
    roster: Option<&Roster>,
) -> Result<&'k Issue, Box<Diagnostic>> {
    let by_code = || kept.coded(typed.parse().ok()?);
    kept.latest(typed).or_else(by_code).ok_or_else(|| {
        let found = excerpt(typed, 20);
        let message = format!("no paper was issued to a student '{found}', and none has this code");
        let ids = kept.issues.iter().map(|issue| issue.student.as_str());
        let error = Diagnostic::error(option, Place::File, message);
        let near = nearest(id_of(typed, kept), ids.clone()).is_some();
        let is_id = roster.is_some_and(|roster| roster.find(typed).is_some());
        if near || is_id || typed.is_empty() || typed.chars().any(|c| c.is_ascii_digit()) {
            return Box::new(meant(error, id_of(typed, kept), ids));
        }
        let found = roster.map_or_else(Vec::new, |roster| {
            let named = roster.named(typed).into_iter();
            named.filter_map(|at| roster.get(at)).collect()
        });
        let found: Vec<String> = found
            .iter()
            .map(|student| format!("{} is {}", student.name, student.id))
            .collect();
        let who = match found.as_slice() {
            [] => format!("`roster show` lists the ids; {HAND_OUT}"),
            found => excerpt(&found.join(", "), 60).into_owned(),
        };
        let by_id = "students are named by their id or the code of their paper";
        Box::new(error.help(format!("{by_id}; {who}")))
    })
}

fn meant<'a>(error: Diagnostic, word: &str, known: impl Iterator<Item = &'a str>) -> Diagnostic {
    match nearest(word, known) {
        Some(near) => error.help(format!("did you mean '{near}'?")),
        None => error.help(HAND_OUT),
    }
}

fn fault(list: Vec<Diagnostic>) -> Failure {
    Failure::input(list, Vec::new())
}
