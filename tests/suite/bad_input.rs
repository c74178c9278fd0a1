//! Bad input, from the command line to what a teacher reads: where it is, what was found, what to do.
//! Nothing half-written is left behind, and what stood there still stands there.
//!
//! Each file in `tests/corpus/bad-input/{assignments,rosters,answers}` takes the place of the good one
//! of `good`; the snapshots in `told` hold the exit code and all that is printed. Files too large to
//! be kept are made here.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use crate::hands::program::{Run, program, run};

const GOOD: [&str; 3] = ["cart-1.toml", "roster.csv", "answers.csv"];

fn corpus() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus/bad-input")
}

/// A folder with the good files, to run the program in.
struct Desk {
    folder: tempfile::TempDir,
}

impl Desk {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        for file in GOOD {
            fs::copy(corpus().join("good").join(file), folder.path().join(file)).unwrap();
        }
        Self { folder }
    }

    fn path(&self, file: &str) -> PathBuf {
        self.folder.path().join(file)
    }

    fn write(&self, file: &str, bytes: impl AsRef<[u8]>) {
        fs::write(self.path(file), bytes).unwrap();
    }

    /// Runs `paperweight` with these arguments, and holds that a refusal changes nothing.
    fn run(&self, arguments: &[&str]) -> Run {
        let before = self.contents();
        let mut command = program();
        command.current_dir(self.folder.path()).args(arguments);
        // Nothing is issued here: papers are marked as a one-off unless a case says otherwise.
        if arguments.first() == Some(&"mark") && !arguments.contains(&"--record") {
            command.args(["--record", ":memory:"]);
        }
        let found = run(&mut command);
        if found.code > 1 {
            assert_eq!(
                self.contents(),
                before,
                "{arguments:?} left something behind"
            );
            assert_eq!(found.stdout, "", "{arguments:?}");
            assert!(
                found.stderr.contains("error"),
                "{arguments:?}: {}",
                found.stderr
            );
        }
        let fault = ["panicked", "RUST_BACKTRACE", "a fault of the program"];
        assert!(
            !fault.iter().any(|word| found.stderr.contains(word)),
            "{}",
            found.stderr
        );
        found
    }

    /// Marks with these three files and `--out marks.csv`.
    fn mark(&self, [assignment, roster, answers]: [&str; 3]) -> Run {
        let files = ["mark", assignment, "--roster", roster, "--answers", answers];
        self.run(&[&files[..], &["--out", "marks.csv"]].concat())
    }

    /// Names and contents of all files, hidden ones too.
    fn contents(&self) -> Vec<(PathBuf, Vec<u8>)> {
        let mut found = Vec::new();
        let mut folders = vec![self.folder.path().to_owned()];
        while let Some(folder) = folders.pop() {
            for entry in fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    folders.push(path.clone());
                    found.push((path, Vec::new()));
                } else {
                    // Long files are told apart well enough by their beginnings and lengths.
                    let bytes = fs::read(&path).unwrap();
                    let length = bytes.len().to_be_bytes();
                    let start = bytes.into_iter().take(1 << 16);
                    found.push((path, length.into_iter().chain(start).collect()));
                }
            }
        }
        found.sort();
        found
    }
}

fn told(run: &Run) -> String {
    let mut text = format!("exit {}\n{}", run.code, run.stderr);
    if !run.stdout.is_empty() {
        text += &format!("--- on standard output ---\n{}", run.stdout);
    }
    text
}

/// Runs every file of a folder of the corpus in the place of a good one, and gives what was told.
fn each_file(folder: &str, place: usize, check: impl Fn(&Desk, &str, &Run)) {
    insta::with_settings!({ snapshot_path => "../corpus/bad-input/told", prepend_module_to_snapshot => false }, {
        let mut paths: Vec<PathBuf> = fs::read_dir(corpus().join(folder))
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .collect();
        paths.sort();
        assert!(paths.len() > 9);
        for path in paths {
            let name = path.file_name().unwrap().to_str().unwrap();
            let desk = Desk::new();
            fs::copy(&path, desk.path(name)).unwrap();
            let mut files = GOOD;
            files[place] = name;
            let run = desk.mark(files);
            check(&desk, name, &run);
            insta::assert_snapshot!(format!("{folder}@{name}"), told(&run));
        }
    });
}

#[test]
fn the_good_files_are_good() {
    let desk = Desk::new();
    let run = desk.mark(GOOD);
    assert_eq!((run.code, run.stderr.as_str()), (0, ""));
    assert!(
        run.stdout.contains("3 students: 2 marked, 1 absent"),
        "{}",
        run.stdout
    );
}

#[test]
fn assignments() {
    each_file("assignments", 0, |_, name, run| {
        assert_eq!(run.code, 2, "{name}: {}", run.stderr)
    });
}

#[test]
fn rosters() {
    // Answers name students, so they can be read as a roster without names; a warning says what they
    // look like. UTF-16 with its mark is read.
    let code = |name: &str| match name {
        "utf-16.csv" => 0,
        "answers-for-roster.csv" | "plain-answers-for-roster.csv" => 1,
        _ => 2,
    };
    each_file("rosters", 1, |_, name, run| {
        assert_eq!(run.code, code(name), "{name}: {}", run.stderr)
    });
}

/// What belongs to nobody, or cannot be, is told and the rest is marked; what makes the file doubtful
/// as a whole is refused.
#[test]
fn answers() {
    let marked = [
        ("unknown-student.csv", 1),
        ("id-lost-its-zero.csv", 1),
        ("id-one-digit-off.csv", 1),
        ("id-of-the-last-one-off.csv", 1),
        ("name-for-id.csv", 1),
        ("working-beyond.csv", 1),
        ("numbers-beyond-all.csv", 0),
        ("heading-alone.csv", 1),
        ("utf-16.csv", 0),
    ];
    each_file("answers", 2, |desk, name, run| {
        let code = marked.iter().find(|(file, _)| *file == name);
        assert_eq!(
            run.code,
            code.map_or(2, |(_, code)| *code),
            "{name}: {}",
            run.stderr
        );
        if run.code < 2 {
            let marks = fs::read_to_string(desk.path("marks.csv")).unwrap();
            assert_eq!(marks.lines().count(), 4, "{name}: {marks}");
        }
    });
}

#[test]
fn files_and_arguments() {
    let [toml, roster, answers] = GOOD;
    let good = ["mark", toml, "--roster", roster, "--answers", answers];
    let with = |more: &[&'static str]| [&good[..], more].concat();
    let cases: Vec<(&str, Vec<&str>)> = vec![
        (
            "a missing assignment",
            vec![
                "mark",
                "cart-2.toml",
                "--roster",
                roster,
                "--answers",
                answers,
            ],
        ),
        (
            "a missing roster",
            vec![
                "mark",
                toml,
                "--roster",
                "class/roster.csv",
                "--answers",
                answers,
            ],
        ),
        (
            "missing answers",
            vec!["mark", toml, "--roster", roster, "--answers", "answer.csv"],
        ),
        (
            "a folder for the assignment",
            vec!["mark", "folder", "--roster", roster, "--answers", answers],
        ),
        (
            "a folder for the roster",
            vec!["mark", toml, "--roster", "folder", "--answers", answers],
        ),
        (
            "a folder for the answers",
            vec!["mark", toml, "--roster", roster, "--answers", "folder"],
        ),
        (
            "roster and answers exchanged",
            vec!["mark", toml, "--roster", answers, "--answers", roster],
        ),
        (
            "the roster for the answers",
            vec!["mark", toml, "--roster", roster, "--answers", roster],
        ),
        ("out over the roster", with(&["--out", roster])),
        ("out over the answers", with(&["--out", answers])),
        ("out over the assignment", with(&["--out", toml])),
        (
            "out over someone's gradebook",
            with(&["--out", "gradebook.csv"]),
        ),
        ("out over an empty file", with(&["--out", "nothing.csv"])),
        ("out over a folder", with(&["--out", "folder"])),
        (
            "out into a missing folder",
            with(&["--out", "no/such/marks.csv"]),
        ),
        ("out below a file", with(&["--out", "roster.csv/marks.csv"])),
        (
            "JSON over marks",
            with(&["--json", "--out", "old-marks.csv"]),
        ),
        (
            "out over marks of other parts",
            with(&["--out", "other-marks.csv"]),
        ),
        (
            "JSON over that of another assignment",
            with(&["--json", "--out", "other-marks.jsonl"]),
        ),
        ("a missing record", with(&["--record", "year.sqlite"])),
        ("a roster for a record", with(&["--record", roster])),
        ("a date the other way round", with(&["--due", "25.11.2026"])),
        ("an impossible date", with(&["--due", "2026-02-30"])),
        (
            "the roster for the assignment",
            vec!["mark", roster, "--roster", roster, "--answers", answers],
        ),
        ("check, of a figure", vec!["check", "figure.svg"]),
        ("check, of a PDF", vec!["check", "paper.pdf"]),
        (
            "a column that is not there",
            with(&["--id-column", "number"]),
        ),
        ("a decimal mark that is none", with(&["--decimal", ";"])),
        ("a mistyped option", with(&["--rooster", roster])),
        ("no answers", vec!["mark", toml, "--roster", roster]),
        ("a mistyped command", vec!["makr"]),
        ("check, of a missing file", vec!["check", "cart-2.toml"]),
        (
            "check, of a name without its ending",
            vec!["check", "cart-1"],
        ),
        ("check, of a folder", vec!["check", "folder"]),
        ("check, of nothing", vec!["check"]),
        (
            "explain, of a student not on the roster",
            vec![
                "explain",
                toml,
                "--roster",
                roster,
                "--student",
                "101",
                "--part",
                "a=1",
            ],
        ),
        (
            "explain, with parts that are not there",
            vec![
                "explain",
                toml,
                "--roster",
                roster,
                "--student",
                "0101",
                "--part",
                "x=1.4 m/s^2",
                "--part",
                "given:M=2 kg",
            ],
        ),
        (
            "explain, with no part named",
            vec![
                "explain",
                toml,
                "--roster",
                roster,
                "--student",
                "0101",
                "--part",
                "1.4 m/s^2",
            ],
        ),
        (
            "explain, with points that cannot be",
            vec![
                "explain",
                toml,
                "--roster",
                roster,
                "--student",
                "0101",
                "--part",
                "a.working=2",
            ],
        ),
        (
            "explain, with a part given twice",
            vec![
                "explain",
                toml,
                "--roster",
                roster,
                "--student",
                "0101",
                "--part",
                "a=1.4 m/s^2",
                "a=1.5 m/s^2",
            ],
        ),
        (
            "a name with an escape",
            vec![
                "mark",
                "\u{1b}[2Jcart.toml",
                "--roster",
                roster,
                "--answers",
                answers,
            ],
        ),
    ];
    let desk = Desk::new();
    desk.write("gradebook.csv", "id,total\n0101,12\n");
    desk.write("nothing.csv", "");
    desk.write("figure.svg", "<svg xmlns='http://www.w3.org/2000/svg'/>\n");
    desk.write("paper.pdf", b"%PDF-1.7\n%\xE2\xE3\n");
    desk.write(
        "old-marks.csv",
        "student,name,section,status,a,b,c,paper_cost,late,adjusted,total,out_of,feedback\r\n",
    );
    desk.write(
        "other-marks.csv",
        "student,name,section,status,a,b,paper_cost,late,adjusted,total,out_of,feedback\r\n",
    );
    desk.write(
        "other-marks.jsonl",
        "{\"assignment\":\"cart-2\",\"student\":\"0101\"}\n",
    );
    fs::create_dir(desk.path("folder")).unwrap();
    let mut all = String::new();
    for (name, arguments) in cases {
        let run = desk.run(&arguments);
        assert_eq!(run.code, 2, "{name}: {}", run.stderr);
        assert!(!run.stderr.contains('\x1b'), "{name}");
        all += &format!(
            "## {name}\n$ paperweight {}\n{}\n",
            arguments.join(" ").escape_debug(),
            told(&run)
        );
    }
    insta::assert_snapshot!("files-and-arguments", all);
}

#[cfg(unix)]
#[test]
fn places_without_permission() {
    use std::os::unix::fs::PermissionsExt as _;
    let desk = Desk::new();
    fs::create_dir(desk.path("locked")).unwrap();
    let allow = |mode| {
        let permissions = fs::Permissions::from_mode(mode);
        fs::set_permissions(desk.path("locked"), permissions).unwrap();
    };
    allow(0o500);
    // Nothing is closed to the system's own user.
    if fs::write(desk.path("locked/try"), "").is_ok() {
        allow(0o700);
        return;
    }
    let [toml, roster, answers] = GOOD;
    let good = ["mark", toml, "--roster", roster, "--answers", answers];
    let found = desk.run(&[&good[..], &["--out", "locked/marks.csv"]].concat());
    allow(0o700);
    assert_eq!(found.code, 2, "{}", found.stderr);
    assert!(found.stderr.contains("no permission"), "{}", found.stderr);
}

/// A name that could drive a terminal is an escape in JSON wherever it goes, and the same name.
#[test]
fn names_in_json_cannot_work_on_a_terminal() {
    let desk = Desk::new();
    let [toml, _, answers] = GOOD;
    let name = "Ada\u{9b}2J\u{202e}";
    desk.write(
        "hidden.csv",
        format!("id,name\n0101,{name}\n0102,B\n0103,C\n"),
    );
    let found = desk.run(&[
        "mark",
        toml,
        "--roster",
        "hidden.csv",
        "--answers",
        answers,
        "--json",
    ]);
    assert_eq!(found.code, 0, "{}", found.stderr);
    assert!(
        found.stdout.contains(r"Ada\u009b2J\u202e"),
        "{}",
        found.stdout
    );
    let line = found.stdout.lines().next().unwrap();
    let line: serde_json::Value = serde_json::from_str(line).unwrap();
    assert_eq!(line["name"], name);
}

/// A run that may not take its time, whatever the size of the file.
fn quick(desk: &Desk, files: [&str; 3]) -> Run {
    let started = Instant::now();
    let run = desk.mark(files);
    let taken = started.elapsed();
    assert!(taken < Duration::from_secs(20), "{files:?} took {taken:?}");
    run
}

#[test]
fn ten_thousand_brackets() {
    let desk = Desk::new();
    let [toml, roster, answers] = GOOD;
    let deep = format!("{}m*a{}", "(".repeat(10_000), ")".repeat(10_000));
    let text = fs::read_to_string(desk.path(toml)).unwrap();
    desk.write("deep.toml", text.replace("F = m*a", &format!("F = {deep}")));
    let found = quick(&desk, ["deep.toml", roster, answers]);
    assert_eq!(found.code, 2, "{}", found.stderr);
    assert!(found.stderr.contains("deep.toml:16"), "{}", found.stderr);
    assert!(found.stderr.contains("help:"), "{}", found.stderr);
    // The line is shown in part: a screen holds no 20,000 characters.
    assert!(found.stderr.lines().all(|line| line.chars().count() < 400));
    let lists = format!("title = {}1{}\n", "[".repeat(10_000), "]".repeat(10_000));
    desk.write("lists.toml", lists);
    let found = quick(&desk, ["lists.toml", roster, answers]);
    assert_eq!(found.code, 2, "{}", found.stderr);
    // A student's brackets are no error: the entry cannot be read.
    desk.write("brackets.csv", format!("student,a,b,c\n0101,{deep},,\n"));
    let found = quick(&desk, [toml, roster, "brackets.csv"]);
    assert_eq!(found.code, 0, "{}", found.stderr);
    assert!(found.stdout.contains("1 to look at"), "{}", found.stdout);
}

#[test]
fn a_line_of_a_hundred_megabytes() {
    const MEGABYTE: usize = 1 << 20;
    let desk = Desk::new();
    let [toml, roster, answers] = GOOD;
    let long = |file: &str, start: &str| {
        let mut out = fs::File::create(desk.path(file)).unwrap();
        out.write_all(start.as_bytes()).unwrap();
        let block = vec![b'7'; MEGABYTE];
        for _ in 0..100 {
            out.write_all(&block).unwrap();
        }
    };
    long("long.csv", "id,a,b,c\n0101,");
    long("long.toml", "title = \"");
    for (files, place) in [
        ([toml, roster, "long.csv"], "long.csv:2"),
        ([toml, "long.csv", answers], "long.csv:2"),
        (["long.toml", roster, answers], "long.toml"),
    ] {
        let found = quick(&desk, files);
        assert_eq!(found.code, 2, "{}", found.stderr);
        assert!(found.stderr.contains(place), "{}", found.stderr);
        assert!(found.stderr.contains("help:"), "{}", found.stderr);
        assert!(found.stderr.len() < 2_000, "{}", found.stderr.len());
    }
    // Within the length of a row a long entry is one that cannot be read.
    desk.write(
        "entry.csv",
        format!("student,a,b,c\n0101,{},,\n", "7".repeat(MEGABYTE / 2)),
    );
    let found = quick(&desk, [toml, roster, "entry.csv"]);
    assert_eq!(found.code, 0, "{}", found.stderr);
    assert!(found.stdout.contains("1 to look at"), "{}", found.stdout);
}

/// What was marked before stands until the new marks are complete.
#[test]
fn old_marks_survive_a_refusal() {
    let desk = Desk::new();
    assert_eq!(desk.mark(GOOD).code, 0);
    let before = fs::read(desk.path("marks.csv")).unwrap();
    desk.write("ragged.csv", "student,a,b,c\n0101,1\n");
    assert_eq!(desk.mark([GOOD[0], GOOD[1], "ragged.csv"]).code, 2);
    assert_eq!(fs::read(desk.path("marks.csv")).unwrap(), before);
    // And marks of our own are replaced without a question, in both forms.
    assert_eq!(desk.mark(GOOD).code, 0);
    assert_eq!(fs::read(desk.path("marks.csv")).unwrap(), before);
    let [toml, roster, answers] = GOOD;
    let good = ["mark", toml, "--roster", roster, "--answers", answers];
    let lines = [&good[..], &["--json", "--out", "marks.jsonl"]].concat();
    assert_eq!(desk.run(&lines).code, 0);
    let before = fs::read(desk.path("marks.jsonl")).unwrap();
    assert_eq!(desk.run(&lines).code, 0);
    assert_eq!(fs::read(desk.path("marks.jsonl")).unwrap(), before);
}
