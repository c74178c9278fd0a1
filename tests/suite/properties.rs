//! What holds of every mark, whatever a student writes: tried on made-up students of the five
//! shipped assignments.

use std::collections::BTreeMap;

use paperweight::marking::{Marked, Reason, Status, Verdict};
use paperweight::plan::{PartPlan, answer_part};
use paperweight::quantity::{Unit, round_to_figures};
use proptest::prelude::*;
use rust_decimal::Decimal;

use crate::hands::desk::Desk;
use crate::hands::students::{
    CODES, Cells, all_but_numbers, answers, beside, desk, doing, mark, problem, rounding_student,
    some_student,
};
use crate::hands::told;

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

fn others(unit: Unit) -> Others {
    let is_it = |(name, _): &&(&str, _)| Unit::parse(name).unwrap().same_as(&unit);
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
