//! Adds up a paper.
//!
//! In: what the tests found of each part, the points keyed for working, and what the problems cost
//! the paper. Out: the marked paper.

use arrayvec::ArrayVec;
use rust_decimal::Decimal;

use crate::assignment::Part;
use crate::plan::Plan;

use super::answer::Outcome;
use super::figures::FiguresVerdict;
use super::points::{self, Charger, Earned};
use super::settle::Found;
use super::unit::UnitVerdict;
use super::{Marked, Paper, PartMark, Reason, Status, Verdict, is_empty_paper};

/// What a problem costs the paper as a whole.
#[derive(Default)]
pub(super) struct PaperCosts {
    pub(super) misread: bool,
    pub(super) constant: Decimal,
}

/// Adds up what was found of a paper.
pub(super) fn up(
    plan: &Plan,
    paper: &Paper,
    found: Vec<Found>,
    costs: &PaperCosts,
    out_of: Decimal,
) -> Marked {
    let rules = &plan.sheet.paper;
    let mut charger = Charger::new(rules.charge);
    let mut open = false;
    let mut look = false;
    let mut parts = Vec::with_capacity(found.len());
    for (at, found) in found.into_iter().enumerate() {
        let keyed = paper.working.get(at).copied().flatten();
        let mark = part_mark(plan.part(at), found, keyed, &mut charger);
        open |= mark.is_open();
        look |= mark.look;
        parts.push(mark);
    }
    open &= !is_empty_paper(&parts);
    let earned: Decimal = parts.iter().map(|mark| mark.points).sum();
    let misread = if costs.misread {
        rules.misread_cost
    } else {
        Decimal::ZERO
    };
    let paper_cost = points::paper_cost(earned, misread + costs.constant);
    let late = points::late(earned + paper_cost, paper.days_late, rules.late.as_ref());
    Marked {
        status: match (look, open) {
            (true, _) => Status::NeedsALook,
            (false, true) => Status::PartlyMarked,
            (false, false) => Status::Marked,
        },
        parts,
        paper_cost,
        late,
        total: earned + paper_cost + late,
        out_of,
    }
}

fn part_mark(part: &Part, found: Found, keyed: Option<u8>, charger: &mut Charger) -> PartMark {
    let all_working = Decimal::from(part.working.len());
    let (outcome, unit, figures, truncated) = match found {
        Found::Eye(points) => return by_eye(part, points),
        Found::Choice(outcome) => (outcome, None, None, false),
        Found::Answer {
            outcome,
            unit,
            figures,
            truncated,
        } => (outcome, unit, figures, truncated),
    };
    let Outcome {
        verdict,
        share,
        mut reasons,
        look,
        ..
    } = outcome;
    let full = share == Decimal::ONE;
    let working = match keyed {
        Some(points) => Decimal::from(points).min(all_working),
        None if part.working.is_empty() || verdict == Verdict::Blank => Decimal::ZERO,
        None if full && !part.rules.value_needs_working => {
            let _ = reasons.try_push(Reason::WorkingAssumed);
            all_working
        }
        None => {
            let _ = reasons.try_push(Reason::WorkingOpen);
            Decimal::ZERO
        }
    };
    let figures_at_fault = figures.is_some_and(FiguresVerdict::is_fault) || truncated;
    let earned = Earned {
        value_points: part.points - all_working,
        share,
        working,
        unit_fault: unit
            .is_some_and(UnitVerdict::is_fault)
            .then_some(part.rules.unit_cost),
        figures_fault: figures_at_fault.then_some(part.rules.figures_cost),
    };
    let points = charger.part(&earned);
    PartMark {
        verdict,
        look: look || reasons.contains(&Reason::WorkingOpen),
        reasons,
        unit,
        figures,
        share,
        working,
        unit_cost: points.unit_cost,
        figures_cost: points.figures_cost,
        points: points.points,
        out_of: part.points,
    }
}

fn by_eye(part: &Part, points: Option<u8>) -> PartMark {
    let mut reasons = ArrayVec::new();
    if points.is_none() {
        reasons.push(Reason::WorkingOpen);
    }
    let points = points.map_or(Decimal::ZERO, Decimal::from).min(part.points);
    PartMark {
        verdict: Verdict::ByEye,
        reasons,
        unit: None,
        figures: None,
        share: Decimal::ZERO,
        working: points,
        unit_cost: Decimal::ZERO,
        figures_cost: Decimal::ZERO,
        points,
        out_of: part.points,
        look: false,
    }
}
