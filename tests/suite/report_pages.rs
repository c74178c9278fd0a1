//! Class reports as PDF: what the statistics say, for the teacher with names, for the class without.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::PathBuf;

use serde_json::Value;

use crate::hands::program::{Run, program, repository, run};
use crate::paper::{Course, pages, squeezed};

/// A class of shipped students with their papers.
fn issued(roster: &str) -> Course {
    let course = Course::of("ropes-1", roster);
    course.run("issue", &[]);
    course
}

fn of_set_3() -> Course {
    issued(&fs::read_to_string(repository().join("rosters/set-3.csv")).unwrap())
}

fn command(course: &Course, name: &str, more: &[&str]) -> Run {
    let mut program = program();
    program.arg(name).arg(&course.assignment);
    program.arg("--roster").arg(&course.roster);
    run(program.args(more))
}

#[track_caller]
fn ends(course: &Course, name: &str, more: &[&str]) -> Run {
    let found = command(course, name, more);
    assert_eq!(found.code, 0, "{name}: {}", found.stderr);
    found
}

fn mark(course: &Course, answers: &str) {
    let (file, marks) = (course.out("answers.csv"), course.out("marks.csv"));
    fs::write(&file, answers).unwrap();
    let paths = [file, marks].map(|path| path.to_str().unwrap().to_owned());
    ends(
        course,
        "mark",
        &["--answers", &paths[0], "--out", &paths[1]],
    );
}

fn report(course: &Course, option: &str) -> (PathBuf, String) {
    let path = course.out(&format!("{}.pdf", &option[2..]));
    ends(course, "report", &[option, path.to_str().unwrap()]);
    let text = pages(&path).concat();
    (path, text)
}

/// Every figure of the report as data stands in the report as PDF, every sentence of the page on a terminal, and
/// every student's points as in the table of marks.
#[test]
fn the_report_says_what_the_statistics_say() {
    let course = of_set_3();
    let answers = repository().join("tests/data/ropes-1-set-3.csv");
    mark(&course, &fs::read_to_string(answers).unwrap());
    let (path, text) = report(&course, "--out");
    let first = fs::read(&path).unwrap();
    report(&course, "--out");
    assert!(first == fs::read(&path).unwrap(), "the same bytes");
    let json = ends(&course, "report", &["--json"]).stdout;
    let json: Value = serde_json::from_str(&json).unwrap();
    let has = |words: &str| assert!(text.contains(&squeezed(words)), "{words}\n{text}");
    let percent = |value: &Value| format!("{:.0}", value.as_f64().unwrap() * 100.0);
    let count = |value: &Value| match value.as_u64().unwrap() {
        0 => "·".to_owned(),
        count => count.to_string(),
    };
    for part in json["parts"].as_array().unwrap() {
        let id = part["id"].as_str().unwrap();
        let rest = format!("{:.2}", part["item_rest"].as_f64().unwrap()).replace('-', "−");
        let [share, low, high] =
            ["facility", "facility_low", "facility_high"].map(|key| percent(&part[key]));
        let out_of = part["out_of"].as_str().unwrap();
        has(&format!("({id}) {out_of} {share} % {low} to {high} {rest}"));
        if part["by_eye"] != 0 {
            has(&format!("({id}) judged by eye"));
            continue;
        }
        let counts = [
            "right",
            "followed",
            "slip",
            "wrong",
            "blank",
            "unit",
            "figures",
            "first_wrong",
        ];
        let counts: String = counts.iter().map(|key| count(&part[*key])).collect();
        has(&format!("({id}){counts}"));
    }
    // The histogram: its counts, then what they are of.
    let totals = json["totals"].as_array().unwrap().iter();
    let totals: Vec<f64> = totals
        .map(|total| total.as_str().unwrap().parse().unwrap())
        .collect();
    let edges = [0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0, 13.5];
    let counts: String = edges
        .windows(2)
        .map(|edge| {
            totals
                .iter()
                .filter(|total| (edge[0]..edge[1]).contains(*total))
                .count()
                .to_string()
        })
        .collect();
    has(&format!(
        "{counts}0 to <2 2 to <4 4 to <6 6 to <8 8 to <10 10 to <12 12 to 13"
    ));
    // What the page on a terminal says in sentences.
    let page = ends(&course, "report", &[]).stdout;
    let page = squeezed(&page);
    for words in [
        "18 papers fully marked; left out: 3 to look at, 2 absent, 1 excused",
        "no part wrong in value on 11 of 18 papers",
        "standard error 1.5 points; parts of one problem lean on one another, so that this is too high",
        "1 paper, (c): Compare the two forces on the sandbag. Which is larger, given the way it moves?",
        "Fewer than 50 papers: how a part goes with the rest is uncertain by about ±0.3",
    ] {
        assert!(page.contains(&squeezed(words)), "{words}\n{page}");
        has(words);
    }
    // The map.
    let mut marks = csv::Reader::from_path(course.out("marks.csv")).unwrap();
    let rows: Vec<BTreeMap<String, String>> = marks.deserialize().map(Result::unwrap).collect();
    let plain = |c: char| c < '\u{250}';
    for row in rows
        .iter()
        .filter(|row| row["status"] == "marked" && row["name"].chars().all(plain))
    {
        let cells: String = ["a", "b", "c", "d", "e"]
            .map(|id| row[id].as_str())
            .concat();
        let same = |other: &&BTreeMap<String, String>| {
            other["name"] == row["name"] && other["section"] == row["section"]
        };
        let others = rows.iter().filter(same).count();
        let id = if others > 1 {
            format!("({})", row["student"])
        } else {
            String::new()
        };
        let name = squeezed(&row["name"]);
        // A long name is parted where its line ends.
        let name = name.replace("Albuquerque", "Albu-querque");
        let expected = format!("{name}{id}{cells}{}", row["total"]);
        assert!(text.contains(&expected), "{expected}\n{text}");
    }
}

/// Answers of the class where some make the same mistakes: by the student's number on the roster a foreseen slip,
/// a mistake that nobody foresaw, and one that only two make.
fn with_mistakes(course: &Course) -> String {
    let mut answers = "student,a,b,b.working,c,c.working,d,e\n".to_owned();
    for (at, row) in course.issued("issued.csv").iter().enumerate() {
        let value = |name: &str| -> f64 { row[name].split(' ').next().unwrap().parse().unwrap() };
        let (bag, moon, star, g) = (value("mB"), value("mM"), value("mS"), 9.8);
        let a = (bag - moon - star) * g / (bag + moon + star);
        let (mut upper, mut lower) = (bag * (g - a), star * (g + a));
        match at {
            0..6 => upper = bag * (g + a),
            6..12 => upper = bag * g - moon * a,
            12..14 => lower = star * g,
            _ => {}
        }
        let way = if a > 0.0 { "down" } else { "up" };
        let student = &row["student"];
        let _ = writeln!(
            answers,
            "{student},{way},{:.4} m/s^2,2,{upper:.3} N,1,{lower:.3} N,3",
            a.abs()
        );
    }
    answers
}

/// The page for the class: what three or more did, in the board's equation, and nobody.
#[test]
fn the_page_for_the_class_names_no_student() {
    let course = of_set_3();
    let answers = with_mistakes(&course);
    mark(&course, &answers);
    let (path, text) = report(&course, "--for-class");
    let first = fs::read(&path).unwrap();
    report(&course, "--for-class");
    assert!(first == fs::read(&path).unwrap(), "the same bytes");
    for words in [
        "6 papers, (c)",
        "Compare the two forces on the sandbag. Which is larger, given the way it moves?",
        "To check:",
        "A box is around what was written otherwise.",
    ] {
        assert!(text.contains(&squeezed(words)), "{words}\n{text}");
    }
    assert!(
        text.matches("bag").count() >= 2,
        "two equations of the sandbag: {text}"
    );
    assert!(text.contains("intheplaceof"), "{text}");
    let few = squeezed("This equals the weight of the star");
    assert!(!text.contains(&few), "only two did this: {text}");
    let (_, teachers) = report(&course, "--out");
    assert!(teachers.contains(&few), "{teachers}");
    let roster = fs::read_to_string(&course.roster).unwrap();
    let mut reader = csv::Reader::from_reader(roster.as_bytes());
    for row in reader.records().map(Result::unwrap) {
        for token in row[1]
            .split([' ', ','])
            .filter(|token| token.chars().count() > 2)
        {
            assert!(!text.contains(token), "{token}\n{text}");
        }
        assert!(!text.contains(&row[0]), "{text}");
    }
    for row in course.issued("issued.csv") {
        assert!(!text.contains(&row["code"]), "{text}");
    }
}

#[test]
fn classes_of_none_one_and_many() {
    // Nobody was handed a paper: nothing is written.
    let course = Course::of("ropes-1", "id,name\n1,Bo\n");
    let path = course.out("printed.pdf");
    let refused = command(&course, "report", &["--out", path.to_str().unwrap()]);
    assert_eq!(refused.code, 2, "{}", refused.stderr);
    assert!(!path.exists());
    // Papers, and none is marked.
    course.run("issue", &[]);
    let (_, text) = report(&course, "--out");
    assert!(
        text.contains(&squeezed(
            "No paper is fully marked yet: there is nothing to report."
        )),
        "{text}"
    );
    assert!(text.contains("1notkeyedyet"), "{text}");
    let (_, text) = report(&course, "--for-class");
    assert!(
        text.contains(&squeezed("No mistake with a known cause is shared")),
        "{text}"
    );
    // One.
    mark(&course, &with_mistakes(&course));
    let (_, text) = report(&course, "--out");
    for words in [
        "1 paper fully marked",
        "In so small a class",
        "Fewer than 15 papers: counts alone.",
    ] {
        assert!(text.contains(&squeezed(words)), "{words}\n{text}");
    }
    assert!(!text.contains('%'), "no shares: {text}");
    // Three of three who share a mistake may be known to everyone: the teacher is told.
    let course = issued("id,name\n1,Bo\n2,Cy\n3,Di\n");
    mark(&course, &with_mistakes(&course));
    let path = course.out("class.pdf");
    let told = ends(&course, "report", &["--for-class", path.to_str().unwrap()]).stderr;
    assert!(told.contains("somebody may be recognised"), "{told}");
    assert!(pages(&path).concat().contains("3papers,(c)"));
    // Three hundred with long names, each on a page of the map once, under a heading.
    let name = |at: usize| {
        format!("Nr{at:03} Maximiliane-Wilhelmine von und zu Hohenaltenburg-Niederweiler")
    };
    let rows = (0..300).map(|at| format!("{at:03},{}\n", name(at)));
    let course = issued(&format!("id,name\n{}", rows.collect::<String>()));
    mark(&course, &with_mistakes(&course));
    let (path, text) = report(&course, "--out");
    for at in 0..300 {
        assert_eq!(text.matches(&format!("Nr{at:03}")).count(), 1, "{at}");
    }
    let pages = pages(&path);
    let of_map = pages.iter().filter(|page| page.contains("Nr"));
    for page in of_map.clone() {
        assert!(page.contains("(a)(b)(c)(d)(e)of13"), "{page}");
    }
    assert!(of_map.count() > 5);
    assert!(text.contains("300papersfullymarked") && text.contains("best−weakest"));
}

/// A PDF is about one assignment, and a file of someone else stays.
#[test]
fn what_cannot_be_printed_is_said() {
    let course = of_set_3();
    let other = course.assignment.with_file_name("incline-1.toml");
    let path = course.out("printed.pdf");
    let mut both = program();
    both.arg("report").arg(&course.assignment).arg(&other);
    let found = run(both.arg("--out").arg(&path));
    assert_eq!(found.code, 2, "{}", found.stderr);
    assert!(
        found
            .stderr
            .contains("a PDF is about one assignment, and 2 were named"),
        "{}",
        found.stderr
    );
    fs::write(&path, "%PDF-1.7\nnot ours").unwrap();
    for option in ["--out", "--for-class"] {
        let found = command(&course, "report", &[option, path.to_str().unwrap()]);
        assert_eq!(found.code, 2, "{}", found.stderr);
        assert!(
            found.stderr.contains("another file stands there"),
            "{}",
            found.stderr
        );
    }
    assert_eq!(fs::read(&path).unwrap(), b"%PDF-1.7\nnot ours");
}
