//! The summary of a marked class, for the teacher.
//!
//! In: the tally. Out: a few aligned lines: how many papers have which status, how each part went,
//! and which papers to look at first. Students are named by their ids alone, so that the screen may
//! be seen.

use std::fmt::Write;

use rust_decimal::Decimal;

use crate::plan::Plan;
use crate::roster::Roster;
use crate::text;
use crate::text::counted;
use crate::workflow::{MarkOutcome, Tally};

/// The summary, 80 columns wide.
pub(super) fn of(plan: &Plan, roster: &Roster, outcome: &MarkOutcome) -> String {
    let mut out = String::new();
    // Writing into a string cannot fail.
    let _ = write(plan, roster, outcome, &mut out);
    out
}

/// Said of a paper whose wrong answers are another student's; whose, is said elsewhere.
const ANOTHERS: &str = "another student's numbers: --for-teacher FILE says whose";

fn write(
    plan: &Plan,
    roster: &Roster,
    outcome: &MarkOutcome,
    out: &mut String,
) -> std::fmt::Result {
    let tally = &outcome.tally;
    let sheet = &plan.sheet;
    writeln!(
        out,
        "{}  {}",
        text::safe(&sheet.code),
        text::safe(&sheet.title)
    )?;
    let counts = [
        (tally.marked, "marked"),
        (tally.partly_marked, "partly marked"),
        (tally.needs_a_look, "to look at"),
        (tally.absent, "absent"),
        (tally.excused, "excused"),
        (tally.not_keyed, "not keyed"),
        (tally.no_paper, "without a paper"),
    ];
    let counts = counts.iter().filter(|(count, _)| *count > 0);
    let counts: Vec<String> = counts
        .map(|(count, name)| format!("{count} {name}"))
        .collect();
    writeln!(
        out,
        "{}: {}",
        counted(tally.students, "student"),
        counts.join(", ")
    )?;
    if tally.marked > 0 {
        let mean = tally.total / Decimal::from(tally.marked);
        writeln!(
            out,
            "mean of the {} marked: {} of {}",
            tally.marked,
            shown(mean),
            sheet.points().normalize()
        )?;
    }
    if tally.papers() > 0 {
        parts(plan, tally, out)?;
    }
    if !tally.looks.is_empty() {
        writeln!(out, "\nto look at:")?;
        for &(student, part) in &tally.looks {
            let part = part
                .and_then(|at| plan.parts.get(at))
                .map_or("", |part| part.id.as_str());
            let id = text::excerpt(roster.id(student), 12);
            if outcome.others.iter().any(|of| of.student == student) {
                writeln!(out, "  {id:<12} {part:<4} {ANOTHERS}")?;
            } else {
                writeln!(out, "  {id:<12} {part}")?;
            }
        }
        let more = tally.needs_a_look.saturating_sub(tally.looks.len());
        if more > 0 {
            writeln!(out, "  and {more} more")?;
        }
    }
    Ok(())
}

fn parts(plan: &Plan, tally: &Tally, out: &mut String) -> std::fmt::Result {
    writeln!(out)?;
    writeln!(
        out,
        "  {:<6} {:>6} {:>9} {:>5} {:>6} {:>6} {:>7} {:>6} {:>8} {:>9}",
        "part", "right", "followed", "slip", "wrong", "blank", "unread", "unit", "figures", "mean"
    )?;
    for (at, (part, count)) in plan.parts.iter().zip(&tally.parts).enumerate() {
        let out_of = plan.part(at).points;
        let mean = count.points / Decimal::from(tally.papers().max(1));
        let mean = format!("{}/{}", shown(mean), out_of.normalize());
        if count.by_eye > 0 {
            writeln!(out, "  {:<6} {:<60} {mean:>9}", part.id, "by eye")?;
            continue;
        }
        writeln!(
            out,
            "  {:<6} {:>6} {:>9} {:>5} {:>6} {:>6} {:>7} {:>6} {:>8} {mean:>9}",
            part.id,
            count.right,
            count.followed,
            count.slip,
            count.wrong,
            count.blank,
            count.unreadable,
            count.units,
            count.figures,
        )?;
    }
    // Not the papers of the mean above the table: those to look at are in this one too.
    if tally.papers() != tally.marked {
        let all = if tally.papers() == 1 { "the" } else { "all" };
        let papers = counted(tally.papers(), "paper");
        writeln!(out, "  mean of a part: of {all} {papers} handed in")?;
    }
    Ok(())
}

/// One digit behind the point is enough for a mean.
fn shown(mean: Decimal) -> String {
    format!("{:.1}", mean.round_dp(1))
}
