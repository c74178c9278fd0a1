//! The teacher's word on a mark, the rule behind it, and what moves with a rule.

use std::fs;

use paperweight::record::{Deed, Message, NewAct, OpenMode, Record};

use super::{ANSWERS, Course, ROPES, cell, row};

#[test]
fn the_teachers_word_stands_and_adds_up() {
    let course = Course::new();
    course.issue();
    course.mark(ANSWERS);
    let before = course.export();
    // 004772: one point for (c), see the README's picture of this class.
    assert_eq!(cell(&before, "004772", "c"), "1");
    let adjust = [
        "adjust",
        ROPES[0],
        "--student",
        "004772",
        "--part",
        "c",
        "--points",
    ];
    let with =
        |points: &'static str| [&adjust[..], &[points, "--note", "shown on the back"]].concat();
    let found = course.ends(0, &with("2,5"));
    assert!(
        found.stdout.starts_with("004772: total 10 -> 11.5"),
        "{}",
        found.stdout
    );
    let refused = course.ends(2, &with("2 of 3"));
    assert!(
        refused
            .stderr
            .contains("expected points such as 20 or 12.5"),
        "{}",
        refused.stderr
    );
    let after = course.export();
    assert_eq!(cell(&after, "004772", "c"), "1", "the proposal stays");
    assert_eq!(cell(&after, "004772", "adjusted"), "1.5");
    assert_eq!(cell(&after, "004772", "total"), "11.5");
    // The student is told whose points they are; the teacher is reminded of why, and the student is not.
    let told = row(&after, "004772");
    assert!(told.contains("Points set by your teacher: (c)."), "{told}");
    assert!(!told.contains("shown on the back"), "{told}");
    let explain = [&["explain"], &ROPES[..], &["--student", "004772"]].concat();
    let explained = course.ends(0, &explain).stdout;
    assert!(
        explained.contains("(c) 2.5, proposed 1: shown on the back")
            && explained.contains("total 11.5 of 13"),
        "{explained}"
    );
    // A right answer with fewer points is not called right.
    let lower = [
        "adjust",
        ROPES[0],
        "--student",
        "004071",
        "--part",
        "b",
        "--points",
        "3",
    ];
    let lowered = course.ends(0, &[&lower[..], &["--note", "no steps", "--json"]].concat());
    assert!(
        lowered.stdout.contains(r#""before":"13","after":"12""#),
        "{}",
        lowered.stdout
    );
    let told = course.export();
    let told = row(&told, "004071");
    assert!(
        told.ends_with(",12,13,Right: (a) and (c) to (e). Points set by your teacher: (b)."),
        "{told}"
    );
    for (points, words) in [("4", "from 0 to 3"), ("-1", "--points")] {
        let found = course.ends(2, &with(points));
        assert!(found.stderr.contains(words), "{}", found.stderr);
    }
    let settled = [
        "adjust",
        ROPES[0],
        "--student",
        "004560",
        "--part",
        "b",
        "--points",
        "2",
        "--note",
        "legible after all",
    ];
    assert_eq!(cell(&after, "004560", "status"), "needs a look");
    course.ends(0, &settled);
    assert_eq!(cell(&course.export(), "004560", "status"), "marked");
    let back = [
        "adjust",
        ROPES[0],
        "--student",
        "004772",
        "--part",
        "c",
        "--as-proposed",
        "--note",
        "no",
    ];
    course.ends(0, &back);
    assert_eq!(row(&course.export(), "004772"), row(&before, "004772"));
    // A unit left out at (b) costs once; let go there, it does not come back at (c).
    let unit = [
        "adjust",
        ROPES[0],
        "--student",
        "004402",
        "--part",
        "b",
        "--waive",
        "unit",
        "--note",
        "once",
    ];
    course.ends(0, &unit);
    let after = course.export();
    assert_eq!(
        (
            cell(&before, "004402", "total"),
            cell(&after, "004402", "total")
        ),
        ("12", "13")
    );
}

/// What was found right on one paper is looked for on the others, and offered as lines that the file
/// takes as they are.
#[test]
fn a_student_is_told_the_teachers_words_or_nothing() {
    let course = Course::new();
    course.issue();
    course.mark(ANSWERS);
    let tell = |student: &str, message: Option<Message>| {
        let mut record = Record::open(&course.record(), OpenMode::Write).unwrap();
        let issues = record.issues("ropes-1").unwrap();
        let issue = issues.iter().find(|issue| issue.student == student);
        let deed = Deed::Tell { message };
        let act = NewAct::new(chrono::DateTime::UNIX_EPOCH, issue.unwrap().id, deed);
        record.append(&[act]).unwrap();
    };
    let before = course.export();
    let own = "Come and show me your drawing";
    tell("004772", Some(Message::Words(own.to_owned())));
    tell("004071", Some(Message::Withheld));
    let after = course.export();
    assert!(
        row(&after, "004772").ends_with(&format!(",{own}")),
        "{after}"
    );
    assert!(row(&after, "004071").ends_with(",13,"), "{after}");
    let json = course.ends(0, &["export", ROPES[0], "--json"]).stdout;
    for student in ["004772", "004071"] {
        let line = json.lines().find(|line| line.contains(student)).unwrap();
        let line: serde_json::Value = serde_json::from_str(line).unwrap();
        let mut parts = line["parts"].as_array().unwrap().iter();
        assert!(parts.all(|part| part["feedback"] == ""), "{line}");
    }
    let slips = course.ends(0, &["feedback", ROPES[0], "--json"]).stdout;
    assert!(slips.contains(own), "{slips}");
    tell("004772", None);
    tell("004071", None);
    assert_eq!(course.export(), before);
}

#[test]
fn an_adjustment_leads_to_the_rule_behind_it() {
    let course = Course::new();
    course.issue();
    course.mark(ANSWERS);
    let adjust = |because: &str| {
        let rest = ["--points", "3", "--note", "so", "--because", because];
        course.run(
            &[
                &["adjust", ROPES[0], "--student", "004772", "--part", "c"],
                &rest[..],
            ]
            .concat(),
        )
    };
    let refused = adjust("mB*(g + a");
    assert_eq!(refused.code, 2);
    assert!(
        refused.stderr.contains("expected `)`"),
        "{}",
        refused.stderr
    );
    assert_eq!(
        cell(&course.export(), "004772", "adjusted"),
        "0",
        "nothing was changed"
    );
    let found = adjust("mB*(g + a)");
    assert_eq!(found.code, 0, "{}", found.stderr);
    // 004260 has it, too, with the acceleration counted the other way: 4.75 kg (9.8 - 0.840) m/s² is 42.6 N.
    assert!(
        found
            .stdout
            .contains("the expression fits: 004260 004772\n"),
        "{}",
        found.stdout
    );
    let (told, lines) = found.stdout.split_once("\n\n").unwrap();
    let (_, line) = told.split_once("before line ").unwrap();
    let line: usize = line.split(' ').next().unwrap().parse().unwrap();
    let text = fs::read_to_string(course.path(ROPES[0])).unwrap();
    let mut file: Vec<&str> = text.lines().collect();
    file.splice(line - 1..line - 1, lines.lines().chain([""]));
    course.write(ROPES[0], &(file.join("\n") + "\n"));
    let back = [
        "adjust",
        ROPES[0],
        "--student",
        "004772",
        "--part",
        "c",
        "--as-proposed",
        "--note",
        "a rule",
    ];
    course.ends(0, &back);
    course.ends(0, &["remark", ROPES[0], "--apply"]);
    let after = course.export();
    assert_eq!(
        (
            cell(&after, "004772", "c"),
            cell(&after, "004772", "adjusted")
        ),
        ("2", "0")
    );
}

#[test]
fn what_moves_is_shown_before_it_moves() {
    let course = Course::new();
    course.issue();
    course.mark(ANSWERS);
    let remark = |more: &[&str]| course.run(&[&["remark", ROPES[0]], more].concat());
    let before = course.export();
    let nothing = remark(&[]);
    assert_eq!(nothing.code, 0, "{}", nothing.stderr);
    assert!(
        nothing.stdout.contains("no mark moves"),
        "{}",
        nothing.stdout
    );
    // A careful teacher has given one paper back, and set a mark by hand on another.
    course.ends(
        0,
        &["attend", ROPES[0], "--student", "004402", "--returned"],
    );
    course.ends(
        0,
        &[
            "adjust",
            ROPES[0],
            "--student",
            "004772",
            "--part",
            "c",
            "--points",
            "2",
            "--note",
            "x",
        ],
    );
    let adjusted = course.export();
    // Units cost twice as much from now on.
    course.edit("charge    = \"once\"", "charge = \"once\"\nunit_cost = 2");
    let found = remark(&[]);
    assert_eq!(found.code, 1, "{}{}", found.stdout, found.stderr);
    assert!(found.stdout.contains("falling\n"), "{}", found.stdout);
    assert!(
        found.stdout.contains("004402") && found.stdout.contains("given back"),
        "{}",
        found.stdout
    );
    assert!(found.stderr.contains("was then"), "{}", found.stderr);
    assert!(
        found.stderr.contains("assignments/ropes-1.toml:"),
        "{}",
        found.stderr
    );
    // Until that is settled, marks are not written out.
    let refused = course.ends(2, &["export", ROPES[0]]);
    assert!(
        refused.stderr.contains("remark --apply"),
        "{}",
        refused.stderr
    );
    let json = remark(&["--json"]).stdout;
    let moves: Vec<serde_json::Value> = json
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    assert!(
        moves.iter().all(|at| at["why"] == "the file has changed"),
        "{json}"
    );
    let applied = remark(&["--apply"]);
    assert_eq!(applied.code, 0, "{}", applied.stderr);
    let after = course.export();
    assert_eq!(
        cell(&after, "004402", "total"),
        cell(&adjusted, "004402", "total"),
        "given back: it does not fall"
    );
    assert_eq!(
        cell(&after, "004772", "adjusted"),
        cell(&adjusted, "004772", "adjusted"),
        "set by hand: it stands"
    );
    let fell = moves.iter().filter(|at| at["student"] != "004402");
    let mut count = 0;
    for at in fell {
        let student = at["student"].as_str().unwrap();
        assert_ne!(cell(&after, student, "total"), "", "{student}");
        if cell(&before, student, "status") == "marked" {
            let total = |csv: &str| cell(csv, student, "total").parse::<f64>().unwrap();
            assert!(total(&after) <= total(&before), "{student}");
            count += 1;
        }
    }
    assert!(count > 0 || moves.len() == 1, "{json}");
    assert!(remark(&[]).stdout.contains("no mark moves"));
}

/// The means of the parts are of the points that count: the proposals, and what the teacher added to them.
#[test]
fn means_of_parts_are_of_the_points_that_count() {
    let course = Course::new();
    course.issue();
    let mark = [&["mark"], &ROPES[..], &["--answers", ANSWERS]].concat();
    let one_off = [&mark[..], &["--record", ":memory:"]].concat();
    let means = |told: &str| -> Vec<String> {
        let lines = told
            .lines()
            .filter_map(|line| line.split_whitespace().last());
        let means = lines.filter(|mean| mean.contains('/'));
        means.map(str::to_owned).collect()
    };
    let found = means(&course.ends(0, &mark).stderr);
    assert_eq!(found, ["0.9/1", "3.1/4", "2.1/3", "1.6/2", "2.2/3"]);
    assert_eq!(found, means(&course.ends(0, &one_off).stderr));
    // Two points more for one of 21 papers.
    let word = [
        "--student",
        "004772",
        "--part",
        "c",
        "--points",
        "3",
        "--note",
        "seen",
    ];
    course.ends(0, &[&["adjust", ROPES[0]], &word[..]].concat());
    assert_eq!(means(&course.ends(0, &mark).stderr)[2], "2.2/3");
}

/// Where marks cannot be put nothing goes into the record: nobody became absent of it.
#[test]
fn marks_that_cannot_be_put_there_leave_the_record_alone() {
    let course = Course::new();
    course.issue();
    fs::write(course.path("one.csv"), "student,a\n004071,up\n").unwrap();
    fs::write(course.path("mine.csv"), "my own\n").unwrap();
    for out in ["mine.csv", "rosters"] {
        let mark = [
            &["mark"],
            &ROPES[..],
            &["--answers", "one.csv", "--out", out],
        ]
        .concat();
        let found = course.ends(2, &mark);
        assert!(found.stderr.contains(out), "{}", found.stderr);
        let record = rusqlite::Connection::open(course.record()).unwrap();
        let acts: i64 = record
            .query_row("SELECT count(*) FROM acts", [], |row| row.get(0))
            .unwrap();
        assert_eq!(acts, 0, "{out}");
    }
}
