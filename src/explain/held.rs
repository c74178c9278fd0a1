//! What an answer was held against.
//!
//! In: the trace of an answer. Out: a paragraph for each test: the value and how it came about,
//! the window around it, and whether the answer fits.

use std::fmt::Write as _;

use crate::assignment::Assignment;
use crate::marking::{By, Reason, Test, Trace};
use crate::plan::{AnswerPlan, Plan, Road, answer_part};
use crate::quantity::{Unit, round_to_figures};

use super::page::Page;
use super::reason::{listed, named, names_of, reason};
use super::{Case, together};

/// How many figures a value is shown with.
const VALUE: u8 = 5;

/// How many figures a width is shown with.
const WIDTH: u8 = 3;

/// Writes the tests of part `at`.
pub(super) fn write(case: &Case<'_>, at: usize, trace: &Trace, page: &mut Page) {
    let assignment = case.plan.assignment(at);
    let asks = answer_part(assignment, case.plan.parts[at].part);
    let writer = Writer {
        plan: case.plan,
        at,
        assignment,
        unit: asks.map_or(Unit::ONE, |asks| asks.unit),
        stated: trace.stated.value,
        size_only: assignment.parts[case.plan.parts[at].part]
            .rules
            .sign
            .is_size_only(),
    };
    for test in &trace.tests {
        writer.test(test, page);
    }
}

struct Writer<'a> {
    plan: &'a Plan,
    at: usize,
    assignment: &'a Assignment,
    /// The unit asked for.
    unit: Unit,
    /// The number judged, in SI units.
    stated: f64,
    /// Whether only sizes are compared.
    size_only: bool,
}

impl Writer<'_> {
    fn test(&self, test: &Test, page: &mut Page) {
        let mut origin = String::new();
        let mut label = match &test.by {
            By::Key => "against key".to_owned(),
            By::Accepted(index) => format!("accepted {}", index + 1),
            By::Range => "range".to_owned(),
            By::Constant { given, allowed } => {
                let given = &self.assignment.givens[*given];
                if let Some(allowed) = given.allowed.get(*allowed) {
                    origin = format!("{} = {}: ", given.name, allowed.quantity);
                }
                "or with".to_owned()
            }
            By::Misread => "as misread".to_owned(),
            By::Turned => "other sign".to_owned(),
            By::Road { .. } => "road".to_owned(),
            By::Slip(index) => format!("slip {}", index + 1),
        };
        if let By::Road { road, .. } = test.by {
            origin = self.road(test);
            if self.answer().is_some_and(|a| road >= a.roads.len()) {
                label = "road back".to_owned();
            }
        }
        let Some(value) = test.value else {
            return page.line(&label, &format!("{origin}{}", self.outcome(test)));
        };
        let value = round_to_figures(self.unit.from_si(value), VALUE);
        let width = self.width(test.declared.max(test.half + test.allowance));
        let unit = self.unit.behind();
        let value = together(&format!("{value}{unit} ± {width}"));
        page.line(&label, &format!("{origin}{value}, {}", self.outcome(test)));
        if test.declared > 0.0 || test.allowance > 0.0 {
            page.line("", &self.window(test));
        }
        if let Some(why) = withheld(test) {
            page.line("", &reason(self.plan, self.at, why));
        }
    }

    fn answer(&self) -> Option<&AnswerPlan> {
        let place = &self.plan.parts[self.at];
        self.plan.problems[place.problem].answer(place.part)
    }

    /// A width in the unit asked for.
    fn width(&self, si: f64) -> String {
        round_to_figures(si / self.unit.factor(), WIDTH)
    }

    /// What the window is made of.
    fn window(&self, test: &Test) -> String {
        let mut text = String::new();
        if test.declared > 0.0 {
            let _ = write!(text, "tolerance {}; ", self.width(test.declared));
        }
        let _ = write!(text, "half a unit {}", self.width(test.half));
        if test.allowance > 0.0 {
            let allowance = self.width(test.allowance);
            let _ = write!(text, " + rounding on the way {allowance}");
        }
        text
    }

    fn outcome(&self, test: &Test) -> String {
        let off = match test.value {
            None => String::new(),
            Some(value) if test.off > 1e-9 * value.abs() => {
                let size = if value * self.stated < 0.0 && self.size_only {
                    " in size"
                } else {
                    ""
                };
                format!("off by {}{size}, ", self.width(test.off))
            }
            Some(_) => "the same, ".to_owned(),
        };
        let fits = match (&test.by, test.fits) {
            (By::Range, true) => "inside",
            (By::Range, false) => "outside",
            (By::Road { inputs, .. }, _) if inputs.is_empty() => "an answer is missing there",
            (By::Road { .. }, _) if test.value.is_none() => "has no solution",
            (_, true) if test.settles || withheld(test).is_some() => "fits",
            (_, true) => "fits, but does not settle it",
            (_, false) => "does not fit",
        };
        format!("{off}{fits}")
    }

    /// A road with its equations, and the values that went in and came up on the way.
    fn road(&self, test: &Test) -> String {
        let By::Road {
            road,
            inputs,
            hidden,
            rounded_to,
            ..
        } = &test.by
        else {
            return String::new();
        };
        let Some(model) = self.answer().and_then(|answer| answer.road(*road)) else {
            return String::new();
        };
        let names = named(self.assignment, model.equations.iter().copied());
        let mut text = format!("{names} ({}) from ", self.formulas(model));
        if inputs.is_empty() {
            text.push_str(&names_of(self.plan, self.at, model.inputs));
        }
        text.push_str(&self.values(inputs));
        if let Some(figures) = rounded_to {
            let _ = write!(text, ", rounded to {figures} figures");
        }
        if !hidden.is_empty() {
            let _ = write!(text, ", on the way {}", self.values(hidden));
        }
        text.push_str(": ");
        text
    }

    fn formulas(&self, road: &Road) -> String {
        let text = &self.assignment.source.text;
        let formulas: Vec<&str> = road
            .equations
            .iter()
            .filter_map(|&equation| self.assignment.equations.get(equation))
            .filter_map(|equation| text.get(equation.span.start..equation.span.end))
            .collect();
        formulas.join("; ")
    }

    /// Slots with their values: `(b) a = 1.20 m/s²`.
    fn values(&self, slots: &[(usize, f64)]) -> String {
        let givens = self.assignment.givens.len();
        let values: Vec<String> = slots
            .iter()
            .filter_map(|&(slot, value)| {
                let unknown = self.assignment.unknowns.get(slot.checked_sub(givens)?)?;
                let value = round_to_figures(unknown.unit.from_si(value), VALUE);
                let text = format!("{} = {value}{}", unknown.name, unknown.unit.behind());
                Some(together(&text))
            })
            .collect();
        listed(&values)
    }
}

/// Why a road that fits earns no credit.
fn withheld(test: &Test) -> Option<&Reason> {
    match &test.by {
        By::Road { withheld, .. } => withheld.as_ref(),
        _ => None,
    }
}
