//! What an answer was held against.
//!
//! In: the trace of an answer. Out: a paragraph for each test: the value and how it came about,
//! the window around it, and whether the answer fits.

use std::fmt::Write as _;

use crate::assignment::Assignment;
use crate::marking::{By, Test, Trace};
use crate::plan::{Road, answer_part};
use crate::quantity::{Unit, round_to_figures};

use super::page::Page;
use super::reason::{listed, named, names_of, reason};
use super::{Case, in_unit};

/// How many figures a value is shown with.
const VALUE: u8 = 5;

/// How many figures a width is shown with.
const WIDTH: u8 = 3;

/// Writes the tests of part `at`.
pub(super) fn write(case: &Case<'_>, at: usize, trace: &Trace, page: &mut Page) {
    let writer = Writer {
        case,
        at,
        assignment: case.plan.assignment(at),
        unit: match answer_part(case.plan.assignment(at), case.plan.parts[at].part) {
            Some(asks) => asks.unit,
            None => Unit::ONE,
        },
    };
    let forward = trace.tests.iter().filter(|test| is_road(test)).count();
    for test in &trace.tests {
        writer.test(test, forward, page);
    }
}

fn is_road(test: &Test) -> bool {
    matches!(test.by, By::Road { .. })
}

struct Writer<'a> {
    case: &'a Case<'a>,
    at: usize,
    assignment: &'a Assignment,
    /// The unit asked for.
    unit: Unit,
}

impl Writer<'_> {
    fn test(&self, test: &Test, roads: usize, page: &mut Page) {
        let (label, origin) = match &test.by {
            By::Key => ("against key".to_owned(), String::new()),
            By::Accepted(index) => (format!("accepted {}", index + 1), String::new()),
            By::Range => {
                let words = if test.fits { "inside" } else { "outside" };
                return page.line("range", words);
            }
            By::Constant { given, allowed } => {
                let given = &self.assignment.givens[*given];
                let value = given.allowed.get(*allowed).map(|a| a.quantity.to_string());
                (
                    "or with".to_owned(),
                    format!("{} = {}: ", given.name, value.unwrap_or_default()),
                )
            }
            By::Misread => ("numbers used".to_owned(), String::new()),
            By::Turned => ("other sign".to_owned(), String::new()),
            By::Road { road, .. } => {
                let label = if roads > 1 {
                    format!("road {}", road + 1)
                } else {
                    "road".to_owned()
                };
                (label, self.road(test))
            }
            By::Slip(index) => (format!("slip {}", index + 1), String::new()),
        };
        let Some(value) = test.value else {
            return page.line(&label, &origin);
        };
        let unit = in_unit(&self.unit);
        let value = round_to_figures(self.unit.from_si(value), VALUE);
        page.line(&label, &format!("{origin}{value}{unit}"));
        page.line(
            "",
            &format!("{}; {}", self.window(test), self.outcome(test)),
        );
        if let By::Road {
            withheld: Some(why),
            ..
        } = &test.by
        {
            page.line("", &reason(self.case.plan, self.at, why));
        }
    }

    /// A width in the unit asked for.
    fn width(&self, si: f64) -> String {
        round_to_figures(si / self.unit.factor(), WIDTH)
    }

    /// The window, with what it is made of.
    fn window(&self, test: &Test) -> String {
        let rounding = test.half + test.allowance;
        let mut text = format!("taken within {}", self.width(test.declared.max(rounding)));
        let mut parts = Vec::new();
        if test.declared > 0.0 {
            parts.push(format!("tolerance {}", self.width(test.declared)));
        }
        if rounding > 0.0 || parts.is_empty() {
            let mut rounded = format!("half a unit {}", self.width(test.half));
            if test.allowance > 0.0 {
                let _ = write!(
                    rounded,
                    " + rounding on the way {}",
                    self.width(test.allowance)
                );
            }
            parts.push(rounded);
        }
        let _ = write!(text, " ({})", parts.join("; "));
        text
    }

    fn outcome(&self, test: &Test) -> String {
        let off = if test.off > 1e-9 * test.value.unwrap_or(0.0).abs() {
            format!("off by {}", self.width(test.off))
        } else {
            "the same".to_owned()
        };
        match (test.fits, test.settles) {
            (true, true) => format!("{off}: fits"),
            (true, false) => format!("{off}: fits, but does not settle it"),
            (false, _) => format!("{off}: does not fit"),
        }
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
        let place = &self.case.plan.parts[self.at];
        let answer = self.case.plan.problems[place.problem].answer(place.part);
        let Some(model) = answer.and_then(|a| a.roads.iter().chain(&a.back).nth(*road)) else {
            return String::new();
        };
        let names = named(self.assignment, model.equations.iter().copied());
        let mut text = format!("{names} ({})", self.formulas(model));
        if inputs.is_empty() {
            let from = names_of(self.case.plan, self.at, model.inputs);
            let _ = write!(text, " from {from}: an answer is missing there");
            return text;
        }
        let _ = write!(text, " from {}", self.values(inputs));
        if let Some(figures) = rounded_to {
            let _ = write!(text, ", rounded to {figures} figures");
        }
        if !hidden.is_empty() {
            let _ = write!(text, ", on the way {}", self.values(hidden));
        }
        text.push_str(if test.value.is_some() {
            ": "
        } else {
            ": has no solution"
        });
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
                Some(format!(
                    "{} = {value}{}",
                    unknown.name,
                    in_unit(&unknown.unit)
                ))
            })
            .collect();
        listed(&values)
    }
}
