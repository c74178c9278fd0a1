//! One problem with the draws that are looked at: what the checks share.
//!
//! In: a prepared problem and its draws. Out: keys of draws, tolerances, and the words that
//! findings are made of: names, values, shares.

use crate::assignment::{Assignment, Part};
use crate::diagnostic::{Diagnostic, Place, Span};
use crate::figure::Figure;
use crate::formula::tape::SlotSet;
use crate::marking::figures::{Asked, least_figures};
use crate::marking::window::half_unit_of;
use crate::plan::{AnswerPlan, KeyError, Problem, answer_part};
use crate::quantity::{Unit, round_to_figures};

use super::Draws;

/// Values told in one finding; more are left out.
const MOST_TOLD: usize = 8;

/// One problem and its draws.
#[derive(Clone, Copy)]
pub(super) struct View<'a> {
    pub(super) assignment: &'a Assignment,
    pub(super) problem: &'a Problem,
    pub(super) draws: &'a Draws<'a>,
    /// Its figure, where it names one that could be read.
    pub(super) figure: Option<&'a Figure>,
}

/// A part that asks for a quantity.
#[derive(Clone, Copy)]
pub(super) struct Asks<'a> {
    pub(super) index: usize,
    pub(super) part: &'a Part,
    pub(super) plan: &'a AnswerPlan,
    pub(super) unit: Unit,
}

impl Asks<'_> {
    /// Whether only the size of the answer counts.
    pub(super) fn size_only(&self) -> bool {
        self.part.rules.sign.is_size_only()
    }

    /// A value as it counts.
    pub(super) fn counted(&self, value: f64) -> f64 {
        if self.size_only() { value.abs() } else { value }
    }

    /// Half the width within which a number is right: the declared tolerance, or half a unit in the
    /// last of so many figures.
    pub(super) fn half_width(&self, key: f64, figures: u8) -> f64 {
        let declared = self.part.rules.tolerance(key);
        declared.max(half_unit_of(key, figures, self.unit.factor()))
    }
}

impl<'a> View<'a> {
    /// The parts that ask for a quantity.
    pub(super) fn answers(&self) -> impl Iterator<Item = Asks<'a>> + use<'a> {
        let Self {
            assignment,
            problem,
            ..
        } = *self;
        assignment
            .parts
            .iter()
            .enumerate()
            .filter_map(move |(index, part)| {
                Some(Asks {
                    index,
                    part,
                    plan: problem.answer(index)?,
                    unit: answer_part(assignment, index)?.unit,
                })
            })
    }

    /// Puts the key of a draw into `slots`, which has room for all of them.
    pub(super) fn solve(&self, draw: usize, slots: &mut [f64]) -> Result<(), KeyError> {
        self.draws.fill(draw, slots);
        self.problem.solve(slots)
    }

    /// The figures asked for in a part by somebody with that draw.
    pub(super) fn asked(&self, asks: &Asks<'_>, draw: usize) -> Asked {
        let used = asks.plan.depends.iter();
        let used = used.filter_map(|given| self.draws.value(draw, given));
        Asked::of(asks.part.rules.figures, least_figures(used))
    }

    /// The name of a slot in the file.
    pub(super) fn name(&self, slot: usize) -> &'a str {
        match slot.checked_sub(self.problem.givens) {
            None => &self.assignment.givens[slot].name,
            Some(unknown) => &self.assignment.unknowns[unknown].name,
        }
    }

    /// The name of a slot, or, where a part asks for an expression, that.
    pub(super) fn shown(&self, slot: usize) -> &'a str {
        let name = self.name(slot);
        let unknown = slot.checked_sub(self.problem.givens);
        let unknown = unknown.and_then(|at| self.assignment.unknowns.get(at));
        match unknown {
            // No name of the teacher's holds a blank.
            Some(unknown) if name.contains(' ') => {
                let text = &self.assignment.source.text;
                text.get(unknown.span.start..unknown.span.end)
                    .unwrap_or(name)
            }
            _ => name,
        }
    }

    /// `m = 2.0 kg, a = 3.271 m/s²`: the values of some slots in a draw, given ones as drawn.
    pub(super) fn told(&self, slots: SlotSet, draw: usize) -> String {
        let mut values = vec![0.0; self.problem.slots()];
        let solved = self.solve(draw, &mut values).is_ok();
        let value = |slot: usize| {
            let name = self.name(slot);
            match slot.checked_sub(self.problem.givens) {
                None => Some(format!("{name} = {}", self.draws.value(draw, slot)?)),
                Some(unknown) if solved => {
                    let unit = self.assignment.unknowns[unknown].unit;
                    Some(format!(
                        "{} = {}",
                        self.shown(slot),
                        measured(values[slot], &unit)
                    ))
                }
                Some(_) => None,
            }
        };
        let told: Vec<String> = slots.iter().filter_map(value).take(MOST_TOLD).collect();
        told.join(", ")
    }

    /// `equation a + equation b`.
    pub(super) fn equations(&self, list: &[usize]) -> String {
        let equations = list
            .iter()
            .filter_map(|&at| self.assignment.equations.get(at));
        joined(equations.map(|equation| equation.name.as_str()), " + ")
    }

    /// How often something was met among all draws.
    pub(super) fn often(&self, count: usize, solved: usize) -> String {
        if count == solved {
            return among(count, solved);
        }
        let tried = if self.draws.extent.of.is_some() {
            ""
        } else {
            " tried"
        };
        let share = percent(count as f64 / solved as f64);
        format!("in {count} of {solved} variants{tried} ({share})")
    }

    pub(super) fn error(&self, span: Span, message: impl Into<String>) -> Diagnostic {
        Diagnostic::error(&self.assignment.source.name, Place::Span(span), message)
    }

    pub(super) fn warning(&self, span: Span, message: impl Into<String>) -> Diagnostic {
        Diagnostic::warning(&self.assignment.source.name, Place::Span(span), message)
    }

    pub(super) fn note(&self, span: Span, message: impl Into<String>) -> Diagnostic {
        Diagnostic::note(&self.assignment.source.name, Place::Span(span), message)
    }
}

/// A value in SI units, to four figures in a unit.
pub(super) fn measured(value: f64, unit: &Unit) -> String {
    format!(
        "{}{}",
        round_to_figures(unit.from_si(value), 4),
        unit.behind()
    )
}

/// Names one after the other.
pub(super) fn joined<'n>(names: impl Iterator<Item = &'n str>, between: &str) -> String {
    names.collect::<Vec<_>>().join(between)
}

/// A declared share as the file has it: `1`, `0.5` for hundredths.
pub(super) fn hundredths(share: f64) -> String {
    let digits = format!("{:.4}", 100.0 * share);
    let shortest = digits.trim_end_matches('0').trim_end_matches('.');
    shortest.to_owned()
}

/// How often something was met among the keys looked at.
pub(super) fn among(count: usize, of: usize) -> String {
    if count == of {
        "in every variant".to_owned()
    } else {
        format!("in {} of the variants", percent(count as f64 / of as f64))
    }
}

/// A share in words: `12 %`, `3.4 %`, `under 0.1 %`.
pub(super) fn percent(share: f64) -> String {
    let hundredths = 100.0 * share;
    if share <= 0.0 {
        "0 %".to_owned()
    } else if share >= 1.0 {
        "100 %".to_owned()
    } else if hundredths < 0.1 {
        "under 0.1 %".to_owned()
    } else if hundredths > 99.0 {
        "over 99 %".to_owned()
    } else if hundredths < 9.95 {
        format!("{hundredths:.1} %")
    } else {
        format!("{hundredths:.0} %")
    }
}

#[cfg(test)]
mod tests {
    use super::percent;

    #[test]
    fn shares_never_say_all_or_nothing_of_some() {
        for (share, expected) in [
            (0.0, "0 %"),
            (0.000_4, "under 0.1 %"),
            (0.001, "0.1 %"),
            (0.034_4, "3.4 %"),
            (0.099_4, "9.9 %"),
            (0.099_6, "10 %"),
            (0.123, "12 %"),
            (0.989, "99 %"),
            (0.999_9, "over 99 %"),
            (1.0, "100 %"),
        ] {
            assert_eq!(percent(share), expected, "{share}");
        }
    }
}
