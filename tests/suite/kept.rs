//! The record from end to end, with the built program on the shipped classes: papers are issued,
//! marked, marked anew, written out; and what may go wrong with the file goes wrong: another file, a
//! newer one, half of one, a lock, no permission, a full disk, a process that is killed.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use chrono::DateTime;
use paperweight::record::{Deed, IssueId, Keyed, Keying, NewAct, OpenMode, Record, Standing};

use super::whole_program::{Run, program, repository, run};

/// A course folder of its own, with what is shipped in it.
struct Course {
    folder: tempfile::TempDir,
}

const ROPES: [&str; 3] = ["assignments/ropes-1.toml", "--roster", "rosters/set-3.csv"];
const ANSWERS: &str = "ropes-1-set-3.csv";

impl Course {
    fn new() -> Self {
        let course = Self {
            folder: tempfile::tempdir().unwrap(),
        };
        for (from, to) in [
            ("assignments", "assignments"),
            ("rosters", "rosters"),
            ("tests/data", "."),
        ] {
            let to = course.path(to);
            fs::create_dir_all(&to).unwrap();
            for entry in fs::read_dir(repository().join(from)).unwrap() {
                let entry = entry.unwrap();
                if entry.file_type().unwrap().is_file() {
                    fs::copy(entry.path(), to.join(entry.file_name())).unwrap();
                }
            }
        }
        course
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = program();
        command.current_dir(self.folder.path()).args(arguments);
        command
    }

    fn run(&self, arguments: &[&str]) -> Run {
        run(&mut self.command(arguments))
    }

    /// Runs what has to end with this exit code.
    #[track_caller]
    fn ends(&self, code: i32, arguments: &[&str]) -> Run {
        let found = self.run(arguments);
        assert_eq!(
            found.code, code,
            "{arguments:?}: {}{}",
            found.stdout, found.stderr
        );
        found
    }

    fn issue(&self) -> String {
        self.ends(0, &[&["issue"], &ROPES[..]].concat()).stdout
    }

    fn mark(&self, answers: &str) -> Run {
        self.ends(
            0,
            &[&["mark"], &ROPES[..], &["--answers", answers]].concat(),
        )
    }

    fn export(&self) -> String {
        self.ends(0, &["export", ROPES[0]]).stdout
    }

    fn write(&self, name: &str, text: &str) {
        fs::write(self.path(name), text).unwrap();
    }

    /// Changes the assignment's file.
    fn edit(&self, from: &str, to: &str) {
        let text = fs::read_to_string(self.path(ROPES[0])).unwrap();
        assert!(text.contains(from), "{from}");
        self.write(ROPES[0], &text.replacen(from, to, 1));
    }

    fn record(&self) -> PathBuf {
        self.path("paperweight.sqlite")
    }
}

/// The row of a student in a CSV file.
fn row<'a>(csv: &'a str, student: &str) -> &'a str {
    let start = format!("{student},");
    csv.lines().find(|line| line.starts_with(&start)).unwrap()
}

fn cell<'a>(csv: &'a str, student: &str, heading: &str) -> &'a str {
    let at = csv
        .lines()
        .next()
        .unwrap()
        .split(',')
        .position(|at| at == heading);
    row(csv, student).split(',').nth(at.unwrap()).unwrap()
}

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
    let refused = course.ends(2, &absent);
    assert!(
        refused.stderr.contains("nothing was keyed yet"),
        "{}",
        refused.stderr
    );
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
    assert_eq!(late("S2301"), "0");
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
    let found = course.ends(0, &with("2.5"));
    assert!(
        found.stdout.starts_with("004772: total 10 -> 11.5"),
        "{}",
        found.stdout
    );
    let after = course.export();
    assert_eq!(cell(&after, "004772", "c"), "1", "the proposal stays");
    assert_eq!(cell(&after, "004772", "adjusted"), "1.5");
    assert_eq!(cell(&after, "004772", "total"), "11.5");
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

#[test]
fn a_backup_a_check_and_the_end_of_a_year() {
    let course = Course::new();
    course.issue();
    course.mark(ANSWERS);
    let found = course.ends(0, &["backup", "copy.sqlite"]);
    assert!(found.stdout.contains("copy.sqlite"), "{}", found.stdout);
    course.ends(2, &["backup", "copy.sqlite"]);
    assert!(
        course
            .ends(0, &["record", "check", "--record", "copy.sqlite"])
            .stdout
            .contains("24 papers")
    );
    let asked = course.ends(1, &["purge", "--class", "set-3"]);
    assert!(asked.stdout.contains("--yes"), "{}", asked.stdout);
    let wrong = course.ends(2, &["purge", "--class", "set-4", "--yes"]);
    assert!(wrong.stderr.contains("set-3"), "{}", wrong.stderr);
    let gone = course.ends(0, &["purge", "--class", "set-3", "--yes"]);
    assert!(gone.stdout.contains("backups"), "{}", gone.stdout);
    let bytes = fs::read(course.record()).unwrap();
    assert!(
        !bytes.windows(6).any(|at| at == b"004071"),
        "nothing of them is left in the file"
    );
    assert!(
        course
            .ends(0, &["record", "check"])
            .stdout
            .starts_with("0 papers")
    );
}

/// What the program says of a record file it cannot use, and that it leaves the file alone.
#[test]
fn a_record_that_cannot_be_used_is_refused_and_left_alone() {
    let course = Course::new();
    course.issue();
    let good = fs::read(course.record()).unwrap();
    let mut newer = good.clone();
    newer[60..64].copy_from_slice(&9_u32.to_be_bytes());
    for (bytes, words) in [
        (b"id,name\n1,Ada\n".to_vec(), "another file"),
        (newer, "version 9"),
        (good[..good.len() - 5000].to_vec(), "cut short"),
    ] {
        fs::write(course.record(), &bytes).unwrap();
        for command in [&["issue"][..], &["mark", "--answers", ANSWERS]] {
            let found = course.ends(2, &[command, &ROPES[..]].concat());
            assert!(found.stderr.contains(words), "{}", found.stderr);
            assert_eq!(found.stdout, "");
        }
        assert_eq!(fs::read(course.record()).unwrap(), bytes);
    }
}

#[test]
fn another_copy_at_work_is_waited_for_and_then_told() {
    let course = Course::new();
    course.issue();
    let other = rusqlite::Connection::open(course.record()).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let mut waiting = course.command(&[&["mark"], &ROPES[..], &["--answers", ANSWERS]].concat());
    let waiting = waiting
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    std::thread::sleep(Duration::from_millis(700));
    other.execute_batch("ROLLBACK").unwrap();
    let done = waiting.wait_with_output().unwrap();
    assert_eq!(done.status.code(), Some(0), "it had its turn");
    other.execute_batch("BEGIN EXCLUSIVE").unwrap();
    let found = course.ends(3, &["attend", ROPES[0], "--student", "004071", "--absent"]);
    assert!(
        found.stderr.contains("another program is at work"),
        "{}",
        found.stderr
    );
}

/// Permissions mean nothing to the superuser, who runs tests in some places; as whom the program then
/// runs instead.
#[cfg(unix)]
#[test]
fn a_record_without_permission_is_told() {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
    use std::os::unix::process::CommandExt as _;
    const NOBODY: u32 = 65534;
    let course = Course::new();
    course.issue();
    let before = fs::read(course.record()).unwrap();
    let mode =
        |path: &Path, mode| fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    let root = fs::metadata(course.folder.path()).unwrap().uid() == 0;
    let copy = course.path("paperweight-program");
    fs::copy(env!("CARGO_BIN_EXE_paperweight"), &copy).unwrap();
    let run = |arguments: &[&str]| {
        let mut command = Command::new(&copy);
        command
            .current_dir(course.folder.path())
            .args(arguments)
            .stdin(Stdio::null());
        if root {
            command.uid(NOBODY).gid(NOBODY);
        }
        super::whole_program::run(&mut command)
    };
    mode(course.folder.path(), 0o755);
    mode(&copy, 0o755);
    let attend = ["attend", ROPES[0], "--student", "004071", "--absent"];
    mode(&course.record(), 0o444);
    let found = run(&attend);
    assert_eq!(found.code, 2, "{}", found.stderr);
    assert!(found.stderr.contains("read-only"), "{}", found.stderr);
    mode(&course.record(), 0o000);
    let found = run(&attend);
    assert_eq!(found.code, 2, "{}", found.stderr);
    assert!(found.stderr.contains("no permission"), "{}", found.stderr);
    assert_eq!(fs::read(course.record()).unwrap_or(before.clone()), before);
    // No file can be made beside it, so no journal either.
    mode(&course.record(), 0o666);
    mode(course.folder.path(), 0o555);
    let found = run(&attend);
    mode(course.folder.path(), 0o755);
    if root || found.code != 0 {
        assert_eq!(found.code, 2, "{}", found.stderr);
        assert!(found.stderr.contains("permission"), "{}", found.stderr);
    }
}

#[cfg(unix)]
#[test]
fn the_record_is_its_owners_from_the_start() {
    use std::os::unix::fs::PermissionsExt as _;
    let course = Course::new();
    let mut shell = Command::new("sh");
    shell.current_dir(course.folder.path()).stdin(Stdio::null());
    let bin = env!("CARGO_BIN_EXE_paperweight");
    shell.args([
        "-c",
        &format!("umask 000; '{bin}' issue {} --out .", ROPES.join(" ")),
    ]);
    assert_eq!(run(&mut shell).code, 0);
    for name in ["paperweight.sqlite", "issued.csv"] {
        let mode = fs::metadata(course.path(name))
            .unwrap()
            .permissions()
            .mode();
        assert_eq!(mode & 0o777, 0o600, "{name}");
    }
}

/// A file that may not grow stands for a full disk: the act is refused, and all before it is kept.
#[cfg(unix)]
#[test]
fn a_full_disk_loses_nothing_that_was_kept() {
    let course = Course::new();
    course.issue();
    course.write("first.csv", "student,a\n004071,down\n");
    course.mark("first.csv");
    let blocks = fs::metadata(course.record()).unwrap().len() / 512;
    let bin = env!("CARGO_BIN_EXE_paperweight");
    let mut failed = 0;
    for more in [0, 8, 16, 40, 80] {
        let mut shell = Command::new("sh");
        shell.current_dir(course.folder.path()).stdin(Stdio::null());
        // The signal is ignored, so that writing fails as it does on a full disk.
        let limit = format!("trap '' XFSZ; ulimit -f {}", blocks + more);
        let mark = format!("'{bin}' mark {} --answers {ANSWERS}", ROPES.join(" "));
        shell.args(["-c", &format!("{limit}; {mark}")]);
        let found = run(&mut shell);
        let record = Record::open(&course.record(), OpenMode::Write).unwrap();
        assert_eq!(record.check().unwrap().findings, []);
        let acts = record.acts("ropes-1").unwrap();
        let first = record.issues("ropes-1").unwrap().remove(0);
        let standing = Standing::of(acts.iter().filter(|act| act.issue == first.id));
        assert_eq!(
            standing.entry("a"),
            Some(&Keyed::Text("down".into())),
            "it was kept before"
        );
        if found.code == 0 {
            break;
        }
        failed += 1;
        assert_eq!(found.code, 3, "{}", found.stderr);
        assert!(
            found.stderr.contains("what was to be kept is not in"),
            "{}",
            found.stderr
        );
        assert_eq!(found.stdout, "", "no marks without their entries");
    }
    assert!(failed > 0, "the limit was met");
    course.mark(ANSWERS);
    assert_eq!(cell(&course.export(), "004071", "status"), "marked");
}

/// Tells the child of the next test what to do.
const APPENDING: &str = "PAPERWEIGHT_TEST_APPENDS_TO";

/// A process that appends is killed at random moments: what it had said was saved is there, and a
/// group of acts is there as a whole or not at all. (This is a crash of the process, not of the power.)
#[test]
fn a_killed_process_loses_nothing_that_it_called_saved() {
    if let Some(path) = std::env::var_os(APPENDING) {
        append_for_ever(Path::new(&path));
    }
    let course = Course::new();
    course.issue();
    let mut told = 0;
    for round in 0..12_u64 {
        let log = fs::File::create(course.path("told")).unwrap();
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args([
                "--exact",
                "kept::a_killed_process_loses_nothing_that_it_called_saved",
                "--nocapture",
            ])
            .env(APPENDING, course.record())
            .stdout(log)
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // Not random, but never twice the same place in the writing either.
        std::thread::sleep(Duration::from_micros(60_000 + round * 7_919));
        child.kill().unwrap();
        child.wait().unwrap();
        let record = Record::open(&course.record(), OpenMode::Write).unwrap();
        assert_eq!(record.check().unwrap().findings, [], "round {round}");
        let acts = record.acts("ropes-1").unwrap();
        let log = fs::read_to_string(course.path("told")).unwrap();
        // The last line may be cut off; every whole one was said after its act was saved.
        let saved = log
            .lines()
            .filter_map(|line| line.strip_prefix("saved ")?.strip_suffix('.'));
        for text in saved {
            told += 1;
            let is_there = acts
                .iter()
                .any(|act| matches!(&act.deed, Deed::Entry { text: entry, .. } if entry == text));
            assert!(is_there, "round {round}: {text} was called saved");
        }
        let mut groups = std::collections::BTreeMap::new();
        for act in &acts {
            *groups.entry(act.group).or_insert(0) += 1;
        }
        assert!(
            groups.values().all(|count| *count == 2),
            "round {round}: all of a group or none"
        );
    }
    assert!(told > 12, "the child came to say something: {told}");
}

fn append_for_ever(path: &Path) -> ! {
    let mut record = Record::open(path, OpenMode::Write).unwrap();
    let start = record.acts("ropes-1").unwrap().len();
    for count in start.. {
        let text = format!("{count} m");
        let act = |issue, text: &str| {
            let deed = Deed::Entry {
                part: "b".into(),
                keying: Keying::First,
                text: text.into(),
            };
            NewAct::new(DateTime::UNIX_EPOCH, IssueId(issue), deed)
        };
        record
            .append(&[act(1, &text), act(2, "the other of the two")])
            .unwrap();
        println!("saved {text}.");
    }
    unreachable!()
}
