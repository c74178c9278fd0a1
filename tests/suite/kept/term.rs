//! A term through the whole program: several sheets and classes beside each other.

use std::fmt::Write as _;

use serde_json::Value;

use super::reported::persons;
use super::{Course, ROPES};

/// Puts five questions to two classes: every third person is in the second one.
fn two_classes(course: &Course) {
    let persons = persons(course);
    for (class, rest) in [("first", [0, 1]), ("second", [2, 2])] {
        let (mut roster, mut answers) = ("id,name\n".to_owned(), "student,a,b,c,d,e\n".to_owned());
        for (at, (id, words)) in persons.iter().enumerate() {
            if rest.contains(&(at % 3)) {
                let _ = writeln!(roster, "{id},Person {id}");
                let _ = writeln!(answers, "{id}{words}");
            }
        }
        let file = format!("rosters/{class}.csv");
        course.write(&file, &roster);
        course.write("answers.csv", &answers);
        let five = ["assignments/five-1.toml", "--roster", &file];
        course.ends(0, &[&["issue"], &five[..]].concat());
        course.ends(
            0,
            &[&["mark"], &five[..], &["--answers", "answers.csv"]].concat(),
        );
    }
}

fn json(course: &Course, arguments: &[&str]) -> Value {
    let text = course.ends(0, &[&["report"], arguments, &["--json"]].concat());
    serde_json::from_str(&text.stdout).unwrap()
}

/// Two classes together give the published figures of all 1000 persons (LSAT section 6, Bock & Lieberman
/// 1970, as the documentation of the R package mirt 1.40 prints them), each by itself what it gives alone.
#[test]
fn classes_together_give_the_published_figures() {
    let course = Course::new();
    two_classes(&course);
    course.issue();
    course.mark(super::ANSWERS);
    let files = ["assignments/five-1.toml", ROPES[0]];
    let term = json(&course, &files);
    let five = &term["assignments"][0];
    let together = &five["together"];
    assert_eq!(together["papers"], 1000);
    assert_eq!(together["mean"], "3.819");
    let near = |found: &Value, printed: f64| (found.as_f64().unwrap() - printed).abs() <= 0.000_5;
    assert!(near(&together["sd"], 1.035), "{together}");
    assert!(near(&together["reliability"]["alpha"], 0.295), "{together}");
    let facilities = [0.924, 0.709, 0.553, 0.763, 0.870];
    for (part, printed) in together["parts"].as_array().unwrap().iter().zip(facilities) {
        assert!(near(&part["facility"], printed), "{part}");
    }
    for (at, class) in ["first", "second"].into_iter().enumerate() {
        let alone = json(&course, &[files[0], "--class", class]);
        assert_eq!(five["classes"][at], alone);
    }
    let ropes = &term["assignments"][1];
    assert_eq!(ropes["classes"][0], json(&course, &[ROPES[0]]));
    assert_eq!(ropes["together"], Value::Null);
    // Nobody is in it unless asked for.
    assert_eq!(term["students"], Value::Null);
    let page = course.ends(0, &[&["report"], &files[..]].concat()).stdout;
    assert!(
        page.lines().all(|line| line.chars().count() <= 80),
        "{page}"
    );
    assert!(
        page.contains("together") && page.contains("1000 of 1000"),
        "{page}"
    );
    assert!(
        page.contains("ropes-1: set-3 2") && !page.contains("Person"),
        "{page}"
    );
}

/// Each student's course is what the marks say, sheet by sheet, for the teacher who asks for it.
#[test]
fn each_students_course_is_what_was_exported() {
    let course = Course::new();
    course.issue();
    course.mark(super::ANSWERS);
    let incline = [
        "assignments/incline-1.toml",
        "--roster",
        "rosters/set-3.csv",
    ];
    course.ends(0, &[&["issue"], &incline[..]].concat());
    let answers = ["--answers", "incline-1-set-3.csv"];
    course.ends(0, &[&["mark"], &incline[..], &answers].concat());
    let table = [
        &["report"],
        &[ROPES[0], incline[0], "--students", "--csv"][..],
    ]
    .concat();
    let table = course.ends(0, &table).stdout;
    assert_eq!(table.lines().count(), 1 + 2 * 24, "{table}");
    for file in [ROPES[0], incline[0]] {
        let code = file
            .trim_start_matches("assignments/")
            .trim_end_matches(".toml");
        let marks = course.ends(0, &["export", file, "--partial"]).stdout;
        let mut exported = csv::Reader::from_reader(marks.as_bytes());
        for row in exported.deserialize() {
            let row: std::collections::BTreeMap<String, String> = row.unwrap();
            let total = match row["status"].as_str() {
                "marked" => row["total"].as_str(),
                _ => "",
            };
            let start = format!("set-3,{},", row["student"]);
            let end = format!(",{code},{},{total},{}", row["status"], row["out_of"]);
            let is_told = |line: &str| line.starts_with(&start) && line.ends_with(&end);
            assert!(table.lines().any(is_told), "{start}…{end}\n{table}");
        }
    }
    let page = [&["report"], &[ROPES[0], incline[0], "--students"][..]].concat();
    let page = course.ends(0, &page).stdout;
    assert!(
        page.contains("for you alone") && page.contains("Amina Okonjo-Bello"),
        "{page}"
    );
}

#[test]
fn what_is_no_term_is_refused_at_once() {
    let course = Course::new();
    course.issue();
    let twice = course.ends(2, &["report", ROPES[0], ROPES[0]]).stderr;
    assert!(twice.contains("named twice"), "{twice}");
    let other = Course::new();
    other.issue();
    let elsewhere = other.path(ROPES[0]);
    let both = [
        "report",
        "assignments/incline-1.toml",
        elsewhere.to_str().unwrap(),
    ];
    let told = course.ends(2, &both).stderr;
    assert!(told.contains("another course folder"), "{told}");
    // A sheet that nobody has yet is told and left out; nothing but such sheets is no term.
    let files = ["report", ROPES[0], "assignments/incline-1.toml"];
    let found = course.ends(0, &files);
    assert!(
        found.stderr.contains("no paper of `incline-1`"),
        "{}",
        found.stderr
    );
    assert!(!found.stdout.contains("incline-1"), "{}", found.stdout);
    let none = [
        "report",
        "assignments/incline-1.toml",
        "assignments/collision-1.toml",
    ];
    let told = course.ends(2, &none).stderr;
    assert!(
        told.contains("`incline-1`") && told.contains("`collision-1`"),
        "{told}"
    );
}
