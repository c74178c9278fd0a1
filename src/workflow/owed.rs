//! What is still owed: papers that were handed out and have not come in.
//!
//! In: what the record holds of a class. Out: of each student's latest paper, whether anything of it came
//! in. Who is excused owes nothing. Nothing is refused.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::record::{Attendance, Issue, Record};
use crate::roster::Roster;
use crate::variant::PaperCode;

use super::kept::Kept;
use super::{Failure, Prepared};

/// A paper that has not come in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Owed {
    /// The student's id.
    pub student: String,
    /// The paper's code.
    pub code: PaperCode,
    /// Which paper of the sheet it is for the student, from 1.
    pub number: u32,
    /// The day it is due.
    pub due: Option<NaiveDate>,
}

/// The papers of a class that are owed, in the order of the roster.
///
/// # Errors
/// A record that cannot be read.
pub fn owed(
    prepared: &Prepared,
    roster: &Roster,
    class: &str,
    record: &Record,
) -> Result<Vec<Owed>, Failure> {
    let kept = Kept::of(record, &prepared.plan.sheet.code, class)?;
    let papers = kept.latest_of(roster).into_iter();
    let open = papers.filter(|paper| is_owed(&kept, paper));
    let owed = open.map(|paper| Owed {
        code: paper.code,
        number: paper.number,
        due: kept.due(&paper),
        student: paper.student,
    });
    Ok(owed.collect())
}

/// The papers of a sheet that are owed by anyone: in a class by the students of its roster, in the others
/// by all who have one.
///
/// # Errors
/// A record that cannot be read.
pub(super) fn owed_by_all(
    sheet: &str,
    (class, roster): (&str, &Roster),
    record: &Record,
) -> Result<Vec<Issue>, Failure> {
    let issues = record.issues(sheet)?.into_iter();
    let classes: BTreeSet<String> = issues.map(|issue| issue.class).collect();
    let mut owed = Vec::new();
    for other in classes {
        let kept = Kept::of(record, sheet, &other)?;
        let is_here = |issue: &Issue| other != class || roster.find(&issue.student).is_some();
        let papers = kept.issues.iter();
        let papers = papers.filter(|issue| is_here(issue) && kept.is_latest(issue));
        owed.extend(papers.filter(|paper| is_owed(&kept, paper)).cloned());
    }
    Ok(owed)
}

fn is_owed(kept: &Kept, paper: &Issue) -> bool {
    let standing = kept.standing(paper.id);
    !standing.has_paper() && standing.attendance != Some(Attendance::Excused)
}
