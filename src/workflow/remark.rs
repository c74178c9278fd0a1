//! What would move if the papers were marked anew, and taking it.
//!
//! In: a class whose marks were taken once, and today's file and program. Out: every mark that would
//! move, from what to what and why. Applied, the proposals of today are kept; of papers that were given
//! back only what rises, unless asked otherwise: what would fall stays as an adjustment with a note.

use chrono::{DateTime, Utc};
use rust_decimal::Decimal;

use crate::record::{
    Attendance, Charge, Deed, Issue, NewAct, Proposal, Record, Standing, paper_charges, proposal,
};
use crate::roster::Roster;
use crate::text::DecimalMark;

use super::export::{PROGRAM, same_marks};
use super::kept::{Kept, filed};
use super::marked::class::ClassMarker;
use super::{Failure, Findings, Prepared, difference};

/// The note on what is kept of a paper that was given back.
const KEPT: &str = "kept as it was given back";

/// What moves.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Move {
    /// Whose.
    pub student: String,
    /// Which paper of the sheet, from 1.
    pub number: u32,
    /// The part, or what of the paper as a whole: `paper_cost`, `late`.
    pub part: String,
    /// The points taken then; `None` for a part that was not there.
    pub from: Option<Decimal>,
    /// The points proposed today; `None` for a part that is no longer there.
    pub to: Option<Decimal>,
    /// The verdicts, then and today; empty for costs of the paper.
    pub verdicts: (String, String),
    /// What it comes from.
    pub why: Why,
    /// The teacher's own points, which stay whatever the proposal under them does.
    pub adjusted: Option<Decimal>,
    /// Whether the paper was given back.
    pub returned: bool,
}

/// What a move comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// Something was keyed or noted since.
    Keyed,
    /// The assignment's file is another one.
    File,
    /// The program is another version.
    Program,
    /// Both are.
    Both,
    /// None of these: another due date.
    Due,
}

impl Why {
    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Keyed => "keyed since",
            Self::File => "the file has changed",
            Self::Program => "another version of the program",
            Self::Both => "the file and the program have changed",
            Self::Due => "another due date",
        }
    }
}

impl Move {
    /// How far the mark moves; 0 where the teacher's own points stand or only the reason changes.
    pub fn by(&self) -> Decimal {
        if self.adjusted.is_some() {
            return Decimal::ZERO;
        }
        self.to.unwrap_or_default() - self.from.unwrap_or_default()
    }
}

/// Whose papers are marked anew.
#[derive(Clone, Copy, Debug)]
pub struct RemarkRequest<'a> {
    /// The sheet, prepared.
    pub prepared: &'a Prepared,
    /// The class.
    pub class: &'a str,
    /// Its roster, for the decimal marks.
    pub roster: &'a Roster,
    /// The decimal mark of students for whom the roster does not say it.
    pub decimal: DecimalMark,
    /// Whether to take the moves, and of papers given back those that fall too.
    pub apply: Option<Falls>,
    /// Now.
    pub now: DateTime<Utc>,
}

/// What becomes of marks that fall on papers that were given back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Falls {
    /// They stay.
    Stay,
    /// They fall.
    Fall,
}

/// What moves, and what was done about it.
#[derive(Clone, Debug, Default)]
pub struct Remarked {
    /// Paper by paper, in the order in which they were issued.
    pub moves: Vec<Move>,
    /// Papers whose marks had been taken before.
    pub papers: usize,
    /// Falls on papers given back that stay as they were.
    pub held: usize,
    /// What has changed in the file.
    pub findings: Findings,
}

/// Marks a class anew and compares it with what was taken.
///
/// # Errors
/// A class without papers, papers that today's file cannot solve.
pub fn remark(request: &RemarkRequest<'_>, record: &mut Record) -> Result<Remarked, Failure> {
    let plan = &request.prepared.plan;
    let sources = &request.prepared.sources;
    let fault = |list| Failure::input(list, sources.clone());
    let kept = Kept::of_issued(record, &plan.sheet, request.class)?;
    let now = filed(request.prepared);
    let mut remarked = Remarked {
        findings: Findings {
            list: difference::since_issued(record, &kept.issues, &now, sources)?,
            sources: sources.clone(),
        },
        ..Remarked::default()
    };
    let mut marker = ClassMarker::new(request.prepared, request.decimal);
    let mut acts = Vec::new();
    for issue in &kept.issues {
        let standing = kept.standing(issue.id);
        let Some(accepted) = &standing.accepted else {
            continue;
        };
        let place = request.roster.find(&issue.student);
        let decimal = place.and_then(|at| request.roster.get(at)?.decimal);
        let counted = marker
            .mark(&kept, issue, decimal)
            .map_err(|finding| fault(vec![finding]))?;
        if counted.marked.parts.is_empty() || standing.attendance == Some(Attendance::Absent) {
            continue;
        }
        remarked.papers += 1;
        let today = proposal(plan, &counted.marked, &now.digest, PROGRAM);
        if same_marks(&accepted.proposal, &today) {
            continue;
        }
        let keyed = kept.is_keyed_since(issue.id, accepted.act);
        let case = Case {
            issue,
            standing,
            then: &accepted.proposal,
            today: &today,
            why: why(&accepted.proposal, &today, keyed),
        };
        case.moves(&mut remarked.moves);
        if let Some(falls) = request.apply {
            let charges = paper_charges(plan, &counted.marked);
            let mut deeds = Vec::new();
            if falls == Falls::Stay && standing.returned.is_some() {
                case.hold(&charges, &mut deeds);
                remarked.held += deeds.len();
            }
            deeds.push(Deed::Accept {
                proposal: today.clone(),
            });
            acts.extend(
                deeds
                    .into_iter()
                    .map(|deed| NewAct::new(request.now, issue.id, deed)),
            );
        }
    }
    record.append(&acts)?;
    Ok(remarked)
}

fn why(then: &Proposal, today: &Proposal, keyed: bool) -> Why {
    match (then.scheme != today.scheme, then.program != today.program) {
        _ if keyed => Why::Keyed,
        (true, true) => Why::Both,
        (true, false) => Why::File,
        (false, true) => Why::Program,
        (false, false) => Why::Due,
    }
}

/// One paper whose marks move.
struct Case<'a> {
    issue: &'a Issue,
    standing: &'a Standing,
    then: &'a Proposal,
    today: &'a Proposal,
    why: Why,
}

impl Case<'_> {
    fn moves(&self, moves: &mut Vec<Move>) {
        let mut push = |part: &str, from, to, verdicts: (&str, &str)| {
            let adjustment = self
                .standing
                .get(part)
                .and_then(|at| at.adjustment.as_ref());
            moves.push(Move {
                student: self.issue.student.clone(),
                number: self.issue.number,
                part: part.to_owned(),
                from,
                to,
                verdicts: (verdicts.0.to_owned(), verdicts.1.to_owned()),
                why: self.why,
                adjusted: adjustment.map(|adjustment| adjustment.points),
                returned: self.standing.returned.is_some(),
            });
        };
        for new in &self.today.parts {
            match self.then.parts.iter().find(|old| old.part == new.part) {
                Some(old) if old == new => {}
                Some(old) => push(
                    &new.part,
                    Some(old.points),
                    Some(new.points),
                    (&old.verdict, &new.verdict),
                ),
                None => push(&new.part, None, Some(new.points), ("", &new.verdict)),
            }
        }
        for old in &self.then.parts {
            if !self.today.parts.iter().any(|new| new.part == old.part) {
                push(&old.part, Some(old.points), None, (&old.verdict, ""));
            }
        }
        for (name, old, new) in [
            ("paper_cost", self.then.paper_cost, self.today.paper_cost),
            ("late", self.then.late, self.today.late),
        ] {
            if old != new {
                push(name, Some(old), Some(new), ("", ""));
            }
        }
    }

    /// What keeps a paper that was given back from falling: the points of its parts are set to what they
    /// were; where the paper as a whole would still come to less, the charges that grew are let go.
    fn hold(&self, charges: &[(Charge, Decimal)], deeds: &mut Vec<Deed>) {
        let (mut then, mut today) = (Decimal::ZERO, Decimal::ZERO);
        for new in &self.today.parts {
            let old = self.then.parts.iter().find(|old| old.part == new.part);
            let old = old.map_or(new.points, |old| old.points);
            let is_adjusted = self
                .standing
                .get(&new.part)
                .is_some_and(|part| part.adjustment.is_some());
            then += old;
            today += old.max(new.points);
            if old > new.points && !is_adjusted {
                deeds.push(Deed::Adjust {
                    part: new.part.clone(),
                    points: Some(old),
                    note: KEPT.to_owned(),
                    hint: None,
                });
            }
        }
        then += self.then.paper_cost + self.then.late;
        today += self.today.paper_cost + self.today.late;
        let mut waive = |charge: Charge| {
            if !self.standing.is_waived(None, charge) {
                deeds.push(Deed::Waive {
                    part: None,
                    charge,
                    waived: true,
                    note: KEPT.to_owned(),
                });
            }
        };
        if today < then && self.today.paper_cost < self.then.paper_cost {
            let charged = charges.iter().filter(|(_, cost)| *cost > Decimal::ZERO);
            charged.for_each(|(charge, _)| waive(*charge));
            today -= self.today.paper_cost;
        }
        if today < then && self.today.late < self.then.late {
            waive(Charge::Late);
        }
    }
}
