//! The desk: a student's paper through the real reader and the real marking.
//!
//! In: a student who has worked. Out: the marked paper; and, for faults worth a look, the whole
//! case in words: numbers, entries, verdicts, the way that was taken.

use std::fmt::Write as _;

use paperweight::answer::{self, Choice, Context};
use paperweight::assignment::PartKind;
use paperweight::marking::{Entry, Marked, Marker, Paper, PartMark, Reason, Verdict, choice};
use paperweight::plan::PartPlan;
use paperweight::quantity::round_to_figures;
use paperweight::text::DecimalMark;
use rust_decimal::Decimal;

use crate::family::Family;
use crate::student::{Act, Student};

/// A marker at work on one family.
pub(crate) struct Desk<'f> {
    family: &'f Family,
    marker: Marker<'f>,
    /// Where nature allows everything.
    open_marker: Marker<'f>,
    paper: Paper,
}

impl<'f> Desk<'f> {
    pub(crate) fn new(family: &'f Family) -> Self {
        Self {
            family,
            marker: Marker::new(&family.plan),
            open_marker: Marker::new(&family.open_plan),
            paper: Paper::default(),
        }
    }

    /// Marks what the student wrote. Words asked for are answered rightly, drawings left open.
    pub(crate) fn mark(&mut self, student: &Student<'_>) -> Marked {
        let family = self.family;
        let key = &family.keys[student.student];
        self.paper.entries.clear();
        let mut works = student.works.iter();
        let parts = family
            .assignment()
            .parts
            .iter()
            .zip(&family.problem().parts);
        for (part, prepared) in parts {
            let entry = match (&part.kind, prepared) {
                (PartKind::Answer(asks), _) => {
                    let written = works.next().and_then(Option::as_ref);
                    let text = written.map(|work| format!("{} {}", work.numeral, asks.unit));
                    let context = Context {
                        decimal: DecimalMark::Point,
                        constants: &[],
                        names: &[],
                    };
                    Entry::Answer(answer::read(text.as_deref().unwrap_or_default(), &context))
                }
                (_, PartPlan::Choose(judges)) => {
                    let right = choice::holding(judges, &key.problems[0].slots);
                    Entry::Choice(right.map_or(Choice::Blank, Choice::Option))
                }
                _ => Entry::Eye(Some(0)),
            };
            self.paper.entries.push(entry);
        }
        self.marker.mark(key, &self.paper)
    }

    /// Marks the paper marked last once more, as if everything were possible.
    pub(crate) fn mark_open(&mut self, student: &Student<'_>) -> Marked {
        self.open_marker
            .mark(&self.family.keys[student.student], &self.paper)
    }

    /// The mark of an asked part.
    pub(crate) fn of<'m>(&self, marked: &'m Marked, asked: usize) -> &'m PartMark {
        &marked.parts[self.family.asked[asked].at]
    }
}

/// Whether a mark takes nothing away for the value.
pub(crate) fn is_credited(mark: &PartMark) -> bool {
    mark.share == Decimal::ONE
}

/// Whether a part follows without being right.
pub(crate) fn is_followed(mark: &PartMark) -> bool {
    mark.verdict == Verdict::Followed
}

/// Whether the key alone decided.
pub(crate) fn is_by_key(mark: &PartMark) -> bool {
    let followed = |reason: &Reason| matches!(reason, Reason::FollowedFrom { .. });
    mark.verdict == Verdict::Right && !mark.reasons.iter().any(followed)
}

/// A case in words.
pub(crate) fn tell(student: &Student<'_>, marked: &Marked, about: usize) -> String {
    let family = student.family;
    let givens = family
        .assignment()
        .givens
        .iter()
        .zip(family.givens(student.student));
    let givens: Vec<String> = givens
        .map(|(given, value)| format!("{} {value}", given.name))
        .collect();
    let mut text = format!(
        "{} student {}, {}: {}\n",
        family.assignment().code,
        student.student,
        student.habit.name,
        givens.join(", ")
    );
    for (at, (asked, work)) in family.asked.iter().zip(&student.works).enumerate() {
        let mark = &marked.parts[asked.at];
        let shown = |value: f64| round_to_figures(asked.unit.from_si(value), 6);
        let key = shown(family.slots(student.student)[asked.slot]);
        let _ = write!(
            text,
            "    {} {:<9}",
            if at == about { ">" } else { " " },
            asked.name
        );
        let Some(work) = work else {
            let _ = writeln!(text, "blank (key {key})");
            continue;
        };
        let way = &asked.ways[work.way.0];
        let names: Vec<&str> = way
            .equations
            .iter()
            .map(|&e| family.assignment().equations[e].name.as_str())
            .collect();
        let from: Vec<&str> = way
            .inputs
            .iter()
            .map(|slot| slot_name(family, slot))
            .collect();
        let _ = write!(
            text,
            "wrote {} (key {key}, worked out {}) from {} by {}",
            work.numeral,
            shown(work.full),
            if from.is_empty() {
                "givens".to_owned()
            } else {
                from.join("+")
            },
            names.join("+"),
        );
        if work.way.1 > 0 {
            let steps = &way.works[work.way.1];
            let steps: Vec<String> = steps
                .iter()
                .map(|step| {
                    let kept = step.keeps.iter().map(|&slot| slot_name(family, slot));
                    kept.collect::<Vec<_>>().join("+")
                })
                .collect();
            let _ = write!(text, " finding {}", steps.join(" then "));
        }
        if work.act != Act::Honest {
            let what = work
                .alteration
                .map_or("", |at| &family.alterations[at].what);
            let _ = write!(
                text,
                ", {:?} {what} instead of {}",
                work.act,
                shown(work.honest)
            );
        }
        let _ = writeln!(
            text,
            ": {} {}{}",
            mark.verdict.name(),
            mark.share,
            reasons(family, at, mark)
        );
    }
    if marked.paper_cost != Decimal::ZERO {
        let _ = writeln!(text, "      paper cost {}", marked.paper_cost);
    }
    text
}

fn slot_name(family: &Family, slot: usize) -> &str {
    let assignment = family.assignment();
    let givens = assignment.givens.len();
    match slot.checked_sub(givens) {
        Some(at) => &assignment.unknowns[at].name,
        None => &assignment.givens[slot].name,
    }
}

fn reasons(family: &Family, asked: usize, mark: &PartMark) -> String {
    let mut text = String::new();
    for reason in &mark.reasons {
        match reason {
            Reason::WorkingAssumed | Reason::WorkingOpen => {}
            Reason::FollowedFrom {
                road, rounded_to, ..
            } => {
                let plan = family.answer(asked);
                let road = plan
                    .and_then(|plan| plan.roads.iter().chain(&plan.back).nth(usize::from(*road)));
                let names: Vec<&str> = road
                    .iter()
                    .flat_map(|road| &road.equations)
                    .map(|&e| family.assignment().equations[e].name.as_str())
                    .collect();
                let from: Vec<&str> = road
                    .iter()
                    .flat_map(|road| road.inputs.iter())
                    .map(|slot| slot_name(family, slot))
                    .collect();
                let _ = write!(text, "; from {} by {}", from.join("+"), names.join("+"));
                if let Some(figures) = rounded_to {
                    let _ = write!(text, " at {figures} figures");
                }
            }
            Reason::Impossible { condition } => {
                let _ = write!(text, "; impossible by condition {}", condition + 1);
            }
            other => {
                let _ = write!(text, "; {other:?}");
            }
        }
    }
    text
}
