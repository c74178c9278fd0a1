//! The teacher's own word on a mark.
//!
//! In: a paper, a part, and points or a charge to let go, with a note. Out: what the paper comes to
//! before and after, and the other papers on which the program gave the same reasons. Refused: parts
//! and students that are not there, points that the part does not have, charges that are none of a
//! part's or of a paper's.

use chrono::{DateTime, Utc};
use rust_decimal::Decimal;

use crate::diagnostic::{Diagnostic, Place, nearest};
use crate::marking::{Marked, PartMark, Reason, Verdict};
use crate::record::{Charge, Deed, NewAct, Record, charged};
use crate::roster::Roster;
use crate::text::{DecimalMark, excerpt};

use super::attend::paper;
use super::kept::Kept;
use super::marked::class::ClassMarker;
use super::offer::{self, Offer};
use super::{Failure, Prepared};

/// What to change.
#[derive(Clone, Debug)]
pub enum Word {
    /// The points of a part; `None` leaves them to the program again.
    Points {
        /// The part.
        part: String,
        /// The points.
        points: Option<Decimal>,
    },
    /// A charge let go, or charged again.
    Waive {
        /// The part, for charges on a part.
        part: Option<String>,
        /// The charge.
        charge: Charge,
        /// Whether it is let go.
        waived: bool,
    },
}

/// On whose paper, and why.
#[derive(Clone, Copy, Debug)]
pub struct AdjustRequest<'a> {
    /// The sheet, prepared.
    pub prepared: &'a Prepared,
    /// The class.
    pub class: &'a str,
    /// Its roster, for the decimal marks; without one `decimal` holds for all.
    pub roster: Option<&'a Roster>,
    /// The decimal mark of students for whom the roster does not say it.
    pub decimal: DecimalMark,
    /// The student, by id or paper code.
    pub student: &'a str,
    /// What to change.
    pub word: &'a Word,
    /// Why.
    pub note: &'a str,
    /// What the student reckoned, as an expression of the assignment's names: it is looked for on the
    /// other papers.
    pub because: Option<&'a str>,
    /// Now.
    pub now: DateTime<Utc>,
}

/// What came of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Adjusted {
    /// The student.
    pub student: String,
    /// What the program proposes for the part, where it is about one.
    pub proposed: Option<Decimal>,
    /// What the paper came to before.
    pub before: Decimal,
    /// What it comes to now.
    pub after: Decimal,
    /// Students on whose papers the program gave the same reason for the part.
    pub alike: Vec<String>,
    /// The rule behind it, where the teacher said what the student reckoned.
    pub offer: Option<Offer>,
}

/// Puts the teacher's word on a paper.
///
/// # Errors
/// See the module; then nothing is changed.
pub fn adjust(request: &AdjustRequest<'_>, record: &mut Record) -> Result<Adjusted, Failure> {
    let plan = &request.prepared.plan;
    let sheet = &plan.sheet;
    let fault = |error: Diagnostic| Failure::input(vec![error], request.prepared.sources.clone());
    let mut kept = Kept::of_issued(record, sheet, request.class)?;
    let issue = paper(&kept, request.student, "--student", request.roster)
        .map_err(|error| fault(*error))?;
    let (id, student) = (issue.id, issue.student.clone());
    let at = match request.word {
        Word::Points { part, .. } => Some(place(request, part).map_err(fault)?),
        Word::Waive { part, charge, .. } => {
            about(request, part.as_deref(), *charge).map_err(fault)?
        }
    };
    let mut marker = ClassMarker::new(request.prepared, request.decimal);
    let decimal = |student: &str| {
        let roster = request.roster?;
        roster.get(roster.find(student)?)?.decimal
    };
    let counted = marker
        .mark(&kept, issue, decimal(&student))
        .map_err(fault)?;
    let mark = at.and_then(|at| counted.marked.parts.get(at)).cloned();
    let (before, proposed) = (counted.account.total, mark.as_ref().map(|mark| mark.points));
    if counted.marked.parts.is_empty() {
        let message = format!("the student {student} handed in no paper");
        let error = Diagnostic::error("--student", Place::File, message);
        return Err(fault(
            error.help("`attend --present` says that there is one"),
        ));
    }
    if let Word::Waive { charge, waived, .. } = request.word
        && !charged(plan, &counted.marked, at)
            .iter()
            .any(|(charged, _)| charged == charge)
    {
        let option = if *waived { "--waive" } else { "--charge" };
        return Err(fault(not_charged(
            option,
            at.map(|at| &*plan.parts[at].id),
            *charge,
        )));
    }
    let note = request.note.to_owned();
    let deed = match request.word.clone() {
        Word::Points { part, points } => {
            if let (Some(points), Some(mark)) = (points, &mark) {
                in_range(points, mark).map_err(fault)?;
            }
            Deed::Adjust {
                part,
                points,
                note,
                hint: None,
            }
        }
        Word::Waive {
            part,
            charge,
            waived,
        } => Deed::Waive {
            part,
            charge,
            waived,
            note,
        },
    };
    // A rule that the file would not take is told before anything is changed.
    let rule = match (request.because, at, &mark, &deed) {
        (
            Some(because),
            Some(at),
            Some(mark),
            Deed::Adjust {
                points: Some(points),
                ..
            },
        ) => {
            let share = share(request, at, mark, *points);
            let reading = (request.roster, request.decimal);
            Some(offer::offer(
                request.prepared,
                at,
                because,
                share,
                &kept,
                reading,
            )?)
        }
        _ => None,
    };
    record.append(&[NewAct::new(request.now, id, deed)])?;
    kept.catch_up(record, &sheet.code)?;
    let mut after = before;
    let mut alike = Vec::new();
    for issue in &kept.issues {
        let counted = marker
            .mark(&kept, issue, decimal(&issue.student))
            .map_err(fault)?;
        if issue.id == id {
            after = counted.account.total;
        } else if let (Some(at), Some(mark)) = (at, &mark)
            && is_alike(mark, &counted.marked, at)
            && !alike.contains(&issue.student)
        {
            alike.push(issue.student.clone());
        }
    }
    Ok(Adjusted {
        student,
        proposed,
        before,
        after,
        alike,
        offer: rule,
    })
}

/// The share of the points for its value that a part was given, to two places.
fn share(request: &AdjustRequest<'_>, at: usize, mark: &PartMark, points: Decimal) -> Decimal {
    let plan = &request.prepared.plan;
    let part = plan.part(at);
    let value = part.points - Decimal::from(part.working.len());
    if points >= mark.out_of || value <= Decimal::ZERO {
        return Decimal::ONE;
    }
    let share = (points - mark.working) / value;
    share.round_dp(2).clamp(Decimal::ZERO, Decimal::ONE)
}

/// The place of a part on the paper.
fn place(request: &AdjustRequest<'_>, part: &str) -> Result<usize, Diagnostic> {
    let parts = &request.prepared.plan.parts;
    parts.iter().position(|at| at.id == part).ok_or_else(|| {
        let message = format!("there is no part `{}`", excerpt(part, 20));
        let error = Diagnostic::error("--part", Place::File, message);
        let ids: Vec<&str> = parts.iter().map(|part| part.id.as_str()).collect();
        match nearest(part, ids.iter().copied()) {
            Some(near) => error.help(format!("did you mean `{near}`?")),
            None => error.help(format!("the parts are {}", ids.join(", "))),
        }
    })
}

/// The part that a charge is about, if it is one of a part.
fn about(
    request: &AdjustRequest<'_>,
    part: Option<&str>,
    charge: Charge,
) -> Result<Option<usize>, Diagnostic> {
    match (part, charge) {
        (Some(part), Charge::Unit | Charge::Figures) => place(request, part).map(Some),
        (None, Charge::Misread | Charge::Constant | Charge::Late) => Ok(None),
        (None, _) => {
            let message = "a unit and figures are charged on a part, and none is named";
            Err(Diagnostic::error("--part", Place::File, message).help("say which, as in --part b"))
        }
        (Some(_), _) => {
            let message = "this is charged on the paper as a whole, not on a part";
            Err(Diagnostic::error("--part", Place::File, message).help("leave --part out"))
        }
    }
}

fn not_charged(option: &str, part: Option<&str>, charge: Charge) -> Diagnostic {
    let place = part.map_or("on this paper".to_owned(), |part| format!("at ({part})"));
    let message = format!("nothing is charged for {} {place}", charge.name());
    Diagnostic::error(option, Place::File, message)
        .help("`explain` shows what is charged on a paper")
}

fn in_range(points: Decimal, mark: &PartMark) -> Result<(), Diagnostic> {
    if (Decimal::ZERO..=mark.out_of).contains(&points) {
        return Ok(());
    }
    let most = mark.out_of.normalize();
    let message = format!("expected points from 0 to {most}, found {points}");
    let help = if points < Decimal::ZERO {
        "points are not negative: to give none write --points 0"
    } else {
        "a part earns no more than its `points` in the file: give the rest to another part"
    };
    Err(Diagnostic::error("--points", Place::File, message).help(help))
}

/// Whether the same part of another paper has the same verdict for the same reasons, where the reason
/// says something: that an answer is right, wrong or blank does not.
pub(super) fn is_alike(mark: &PartMark, other: &Marked, at: usize) -> bool {
    let Some(other) = other.parts.get(at) else {
        return false;
    };
    let says = |mark: &PartMark| mark.reasons.iter().copied().find(Reason::tells_cause);
    let same = match (says(mark), says(other)) {
        (Some(Reason::SlipMade { slip, .. }), Some(Reason::SlipMade { slip: other, .. })) => {
            slip == other
        }
        (
            Some(Reason::FollowedFrom { road, .. }),
            Some(Reason::FollowedFrom { road: other, .. }),
        ) => road == other,
        (Some(one), Some(other)) => one == other,
        _ => false,
    };
    let faults = |mark: &PartMark| {
        (
            mark.unit.filter(|unit| unit.is_fault()),
            mark.figures.filter(|figures| figures.is_fault()),
        )
    };
    let has_fault = faults(mark) != (None, None) && mark.verdict != Verdict::Wrong;
    mark.verdict == other.verdict && (same || (has_fault && faults(mark) == faults(other)))
}
