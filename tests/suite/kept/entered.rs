//! Answers go in, marks come out.

use chrono::DateTime;
use paperweight::record::{Deed, Keying, NewAct, OpenMode, Record};

use super::{ANSWERS, Course, ROPES, cell};

#[test]
fn marks_from_the_record_are_those_of_the_answers() {
    let course = Course::new();
    for (code, set, due) in [
        ("ropes-1", "set-3", None),
        ("sheet-1", "set-5", Some("2026-11-20")),
        ("projectile-1", "set-5", None),
    ] {
        let assignment = format!("assignments/{code}.toml");
        let roster = format!("rosters/{set}.csv");
        let answers = format!("{code}-{set}.csv");
        let class = [assignment.as_str(), "--roster", &roster];
        let due: Vec<&str> = due.map_or(vec![], |day| vec!["--due", day]);
        let entries = ["--answers", &answers];
        for json in [&[][..], &["--json"]] {
            let one_off = [
                &["mark"],
                &class[..],
                &entries,
                &due,
                &["--record", ":memory:"],
                json,
            ]
            .concat();
            let expected = course.run(&one_off).stdout;
            course.ends(0, &[&["issue"], &class[..], &due].concat());
            let marked = course.run(&[&["mark"], &class[..], &entries, json].concat());
            assert_eq!(marked.stdout, expected, "{code}: {}", marked.stderr);
            let exported = course.run(&[&["export", assignment.as_str()], json].concat());
            assert_eq!(exported.stdout, expected, "{code}: {}", exported.stderr);
        }
    }
    course.ends(0, &["record", "check"]);
}

#[test]
fn entries_are_kept_and_only_what_is_said_changes() {
    let course = Course::new();
    course.issue();
    course.mark(ANSWERS);
    let before = course.export();
    let acts = || {
        Record::open(&course.record(), OpenMode::Read)
            .unwrap()
            .acts("ropes-1")
            .unwrap()
            .len()
    };
    let count = acts();
    course.mark(ANSWERS);
    assert_eq!(acts(), count, "nothing new is said by the same file");
    // A blank cell takes nothing away, a dash does.
    course.write("more.csv", "student,a,b,c\n004071,,-,\n");
    course.mark("more.csv");
    let after = course.export();
    assert_eq!(cell(&after, "004071", "a"), cell(&before, "004071", "a"));
    assert_eq!(
        (cell(&before, "004071", "b"), cell(&after, "004071", "b")),
        ("4", "0")
    );
}

/// A class is marked from a file: who has no row was not there. Where papers are keyed one by one, of whom
/// nothing was keyed may lie in the stack still, and is named.
#[test]
fn who_has_no_row_is_absent_and_who_was_not_keyed_is_named() {
    let course = Course::new();
    course.issue();
    let key = |record: &mut Record, student: &str| {
        let issues = record.issues("ropes-1").unwrap();
        let issue = issues.iter().find(|issue| issue.student == student);
        let deed = Deed::Entry {
            part: "a".into(),
            keying: Keying::First,
            text: "down".into(),
        };
        let act = NewAct::new(DateTime::UNIX_EPOCH, issue.unwrap().id, deed);
        record.append(&[act]).unwrap();
    };
    {
        let mut record = Record::open(&course.record(), OpenMode::Write).unwrap();
        key(&mut record, "004071");
    }
    let marks = course.ends(1, &["export", "assignments/ropes-1.toml"]);
    assert!(
        marks
            .stderr
            .contains("nothing was keyed yet, who get no mark"),
        "{}",
        marks.stderr
    );
    assert_eq!(cell(&marks.stdout, "004725", "status"), "not keyed");
    // Of a paper that is partly keyed the rest has no points, which is not 0.
    let csv = &marks.stdout;
    let parts = ["a", "b", "e", "status"].map(|at| cell(csv, "004071", at));
    assert_eq!(parts, ["1", "", "", "partly marked"]);
    course.write(
        "one.csv",
        "student,a,b,c,d,e\n004772,down,1 m/s^2,30 N,20 N,3\n",
    );
    let mark = course.run(&["mark", ROPES[0], ROPES[1], ROPES[2], "--answers", "one.csv"]);
    assert!(!mark.stderr.contains("keyed yet"), "{}", mark.stderr);
    assert_eq!(cell(&mark.stdout, "004725", "status"), "absent");
    assert_eq!(cell(&mark.stdout, "004071", "status"), "partly marked");
    course.ends(0, &["export", ROPES[0]]);
}

/// Keyed twice and not alike: no total before somebody looked at the paper again.
#[test]
fn two_keyings_that_differ_hold_a_total_back() {
    let course = Course::new();
    course.issue();
    course.mark(ANSWERS);
    let before = course.export();
    assert_eq!(cell(&before, "004071", "status"), "marked");
    // A blank behind it makes no difference.
    for (other, status) in [(None, "marked"), (Some("0.988 m/s^2"), "needs a look")] {
        let mut record = Record::open(&course.record(), OpenMode::Write).unwrap();
        let issues = record.issues("ropes-1").unwrap();
        let issue = issues.iter().find(|issue| issue.student == "004071");
        let acts = record.acts("ropes-1").unwrap();
        let first = acts.iter().find_map(|act| match &act.deed {
            Deed::Entry { part, text, .. } if part == "b" && act.issue == issue.unwrap().id => {
                Some(text.clone())
            }
            _ => None,
        });
        let text = other.map_or_else(|| format!("{} ", first.unwrap()), str::to_owned);
        let deed = Deed::Entry {
            part: "b".into(),
            keying: Keying::Second,
            text,
        };
        let act = NewAct::new(DateTime::UNIX_EPOCH, issue.unwrap().id, deed);
        record.append(&[act]).unwrap();
        drop(record);
        assert_eq!(cell(&course.export(), "004071", "status"), status);
    }
}

/// Where a file cannot be written after the answers were taken, they are kept, and that is said.
#[test]
fn answers_that_are_kept_without_marks_are_said_to_be() {
    let course = Course::new();
    course.issue();
    course.write("fits.csv", "somebody else's file\n");
    let mark = ["mark", ROPES[0], ROPES[1], ROPES[2], "--answers", ANSWERS];
    let found = course.ends(2, &[&mark[..], &["--for-teacher", "fits.csv"]].concat());
    assert!(
        found.stderr.contains("the answers are in the record"),
        "{}",
        found.stderr
    );
    assert_eq!(cell(&course.export(), "004071", "status"), "marked");
}

#[test]
fn lateness_and_attendance_come_from_the_record() {
    let course = Course::new();
    let sheet = "assignments/sheet-1.toml";
    course.ends(
        0,
        &[
            "issue",
            sheet,
            "--roster",
            "rosters/set-5.csv",
            "--due",
            "2026-11-20",
        ],
    );
    let answers = [
        "--roster",
        "rosters/set-5.csv",
        "--answers",
        "sheet-1-set-5.csv",
    ];
    let run = course.run(&[&["mark", sheet], &answers[..]].concat());
    assert!(run.code < 2, "{}", run.stderr);
    let late = |student: &str| {
        let marks = course.run(&["export", sheet]).stdout;
        cell(&marks, student, "late").to_owned()
    };
    assert_eq!(late("S2301"), "0");
    course.ends(
        0,
        &[
            "attend",
            sheet,
            "--student",
            "S2301",
            "--late",
            "2026-11-22",
        ],
    );
    assert!(late("S2301").starts_with('-'), "{}", late("S2301"));
    course.ends(
        0,
        &["attend", sheet, "--student", "S2301", "--due", "2026-11-23"],
    );
    let noted = course.ends(
        0,
        &[
            "attend",
            sheet,
            "--student",
            "S2301",
            "--late",
            "2026-11-22",
        ],
    );
    assert!(
        noted.stderr.contains("1 not late by the day due"),
        "{}",
        noted.stderr
    );
    assert_eq!(late("S2301"), "0");
    // Who has a second paper has the day as all the others.
    let again = [
        "reissue",
        sheet,
        "--roster",
        "rosters/set-5.csv",
        "--student",
        "S2350",
    ];
    course.ends(0, &again);
    course.ends(0, &["attend", sheet, "--all", "--due", "2026-11-18"]);
    assert_eq!(
        late("S2301"),
        "0",
        "the student's own day outranks that of the class"
    );
    assert!(late("S2302").starts_with('-'));
    course.ends(
        0,
        &[
            "adjust",
            sheet,
            "--student",
            "S2302",
            "--waive",
            "late",
            "--note",
            "ill",
        ],
    );
    let marks = course.run(&["export", sheet]).stdout;
    let points = |heading: &str| cell(&marks, "S2302", heading).parse::<f64>().unwrap();
    assert_eq!(points("adjusted"), -points("late"));
    course.ends(
        0,
        &["attend", sheet, "--student", "S2301", "S2304", "--excused"],
    );
    let marks = course.run(&["export", sheet]).stdout;
    assert_eq!(cell(&marks, "S2304", "status"), "excused");
    let found = course.ends(
        2,
        &["attend", sheet, "--student", "S9999", "nobody", "--absent"],
    );
    assert!(
        found.stderr.contains("S9999") && found.stderr.contains("nobody"),
        "{}",
        found.stderr
    );
}

/// Whoever is noted as absent though answers are keyed is told of, with the way back.
#[test]
fn absence_on_a_keyed_paper_is_said() {
    let course = Course::new();
    course.issue();
    course.mark(ANSWERS);
    let attend = |how| {
        let arguments = ["attend", ROPES[0], "--student", "004071", how];
        course.ends(0, &arguments).stderr
    };
    let told = attend("--absent");
    assert!(told.contains("1 is keyed and does not count now"), "{told}");
    assert_eq!(
        cell(
            &course.ends(0, &["export", ROPES[0], "--partial"]).stdout,
            "004071",
            "status"
        ),
        "absent"
    );
    assert!(!attend("--present").contains("keyed"));
    assert_eq!(
        cell(
            &course.ends(0, &["export", ROPES[0], "--partial"]).stdout,
            "004071",
            "status"
        ),
        "marked"
    );
}

/// Nobody of a class answered, or a file of answers stands for the class: done, and still to be looked at.
#[test]
fn files_that_seem_to_be_others_leave_something_to_look_at() {
    let course = Course::new();
    course.issue();
    course.write("nobody.csv", "student,b\n");
    let mark = [&["mark"], &ROPES[..], &["--answers", "nobody.csv"]].concat();
    let found = course.ends(1, &mark);
    assert!(found.stderr.contains("everyone counts as absent"));
    let answers = [
        "mark",
        ROPES[0],
        "--class",
        "set-3",
        "--roster",
        ANSWERS,
        "--answers",
        ANSWERS,
    ];
    let found = course.ends(1, &answers);
    assert!(found.stderr.contains("is this a file of answers?"));
    // asked of a poor list, too, which is one all the same
    let ids = std::fs::read_to_string(course.path(ROPES[2])).unwrap();
    let ids = ids.lines().skip(1).filter_map(|row| row.split(',').next());
    let poor = ids.fold("student,remark\n".to_owned(), |list, id| list + id + ",\n");
    course.write("poor.csv", &poor);
    let mark = ["mark", ROPES[0], "--class", "set-3", "--roster"];
    let with = |roster| [&mark[..], &[roster, "--answers", ANSWERS]].concat();
    let found = course.ends(0, &with("poor.csv"));
    assert!(found.stderr.contains("is this a file of answers?"));
}
