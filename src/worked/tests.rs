//! Worked solutions of small problems, for the ways that no shipped one goes.

use std::sync::Arc;

use super::solutions;
use crate::assignment;
use crate::course::Course;
use crate::diagnostic::Source;
use crate::formula::parse;
use crate::marking::Key;
use crate::plan::{self, Plan};

/// The lines of a problem, each with its label, of all parts one after the other.
fn lines(given: &str, find: &str, equations: &str, asks: &[&str]) -> Vec<String> {
    let mut text = format!(
        "title = \"t\"\ncode = \"t-1\"\nvariants = 1\n[given]\n{given}\n[find]\n{find}\n[equation]\n{equations}\n[scheme]\nfigures = 3\n"
    );
    for (at, ask) in asks.iter().enumerate() {
        text += &format!("[[part]]\nid = \"p{at}\"\nask = \"?\"\nanswer = \"{ask}\"\npoints = 1\n");
    }
    let (plan, key) = prepared(text);
    let parts = solutions(&plan, &key).remove(0).parts;
    let stages = parts.iter().flat_map(|part| &part.stages);
    stages
        .flat_map(|stage| &stage.lines)
        .map(|line| {
            let chains: Vec<String> = line.chains.iter().map(super::Chain::text).collect();
            let between = format!(" {} ", line.say.between());
            let (label, after) = (line.say.label(), line.say.after());
            format!("{label}: {} {after}", chains.join(&between))
                .trim_end()
                .to_owned()
        })
        .collect()
}

fn prepared(text: String) -> (Plan, Key) {
    let name = "t-1.toml".to_owned();
    let source = Arc::new(Source { name, text });
    let outcome = assignment::read(&source, &Course::default());
    let sheet = outcome
        .sheet
        .unwrap_or_else(|| panic!("{:?}", outcome.findings));
    let givens: Vec<_> = sheet.problems[0]
        .givens
        .iter()
        .map(|given| given.draw.value(0).unwrap())
        .collect();
    let draw: Vec<f64> = givens.iter().map(crate::quantity::Quantity::si).collect();
    let plan = plan::prepare(sheet, &[vec![draw]]).unwrap();
    let mut key = Key::default();
    key.fill(&plan, [givens.as_slice()].into_iter()).unwrap();
    (plan, key)
}

/// The board's equation, as it should be, with square brackets around what was written otherwise.
#[test]
fn what_was_written_otherwise_is_marked_in_the_boards_equation() {
    let cases = [
        // Left out, first, in the middle and last.
        ("mB*g - T = mB*a", "mB*g = mB*a", "mB·g - [T] = mB·a"),
        ("mB*g - T = mB*a", "-T = mB*a", "[mB·g] - T = mB·a"),
        (
            "T - mA*g - T = mA*a",
            "T - T = mA*a",
            "T - [mA·g] - T = mA·a",
        ),
        (
            "mB*g - mA*g - T = mB*a",
            "mB*g - mA*g = mB*a",
            "mB·g - mA·g - [T] = mB·a",
        ),
        ("mB*g - T = mB*a", "mB - T = mB*a", "mB·[g] - T = mB·a"),
        // The sign turned, of one term or of all.
        ("mB*g - T = mB*a", "mB*g + T = mB*a", "mB·g - [T] = mB·a"),
        ("mB*g - T = mB*a", "T - mB*g = mB*a", "[mB·g] - [T] = mB·a"),
        // Another body's quantity, in one place and throughout.
        ("mB*g - T = mB*a", "mB*g - T = mA*a", "mB·g - T = [mB]·a"),
        ("mB*g - T = mB*a", "mA*g - T = mA*a", "[mB]·g - T = [mB]·a"),
        // Turned over, not squared, the root not taken, another function, brackets that must stay.
        ("a = T/mB", "a = mB/T", "a = [T]/[mB]"),
        ("T = mB*a^2/g", "T = mB*a/g", "T = mB·[a²]/g"),
        ("a = sqrt(g*T)", "a = g*T", "a = [√(g·T)]"),
        ("T = mB*g*sin(a)", "T = mB*g*cos(a)", "T = mB·g · [sin a]"),
        ("T = (mA + mB)*g", "T = mB*g", "T = ([mA] + mB) · g"),
        ("T = (mA + mB)*g", "T = (mA - mB)*g", "T = (mA + [mB]) · g"),
        // Nothing in common.
        ("T = mA*g", "0 = a", "[T] = [mA·g]"),
        ("T = mA*g", "T = mA*g", "T = mA·g"),
    ];
    let (plan, _) = prepared(
        "title = \"t\"\ncode = \"t-1\"\nvariants = 1\n[given]\nmA = { fixed = \"2.0 kg\" }\n\
         mB = { fixed = \"3.0 kg\" }\ng = { fixed = \"9.8 m/s^2\" }\n[find]\na = \"m/s^2\"\nT = \"N\"\n\
         [equation]\none = \"mB*g - T = mB*a\"\nother = \"T - mA*g = mA*a\"\n\
         [[part]]\nid = \"a\"\nask = \"?\"\nanswer = \"a\"\npoints = 1\n"
            .to_owned(),
    );
    for (right, wrong, expected) in cases {
        let [own, written] = [right, wrong].map(|text| parse::equation(text).unwrap());
        let marked = super::on_the_board(&plan, 0, &own, &written).text();
        assert_eq!(marked, expected, "{wrong}");
    }
    let answered = parse::expression("mB*g").unwrap();
    let marked = super::answered_for(&plan, 0, "T", &answered).text();
    assert_eq!(marked, "T ≠ [mB·g]");
}

#[test]
fn a_factor_of_the_unknown_is_taken_out() {
    let found = lines(
        "v = { fixed = \"12.0 m/s\" }\ng = { fixed = \"9.8 m/s^2\" }",
        "t = { unit = \"s\", above = \"0\" }",
        "back = \"0 = v*t - g*t^2/2\"",
        &["t"],
    );
    assert_eq!(
        found,
        [
            "back: 0 = v·t - g·t²/2",
            "numbers: 0 = 12.0 m/s · t - 9.8 m/s² · t² / 2",
            ": 4.90 m/s² · t² - 12.0 m/s · t = 0",
            ": t · (4.90 m/s² · t - 12.0 m/s) = 0",
            "either: t = 0 s or t = 2.449 s",
            "because: t > 0",
            ": t = 2.449 s",
        ]
    );
}

#[test]
fn functions_and_roots_are_undone_from_the_outside() {
    let found = lines(
        "x = { fixed = \"3.00 m\" }\nL = { fixed = \"5.00 m\" }",
        "theta = { unit = \"deg\", above = \"0\", below = \"[90 deg]\" }",
        "height = \"x = L*sin(theta)\"",
        &["theta"],
    );
    assert_eq!(
        found,
        [
            "height: x = L · sin θ",
            "numbers: 3.00 m = 5.00 m · sin θ",
            ": sin θ = 3.00 m / 5.00 m = 0.600",
            ": θ = arcsin 0.600 = 36.87°",
        ]
    );
}

#[test]
fn an_angle_that_the_calculator_does_not_give_is_found_numerically() {
    let found = lines(
        "x = { fixed = \"3.00 m\" }\nL = { fixed = \"5.00 m\" }",
        "theta = { unit = \"deg\", above = \"[90 deg]\", below = \"[180 deg]\" }",
        "height = \"x = L*sin(theta)\"",
        &["theta"],
    );
    assert_eq!(found.last().unwrap(), "numerically: θ = 143.13°");
}

#[test]
fn a_root_of_something_negative_is_no_step() {
    let found = lines(
        "V = { fixed = \"-8.00 m^3\" }",
        "x = \"m\"",
        "cube = \"x^3 = V\"",
        &["x"],
    );
    assert_eq!(
        found,
        [
            "cube: x³ = V",
            "numbers: x³ = -8.00 m³",
            "numerically: x = -2.00 m"
        ]
    );
}

#[test]
fn what_cannot_be_done_by_hand_says_so() {
    let found = lines(
        "x = { fixed = \"0.80\" }",
        "theta = { unit = \"rad\", above = \"0\", below = \"3\" }",
        "odd = \"theta - sin(theta) = x\"",
        &["theta"],
    );
    assert_eq!(
        found[1..],
        ["numbers: θ - sin θ = 0.80", "numerically: θ = 1.7785 rad"]
    );
}

#[test]
fn units_of_the_file_are_converted_before_they_are_multiplied() {
    let found = lines(
        "v = { fixed = \"90.0 km/h\" }\nm = { fixed = \"250 g\" }",
        "p = \"kg m/s\"\nE = \"kJ\"",
        "momentum = \"p = m*v\"\nenergy = \"E = m*v^2/2\"",
        &["p", "E"],
    );
    assert_eq!(
        found,
        [
            "momentum: p = m·v",
            "numbers: p = 0.250 kg · 25.0 m/s = 6.25 kg m/s",
            "energy: E = m·v²/2",
            "numbers: E = 0.250 kg · (25.0 m/s)² / 2 = 78.125 J",
        ]
    );
}

#[test]
fn what_a_name_with_an_unknown_stands_for_is_told_once_it_is_known() {
    let found = lines(
        "m = { fixed = \"2.00 kg\" }\nF = { fixed = \"6.00 N\" }\nt = { fixed = \"4.00 s\" }",
        "a = \"m/s^2\"\nE = \"J\"",
        "newton = \"F = m*a\"\nenergy = \"E = m*v^2/2\"\n[derived]\nv = \"a*t\"",
        &["a", "E"],
    );
    assert_eq!(found[3], "with: v = a·t = 3.00 m/s² · 4.00 s = 12.0 m/s");
    assert_eq!(found[4], "energy: E = m·v²/2");
}

#[test]
fn a_part_that_asks_for_an_expression_has_no_letter() {
    let found = lines(
        "m = { fixed = \"2.00 kg\" }\nF = { fixed = \"6.00 N\" }",
        "a = \"m/s^2\"",
        "newton = \"F = m*a\"",
        &["2*a\"\nunit = \"m/s^2"],
    );
    assert_eq!(
        found[found.len() - 2..],
        [
            "as asked: answer = 2·a",
            "numbers: answer = 2 · 3.00 m/s² = 6.00 m/s²"
        ]
    );
}

#[test]
fn a_root_without_a_range_is_told_apart_by_the_other_equations() {
    // Both roots of the square are within the (open) range of x; `side` leaves only one.
    let found = lines(
        "A = { fixed = \"6.00 m^2\" }\nd = { fixed = \"1.00 m\" }",
        "x = \"m\"\ny = { unit = \"m\", above = \"0\" }",
        "area = \"x^2 - d*x = A\"\nside = \"y = x + d\"",
        &["x", "y"],
    );
    assert!(
        found.contains(&"because only: x = 3.00 m goes with the remaining equations".to_owned()),
        "{found:#?}"
    );
}

/// An energy asked for in calories is one on the way too, not a torque.
#[test]
fn an_energy_is_told_by_its_unit() {
    let found = lines(
        "m = { fixed = \"0.500 kg\" }\nc = { fixed = \"4190 J/(kg K)\" }\nT = { fixed = \"20.0 K\" }",
        "Q = \"kcal\"",
        "heat = \"Q = c*m*T\"",
        &["Q"],
    );
    assert!(found.iter().any(|line| line.contains(" J")), "{found:?}");
    assert!(
        found
            .iter()
            .all(|line| !line.contains("N m") && !line.contains("N·m")),
        "{found:?}"
    );
    let torque = lines(
        "F = { fixed = \"20.0 N\" }\nr = { fixed = \"50.0 cm\" }",
        "M = \"N cm\"",
        "turn = \"M = F*r\"",
        &["M"],
    );
    assert!(torque.iter().all(|line| !line.contains(" J")), "{torque:?}");
}
