//! A verdict and points on one line, as every table of the desk shows them.
//!
//! In: a mark of a paper on the desk. Out: a word or two with the role they play, and points with what
//! they are out of; a star where the teacher set them.

use rust_decimal::Decimal;

use crate::marking::figures::FiguresVerdict;
use crate::marking::{PartMark, Verdict};
use crate::plan::Plan;
use crate::record::Charge;
use crate::text;
use crate::workflow::desk::OnDesk;

use super::super::paint::Role;

/// The verdict on a part in a word or two, with its role; what the teacher set needs no look.
pub fn verdict(mark: &PartMark, adjusted: bool) -> (Role, String) {
    let role = match mark.verdict {
        Verdict::Right | Verdict::RightOtherConstant | Verdict::RightMisread => Role::Good,
        Verdict::Followed => Role::Half,
        Verdict::Unreadable => Role::Look,
        Verdict::Slip | Verdict::WrongSign | Verdict::Wrong | Verdict::Several => Role::Bad,
        Verdict::Blank | Verdict::ByEye => Role::Dim,
    };
    let role = if mark.look && !adjusted && !matches!(role, Role::Bad) {
        Role::Look
    } else {
        role
    };
    let mut words = match mark.verdict {
        Verdict::RightOtherConstant => "right, constant",
        Verdict::RightMisread => "right, misread",
        Verdict::ByEye => "",
        other => other.name(),
    }
    .to_owned();
    let unit = mark.unit.is_some_and(|unit| unit.is_fault());
    words.push_str(
        match (unit, mark.figures.is_some_and(FiguresVerdict::is_fault)) {
            (true, true) => " · unit, figures",
            (true, false) => " · unit",
            (false, true) => " · figures",
            (false, false) => "",
        },
    );
    (role, words)
}

/// The verdict in a column of so many cells: shortened where it is too long for it.
pub fn verdict_in(columns: usize, mark: &PartMark, adjusted: bool) -> (Role, String) {
    let (role, words) = verdict(mark, adjusted);
    if text::width(&words) <= columns {
        return (role, words);
    }
    (role, words.replace("figures", "fig."))
}

/// The points of a part as they stand, `2* /3`.
pub fn points(plan: &Plan, paper: &OnDesk, part: usize) -> String {
    let Some(mark) = paper.mark(part) else {
        return String::new();
    };
    let star = if paper.is_adjusted(plan, part) {
        "*"
    } else {
        ""
    };
    let stands = paper.points.parts.get(part).copied();
    let stands = stands.unwrap_or(mark.points).normalize();
    format!("{stands}{star} /{}", mark.out_of.normalize())
}

/// What the teacher said of a part against the proposal, in a line; nothing if that stands.
pub fn own_word(plan: &Plan, paper: &OnDesk, part: usize) -> Option<String> {
    let id = &plan.parts[part].id;
    let mark = paper.mark(part)?;
    let stands = paper.points.parts.get(part).copied()?.normalize();
    let out_of = mark.out_of.normalize();
    let set = paper
        .standing
        .get(id)
        .and_then(|part| part.adjustment.as_ref());
    if let Some(set) = set {
        return Some(format!(
            "({id}) stands at {stands} of {out_of}, set by you: {}",
            set.note
        ));
    }
    let charges = [Charge::Unit, Charge::Figures];
    let gone = charges
        .into_iter()
        .filter(|&charge| paper.standing.is_waived(Some(id), charge));
    let gone: Vec<&str> = gone.map(Charge::name).collect();
    (!gone.is_empty()).then(|| {
        format!(
            "({id}) stands at {stands} of {out_of}: the charge for {} let go by you",
            gone.join(" and ")
        )
    })
}

/// Where the fault of a part in unit or figures is charged, if that is another part: each once a paper.
pub fn counted_elsewhere(plan: &Plan, paper: &OnDesk, part: usize) -> Option<String> {
    if plan.sheet.paper.charge != crate::assignment::Charge::Once {
        return None;
    }
    let mark = paper.mark(part)?;
    let unit = |mark: &PartMark| {
        (
            mark.unit.is_some_and(|unit| unit.is_fault()),
            mark.unit_cost,
        )
    };
    let figures = |mark: &PartMark| {
        let is_fault = mark.figures.is_some_and(FiguresVerdict::is_fault);
        (is_fault, mark.figures_cost)
    };
    type Of<'a> = &'a dyn Fn(&PartMark) -> (bool, Decimal);
    let kinds: [(&str, Of<'_>); 2] = [("unit is", &unit), ("figures are", &figures)];
    let told = kinds.into_iter().filter_map(|(what, of)| {
        let is_free = matches!(of(mark), (true, cost) if cost.is_zero());
        let mut parts = paper.marked.parts.iter();
        let charged = parts.position(|mark| !of(mark).1.is_zero());
        let id = &plan.parts.get(charged.filter(|_| is_free)?)?.id;
        Some(format!("the {what} counted at ({id}), once a paper"))
    });
    let told: Vec<String> = told.collect();
    (!told.is_empty()).then(|| told.join("; "))
}
