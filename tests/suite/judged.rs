//! Verdicts that hang on where an error came from: it costs once, and no other part undoes it.

use std::sync::LazyLock;

use paperweight::formula::tape::SlotSet;
use paperweight::marking::{Marked, Reason, Verdict};
use paperweight::plan::answer_part;
use proptest::prelude::*;

use crate::hands::desk::Desk;

type Cells = &'static [(&'static str, &'static str)];

/// An assignment, givens, what stands on the paper, and the verdicts.
type Case = (
    &'static str,
    Cells,
    Cells,
    &'static [(&'static str, Verdict)],
);

/// Key: a = 1.697 m/s², T1 = 42.54 N, T2 = 14.95 N.
const ROPES: Cells = &[("mB", "5.25 kg"), ("mM", "2.40 kg"), ("mS", "1.30 kg")];

/// Key: a = -1.897 m/s², T1 = 29.24 N, T2 = 10.27 N.
const RISING: Cells = &[("mB", "2.50 kg"), ("mM", "2.40 kg"), ("mS", "1.30 kg")];

/// Key: a = 0.7000 m/s², T1 = 40.95 N, T2 = 11.55 N.
const BALANCED: Cells = &[("mB", "4.50 kg"), ("mM", "2.80 kg"), ("mS", "1.10 kg")];

/// Key: f = 128.9 N, a = 1.521 m/s², T = 372.6 N, v = 2.136 m/s.
const INCLINE: Cells = &[
    ("mB", "50.0 kg"),
    ("mK", "45.0 kg"),
    ("theta", "20.0 deg"),
    ("mu", "0.280"),
    ("s", "1.50 m"),
];

/// Key: t = 2.029 s, x = 16.29 m.
const THROW: Cells = &[("v0", "14.0 m/s"), ("theta", "55.0 deg"), ("h", "3.10 m")];

/// Key: a = 1.838 m/s², TL = 63.70 N, TR = 58.19 N.
const DISC: Cells = &[
    ("mL", "8.00 kg"),
    ("mR", "5.00 kg"),
    ("M", "6.00 kg"),
    ("R", "20.0 cm"),
];

fn part<'a>(desk: &Desk, marked: &'a Marked, id: &str) -> &'a paperweight::marking::PartMark {
    let at = desk.plan.parts.iter().position(|part| part.id == id);
    &marked.parts[at.unwrap()]
}

#[test]
fn an_error_is_neither_undone_nor_paid_twice() {
    use Verdict::{Followed, Right, Slip, Wrong};
    let cases: &[Case] = &[
        // A right answer in centimetres is carried as what it is, not as its bare number.
        (
            "ropes-1",
            ROPES,
            &[("b", "170 cm/s^2"), ("c", "841 N"), ("d", "14.9 N")],
            &[("b", Right), ("c", Wrong), ("d", Right)],
        ),
        // A wrong prefix may be carried on as written; that follows, and is not right.
        (
            "projectile-1",
            THROW,
            &[("b", "2.03 ms"), ("c", "0.0163 m")],
            &[("b", Right), ("c", Followed)],
        ),
        (
            "projectile-1",
            THROW,
            &[("b", "2.03 ms"), ("c", "16.3 m")],
            &[("b", Right), ("c", Right)],
        ),
        // The tension dampens the error of the acceleration; on the way back that does not make
        // the acceleration right, be it 4 % off or 2 %.
        (
            "incline-1",
            INCLINE,
            &[("a", "129 N"), ("b", "1.46 m/s^2"), ("c", "375 N")],
            &[("a", Right), ("b", Wrong), ("c", Right)],
        ),
        (
            "ropes-1",
            ROPES,
            &[("b", "1.66 m/s^2"), ("c", "42.7 N")],
            &[("b", Wrong), ("c", Right)],
        ),
        // An acceleration worked out from a rounded tension is right.
        (
            "ropes-1",
            ROPES,
            &[("b", "1.7048 m/s^2"), ("c", "42.5 N")],
            &[("b", Right), ("c", Right)],
        ),
        // Worked out from a rounded tension it may be far off, 6 % here, as long as its last digit
        // agrees: 11.6 N leads to 0.745 m/s². Of two figures the last digit tells too little.
        (
            "ropes-1",
            BALANCED,
            &[("b", "0.745 m/s^2"), ("d", "11.6 N")],
            &[("b", Right), ("d", Right)],
        ),
        (
            "ropes-1",
            BALANCED,
            &[("b", "0.748 m/s^2"), ("d", "11.6 N")],
            &[("b", Wrong), ("d", Right)],
        ),
        (
            "ropes-1",
            BALANCED,
            &[("b", "1.1 m/s^2"), ("d", "12 N")],
            &[("b", Wrong), ("d", Right)],
        ),
        // Rounded to two figures throughout: 14 N follows from 3.7 m/s², and is no other g.
        (
            "ropes-1",
            &[("mB", "7.00 kg"), ("mM", "2.20 kg"), ("mS", "1.00 kg")],
            &[("b", "3.7 m/s^2"), ("c", "43 N"), ("d", "14 N")],
            &[("b", Right), ("c", Right), ("d", Right)],
        ),
        // A size is asked for, and right; it points as the key does. A tension worked out with the
        // sandbag sinking, when it rises, is the error.
        (
            "ropes-1",
            RISING,
            &[("b", "1.90 m/s^2"), ("c", "19.8 N"), ("d", "10.3 N")],
            &[("b", Right), ("c", Slip), ("d", Right)],
        ),
        (
            "ropes-1",
            RISING,
            &[("b", "-1.90 m/s^2"), ("c", "29.2 N"), ("d", "15.2 N")],
            &[("b", Right), ("c", Right), ("d", Slip)],
        ),
        // A wrong size may have been worked out pointing either way, whatever way the key does.
        (
            "ropes-1",
            RISING,
            &[("b", "1.10 m/s^2"), ("d", "11.3 N")],
            &[("b", Wrong), ("d", Followed)],
        ),
        (
            "ropes-1",
            ROPES,
            &[("b", "1.10 m/s^2"), ("d", "14.2 N")],
            &[("b", Wrong), ("d", Followed)],
        ),
        (
            "ropes-1",
            ROPES,
            &[("b", "1.10 m/s^2"), ("d", "11.3 N")],
            &[("b", Wrong), ("d", Followed)],
        ),
        // But it points one way all over the paper.
        (
            "ropes-1",
            ROPES,
            &[("b", "1.10 m/s^2"), ("c", "57.2 N"), ("d", "11.3 N")],
            &[("b", Wrong), ("c", Followed), ("d", Followed)],
        ),
        (
            "ropes-1",
            ROPES,
            &[("b", "1.10 m/s^2"), ("c", "45.7 N"), ("d", "11.3 N")],
            &[("b", Wrong), ("c", Followed), ("d", Slip)],
        ),
    ];
    for (code, givens, cells, expected) in cases {
        let desk = Desk::shipped(code);
        let marked = desk.mark(&desk.key(givens), &desk.paper(cells));
        for (id, verdict) in *expected {
            let found = part(&desk, &marked, id);
            assert_eq!(
                found.verdict, *verdict,
                "{code} {cells:?} ({id}): {found:?}"
            );
        }
    }
}

/// What nature forbids is judged by the student's own other answers, not by the key.
#[test]
fn a_condition_takes_the_students_own_answers() {
    let desk = Desk::changed("pulley-disc-1", |text| {
        text.replace(
            "[possible]",
            "[possible]\nwheel = \"(TL - TR)*(mL - mR) > 0\"",
        )
    });
    let key = desk.key(DISC);
    let alone = desk.mark(&key, &desk.paper(&[("b", "2.60 m/s^2"), ("d", "57.6 N")]));
    assert_eq!(part(&desk, &alone, "d").verdict, Verdict::Followed);
    let cells = [("b", "2.60 m/s^2"), ("d", "57.6 N"), ("e", "62.0 N")];
    let both = desk.mark(&key, &desk.paper(&cells));
    for id in ["d", "e"] {
        assert_eq!(part(&desk, &both, id).verdict, Verdict::Wrong, "{id}");
    }
}

/// Where the tolerance is narrow, an answer worked out from a later, rounded one is right all the
/// same.
#[test]
fn rounding_is_followed_back() {
    let desk = Desk::changed("ropes-1", |text| {
        text.replace("tolerance = \"1%\"", "tolerance = \"0.1%\"")
    });
    let paper = desk.paper(&[("b", "1.705 m/s^2"), ("c", "42.5 N")]);
    let marked = desk.mark(&desk.key(ROPES), &paper);
    let b = part(&desk, &marked, "b");
    assert_eq!(b.verdict, Verdict::Right);
    assert!(b.reasons.contains(&Reason::RoundedOnTheWay), "{b:?}");
}

/// (d) was worked out from (b); (b) does not in turn follow from (d).
#[test]
fn what_rests_on_an_answer_does_not_carry_it_even_without_credit() {
    let desk = Desk::shipped("ropes-1");
    let paper = desk.paper(&[("b", "12.0 m/s^2"), ("d", "28.3 N")]);
    let marked = desk.mark(&desk.key(ROPES), &paper);
    let followed = |id| {
        let follows = |reason: &Reason| matches!(reason, Reason::FollowedFrom { .. });
        part(&desk, &marked, id).reasons.iter().any(follows)
    };
    assert!(followed("d"));
    assert!(!followed("b"));
}

/// The key is negative where the sandbag rises; a size is asked for, and a size was given.
#[test]
fn only_a_minus_is_noted_where_a_size_is_asked_for() {
    let desk = Desk::shipped("ropes-1");
    let key = desk.key(RISING);
    for (entry, noted) in [("1.90 m/s^2", false), ("-1.90 m/s^2", true)] {
        let marked = desk.mark(&key, &desk.paper(&[("b", entry), ("c", "29.2 N")]));
        let b = part(&desk, &marked, "b");
        assert_eq!(b.verdict, Verdict::Right);
        assert_eq!(b.reasons.contains(&Reason::SignNoted), noted, "{entry}");
        assert_eq!(part(&desk, &marked, "c").verdict, Verdict::Right);
    }
}

/// A value cut off at two figures or more is taken, one cut off at a single figure is not: 30 N is
/// no tension of 38.8 N, though 38 N is, and 40 N, with too few figures.
#[test]
fn one_figure_is_not_enough_to_cut_off() {
    let desk = Desk::shipped("ropes-1");
    let key = desk.key(&[("mB", "4.40 kg"), ("mM", "2.00 kg"), ("mS", "1.60 kg")]);
    for (entry, verdict) in [
        ("38 N", Verdict::Right),
        ("40 N", Verdict::Right),
        ("30 N", Verdict::Wrong),
    ] {
        let marked = desk.mark(&key, &desk.paper(&[("c", entry)]));
        let found = part(&desk, &marked, "c");
        assert_eq!(found.verdict, verdict, "{entry}: {found:?}");
    }
}

/// The value that a "show that" prints is right to go on from, whatever stands above it.
#[test]
fn a_printed_value_is_right_to_go_on_from() {
    let desk = Desk::changed("ropes-1", |text| {
        text.replace(
            "answer = \"a\"\n",
            "answer = \"a\"\nprinted = \"1.6 m/s^2\"\n",
        )
    });
    // T1 = 5.25 kg (9.8 - 1.6) m/s² = 43.05 N
    let paper = desk.paper(&[("b", "2.10 m/s^2"), ("c", "43.05 N")]);
    let marked = desk.mark(&desk.key(ROPES), &paper);
    assert_eq!(part(&desk, &marked, "b").verdict, Verdict::Wrong);
    assert_eq!(part(&desk, &marked, "c").verdict, Verdict::Right);
}

const CODES: [&str; 5] = [
    "ropes-1",
    "pulley-disc-1",
    "incline-1",
    "projectile-1",
    "collision-1",
];

static DESKS: LazyLock<Vec<Desk>> =
    LazyLock::new(|| CODES.iter().map(|code| Desk::shipped(code)).collect());

/// The parts that ask for a quantity.
fn numbers(desk: &Desk) -> Vec<usize> {
    let answer = |&at: &usize| desk.plan.problems[0].answer(at).is_some();
    (0..desk.plan.parts.len()).filter(answer).collect()
}

/// A value in the unit asked for, as written with three figures.
fn written(desk: &Desk, at: usize, si: f64) -> String {
    let asks = answer_part(&desk.plan.sheet.problems[0], at).unwrap();
    format!("{:.2e} {}", asks.unit.from_si(si), asks.unit)
}

/// The value that a written text stands for, in SI units.
fn read_back(desk: &Desk, at: usize, text: &str) -> f64 {
    let asks = answer_part(&desk.plan.sheet.problems[0], at).unwrap();
    let number = text.split(' ').next().unwrap();
    asks.unit.to_si(number.parse::<f64>().unwrap())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    /// One answer is wrong; the others are the key, or worked out from it in the shortest way.
    /// It stays wrong, and what was worked out from it earns its points. Set apart are answers that
    /// follow from others rounded once more, or that the rounding of another reaches: a speed from a
    /// difference of energies, written with three figures, may be off by a tenth. There luck cannot be
    /// excluded.
    #[test]
    fn no_other_part_makes_a_wrong_answer_right(
        which in 0..CODES.len(),
        student in 0..200u32,
        pick in 0..8usize,
        factor in prop_oneof![0.6..0.95f64, 1.05..1.5f64],
        consistent in any::<bool>(),
    ) {
        let desk = &DESKS[which];
        let problem = &desk.plan.problems[0];
        let key = desk.drawn(&format!("s-{student:04}"));
        let slots = &key.problems[0].slots;
        let numbers = numbers(desk);
        let wrong = numbers[pick % numbers.len()];
        let mut own = slots.clone();
        let mut rests = SlotSet::default();
        let mut entries = Vec::new();
        let mut carried = Vec::new();
        for &at in &numbers {
            let plan = problem.answer(at).unwrap();
            let mut value = slots[plan.slot];
            let road = plan.roads.first().filter(|road| !road.inputs.and(rests).is_empty());
            if at == wrong {
                value *= factor;
                rests = rests.or(SlotSet::of(plan.slot));
            } else if let (true, Some(road)) = (consistent, road) {
                let mut on_the_way = own.clone();
                let Some(end) = road.value(&problem.solver, &mut on_the_way, None, value) else {
                    return Ok(());
                };
                value = end;
                rests = rests.or(SlotSet::of(plan.slot));
                carried.push(at);
            }
            let text = written(desk, at, value);
            own[plan.slot] = read_back(desk, at, &text);
            entries.push((desk.plan.parts[at].id.as_str(), text));
        }
        let cells: Vec<(&str, &str)> = entries.iter().map(|(id, text)| (*id, text.as_str())).collect();
        let marked = desk.mark(&key, &desk.paper(&cells));
        let found = &marked.parts[wrong];
        let earns = found.verdict.is_right() || found.verdict == Verdict::Followed;
        let coarsely = |reason: &Reason| {
            matches!(
                reason,
                Reason::FollowedFrom { rounded_to: Some(_), .. } | Reason::RoundedOnTheWay
            )
        };
        let by_luck = found.reasons.iter().any(coarsely);
        prop_assert!(
            !earns || by_luck,
            "({}) is {found:?} in {cells:?}",
            desk.plan.parts[wrong].id,
        );
        for at in carried {
            let mark = &marked.parts[at];
            let withheld = |reason: &Reason| matches!(reason, Reason::Impossible { .. } | Reason::Trivial);
            let earns = mark.verdict.is_right() || mark.verdict == Verdict::Followed;
            prop_assert!(
                earns || mark.reasons.iter().any(withheld) || mark.verdict == Verdict::Slip,
                "({}) is {mark:?} in {cells:?}", desk.plan.parts[at].id,
            );
        }
    }
}
