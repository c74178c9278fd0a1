//! Reckonings of whole papers, for the teacher: the snapshots beside this file show how each kind
//! of answer is judged, explained, and spoken of to the student.

use paperweight::explain::{self, Case};
use paperweight::text::width;
use rust_decimal::Decimal;

use crate::hands::desk::Desk;

/// A paper: its name, the assignment, what is changed in its file, givens, cells.
struct Row {
    name: &'static str,
    code: &'static str,
    change: &'static [(&'static str, &'static str)],
    givens: &'static [(&'static str, &'static str)],
    cells: &'static [(&'static str, &'static str)],
}

/// Key: a = 1.697 m/s², T1 = 42.54 N, T2 = 14.95 N.
const ROPES: &[(&str, &str)] = &[("mB", "5.25 kg"), ("mM", "2.40 kg"), ("mS", "1.30 kg")];

/// Key: f = 128.9 N, a = 1.521 m/s², T = 372.6 N, v = 2.136 m/s; it slides back.
const INCLINE: &[(&str, &str)] = &[
    ("mB", "50.0 kg"),
    ("mK", "45.0 kg"),
    ("theta", "20.0 deg"),
    ("mu", "0.280"),
    ("s", "1.50 m"),
];

/// Key: vy = 11.47 m/s, t = 2.029 s, x = 16.29 m, v = 11.63 m/s, phi = 46.3°.
const THROW: &[(&str, &str)] = &[("v0", "14.0 m/s"), ("theta", "55.0 deg"), ("h", "3.10 m")];

const fn ropes(
    name: &'static str,
    change: &'static [(&'static str, &'static str)],
    cells: &'static [(&'static str, &'static str)],
) -> Row {
    Row {
        name,
        code: "ropes-1",
        change,
        givens: ROPES,
        cells,
    }
}

const fn incline(name: &'static str, cells: &'static [(&'static str, &'static str)]) -> Row {
    Row {
        name,
        code: "incline-1",
        change: &[],
        givens: INCLINE,
        cells,
    }
}

const fn throw(name: &'static str, cells: &'static [(&'static str, &'static str)]) -> Row {
    Row {
        name,
        code: "projectile-1",
        change: &[],
        givens: THROW,
        cells,
    }
}

#[rustfmt::skip]
const PAPERS: &[Row] = &[
    ropes("right", &[], &[
        ("a", "down"), ("b", "1.70 m/s^2"), ("c", "42.5 N"), ("d", "14.9 N"), ("e", "3"),
    ]),
    ropes("rounded_early", &[], &[
        ("a", "down"), ("b", "1.7 m/s^2"), ("c", "43 N"), ("d", "15.4 N"), ("e", "3"),
    ]),
    ropes("wrong_units", &[], &[
        ("a", "down"), ("b", "1.70 m/s"), ("c", "0.0425 kN"), ("d", "14.9 kN"), ("e", "3"),
    ]),
    ropes("units_missing_twice", &[], &[
        ("a", "sinks"), ("b", "1.70"), ("c", "42.5"), ("d", "14.9 kg m/s^2"), ("e", "3"),
    ]),
    ropes("wrong_sign_where_fixed", &[("sign      = \"size\"", "sign      = \"fixed\"")], &[
        ("a", "down"), ("b", "-1.70 m/s^2"), ("c", "42.5 N"), ("d", "14.9 N"), ("e", "3"),
    ]),
    ropes("minus_where_a_size_is_asked", &[], &[
        ("a", "down"), ("b", "-1.70 m/s^2"), ("c", "42.5 N"), ("d", "14.9 N"), ("e", "3"),
    ]),
    ropes("slip_then_consistent", &[], &[
        ("a", "down"), ("b", "3.65 m/s^2"), ("c", "32.3 N"), ("d", "17.5 N"), ("e", "2"), ("b.working", "1"),
    ]),
    ropes("followed_from_a_wrong_answer", &[], &[
        ("a", "up"), ("b", "2.10 m/s^2"), ("c", "40.4 N"), ("d", "15.5 N"), ("e", "1"), ("b.working", "1"),
    ]),
    ropes("another_constant", &[], &[
        ("a", "down"), ("b", "1.732 m/s^2"), ("c", "43.4 N"), ("d", "15.3 N"), ("e", "3"),
    ]),
    ropes("misread", &[], &[
        ("a", "down"), ("b", "2.13 m/s^2"), ("c", "44.1 N"), ("d", "15.5 N"), ("e", "3"), ("given:mB", "5.75 kg"),
    ]),
    ropes("blank", &[], &[]),
    ropes("several_and_unreadable", &[], &[
        ("a", "up or down"), ("b", "1.70 or 2.45 m/s^2"), ("c", "42..5 N"), ("d", "14.9 N"), ("e", "3"),
    ]),
    ropes("impossible_value_carried", &[], &[
        ("a", "down"), ("b", "12.0 m/s^2"), ("c", "11.6 N"), ("d", "28.3 N"), ("e", "2"), ("b.working", "0"), ("c.working", "0"),
    ]),
    ropes("working_keyed", &[], &[
        ("a", "down"), ("b", "1.20 m/s^2"), ("c", "42.5 N"), ("d", "14.9 N"), ("e", "3"), ("b.working", "2"), ("c.working", "0"),
    ]),
    ropes("slip_that_may_be_luck", &[], &[
        ("a", "down"), ("b", "1.7 m/s^2"), ("c", "37 N"), ("d", "13 N"), ("e", "3"), ("c.working", "1"),
    ]),
    ropes("late_and_figures", &[("charge    = \"once\"", "charge    = \"once\"\nlate = { per_day = \"10%\", at_most = \"50%\" }\ntruncated = \"charge\"")], &[
        ("a", "down"), ("b", "1.6972 m/s^2"), ("c", "42.5397 N"), ("d", "14.94 N"), ("e", "3"), ("days late", "2"),
    ]),
    ropes("absent", &[], &[("status", "absent")]),
    Row {
        name: "sandbag_rises",
        code: "ropes-1",
        change: &[],
        givens: &[("mB", "2.50 kg"), ("mM", "2.40 kg"), ("mS", "1.30 kg")],
        cells: &[("a", "it rises"), ("b", "1.90 m/s^2"), ("c", "29.2 N"), ("d", "10.3 kg"), ("e", "3")],
    },
    incline("slip_in_the_first_part", &[
        ("a", "137 N"), ("b", "1.44 m/s^2"), ("c", "377 N"), ("d", "2.08 m/s"), ("e", "slides back"), ("f", "3"),
    ]),
    incline("an_earlier_answer_is_missing", &[
        ("a", ""), ("b", "2.20 m/s^2"), ("c", "342 N"), ("d", "6.60 m/s"), ("e", "it stays"), ("f", ""), ("b.working", "1"),
    ]),
    incline("left_as_expressions", &[
        ("a", "129 N"), ("b", "10g/64.4"), ("c", "3725/10 N"), ("d", "√4.56 m/s"), ("e", "slides back"), ("f", "2"),
    ]),
    throw("the_other_root", &[
        ("a", "11.5 m/s"), ("b", "0.312 s"), ("c", "2.51 m"), ("d", "11.6 m/s"), ("e", "vertical"), ("f", "46.3 deg"), ("g", "2"), ("b.working", "1"),
    ]),
    throw("another_component", &[
        ("a", "8.03 m/s"), ("b", "1.30 s"), ("c", "10.4 m"), ("d", "9.29 m/s"), ("e", "hor"), ("f", "43.7 deg"), ("g", "1"), ("b.working", "2"),
    ]),
];

fn explained(row: &Row) -> String {
    let desk = Desk::changed(row.code, |mut text| {
        for (from, to) in row.change {
            assert!(text.contains(from), "{from}");
            text = text.replace(from, to);
        }
        text
    });
    let key = desk.key(row.givens);
    let paper = desk.paper(row.cells);
    let marked = desk.mark(&key, &paper);
    let entries = desk.entries(row.cells);
    explain::paper(&Case {
        plan: &desk.plan,
        key: &key,
        paper: &paper,
        marked: &marked,
        told: &marked,
        causes: &[],
        untried: 0,
        entries: &entries,
    })
}

#[test]
fn papers_are_explained() {
    for row in PAPERS {
        insta::assert_snapshot!(row.name, explained(row));
    }
}

/// The amounts of each reckoning of points, and the sum below them.
fn sums(text: &str) -> Vec<(Vec<Decimal>, Decimal)> {
    let mut sums = Vec::new();
    let mut amounts = Vec::new();
    for line in text.lines() {
        let mut words = line.split_whitespace().skip_while(|word| *word == "points");
        let (Some(sign), Some(number)) = (words.next(), words.next()) else {
            continue;
        };
        let Ok(number) = number.parse::<Decimal>() else {
            continue;
        };
        match sign {
            "+" => amounts.push(number),
            "-" => amounts.push(-number),
            "=" => sums.push((std::mem::take(&mut amounts), number)),
            _ => {}
        }
    }
    assert!(amounts.is_empty(), "amounts without a sum\n{text}");
    sums
}

#[test]
fn every_reckoning_adds_up_and_fits_the_page() {
    for row in PAPERS.iter().filter(|row| row.name != "absent") {
        let text = explained(row);
        let sums = sums(&text);
        assert!(!sums.is_empty(), "{}", row.name);
        for (amounts, sum) in &sums {
            let added: Decimal = amounts.iter().sum();
            assert_eq!(added, *sum, "{}\n{text}", row.name);
        }
        for line in text.lines() {
            assert!(width(line) <= 80, "{}: {line}", row.name);
        }
    }
}

#[test]
fn foreign_text_is_made_safe() {
    let desk = Desk::shipped("ropes-1");
    let cells = [("b", "1.70\u{1b}[31m m/s^2"), ("c", "42\u{202e}5 N")];
    let key = desk.key(ROPES);
    let paper = desk.paper(&cells);
    let marked = desk.mark(&key, &paper);
    let entries = desk.entries(&cells);
    let text = explain::paper(&Case {
        plan: &desk.plan,
        key: &key,
        paper: &paper,
        marked: &marked,
        told: &marked,
        causes: &[],
        untried: 0,
        entries: &entries,
    });
    assert!(
        text.contains("␛[31m") && text.contains("<U+202E>"),
        "{text}"
    );
    assert!(!text.contains(['\u{1b}', '\u{202e}']));
}
