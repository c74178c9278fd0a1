//! Formulas from text to numbers, on made-up systems of a line or two.

use approx::assert_relative_eq;
use proptest::prelude::*;

use super::check::{self, Names};
use super::condition::Judge;
use super::order::{Method, Order};
use super::parse::{condition, equation, expression};
use super::solve::{Range, Solver, Why};
use super::tape::{Meaning, Measure, SlotSet, Tape};
use super::tree::Expr;
use crate::quantity::{Dimension, Unit};

/// Names `a`, `b`, … stand for slots 0, 1, …
fn letters<'a>(name: &str) -> Option<Meaning<'a>> {
    let letter = name.bytes().next().filter(|_| name.len() == 1)?;
    Some(Meaning::Slot(usize::from(letter.checked_sub(b'a')?)))
}

fn tape(text: &str) -> Tape {
    Tape::expr(&expression(text).unwrap(), &letters, Measure::Si).unwrap()
}

fn solver(equations: &[&str], slots: usize) -> Solver {
    Solver {
        tapes: equations
            .iter()
            .map(|text| Tape::residual(&equation(text).unwrap(), &letters, Measure::Si).unwrap())
            .collect(),
        ranges: vec![Range::default(); slots],
        scales: vec![1.0; slots],
        angles: vec![false; slots],
    }
}

/// All solutions for the slots `unknowns`, each as the values of all slots.
fn solutions(solver: &Solver, known: &[f64], unknowns: &[usize]) -> Result<Vec<Vec<f64>>, Why> {
    let set: Vec<usize> = (0..solver.tapes.len()).collect();
    let order = Order::of(&solver.tapes, &set, unknowns.iter().copied().collect()).unwrap();
    let mut slots = known.to_vec();
    slots.resize(solver.scales.len(), 0.0);
    let mut found = Vec::new();
    solver
        .solutions(&order, &mut slots, None, &mut |slots| {
            found.push(slots.to_vec())
        })
        .map_err(|trouble| trouble.why)?;
    Ok(found)
}

#[test]
fn expressions_have_the_values_of_arithmetic() {
    let pi = std::f64::consts::PI;
    for (text, expected) in [
        ("1 + 2*3", 7.0),
        ("(1 + 2)*3", 9.0),
        ("2^3^2", 512.0),
        ("-2^2", -4.0),
        ("2^-1", 0.5),
        ("8/4/2", 1.0),
        ("5 - 3 - 1", 1.0),
        ("2 · 3 − 1", 5.0),
        ("sqrt(16) + abs(-3)", 7.0),
        ("min(2, 3) + max(2, 3)", 5.0),
        ("atan2(1, 1)", pi / 4.0),
        ("sin([30 deg])", 0.5),
        ("cos(pi/3)", 0.5),
        ("log10(1000) + ln(exp(2))", 5.0),
        ("[36 km/h]", 10.0),
        ("[1.0 g]*1000", 1.0),
    ] {
        assert_relative_eq!(tape(text).value(&[]), expected, max_relative = 1e-14);
    }
}

#[test]
fn what_is_not_a_formula_is_refused_with_its_place() {
    let deep = format!("{}1{}", "(".repeat(100), ")".repeat(100));
    let endless = format!("{}1{}", "(".repeat(10_000), ")".repeat(10_000));
    let long = vec!["1"; 5_000].join("+");
    for (text, place, words) in [
        ("1.0 kg", (4, 6), "if `kg` is a unit, write [1.0 kg]"),
        ("mA g", (3, 4), "a product is written mA*g"),
        ("2(a + b)", (1, 2), "a product is written with *"),
        ("a +", (3, 3), "found the end"),
        ("(a + b", (6, 6), "expected `)`"),
        ("a + b)", (5, 6), "none is open"),
        ("[1.0 kg", (0, 7), "not closed"),
        ("[heavy]", (0, 7), "not a quantity"),
        ("sine(a)", (0, 4), "did you mean `sin`"),
        ("sin a", (4, 5), "write sin(...)"),
        ("sqrt(a, b)", (0, 10), "takes one value"),
        ("atan2(a)", (0, 8), "takes two values"),
        ("a² + b", (1, 3), "write a power as ^2"),
        ("{a} + b", (0, 1), "braces belong in texts"),
        ("a & b", (2, 3), "no meaning"),
        ("1.2.3", (0, 5), "not a number"),
        ("a and b", (2, 5), "operator"),
        (&deep, (65, 66), "more than"),
        (&endless, (0, 20_001), "pieces"),
        (&long, (0, 9_999), "pieces"),
    ] {
        let errors = expression(text).unwrap_err();
        let error = &errors[0];
        let shown = format!(
            "{} {}",
            error.message,
            error.help.clone().unwrap_or_default()
        );
        assert!(shown.contains(words), "{text:.40}: {shown}");
        assert_eq!(
            (error.span.start, error.span.end),
            place,
            "{text:.40}: {shown}"
        );
    }
    assert!(
        equation("T1 - mB*g").unwrap_err()[0]
            .message
            .contains("expected `=`")
    );
    assert!(equation("a = b = c").is_err());
    assert!(
        condition("a + b").unwrap_err()[0]
            .message
            .contains("a comparison")
    );
}

#[test]
fn all_stray_characters_are_reported_at_once() {
    assert_eq!(expression("a $ b & [c").unwrap_err().len(), 3);
}

#[test]
fn conditions_chain_and_join() {
    for (text, expected) in [
        ("0 < a < b", true),
        ("0 < b < a", false),
        ("a < 0 or b > 0", true),
        ("a > 0 and b > 0 and b < a", false),
        ("(a > 5 or b > 1) and a = 1", true),
        ("(a + b)*2 >= 6", true),
        ("a != b", true),
        ("a/0 > 0 or sqrt(-a) > 0", false),
        ("sqrt(-a) > 0", false),
    ] {
        let tree = condition(text).unwrap();
        assert_eq!(
            Judge::of(&tree, &letters).unwrap().holds(&[1.0, 2.0]),
            expected,
            "{text}"
        );
    }
}

#[test]
fn comparisons_are_strict_beyond_the_noise_of_sums() {
    // In doubles 2.3 + 1.4 + 1.0 is a little less than 4.7.
    let above = condition("a > 2.3 + 1.4 + 1.0").unwrap();
    let equal = condition("a = 2.3 + 1.4 + 1.0").unwrap();
    assert!(!Judge::of(&above, &letters).unwrap().holds(&[4.7]));
    assert!(Judge::of(&equal, &letters).unwrap().holds(&[4.7]));
}

struct Board;

impl Names for Board {
    fn dimension(&self, name: &str) -> Option<Dimension> {
        let unit = match name {
            "m" | "M" => "kg",
            "a" | "g" => "m/s^2",
            "T" => "N",
            "R" | "h" => "m",
            "v" => "m/s",
            "theta" | "mu" => return Some(Dimension::NONE),
            _ => return None,
        };
        Unit::parse(unit).ok().map(|unit| unit.dimension())
    }
}

#[test]
fn like_is_added_to_like() {
    for good in [
        "m*g - T = m*a",
        "T = 0",
        "v^2 = 2*a*h",
        "v = sqrt(2*a*h)",
        "v = (2*a*h)^(1/2)",
        "T*R = 1/2*M*R^2*a/R",
        "theta = atan2(h, R)",
        "m*g*sin(theta) - mu*m*g*cos(theta) = m*a",
        "max(T, m*g) = [3.0 N]",
        "v/[1 m/s] = exp(-h/R)",
    ] {
        let tree = equation(good).unwrap();
        assert_eq!(check::check_equation(&tree, &Board), Ok(()), "{good}");
    }
    for (bad, words) in [
        ("T + a = 0", "force"),
        ("T + a = 0", "acceleration"),
        ("m*g - T = m*v", "equated"),
        ("T = 5", "force"),
        (
            "sin(h) = 0",
            "takes a plain number or an angle, found length",
        ),
        ("R^theta = h", "simple fixed number"),
        ("theta^h = 1", "an exponent is a plain number"),
        ("T = [3.0 kg]", "mass"),
        ("atan2(h, T) = 0", "compared"),
    ] {
        let tree = equation(bad).unwrap();
        let errors = check::check_equation(&tree, &Board).unwrap_err();
        let shown = &errors[0].message;
        assert!(shown.contains(words), "{bad}: {shown}");
    }
    let two = equation("(T + a)*(m + h) = 0").unwrap();
    assert_eq!(check::check_equation(&two, &Board).unwrap_err().len(), 2);
}

#[test]
fn a_pair_on_a_rope_is_one_linear_block() {
    // a: acceleration, b: tension, c and d: masses, e: g. Two hanging bodies.
    let rope = solver(&["d*e - b = d*a", "b - c*e = c*a"], 5);
    let unknowns: SlotSet = [0, 1].into_iter().collect();
    let order = Order::of(&rope.tapes, &[0, 1], unknowns).unwrap();
    assert_eq!(order.blocks.len(), 1);
    assert_eq!(order.blocks[0].method, Method::Linear);
    let found = solutions(&rope, &[0.0, 0.0, 2.0, 4.0, 9.8], &[0, 1]).unwrap();
    assert_relative_eq!(found[0][0], 2.0 / 6.0 * 9.8, max_relative = 1e-14);
    assert_relative_eq!(
        found[0][1],
        2.0 * 2.0 * 4.0 / 6.0 * 9.8,
        max_relative = 1e-14
    );
}

#[test]
fn blocks_follow_one_another() {
    let chain = solver(&["c = a + b", "a = 2", "b = a*a"], 3);
    let order = Order::of(&chain.tapes, &[0, 1, 2], (0..3).collect()).unwrap();
    let equations: Vec<_> = order.blocks.iter().map(|b| b.equations.clone()).collect();
    assert_eq!(equations, [[1], [2], [0]]);
    assert!(Order::of(&chain.tapes, &[1, 2], (0..3).collect()).is_none());
    let twice = solver(&["a = 1", "a = 2"], 2);
    assert!(Order::of(&twice.tapes, &[0, 1], (0..2).collect()).is_none());
}

#[test]
fn all_roots_of_one_unknown_are_found() {
    for (text, method, expected) in [
        ("a^2 = 9", Method::Quadratic, vec![-3.0, 3.0]),
        ("a^2 - 4*a + 4 = 0", Method::Quadratic, vec![2.0]),
        ("a*(a - 1)*(a + 2) = 0", Method::Scan, vec![-2.0, 0.0, 1.0]),
        ("a^4 - 2*a^2 + 1 = 0", Method::Scan, vec![-1.0, 1.0]),
        ("exp(a) = 5", Method::Scan, vec![libm::log(5.0)]),
        ("1/a = 0.25", Method::Scan, vec![4.0]),
        ("sqrt(a) = 1.5", Method::Scan, vec![2.25]),
        ("abs(a) = 3e6", Method::Scan, vec![-3e6, 3e6]),
        ("a^3 = 1e-12", Method::Scan, vec![1e-4]),
        ("a + 1/a = 2.5", Method::Scan, vec![0.5, 2.0]),
    ] {
        let one = solver(&[text], 1);
        let order = Order::of(&one.tapes, &[0], SlotSet::of(0)).unwrap();
        assert_eq!(order.blocks[0].method, method, "{text}");
        let mut found: Vec<f64> = solutions(&one, &[], &[0])
            .unwrap()
            .iter()
            .map(|s| s[0])
            .collect();
        found.sort_by(f64::total_cmp);
        assert_eq!(found.len(), expected.len(), "{text}: {found:?}");
        for (found, expected) in found.iter().zip(&expected) {
            assert_relative_eq!(*found, *expected, max_relative = 1e-7, epsilon = 1e-9);
        }
    }
}

#[test]
fn an_angle_is_sought_within_half_a_turn() {
    let mut one = solver(&["sin(a) = 0.5"], 1);
    one.angles[0] = true;
    let found = solutions(&one, &[], &[0]).unwrap();
    assert_eq!(found.len(), 2);
    one.ranges[0].below = Some(tape("[90 deg]"));
    let found = solutions(&one, &[], &[0]).unwrap();
    assert_eq!(found.len(), 1);
    assert_relative_eq!(
        found[0][0],
        std::f64::consts::PI / 6.0,
        max_relative = 1e-14
    );
}

#[test]
fn a_range_chooses_the_root_even_from_what_is_solved_later() {
    let mut thrown = solver(&["c = b*a - 4.9*a^2"], 3);
    // Caught on the way down: later than the top of the flight.
    thrown.ranges[0].above = Some(tape("b/9.8"));
    let found = solutions(&thrown, &[0.0, 20.0, 10.0], &[0]).unwrap();
    assert_eq!(found.len(), 1);
    assert_relative_eq!(
        found[0][0],
        (20.0 + 204_f64.sqrt()) / 9.8,
        max_relative = 1e-13
    );
}

#[test]
fn coupled_blocks_are_torn_or_searched() {
    // Momentum and energy: one is linear in both.
    let collision = solver(&["a + 2*b = 3", "a^2 + 2*b^2 = 9"], 2);
    let order = Order::of(&collision.tapes, &[0, 1], (0..2).collect()).unwrap();
    assert!(matches!(order.blocks[0].method, Method::Tear { .. }));
    let found = solutions(&collision, &[], &[0, 1]).unwrap();
    assert_eq!(found.len(), 2);
    for slots in &found {
        assert_relative_eq!(slots[0] + 2.0 * slots[1], 3.0, max_relative = 1e-12);
        assert_relative_eq!(
            slots[0] * slots[0] + 2.0 * slots[1] * slots[1],
            9.0,
            max_relative = 1e-12
        );
    }
    let circles = solver(
        &["a^2 + b^2 = 25", "sin(a)*b^2 + a*b^3 = 3*4^3 + sin(3)*16"],
        2,
    );
    let order = Order::of(&circles.tapes, &[0, 1], (0..2).collect()).unwrap();
    assert!(order.is_searched());
    let found = solutions(&circles, &[], &[0, 1]).unwrap();
    assert!(
        found
            .iter()
            .any(|s| (s[0] - 3.0).abs() < 1e-9 && (s[1] - 4.0).abs() < 1e-9),
        "{found:?}"
    );
}

#[test]
fn a_search_meets_the_roots_on_either_side() {
    // a and b may change places: 3 and 2, or 2 and 3.
    let alike = solver(&["a^2 + b^2 = 13", "a^3 + b^3 = 35"], 2);
    let order = Order::of(&alike.tapes, &[0, 1], (0..2).collect()).unwrap();
    assert!(order.is_searched());
    let found = solutions(&alike, &[], &[0, 1]).unwrap();
    for (a, b) in [(3.0, 2.0), (2.0, 3.0)] {
        let met = |s: &&Vec<f64>| (s[0] - a).abs() < 1e-9 && (s[1] - b).abs() < 1e-9;
        assert!(found.iter().find(met).is_some(), "{a} {b}: {found:?}");
    }
}

#[test]
fn what_cannot_be_solved_says_why() {
    assert_eq!(
        solutions(&solver(&["a^2 = -1"], 1), &[], &[0]),
        Err(Why::NoRoot)
    );
    assert_eq!(
        solutions(&solver(&["a*0 = 1"], 1), &[], &[0]),
        Err(Why::Singular)
    );
    assert_eq!(
        solutions(&solver(&["a*b = 1"], 2), &[0.0, 0.0], &[0]),
        Err(Why::Singular)
    );
    assert_eq!(
        solutions(&solver(&["a = 1/b"], 2), &[0.0, 0.0], &[0]),
        Err(Why::NotFinite)
    );
    let twice = solver(&["a + b = 1", "2*a + 2*b = 3"], 2);
    assert_eq!(solutions(&twice, &[], &[0, 1]), Err(Why::Singular));
    assert_eq!(
        solutions(&solver(&["sqrt(-1 - a^2) = 1"], 1), &[], &[0]),
        Err(Why::NotFinite)
    );
}

/// Expressions over two names, kept away from the edges of functions.
fn expressions() -> impl Strategy<Value = String> {
    let leaf = prop_oneof![
        Just("a".to_owned()),
        Just("b".to_owned()),
        (1..100_u32).prop_map(|n| format!("{}.{}", n / 10, n % 10)),
    ];
    leaf.prop_recursive(4, 24, 2, |inner| {
        prop_oneof![
            (inner.clone(), inner.clone()).prop_map(|(l, r)| format!("({l} + {r})")),
            (inner.clone(), inner.clone()).prop_map(|(l, r)| format!("({l} - {r})")),
            (inner.clone(), inner.clone()).prop_map(|(l, r)| format!("{l}*{r}")),
            (inner.clone(), inner.clone()).prop_map(|(l, r)| format!("{l}/(1.5 + ({r})^2)")),
            inner.clone().prop_map(|x| format!("sin({x})")),
            inner.clone().prop_map(|x| format!("atan({x})")),
            inner.clone().prop_map(|x| format!("sqrt(2 + ({x})^2)")),
            inner.prop_map(|x| format!("(-({x}))")),
        ]
    })
}

proptest! {
    #[test]
    fn derivatives_agree_with_small_differences(text in expressions(), a in 0.5..3.0, b in 0.5..3.0) {
        let tape = tape(&text);
        let (_, slope) = tape.slope(&[a, b], 0);
        let h = 1e-5;
        let rise = (tape.value(&[a + h, b]) - tape.value(&[a - h, b])) / (2.0 * h);
        let scale = 1.0 + slope.abs() + tape.value(&[a, b]).abs();
        prop_assert!((slope - rise).abs() < 1e-4 * scale * scale * scale, "{text}: {slope} {rise}");
    }

    #[test]
    fn any_text_is_read_or_refused(text in ".{0,60}") {
        let _ = expression(&text);
        let _ = equation(&text);
        let _ = condition(&text);
    }

    /// Put back in, the solutions of a random linear system leave nothing.
    #[test]
    fn solved_then_substituted_leaves_nothing(
        cells in prop::collection::vec(-9.0..9.0_f64, 12),
        scale in -6..6_i32,
    ) {
        let unit = libm::exp10(f64::from(scale));
        let row = |at: usize| {
            format!(
                "({})*a + ({})*b*{unit} + ({})*c = ({})",
                cells[at], cells[at + 1], cells[at + 2], cells[at + 3]
            )
        };
        let system = solver(&[&row(0), &row(4), &row(8)], 3);
        if let Ok(found) = solutions(&system, &[], &[0, 1, 2]) {
            for equation in 0..3 {
                let (value, size) = system.tapes[equation].sized(&found[0]);
                prop_assert!(value.abs() <= 1e-12 * size, "{value} of {size}");
            }
        }
    }
}

#[test]
fn a_printed_measure_reads_slots_in_their_units() {
    let tree: Expr = expression("a + [3 cm]").unwrap();
    let tape = Tape::expr(&tree, &letters, Measure::Printed(&[0.01])).unwrap();
    assert_relative_eq!(tape.value(&[0.05]), 8.0, max_relative = 1e-14);
}

#[test]
fn a_derived_name_is_put_in_its_place() {
    let total = expression("a + b").unwrap();
    let meaning = |name: &str| {
        if name == "M" {
            Some(Meaning::Derived(&total))
        } else {
            letters(name)
        }
    };
    let tree = expression("M*2").unwrap();
    let tape = Tape::expr(&tree, &meaning, Measure::Si).unwrap();
    assert_relative_eq!(tape.value(&[1.0, 2.0]), 6.0);
    assert!(tape.uses().has(0) && tape.uses().has(1));
    let knot = expression("M + M").unwrap();
    let endless = |_: &str| Some(Meaning::Derived(&knot));
    assert!(Tape::expr(&knot, &endless, Measure::Si).is_err());
}
