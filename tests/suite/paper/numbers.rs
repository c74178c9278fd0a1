//! Everyone's own numbers stand on their papers, in their own decimal mark.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use paperweight::text::DecimalMark;

use super::{Course, PROBLEM, pages, papers, printed, squeezed};
use crate::hands::program::{program, repository, run};

/// Every paper of a shipped class has its own text on it, number by number.
#[test]
fn papers_say_what_was_issued() {
    let classes = [
        ("ropes-1", "set-3"),
        ("projectile-1", "set-5"),
        ("sheet-1", "set-5"),
    ];
    for (code, set) in classes {
        let roster = fs::read_to_string(repository().join(format!("rosters/{set}.csv"))).unwrap();
        let course = Course::of(code, &roster);
        course.run("issue", &[]);
        let issued = course.issued("issued.csv");
        let codes = issued.iter().map(|row| row["code"].clone());
        let papers = papers(&course.out("papers.pdf"), codes);
        let commas: Vec<&str> = roster.lines().skip(1).collect();
        for (row, (code, text)) in issued.iter().zip(&papers) {
            let line = commas
                .iter()
                .find(|line| line.starts_with(&row["student"]))
                .unwrap();
            let mark = if line.ends_with("\",\"") {
                DecimalMark::Comma
            } else {
                DecimalMark::Point
            };
            for (sentence, names) in sentences(course.folder.path(), row) {
                let mut expected = sentence;
                for (place, name) in names {
                    expected = expected.replace(&place, &printed(&row[&name], mark));
                }
                let expected = squeezed(&expected).replace('\'', "’");
                assert!(text.contains(&expected), "{code}: {expected}\n{text}");
            }
        }
    }
}

/// The texts of the problems a row has numbers for, with the places in them and the headings of the
/// values.
fn sentences(
    course: &Path,
    row: &BTreeMap<String, String>,
) -> Vec<(String, Vec<(String, String)>)> {
    let problems: Vec<(&str, &str)> = if row.contains_key("1mB") {
        vec![("ropes-1", "1"), ("incline-1", "2"), ("collision-1", "3")]
    } else if row.contains_key("mB") {
        vec![("ropes-1", "")]
    } else {
        vec![("projectile-1", "")]
    };
    let read = |(code, number): (&str, &str)| {
        let text = fs::read_to_string(course.join(format!("assignments/{code}.toml"))).unwrap();
        let body = text.split("\"\"\"").nth(1).unwrap().to_owned();
        let names = row
            .keys()
            .filter_map(|heading| heading.strip_prefix(number));
        let places = names.map(|name| (format!("{{{name}}}"), format!("{number}{name}")));
        let places = places.filter(|(place, _)| body.contains(place)).collect();
        (body, places)
    };
    problems.into_iter().map(read).collect()
}

#[test]
fn classes_of_one_and_of_three_hundred() {
    for count in [1, 300] {
        let rows = (0..count).map(|at| format!("{at:03},Student {at},A\n"));
        let roster = format!("id,name,section\n{}", rows.collect::<String>());
        let course = Course::new(PROBLEM, &roster);
        course.run("issue", &[]);
        let issued = course.issued("issued.csv");
        let codes = issued.iter().map(|row| row["code"].clone());
        for (row, (_, text)) in issued.iter().zip(papers(&course.out("papers.pdf"), codes)) {
            let point = DecimalMark::Point;
            let (m, force) = (printed(&row["m"], point), printed(&row["F"], point));
            let expected = squeezed(&format!("A cart of {m} is pushed with {force}."));
            assert!(text.contains(&expected), "{expected}\n{text}");
        }
        let key = pages(&course.out("key.pdf")).concat();
        assert!(issued.iter().all(|row| key.contains(&row["code"])));
    }
}

/// Who writes a decimal comma finds no point on any page of theirs.
#[test]
fn decimal_marks_are_not_mixed() {
    let own = PROBLEM.replace("points = 3", "points = 2.5");
    let course = Course::new(&own, "id,name,decimal mark\n1,Bo,\",\"\n");
    course.run("issue", &[]);
    let answers = course.out("answers.csv");
    fs::write(&answers, "student,a,b\n1,\"1,00 m/s^2\",1\n").unwrap();
    let act = |command: &str, more: &[&str]| {
        let mut program = program();
        program.arg(command).arg(&course.assignment);
        program.arg("--roster").arg(&course.roster);
        let done = run(program.args(more));
        assert_eq!(done.code, 0, "{command}: {}", done.stderr);
        done.stdout
    };
    let path = |name: &str| course.out(name).to_str().unwrap().to_owned();
    act(
        "mark",
        &[
            "--answers",
            &path("answers.csv"),
            "--out",
            &path("marks.csv"),
        ],
    );
    act(
        "adjust",
        &[
            "--student",
            "1",
            "--part",
            "a",
            "--points",
            "1.5",
            "--note",
            "half",
        ],
    );
    act(
        "feedback",
        &["--resubmit", "2020-01-01", "--out", &path("feedback.pdf")],
    );
    act("worked", &["--all", "--out", &path("worked.pdf")]);
    let mut all: Vec<String> = ["papers.pdf", "key.pdf", "feedback.pdf", "worked.pdf"]
        .into_iter()
        .flat_map(|name| pages(&course.out(name)))
        .collect();
    assert!(all.concat().contains("a1,5/2,5"), "{all:?}");
    all.push(act("explain", &["--student", "1", "--worked"]));
    for text in all {
        let letters: Vec<char> = text.chars().collect();
        let is_point = |three: &&[char]| {
            three[1] == '.' && three[0].is_ascii_digit() && three[2].is_ascii_digit()
        };
        assert_eq!(letters.windows(3).find(is_point), None, "{text}");
    }
}
