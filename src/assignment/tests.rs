//! What comes out of assignment files: the checked model, value by value.

use std::sync::Arc;

use proptest::prelude::*;
use rust_decimal::Decimal;

use super::*;
use crate::diagnostic::Span;

const EVERY_KEY: &str = include_str!("../../tests/corpus/assignments/every-key.toml");
const VERSIONS: &str = include_str!("../../tests/corpus/assignments/versions.toml");
const SHEET: &str = include_str!("../../tests/corpus/assignments/sheet.toml");
const SAME: &str = include_str!("../../tests/corpus/assignments/same-for-all.toml");
const INLINE: &str = include_str!("../../tests/corpus/assignments/inline.toml");

fn source(text: &str) -> Arc<Source> {
    Arc::new(Source {
        name: "t.toml".into(),
        text: text.into(),
    })
}

fn sheet(text: &str) -> Sheet {
    let outcome = read(&source(text), &Course::default());
    outcome
        .sheet
        .unwrap_or_else(|| panic!("{:?}", outcome.findings))
}

fn problem(text: &str) -> Assignment {
    sheet(text).problems.remove(0)
}

fn answer(part: &Part) -> &AnswerPart {
    match &part.kind {
        PartKind::Answer(answer) => answer,
        other => panic!("{other:?}"),
    }
}

fn decimal(text: &str) -> Decimal {
    text.parse().unwrap()
}

#[test]
fn the_heading_is_read() {
    let problem = problem(EVERY_KEY);
    assert_eq!((problem.code.as_str(), problem.seed), ("good-1", 12));
    assert_eq!(problem.title, "Two crates on a string");
    assert_eq!(problem.figure.as_ref().unwrap().name, "crates.svg");
    assert_eq!(problem.variants, Variants::PerStudent);
    let [
        Piece::Text(first),
        Piece::Given(0),
        Piece::Text(_),
        Piece::Given(1),
        Piece::Text(_),
        Piece::Given(3),
        Piece::Text(last),
    ] = problem.text.pieces.as_slice()
    else {
        panic!("{:?}", problem.text)
    };
    assert_eq!(first, "A crate (");
    assert_eq!(last, ". The set {a, b} names them.\n");
}

/// What stands behind an escape is found by counting from the end, which may lead into the middle of a letter.
#[test]
fn escapes_and_letters_beyond_ascii_go_together() {
    for title in [
        r#"é\"x\""#,
        r#"\"Zoë\" é"#,
        r"Über\tzwei",
        r"\u00e9é王\u738b",
        r"é王\\",
    ] {
        let text = EVERY_KEY.replacen("Two crates on a string", title, 1);
        let outcome = read(&source(&text), &Course::default());
        let is_line = !title.contains(r"\t");
        assert_eq!(
            outcome.sheet.is_some(),
            is_line,
            "{title}: {:?}",
            outcome.findings
        );
    }
}

#[test]
fn givens_keep_their_order_and_digits() {
    let problem = problem(EVERY_KEY);
    let names: Vec<&str> = problem
        .givens
        .iter()
        .map(|given| given.name.as_str())
        .collect();
    assert_eq!(names, ["m1", "m2", "h", "g"]);
    let values = |at: usize| -> Vec<String> {
        let draw = &problem.givens[at].draw;
        (0..draw.count())
            .map(|index| draw.value(index).unwrap().to_string())
            .collect()
    };
    assert_eq!(
        values(0),
        [
            "2.0 kg", "2.5 kg", "3.0 kg", "3.5 kg", "4.0 kg", "4.5 kg", "5.0 kg"
        ]
    );
    assert_eq!(values(1), ["1.0 kg", "1.5 kg"]);
    assert_eq!(values(2).last().map(String::as_str), Some("1.20 m"));
    assert_eq!(values(3), ["9.8 m/s²"]);
    assert!(problem.givens[0].draw.value(7).is_none());
    let allowed: Vec<(String, Decimal)> = problem.givens[3]
        .allowed
        .iter()
        .map(|a| (a.quantity.to_string(), a.cost))
        .collect();
    let expected = [
        ("9.81 m/s²".to_owned(), decimal("0")),
        ("10 m/s²".to_owned(), decimal("0.5")),
    ];
    assert_eq!(allowed, expected);
}

#[test]
fn formulas_keep_their_names_and_places() {
    let problem = problem(EVERY_KEY);
    let names: Vec<&str> = problem
        .equations
        .iter()
        .map(|equation| equation.name.as_str())
        .collect();
    assert_eq!(names, ["table", "hanging", "both", "speed", "answer of c"]);
    for (at, written) in [
        "T = m1*a",
        "W2 - T = m2*a",
        "W2 = M*a",
        "v^2 = 2*a*h",
        "m1*v^2/2",
    ]
    .iter()
    .enumerate()
    {
        let span = problem.equations[at].span;
        assert_eq!(&&problem.source.text[span.start..span.end], written);
    }
    let unknowns: Vec<&str> = problem
        .unknowns
        .iter()
        .map(|unknown| unknown.name.as_str())
        .collect();
    assert_eq!(unknowns, ["a", "T", "v", "answer of c"]);
    assert!(problem.unknowns[1].above.is_some() && problem.unknowns[1].below.is_some());
    assert_eq!(problem.derived.len(), 2);
    assert_eq!(problem.derived[0].dimension.name(), Some("force"));
}

#[test]
fn derived_names_stand_behind_those_they_use() {
    let text = EVERY_KEY.replace("W2 = \"m2*g\"", "E = \"W2*h\"\nW2 = \"m2*g\"\nF = \"E/h\"");
    let problem = problem(&text);
    let names: Vec<&str> = problem
        .derived
        .iter()
        .map(|derived| derived.name.as_str())
        .collect();
    assert_eq!(names, ["W2", "E", "F", "M"]);
}

#[test]
fn parts_are_read_in_full() {
    let problem = problem(EVERY_KEY);
    let [a, b, c, d, way, forces] = problem.parts.as_slice() else {
        panic!()
    };

    assert_eq!((a.id.as_str(), a.points), ("a", decimal("3")));
    assert_eq!(a.working, ["Newton's second law for each crate"]);
    assert_eq!(answer(a).by, Some(vec![vec![0, 1]]));
    assert_eq!(
        answer(a)
            .printed
            .map(|printed| printed.to_string())
            .as_deref(),
        Some("3.3 m/s²")
    );

    assert_eq!(b.points, decimal("2.5"));
    assert_eq!(answer(b).by, Some(vec![vec![0], vec![1]]));
    let [replace, other] = answer(b).slips.as_slice() else {
        panic!()
    };
    let SlipKind::Replace(replaced) = &replace.kind else {
        panic!()
    };
    assert_eq!(
        replaced.iter().map(|(at, _)| *at).collect::<Vec<_>>(),
        [1, 2]
    );
    assert_eq!(replace.share, Some(decimal("0.25")));
    assert!(
        replace
            .say
            .as_deref()
            .is_some_and(|say| say.starts_with("Which of"))
    );
    assert!(matches!(other.kind, SlipKind::Answer(_)));
    assert_eq!((other.share, &other.say), (None, &None));
    assert_eq!(answer(b).accepts[0].share, decimal("0.9"));

    assert_eq!(answer(c).unknown, 3);
    assert_eq!(answer(c).unit.to_string(), "J");

    assert_eq!(
        (answer(d).unknown, answer(d).unit.to_string()),
        (2, "km/h".to_owned())
    );
    let window = answer(d)
        .window
        .map(|(low, high)| (low.to_string(), high.to_string()));
    assert_eq!(window, Some(("4 km/h".to_owned(), "15 km/h".to_owned())));

    let PartKind::Choose(choice) = &way.kind else {
        panic!()
    };
    let labels: Vec<&str> = choice
        .options
        .iter()
        .map(|option| option.label.as_str())
        .collect();
    assert_eq!(labels, ["yes", "no"]);
    assert_eq!(choice.options[0].also, ["y", "it does"]);

    let PartKind::Eye(steps) = &forces.kind else {
        panic!()
    };
    assert_eq!((steps.len(), forces.points), (3, decimal("3")));
}

#[test]
fn rules_of_a_part_stand_over_those_of_the_scheme() {
    let problem = problem(EVERY_KEY);
    let rules = |at: usize| &problem.parts[at].rules;
    assert_eq!((rules(0).percent, rules(0).absolute), (Some(0.01), None));
    assert_eq!(
        rules(1)
            .absolute
            .map(|absolute| absolute.to_string())
            .as_deref(),
        Some("0.05 N")
    );
    assert_eq!(rules(1).percent, Some(0.01));
    assert_eq!(rules(0).figures, FiguresRule::Asked(3));
    assert_eq!(rules(2).figures, FiguresRule::Range(2, 4));
    assert_eq!(rules(3).figures, FiguresRule::Data);
    assert_eq!(
        (rules(0).units, rules(2).units),
        (Units::Written, Units::Printed)
    );
    assert_eq!((rules(0).sign, rules(3).sign), (Sign::Size, Sign::Fixed));
    assert_eq!(
        (rules(0).truncated, rules(0).unevaluated),
        (Leniency::Take, Leniency::Charge)
    );
    assert_eq!(problem.paper.charge, Charge::Once);
    assert_eq!(problem.paper.reissue_counts, ReissueCounts::Best);
    let late = Late {
        per_day: decimal("0.1"),
        at_most: decimal("0.5"),
    };
    assert_eq!(problem.paper.late, Some(late));
}

#[test]
fn what_no_table_says_is_the_default() {
    let problem = problem(INLINE);
    let rules = &problem.parts[0].rules;
    let expected = PartRules {
        percent: None,
        absolute: None,
        figures: FiguresRule::Asked(3),
        units: Units::Written,
        sign: Sign::Size,
        unit_cost: decimal("1"),
        figures_cost: decimal("0.5"),
        slip_share: decimal("0.5"),
        diagnosed_share: decimal("0"),
        truncated: Leniency::Take,
        unevaluated: Leniency::Take,
        value_needs_working: false,
    };
    assert_eq!(rules, &expected);
    let expected = PaperRules {
        charge: Charge::Once,
        misread_cost: decimal("1"),
        late: None,
        reissue_counts: ReissueCounts::Latest,
    };
    assert_eq!(problem.paper, expected);
}

#[test]
fn a_lone_assignment_is_a_sheet_of_one() {
    let sheet = sheet(SAME);
    assert!(sheet.lone);
    assert_eq!(
        (sheet.code.as_str(), sheet.points()),
        ("good-4", decimal("2"))
    );
    assert_eq!(
        sheet.part_ids().collect::<Vec<_>>(),
        [("draw".to_owned(), 0, 0)]
    );
    assert_eq!(sheet.problems[0].variants, Variants::Versions(1));
}

#[test]
fn a_sheet_rules_over_its_paper_and_under_its_problems() {
    let (course, _) = Course::new([EVERY_KEY, VERSIONS].map(|text| {
        let name = if text == VERSIONS {
            "versions.toml"
        } else {
            "every-key.toml"
        };
        Arc::new(Source {
            name: name.into(),
            text: text.into(),
        })
    }));
    let outcome = read(&source(SHEET), &course);
    let names: Vec<&str> = outcome
        .sources
        .iter()
        .map(|source| source.name.as_str())
        .collect();
    assert_eq!(names, ["t.toml", "every-key.toml", "versions.toml"]);
    let sheet = outcome.sheet.unwrap();
    assert!(!sheet.lone);
    let ids: Vec<String> = sheet.part_ids().map(|(id, _, _)| id).collect();
    assert_eq!(ids, ["1a", "1b", "1c", "1d", "1way", "1forces", "21", "2t"]);
    assert_eq!(sheet.points(), decimal("14"));
    // The sheet's own rules for the paper, and not those of its first problem.
    assert_eq!((sheet.paper.charge, sheet.paper.late), (Charge::Each, None));
    // Problem 1 sets the figures itself, problem 2 leaves them to the sheet.
    assert_eq!(
        sheet.problems[0].parts[0].rules.figures,
        FiguresRule::Asked(3)
    );
    assert_eq!(
        sheet.problems[1].parts[0].rules.figures,
        FiguresRule::Asked(4)
    );
    assert_eq!(sheet.problems[1].parts[1].rules.percent, None);
}

#[test]
fn ids_that_meet_on_a_sheet_are_refused() {
    let frame = |code: &str, id: &str| {
        format!(
            "title = \"t\"\ncode = \"{code}\"\n[[part]]\nid = \"{id}\"\nask = \"?\"\neye = [\"x\"]\n"
        )
    };
    let mut texts: Vec<String> = (2..=11).map(|at| frame(&format!("p{at}"), "a")).collect();
    texts.insert(0, frame("p1", "1a"));
    let sources = texts.iter().enumerate().map(|(at, text)| {
        Arc::new(Source {
            name: format!("p{}.toml", at + 1),
            text: text.clone(),
        })
    });
    let (course, _) = Course::new(sources);
    let codes: Vec<String> = (1..=11).map(|at| format!("\"p{at}\"")).collect();
    let text = format!(
        "title = \"t\"\ncode = \"s\"\nproblems = [{}]\n",
        codes.join(", ")
    );
    let outcome = read(&source(&text), &course);
    let messages: Vec<&str> = outcome
        .findings
        .iter()
        .map(|found| found.message.as_str())
        .collect();
    assert_eq!(
        messages,
        ["two parts on this sheet would both be called 11a"]
    );
}

/// A count of turns has a zero of its own; an angle has not.
#[test]
fn turns_may_have_a_percentage() {
    let text = |unit: &str| {
        format!(
            "title = \"t\"\ncode = \"t\"\n[given]\nx = {{ fixed = \"40 rad\" }}\n[find]\nN = \"{unit}\"\n\
             [equation]\nturns = \"N = x\"\n[scheme]\ntolerance = \"1%\"\n\
             [[part]]\nid = \"a\"\nask = \"?\"\nanswer = \"N\"\npoints = 1\n"
        )
    };
    assert_eq!(sheet(&text("rev")).problems[0].parts.len(), 1);
    for unit in ["deg", "rad", "gon"] {
        let found = read(&source(&text(unit)), &Course::default()).findings;
        assert_eq!(found.len(), 1, "{unit}: {found:?}");
        assert!(found[0].message.starts_with("a percentage of an angle"));
    }
}

proptest! {
    /// A string however it is written: its text comes out, and a part of it stands where the file has the very letters,
    /// or else the whole string is meant.
    #[test]
    fn places_in_strings_hold_the_letters(
        letters in prop::collection::vec((prop_oneof![any::<char>(), Just('\\'), Just('"'), Just('é')], 0..4u8), 0..12),
        quotes in 0..2usize,
    ) {
        let text: String = letters.iter().map(|(letter, _)| *letter).collect();
        let written: String = letters
            .iter()
            .map(|(letter, way)| match (letter, way) {
                ('"' | '\\', 0) => format!("\\{letter}"),
                ('"' | '\\', _) => format!("\\u{:04X}", u32::from(*letter)),
                (letter, 1) => format!("\\U{:08X}", u32::from(*letter)),
                (letter, _) if letter.is_control() => format!("\\U{:08X}", u32::from(*letter)),
                (letter, _) => letter.to_string(),
            })
            .collect();
        let quotes = ["\"", "\"\"\""][quotes];
        let source = source(&format!("k = {quotes}{written}{quotes}\n"));
        let mut report = Report::new(&source);
        let fields = raw::read(&source, &mut report).unwrap();
        let found = fields.text("k").unwrap();
        prop_assert_eq!(found.text, &text);
        for (at, letter) in text.char_indices() {
            let place = found.locate(Span::new(at, at + letter.len_utf8()));
            let there = &source.text[place.start..place.end];
            prop_assert!(place == found.span || there == letter.to_string(), "{}", there);
        }
    }
}
