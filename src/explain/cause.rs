//! What may have been done, for the teacher.
//!
//! In: explanations of a diagnosis. Out: lines that say how far the evidence goes, which answers they
//! explain, and how often so much fits by luck. Explanations are proposals; they move no mark.

use crate::marking::{Explanation, Kind, Strength};
use crate::plan::Plan;
use crate::text::opening;

use super::page::Page;

/// How much of a saying is quoted, in columns.
const SAID: usize = 36;

/// Writes what may have been done; nothing where nothing is known.
pub(super) fn write<'a>(
    plan: &Plan,
    causes: impl Iterator<Item = &'a Explanation>,
    page: &mut Page,
) {
    let mut last: Option<&Explanation> = None;
    for cause in causes {
        if last.is_none() {
            page.gap();
            page.heading("What may have been done");
        }
        // Several that explain the same are one of these.
        let is_tied = last.is_some_and(|last| {
            (last.strength, &last.explains, last.kind == cause.kind)
                == (cause.strength, &cause.explains, true)
        });
        match last.filter(|_| is_tied) {
            // Beside the one above only what differs tells anything.
            Some(above) if by_luck(above) == by_luck(cause) => page.line("or", &done(cause)),
            Some(_) => page.line("or", &format!("{} ({})", done(cause), by_luck(cause))),
            None => page.line(cause.strength.name(), &one(plan, cause)),
        }
        last = Some(cause);
    }
}

/// Says that nothing was found, and how many mistakes were not tried; nothing where all were.
pub(super) fn write_untried(untried: usize, page: &mut Page) {
    if untried > 0 {
        page.gap();
        page.heading("What may have been done");
        let words = format!("nothing that was tried fits; {}", not_tried(untried));
        page.line("", &words);
    }
}

/// Those that explain a part of the paper.
pub(super) fn of_part(causes: &[Explanation], at: usize) -> impl Iterator<Item = &Explanation> {
    causes
        .iter()
        .filter(move |cause| cause.explains.contains(&at))
}

/// An explanation in a line.
pub fn one(plan: &Plan, cause: &Explanation) -> String {
    let ids = cause.explains.iter().filter_map(|at| plan.parts.get(*at));
    let ids: Vec<String> = ids.map(|part| format!("({})", part.id)).collect();
    let equals = match cause.strength {
        Strength::Strong => "fits",
        Strength::Likely | Strength::Possible => "equals the value got with",
    };
    let ids = ids.join(" and ");
    format!("{ids} {equals}: {} ({})", done(cause), by_luck(cause))
}

/// What was done, and in which equation.
fn done(cause: &Explanation) -> String {
    let says = match cause.kind {
        Kind::Slip => format!("a foreseen slip, \"{}\"", opening(&cause.says, SAID)),
        Kind::Alteration | Kind::Entry => cause.says.clone(),
    };
    match &cause.equation {
        Some(name) => format!("{says} in the equation `{name}`"),
        None => says,
    }
}

/// How often so much fits by luck, and what was not tried.
fn by_luck(cause: &Explanation) -> String {
    let luck = one_in(cause.chance);
    match cause.untried {
        0 => format!("{luck} by luck"),
        count => format!("{luck} by luck; {}", not_tried(count)),
    }
}

/// So many mistakes that were left, since there is a bound on the work.
fn not_tried(count: usize) -> String {
    match count {
        1 => "1 mistake that takes long to reckon was not tried".to_owned(),
        _ => format!("{count} mistakes that take long to reckon were not tried"),
    }
}

/// A chance as `1 in 40`.
fn one_in(chance: f64) -> String {
    if chance <= 0.0 {
        return "never".to_owned();
    }
    let times = 1.0 / chance;
    if times >= 10_000.0 {
        return "less than 1 in 10 000".to_owned();
    }
    // The point behind a whole number tells figures, which are no matter here.
    let times = crate::quantity::round_to_figures(times.max(1.0), 2);
    format!("1 in {}", times.trim_end_matches('.'))
}
