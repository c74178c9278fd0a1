//! What a marked paper says, in one line: for tables of cases.

use std::fmt::Write as _;

use paperweight::marking::figures::FiguresVerdict;
use paperweight::marking::unit::UnitVerdict;
use paperweight::marking::{Marked, Reason, Status, Verdict};
use rust_decimal::Decimal;

use crate::hands::desk::Desk;

/// Part, verdict, points, then whatever is worth a word: `right 2, rounded`.
pub(crate) fn mark(desk: &Desk, marked: &Marked, at: usize) -> String {
    let mark = &marked.parts[at];
    let mut text = format!("{} {}", mark.verdict.name(), mark.points.normalize());
    for reason in &mark.reasons {
        write!(text, ", {}", told(desk, at, reason)).unwrap();
    }
    match mark.unit {
        None | Some(UnitVerdict::Same) => {}
        Some(unit) => write!(text, ", unit {}", unit.name()).unwrap(),
    }
    match mark.figures {
        None | Some(FiguresVerdict::AsAsked) => {}
        Some(figures) => write!(text, ", figures {}", figures.name()).unwrap(),
    }
    for (name, cost) in [("unit", mark.unit_cost), ("figures", mark.figures_cost)] {
        if cost > Decimal::ZERO {
            write!(text, ", -{} for the {name}", cost.normalize()).unwrap();
        }
    }
    if mark.look {
        text += ", look";
    }
    text
}

/// All parts with something on them, then the paper: `b right 2, rounded; paper -1`.
pub(crate) fn paper(desk: &Desk, marked: &Marked) -> String {
    let mut pieces: Vec<String> = Vec::new();
    for (at, part) in marked.parts.iter().enumerate() {
        let is_silent = part.verdict == Verdict::Blank && part.points == Decimal::ZERO;
        if !is_silent {
            pieces.push(format!(
                "{} {}",
                desk.plan.parts[at].id,
                mark(desk, marked, at)
            ));
        }
    }
    for (name, amount) in [("paper", marked.paper_cost), ("late", marked.late)] {
        if amount != Decimal::ZERO {
            pieces.push(format!("{name} {}", amount.normalize()));
        }
    }
    if marked.status != Status::Marked {
        pieces.push(marked.status.name().to_owned());
    }
    pieces.join("; ")
}

/// A reason in a few words; slots by their names.
fn told(desk: &Desk, at: usize, reason: &Reason) -> String {
    let problem = &desk.plan.sheet.problems[desk.plan.parts[at].problem];
    match reason {
        Reason::Rounded => "rounded".to_owned(),
        Reason::WithinTolerance => "within the tolerance".to_owned(),
        Reason::RoundedOnTheWay => "rounded on the way".to_owned(),
        Reason::Truncated => "cut off".to_owned(),
        Reason::Accepted(index) => format!("accepted {index}"),
        Reason::InWindow => "in the accepted range".to_owned(),
        Reason::IgnoresEarlier => "ignores earlier".to_owned(),
        Reason::OtherConstant { given, allowed } => {
            let given = &problem.givens[*given];
            format!("with {} = {}", given.name, given.allowed[*allowed].quantity)
        }
        Reason::OnMisread => "on misread".to_owned(),
        Reason::MisreadHasNoKey => "misread has no key".to_owned(),
        Reason::SignNoted => "sign noted".to_owned(),
        Reason::SignCharged => "sign charged".to_owned(),
        Reason::FollowedFrom {
            inputs, rounded_to, ..
        } => {
            let names: Vec<&str> = inputs
                .iter()
                .map(|slot| problem.unknowns[slot - problem.givens.len()].name.as_str())
                .collect();
            let rounded = rounded_to.map_or(String::new(), |figures| format!(" to {figures}"));
            format!("from {}{rounded}", names.join("+"))
        }
        Reason::Impossible { condition } => {
            format!("impossible by {condition}")
        }
        Reason::Trivial => "trivial".to_owned(),
        Reason::SlipMade { slip, luck, look } => {
            let luck = if *luck > 0.01 { " by luck" } else { "" };
            format!(
                "slip {slip}{luck}{}",
                if *look { " to look at" } else { "" }
            )
        }
        Reason::OrSlip(slip) => format!("or slip {slip}"),
        Reason::MistakeFound { .. } => "mistake found".to_owned(),
        Reason::ReadTheWayThatFits => "read the way that fits".to_owned(),
        Reason::WorkingAssumed => "working assumed".to_owned(),
        Reason::WorkingOpen => "working open".to_owned(),
        Reason::ByTeacher => "by teacher".to_owned(),
    }
}
