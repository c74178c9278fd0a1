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
        let label = if is_tied { "or" } else { cause.strength.name() };
        page.line(label, &one(plan, cause));
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
    let within = cause
        .equation
        .as_ref()
        .map_or(String::new(), |name| format!(" in the equation `{name}`"));
    let equals = match cause.strength {
        Strength::Strong => "fits",
        Strength::Likely | Strength::Possible => "equals the value got with",
    };
    let ids = ids.join(" and ");
    let says = match cause.kind {
        Kind::Slip => format!("a foreseen slip, \"{}\"", opening(&cause.says, SAID)),
        Kind::Alteration | Kind::Entry => cause.says.clone(),
    };
    let luck = one_in(cause.chance);
    let untried = match cause.untried {
        0 => String::new(),
        count => format!("; {}", not_tried(count)),
    };
    format!("{ids} {equals}: {says}{within} ({luck} by luck{untried})")
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
    format!(
        "1 in {}",
        crate::quantity::round_to_figures(times.max(1.0), 2)
    )
}
