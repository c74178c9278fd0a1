//! A paper as the student is told of it, and the teacher's word as the teacher is reminded of it.
//!
//! In: a marked paper and what the teacher made of it. Out: the marks with that word in them; what the
//! student is told; lines that say what was set or let go, and why. Notes are the teacher's own: no student
//! is told them.

use std::fmt::Write;

use rust_decimal::Decimal;

use crate::feedback;
use crate::marking::{Key, MOST_REASONS, Marked, Reason, Verdict};
use crate::plan::Plan;
use crate::record::{Account, Charge, Message, Standing, late_let_go, paper_let_go};
use crate::text::safe;

/// The paper as the student is told of it: a part that the teacher gave all its points is right, one
/// that the teacher gave others is said to be so, and what was let go counts for nothing.
pub(super) fn told(plan: &Plan, marked: &Marked, account: &Account, standing: &Standing) -> Marked {
    let mut told = marked.clone();
    let parts = plan.parts.iter().zip(&mut told.parts).zip(&account.by_part);
    for ((place, mark), more) in parts {
        let waived = |charge| standing.is_waived(Some(&place.id), charge);
        let full = *more > Decimal::ZERO && mark.points + *more >= mark.out_of;
        if full || waived(Charge::Unit) {
            mark.points += mark.unit_cost;
            mark.unit = None;
            mark.unit_cost = Decimal::ZERO;
        }
        if full || waived(Charge::Figures) {
            mark.points += mark.figures_cost;
            mark.figures = None;
            mark.figures_cost = Decimal::ZERO;
        }
        if full && mark.points < mark.out_of {
            if mark.verdict != Verdict::ByEye {
                mark.verdict = Verdict::Right;
            }
            mark.points = mark.out_of;
            mark.reasons.clear();
            mark.look = false;
        } else if let Some(adjustment) = standing
            .get(&place.id)
            .and_then(|at| at.adjustment.as_ref())
        {
            mark.points = adjustment.points;
            mark.reasons.truncate(MOST_REASONS - 1);
            mark.reasons.push(Reason::ByTeacher);
        }
    }
    told.paper_cost += paper_let_go(plan, marked, standing);
    told.late += late_let_go(marked, standing);
    told.status = account.status;
    told.total = account.total;
    told
}

/// Adds what the student is told to `out`: the teacher's own words where there are some, nothing where they
/// were withheld, else those of the program; of those nothing while the paper is keyed in part, for what is
/// not keyed yet would be called blank. `told` is the paper as [`told`] gives it.
pub(super) fn words(plan: &Plan, key: &Key, told: &Marked, standing: &Standing, out: &mut String) {
    match &standing.message {
        Some(Message::Words(words)) => out.push_str(words),
        Some(Message::Withheld) => {}
        None if is_keyed_in_part(plan, standing) => {}
        None => by_program(plan, key, told, standing, out),
    }
}

/// Adds what the program has to say to the student to `out`; of what may have been done only what the teacher
/// took as the reason, and tentatively: the teacher has not seen it done either.
pub(super) fn by_program(
    plan: &Plan,
    key: &Key,
    told: &Marked,
    standing: &Standing,
    out: &mut String,
) {
    feedback::paper(plan, key, told, out);
    for (place, mark) in plan.parts.iter().zip(&told.parts) {
        let set = standing.get(&place.id);
        let hint = set.and_then(|at| at.adjustment.as_ref()?.hint.as_ref());
        if let Some(hint) = hint.filter(|_| !mark.verdict.is_right()) {
            // Writing into a string cannot fail.
            let _ = write!(out, " At ({}) it may be that {hint}.", place.id);
        }
    }
}

/// Whether some answers are keyed and others are not.
fn is_keyed_in_part(plan: &Plan, standing: &Standing) -> bool {
    let mut answers = (0..plan.parts.len()).filter(|at| !plan.is_by_eye(*at));
    let is_keyed = |at: usize| standing.entry(&plan.parts[at].id).is_some();
    answers.clone().any(is_keyed) && !answers.all(is_keyed)
}

/// What the teacher set and let go on a paper, with the notes; nothing where nothing.
pub(super) fn word(plan: &Plan, marked: &Marked, account: &Account, standing: &Standing) -> String {
    let mut out = String::new();
    let note = |note: &str| {
        if note.is_empty() {
            String::new()
        } else {
            format!(": {}", safe(note))
        }
    };
    for (place, mark) in plan.parts.iter().zip(&marked.parts) {
        let set = standing
            .get(&place.id)
            .and_then(|at| at.adjustment.as_ref());
        if let Some(set) = set {
            let (id, points) = (&place.id, set.points.normalize());
            let proposed = mark.points.normalize();
            // Writing into a string cannot fail.
            let _ = writeln!(
                out,
                "    ({id}) {points}, proposed {proposed}{}",
                note(&set.note)
            );
        }
    }
    for ((part, charge), why) in &standing.waived {
        let of = part
            .as_ref()
            .map_or(String::new(), |part| format!("({}) ", safe(part)));
        let _ = writeln!(out, "    {of}{} not charged{}", charge.name(), note(why));
    }
    if out.is_empty() {
        return out;
    }
    let (total, out_of) = (account.total.normalize(), marked.out_of.normalize());
    format!("\nYour word\n{out}    total {total} of {out_of}\n")
}
