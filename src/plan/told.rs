//! Why a draw has no key, in words.
//!
//! In: an assignment, the values drawn, and what failed. Out: a diagnostic that names the equations
//! and the draw.

use crate::assignment::{Assignment, PartKind, Unknown};
use crate::diagnostic::{Diagnostic, Place};
use crate::formula::solve::Why;

use super::KeyError;

/// Whether the file bounds an unknown.
fn is_ranged(unknown: &Unknown) -> bool {
    unknown.above.is_some() || unknown.below.is_some()
}

/// Says why a draw has no key, naming the equations and the draw.
pub fn key_diagnostic(assignment: &Assignment, draw: &[f64], error: &KeyError) -> Diagnostic {
    let givens = assignment.givens.len();
    let unknown = |slot: usize| {
        slot.checked_sub(givens)
            .and_then(|at| assignment.unknowns.get(at))
    };
    let equations = |list: &[usize]| {
        let names: Vec<&str> = list
            .iter()
            .filter_map(|&e| assignment.equations.get(e))
            .map(|equation| equation.name.as_str())
            .collect();
        format!("`{}`", names.join("`, `"))
    };
    let (span, message, help) = match error {
        KeyError::Unsolved {
            equations: list,
            unknowns,
            why,
        } => {
            let unknowns: Vec<&Unknown> = unknowns.iter().filter_map(|&s| unknown(s)).collect();
            let names: Vec<&str> = unknowns.iter().map(|u| u.name.as_str()).collect();
            let names = names.join("`, `");
            let span = list
                .first()
                .and_then(|&e| assignment.equations.get(e))
                .map(|e| e.span);
            let one = list.len() == 1;
            let verb = |one_does: &'static str, they_do: &'static str| {
                if one { one_does } else { they_do }
            };
            let (what, help) = match why {
                Why::NoRoot => {
                    let found = format!(
                        "{} {} no solution for `{names}`",
                        equations(list),
                        verb("has", "have")
                    );
                    if unknowns.iter().any(|unknown| is_ranged(unknown)) {
                        (
                            found + " within the range",
                            "widen the range under [find], or exclude such draws under [require]",
                        )
                    } else {
                        (
                            found,
                            "exclude such draws under [require], or look for a wrong sign: it may come to the root of something negative",
                        )
                    }
                }
                Why::Singular => (
                    format!(
                        "{} {} not determine `{names}`",
                        equations(list),
                        verb("does", "do")
                    ),
                    "the equations say the same twice here, or the unknown falls out of them",
                ),
                Why::NotFinite => (
                    format!(
                        "{} {} no finite number for `{names}`",
                        equations(list),
                        verb("gives", "give")
                    ),
                    "a division by zero, a root of something negative, or a number too large: exclude such draws under [require]",
                ),
            };
            (span, what, help.to_owned())
        }
        KeyError::Several { slot, values } => {
            let span = unknown(*slot).map(|unknown| unknown.span);
            let (name, unit) = unknown(*slot).map_or(("", None), |unknown| {
                (unknown.name.as_str(), Some(unknown.unit))
            });
            let ranged = unknown(*slot).is_some_and(is_ranged);
            let written = unit.map_or_else(String::new, |unit| unit.to_string());
            let values: Vec<String> = values
                .iter()
                .take(4)
                .map(|&value| {
                    let shown = unit.map_or(value, |unit| unit.from_si(value));
                    crate::quantity::round_to_figures(shown, 4)
                })
                .collect();
            let unit = unit.map(|unit| unit.behind()).unwrap_or_default();
            (
                span,
                format!(
                    "`{name}` has several solutions: {}{unit}",
                    values.join(" and ")
                ),
                if ranged {
                    "narrow its range under [find] until one of them is left; a bound may be a formula of givens".to_owned()
                } else {
                    format!(
                        "give it a range under [find], such as {name} = {{ unit = \"{written}\", above = \"0\" }}; a bound may be a formula of givens"
                    )
                },
            )
        }
        KeyError::Contradiction { equation } => {
            let found = assignment.equations.get(*equation);
            let name = found.map_or("", |e| e.name.as_str());
            (
                found.map(|e| e.span),
                format!("equation `{name}` contradicts the others"),
                "put the solution of the others in: left and right differ; mend a sign or a term"
                    .to_owned(),
            )
        }
        KeyError::Undecided { part, holding } => {
            let part = assignment.parts.get(*part);
            let words = match part.map(|part| &part.kind) {
                Some(PartKind::Choose(asks)) => &asks.options[..],
                _ => &[],
            };
            let words = holding.iter().filter_map(|&word| words.get(word));
            let words = crate::text::quoted(words.map(|option| option.label.as_str()));
            let id = part.map_or("", |part| part.id.as_str());
            let message = if words.is_empty() {
                format!("none of the words in part `{id}` holds")
            } else {
                format!("more than one word in part `{id}` holds: {words}")
            };
            let help = "write the conditions under `choose` so that exactly one of them holds in every case";
            (part.map(|part| part.span), message, help.to_owned())
        }
    };
    let place = span.map_or(Place::File, Place::Span);
    let values: Vec<String> = assignment
        .givens
        .iter()
        .zip(draw)
        .map(|(given, &value)| {
            // What was drawn has few figures; what is not drawn exactly in binary shows none of it at six.
            let shown = crate::quantity::round_to_figures(given.unit.from_si(value), 6);
            let shown = match shown.contains('.') {
                true => shown.trim_end_matches('0').trim_end_matches('.'),
                false => &shown,
            };
            format!("{} = {shown}{}", given.name, given.unit.behind())
        })
        .collect();
    Diagnostic::error(&assignment.source.name, place, message)
        .label(format!("with {}", values.join(", ")))
        .help(help)
}
