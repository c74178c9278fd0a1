//! The whole reckoning for the teacher, step by step.
//!
//! In: a plan, a student's key, what stood on the paper and how it was marked. Out: text for a
//! terminal: for each part the entry as read, the key, every value that the entry was held against
//! with its window, the verdict with its reasons, and points that add up line by line; then the
//! paper's costs and total, and what the student is told. Values and windows come from marking
//! itself, which goes over the part again; no rule is repeated here. Also a student's numbers and
//! key without a paper, worked solutions, and reasons as short phrases, for lists.

mod cause;
mod held;
mod mistake;
mod page;
mod points;
mod reason;
mod solution;

use crate::answer::{Choice, Reading, describe};
use crate::assignment::{ChoicePart, Part, PartKind};
use crate::feedback;
use crate::marking::figures::{Asked, FiguresVerdict};
use crate::marking::unit::UnitVerdict;
use crate::marking::{
    Entry, Explanation, Key, Marked, Marker, Paper, PartMark, ProblemKey, Verdict, choice,
};
use crate::plan::{PartPlan, Plan, answer_part};
use crate::quantity::{Quantity, Unit, round_to_figures};
use crate::text::DecimalMark;

pub use cause::one as cause;
pub use mistake::{UNFORESEEN, mistake};
use page::{Page, TOGETHER};
pub use reason::{reason, slip};
pub use solution::worked;

/// A paper to be explained.
#[derive(Clone, Copy, Debug)]
pub struct Case<'a> {
    /// What was handed out.
    pub plan: &'a Plan,
    /// The student's own key.
    pub key: &'a Key,
    /// What the paper was marked from.
    pub paper: &'a Paper,
    /// How it was marked.
    pub marked: &'a Marked,
    /// The paper as the student is told of it.
    pub told: &'a Marked,
    /// What may have been done, as diagnosed.
    pub causes: &'a [Explanation],
    /// Where nothing is known of a wrong paper, how many mistakes were not tried on it.
    pub untried: usize,
    /// For each part what stood there, as keyed.
    pub entries: &'a [&'a str],
}

/// The reckoning of a paper.
pub fn paper(case: &Case<'_>) -> String {
    let mut page = Page::default();
    if case.marked.parts.is_empty() {
        page.heading(&format!(
            "{}: no paper, no points",
            case.marked.status.name()
        ));
        return page.finish();
    }
    let mut marker = Marker::new(case.plan);
    let mut last = None;
    for (at, place) in case.plan.parts.iter().enumerate() {
        if last != Some(place.problem) {
            page.gap();
            numbers(case.plan, case.key, place.problem, &mut page);
            misread(case, place.problem, &mut page);
            last = Some(place.problem);
        }
        part(case, at, &mut marker, &mut page);
    }
    points::of_paper(case, &mut page);
    cause::write(case.plan, case.causes.iter(), &mut page);
    cause::write_untried(case.untried, &mut page);
    let mut told = String::new();
    feedback::paper(case.plan, case.key, case.told, &mut told);
    page.gap();
    page.heading("What the student is told");
    page.line("", &told);
    page.finish()
}

/// The reckoning of part `at` alone; empty where there is no paper or no such part.
pub fn one_part(case: &Case<'_>, at: usize) -> String {
    let mut page = Page::default();
    if at < case.marked.parts.len() {
        cause::write(case.plan, cause::of_part(case.causes, at), &mut page);
        cause::write_untried(case.untried, &mut page);
        part(case, at, &mut Marker::new(case.plan), &mut page);
    }
    page.finish()
}

/// A student's numbers and the key to each part, before there is a paper.
pub fn key(plan: &Plan, key: &Key) -> String {
    let mut page = Page::default();
    let mut last = None;
    for (at, place) in plan.parts.iter().enumerate() {
        let Some(of_problem) = key.problems.get(place.problem) else {
            continue;
        };
        if last != Some(place.problem) {
            page.gap();
            numbers(plan, key, place.problem, &mut page);
            last = Some(place.problem);
        }
        let model = plan.part(at);
        page.gap();
        page.heading(&format!("({}) of {}", place.id, model.points.normalize()));
        asked(model, of_problem, DecimalMark::Point, &mut page);
        key_of(plan, at, of_problem, &mut page);
        if let PartKind::Eye(items) = &model.kind {
            looked_for(items, &mut page);
        }
    }
    page.finish()
}

/// The problem's heading and the student's numbers.
fn numbers(plan: &Plan, key: &Key, problem: usize, page: &mut Page) {
    let assignment = &plan.sheet.problems[problem];
    page.heading(&format!("{} ({})", assignment.title, assignment.code));
    let Some(key) = key.problems.get(problem) else {
        return;
    };
    let values: Vec<String> = assignment
        .givens
        .iter()
        .zip(&key.givens)
        .map(|(given, value)| together(&format!("{} = {value}", given.name)))
        .collect();
    page.line("numbers", &values.join(", "));
}

/// Numbers that the student is said to have misread.
fn misread(case: &Case<'_>, problem: usize, page: &mut Page) {
    let assignment = &case.plan.sheet.problems[problem];
    let used: Vec<String> = case
        .paper
        .misread
        .iter()
        .filter(|(other, ..)| *other == problem)
        .filter_map(|(_, given, value)| {
            Some(format!("{} = {value}", assignment.givens.get(*given)?.name))
        })
        .collect();
    if !used.is_empty() {
        page.line("misread as", &used.join(", "));
    }
}

fn part(case: &Case<'_>, at: usize, marker: &mut Marker<'_>, page: &mut Page) {
    let place = &case.plan.parts[at];
    let model = case.plan.part(at);
    let (Some(mark), Some(key)) = (
        case.marked.parts.get(at),
        case.key.problems.get(place.problem),
    ) else {
        return;
    };
    page.gap();
    page.heading(&format!(
        "({}) {}: {} of {}",
        place.id,
        mark.verdict.name(),
        mark.points.normalize(),
        mark.out_of.normalize(),
    ));
    asked(model, key, DecimalMark::Point, page);
    let raw = case.entries.get(at).copied().unwrap_or("");
    if !raw.trim().is_empty() {
        page.line("entry", raw);
    }
    match (&model.kind, case.paper.entries.get(at)) {
        (PartKind::Answer(_), entry) => {
            if let Some(Entry::Answer(reading)) = entry
                && *reading != Reading::Blank
            {
                page.line("read as", &describe(raw, reading));
            }
            key_of(case.plan, at, key, page);
            if let Some(trace) = marker.trace(case.key, case.paper, at) {
                held::write(case, at, &trace, page);
            }
        }
        (PartKind::Choose(options), entry) => {
            chosen(options, entry, page);
            key_of(case.plan, at, key, page);
        }
        (PartKind::Eye(items), _) => looked_for(items, page),
    }
    if mark.verdict == Verdict::Blank && mark.points.is_zero() {
        return;
    }
    if mark.verdict == Verdict::Wrong && mark.reasons.is_empty() {
        page.line("because", UNFORESEEN);
    }
    for (index, why) in mark.reasons.iter().enumerate() {
        let label = if index == 0 { "because" } else { "" };
        page.line(label, &reason(case.plan, at, why));
    }
    unit_and_figures(case, at, mark, page);
    points::of_part(case, at, mark, page);
}

/// What a part asks, with the student's numbers.
fn asked(model: &Part, key: &ProblemKey, mark: DecimalMark, page: &mut Page) {
    let given = |given: &Quantity| {
        let numeral = given.numeral.to_string();
        let with_point = given.to_string();
        let behind = with_point.strip_prefix(&numeral).unwrap_or_default();
        format!("{}{behind}", mark.written(&numeral))
    };
    page.line(
        "asked",
        &model
            .ask
            .filled(|at| key.givens.get(at).map(given).unwrap_or_default()),
    );
}

/// The key to a part; nothing where it is judged by eye.
fn key_of(plan: &Plan, at: usize, key: &ProblemKey, page: &mut Page) {
    let place = &plan.parts[at];
    let model = plan.part(at);
    match (
        &model.kind,
        plan.problems[place.problem].parts.get(place.part),
    ) {
        (PartKind::Answer(asks), Some(PartPlan::Answer(prepared))) => {
            let figures = Asked::in_part(model.rules.figures, prepared, key);
            let value = asks.unit.from_si(key.slots[prepared.slot]);
            page.line("key", &shown_key(value, figures, &asks.unit));
        }
        (PartKind::Choose(options), Some(PartPlan::Choose(judges))) => {
            let holds = choice::holding(judges, &key.slots);
            page.line(
                "key",
                holds.map_or("none of the words", |at| label(options, at)),
            );
        }
        _ => {}
    }
}

/// What the teacher's eye looks for.
fn looked_for(items: &[String], page: &mut Page) {
    for (index, item) in items.iter().enumerate() {
        page.line(if index == 0 { "looked for" } else { "" }, item);
    }
}

/// A key as printed, and unrounded.
fn shown_key(value: f64, asked: Asked, unit: &Unit) -> String {
    let unit = unit.behind();
    format!(
        "{}{unit}, unrounded {}{unit}",
        round_to_figures(value, asked.shown),
        round_to_figures(value, 7),
    )
}

/// A text at which no line is broken.
fn together(text: &str) -> String {
    text.replace(' ', &TOGETHER.to_string())
}

/// The word of an option.
fn label(options: &ChoicePart, option: usize) -> &str {
    options.options.get(option).map_or("", |o| o.label.as_str())
}

fn chosen(options: &ChoicePart, entry: Option<&Entry>, page: &mut Page) {
    let read = match entry {
        Some(Entry::Choice(Choice::Option(option))) => label(options, *option),
        Some(Entry::Choice(Choice::Several)) => "several of the words",
        Some(Entry::Choice(Choice::Unreadable)) => "none of the words",
        _ => "",
    };
    if !read.is_empty() {
        page.line("read as", read);
    }
}

fn unit_and_figures(case: &Case<'_>, at: usize, mark: &PartMark, page: &mut Page) {
    let place = &case.plan.parts[at];
    let assignment = case.plan.assignment(at);
    if let (Some(verdict), Some(asks)) = (mark.unit, answer_part(assignment, place.part)) {
        let words = match verdict {
            UnitVerdict::Printed => "printed on the answer line, not judged".to_owned(),
            UnitVerdict::Same => "as asked for".to_owned(),
            UnitVerdict::Equivalent => format!("another name for {}", asks.unit),
            UnitVerdict::Converted => format!("converted to {}", asks.unit),
            UnitVerdict::WrongSize => {
                format!("of another size: the number fits with {}", asks.unit)
            }
            UnitVerdict::Missing => format!("missing: {} is asked for", asks.unit),
            UnitVerdict::WrongDimension => {
                format!(
                    "of another dimension: the number was taken in {}",
                    asks.unit
                )
            }
        };
        page.line("unit", &words);
    }
    let plan = case.plan.problems[place.problem].answer(place.part);
    let (Some(verdict), Some(plan), Some(key)) =
        (mark.figures, plan, case.key.problems.get(place.problem))
    else {
        return;
    };
    let rules = &assignment.parts[place.part].rules;
    let asked = Asked::in_part(rules.figures, plan, key);
    let wanted = if asked.fewest == asked.shown {
        asked.shown.to_string()
    } else {
        format!("{} to {}", asked.fewest, asked.shown)
    };
    let words = match verdict {
        FiguresVerdict::AsAsked | FiguresVerdict::NotJudged => verdict.name().to_owned(),
        FiguresVerdict::Exact => "none to count: left as an expression".to_owned(),
        FiguresVerdict::Unevaluated => "left as an expression, which is charged".to_owned(),
        FiguresVerdict::Taken | FiguresVerdict::TooFew | FiguresVerdict::TooMany => format!(
            "{}: {wanted} asked for, {} to {} taken",
            verdict.name(),
            asked.least,
            asked.most
        ),
    };
    page.line("figures", &words);
}
