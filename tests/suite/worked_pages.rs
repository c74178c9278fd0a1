//! Worked solutions as PDF: of those who are asked for, each from a new page on, with their own numbers and
//! the answers of the key, and the same bytes each time.

use std::fs;
use std::path::{Path, PathBuf};

use crate::hands::program::{Run, program, repository, run};
use crate::paper::{Course, pages, squeezed};

fn worked(course: &Course, out: &Path, whose: &[&str]) -> Run {
    let mut program = program();
    program.arg("worked").arg(&course.assignment);
    program.arg("--roster").arg(&course.roster);
    run(program.arg("--out").arg(out).args(whose))
}

fn issued(code: &str, set: &str) -> Course {
    let roster = fs::read_to_string(repository().join(format!("rosters/{set}.csv"))).unwrap();
    let course = Course::of(code, &roster);
    course.run("issue", &[]);
    course
}

/// What `explain --worked` says of a student: the same solution as text.
fn explained(course: &Course, student: &str) -> String {
    let mut program = program();
    program.arg("explain").arg(&course.assignment);
    program.arg("--roster").arg(&course.roster);
    let found = run(program.args(["--student", student, "--worked"]));
    assert_eq!(found.code, 0, "{}", found.stderr);
    found.stdout
}

/// The answers in a solution as text, without blanks: `1.86m/s²`.
fn answers(text: &str) -> Vec<String> {
    let answers = text.lines().filter_map(|line| {
        let answer = line.trim_start().strip_prefix("answer ")?;
        let value = answer.rsplit(" = ").next()?;
        let value = value.split(", size").next()?;
        Some(squeezed(value).replace('-', "−"))
    });
    answers.collect()
}

#[test]
fn each_student_has_own_numbers_and_the_answers_of_the_key() {
    for (code, set) in [
        ("ropes-1", "set-3"),
        ("projectile-1", "set-5"),
        ("sheet-1", "set-5"),
    ] {
        let course = issued(code, set);
        let roster = fs::read_to_string(&course.roster).unwrap();
        let out: PathBuf = course.out("worked.pdf");
        let found = worked(&course, &out, &["--all"]);
        assert_eq!(found.code, 0, "{}", found.stderr);
        let pages = pages(&out);
        for row in course.issued("issued.csv") {
            let own: String = pages
                .iter()
                .filter(|page| page.contains(&row["code"]))
                .map(|page| page.replace('\u{202f}', ""))
                .collect();
            let text = explained(&course, &row["student"]);
            let answers = answers(&text);
            assert!(answers.len() >= 4, "{text}");
            let line = roster
                .lines()
                .find(|line| line.starts_with(&row["student"]));
            let comma = line.unwrap().ends_with("\",\"");
            if code == "ropes-1" {
                let mark = if comma { "," } else { "." };
                let star = squeezed(&format!("star {}", row["mS"].replace('.', mark)));
                assert!(own.contains(&star), "the figure has {star}: {own}");
            }
            for answer in answers {
                assert!(
                    own.contains(&answer),
                    "{}: {answer} in {own}",
                    row["student"]
                );
            }
        }
        let again = course.out("again.pdf");
        assert_eq!(worked(&course, &again, &["--all"]).code, 0);
        assert!(
            fs::read(&out).unwrap() == fs::read(&again).unwrap(),
            "{code}"
        );
    }
}

#[test]
fn those_who_are_asked_for_and_no_one_else() {
    let course = issued("ropes-1", "set-3");
    let rows = course.issued("issued.csv");
    let (first, third) = (&rows[0], &rows[2]);
    let out = course.out("worked.pdf");
    let whose = [
        "--student",
        first["student"].as_str(),
        third["code"].as_str(),
    ];
    assert_eq!(worked(&course, &out, &whose).code, 0);
    let text: String = pages(&out).concat();
    for row in &rows {
        let is_asked_for = row["code"] == first["code"] || row["code"] == third["code"];
        assert_eq!(text.contains(&row["code"]), is_asked_for, "{}", row["code"]);
    }
    let unknown = worked(&course, &out, &["--student", "nobody"]);
    assert_eq!(unknown.code, 2);
    assert!(unknown.stderr.contains("nobody"), "{}", unknown.stderr);
}

#[test]
fn a_roster_of_which_nobody_has_a_paper() {
    let course = issued("ropes-1", "set-3");
    fs::write(&course.roster, "id,name\n1,Bo\n").unwrap();
    let found = worked(&course, &course.out("worked.pdf"), &["--all"]);
    assert_eq!(found.code, 2);
    let expected = "24 papers of `ropes-1` were issued to the class `class`, none of them to a student of this roster";
    assert!(found.stderr.contains(expected), "{}", found.stderr);
}
