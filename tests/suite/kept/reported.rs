//! How a class did, through the whole program.

use std::fmt::Write as _;

use serde_json::Value;

use super::{ANSWERS, Course, ROPES};

/// Five questions that are right or wrong.
const CHOICES: &str = r#"
title = "Five questions"
code = "five-1"
seed = 6
text = "A mass of {m} is looked at."
variants = 1
[given]
m = { fixed = "2.0 kg" }
[find]
w = "kg"
[equation]
twice = "w = 2*m"
"#;

/// Writes the assignment of five questions; gives each person of the published table with their answers.
pub(super) fn persons(course: &Course) -> Vec<(String, String)> {
    let mut file = CHOICES.to_owned();
    for id in ["a", "b", "c", "d", "e"] {
        let _ = write!(
            file,
            "[[part]]\nid = \"{id}\"\nask = \"Is w above 1 kg?\"\npoints = 1\n\
             choose = {{ yes = \"w > [1 kg]\", no = \"w <= [1 kg]\" }}\n"
        );
    }
    course.write("assignments/five-1.toml", &file);
    let table = std::fs::read_to_string(course.path("lsat6.csv")).unwrap();
    let mut persons = Vec::new();
    for line in table.lines().skip(1) {
        let (pattern, count) = line.split_once(',').unwrap();
        for _ in 0..count.parse::<usize>().unwrap() {
            let words = pattern
                .chars()
                .map(|c| if c == '1' { ",yes" } else { ",no" });
            persons.push((format!("p{:04}", persons.len() + 1), words.collect()));
        }
    }
    persons
}

/// LSAT section 6 (Bock & Lieberman 1970): 1000 persons, five items. The printed figures are those of the
/// documentation of the R package mirt 1.40.
#[test]
fn published_item_statistics_come_out_of_marked_papers() {
    let course = Course::new();
    let persons = persons(&course);
    assert_eq!(persons.len(), 1000);
    let (mut roster, mut answers) = ("id,name\n".to_owned(), "student,a,b,c,d,e\n".to_owned());
    for (id, words) in &persons {
        let _ = writeln!(roster, "{id},Person {id}");
        let _ = writeln!(answers, "{id}{words}");
    }
    course.write("rosters/persons.csv", &roster);
    course.write("answers.csv", &answers);
    let five = ["assignments/five-1.toml", "--roster", "rosters/persons.csv"];
    course.ends(0, &[&["issue"], &five[..]].concat());
    course.ends(
        0,
        &[&["mark"], &five[..], &["--answers", "answers.csv"]].concat(),
    );
    let json = course.ends(0, &["report", five[0], "--json"]).stdout;
    let report: Value = serde_json::from_str(&json).unwrap();
    let near = |found: &Value, printed: f64| {
        let found = found.as_f64().unwrap_or_else(|| panic!("{found}"));
        assert!(
            (found - printed).abs() <= 0.000_5 + 1e-12,
            "{found} for {printed}"
        );
    };
    assert_eq!(report["papers"], 1000);
    assert_eq!(report["mean"], "3.819");
    near(&report["sd"], 1.035);
    near(&report["reliability"]["alpha"], 0.295);
    let printed = [
        (0.924, 0.362, 0.113, 0.275),
        (0.709, 0.567, 0.153, 0.238),
        (0.553, 0.618, 0.173, 0.217),
        (0.763, 0.534, 0.144, 0.246),
        (0.870, 0.435, 0.122, 0.266),
    ];
    let parts = report["parts"].as_array().unwrap();
    for (part, (facility, item_total, item_rest, without)) in parts.iter().zip(printed) {
        near(&part["facility"], facility);
        near(&part["item_total"], item_total);
        near(&part["item_rest"], item_rest);
        near(&part["alpha_without"], without);
    }
}

/// The teacher's word holds in the report as in the marks, and few papers give counts alone.
#[test]
fn the_report_takes_the_teachers_word_and_says_little_of_few_papers() {
    let course = Course::new();
    course.issue();
    let few = "student,a,b,c,d,e\n004071,down,0.899 m/s^2,55.6 N,21.4 N,3\n\
               004118,up,9 m/s^2,1 N,1 N,0\n";
    course.write("few.csv", few);
    let report = |course: &Course| -> Value {
        let json = course.ends(0, &["report", ROPES[0], "--json"]).stdout;
        serde_json::from_str(&json).unwrap()
    };
    // What nobody keyed yet is not absent; who has no row in the answers is.
    let left_out = report(&course)["left_out"].clone();
    assert_eq!(
        (&left_out["not_keyed"], &left_out["absent"]),
        (&24.into(), &0.into())
    );
    course.mark("few.csv");
    let left_out = report(&course)["left_out"].clone();
    assert_eq!(
        (&left_out["not_keyed"], &left_out["absent"]),
        (&0.into(), &22.into())
    );
    let settle = |part: &str, points: &str| {
        let adjust = ["adjust", ROPES[0], "--student", "004118", "--part", part];
        course.ends(
            0,
            &[&adjust[..], &["--points", points, "--note", "shown"]].concat(),
        );
    };
    for (part, points) in [("a", "1"), ("b", "4"), ("c", "0"), ("d", "0")] {
        settle(part, points);
    }
    let after = report(&course);
    assert_eq!(after["papers"], 2, "{after}");
    let part = |id: usize| after["parts"][id].clone();
    assert_eq!(
        (&part(0)["right"], &part(0)["wrong"]),
        (&2.into(), &0.into())
    );
    assert_eq!(
        (&part(2)["right"], &part(2)["first_wrong"]),
        (&1.into(), &1.into())
    );
    assert_eq!(
        (&part(0)["facility"], &after["sd"]),
        (&Value::Null, &Value::Null)
    );
    assert!(
        after["drawn"]
            .as_array()
            .unwrap()
            .iter()
            .all(|drawn| drawn["r"].is_null())
    );
    let page = course.ends(0, &["report", ROPES[0]]).stdout;
    assert!(
        page.contains("counts alone") && page.contains("1 of 2"),
        "{page}"
    );
    assert!(!page.contains('%'), "{page}");
}

#[test]
fn a_class_is_reported_and_nobody_is_named() {
    let course = Course::new();
    course.issue();
    let nothing = course.ends(0, &["report", ROPES[0]]).stdout;
    assert!(nothing.contains("nothing to report"), "{nothing}");
    course.mark(ANSWERS);
    let page = course.ends(0, &["report", ROPES[0]]).stdout;
    insta::assert_snapshot!("report-page", page);
    let csv = course.ends(0, &["report", ROPES[0], "--csv"]).stdout;
    insta::assert_snapshot!("report-csv", csv);
    let json = course.ends(0, &["report", ROPES[0], "--json"]).stdout;
    let report: Value = serde_json::from_str(&json).unwrap();
    // The marks as exported say the same.
    let marks = course.export();
    let mut rows = csv::Reader::from_reader(marks.as_bytes());
    let heading = rows.headers().unwrap().clone();
    let column = |name: &str| heading.iter().position(|other| other == name).unwrap();
    let rows: Vec<csv::StringRecord> = rows.records().map(Result::unwrap).collect();
    let marked: Vec<&csv::StringRecord> = rows
        .iter()
        .filter(|row| &row[column("status")] == "marked")
        .collect();
    assert_eq!(report["papers"], marked.len());
    let mut totals: Vec<f64> = marked
        .iter()
        .map(|row| row[column("total")].parse().unwrap())
        .collect();
    totals.sort_by(f64::total_cmp);
    let told = report["totals"].as_array().unwrap().iter();
    let told: Vec<f64> = told
        .map(|at| at.as_str().unwrap().parse().unwrap())
        .collect();
    assert_eq!(told, totals);
    for part in report["parts"].as_array().unwrap() {
        let id = part["id"].as_str().unwrap();
        let sum: f64 = marked
            .iter()
            .map(|row| row[column(id)].parse::<f64>().unwrap())
            .sum();
        assert_eq!(
            part["points"].as_str().unwrap().parse::<f64>().unwrap(),
            sum,
            "{id}"
        );
    }
    let (id, name) = (column("student"), column("name"));
    for row in &rows {
        for text in [&page, &csv, &json] {
            assert!(!text.contains(&row[id]) && !text.contains(&row[name]));
        }
    }
}
