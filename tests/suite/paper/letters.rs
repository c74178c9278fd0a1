//! Names are printed as they are, from either side; letters that no font has are boxes, and told.

use std::fs;

use super::{Course, FIGURE, PROBLEM, pages, papers, squeezed, with_figure};
use crate::hands::program::{program, run};

#[test]
fn names_are_printed_as_they_are() {
    let names = [
        "#import \"x\"",
        "$x$",
        "*bold* _em_ `raw`",
        "= heading \\ <label> @ref",
        "// gone",
        "Ọláwálé O'Neill-Wójcik",
        "ليلى",
        "Fu\u{301}si",
    ];
    let mut roster = csv::Writer::from_writer(Vec::new());
    roster.write_record(["id", "name"]).unwrap();
    for (at, name) in names.iter().enumerate() {
        roster.write_record([&at.to_string(), *name]).unwrap();
    }
    roster.write_record(["turned", "Ann\u{202E}nnA"]).unwrap();
    roster.write_record(["cjk", "王秀英"]).unwrap();
    roster.write_record(["emoji", "Jo 😀"]).unwrap();
    roster.write_record(["broken", "two\nlines"]).unwrap();
    let roster = String::from_utf8(roster.into_inner().unwrap()).unwrap();
    let course = Course::new(PROBLEM, &roster);
    let told = course.run("issue", &[]);
    let codes = course
        .issued("issued.csv")
        .into_iter()
        .map(|row| row["code"].clone());
    let papers = papers(&course.out("papers.pdf"), codes);
    let expected = names.iter().copied().chain([
        "Ann<U+202E>nnA",
        "□□□ (cjk)",
        "Jo □ (emoji)",
        "two□lines (broken)",
    ]);
    for (name, (code, text)) in expected.zip(&papers) {
        let name = squeezed(name);
        // Letters that join or are written from right to left come out of a PDF in another order.
        let found = if name.starts_with('ل') {
            text.contains('ل') || text.contains('ﻟ')
        } else {
            text.contains(&name)
        };
        assert!(found, "{code}: {name}\n{text}");
    }
    for id in ["cjk", "emoji", "broken"] {
        let told = &told.stderr;
        assert!(told.contains(&format!("in the name of {id};")), "{told}");
    }
    assert!(told.stderr.contains("--font"), "{}", told.stderr);
}

/// Names from right to left come out whole, letter by letter, from every document that has names. A PDF holds such
/// letters in the order in which they stand on the page.
#[test]
fn names_from_right_to_left_are_whole() {
    let names = ["שרה לוי", "ליאור בן דוד", "ليلى الخطيب"];
    let rows: String = names
        .iter()
        .enumerate()
        .map(|(at, name)| format!("{at},{name}\n"))
        .collect();
    let course = Course::new(PROBLEM, &format!("id,name\n{rows}"));
    course.run("issue", &["--nameless"]);
    let codes = pages(&course.out("codes.pdf")).concat();
    course.run("issue", &[]);
    let papers = pages(&course.out("papers.pdf")).concat();
    let key = pages(&course.out("key.pdf")).concat();
    let answers = course.out("answers.csv");
    fs::write(
        &answers,
        "student,a\n0,1.00 m/s^2\n1,1.00 m/s^2\n2,1.00 m/s^2\n",
    )
    .unwrap();
    let mut marking = program();
    marking
        .arg("mark")
        .arg(&course.assignment)
        .arg("--roster")
        .arg(&course.roster);
    let marks = course.out("marks.csv");
    let marked = run(marking
        .arg("--answers")
        .arg(&answers)
        .arg("--out")
        .arg(marks));
    assert_eq!(marked.code, 0, "{}", marked.stderr);
    let slips = course.out("feedback.pdf");
    course.run("feedback", &["--partial", "--out", slips.to_str().unwrap()]);
    let slips = pages(&slips).concat();
    for name in names {
        let turned: String = squeezed(name).chars().rev().collect();
        for text in [&codes, &papers, &key, &slips] {
            assert!(text.contains(&turned), "{name}\n{text}");
        }
    }
}

/// Of a sheet the assignment is named in which letters are lacking.
#[test]
fn lacking_letters_of_a_sheet_name_the_assignment() {
    let course = Course::of("sheet-1", "id,name\n1,Bo\n");
    let path = course.assignment.with_file_name("incline-1.toml");
    let text = fs::read_to_string(&path).unwrap();
    fs::write(&path, text.replacen("title = \"", "title = \"船 ", 1)).unwrap();
    let told = course.run("issue", &[]).stderr;
    let said = "incline-1: warning: the fonts lack 船 (U+8239) of its text";
    assert_eq!(told.matches(said).count(), 1, "{told}");
}

/// Letters of a figure that no font has are boxes like those of any text, and the figure is named.
#[test]
fn letters_of_figures_are_looked_at_too() {
    let (course, figure) = with_figure("id,name\n1,Bo\n");
    fs::write(&figure, FIGURE.replace("cart", "车 &#x6587; &lt;&amp;")).unwrap();
    let told = course.run("issue", &[]).stderr;
    let said = "own.svg: warning: the fonts lack 车 (U+8F66), 文 (U+6587) of the figure";
    assert!(told.contains(said), "{told}");
    let text = &pages(&course.out("papers.pdf"))[0];
    assert!(text.contains("□□<&"), "{text}");
}

#[test]
fn letters_that_no_font_has_are_told_of_every_document() {
    let own = PROBLEM
        .replace("a = \"m/s^2\"", "\"速\" = \"m/s^2\"")
        .replace("m*a", "m*速")
        .replace("answer = \"a\"", "answer = \"速\"");
    let course = Course::new(&own, "id,name\n1,Bo\n2,王秀英\n");
    let told = course.run("issue", &[]).stderr;
    assert_eq!(
        told.matches("the fonts lack 王 (U+738B), 秀 (U+79C0), 英 (U+82F1) in the name of 2")
            .count(),
        1,
        "{told}"
    );
    let mut solved = program();
    solved.arg("worked").arg(&course.assignment);
    solved.arg("--roster").arg(&course.roster);
    let out = course.out("worked.pdf");
    let told = run(solved.args(["--all", "--out"]).arg(&out)).stderr;
    assert!(
        told.contains("the fonts lack 速 (U+901F) of its text"),
        "{told}"
    );
    assert!(told.contains("(U+82F1) in the name of 2"), "{told}");
    assert!(pages(&out).concat().contains('□'));
}
