//! Made-up students of the shipped assignments: what they write, whatever they do.

use std::sync::LazyLock;

use paperweight::assignment::PartKind;
use paperweight::formula::order::Order;
use paperweight::formula::tape::SlotSet;
use paperweight::marking::{Key, Marked};
use paperweight::plan::{AnswerPlan, PartPlan, Problem, Road, answer_part};
use paperweight::quantity::{Numeral, numeral_of, round_to_figures};
use proptest::prelude::*;

use crate::hands::desk::Desk;

/// The shipped assignments.
pub(crate) const CODES: [&str; 5] = [
    "ropes-1",
    "pulley-disc-1",
    "incline-1",
    "projectile-1",
    "collision-1",
];

const LATE: &str = "late = { per_day = \"10%\", at_most = \"50%\" }";

/// The five assignments with three or four figures asked for, and a price on lateness and on
/// cutting off: a stricter scheme than their own.
static DESKS: LazyLock<Vec<[Desk; 2]>> = LazyLock::new(|| {
    let desk = |code, figures: &str| {
        let scheme = format!("figures = {figures}\ntruncated = \"charge\"\n{LATE}");
        let desk = Desk::changed(code, |text| text.replacen("figures   = 3", &scheme, 1));
        assert!(desk.plan.sheet.paper.late.is_some());
        desk
    };
    CODES
        .iter()
        .map(|code| [desk(code, "3"), desk(code, "4")])
        .collect()
});

pub(crate) fn desk(which: usize, figures: u8) -> &'static Desk {
    &DESKS[which][usize::from(figures == 4)]
}

pub(crate) fn problem(desk: &Desk) -> &Problem {
    &desk.plan.problems[0]
}

/// The parts that ask for a quantity.
pub(crate) fn answers(desk: &Desk) -> impl Iterator<Item = (usize, &AnswerPlan)> {
    let parts = problem(desk).parts.iter().enumerate();
    parts.filter_map(|(at, part)| match part {
        PartPlan::Answer(answer) => Some((at, answer)),
        _ => None,
    })
}

/// A value in SI units as a student writes it in the unit asked for.
pub(crate) fn written(desk: &Desk, part: usize, value: f64, figures: u8) -> String {
    let unit = answer_part(&desk.plan.sheet.problems[0], part)
        .unwrap()
        .unit;
    let text = round_to_figures(unit.from_si(value), figures);
    format!("{text} {unit}").trim_end_matches(" 1").to_owned()
}

/// The value that a text so written stands for, in SI units.
fn read_back(value: f64, size: f64, figures: u8) -> f64 {
    numeral_of(value / size, figures).map_or(value, |numeral: Numeral| numeral.to_f64() * size)
}

/// Goes along a road as a student does who rounds each result before using it.
fn walk(desk: &Desk, road: &Road, slots: &mut [f64], key: &Key, figures: u8) -> Option<f64> {
    let problem = problem(desk);
    let key = &key.problems[0].slots;
    for block in &road.order.blocks {
        let order = Order {
            blocks: vec![block.clone()],
        };
        let mut best: Option<(f64, Vec<f64>)> = None;
        let mut trial = slots.to_vec();
        let visit = &mut |found: &[f64]| {
            let off = |&slot: &usize| ((found[slot] - key[slot]) / problem.sizes[slot]).abs();
            let off: f64 = block.unknowns.iter().map(off).sum();
            if best.as_ref().is_none_or(|(least, _)| off < *least) {
                best = Some((off, found.to_vec()));
            }
        };
        problem
            .solver
            .solutions(&order, &mut trial, None, visit)
            .ok()?;
        let (_, found) = best?;
        for &slot in &block.unknowns {
            slots[slot] = read_back(found[slot], problem.sizes[slot], figures);
        }
    }
    Some(slots[road.target])
}

/// The word that is right, for a part that asks for one.
fn right_word(desk: &Desk, key: &Key, part: usize) -> Option<String> {
    let PartPlan::Choose(judges) = &problem(desk).parts[part] else {
        return None;
    };
    let holds = judges
        .iter()
        .position(|judge| judge.holds(&key.problems[0].slots))?;
    match &desk.plan.sheet.problems[0].parts[part].kind {
        PartKind::Choose(choice) => Some(choice.options[holds].label.clone()),
        _ => None,
    }
}

/// Cells by the ids of their columns.
pub(crate) type Cells = Vec<(String, String)>;

pub(crate) fn mark(desk: &Desk, key: &Key, cells: &Cells) -> Marked {
    let cells: Vec<(&str, &str)> = cells
        .iter()
        .map(|(id, text)| (id.as_str(), text.as_str()))
        .collect();
    desk.mark(key, &desk.paper(&cells))
}

/// The words and the points by eye that are right, so that only numbers are in question.
pub(crate) fn all_but_numbers(desk: &Desk, key: &Key) -> Cells {
    let parts = desk.plan.sheet.problems[0].parts.iter().enumerate();
    parts
        .filter_map(|(at, part)| {
            let text = match &part.kind {
                PartKind::Eye(items) => items.len().to_string(),
                _ => right_word(desk, key, at)?,
            };
            Some((part.id.clone(), text))
        })
        .collect()
}

/// A paper on which everything is rounded to the figures asked for before it is used again, each
/// part by one of the ways there are: from the givens, as long as nothing on that way was asked for
/// before, or from the answers already written.
pub(crate) fn rounding_student(desk: &Desk, key: &Key, figures: u8, ways: &[usize]) -> Cells {
    let mut cells = all_but_numbers(desk, key);
    let mut slots = key.problems[0].slots.clone();
    let mut answered = SlotSet::default();
    for ((part, answer), way) in answers(desk).zip(ways) {
        let own = answer.own.iter();
        let own = own.filter(|road| road.hidden.and(answered).is_empty());
        let roads: Vec<&Road> = own.chain(&answer.roads).collect();
        let road = roads[way % roads.len()];
        let value = walk(desk, road, &mut slots, key, figures).unwrap();
        let id = desk.plan.sheet.problems[0].parts[part].id.clone();
        cells.push((id, written(desk, part, value, figures)));
        answered = answered.or(SlotSet::of(answer.slot));
    }
    cells
}

/// What a made-up student does for one part.
#[derive(Clone, Debug)]
pub(crate) enum Doing {
    Nothing,
    /// The key.
    Knows {
        figures: u8,
    },
    /// A number of its own.
    Errs {
        factor: f64,
        figures: u8,
    },
    /// From the answers already written, whatever those are.
    Follows {
        way: usize,
        figures: u8,
    },
    /// The right number with something else behind it.
    Units {
        unit: &'static str,
        figures: u8,
    },
    /// Anything.
    Scribbles(String),
}

pub(crate) fn doing() -> impl Strategy<Value = Doing> {
    let figures = 1u8..7;
    prop_oneof![
        1 => Just(Doing::Nothing),
        3 => figures.clone().prop_map(|figures| Doing::Knows { figures }),
        3 => (-3.0..3.0, figures.clone())
            .prop_map(|(factor, figures)| Doing::Errs { factor, figures }),
        3 => (0usize..8, figures.clone()).prop_map(|(way, figures)| Doing::Follows { way, figures }),
        2 => (prop::sample::select(vec!["", "m", "kN", "N m", "kg", "cm", "m/s", "km/h"]), figures)
            .prop_map(|(unit, figures)| Doing::Units { unit, figures }),
        1 => prop::sample::select(vec![
            "3.2 or 6.4", "?", "0", "-0.0", "1,234", "3 g", "49/15", "2π m", "~3", "1e300 N", "1e-300",
            "4.2 (see back)", "three", "5 kg kg", "32 000 N", "-", "2 g N/kg",
        ]).prop_map(|text| Doing::Scribbles(text.to_owned())),
    ]
}

/// What may be keyed besides: points for working, a misread number, days late.
pub(crate) type Beside = (Option<u8>, bool, u32);

pub(crate) fn beside() -> impl Strategy<Value = Beside> {
    (prop::option::of(0u8..4), any::<bool>(), 0u32..9)
}

pub(crate) fn some_student(desk: &Desk, key: &Key, doings: &[Doing], beside: &Beside) -> Cells {
    let mut cells = all_but_numbers(desk, key);
    let model = &desk.plan.sheet.problems[0];
    let mut slots = key.problems[0].slots.clone();
    for ((part, answer), doing) in answers(desk).zip(doings) {
        let value = key.problems[0].slots[answer.slot];
        let text = match doing {
            Doing::Nothing => String::new(),
            Doing::Knows { figures } => written(desk, part, value, *figures),
            Doing::Errs { factor, figures } => {
                slots[answer.slot] = value * factor;
                written(desk, part, value * factor, *figures)
            }
            Doing::Follows { way, figures } => {
                let road = answer.roads.get(way % answer.roads.len().max(1));
                let value = road
                    .and_then(|road| walk(desk, road, &mut slots, key, *figures))
                    .unwrap_or(value);
                written(desk, part, value, *figures)
            }
            Doing::Units { unit, figures } => {
                let asked = answer_part(model, part).unwrap().unit;
                format!(
                    "{} {unit}",
                    round_to_figures(asked.from_si(value), *figures)
                )
            }
            Doing::Scribbles(text) => text.clone(),
        };
        cells.push((model.parts[part].id.clone(), text));
    }
    let (working, misread, late) = beside;
    for part in model.parts.iter().filter(|part| !part.working.is_empty()) {
        if let Some(points) = working {
            let points = usize::from(*points).min(part.working.len());
            cells.push((format!("{}.working", part.id), points.to_string()));
        }
    }
    if *misread {
        let given = &model.givens[0];
        let value = given.draw.value(1).unwrap();
        cells.push((format!("given:{}", given.name), value.to_string()));
    }
    cells.push(("days late".to_owned(), late.to_string()));
    cells
}
