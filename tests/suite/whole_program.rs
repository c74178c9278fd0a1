//! A few runs of the built program from end to end: the six classes in `tests/data`, marked as the
//! README shows, and what a shell may count on: exit codes, pipes, JSON Lines, help.
//!
//! The snapshots of verdicts and marks are gone through by hand: each verdict is one that a careful
//! colleague would give for that entry beside that key. Where a recipe in `tests/scripts/answers`
//! says what a student did, the verdict has to fit it.

use std::fmt::Write as _;
use std::fs::{self, File};
use std::path::PathBuf;
use std::process::Command;
use std::sync::LazyLock;

use rust_decimal::Decimal;
use serde_json::Value;

use crate::hands::program::{Run, program, repository, run};

/// An assignment, a roster, and the day the papers were due.
const CLASSES: [(&str, &str, Option<&str>); 6] = [
    ("ropes-1", "set-3", None),
    ("pulley-disc-1", "set-5", None),
    ("incline-1", "set-3", None),
    ("projectile-1", "set-5", None),
    ("collision-1", "set-3", None),
    ("sheet-1", "set-5", Some("2026-11-20")),
];

const VERDICTS: [&str; 11] = [
    "right",
    "right with another constant",
    "right on misread numbers",
    "wrong sign",
    "followed",
    "slip",
    "wrong",
    "several",
    "blank",
    "unreadable",
    "by eye",
];

const STATUSES: [&str; 5] = [
    "marked",
    "partly marked",
    "absent",
    "excused",
    "needs a look",
];

fn answers_of(code: &str, set: &str) -> String {
    format!("tests/data/{code}-{set}.csv")
}

/// Marks a class; the answers may stand in another file than the shipped one.
fn marking(code: &str, set: &str, due: Option<&str>, answers: &str) -> Command {
    let mut command = program();
    command
        .args(["mark", &format!("assignments/{code}.toml")])
        .args(["--roster", &format!("rosters/{set}.csv")])
        .args(["--answers", answers, "--record", ":memory:"]);
    if let Some(day) = due {
        command.args(["--due", day]);
    }
    command
}

fn mark(code: &str, set: &str, due: Option<&str>, more: &[&str]) -> Run {
    run(marking(code, set, due, &answers_of(code, set)).args(more))
}

/// The lines of `--json --partial` for each class.
static LINES: LazyLock<[Vec<Value>; 6]> = LazyLock::new(|| {
    CLASSES.map(|(code, set, due)| {
        let run = mark(code, set, due, &["--json", "--partial"]);
        assert_eq!(run.code, 0, "{}", run.stderr);
        let parsed = run.stdout.lines().map(serde_json::from_str);
        parsed.collect::<Result<_, _>>().unwrap()
    })
});

fn text<'a>(object: &'a Value, name: &str) -> &'a str {
    object[name].as_str().unwrap_or("")
}

fn points(object: &Value, name: &str) -> Decimal {
    object[name].as_str().unwrap().parse().unwrap()
}

/// One student's paper in a few lines, for a teacher to go through.
fn judged(line: &Value) -> String {
    let mut out = String::new();
    let costs = ["paper_cost", "late"].map(|cost| match text(line, cost) {
        "" | "0" => String::new(),
        points => format!(", {} {points}", cost.replace('_', " ")),
    });
    let (id, status) = (text(line, "student"), text(line, "status"));
    let (total, of) = (text(line, "total"), text(line, "out_of"));
    match line["total"] {
        Value::Null => writeln!(out, "{id}  {status}"),
        _ => writeln!(out, "{id}  {status}, {total} of {of}{}", costs.concat()),
    }
    .unwrap();
    for part in line["parts"].as_array().unwrap() {
        let mut why: Vec<&str> = part["reasons"]
            .as_array()
            .unwrap()
            .iter()
            .filter_map(Value::as_str)
            .collect();
        let usual = [
            "the key, rounded to the figures written",
            "nothing keyed for the working: all of it given",
        ];
        why.retain(|reason| !usual.contains(reason));
        let unit = match text(part, "unit") {
            "" | "same" => String::new(),
            unit => format!("unit {unit}"),
        };
        let figures = match text(part, "figures") {
            "" | "as asked" => String::new(),
            figures => format!("figures {figures}"),
        };
        why.extend([unit.as_str(), figures.as_str()]);
        why.retain(|reason| !reason.is_empty());
        let (id, entry, verdict) = (text(part, "id"), text(part, "entry"), text(part, "verdict"));
        let (points, of) = (text(part, "points"), text(part, "out_of"));
        let line = format!(
            "    {id:<3}{entry:<27} {verdict:<11} {points}/{of}  {}",
            why.join("; ")
        );
        writeln!(out, "{}", line.trim_end()).unwrap();
    }
    out
}

#[test]
fn each_class_is_marked_as_a_careful_colleague_would() {
    for ((code, set, _), lines) in CLASSES.iter().zip(&*LINES) {
        let papers: Vec<String> = lines.iter().map(judged).collect();
        insta::assert_snapshot!(format!("{code}-{set}-verdicts"), papers.join("\n"));
    }
}

#[test]
fn each_class_gets_its_marks_and_the_teacher_a_summary() {
    let folder = tempfile::tempdir().unwrap();
    for (code, set, due) in CLASSES {
        let out = folder.path().join(format!("{code}.csv"));
        let run = mark(code, set, due, &["--out", out.to_str().unwrap()]);
        assert_eq!(run.code, 0, "{}", run.stderr);
        insta::assert_snapshot!(
            format!("{code}-{set}-marks"),
            fs::read_to_string(&out).unwrap().replace("\r\n", "\n")
        );
        let summary = run.stdout.replace(out.to_str().unwrap(), "marks.csv");
        insta::assert_snapshot!(
            format!("{code}-{set}-summary"),
            format!("{summary}\n--- on standard error ---\n{}", run.stderr)
        );
    }
}

#[test]
fn lines_of_json_hold_what_is_documented() {
    for ((code, set, due), lines) in CLASSES.into_iter().zip(&*LINES) {
        let csv = mark(code, set, due, &["--partial"]).stdout;
        let mut table = csv::Reader::from_reader(csv.as_bytes());
        let headings = table.headers().unwrap().clone();
        let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
        assert_eq!(lines.len(), rows.len());
        for (line, row) in lines.iter().zip(&rows) {
            let cell = |name: &str| row.get(headings.iter().position(|h| h == name).unwrap());
            let same = |object: &Value, field: &str, heading: &str| {
                assert_eq!(
                    Some(text(object, field)),
                    cell(heading),
                    "{heading} in {line}"
                );
            };
            for name in [
                "student", "section", "status", "total", "out_of", "feedback",
            ] {
                same(line, name, name);
            }
            assert_eq!(text(line, "assignment"), code);
            assert!(STATUSES.contains(&text(line, "status")), "{line}");
            let parts = line["parts"].as_array().unwrap();
            let is_there = !["absent", "excused"].contains(&text(line, "status"));
            assert_eq!(parts.is_empty(), !is_there);
            assert_eq!(line["total"].is_null(), !is_there);
            if !is_there {
                continue;
            }
            let costs = ["paper_cost", "late", "adjusted"];
            let mut sum: Decimal = costs.map(|cost| points(line, cost)).iter().sum();
            for part in parts {
                same(part, "points", text(part, "id"));
                assert!(VERDICTS.contains(&text(part, "verdict")), "{part}");
                // What is still to be judged by eye has no points, which is not 0.
                let is_open = part["points"].is_null();
                assert!(!is_open || text(part, "verdict") == "by eye", "{part}");
                let of = points(part, "out_of");
                let earned = if is_open {
                    Decimal::ZERO
                } else {
                    points(part, "points")
                };
                assert!(Decimal::ZERO <= earned && earned <= of, "{part}");
                assert!(part["entry"].is_string() && part["feedback"].is_string());
                assert!(
                    part["reasons"]
                        .as_array()
                        .unwrap()
                        .iter()
                        .all(Value::is_string)
                );
                for name in ["unit", "figures"] {
                    assert!(part[name].is_string() || part[name].is_null(), "{part}");
                }
                assert!(part["road"].is_array() || part["road"].is_null(), "{part}");
                sum += earned;
            }
            assert_eq!(sum, points(line, "total"), "{line}");
        }
    }
}

#[test]
fn unfinished_papers_have_no_total_yet() {
    for (code, set, due) in CLASSES {
        let csv = mark(code, set, due, &[]).stdout;
        let mut table = csv::Reader::from_reader(csv.as_bytes());
        let headings = table.headers().unwrap().clone();
        let at = |name: &str| headings.iter().position(|h| h == name).unwrap();
        for row in table.records().map(Result::unwrap) {
            let is_whole = &row[at("status")] == "marked";
            assert_eq!(!row[at("total")].is_empty(), is_whole, "{row:?}");
        }
        let lines = mark(code, set, due, &["--json"]).stdout;
        for line in lines.lines() {
            let line: Value = serde_json::from_str(line).unwrap();
            let is_whole = text(&line, "status") == "marked";
            assert_eq!(!line["total"].is_null(), is_whole, "{line}");
        }
    }
}

/// How many of the papers have three quarters of the points or more: a class in which nearly
/// everyone fails, or nobody, would try little of the program.
#[test]
fn the_classes_do_decently() {
    for ((code, ..), lines) in CLASSES.iter().zip(&*LINES) {
        let papers: Vec<_> = lines
            .iter()
            .filter(|line| !line["total"].is_null())
            .collect();
        let decent = papers.iter().filter(|line| {
            points(line, "total") * Decimal::from(4) >= points(line, "out_of") * Decimal::from(3)
        });
        let share = decent.count() as f64 / papers.len() as f64;
        assert!((0.55..0.85).contains(&share), "{code}: {share}");
    }
}

#[test]
fn a_dash_stands_for_standard_input_and_output() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("marks.csv");
    let to_file = mark("ropes-1", "set-3", None, &["--out", out.to_str().unwrap()]);
    let answers = File::open(repository().join(answers_of("ropes-1", "set-3"))).unwrap();
    let piped = run(marking("ropes-1", "set-3", None, "-")
        .args(["--out", "-"])
        .stdin(answers));
    assert_eq!((to_file.code, piped.code), (0, 0), "{}", piped.stderr);
    assert_eq!(piped.stdout.as_bytes(), fs::read(&out).unwrap());
    // With the marks on standard output, what is meant for the teacher's eyes is on the other.
    let summary = to_file
        .stdout
        .lines()
        .filter(|line| !line.starts_with("marks for"));
    for line in summary {
        assert!(piped.stderr.contains(line), "{line}");
    }
}

#[test]
fn exit_codes_are_those_of_the_help() {
    let folder = tempfile::tempdir().unwrap();
    let stranger = folder.path().join("answers.csv");
    fs::write(
        &stranger,
        "student,a,b,c,d,e\n004071,down,0.899 m/s^2,,,\nX1,up,,,,\n",
    )
    .unwrap();
    let stranger = stranger.to_str().unwrap();
    let help = run(program().arg("--help")).stdout;
    let class = |answers: &str| marking("ropes-1", "set-3", None, answers);
    let mut mistyped = program();
    mistyped.args(["mark", "--rooster"]);
    let check = |file: &str| {
        let mut command = program();
        command.args(["check", file]);
        command
    };
    let doubtful = folder.path().join("doubtful.toml");
    let text = fs::read_to_string(repository().join("assignments/ropes-1.toml")).unwrap();
    fs::write(&doubtful, text.replace("figures   = 3", "figures   = 2")).unwrap();
    let cases = [
        (0, "done", check("assignments/ropes-1.toml")),
        (1, "findings", check(doubtful.to_str().unwrap())),
        (2, "bad input", check("rosters/set-3.csv")),
        (0, "done", class(&answers_of("ropes-1", "set-3"))),
        (1, "findings", class(stranger)),
        (2, "bad input", class("no-such-file.csv")),
        (2, "an argument is wrong", mistyped),
        (2, "bad input", program()),
    ];
    for (code, words, mut command) in cases {
        let run = run(&mut command);
        assert_eq!(run.code, code, "{command:?}: {}", run.stderr);
        let line = help
            .lines()
            .find(|line| line.trim_start().starts_with(&code.to_string()));
        assert!(
            line.is_some_and(|line| line.contains(words)),
            "{words}: {help}"
        );
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_the_machines_fault() {
    let full = || File::options().write(true).open("/dev/full").unwrap();
    let answers = answers_of("ropes-1", "set-3");
    let marks = run(marking("ropes-1", "set-3", None, &answers).stdout(full()));
    assert_eq!(marks.code, 3, "{}", marks.stderr);
    assert!(
        marks.stderr.contains("the disk is full"),
        "{}",
        marks.stderr
    );
    let schema = run(program().arg("schema").stdout(full()));
    assert_eq!(schema.code, 3, "{}", schema.stderr);
}

/// `| head` ends the program quietly, whatever it writes.
#[test]
fn a_reader_that_goes_away_is_no_failure() {
    let gone = || {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        writer
    };
    let answers = answers_of("ropes-1", "set-3");
    let marking = || marking("ropes-1", "set-3", None, &answers);
    let mut lines = marking();
    lines.arg("--json");
    let mut schema = program();
    schema.arg("schema");
    let mut check = program();
    check.args(["check", "assignments/ropes-1.toml"]);
    for mut command in [marking(), lines, schema, check] {
        let run = run(command.stdout(gone()));
        assert_eq!((run.code, run.stderr.as_str()), (0, ""), "{command:?}");
    }
}

/// Each class held against the numbers of another seed: the marks are worth nothing, and it is said.
#[test]
fn answers_that_fit_nobody_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let assignments = folder.path().join("assignments");
    fs::create_dir(&assignments).unwrap();
    let other_seed = |text: String| {
        let lines = text.lines().map(|line| match line.starts_with("seed") {
            true => "seed = 1\n".to_owned(),
            false => format!("{line}\n"),
        });
        lines.collect::<String>()
    };
    for (code, ..) in CLASSES {
        let file = format!("assignments/{code}.toml");
        let text = fs::read_to_string(repository().join(&file)).unwrap();
        fs::write(folder.path().join(file), other_seed(text)).unwrap();
    }
    for (code, set, _) in CLASSES {
        let mark = |more: &[&str]| {
            let mut command = program();
            command
                .current_dir(folder.path())
                .args(["mark", &format!("assignments/{code}.toml"), "--roster"])
                .arg(repository().join(format!("rosters/{set}.csv")))
                .arg("--answers")
                .arg(repository().join(answers_of(code, set)))
                .args(more);
            run(&mut command)
        };
        let found = mark(&["--record", ":memory:"]);
        assert_eq!(found.code, 1, "{code}: {}", found.stderr);
        assert!(found.stderr.contains("given to other numbers?"), "{code}");
        assert!(found.stderr.contains("seed and code"), "{code}");
        if code == "ropes-1" {
            let mut issue = program();
            issue
                .current_dir(folder.path())
                .args(["issue", "assignments/ropes-1.toml", "--roster"])
                .arg(repository().join(format!("rosters/{set}.csv")));
            assert_eq!(run(&mut issue).code, 0);
            let found = mark(&["--out", "marks.csv"]);
            assert_eq!(found.code, 1, "{}", found.stderr);
            assert!(found.stderr.contains("given to other numbers?"));
            assert!(found.stderr.contains("this assignment and this class"));
        }
    }
    // Few papers prove nothing, and the classes as they are fit.
    let few = folder.path().join("few.csv");
    let text = fs::read_to_string(repository().join(answers_of("ropes-1", "set-3"))).unwrap();
    let rows: Vec<&str> = text.lines().take(5).collect();
    fs::write(&few, rows.join("\n") + "\n").unwrap();
    let mut command = program();
    command
        .args(["mark"])
        .arg(assignments.join("ropes-1.toml"))
        .args(["--roster", "rosters/set-3.csv", "--answers"])
        .args([few.to_str().unwrap(), "--record", ":memory:"]);
    let found = run(&mut command);
    assert_eq!(found.code, 0, "{}", found.stderr);
}

/// A table in the layout of a row an entry, and the other way round.
fn turned(answers: &str, parts: &[&str]) -> String {
    let mut table = csv::Reader::from_reader(answers.as_bytes());
    let headings = table.headers().unwrap().clone();
    let mut out = csv::Writer::from_writer(Vec::new());
    if headings.iter().eq(["student", "part", "entry"]) {
        let mut heading = vec!["student"];
        heading.extend(parts);
        out.write_record(&heading).unwrap();
        let mut student = String::new();
        let mut row = vec![String::new(); heading.len()];
        for record in table.records().map(Result::unwrap) {
            if record[0] != student {
                if !student.is_empty() {
                    out.write_record(&row).unwrap();
                }
                student = record[0].to_owned();
                row = vec![String::new(); heading.len()];
                row[0].clone_from(&student);
            }
            row[heading.iter().position(|h| *h == &record[1]).unwrap()] = record[2].to_owned();
        }
        out.write_record(&row).unwrap();
    } else {
        out.write_record(["student", "part", "entry"]).unwrap();
        for record in table.records().map(Result::unwrap) {
            for (part, entry) in headings.iter().zip(&record).skip(1) {
                // Blank or not: a row of blanks is a paper handed in empty.
                out.write_record([&record[0], part, entry]).unwrap();
            }
        }
    }
    String::from_utf8(out.into_inner().unwrap()).unwrap()
}

#[test]
fn both_layouts_lead_to_the_same_bytes() {
    let folder = tempfile::tempdir().unwrap();
    let parts = "a b b.working c d e f g given:h status";
    let parts: Vec<&str> = parts.split(' ').collect();
    for (code, set) in [
        ("ropes-1", "set-3"),
        ("projectile-1", "set-5"),
        ("sheet-1", "set-5"),
    ] {
        let shipped = fs::read_to_string(repository().join(answers_of(code, set))).unwrap();
        let other = folder.path().join("answers.csv");
        fs::write(&other, turned(&shipped, &parts)).unwrap();
        let expected = mark(code, set, None, &[]);
        let found = run(&mut marking(code, set, None, other.to_str().unwrap()));
        assert_eq!(found.stdout, expected.stdout, "{code}: {}", found.stderr);
    }
}

#[test]
fn the_order_of_rows_changes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let reversed = |file: PathBuf| {
        let text = fs::read_to_string(file).unwrap();
        let mut rows: Vec<&str> = text.lines().collect();
        rows[1..].reverse();
        rows.join("\n") + "\n"
    };
    let answers = folder.path().join("answers.csv");
    fs::write(
        &answers,
        reversed(repository().join(answers_of("ropes-1", "set-3"))),
    )
    .unwrap();
    let expected = mark("ropes-1", "set-3", None, &[]).stdout;
    let found = run(&mut marking(
        "ropes-1",
        "set-3",
        None,
        answers.to_str().unwrap(),
    ));
    assert_eq!(found.stdout, expected, "{}", found.stderr);
    // Marks stand in the order of the roster, so there the rows move, and nothing in them.
    let roster = folder.path().join("roster.csv");
    fs::write(&roster, reversed(repository().join("rosters/set-3.csv"))).unwrap();
    let mut other = program();
    other
        .args([
            "mark",
            "assignments/ropes-1.toml",
            "--roster",
            roster.to_str().unwrap(),
        ])
        .args([
            "--answers",
            answers.to_str().unwrap(),
            "--record",
            ":memory:",
        ]);
    let found = run(&mut other).stdout;
    let sorted = |text: &str| {
        let mut rows: Vec<String> = text.lines().map(str::to_owned).collect();
        rows.sort();
        rows
    };
    assert_eq!(sorted(&found), sorted(&expected));
    assert_ne!(found, expected);
}

#[test]
fn the_same_files_give_the_same_bytes_on_any_number_of_threads() {
    for (code, set, due) in [CLASSES[0], CLASSES[5]] {
        for form in [&[][..], &["--json"]] {
            let once = mark(code, set, due, &[form, &["--threads", "1"]].concat());
            let again = mark(code, set, due, &[form, &["--threads", "5"]].concat());
            assert_eq!(
                (once.stdout, once.stderr),
                (again.stdout, again.stderr),
                "{code}"
            );
        }
    }
}

/// Marks `explain` shows are those of `mark`, late papers included; without a paper there are the
/// numbers and the key.
#[test]
fn explain_goes_with_mark() {
    let explain = |more: &[&str]| {
        let mut command = program();
        command
            .args(["explain", "assignments/sheet-1.toml"])
            .args(["--roster", "rosters/set-5.csv", "--student", "S2301"])
            .args(more);
        let run = run(&mut command);
        assert_eq!((run.code, run.stderr.as_str()), (0, ""));
        run.stdout
    };
    let late = explain(&[
        "--part",
        "1a=up",
        "handed_in=2026-11-22",
        "--due",
        "2026-11-20",
    ]);
    assert!(late.contains("2 days late: 10 % a day"), "{late}");
    let excused = explain(&["--part", "status=excused"]);
    assert_eq!(excused, "excused: no paper, no points\n");
    insta::assert_snapshot!("explain-key", explain(&[]));
}

/// To show something, a name will do that one student alone has, or a part of it; whose it is, is said.
#[test]
fn a_student_is_explained_by_name() {
    let explain = |student: &str| {
        let mut command = program();
        command.args([
            "explain",
            "assignments/ropes-1.toml",
            "--roster",
            "rosters/set-3.csv",
        ]);
        run(command.args(["--record", ":memory:", "--student", student]))
    };
    let by_id = explain("004560");
    let by_name = explain("ambrisi");
    assert_eq!((by_name.code, &by_name.stdout), (0, &by_id.stdout));
    assert_eq!(by_name.stderr, "--student: note: 'ambrisi' is 004560\n");
    for (typed, words) in [
        (
            "Ana",
            "2 students on the roster are called 'Ana'\n  help: write the id: 004277, 004772",
        ),
        (
            "Kovač",
            "no student on the roster has the id 'Kovač'\n  help: ",
        ),
        ("", "no student on the roster has the id ''"),
    ] {
        let refused = explain(typed);
        assert_eq!(refused.code, 2, "{typed}");
        assert!(refused.stderr.contains(words), "{}", refused.stderr);
    }
}

/// Nothing that is no terminal is coloured, with `NO_COLOR` or without.
#[test]
fn pipes_get_no_colours() {
    for no_color in [None, Some("1"), Some("")] {
        let mut missing = marking("ropes-1", "set-3", None, "no-such-file.csv");
        let mut help = program();
        help.arg("--help");
        for command in [&mut missing, &mut help] {
            if let Some(value) = no_color {
                command.env("NO_COLOR", value);
            }
            let run = run(command);
            assert!(!run.stdout.contains('\x1b') && !run.stderr.contains('\x1b'));
        }
    }
}

#[test]
fn shells_and_manual_know_every_command() {
    let names = |text: &str| -> Vec<String> {
        let lines = text.lines().skip_while(|line| *line != "Commands:");
        let lines = lines.skip(1).take_while(|line| !line.is_empty());
        let words = lines.filter_map(|line| line.strip_prefix("  ")?.split(' ').next());
        let words = words.filter(|word| !word.is_empty() && *word != "help");
        words.map(str::to_owned).collect()
    };
    let commands = names(&run(program().arg("--help")).stdout);
    assert!(commands.len() > 20, "{commands:?}");
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = run(program().args(["completions", shell]));
        assert_eq!((script.code, script.stderr.as_str()), (0, ""), "{shell}");
        for command in &commands {
            assert!(
                script.stdout.contains(command.as_str()),
                "{shell}: {command}"
            );
        }
        assert!(script.stdout.contains("practice"), "{shell}");
    }
    let folder = tempfile::tempdir().unwrap();
    let pages = folder.path().join("man1");
    let pages = pages.to_str().unwrap();
    // Once more, in place of the pages of before.
    for _ in 0..2 {
        assert_eq!(run(program().args(["man", "--out", pages])).code, 0);
    }
    for command in &commands {
        let page = folder.path().join(format!("man1/paperweight-{command}.1"));
        let page = fs::read_to_string(page).unwrap();
        assert!(page.contains(".SH SYNOPSIS"), "{command}: {page}");
    }
    assert!(
        folder
            .path()
            .join("man1/paperweight-roster-take.1")
            .exists()
    );
    // A page of another is left alone.
    fs::write(folder.path().join("man1/paperweight.1"), "mine\n").unwrap();
    assert_eq!(run(program().args(["man", "--out", pages])).code, 2);
}

#[test]
fn help_teaches() {
    let help = run(program().arg("--help"));
    assert_eq!((help.code, help.stderr.as_str()), (0, ""));
    insta::assert_snapshot!("help", help.stdout);
    let commands = help
        .stdout
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.strip_prefix("  ")?.split(' ').next())
        .filter(|command| !command.is_empty() && *command != "help");
    for command in commands {
        let help = run(program().args([command, "--help"]));
        assert_eq!((help.code, help.stderr.as_str()), (0, ""), "{command}");
        insta::assert_snapshot!(format!("help-{command}"), help.stdout);
    }
}
