//! What holds of every mark, whatever a student writes: tried on made-up students of the five
//! shipped assignments.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::LazyLock;

use paperweight::files;
use paperweight::formula::order::Order;
use paperweight::marking::{Key, Marked, Reason, Status, Verdict};
use paperweight::plan::{AnswerPlan, PartPlan, Problem, Road, answer_part};
use paperweight::quantity::{Numeral, Quantity, numeral_of, round_to_figures};
use paperweight::roster::RosterColumns;
use paperweight::text::DecimalMark;
use paperweight::variant::{self, Draft};
use paperweight::workflow::{self, Form, MarkRequest, Prepared};
use proptest::prelude::*;
use rust_decimal::Decimal;

use crate::desk::Desk;
use crate::told;

const CODES: [&str; 5] = [
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

fn desk(which: usize, figures: u8) -> &'static Desk {
    &DESKS[which][usize::from(figures == 4)]
}

fn problem(desk: &Desk) -> &Problem {
    &desk.plan.problems[0]
}

/// The parts that ask for a quantity.
fn answers(desk: &Desk) -> impl Iterator<Item = (usize, &AnswerPlan)> {
    let parts = problem(desk).parts.iter().enumerate();
    parts.filter_map(|(at, part)| match part {
        PartPlan::Answer(answer) => Some((at, answer)),
        _ => None,
    })
}

/// A value in SI units as a student writes it in the unit asked for.
fn written(desk: &Desk, part: usize, value: f64, figures: u8) -> String {
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
        paperweight::assignment::PartKind::Choose(choice) => {
            Some(choice.options[holds].label.clone())
        }
        _ => None,
    }
}

/// Cells by the ids of their columns.
type Cells = Vec<(String, String)>;

fn mark(desk: &Desk, key: &Key, cells: &Cells) -> Marked {
    let cells: Vec<(&str, &str)> = cells
        .iter()
        .map(|(id, text)| (id.as_str(), text.as_str()))
        .collect();
    desk.mark(key, &desk.paper(&cells))
}

/// The words and the points by eye that are right, so that only numbers are in question.
fn all_but_numbers(desk: &Desk, key: &Key) -> Cells {
    let parts = desk.plan.sheet.problems[0].parts.iter().enumerate();
    parts
        .filter_map(|(at, part)| {
            let text = match &part.kind {
                paperweight::assignment::PartKind::Eye(items) => items.len().to_string(),
                _ => right_word(desk, key, at)?,
            };
            Some((part.id.clone(), text))
        })
        .collect()
}

/// A paper on which everything is rounded to the figures asked for before it is used again, each
/// part by one of the ways there are: from the givens, as long as nothing on that way was asked for
/// before, or from the answers already written.
fn rounding_student(desk: &Desk, key: &Key, figures: u8, ways: &[usize]) -> Cells {
    let mut cells = all_but_numbers(desk, key);
    let mut slots = key.problems[0].slots.clone();
    let mut answered = paperweight::formula::tape::SlotSet::default();
    for ((part, answer), way) in answers(desk).zip(ways) {
        let own = answer.own.iter();
        let own = own.filter(|road| road.hidden.and(answered).is_empty());
        let roads: Vec<&Road> = own.chain(&answer.roads).collect();
        let road = roads[way % roads.len()];
        let value = walk(desk, road, &mut slots, key, figures).unwrap();
        let id = desk.plan.sheet.problems[0].parts[part].id.clone();
        cells.push((id, written(desk, part, value, figures)));
        answered = answered.or(paperweight::formula::tape::SlotSet::of(answer.slot));
    }
    cells
}

/// What a made-up student does for one part.
#[derive(Clone, Debug)]
enum Doing {
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

fn doing() -> impl Strategy<Value = Doing> {
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
type Beside = (Option<u8>, bool, u32);

fn beside() -> impl Strategy<Value = Beside> {
    (prop::option::of(0u8..4), any::<bool>(), 0u32..9)
}

fn some_student(desk: &Desk, key: &Key, doings: &[Doing], beside: &Beside) -> Cells {
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

/// Everything that the columns promise.
fn columns_add_up(desk: &Desk, marked: &Marked, late: u32) -> Result<(), TestCaseError> {
    let zero = Decimal::ZERO;
    let rules = &desk.plan.sheet.paper;
    let (mut units, mut figures) = (0, 0);
    for (at, mark) in marked.parts.iter().enumerate() {
        let shown = told::mark(desk, marked, at);
        let rules = &desk.plan.sheet.problems[0].parts[at].rules;
        prop_assert!(
            zero <= mark.points && mark.points <= mark.out_of,
            "{}",
            shown
        );
        prop_assert!(
            zero <= mark.share && mark.share <= Decimal::ONE,
            "{}",
            shown
        );
        prop_assert!(zero <= mark.unit_cost && mark.unit_cost <= rules.unit_cost);
        prop_assert!(zero <= mark.figures_cost && mark.figures_cost <= rules.figures_cost);
        let working = Decimal::from(desk.plan.sheet.problems[0].parts[at].working.len());
        let value = (mark.out_of - working) * mark.share;
        if mark.verdict != Verdict::ByEye {
            let costs = mark.unit_cost + mark.figures_cost;
            prop_assert!(costs <= value, "{}", shown);
            prop_assert_eq!(mark.points, value - costs + mark.working, "{}", shown);
        }
        units += u32::from(mark.unit_cost > zero);
        figures += u32::from(mark.figures_cost > zero);
    }
    // "Once": at most one unit and one figures cost a paper.
    prop_assert!(units <= 1 && figures <= 1, "{}", told::paper(desk, marked));
    let earned: Decimal = marked.parts.iter().map(|mark| mark.points).sum();
    prop_assert!(marked.paper_cost <= zero && marked.late <= zero);
    prop_assert_eq!(marked.total, earned + marked.paper_cost + marked.late);
    prop_assert!(zero <= marked.total && marked.total <= marked.out_of);
    let share = rules.late.as_ref().map_or(zero, |rule| {
        (rule.per_day * Decimal::from(late)).min(rule.at_most)
    });
    prop_assert_eq!(marked.late, -(earned + marked.paper_cost) * share);
    Ok(())
}

/// Names of units, each with the factor and the divisor to it.
type Others = &'static [(&'static str, f64, f64)];

/// Other units of each dimension asked for, with what one unit asked for is in them: exact decimals
/// and quotients, from the definitions of the SI.
const UNITS: &[(&str, Others)] = &[
    (
        "m/s^2",
        &[
            ("m/s/s", 1.0, 1.0),
            ("m s^-2", 1.0, 1.0),
            ("N/kg", 1.0, 1.0),
            ("cm/s^2", 100.0, 1.0),
            ("mm/s^2", 1000.0, 1.0),
            ("km/s^2", 1.0, 1000.0),
            ("kN/kg", 1.0, 1000.0),
            ("mN/g", 1.0, 1.0),
        ],
    ),
    (
        "N",
        &[
            ("kg m/s^2", 1.0, 1.0),
            ("J/m", 1.0, 1.0),
            ("kN", 1.0, 1000.0),
            ("mN", 1000.0, 1.0),
            ("g m/s^2", 1000.0, 1.0),
            ("newton", 1.0, 1.0),
        ],
    ),
    (
        "rad/s^2",
        &[
            ("s^-2", 1.0, 1.0),
            ("1/s^2", 1.0, 1.0),
            ("rad s^-2", 1.0, 1.0),
        ],
    ),
    (
        "m/s",
        &[
            ("km/h", 3.6, 1.0),
            ("cm/s", 100.0, 1.0),
            ("m/min", 60.0, 1.0),
            ("km/s", 1.0, 1000.0),
        ],
    ),
    (
        "s",
        &[("ms", 1000.0, 1.0), ("min", 1.0, 60.0), ("h", 1.0, 3600.0)],
    ),
    (
        "m",
        &[("cm", 100.0, 1.0), ("mm", 1000.0, 1.0), ("km", 1.0, 1000.0)],
    ),
    (
        "J",
        &[
            ("N m", 1.0, 1.0),
            ("kJ", 1.0, 1000.0),
            ("kg m^2/s^2", 1.0, 1.0),
            ("W s", 1.0, 1.0),
            ("kWh", 1.0, 3_600_000.0),
        ],
    ),
    (
        "deg",
        &[
            ("°", 1.0, 1.0),
            ("degrees", 1.0, 1.0),
            ("rad", std::f64::consts::PI, 180.0),
        ],
    ),
];

fn others(unit: paperweight::quantity::Unit) -> Others {
    let is_it = |(name, _): &&(&str, _)| {
        paperweight::quantity::Unit::parse(name)
            .unwrap()
            .same_as(&unit)
    };
    UNITS
        .iter()
        .find(is_it)
        .unwrap_or_else(|| panic!("no other units for {unit}"))
        .1
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn marks_stay_in_bounds_and_columns_add_up(
        which in 0usize..5,
        id in "[a-z0-9]{1,8}",
        asked in 3u8..5,
        doings in prop::collection::vec(doing(), 7),
        beside in beside(),
    ) {
        let desk = desk(which, asked);
        let key = desk.drawn(&id);
        let cells = some_student(desk, &key, &doings, &beside);
        columns_add_up(desk, &mark(desk, &key, &cells), beside.2)?;
    }

    /// At the figures asked for, three or four, along any road.
    #[test]
    fn who_rounds_on_the_way_loses_nothing(
        which in 0usize..5,
        id in "[a-z0-9]{1,8}",
        asked in 3u8..5,
        ways in prop::collection::vec(0usize..12, 7),
    ) {
        let desk = desk(which, asked);
        let key = desk.drawn(&id);
        let cells = rounding_student(desk, &key, asked, &ways);
        let marked = mark(desk, &key, &cells);
        let shown = format!("{} {cells:?}\n{}", CODES[which], told::paper(desk, &marked));
        for part in &marked.parts {
            prop_assert!(
                matches!(part.verdict, Verdict::Right | Verdict::ByEye),
                "{}", shown
            );
        }
        prop_assert_eq!(marked.total, marked.out_of, "{}", shown);
        prop_assert_eq!(marked.status, Status::Marked);
    }

    #[test]
    fn a_right_answer_is_right_in_any_equivalent_unit(
        which in 0usize..5,
        id in "[a-z0-9]{1,8}",
        asked in 3u8..5,
        more in 0u8..3,
        picks in prop::collection::vec(0usize..24, 7),
    ) {
        let desk = desk(which, asked);
        let key = desk.drawn(&id);
        let model = &desk.plan.sheet.problems[0];
        let mut cells = all_but_numbers(desk, &key);
        for ((part, answer), pick) in answers(desk).zip(&picks) {
            let unit = answer_part(model, part).unwrap().unit;
            let units = others(unit);
            let (name, times, by) = units[pick % units.len()];
            let value = unit.from_si(key.problems[0].slots[answer.slot]) * times / by;
            let text = round_to_figures(value, asked + more);
            cells.push((model.parts[part].id.clone(), format!("{text} {name}")));
        }
        let marked = mark(desk, &key, &cells);
        let shown = format!("{} {cells:?}\n{}", CODES[which], told::paper(desk, &marked));
        prop_assert!(marked.parts.iter().all(|part| part.points == part.out_of), "{}", shown);
    }

    /// A part that is not right by itself, everything else left blank, is right on a full paper only as
    /// "rounded on the way": it follows from other answers of the paper that are all right. And a part
    /// right by its own number there is right without the others too.
    #[test]
    fn a_wrong_answer_is_not_made_right_by_another_part(
        which in 0usize..5,
        id in "[a-z0-9]{1,8}",
        doings in prop::collection::vec(doing(), 7),
    ) {
        let desk = desk(which, 3);
        let key = desk.drawn(&id);
        let cells = some_student(desk, &key, &doings, &(None, false, 0));
        let full = mark(desk, &key, &cells);
        let slot_of: BTreeMap<usize, usize> =
            answers(desk).map(|(part, answer)| (answer.slot, part)).collect();
        for (part, _) in answers(desk) {
            let id = &desk.plan.sheet.problems[0].parts[part].id;
            let alone: Cells = cells.iter().filter(|(name, _)| name == id).cloned().collect();
            let alone = mark(desk, &key, &alone);
            let (mark, alone) = (&full.parts[part], &alone.parts[part]);
            let shown = format!("{} {id} {cells:?}\n{}", CODES[which], told::paper(desk, &full));
            if mark.verdict == Verdict::Right && alone.verdict != Verdict::Right {
                let inputs = mark.reasons.iter().find_map(|reason| match reason {
                    Reason::FollowedFrom { inputs, .. } => Some(*inputs),
                    _ => None,
                });
                prop_assert!(inputs.is_some(), "{}", shown);
                let mut inputs = inputs.unwrap_or_default().iter();
                prop_assert!(
                    inputs.all(|slot| full.parts[slot_of[&slot]].verdict.is_right()),
                    "{}", shown
                );
                prop_assert!(mark.reasons.contains(&Reason::RoundedOnTheWay), "{}", shown);
            }
        }
    }

    /// Any text at all in every place: a verdict for each part, and sums that hold.
    #[test]
    fn whatever_is_written_gets_a_verdict(
        which in 0usize..5,
        texts in prop::collection::vec(
            prop_oneof![
                any::<String>(),
                "[-+0-9.,eE×x·*/^() ]{0,14}[a-zA-Z°µμ²⁻/^0-9 ]{0,8}",
                "[0-9]{1,3}[.,][0-9]{0,4}[ ]?(m/s\\^2|N|kN|m|s|g|deg|kg m/s²)?( or [0-9.]{1,4})?",
            ],
            8,
        ),
    ) {
        let desk = desk(which, 3);
        let key = desk.drawn("somebody");
        let parts = &desk.plan.sheet.problems[0].parts;
        let is_eye = |at: usize| matches!(problem(desk).parts[at], PartPlan::Eye);
        let cells: Cells = parts
            .iter()
            .enumerate()
            .filter(|(at, _)| !is_eye(*at))
            .zip(&texts)
            .map(|((_, part), text)| (part.id.clone(), text.clone()))
            .collect();
        let marked = mark(desk, &key, &cells);
        prop_assert_eq!(marked.parts.len(), parts.len());
        columns_add_up(desk, &marked, 0)?;
        for (at, part) in marked.parts.iter().enumerate() {
            prop_assert_eq!(part.verdict == Verdict::ByEye, is_eye(at));
        }
    }
}

/// Lateness is a share of what was earned for each day, up to the most.
#[test]
fn lateness_is_linear_and_capped() {
    let desk = desk(0, 3);
    let key = desk.drawn("late");
    let mut cells = rounding_student(desk, &key, 3, &[0; 7]);
    let on_time = mark(desk, &key, &cells).total;
    for days in 0..12u32 {
        cells.push(("days late".to_owned(), days.to_string()));
        let marked = mark(desk, &key, &cells);
        let lost = on_time * Decimal::new(i64::from(days.min(5)), 1);
        assert_eq!(
            (marked.late, marked.total),
            (-lost, on_time - lost),
            "{days}"
        );
        cells.pop();
    }
}

/// A class on disk: a roster, and answers in some layout.
struct Class {
    folder: tempfile::TempDir,
    prepared: Prepared,
    /// For each student the cells of their row.
    rows: Vec<(String, Cells)>,
}

/// Numbers that look random and are the same every time.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        // A linear congruential step, high bits taken (constants as published by Knuth, MMIX).
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % sides
    }

    fn shuffle<T>(&mut self, list: &mut [T]) {
        for at in (1..list.len()).rev() {
            list.swap(at, self.roll(at + 1));
        }
    }
}

impl Class {
    /// Students who do all kinds of things, on the numbers that marking gives them.
    fn of(code: &str, students: usize, dice: &mut Dice) -> Self {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("assignments/{code}.toml"));
        let prepared = workflow::prepare(workflow::load(&path).unwrap()).unwrap();
        let ids: Vec<String> = (0..students)
            .map(|at| format!("s{:04}", at * 7 % 9973))
            .collect();
        let desk = Desk {
            plan: prepared.plan.clone(),
        };
        let keys: Vec<Key> = {
            let spaces = prepared.spaces().unwrap();
            let refs: Vec<&str> = ids.iter().map(String::as_str).collect();
            let tries = variant::allocate(&spaces, &refs).unwrap();
            let mut draft = Draft::default();
            let mut key = |at: usize| {
                let attempt = tries.of(at)[0];
                spaces[0].picks(refs[at], 1, attempt, &mut draft).unwrap();
                let values: Vec<Quantity> = spaces[0].values(&draft.picks).collect();
                let mut key = Key::default();
                key.fill(&desk.plan, [values.as_slice()].into_iter())
                    .unwrap();
                key
            };
            (0..students).map(&mut key).collect()
        };
        let rows = ids
            .into_iter()
            .zip(&keys)
            .map(|(id, key)| {
                let doings: Vec<Doing> = (0..7)
                    .map(|_| match dice.roll(9) {
                        0 => Doing::Nothing,
                        1 | 2 => Doing::Errs {
                            factor: 0.4 + 0.13 * dice.roll(17) as f64,
                            figures: 3,
                        },
                        3 | 4 => Doing::Follows {
                            way: dice.roll(4),
                            figures: 3,
                        },
                        5 => Doing::Scribbles("3,2 or 4".to_owned()),
                        _ => Doing::Knows { figures: 3 },
                    })
                    .collect();
                let working = [None, Some(1), Some(3)][dice.roll(3)];
                let beside = (working, dice.roll(12) == 0, 0);
                let mut cells = some_student(&desk, key, &doings, &beside);
                cells.retain(|(name, _)| name != "days late");
                (id, cells)
            })
            .collect();
        Self {
            folder: tempfile::tempdir().unwrap(),
            prepared,
            rows,
        }
    }

    fn path(&self, name: &str) -> std::path::PathBuf {
        self.folder.path().join(name)
    }

    fn write(&self, name: &str, rows: &[Vec<&str>]) {
        let mut writer = csv::Writer::from_path(self.path(name)).unwrap();
        for row in rows {
            writer.write_record(row).unwrap();
        }
        writer.flush().unwrap();
    }

    /// Writes the roster and the answers, each in some order; long or wide.
    fn lay_out(&self, dice: &mut Dice, long: bool) {
        let mut roster: Vec<Vec<&str>> = self
            .rows
            .iter()
            .map(|(id, _)| vec![id.as_str(), "N. N."])
            .collect();
        dice.shuffle(&mut roster);
        roster.insert(0, vec!["id", "name"]);
        self.write("roster.csv", &roster);
        let mut order: Vec<usize> = (0..self.rows.len()).collect();
        dice.shuffle(&mut order);
        let students = order.iter().map(|&at| &self.rows[at]);
        let mut rows: Vec<Vec<&str>> = Vec::new();
        if long {
            rows.push(vec!["student", "part", "entry"]);
            for (id, cells) in students {
                let mut cells: Vec<&(String, String)> = cells.iter().collect();
                dice.shuffle(&mut cells);
                rows.extend(
                    cells
                        .iter()
                        .map(|(name, text)| vec![id.as_str(), name.as_str(), text.as_str()]),
                );
            }
        } else {
            let mut columns: Vec<&str> = self
                .rows
                .iter()
                .flat_map(|(_, cells)| cells.iter().map(|(name, _)| name.as_str()))
                .collect();
            columns.sort_unstable();
            columns.dedup();
            dice.shuffle(&mut columns);
            rows.push(
                std::iter::once("student")
                    .chain(columns.iter().copied())
                    .collect(),
            );
            for (id, cells) in students {
                let cell = |name: &&str| {
                    cells
                        .iter()
                        .find(|(other, _)| other == name)
                        .map_or("", |(_, text)| text.as_str())
                };
                rows.push(
                    std::iter::once(id.as_str())
                        .chain(columns.iter().map(cell))
                        .collect(),
                );
            }
        }
        self.write("answers.csv", &rows);
    }

    fn mark(&self, form: Form, threads: usize) -> Vec<u8> {
        let (roster, _) =
            workflow::roster(&self.path("roster.csv"), &RosterColumns::default()).unwrap();
        let request = MarkRequest {
            prepared: &self.prepared,
            roster: &roster,
            answers: (
                files::open(&self.path("answers.csv")).unwrap(),
                "answers.csv",
            ),
            due: None,
            decimal: DecimalMark::Point,
            form,
            partial: true,
            threads,
        };
        let mut out = Vec::new();
        let outcome = workflow::mark(request, &mut out, "marks.csv", &mut |_, _| {});
        let outcome = outcome.unwrap_or_else(|failure| panic!("{failure:?}"));
        assert!(!outcome.has_findings, "{:?}", outcome.findings);
        out
    }

    /// The row of marks of each student.
    fn marks(&self) -> BTreeMap<String, csv::StringRecord> {
        let bytes = self.mark(Form::Csv, 2);
        let rows = csv::Reader::from_reader(&bytes[..]).into_records();
        rows.map(|row| row.unwrap())
            .map(|row| (row[0].to_owned(), row))
            .collect()
    }
}

#[test]
fn the_order_of_students_and_of_parts_changes_no_mark() {
    let mut dice = Dice(2026);
    for code in CODES {
        let class = Class::of(code, 40, &mut dice);
        class.lay_out(&mut dice, false);
        let first = class.marks();
        assert_eq!(first.len(), 40);
        let points =
            |row: &csv::StringRecord| row.iter().nth_back(2).unwrap().parse::<f64>().unwrap();
        let spread = first
            .values()
            .map(points)
            .fold((f64::MAX, 0.0_f64), |(least, most), x| {
                (least.min(x), most.max(x))
            });
        assert!(spread.0 < spread.1, "the class does all kinds of things");
        // Counting through a large space of draws takes its time without optimization.
        for round in 0..if code == "ropes-1" { 6 } else { 2 } {
            class.lay_out(&mut dice, round % 2 == 1);
            assert_eq!(class.marks(), first, "{code}");
        }
    }
}

#[test]
fn the_same_files_give_the_same_bytes_with_any_number_of_threads() {
    let mut dice = Dice(11);
    // More than two batches, so that threads take turns.
    let class = Class::of("ropes-1", 700, &mut dice);
    class.lay_out(&mut dice, false);
    for form in [Form::Csv, Form::JsonLines] {
        let first = class.mark(form, 1);
        assert!(first.len() > 700 * 20);
        for threads in [1, 2, 3] {
            assert!(
                class.mark(form, threads) == first,
                "{form:?} with {threads} threads"
            );
        }
    }
}
