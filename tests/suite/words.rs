//! What students are told: never a number of the key, always one line, nothing about others.

use std::sync::LazyLock;

use paperweight::assignment::PartKind;
use paperweight::feedback;
use paperweight::marking::{Key, Marked};
use paperweight::plan::{PartPlan, Plan, Way};
use paperweight::quantity::round_to_figures;
use proptest::prelude::*;

use crate::hands::desk::Desk;

const CODES: [&str; 5] = [
    "ropes-1",
    "pulley-disc-1",
    "incline-1",
    "projectile-1",
    "collision-1",
];

static DESKS: LazyLock<Vec<Desk>> =
    LazyLock::new(|| CODES.iter().map(|code| Desk::shipped(code)).collect());

/// The paper's feedback, and that of each part.
fn told(plan: &Plan, key: &Key, marked: &Marked) -> (String, Vec<String>) {
    let mut paper = String::new();
    feedback::paper(plan, key, marked, &mut paper);
    let parts = (0..plan.parts.len()).map(|at| {
        let mut part = String::new();
        feedback::part(plan, key, marked, at, &mut part);
        part
    });
    (paper, parts.collect())
}

/// The texts of the teacher's own that students may be told.
fn sayings(plan: &Plan) -> Vec<&str> {
    let parts = plan
        .sheet
        .problems
        .iter()
        .flat_map(|problem| &problem.parts);
    let slips = parts.flat_map(|part| match &part.kind {
        PartKind::Answer(answer) => answer.slips.as_slice(),
        PartKind::Choose(_) | PartKind::Eye(_) => &[],
    });
    slips.filter_map(|slip| slip.say.as_deref()).collect()
}

/// Every way in which a number of the key might be printed: 2 to 5 figures, in the unit asked for.
fn printed_keys(plan: &Plan, key: &Key) -> Vec<String> {
    let mut printed = Vec::new();
    for (at, place) in plan.parts.iter().enumerate() {
        let problem = place.problem;
        let (Some(answer), PartKind::Answer(asks)) = (
            plan.problems[problem].answer(place.part),
            &plan.assignment(at).parts[place.part].kind,
        ) else {
            continue;
        };
        let value = asks.unit.from_si(key.problems[problem].slots[answer.slot]);
        printed.extend((2..=5).map(|figures| round_to_figures(value.abs(), figures)));
    }
    printed
}

/// Whether a number stands in a text by itself, not as part of a longer one.
fn holds_number(text: &str, number: &str) -> bool {
    let is_part = |c: char| c.is_ascii_digit();
    text.match_indices(number).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let after = text[at + number.len()..].chars().next();
        !before.is_some_and(|c| is_part(c) || c == '.') && !after.is_some_and(is_part)
    })
}

#[test]
fn a_number_that_is_given_away_is_found() {
    for (text, expected) in [
        ("it is 3.27 then", true),
        ("it is 3.27.", true),
        ("13.27", false),
        ("3.271", false),
        ("0.3.27", false),
        ("none", false),
    ] {
        assert_eq!(holds_number(text, "3.27"), expected, "{text}");
    }
}

/// What a student may do with one part.
#[derive(Clone, Debug)]
enum Act {
    Right { figures: u8 },
    Factor { factor: f64, figures: u8 },
    Slip { which: usize, figures: u8 },
    Turned,
    NoUnit { figures: u8 },
    OtherUnit,
    Prefix,
    Blank,
    Scrawl,
    Two,
    Fraction,
    Option(usize),
}

fn act() -> impl Strategy<Value = Act> {
    let figures = 1..=5u8;
    prop_oneof![
        4 => figures.clone().prop_map(|figures| Act::Right { figures }),
        2 => (0.5..1.5f64, figures.clone())
            .prop_map(|(factor, figures)| Act::Factor { factor, figures }),
        3 => (0..4usize, 3..=4u8).prop_map(|(which, figures)| Act::Slip { which, figures }),
        1 => Just(Act::Turned),
        1 => figures.prop_map(|figures| Act::NoUnit { figures }),
        1 => Just(Act::OtherUnit),
        1 => Just(Act::Prefix),
        1 => Just(Act::Blank),
        1 => Just(Act::Scrawl),
        1 => Just(Act::Two),
        1 => Just(Act::Fraction),
        2 => (0..3usize).prop_map(Act::Option),
    ]
}

/// The entry that comes of an act on part `at`.
fn entry(plan: &Plan, key: &Key, at: usize, act: &Act) -> String {
    let place = &plan.parts[at];
    let problem = &plan.problems[place.problem];
    let slots = &key.problems[place.problem].slots;
    let model = &plan.assignment(at).parts[place.part];
    let (asks, answer) = match (&model.kind, &problem.parts[place.part]) {
        (PartKind::Answer(asks), PartPlan::Answer(answer)) => (asks, answer),
        (PartKind::Choose(choice), _) => {
            return match act {
                Act::Option(index) => choice.options.get(*index).map_or("?", |o| &o.label).into(),
                Act::Blank => String::new(),
                Act::Scrawl => "?".into(),
                _ => choice.options[0].label.clone(),
            };
        }
        (PartKind::Eye(_), _) | (PartKind::Answer(_), _) => {
            return match act {
                Act::Option(points) => points.to_string(),
                Act::Right { .. } => "2".into(),
                _ => String::new(),
            };
        }
    };
    let unit = asks.unit;
    let value = unit.from_si(slots[answer.slot]);
    let written = |x: f64, figures: u8| format!("{} {unit}", round_to_figures(x, figures));
    match act {
        Act::Right { figures } => written(value, *figures),
        Act::Factor { factor, figures } => written(value * factor, *figures),
        Act::Slip { which, figures } => {
            let numbers: Vec<f64> = answer
                .slips
                .iter()
                .filter_map(|slip| match &slip.way {
                    Way::Expression { tape, size } => Some(tape.value(slots) * size),
                    Way::Roads { .. } => None,
                })
                .collect();
            let number = numbers.get(which % numbers.len().max(1));
            number.map_or_else(String::new, |&si| written(unit.from_si(si), *figures))
        }
        Act::Turned => written(-value, 3),
        Act::NoUnit { figures } => round_to_figures(value, *figures),
        Act::OtherUnit => format!("{} kg/s", round_to_figures(value, 3)),
        Act::Prefix => format!("{} k{unit}", round_to_figures(value, 3)),
        Act::Blank => String::new(),
        Act::Scrawl => "3..2".into(),
        Act::Two => format!("{} or {}", written(value, 3), written(2.0 * value, 3)),
        Act::Fraction => format!("{}/7 {unit}", round_to_figures(7.0 * value, 3)),
        Act::Option(_) => String::new(),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn the_key_is_not_given_away(
        which in 0..CODES.len(),
        student in 0..200u32,
        acts in proptest::collection::vec(act(), 8),
        working in proptest::collection::vec(proptest::option::of(0..=1u8), 8),
    ) {
        let desk = &DESKS[which];
        let plan = &desk.plan;
        let key = desk.drawn(&format!("s-{student:04}"));
        let entries: Vec<(&str, String)> = plan
            .parts
            .iter()
            .zip(&acts)
            .enumerate()
            .map(|(at, (part, act))| (part.id.as_str(), entry(plan, &key, at, act)))
            .collect();
        let cells: Vec<(&str, &str)> = entries.iter().map(|(id, text)| (*id, text.as_str())).collect();
        let mut paper = desk.paper(&cells);
        for (at, (keyed, points)) in paper.working.iter_mut().zip(&working).enumerate() {
            let place = &plan.parts[at];
            if !plan.assignment(at).parts[place.part].working.is_empty() {
                *keyed = *points;
            }
        }
        let marked = desk.mark(&key, &paper);
        let (whole, parts) = told(plan, &key, &marked);
        let sayings = sayings(plan);
        for text in parts.iter().chain([&whole]) {
            for number in printed_keys(plan, &key) {
                let said = sayings.iter().any(|say| holds_number(say, &number));
                prop_assert!(said || !holds_number(text, &number), "{number} in: {text}");
            }
            prop_assert!(!text.contains('\n') && !text.contains("  ") && text.trim() == text, "{text}");
            let end = text.chars().next_back();
            prop_assert!(matches!(end, Some('.' | '?')), "{text}");
            let own = sayings.iter().fold(text.clone(), |text, say| text.replace(say, ""));
            prop_assert!(!own.contains('='), "{own}");
        }
    }
}

#[test]
fn parts_are_named_in_short() {
    let desk = &DESKS[0];
    // a = 1.697 m/s², T1 = 42.54 N, T2 = 14.95 N
    let key = desk.key(&[("mB", "5.25 kg"), ("mM", "2.40 kg"), ("mS", "1.30 kg")]);
    let right = [
        ("a", "down"),
        ("b", "1.70 m/s^2"),
        ("c", "42.5 N"),
        ("d", "14.9 N"),
        ("e", "3"),
    ];
    for (blank, expected) in [
        ("", "All parts right."),
        ("b", "Right: (a) and (c) to (e). Look first at (b): "),
        ("c", "Right: (a), (b), (d) and (e). Look first at (c): "),
        ("bd", "Right: (a), (c) and (e). Look first at (b): "),
        ("ab", "Right: (c) to (e). Look first at (a): "),
        ("d", "Right: (a) to (c) and (e). Look first at (d): "),
        ("abcd", "Right: (e). Look first at (a): "),
        ("e", "Right: (a) to (d). Still to be judged: (e)."),
        ("abcde", "Nothing stands on this paper. Start with (a): "),
    ] {
        let cells = right.map(|(id, entry)| (id, if blank.contains(id) { "" } else { entry }));
        let marked = desk.mark(&key, &desk.paper(&cells));
        let (text, _) = told(&desk.plan, &key, &marked);
        assert!(text.starts_with(expected), "{blank}: {text}");
    }
}

/// What costs points is said, and nothing is called all right above a charge.
#[test]
fn what_costs_points_is_said() {
    let desk = Desk::changed("ropes-1", |text| {
        text.replace(
            "[scheme]",
            "[scheme]\nlate = { per_day = '10%', at_most = '50%' }",
        )
    });
    let key = desk.key(&[("mB", "5.25 kg"), ("mM", "2.40 kg"), ("mS", "1.30 kg")]);
    let right = [
        ("a", "down"),
        ("b", "1.70 m/s^2"),
        ("c", "42.5 N"),
        ("d", "14.9 N"),
        ("e", "3"),
    ];
    let cases: [(&[(&str, &str)], &str); 8] = [
        (&[], "All parts right."),
        (
            &[("days late", "1")],
            "All parts right. Handed in late: points are taken off.",
        ),
        (
            &[("b", "-1.70 m/s^2")],
            "All parts right. Sign: a size needs no minus at (b).",
        ),
        (&[("b", "1.70")], "All values right. Units: missing at (b)."),
        (
            &[("b", "1.70 m/s")],
            "All values right. Units: wrong for what is asked at (b).",
        ),
        (
            &[("c", "42.543210 N")],
            "All values right. Figures: more than asked for at (c), give 3.",
        ),
        (
            &[("b", "1.70"), ("e", "")],
            "Right in value: (a) to (d). Still to be judged: (e). Units: missing at (b).",
        ),
        (
            &[("b", "1.73 m/s^2"), ("c", "43.4 N"), ("d", "15.3 N")],
            "Right: (a) and (e). Right with another value of g than the one given: (b) to (d); counted once.",
        ),
    ];
    for (changes, expected) in cases {
        let mut cells: Vec<(&str, &str)> = changes.to_vec();
        let others = right
            .iter()
            .filter(|(id, _)| !changes.iter().any(|(other, _)| other == id));
        cells.extend(others);
        let marked = desk.mark(&key, &desk.paper(&cells));
        let (text, _) = told(&desk.plan, &key, &marked);
        assert_eq!(text, expected, "{changes:?}");
    }
    let marked = desk.mark(&key, &desk.paper(&[("b", "1.70"), ("c", "42.5 N")]));
    let (_, parts) = told(&desk.plan, &key, &marked);
    assert_eq!(parts[1], "Right in value. Unit: missing.");
    assert_eq!(parts[2], "Right.");
    let free = Desk::changed("ropes-1", |text| text.replace(", cost = 1", ""));
    let cells = [("b", "1.73 m/s^2"), ("c", "43.4 N")];
    let (text, _) = told(&free.plan, &key, &free.mark(&key, &free.paper(&cells)));
    let expected = "Right with another value of g than the one given: (b) and (c). ";
    assert!(text.starts_with(expected), "{text}");
}

#[test]
fn a_choice_that_cannot_be_read_is_asked_for_as_a_choice() {
    let desk = Desk::shipped("ropes-1");
    let key = desk.drawn("004071");
    let marked = desk.mark(&key, &desk.paper(&[("a", "updown"), ("b", "2.8.5 N")]));
    let (_, parts) = told(&desk.plan, &key, &marked);
    assert_eq!(
        parts[0],
        "It could not be read. Write once more which it is: down or up."
    );
    assert_eq!(
        parts[1],
        "It could not be read. Write the number and its unit once more."
    );
}
