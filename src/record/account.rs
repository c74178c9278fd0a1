//! What a paper comes to once the teacher has had the last word.
//!
//! In: a paper as the program proposes to mark it, and what stands in the record about it. Out: the
//! status, what the teacher added or took away, and the total: parts + paper cost + late + adjusted =
//! total, never below 0. The proposal itself never moves: a charge let go wakes no other, and late
//! stays the share of what was earned before any adjustment.

use rust_decimal::Decimal;

use super::act::{AcceptedPart, Charge, Proposal};
use super::state::{PartStanding, Standing};
use crate::marking::points;
use crate::marking::{Marked, PartMark, Reason, Status, is_empty_paper};
use crate::plan::Plan;

/// What a paper comes to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Account {
    /// How far it is, with the teacher's word.
    pub status: Status,
    /// For each part what the teacher added to the points proposed; 0 where nothing.
    pub by_part: Vec<Decimal>,
    /// All that the teacher added, charges of the paper let go included.
    pub adjusted: Decimal,
    /// The sum, never below 0.
    pub total: Decimal,
}

/// Reckons what a paper comes to. A paper on which a part was not keyed yet is partly marked.
pub fn account(plan: &Plan, marked: &Marked, standing: &Standing) -> Account {
    let mut by_part = Vec::with_capacity(marked.parts.len());
    let (mut look, mut open, mut unkeyed) = (false, false, false);
    for (at, (place, mark)) in plan.parts.iter().zip(&marked.parts).enumerate() {
        let part = standing.get(&place.id);
        let adjustment = part.and_then(|part| part.adjustment.as_ref());
        by_part.push(match adjustment {
            Some(adjustment) => adjustment.points - mark.points,
            None => let_go(&place.id, mark, standing),
        });
        if adjustment.is_none() {
            // Two keyings that differ: the paper says which one is meant.
            look |= mark.look || part.is_some_and(PartStanding::differs);
            open |= mark.is_open();
            unkeyed |= !plan.is_by_eye(at) && standing.entry(&place.id).is_none();
        }
    }
    open &= !is_empty_paper(&marked.parts);
    let status = match marked.status {
        Status::Absent | Status::Excused | Status::NotKeyed | Status::NoPaper => marked.status,
        _ if look => Status::NeedsALook,
        _ if open || unkeyed => Status::PartlyMarked,
        _ => Status::Marked,
    };
    let mut adjusted: Decimal = by_part.iter().sum();
    adjusted += paper_let_go(plan, marked, standing) + late_let_go(marked, standing);
    let adjusted = adjusted.max(-marked.total);
    Account {
        status,
        by_part,
        adjusted,
        total: marked.total + adjusted,
    }
}

/// What a part gets back of its charges.
fn let_go(id: &str, mark: &PartMark, standing: &Standing) -> Decimal {
    let charges = [
        (Charge::Unit, mark.unit_cost),
        (Charge::Figures, mark.figures_cost),
    ];
    let gone = charges
        .iter()
        .filter(|(charge, _)| standing.is_waived(Some(id), *charge));
    gone.map(|(_, cost)| *cost).sum()
}

/// What the paper gets back of its own charges, 0 or above.
pub fn paper_let_go(plan: &Plan, marked: &Marked, standing: &Standing) -> Decimal {
    let charges = paper_charges(plan, marked);
    let left = charges
        .iter()
        .filter(|(charge, _)| !standing.is_waived(None, *charge));
    let left: Decimal = left.map(|(_, cost)| *cost).sum();
    let earned: Decimal = marked.parts.iter().map(|mark| mark.points).sum();
    points::paper_cost(earned, left) - marked.paper_cost
}

/// What the paper gets back of what lateness took, 0 or above.
pub fn late_let_go(marked: &Marked, standing: &Standing) -> Decimal {
    if standing.is_waived(None, Charge::Late) {
        -marked.late
    } else {
        Decimal::ZERO
    }
}

/// What the paper as a whole is charged for, before that is bounded by what was earned.
pub fn paper_charges(plan: &Plan, marked: &Marked) -> [(Charge, Decimal); 2] {
    let (mut misread, mut constant) = (Decimal::ZERO, Decimal::ZERO);
    for (place, mark) in plan.parts.iter().zip(&marked.parts) {
        for reason in &mark.reasons {
            match reason {
                Reason::OnMisread => misread = plan.sheet.paper.misread_cost,
                Reason::OtherConstant { given, allowed } => {
                    let givens = &plan.sheet.problems[place.problem].givens;
                    let value = givens
                        .get(*given)
                        .and_then(|given| given.allowed.get(*allowed));
                    constant = constant.max(value.map_or(Decimal::ZERO, |value| value.cost));
                }
                _ => {}
            }
        }
    }
    [(Charge::Misread, misread), (Charge::Constant, constant)]
}

/// What is charged on a part, or without one on the paper as a whole, and so may be let go; each with what it
/// takes. No charge takes more from a paper than all of them did.
pub fn charged(plan: &Plan, marked: &Marked, part: Option<usize>) -> Vec<(Charge, Decimal)> {
    let mut charges = Vec::new();
    match part {
        Some(at) => charges.extend(marked.parts.get(at).into_iter().flat_map(|mark| {
            [
                (Charge::Unit, mark.unit_cost),
                (Charge::Figures, mark.figures_cost),
            ]
        })),
        None => {
            let most = marked.paper_cost.abs();
            let of_paper = paper_charges(plan, marked).into_iter();
            charges.extend(of_paper.map(|(charge, cost)| (charge, cost.min(most))));
            charges.push((Charge::Late, marked.late));
        }
    }
    charges.retain(|(_, cost)| !cost.is_zero());
    charges
}

/// The proposal as it is kept when the marks are taken.
pub fn proposal(plan: &Plan, marked: &Marked, scheme: &str, program: &str) -> Proposal {
    let parts = plan.parts.iter().zip(&marked.parts);
    let parts = parts.map(|(place, mark)| AcceptedPart {
        part: place.id.clone(),
        points: mark.points.normalize(),
        verdict: mark.verdict.name().to_owned(),
    });
    Proposal {
        parts: parts.collect(),
        paper_cost: marked.paper_cost.normalize(),
        late: marked.late.normalize(),
        scheme: scheme.to_owned(),
        program: program.to_owned(),
    }
}
