//! Where things stand and how large: the same for all, but for who needs large print.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use lopdf::Document;

use super::{Course, PROBLEM, pages, squeezed};
use crate::hands::program::{program, repository, run};

#[test]
fn the_same_input_gives_the_same_bytes() {
    let roster = fs::read_to_string(repository().join("rosters/set-3.csv")).unwrap();
    let course = Course::of("ropes-1", &roster);
    let read = || ["papers.pdf", "key.pdf"].map(|name| fs::read(course.out(name)).unwrap());
    course.run("issue", &["--duplex"]);
    let first = read();
    course.run("issue", &["--duplex"]);
    assert!(first == read());
    let other = Course::of("ropes-1", &roster);
    other.run("issue", &["--duplex"]);
    assert!(first[0] == fs::read(other.out("papers.pdf")).unwrap());
}

/// What differs between two papers apart from letters: where lines are drawn and boxes stand, page by page.
fn drawn(file: &Path) -> Vec<Vec<String>> {
    let document = Document::load(file).unwrap();
    let pages = document.get_pages();
    let drawn = pages.values().map(|page| {
        let content = document.get_page_content(*page);
        let content = String::from_utf8_lossy(&content);
        let operations = content.lines();
        // Text is placed between BT and ET, and after it the place is as it was.
        let mut text = false;
        let mut lines: Vec<String> = Vec::new();
        for line in operations {
            match line.trim() {
                "BT" => text = true,
                "ET" => text = false,
                line if !text && line.ends_with(" l")
                    || line.ends_with(" m")
                    || line.ends_with(" re") =>
                {
                    lines.push(line.to_owned());
                }
                line if !text && line.ends_with(" cm") => lines.push(line.to_owned()),
                _ => {}
            }
        }
        lines
    });
    drawn.collect()
}

/// How much text of each size, in hundredths of a point, stands on the pages with a code.
fn letter_sizes(file: &Path, code: &str) -> BTreeMap<u32, usize> {
    let document = Document::load(file).unwrap();
    let mut sizes = BTreeMap::new();
    for (number, page) in document.get_pages() {
        if !squeezed(&document.extract_text(&[number]).unwrap()).contains(code) {
            continue;
        }
        let content = document.get_and_decode_page_content(page).unwrap();
        let mut size = 0;
        for operation in content.operations {
            match operation.operator.as_str() {
                "Tf" => size = (operation.operands[1].as_float().unwrap() * 100.0).round() as u32,
                "Tj" | "TJ" => *sizes.entry(size).or_default() += 1,
                _ => {}
            }
        }
    }
    sizes
}

#[test]
fn answer_lines_stand_in_the_same_place_for_all() {
    let long = "Maria Antónia ".repeat(14);
    let roster = format!("id,name,section\n1,Bo,A\n2,{long},A\n3,Cy Young,B\n");
    let course = Course::new(PROBLEM, &roster);
    course.run("issue", &[]);
    let pages = drawn(&course.out("papers.pdf"));
    assert_eq!(pages.len(), 3);
    assert!(
        pages[0].iter().any(|line| line.ends_with(" l")),
        "{:?}",
        pages[0]
    );
    assert_eq!(pages[0], pages[1]);
    assert_eq!(pages[0], pages[2]);
}

#[test]
fn large_print_and_separate_codes() {
    let roster = "id,name,print size\n1,Bo,\n2,Cy,18\n3,Di,24 pt\n";
    let course = Course::new(PROBLEM, roster);
    course.run("issue", &["--duplex", "--order", "code", "--nameless"]);
    let mut issued = course.issued("issued.csv");
    let document = Document::load(course.out("papers.pdf")).unwrap();
    assert_eq!(
        document.get_pages().len() % 2,
        1,
        "the last needs no empty page behind it"
    );
    issued.sort_by(|a, b| a["code"].cmp(&b["code"]));
    let text = pages(&course.out("papers.pdf")).concat();
    let places = issued.iter().map(|row| text.find(&row["code"]).unwrap());
    assert!(places.is_sorted(), "in the order of the codes");
    for (student, size) in [("1", 11.0), ("2", 18.0), ("3", 24.0)] {
        let row = issued.iter().find(|row| row["student"] == student).unwrap();
        let sizes = letter_sizes(&course.out("papers.pdf"), &row["code"]);
        // Most letters are that large; what stands beside them may be a little smaller.
        let most = sizes.iter().max_by_key(|(_, count)| **count).unwrap();
        assert_eq!(f64::from(*most.0) / 100.0, size, "{sizes:?}");
        let smallest = f64::from(*sizes.keys().next().unwrap()) / 100.0;
        assert!(smallest >= (0.8 * size).min(14.0), "{sizes:?}");
    }
    let key = pages(&course.out("key.pdf")).concat();
    assert!(issued.iter().all(|row| key.contains(&row["code"])));
    let worked = course.out("worked.pdf");
    let mut solved = program();
    solved.arg("worked").arg(&course.assignment);
    solved.arg("--roster").arg(&course.roster);
    solved.args(["--all", "--nameless", "--out"]).arg(&worked);
    let solved = run(&mut solved);
    assert_eq!(solved.code, 0, "{}", solved.stderr);
    let worked = pages(&worked).concat();
    assert!(issued.iter().all(|row| worked.contains(&row["code"])));
    for name in ["Bo", "Cy", "Di"] {
        assert!(
            ![&text, &key, &worked]
                .iter()
                .any(|text| text.contains(name))
        );
        assert!(pages(&course.out("codes.pdf")).concat().contains(name));
    }
    let wrong = Course::new(PROBLEM, "id,name,print size\n1,Bo,huge\n");
    let mut program = program();
    program
        .arg("issue")
        .arg(&wrong.assignment)
        .arg("--roster")
        .arg(&wrong.roster);
    let found = run(&mut program);
    assert_eq!(found.code, 2);
    assert!(
        found.stderr.contains("expected the size of large print"),
        "{}",
        found.stderr
    );
}
