//! Slips are about one student alone, and show no key to anybody too early.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use super::{Course, PROBLEM, pages, squeezed};
use crate::hands::program::{program, repository, run};

#[test]
fn no_key_while_someone_owes_a_paper_with_the_same_numbers() {
    let alike = PROBLEM.replace("seed = 5", "seed = 5\nvariants = 1");
    let course = Course::new(&alike, "id,name\n1,Bo\n2,Cy\n");
    course.run("issue", &[]);
    let answers = course.out("answers.csv");
    fs::write(&answers, "student,a\n1,1.00 m/s^2\n").unwrap();
    let mut marking = program();
    marking.arg("mark").arg(&course.assignment);
    marking.arg("--roster").arg(&course.roster).arg("--answers");
    let marked = run(marking
        .arg(&answers)
        .arg("--out")
        .arg(course.out("marks.csv")));
    assert_eq!(marked.code, 0, "{}", marked.stderr);
    let pdf = course.out("feedback.pdf");
    let slips = || {
        let out = pdf.to_str().unwrap();
        let options = ["--partial", "--resubmit", "2020-01-01", "--out", out];
        let told = course.run("feedback", &options).stderr;
        (pages(&pdf).concat(), told)
    };
    let (text, told) = slips();
    assert!(text.contains("Bo") && !text.contains("Answers:"), "{text}");
    let expected = "no key on slips with the numbers of papers that are still owed: 2";
    assert!(told.contains(expected), "{told}");
    let mut excused = program();
    excused.arg("attend").arg(&course.assignment);
    excused.arg("--roster").arg(&course.roster);
    let excused = run(excused.args(["--student", "2", "--excused"]));
    assert_eq!(excused.code, 0, "{}", excused.stderr);
    let (text, told) = slips();
    assert!(text.contains("Answers:"), "{text}");
    assert!(!told.contains("still owed"), "{told}");
}

/// Slips of the shipped class: own words, own numbers, nobody else, and no key before its day.
#[test]
fn slips_are_about_one_student_alone() {
    let roster = fs::read_to_string(repository().join("rosters/set-3.csv")).unwrap();
    let course = Course::of("ropes-1", &roster);
    course.run("issue", &[]);
    let answers = repository().join("tests/data/ropes-1-set-3.csv");
    let answers = answers.to_str().unwrap();
    let marks = course.out("marks.csv");
    let mut marking = program();
    marking
        .arg("mark")
        .arg(&course.assignment)
        .arg("--roster")
        .arg(&course.roster);
    let marked = run(marking.args(["--answers", answers, "--out"]).arg(&marks));
    assert_eq!(marked.code, 0, "{}", marked.stderr);
    let pdf = course.out("feedback.pdf");
    let pdf = pdf.to_str().unwrap();
    let told = course.run(
        "feedback",
        &["--out", pdf, "--resubmit", "2999-12-31", "--returned"],
    );
    assert!(
        told.stderr
            .contains(&format!("18 slips in {pdf}, 18 papers noted as given back")),
        "{}",
        told.stderr
    );
    for open in ["004560", "004607"] {
        assert!(told.stderr.contains(open), "{}", told.stderr);
    }
    let text = pages(Path::new(pdf)).concat();
    assert!(!text.contains("Answers:"));
    let again = "Youmayhandinthispaperagainby31December2999.";
    assert!(text.contains(again));
    let mut reader = csv::Reader::from_path(&marks).unwrap();
    let rows: Vec<BTreeMap<String, String>> = reader.deserialize().map(Result::unwrap).collect();
    let codes: BTreeMap<String, String> = course
        .issued("issued.csv")
        .into_iter()
        .map(|row| (row["student"].clone(), row["code"].clone()))
        .collect();
    // A slip begins with a name, then its code stands, and it ends with its total.
    let mut places: Vec<(usize, &String)> = codes
        .iter()
        .filter_map(|(student, code)| Some((text.find(code.as_str())?, student)))
        .collect();
    places.sort_unstable();
    assert_eq!(places.len(), 18);
    let mut begins = 0;
    for (at, (_, student)) in places.iter().enumerate() {
        let next = places.get(at + 1).map_or(text.len(), |(next, _)| *next);
        let ends = text[..next].rfind("of13").unwrap() + "of13".len();
        let slip = &text[begins..ends];
        begins = ends;
        let row = rows.iter().find(|row| row["student"] == **student).unwrap();
        assert_eq!(row["status"], "marked", "{student}");
        let feedback = squeezed(&row["feedback"]);
        assert!(slip.contains(&feedback), "{feedback}\n{slip}");
        let total = squeezed(&format!("{} of 13", row["total"]));
        assert!(slip.ends_with(&total), "{total}\n{slip}");
        let is_full = row["total"] == "13";
        assert_eq!(slip.contains(again), !is_full, "{slip}");
        let name = squeezed(&row["name"]);
        // Letters that join or are written from right to left come out of a PDF in another order.
        let plain = |c: char| c < '\u{590}' || ('\u{1E00}'..'\u{2100}').contains(&c);
        let has_name = if name.chars().all(plain) {
            slip.contains(&name)
        } else {
            slip.contains(&format!("({student})")) || name.chars().any(|c| slip.contains(c))
        };
        assert!(has_name, "{name}\n{slip}");
        let others = rows.iter().filter(|other| other["name"] != row["name"]);
        for other in others.map(|other| squeezed(&other["name"])) {
            assert!(!slip.contains(&other), "{other}\n{slip}");
        }
    }
    // After the day the answers are on them.
    course.run("feedback", &["--out", pdf, "--resubmit", "2020-01-01"]);
    let text = pages(Path::new(pdf)).concat();
    assert_eq!(text.matches("Answers:").count(), 18);
    let again = course.run("feedback", &["--out", pdf, "--returned"]);
    assert!(
        again
            .stderr
            .contains(&format!("18 slips in {pdf}, 0 papers noted")),
        "{}",
        again.stderr
    );
}
