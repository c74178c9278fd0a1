//! What is still owed: papers that were handed out and have not come in.
//!
//! In: what the record holds of a class. Out: of each student's latest paper, whether anything of it came
//! in. Who is excused owes nothing. Nothing is refused.

use chrono::NaiveDate;

use crate::record::{Attendance, Record};
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
    let papers = roster.iter().filter_map(|student| kept.latest(student.id));
    let open = papers.filter(|paper| {
        let standing = kept.standing(paper.id);
        !standing.has_paper() && standing.attendance != Some(Attendance::Excused)
    });
    let owed = open.map(|paper| Owed {
        student: paper.student.clone(),
        code: paper.code,
        number: paper.number,
        due: kept.due(paper),
    });
    Ok(owed.collect())
}
