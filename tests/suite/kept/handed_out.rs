//! Papers are handed out, and once more.

use std::fs;

use paperweight::paper::Fonts;
use paperweight::record::{OpenMode, Record};
use paperweight::roster::RosterColumns;
use paperweight::text::DecimalMark;
use paperweight::workflow::{self, FeedbackRequest, Layout, PrintRequest};

use super::{ANSWERS, Course, ROPES, cell, row};

#[test]
fn the_decimal_mark_of_a_class_is_remembered_until_another_is_said() {
    let course = Course::new();
    let comma = |course: &Course| {
        let record = Record::open(&course.record(), OpenMode::Write).unwrap();
        record.roster_of("set-3").unwrap().unwrap().comma
    };
    let issue = [&["issue"], &ROPES[..]].concat();
    course.ends(0, &[&issue[..], &["--decimal", "comma"]].concat());
    assert!(comma(&course));
    course.ends(0, &issue);
    course.write("one.csv", "student,b\n004071,\"0,899 m/s^2\"\n");
    course.mark("one.csv");
    assert!(comma(&course));
    let explain = [&["explain"], &ROPES[..], &["--student", "004071"]].concat();
    let told = course.ends(0, &explain).stdout;
    assert!(told.contains("(b) right"), "{told}");
    course.ends(0, &[&issue[..], &["--decimal", "point"]].concat());
    assert!(!comma(&course));
}

#[test]
fn what_was_issued_stays_whatever_becomes_of_roster_and_file() {
    let course = Course::new();
    let first = course.issue();
    assert_eq!(course.issue(), first, "again");
    // Somebody joins, in front of all others.
    let roster = fs::read_to_string(course.path(ROPES[2])).unwrap();
    let (heading, rows) = roster.split_once('\n').unwrap();
    course.write(
        ROPES[2],
        &format!("{heading}\n000001,Late Joiner,B\n{rows}"),
    );
    let second = course.issue();
    assert_eq!(second.lines().count(), first.lines().count() + 1);
    for line in first.lines() {
        assert!(second.contains(line), "{line}");
    }
    let numbers = |line: &str| line.splitn(6, ',').nth(5).unwrap().to_owned();
    let new = numbers(row(&second, "000001"));
    assert!(
        first.lines().all(|line| !line.ends_with(&new)),
        "nobody has the numbers {new}"
    );
    // The file gives other numbers now: those who have a paper keep theirs, and this is said.
    course.edit("seed", "seed = 5 # was");
    let found = course.ends(0, &[&["issue"], &ROPES[..]].concat());
    assert_eq!(found.stdout, second);
    assert!(
        found.stderr.contains("the file has changed"),
        "{}",
        found.stderr
    );
    assert!(found.stderr.contains("seed = 5 # was"), "{}", found.stderr);
}

#[test]
fn another_paper_is_unlike_those_before_and_its_code_opens_it() {
    let course = Course::new();
    let first = course.issue();
    let absent = ["reissue", ROPES[0], ROPES[1], ROPES[2], "--absent"];
    // Papers that lie in the stack still are nobody's absence.
    let refused = course.ends(2, &absent);
    for words in ["nobody is noted as absent", "004071"] {
        assert!(refused.stderr.contains(words), "{}", refused.stderr);
    }
    let attend = ["attend", ROPES[0], "--student", "004071", "--absent"];
    course.ends(0, &attend);
    let one = course.ends(0, &[&absent[..], &["--out", "."]].concat());
    assert!(
        one.stderr.contains("1 paper issued now") && one.stderr.contains("noted as absent, of"),
        "{}",
        one.stderr
    );
    // The table that stays has all that is about, both papers of that student too.
    let table = fs::read_to_string(course.path("issued.csv")).unwrap();
    let of = |student: &str| {
        table
            .lines()
            .filter(|line| line.starts_with(student))
            .count()
    };
    assert_eq!((table.lines().count(), of("004071")), (26, 2));
    let course = Course::new();
    let first_again = course.issue();
    assert_eq!(first, first_again);
    course.mark(ANSWERS);
    let before = course.export();
    // 004725 and 004788 were absent, 004733 excused: tests/data/ropes-1-set-3.csv says so.
    let again = course.ends(0, &absent).stdout;
    let whom: Vec<&str> = again
        .lines()
        .skip(1)
        .map(|line| line.split(',').next().unwrap())
        .collect();
    let was_absent = |id: &&str| cell(&before, id, "status") == "absent";
    let expected: Vec<&str> = first
        .lines()
        .skip(1)
        .map(|line| line.split(',').next().unwrap())
        .filter(was_absent)
        .collect();
    assert_eq!(whom, expected);
    let student = whom[0];
    assert_eq!(cell(&again, student, "issue"), "2");
    assert_ne!(
        row(&again, student).split_once(",2,").unwrap().1[8..],
        row(&first, student).split_once(",1,").unwrap().1[8..]
    );
    // In the answers the code stands for the student, in either case.
    let code = cell(&again, student, "code").to_lowercase();
    course.write("more.csv", &format!("student,a,e\n{code},up,3\n"));
    course.mark("more.csv");
    let after = course.export();
    assert_eq!(cell(&after, student, "e"), "3");
    assert_ne!(cell(&after, student, "status"), "absent");
    let others = |csv: &str| {
        csv.lines()
            .filter(|line| !line.starts_with(student))
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    assert_eq!(others(&after), others(&before));
    // What is explained is that paper, with its own numbers and what was keyed of it.
    let explain = [&["explain"], &ROPES[..], &["--student", student]].concat();
    let explained = course.ends(0, &explain).stdout;
    let numbers: Vec<&str> = row(&again, student).split(',').skip(5).collect();
    for number in &numbers {
        assert!(explained.contains(number), "{number}: {explained}");
    }
    assert!(explained.contains("3 of 3"), "{explained}");
    let one_off = course
        .ends(0, &[&explain[..], &["--record", ":memory:"]].concat())
        .stdout;
    assert!(
        numbers.iter().any(|number| !one_off.contains(number)),
        "{one_off}"
    );
    // A wrong character in it belongs to nobody.
    let wrong = format!(
        "{}{}",
        &code[..6],
        if code.ends_with('7') { '8' } else { '7' }
    );
    course.write("more.csv", &format!("student,a\n{wrong},up\n004071,down\n"));
    let found = course.ends(
        1,
        &[&["mark"], &ROPES[..], &["--answers", "more.csv"]].concat(),
    );
    assert!(found.stderr.contains(&wrong), "{}", found.stderr);
}

#[test]
fn a_class_that_was_never_issued_is_told_what_to_do() {
    let course = Course::new();
    let mark = [&["mark"], &ROPES[..], &["--answers", ANSWERS]].concat();
    let found = course.ends(2, &mark);
    assert!(
        found.stderr.contains("`issue`") && found.stderr.contains(":memory:"),
        "{}",
        found.stderr
    );
    assert!(!course.record().exists(), "nothing is made on the way");
    course.ends(
        0,
        &[
            "issue",
            "assignments/incline-1.toml",
            "--roster",
            "rosters/set-3.csv",
        ],
    );
    let found = course.ends(2, &mark);
    assert!(
        found.stderr.contains("no paper of `ropes-1`"),
        "{}",
        found.stderr
    );
    course.issue();
    // A one-off beside issued papers says so.
    let found = course.ends(0, &[&mark[..], &["--record", ":memory:"]].concat());
    assert!(
        found.stderr.contains("24 issued papers"),
        "{}",
        found.stderr
    );
    // A student who joined has answers, and no paper.
    let roster = fs::read_to_string(course.path(ROPES[2])).unwrap();
    course.write(ROPES[2], &format!("{}\n000001,Late,B\n", roster.trim_end()));
    course.write("late.csv", "student,a\n000001,up\n004071,down\n");
    let found = course.ends(
        2,
        &[&["mark"], &ROPES[..], &["--answers", "late.csv"]].concat(),
    );
    assert!(
        found.stderr.contains("000001") && found.stderr.contains("`issue`"),
        "{}",
        found.stderr
    );
    let acts = Record::open(&course.record(), OpenMode::Read)
        .unwrap()
        .acts("ropes-1")
        .unwrap();
    assert!(acts.is_empty(), "nothing of the file was kept");
    // Another roster with the same ids: the same people, or others?
    fs::copy(course.path(ROPES[2]), course.path("rosters/renamed.csv")).unwrap();
    let found = course.ends(2, &["issue", ROPES[0], "--roster", "rosters/renamed.csv"]);
    assert!(
        found.stderr.contains("--class set-3") && found.stderr.contains("--class renamed"),
        "{}",
        found.stderr
    );
    course.ends(
        0,
        &[
            "issue",
            ROPES[0],
            "--roster",
            "rosters/renamed.csv",
            "--class",
            "set-3",
        ],
    );
}

/// A roster under another name, of which some have papers already: who, in whole ids.
#[test]
fn ids_that_have_papers_in_another_class_are_told() {
    let course = Course::new();
    course.issue();
    let roster = fs::read_to_string(course.path(ROPES[2])).unwrap();
    for (students, said) in [
        (
            1,
            "1 of these ids has a paper already in the class `set-3`: 004071\n",
        ),
        (
            2,
            "2 of these ids have papers already in the class `set-3`: 004071, 004118\n",
        ),
        (24, ", 003909 and 17 more\n"),
    ] {
        let few: Vec<&str> = roster.lines().take(1 + students).collect();
        course.write("few.csv", &few.join("\n"));
        let found = course.ends(2, &["issue", ROPES[0], "--roster", "few.csv"]);
        assert!(found.stderr.contains(said), "{}", found.stderr);
    }
}

/// What is mistaken at the command line about papers that were issued: all that is told of it.
#[test]
fn mistakes_about_issued_papers_are_told() {
    let course = Course::new();
    course.issue();
    course.mark(ANSWERS);
    // A copy of an assignment whose code was forgotten.
    let ropes = fs::read_to_string(course.path(ROPES[0])).unwrap();
    let copied = "assignments/ropes-2.toml";
    let title = "Moon and star above the hall";
    course.write(
        copied,
        &ropes.replace("Moon and star above the stage", title),
    );
    let on = |command: &'static str| [command, ROPES[0]].to_vec();
    let adjust = |more: &[&'static str]| {
        let who = ["--student", "004071", "--note", "why"];
        [&on("adjust")[..], &who, more].concat()
    };
    let cases = [
        (0, vec!["check", "assignments/incline-1.toml"]),
        (2, vec!["check", copied]),
        (2, vec!["check", ROPES[0]]),
        (2, vec!["issue", copied, "--roster", ROPES[2]]),
    ];
    let mut all = String::new();
    let mut tell = |code: i32, arguments: &[&str]| {
        let found = course.ends(code, arguments);
        if code != 0 {
            let said = found.stderr;
            all += &format!("$ paperweight {}\n{said}\n", arguments.join(" "));
        }
    };
    for (code, arguments) in cases {
        tell(code, &arguments);
    }
    fs::remove_file(course.path(copied)).unwrap();
    let cases = [
        adjust(&["--part", "b", "--points", "2", "--because", "mB*zz"]),
        adjust(&["--part", "b", "--points", "2", "--because", "mB*"]),
        adjust(&["--part", "b", "--points=-1"]),
        adjust(&["--part", "b", "--waive", "unit"]),
        adjust(&["--charge", "late"]),
        adjust(&["--charge", "unit"]),
        adjust(&["--part", "b", "--waive", "late"]),
        [&on("export")[..], &["--class", "set3"]].concat(),
        [&on("report")[..], &["--class", "11-b"]].concat(),
        [
            &on("attend")[..],
            &["--class", "set3", "--student", "004071", "--absent"],
        ]
        .concat(),
        [
            &on("mark")[..],
            &["--roster", "gradebook-set-3.csv", "--answers", ANSWERS],
        ]
        .concat(),
        [
            &on("reissue")[..],
            &["--roster", ROPES[2], "--student", "999"],
        ]
        .concat(),
        [&on("reissue")[..], &["--roster", ROPES[2]]].concat(),
        [
            &on("reissue")[..],
            &["--roster", ROPES[2], "--board", "--set", "21"],
        ]
        .concat(),
        on("worked"),
        [
            &on("explain")[..],
            &["--roster", ROPES[2], "--student", "4071"],
        ]
        .concat(),
        [&on("export")[..], &["--into", "book.xlsx"]].concat(),
        [
            &on("export")[..],
            &["--into", "book.csv", "--out-of", "many"],
        ]
        .concat(),
        [
            &on("export")[..],
            &["--into", "book.csv", "--heading-row", "0"],
        ]
        .concat(),
        vec!["new", "--from", "lift-1", "--seed", "x"],
        vec!["backup", "rosters"],
        vec!["purge", "--class", "set-4"],
        vec!["roster", "take", "rosters"],
        vec!["roster", "show", ROPES[2], "--delimiter", "semicolon"],
    ];
    course.write("book.xlsx", "PK\u{3}\u{4}\0\0");
    for arguments in cases {
        tell(2, &arguments);
    }
    let bytes = fs::read(course.record()).unwrap();
    let mut damaged = bytes.clone();
    damaged[4096..8192].fill(0xA5);
    fs::write(course.record(), &damaged).unwrap();
    tell(3, &["record", "check"]);
    let folder = course.folder.path().to_string_lossy().into_owned();
    let all = all.replace(&folder, "COURSE");
    super::rosters::snapshot("mistakes_about_issued_papers", &all);
}

/// What is told before anything is printed, so without PDFs, too.
#[test]
fn what_printing_would_do_is_told() {
    let course = Course::new();
    course.issue();
    course.mark(ANSWERS);
    let prepared = workflow::prepare(workflow::load(&course.path(ROPES[0])).unwrap()).unwrap();
    let roster = workflow::roster(&course.path(ROPES[2]), &RosterColumns::default());
    let (roster, _) = roster.unwrap();
    let record = Record::open(&course.record(), OpenMode::Read).unwrap();
    let fonts = Fonts::with(Vec::new()).unwrap();
    let day = |text: &str| text.parse::<chrono::NaiveDate>().unwrap();
    for (today, notes) in [("2026-12-02", 0), ("2026-12-03", 1)] {
        let request = FeedbackRequest {
            print: PrintRequest {
                prepared: &prepared,
                roster: &roster,
                class: "set-3",
                decimal: DecimalMark::Point,
                papers: &[],
                layout: Layout::default(),
                fonts: &fonts,
                figures: &[],
            },
            resubmit: Some(day("2026-12-02")),
            today: day(today),
            partial: false,
            points: true,
        };
        let slips = workflow::slips(&request, &record).unwrap();
        let found = slips.findings.list.iter();
        let past = "2026-12-02 is past, so the answers stand on the slips";
        assert_eq!(found.filter(|found| found.message == past).count(), notes);
    }
    let typed = ["999".to_owned()];
    let nobody = workflow::issued_papers(&prepared, "set-3", ("--reprint", &typed), &record);
    assert_eq!(nobody.unwrap_err().findings().list[0].file, "--reprint");
}
