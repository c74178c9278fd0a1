//! Papers on paper: what is printed is what was issued, for everyone, and the same bytes each time.
//!
//! Texts are read out of the PDFs with `lopdf`, blanks left out, since where a line ends is no matter here.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use lopdf::Document;
use paperweight::answer::{Context, Reading, Value, read};
use paperweight::quantity::{Quantity, Unit};
use paperweight::text::DecimalMark;

use super::whole_program::{Run, program, repository, run};

/// A course folder with one assignment and a roster of our own.
pub(crate) struct Course {
    folder: tempfile::TempDir,
    pub(crate) assignment: PathBuf,
    pub(crate) roster: PathBuf,
}

impl Course {
    fn new(assignment: &str, roster: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        for name in ["assignments", "rosters", "out"] {
            fs::create_dir(folder.path().join(name)).unwrap();
        }
        let path = folder.path().join("assignments/own.toml");
        fs::write(&path, assignment).unwrap();
        let file = folder.path().join("rosters/class.csv");
        fs::write(&file, roster).unwrap();
        Self {
            folder,
            assignment: path,
            roster: file,
        }
    }

    pub(crate) fn of(code: &str, roster: &str) -> Self {
        let course = Self::new("", roster);
        fs::remove_file(&course.assignment).unwrap();
        for entry in fs::read_dir(repository().join("assignments")).unwrap() {
            let entry = entry.unwrap();
            let to = course
                .folder
                .path()
                .join("assignments")
                .join(entry.file_name());
            // The shelf's folders by topic are not needed here.
            if entry.file_type().unwrap().is_file() {
                fs::copy(entry.path(), to).unwrap();
            }
        }
        Self {
            assignment: course
                .folder
                .path()
                .join(format!("assignments/{code}.toml")),
            ..course
        }
    }

    pub(crate) fn out(&self, name: &str) -> PathBuf {
        self.folder.path().join("out").join(name)
    }

    #[track_caller]
    pub(crate) fn run(&self, command: &str, more: &[&str]) -> Run {
        let out = self.out("");
        let mut program = program();
        program
            .arg(command)
            .arg(&self.assignment)
            .arg("--roster")
            .arg(&self.roster);
        if command != "feedback" {
            program.arg("--out").arg(&out);
        }
        let found = run(program.args(more));
        assert_eq!(found.code, 0, "{command}: {}", found.stderr);
        found
    }

    /// The rows of a table of issued papers, by heading.
    pub(crate) fn issued(&self, name: &str) -> Vec<BTreeMap<String, String>> {
        let mut reader = csv::Reader::from_path(self.out(name)).unwrap();
        reader.deserialize().map(Result::unwrap).collect()
    }
}

/// The text of each page, without blanks.
pub(crate) fn pages(file: &Path) -> Vec<String> {
    let document = Document::load(file).unwrap();
    let numbers = document.get_pages().into_keys();
    numbers
        .map(|page| squeezed(&document.extract_text(&[page]).unwrap()))
        .collect()
}

pub(crate) fn squeezed(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

/// The pages of each paper, joined, by the code that stands on each of its pages.
fn papers(file: &Path, codes: impl IntoIterator<Item = String>) -> Vec<(String, String)> {
    let pages = pages(file);
    let codes: Vec<String> = codes.into_iter().collect();
    for page in &pages {
        let found = codes.iter().filter(|code| page.contains(*code)).count();
        assert_eq!(found, 1, "one code a page: {page}");
    }
    let of = |code: String| {
        let own = pages.iter().filter(|page| page.contains(&code));
        let own: String = own.cloned().collect();
        assert!(own.matches(&code).count() >= 2, "{code} stands there twice");
        (code, own)
    };
    codes.into_iter().map(of).collect()
}

fn printed(value: &str, mark: DecimalMark) -> String {
    Quantity::parse(value).unwrap().printed(mark)
}

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

const PROBLEM: &str = "title = \"A push\"\ncode = \"push-1\"\nseed = 5\ntext = \"A cart of {m} is pushed with {F}.\"\n\
    [given]\nm = { from = \"1.0 kg\", to = \"1000.0 kg\", step = \"0.5 kg\" }\nF = { from = \"5.0 N\", to = \"90.0 N\", step = \"0.5 N\" }\n\
    [find]\na = \"m/s^2\"\n[equation]\nnewton = \"F = m*a\"\n\
    [[part]]\nid = \"a\"\nask = \"Find the acceleration.\"\nanswer = \"a\"\npoints = 3\n\
    [[part]]\nid = \"b\"\nask = \"Draw the forces.\"\neye = [\"the push\", \"the weight\"]\n";

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

#[test]
fn one_who_joins_late_and_a_lost_paper() {
    let roster = "id,name\n1,Bo\n2,Cy\n";
    let course = Course::new(PROBLEM, roster);
    course.run("issue", &["--due", "2026-12-01"]);
    let before = pages(&course.out("papers.pdf"));
    fs::write(&course.roster, format!("{roster}0,Al\n")).unwrap();
    course.run("issue", &[]);
    let after = pages(&course.out("papers.pdf"));
    assert_eq!(before, after[..2]);
    assert!(after[2].contains("Al"));
    let code = &course.issued("issued.csv")[1]["code"];
    course.run("issue", &["--reprint", code]);
    assert_eq!(pages(&course.out("reprint.pdf")), before[1..]);
}

#[test]
fn a_reissue_after_the_file_was_changed() {
    let course = Course::new(PROBLEM, "id,name\n1,Bo\n2,Cy\n");
    course.run("issue", &[]);
    let before = pages(&course.out("papers.pdf"));
    fs::write(&course.assignment, PROBLEM.replace("A cart", "A sledge")).unwrap();
    let told = course.run("reissue", &["--student", "2", "--due", "2026-12-09"]);
    assert!(
        told.stderr.contains("2 papers are still owed"),
        "{}",
        told.stderr
    );
    assert!(
        told.stderr.contains("paper 2, due 2026-12-09"),
        "{}",
        told.stderr
    );
    let [again] = &pages(&course.out("reissued.pdf"))[..] else {
        panic!("one page")
    };
    assert!(
        again.contains("Asledge") && again.contains("paper2") && again.contains("due9December2026"),
        "{again}"
    );
    // What was issued before keeps its words.
    course.run("issue", &[]);
    let after = pages(&course.out("papers.pdf"));
    assert_eq!(after[0], before[0]);
    assert_eq!(after[1], *again);
    let issued = course.issued("issued.csv");
    let row = issued.iter().find(|row| row["issue"] == "2").unwrap();
    assert!(again.contains(&row["code"]) && !before[1].contains(&row["code"]));
    let key = pages(&course.out("key.pdf")).concat();
    assert!(issued.iter().all(|row| key.contains(&row["code"])));
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

#[test]
fn the_key_has_everyones_answers() {
    let roster = "id,name,decimal mark\n1,Bo,.\n2,Cy,\",\"\n";
    let course = Course::new(PROBLEM, roster);
    course.run("issue", &[]);
    let key = pages(&course.out("key.pdf")).concat();
    for row in course.issued("issued.csv") {
        let number = |name: &str| Quantity::parse(&row[name]).unwrap().numeral.to_f64();
        let a = paperweight::quantity::numeral_of(number("F") / number("m"), 3).unwrap();
        let mark = match row["student"].as_str() {
            "1" => DecimalMark::Point,
            _ => DecimalMark::Comma,
        };
        for expected in [a.printed(mark), printed(&row["F"], mark)] {
            let expected = squeezed(&expected);
            assert!(key.contains(&expected), "{expected}\n{key}");
        }
    }
    assert!(key.contains("thepush·theweight"), "{key}");
}

/// What the key prints is what the reader takes, in either decimal mark: with a mark at the end (`120,`), with
/// groups of digits, with a power of ten.
#[test]
fn what_the_key_prints_can_be_keyed() {
    for mark in [DecimalMark::Point, DecimalMark::Comma] {
        for value in [
            120.0,
            30.0,
            5.0,
            140.4,
            0.403_03,
            1234.0,
            12_500.0,
            43_279.168_29,
            1.3e9,
            2.5e-7,
            -0.5,
        ] {
            for figures in 1..=7 {
                let numeral = paperweight::quantity::numeral_of(value, figures).unwrap();
                for unit in ["", "N", "m/s^2", "deg"] {
                    let unit = match unit {
                        "" => Unit::ONE,
                        unit => Unit::parse(unit).unwrap(),
                    };
                    let printed = Quantity { numeral, unit }.printed(mark);
                    let reading = read(&printed, &Context::plain(mark));
                    let Reading::One(written) = &reading else {
                        panic!("{printed}: {reading:?}")
                    };
                    let Value::Numeral(found) = written.value else {
                        panic!("{printed}: {reading:?}")
                    };
                    assert_eq!(found.to_f64(), numeral.to_f64(), "{printed}");
                    let (asked, read) = (numeral.figures(), found.figures());
                    assert!(
                        read.least <= asked.most && asked.least <= read.most,
                        "{printed}: {read:?}"
                    );
                }
            }
        }
    }
}

/// A folder that is not there is made, papers given once more stay until they are taken away, and the table of
/// one class does not take the place of another's.
#[test]
fn files_of_handing_out_take_no_others_place() {
    let course = Course::new(PROBLEM, "id,name\n1,Bo\n2,Cy\n");
    fs::remove_dir(course.out("")).unwrap();
    course.run("issue", &[]);
    course.run("reissue", &["--student", "1"]);
    let first = fs::read(course.out("reissued.pdf")).unwrap();
    let told = course.run("reissue", &["--student", "2"]).stderr;
    assert!(told.contains("reissued-2.pdf: note: "), "{told}");
    assert!(first == fs::read(course.out("reissued.pdf")).unwrap());
    let [second] = &pages(&course.out("reissued-2.pdf"))[..] else {
        panic!("one page")
    };
    assert!(second.contains("Cy"), "{second}");
    // Without PDFs beside it the table alone says whose the folder is.
    let table = fs::read(course.out("issued.csv")).unwrap();
    for file in ["papers.pdf", "key.pdf", "reissued.pdf", "reissued-2.pdf"] {
        fs::remove_file(course.out(file)).unwrap();
    }
    let refused = |more: &[&str]| {
        let mut program = program();
        program.arg("issue").arg(&course.assignment);
        program.arg("--roster").arg(&course.roster);
        let found = run(program.args(more).arg("--out").arg(course.out("")));
        assert_eq!(found.code, 2, "{}", found.stderr);
        let told = "issued.csv: error: another file stands there";
        assert!(found.stderr.contains(told), "{}", found.stderr);
        assert!(table == fs::read(course.out("issued.csv")).unwrap());
    };
    refused(&["--class", "another"]);
    let own = fs::read_to_string(&course.assignment).unwrap();
    fs::write(&course.assignment, own.replace("push-1", "push-2")).unwrap();
    refused(&[]);
    fs::write(&course.assignment, own).unwrap();
    course.run("issue", &[]);
}

#[test]
fn files_of_others_stay() {
    let course = Course::new(PROBLEM, "id,name\n1,Bo\n");
    fs::write(course.out("papers.pdf"), "%PDF-1.7\nnot ours").unwrap();
    let mut program = program();
    program
        .arg("issue")
        .arg(&course.assignment)
        .arg("--roster")
        .arg(&course.roster);
    let found = run(program.arg("--out").arg(course.out("")));
    assert_eq!(found.code, 2, "{}", found.stderr);
    assert!(
        found.stderr.contains("another file stands there"),
        "{}",
        found.stderr
    );
    assert_eq!(
        fs::read(course.out("papers.pdf")).unwrap(),
        b"%PDF-1.7\nnot ours"
    );
    assert!(!course.out("issued.csv").exists(), "nothing was issued");
}

#[test]
fn a_document_of_another_kind_or_sheet_stays() {
    let course = Course::new(PROBLEM, "id,name\n1,Bo\n");
    course.run("issue", &[]);
    let papers = fs::read(course.out("papers.pdf")).unwrap();
    let refused = |command: &str, more: &[&Path]| {
        let mut program = program();
        program.arg(command).arg(&course.assignment);
        program.arg("--roster").arg(&course.roster);
        let found = run(program.args(more));
        assert_eq!(found.code, 2, "{command}: {}", found.stderr);
        let told = "another file stands there";
        assert!(found.stderr.contains(told), "{command}: {}", found.stderr);
        assert!(papers == fs::read(course.out("papers.pdf")).unwrap());
    };
    let out = course.out("papers.pdf");
    refused("worked", &[Path::new("--all"), Path::new("--out"), &out]);
    refused("feedback", &[Path::new("--out"), &out]);
    // A code that begins as the other does is another code all the same.
    for code in ["push-10", "push-"] {
        let other = PROBLEM.replace("push-1", code);
        fs::write(&course.assignment, other).unwrap();
        refused("issue", &[Path::new("--out"), &course.out("")]);
    }
    fs::write(&course.assignment, PROBLEM).unwrap();
    course.run("issue", &["--nameless"]);
    assert!(papers != fs::read(&out).unwrap(), "its own are replaced");
}

/// An assignment with another name for the mass.
fn renamed(assignment: &str) -> String {
    let names = assignment
        .replace("{m}", "{mass}")
        .replace("\nm = ", "\nmass = ");
    names.replace("m*a", "mass*a")
}

#[test]
fn a_wording_that_is_lost() {
    let course = Course::new(PROBLEM, "id,name\n1,Bo\n");
    course.run("issue", &[]);
    // As if a later version could not read such a file any more.
    let record = course.folder.path().join("paperweight.sqlite");
    let record = rusqlite::Connection::open(record).unwrap();
    let guards =
        "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'files'";
    let mut statement = record.prepare(guards).unwrap();
    let guards: Vec<(String, String)> = statement
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    let lost = "UPDATE files SET texts = json('[[\"own.toml\", \"lost\"]]')";
    for (name, _) in &guards {
        record.execute(&format!("DROP TRIGGER {name}"), []).unwrap();
    }
    record.execute(lost, []).unwrap();
    for (_, guard) in &guards {
        record.execute(guard, []).unwrap();
    }
    drop(statement);
    drop(record);
    fs::write(&course.assignment, PROBLEM.replace("A cart", "A sledge")).unwrap();
    let told = course.run("issue", &[]).stderr;
    assert!(told.contains("cannot be read any more"), "{told}");
    assert!(pages(&course.out("papers.pdf"))[0].contains("Asledge"));
    // Today's text has a number that was not issued: an empty place would be worse than no paper.
    fs::write(&course.assignment, renamed(PROBLEM)).unwrap();
    fs::write(&course.roster, "id,name\n1,Bo\n2,Cy\n").unwrap();
    let mut program = program();
    program.arg("issue").arg(&course.assignment);
    program.arg("--roster").arg(&course.roster);
    let found = run(program.arg("--out").arg(course.out("")));
    assert_eq!(found.code, 2, "{}", found.stderr);
    for told in [
        "today's does not fit",
        "`mass` was not drawn then",
        "the papers are issued and in the record (1 now)",
        "issue --reprint",
    ] {
        assert!(found.stderr.contains(told), "{told}: {}", found.stderr);
    }
    assert_eq!(course.issued("issued.csv").len(), 2);
}

/// A figure of one word and one number, to be read back out of a PDF.
const FIGURE: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 210 60\">\
     <desc>A cart of {m}.</desc><text x=\"9\" y=\"30\" font-size=\"12\">cart {m}</text></svg>";

fn with_figure(roster: &str) -> (Course, PathBuf) {
    let with = PROBLEM.replace("[given]", "figure = \"own.svg\"\n[given]");
    let course = Course::new(&with, roster);
    let figure = course.folder.path().join("assignments/own.svg");
    fs::write(&figure, FIGURE).unwrap();
    (course, figure)
}

/// What was handed out is printed once more as it was, whatever became of the figure's file.
#[test]
fn a_paper_keeps_the_figure_that_it_was_handed_out_with() {
    let (course, figure) = with_figure("id,name\n1,Bo\n");
    let told = course.run("issue", &[]).stderr;
    assert!(!told.contains("figure"), "{told}");
    let before = fs::read(course.out("papers.pdf")).unwrap();
    let read = |name: &str| pages(&course.out(name));
    assert!(read("papers.pdf")[0].contains("cart"));
    fs::write(&figure, FIGURE.replace("cart {m}", "sledge {m}")).unwrap();
    fs::write(&course.roster, "id,name\n1,Bo\n2,Cy\n").unwrap();
    let told = course.run("issue", &[]).stderr;
    let code = course.issued("issued.csv")[0]["code"].clone();
    let said = format!("the figure is another one than on {code}, as issued");
    assert!(told.contains(&said), "{told}");
    let [first, second] = &read("papers.pdf")[..] else {
        panic!("two pages")
    };
    assert!(
        first.contains("cart") && !first.contains("sledge"),
        "{first}"
    );
    assert!(second.contains("sledge"), "{second}");
    // So it is where the file is gone, or does more than draw.
    for lost in [
        None,
        Some("<svg"),
        Some("<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>"),
    ] {
        match lost {
            None => fs::remove_file(&figure).unwrap(),
            Some(text) => fs::write(&figure, text).unwrap(),
        }
        let told = course.run("issue", &["--reprint", &code]).stderr;
        assert!(told.contains(&said), "{told}");
        assert_eq!(fs::read(course.out("reprint.pdf")).unwrap(), before);
    }
    // One text is kept once.
    let record = rusqlite::Connection::open(course.folder.path().join("paperweight.sqlite"));
    let count = |sql: &str| -> i64 {
        let record = record.as_ref().unwrap();
        record.query_row(sql, [], |row| row.get(0)).unwrap()
    };
    assert_eq!(count("SELECT count(*) FROM figures"), 2);
    assert_eq!(count("SELECT count(*) FROM issues"), 2);
}

/// Records of before say nothing of figures: today's is printed, and this is said.
#[test]
fn a_paper_of_an_old_record_has_todays_figure() {
    let (course, figure) = with_figure("id,name\n1,Bo\n");
    course.run("issue", &[]);
    let code = course.issued("issued.csv")[0]["code"].clone();
    let record = course.folder.path().join("paperweight.sqlite");
    let record = rusqlite::Connection::open(record).unwrap();
    let guard: String = record
        .query_row(
            "SELECT sql FROM sqlite_schema WHERE name = 'issues_stand'",
            [],
            |row| row.get(0),
        )
        .unwrap();
    record
        .execute_batch("DROP TRIGGER issues_stand; UPDATE issues SET figures = NULL")
        .unwrap();
    record.execute_batch(&guard).unwrap();
    drop(record);
    fs::write(&figure, FIGURE.replace("cart {m}", "sledge {m}")).unwrap();
    let told = course.run("issue", &[]).stderr;
    let said = format!("the record lacks the figure of {code}, as issued");
    assert!(told.contains(&said), "{told}");
    assert!(pages(&course.out("papers.pdf"))[0].contains("sledge"));
    // A place for a number that was not issued stays empty no more than before.
    let now = fs::read_to_string(&course.assignment).unwrap();
    fs::write(&course.assignment, renamed(&now)).unwrap();
    fs::write(&figure, FIGURE.replace("{m}", "{mass}")).unwrap();
    let told = course.run("issue", &[]).stderr;
    let expected = format!("a figure is left out that does not fit the numbers of {code}");
    assert!(told.contains(&expected), "{told}");
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
            .contains("18 slips, 18 papers noted as given back"),
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
        again.stderr.contains("18 slips, 0 papers noted"),
        "{}",
        again.stderr
    );
}
