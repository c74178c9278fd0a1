//! What single keys show: draws without one, choices, conditions that a key breaks, sizes.
//!
//! In: what the pass over all draws counted. Out: findings.

use crate::assignment::{ChoicePart, PartKind};
use crate::diagnostic::Diagnostic;
use crate::formula::tape::SlotSet;
use crate::marking::window::Stated;
use crate::plan::{PartPlan, answer_part, key_diagnostic};
use crate::quantity::{Quantity, numeral_of};

use super::pass::{Count, Keys, Pass, Words};
use super::threshold::{LARGE, MANY, NEAR_ZERO, SMALL};
use super::view::{Asks, View, among, hundredths, measured};

pub(super) fn check(view: &View<'_>, pass: &Pass, found: &mut Vec<Diagnostic>) {
    unsolved(view, pass, found);
    if pass.solved == 0 {
        return;
    }
    for (at, part) in view.assignment.parts.iter().enumerate() {
        if let PartKind::Choose(choice) = &part.kind {
            words(view, pass, at, choice, &pass.choices[at], found);
        }
    }
    impossible(view, pass, found);
    for asks in view.answers() {
        let keys = &pass.keys[asks.index];
        magnitude(view, pass, &asks, keys, found);
        zero(view, pass, &asks, keys, found);
        printed(view, pass, &asks, found);
    }
}

/// Draws without a single key, one finding for each way to fail.
fn unsolved(view: &View<'_>, pass: &Pass, found: &mut Vec<Diagnostic>) {
    for (error, count) in &pass.failures {
        let mut givens = vec![0.0; view.problem.givens];
        view.draws.fill(count.first, &mut givens);
        let mut finding = key_diagnostic(view.assignment, &givens, error);
        let often = view.often(count.count, view.draws.len());
        finding.message = format!("{}, {often}", finding.message);
        let givens = (0..view.problem.givens).collect();
        found.push(finding.label(format!("such as with {}", view.told(givens, count.first))));
    }
}

fn words(
    view: &View<'_>,
    pass: &Pass,
    at: usize,
    choice: &ChoicePart,
    words: &Words,
    found: &mut Vec<Diagnostic>,
) {
    let part = &view.assignment.parts[at];
    let uses = match &view.problem.parts[at] {
        PartPlan::Choose(judges) => judges
            .iter()
            .fold(SlotSet::default(), |set, judge| set.or(judge.uses())),
        _ => return,
    };
    let mut fault = |count: &Count, what: &str, help: &str| {
        let often = view.often(count.count, pass.solved);
        let message = format!("{what} of part `{}` holds, {often}", part.id);
        found.push(
            view.error(part.span, message)
                .label(format!("such as with {}", view.told(uses, count.first)))
                .help(help),
        );
    };
    if words.none.count > 0 {
        let help = "one word must be right for everyone: add one for this case, or exclude such draws under [require]";
        fault(&words.none, "no word", help);
    }
    if words.several.count > 0 {
        let help = "one word alone may be right: let the conditions exclude each other";
        fault(&words.several, "more than one word", help);
    }
    if let Some(option) = words.right.iter().position(|&count| count == pass.solved)
        && pass.solved > 1
    {
        let label = &choice.options[option].label;
        let message = format!("part `{}` comes out as \"{label}\" for everyone", part.id);
        found.push(
            view.warning(part.span, message)
                .help("widen the ranges under [given], so that neighbours cannot share the word"),
        );
    }
}

/// Conditions that nature sets, and the key breaks.
fn impossible(view: &View<'_>, pass: &Pass, found: &mut Vec<Diagnostic>) {
    let mut judges = view.problem.possible.iter().zip(&pass.broken);
    for condition in &view.assignment.possible {
        let worst = judges
            .by_ref()
            .take(condition.item.judges())
            .max_by_key(|(_, broken)| broken.count);
        let Some((judge, broken)) = worst.filter(|(_, broken)| broken.count > 0) else {
            continue;
        };
        let often = view.often(broken.count, pass.solved);
        let message = format!("the key itself breaks `{}`, {often}", condition.name);
        let label = format!("such as with {}", view.told(judge.uses(), broken.first));
        found.push(view.error(condition.span, message).label(label).help(
            "correct it, or the equations; right answers would be taken for impossible ones",
        ));
    }
}

/// Keys that are all zeros before or after the point.
fn magnitude(
    view: &View<'_>,
    pass: &Pass,
    asks: &Asks<'_>,
    keys: &Keys,
    found: &mut Vec<Diagnostic>,
) {
    let limits = [
        (&keys.small, "below", SMALL, "a smaller"),
        (&keys.large, "from", LARGE, "a larger"),
    ];
    for (count, side, limit, other) in limits {
        let share = count.count as f64 / pass.solved as f64;
        if share < MANY {
            continue;
        }
        let end = if side == "from" { " up" } else { "" };
        let unit = &asks.unit;
        let message = format!(
            "the key of part `{}` is {side} {limit}{}{end} {}",
            asks.part.id,
            unit.behind(),
            among(count.count, pass.solved)
        );
        let uses = SlotSet::of(asks.plan.slot);
        let help = if unit.is_one() {
            "draw givens that lead to handier numbers".to_owned()
        } else {
            format!("ask for it in {other} unit, with `unit` on the part, or draw other givens")
        };
        found.push(
            view.warning(asks.part.span, message)
                .label(format!("such as {}", view.told(uses, count.first)))
                .help(help),
        );
    }
}

/// A percentage of nothing is nothing.
fn zero(view: &View<'_>, pass: &Pass, asks: &Asks<'_>, keys: &Keys, found: &mut Vec<Diagnostic>) {
    let rules = &asks.part.rules;
    let (Some(percent), None) = (rules.percent, rules.absolute) else {
        return;
    };
    let usual = usual_size(asks, pass);
    let through = keys.below_zero.count > 0 && keys.most > 0.0;
    let nearest = &measured(asks.unit.to_si(keys.nearest), &asks.unit);
    let message = if keys.zero.count > 0 {
        let often = view.often(keys.zero.count, pass.solved);
        format!("the key of part `{}` is exactly 0, {often}", asks.part.id)
    } else if through && keys.nearest < NEAR_ZERO * usual {
        format!(
            "the key of part `{}` changes sign between variants and comes as near to 0 as {nearest}",
            asks.part.id
        )
    } else {
        return;
    };
    let Some(numeral) = numeral_of(0.01 * usual, 1) else {
        return;
    };
    let unit = asks.unit;
    let example = Quantity { numeral, unit };
    found.push(
        view.warning(asks.part.span, message)
            .label("a percentage of it leaves no room for rounding")
            .help(format!(
                "give the part an absolute tolerance as well, such as [\"{}%\", \"{example}\"], or keep such draws out with [require]",
                hundredths(percent)
            )),
    );
}

/// The median size of the keys, in the unit asked for.
fn usual_size(asks: &Asks<'_>, pass: &Pass) -> f64 {
    let sizes = pass.survey.iter();
    let mut sizes: Vec<f64> = sizes
        .map(|(_, slots)| asks.unit.from_si(slots[asks.plan.slot]).abs())
        .collect();
    let middle = sizes.len() / 2;
    if sizes.is_empty() {
        return 0.0;
    }
    *sizes.select_nth_unstable_by(middle, f64::total_cmp).1
}

/// The value that a "show that" prints has to be the answer.
fn printed(view: &View<'_>, pass: &Pass, asks: &Asks<'_>, found: &mut Vec<Diagnostic>) {
    let printed = answer_part(view.assignment, asks.index).and_then(|part| part.printed);
    let Some(printed) = printed else { return };
    let stated = Stated::decimal(printed.numeral, &printed.unit);
    let mut off = (0, 0.0_f64, 0);
    for (draw, slots) in pass.survey.iter() {
        let key = slots[asks.plan.slot];
        let width = asks.part.rules.tolerance(key).max(stated.half);
        let apart = (asks.counted(stated.value) - asks.counted(key)).abs();
        if apart > width + 1e-9 * key.abs() {
            off.0 += 1;
            if apart > off.1 {
                (off.1, off.2) = (apart, draw);
            }
        }
    }
    let (count, _, worst) = off;
    if count == 0 {
        return;
    }
    let message = format!(
        "the value printed for part `{}`, {printed}, is not the answer {}",
        asks.part.id,
        among(count, pass.survey.len())
    );
    let uses = SlotSet::of(asks.plan.slot);
    found.push(
        view.warning(asks.part.span, message)
            .label(format!("such as {}", view.told(uses, worst)))
            .help(
                "leave `printed` out, draw givens that lead to this value, or set `variants = 1`",
            ),
    );
}
