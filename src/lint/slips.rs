//! Foreseen slips that cannot do their work: too close to the right answer, alike, or without a
//! number.
//!
//! In: the keys of a sample. Out: findings. A slip is reckoned as in marking, from the givens alone
//! and from right earlier answers.

use arrayvec::ArrayVec;

use crate::diagnostic::Diagnostic;
use crate::marking::window::half_unit_of;
use crate::plan::{MOST_ROADS, Way};

use super::pass::{Count, Pass};
use super::threshold::{CLEAR, CLEAR_IN_WORDS, SOME};
use super::view::{Asks, View, among};

/// The numbers one slip leads to with one key.
type Values = ArrayVec<f64, { 2 * MOST_ROADS }>;

/// Keys looked at where the roads of some slip are dear.
const DEAR: usize = 256;

/// What was seen of the slips of one part.
struct Seen {
    /// Keys looked at.
    keys: usize,
    /// By slip: within [`CLEAR`] tolerances of the key.
    near: Vec<Count>,
    /// By slip: not to be told from the key, so that it is marked right.
    same: Vec<Count>,
    /// By slip: no number at all.
    none: Vec<Count>,
    /// By pair of slips, the second before the first of them: one number at the figures asked for.
    alike: Vec<Count>,
}

/// Where a pair of slips is counted.
fn pair(first: usize, second: usize) -> usize {
    second * (second - 1) / 2 + first
}

pub(super) fn check(view: &View<'_>, pass: &Pass, found: &mut Vec<Diagnostic>) {
    for asks in view.answers() {
        if !asks.plan.slips.is_empty() && pass.survey.len() > 0 {
            let seen = look(view, pass, &asks);
            tell(view, &asks, &seen, found);
        }
    }
}

/// Whether some slip leads over a dear road.
fn is_dear(asks: &Asks<'_>) -> bool {
    asks.plan.slips.iter().any(|slip| match &slip.way {
        Way::Expression { .. } => false,
        Way::Roads { own, roads } => own.iter().chain(roads).any(|road| road.order.is_dear()),
    })
}

fn look(view: &View<'_>, pass: &Pass, asks: &Asks<'_>) -> Seen {
    let slips = asks.plan.slips.len();
    let most = if is_dear(asks) { DEAR } else { usize::MAX };
    let mut seen = Seen {
        keys: pass.survey.len().min(most),
        near: vec![Count::default(); slips],
        same: vec![Count::default(); slips],
        none: vec![Count::default(); slips],
        alike: vec![Count::default(); slips * (slips - 1) / 2],
    };
    let mut all: Vec<Values> = vec![Values::new(); slips];
    let mut scratch = Vec::with_capacity(view.problem.slots());
    for (draw, slots) in pass.survey.some(seen.keys) {
        let key = slots[asks.plan.slot];
        let figures = view.asked(asks, draw).shown;
        let width = asks.half_width(key, figures);
        for (slip, prepared) in asks.plan.slips.iter().enumerate() {
            let values = &mut all[slip];
            reckon(view, &prepared.way, slots, key, values, &mut scratch);
            let off = values.iter().fold(f64::INFINITY, |least: f64, value| {
                least.min((asks.counted(*value) - asks.counted(key)).abs())
            });
            if values.is_empty() {
                seen.none[slip].add(draw);
            }
            if off <= CLEAR * width {
                seen.near[slip].add(draw);
            }
            if off <= width {
                seen.same[slip].add(draw);
            }
        }
        for second in 1..slips {
            for first in 0..second {
                let alike = |one: f64, other: f64| {
                    let (one, other) = (asks.counted(one), asks.counted(other));
                    (one - other).abs() <= half_unit_of(one, figures, asks.unit.factor())
                };
                let any = |one: &f64| all[second].iter().any(|other| alike(*one, *other));
                if all[first].iter().any(any) {
                    seen.alike[pair(first, second)].add(draw);
                }
            }
        }
    }
    seen
}

/// Collects the finite numbers a slip leads to with right earlier answers.
fn reckon(
    view: &View<'_>,
    way: &Way,
    slots: &[f64],
    key: f64,
    values: &mut Values,
    scratch: &mut Vec<f64>,
) {
    values.clear();
    match way {
        Way::Expression { tape, size } => values.push(tape.value(slots) * size),
        Way::Roads { own, roads } => {
            for road in own.iter().chain(roads) {
                scratch.clear();
                scratch.extend_from_slice(slots);
                let end = road.value(&view.problem.solver, scratch, None, key);
                // At most as many as there is room for: the plan keeps so many of each.
                values.extend(end.into_iter().take(values.remaining_capacity()));
            }
        }
    }
    values.retain(|value| value.is_finite());
}

fn tell(view: &View<'_>, asks: &Asks<'_>, seen: &Seen, found: &mut Vec<Diagnostic>) {
    let Some(model) = crate::plan::answer_part(view.assignment, asks.index) else {
        return;
    };
    let part = &asks.part.id;
    let keys = seen.keys;
    let share = |met: &Count| met.count as f64 / keys as f64;
    let often = |met: &Count| among(met.count, keys);
    let such_as = |met: &Count| format!("such as with {}", view.told(asks.plan.depends, met.first));
    for (slip, model) in model.slips.iter().enumerate() {
        let number = slip + 1;
        let (near, same, none) = (&seen.near[slip], &seen.same[slip], &seen.none[slip]);
        if none.count == keys {
            let message = format!("slip {number} of part `{part}` never leads to a number");
            found.push(
                view.warning(model.span, message)
                    .label(such_as(none))
                    .help("mend its formula: a root of something negative, or a division by zero"),
            );
            continue;
        }
        if share(near) < SOME {
            continue;
        }
        let message = if same.count == keys {
            format!("slip {number} of part `{part}` is the right answer in every variant")
        } else if share(same) >= SOME {
            format!(
                "slip {number} of part `{part}` cannot be told from the right answer {}",
                often(same)
            )
        } else {
            format!(
                "slip {number} of part `{part}` comes within {CLEAR_IN_WORDS} of the right answer {}",
                often(near)
            )
        };
        let met = if share(same) >= SOME { same } else { near };
        let help = if same.count == keys {
            "mend the slip, or the equations"
        } else {
            "keep them apart with [require], both written in givens; narrow the tolerance; or leave the slip out"
        };
        found.push(
            view.warning(model.span, message)
                .label(such_as(met))
                .help(help),
        );
    }
    for second in 1..model.slips.len() {
        for first in 0..second {
            let met = &seen.alike[pair(first, second)];
            if share(met) < SOME {
                continue;
            }
            let message = format!(
                "slips {} and {} of part `{part}` give the same number {}",
                first + 1,
                second + 1,
                often(met)
            );
            found.push(
                view.warning(model.slips[second].span, message)
                    .label(such_as(met))
                    .help("neither can be told from the other: make one of them of both, or keep them apart with [require]"),
            );
        }
    }
}
