//! Points that add up, line by line.
//!
//! In: the mark of a part or of a paper. Out: amounts with what they are for, and their sum.

use rust_decimal::Decimal;

use crate::assignment::{Charge, Part, PartKind};
use crate::marking::figures::FiguresVerdict;
use crate::marking::unit::UnitVerdict;
use crate::marking::{PartMark, Reason};
use crate::text::counted;

use super::Case;
use super::page::Page;

/// Writes how the points of part `at` come about.
pub(super) fn of_part(case: &Case<'_>, at: usize, mark: &PartMark, page: &mut Page) {
    let part = case.plan.part(at);
    let out_of = format!("of {}", mark.out_of.normalize());
    if matches!(part.kind, PartKind::Eye(_)) {
        let given = case.paper.entries.get(at);
        let given = match given {
            Some(crate::marking::Entry::Eye(Some(_))) => "given by eye",
            _ => "nothing given yet",
        };
        page.amount("points", mark.working, false, given);
        page.amount("", mark.points, true, &out_of);
        return;
    }
    let all_working = Decimal::from(part.working.len());
    let value_points = mark.out_of - all_working;
    let earned = value_points * mark.share;
    let words = if mark.share == Decimal::ONE {
        "for the value".to_owned()
    } else if mark.share.is_zero() {
        format!("for the value, of {}", value_points.normalize())
    } else {
        format!(
            "for the value: {} of {}",
            percent(mark.share),
            value_points.normalize()
        )
    };
    page.amount("points", earned, false, &words);
    if !part.working.is_empty() {
        let keyed = case.paper.working.get(at).copied().flatten();
        let words = match keyed {
            Some(_) => format!("for the working, keyed, of {all_working}"),
            None if mark.reasons.contains(&Reason::WorkingAssumed) => {
                format!("for the working, all of {all_working}: nothing keyed")
            }
            None => format!("for the working, of {all_working}: nothing keyed"),
        };
        page.amount("", mark.working, false, &words);
    }
    if let Some(unit) = mark.unit.filter(|unit| unit.is_fault()) {
        let fault = Fault {
            cost: mark.unit_cost,
            declared: part.rules.unit_cost,
            charged: |mark| mark.unit_cost,
            words: unit_words(unit),
        };
        fault.write(case, at, page);
    }
    if let Some(words) = figures_words(part, mark) {
        let fault = Fault {
            cost: mark.figures_cost,
            declared: part.rules.figures_cost,
            charged: |mark| mark.figures_cost,
            words,
        };
        fault.write(case, at, page);
    }
    page.amount("", mark.points, true, &out_of);
}

fn unit_words(unit: UnitVerdict) -> &'static str {
    match unit {
        UnitVerdict::Missing => "unit missing",
        UnitVerdict::WrongDimension => "unit of another dimension",
        _ => "unit of another size",
    }
}

fn figures_words(part: &Part, mark: &PartMark) -> Option<&'static str> {
    let charged = part.rules.truncated == crate::assignment::Leniency::Charge;
    match mark.figures {
        Some(FiguresVerdict::TooFew) => Some("too few figures"),
        Some(FiguresVerdict::TooMany) => Some("too many figures"),
        Some(FiguresVerdict::Unevaluated) => Some("left as an expression"),
        _ if charged && mark.reasons.contains(&Reason::Truncated) => {
            Some("cut off instead of rounded")
        }
        _ => None,
    }
}

/// A fault of the unit or of the figures.
struct Fault {
    cost: Decimal,
    /// What it costs by the scheme.
    declared: Decimal,
    /// What it cost in another part.
    charged: fn(&PartMark) -> Decimal,
    words: &'static str,
}

impl Fault {
    fn write(&self, case: &Case<'_>, at: usize, page: &mut Page) {
        let earlier = case.marked.parts[..at]
            .iter()
            .position(|mark| (self.charged)(mark) > Decimal::ZERO);
        let once = case.plan.sheet.paper.charge == Charge::Once;
        let why = match earlier {
            _ if self.cost > Decimal::ZERO && self.cost < self.declared => {
                ": no more was left".to_owned()
            }
            _ if self.cost > Decimal::ZERO => String::new(),
            _ if self.declared.is_zero() => ": costs nothing here".to_owned(),
            Some(earlier) if once => {
                format!(": charged once, at ({})", case.plan.parts[earlier].id)
            }
            _ => ": nothing to charge it on".to_owned(),
        };
        page.amount("", -self.cost, false, &format!("{}{why}", self.words));
    }
}

/// Writes how the total of the paper comes about.
pub(super) fn of_paper(case: &Case<'_>, page: &mut Page) {
    let marked = case.marked;
    let rules = &case.plan.sheet.paper;
    let earned: Decimal = marked.parts.iter().map(|mark| mark.points).sum();
    page.gap();
    page.heading(&format!(
        "Paper: {} of {}, {}",
        marked.total.normalize(),
        marked.out_of.normalize(),
        marked.status.name()
    ));
    for (index, (mark, place)) in marked.parts.iter().zip(&case.plan.parts).enumerate() {
        let label = if index == 0 { "points" } else { "" };
        let look = if mark.look { ", needs a look" } else { "" };
        let words = format!("({}), of {}{look}", place.id, mark.out_of.normalize());
        page.amount(label, mark.points, false, &words);
    }
    let has = |wanted: &dyn Fn(&Reason) -> bool| {
        marked
            .parts
            .iter()
            .any(|mark| mark.reasons.iter().any(wanted))
    };
    // Each of the paper's costs takes what the one before has left.
    let mut left = -marked.paper_cost;
    let mut charge = |cost: Decimal, words: &str, page: &mut Page| {
        let cost = cost.min(left);
        left -= cost;
        page.amount("", -cost, false, words);
    };
    if has(&|reason| *reason == Reason::OnMisread) {
        charge(rules.misread_cost, "numbers misread, once a paper", page);
    }
    if let Some((words, cost)) = constant(case) {
        charge(cost, &words, page);
    }
    if let Some(late) = rules.late.as_ref().filter(|_| case.paper.days_late > 0) {
        let days = case.paper.days_late;
        let words = format!(
            "{} late: {} a day of {}, at most {}",
            counted(days, "day"),
            percent(late.per_day),
            (earned + marked.paper_cost).normalize(),
            percent(late.at_most),
        );
        page.amount("", marked.late, false, &words);
    }
    let out_of = format!("of {}", marked.out_of.normalize());
    page.amount("", marked.total, true, &out_of);
}

/// The dearest other constant that was used, and what it costs.
fn constant(case: &Case<'_>) -> Option<(String, Decimal)> {
    let mut dearest: Option<(String, Decimal)> = None;
    for (at, mark) in case.marked.parts.iter().enumerate() {
        for reason in &mark.reasons {
            let Reason::OtherConstant { given, allowed } = reason else {
                continue;
            };
            let given = case.plan.assignment(at).givens.get(*given)?;
            let allowed = given.allowed.get(*allowed)?;
            if dearest
                .as_ref()
                .is_none_or(|(_, cost)| allowed.cost > *cost)
            {
                let words = format!("{} = {}, once a paper", given.name, allowed.quantity);
                dearest = Some((words, allowed.cost));
            }
        }
    }
    dearest
}

/// A share as a percentage: `10 %`.
fn percent(share: Decimal) -> String {
    format!("{} %", (share * Decimal::ONE_HUNDRED).normalize())
}
