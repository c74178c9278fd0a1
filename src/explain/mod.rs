//! The whole reckoning for the teacher, step by step.
//!
//! In: a plan, a student's key, what stood on the paper and how it was marked. Out: text for a
//! terminal: for each part the entry as read, the key, every value that the entry was held against
//! with its window, the verdict with its reasons, and points that add up line by line; then the
//! paper's costs and total, and what the student is told. Values and windows come from marking
//! itself, which goes over the part again; no rule is repeated here. Also reasons as short
//! phrases, for lists.

mod held;
mod page;
mod points;
mod reason;

use crate::answer::{Choice, Reading, describe};
use crate::assignment::{ChoicePart, PartKind, Piece, Template};
use crate::feedback;
use crate::marking::figures::{Asked, FiguresVerdict};
use crate::marking::unit::UnitVerdict;
use crate::marking::{Entry, Key, Marked, Marker, Paper, PartMark, Verdict, choice};
use crate::plan::{PartPlan, Plan, answer_part};
use crate::quantity::{Unit, round_to_figures};

use page::{Page, TOGETHER};
pub use reason::reason;

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
            numbers(case, place.problem, &mut page);
            last = Some(place.problem);
        }
        part(case, at, &mut marker, &mut page);
    }
    points::of_paper(case, &mut page);
    let mut told = String::new();
    feedback::paper(case.plan, case.key, case.marked, &mut told);
    page.gap();
    page.heading("What the student is told");
    page.line("", &told);
    page.finish()
}

/// The problem's heading and the student's numbers.
fn numbers(case: &Case<'_>, problem: usize, page: &mut Page) {
    let assignment = &case.plan.sheet.problems[problem];
    page.gap();
    page.heading(&format!("{} ({})", assignment.title, assignment.code));
    let Some(key) = case.key.problems.get(problem) else {
        return;
    };
    let values: Vec<String> = assignment
        .givens
        .iter()
        .zip(&key.givens)
        .map(|(given, value)| together(&format!("{} = {value}", given.name)))
        .collect();
    page.line("numbers", &values.join(", "));
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
    let assignment = case.plan.assignment(at);
    let model = &assignment.parts[place.part];
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
    let givens: Vec<String> = key.givens.iter().map(ToString::to_string).collect();
    page.line("asked", &filled(&model.ask, &givens));
    let raw = case.entries.get(at).copied().unwrap_or("");
    if !raw.trim().is_empty() {
        page.line("entry", raw);
    }
    match (&model.kind, case.paper.entries.get(at)) {
        (PartKind::Answer(asks), entry) => {
            if let Some(Entry::Answer(reading)) = entry
                && *reading != Reading::Blank
            {
                page.line("read as", &describe(raw, reading));
            }
            let plan = case.plan.problems[place.problem].answer(place.part);
            if let Some(plan) = plan {
                let asked = Asked::in_part(model.rules.figures, plan, key);
                let value = asks.unit.from_si(key.slots[plan.slot]);
                page.line("key", &shown_key(value, asked, &asks.unit));
            }
            if let Some(trace) = marker.trace(case.key, case.paper, at) {
                held::write(case, at, &trace, page);
            }
        }
        (PartKind::Choose(options), entry) => chosen(case, at, options, entry, page),
        (PartKind::Eye(items), _) => {
            for (index, item) in items.iter().enumerate() {
                page.line(if index == 0 { "looked for" } else { "" }, item);
            }
        }
    }
    if mark.verdict == Verdict::Blank && mark.points.is_zero() {
        return;
    }
    if mark.verdict == Verdict::Wrong && mark.reasons.is_empty() {
        page.line("because", "nothing fits");
    }
    for (index, why) in mark.reasons.iter().enumerate() {
        let label = if index == 0 { "because" } else { "" };
        page.line(label, &reason(case.plan, at, why));
    }
    unit_and_figures(case, at, mark, page);
    points::of_part(case, at, mark, page);
}

/// A key as printed, and unrounded.
fn shown_key(value: f64, asked: Asked, unit: &Unit) -> String {
    let unit = in_unit(unit);
    format!(
        "{}{unit}, unrounded {}{unit}",
        round_to_figures(value, asked.shown),
        round_to_figures(value, 7),
    )
}

/// The unit behind a number; nothing for a plain one.
fn in_unit(unit: &Unit) -> String {
    if unit.is_one() {
        String::new()
    } else {
        format!(" {unit}")
    }
}

/// A text at which no line is broken.
fn together(text: &str) -> String {
    text.replace(' ', &TOGETHER.to_string())
}

/// A text with the student's numbers in it, in one line.
fn filled(template: &Template, givens: &[String]) -> String {
    let pieces = template.pieces.iter().map(|piece| match piece {
        Piece::Text(text) => text.as_str(),
        Piece::Given(index) => givens.get(*index).map_or("", String::as_str),
    });
    let text: String = pieces.collect();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn chosen(
    case: &Case<'_>,
    at: usize,
    options: &ChoicePart,
    entry: Option<&Entry>,
    page: &mut Page,
) {
    let label = |option: usize| options.options.get(option).map_or("", |o| o.label.as_str());
    let read = match entry {
        Some(Entry::Choice(Choice::Option(option))) => label(*option),
        Some(Entry::Choice(Choice::Several)) => "several of the words",
        Some(Entry::Choice(Choice::Unreadable)) => "none of the words",
        _ => "",
    };
    if !read.is_empty() {
        page.line("read as", read);
    }
    let place = &case.plan.parts[at];
    let prepared = case.plan.problems[place.problem].parts.get(place.part);
    if let (Some(PartPlan::Choose(judges)), Some(key)) =
        (prepared, case.key.problems.get(place.problem))
    {
        let holds = choice::holding(judges, &key.slots);
        page.line("key", holds.map_or("none of the words", label));
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
                format!("of another kind: the number was taken in {}", asks.unit)
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
