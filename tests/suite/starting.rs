//! `paperweight new` as the built program: copies of the shelf, and the form through a pipe.

use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

use tempfile::TempDir;

use crate::hands::program::{Run, program, run};

/// A course folder far from the shelf.
fn course() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("assignments")).unwrap();
    fs::create_dir(folder.path().join("rosters")).unwrap();
    folder
}

fn new(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = program();
    command.current_dir(folder).arg("new").args(arguments);
    command
}

fn answered(folder: &Path, arguments: &[&str], lines: &str) -> Run {
    let mut command = new(folder, arguments);
    command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    let mut stdin = child.stdin.take().unwrap();
    // Whoever has read enough goes away.
    let _ = stdin.write_all(lines.as_bytes());
    drop(stdin);
    let output = child.wait_with_output().unwrap();
    Run {
        code: output.status.code().unwrap_or(-1),
        stdout: String::from_utf8(output.stdout).unwrap(),
        stderr: String::from_utf8(output.stderr).unwrap(),
    }
}

#[test]
fn a_copy_of_the_shelf_is_ready_to_be_handed_out() {
    let course = course();
    let folder = course.path();
    let begun = run(&mut new(
        folder,
        &["--from", "Lift-1", "--title", "Up \"and\" down"],
    ));
    assert_eq!((begun.code, begun.stderr.as_str()), (0, ""));
    assert_eq!(
        begun.stdout,
        "lift-2  Up \"and\" down\n  assignments/lift-2.toml\n  assignments/lift-2.svg\n\n\
         next: make text, numbers and slips yours in a text editor, then\n  \
         paperweight check assignments/lift-2.toml\n  \
         paperweight issue assignments/lift-2.toml --roster rosters/CLASS.csv --out papers\n"
    );
    let copy = fs::read_to_string(folder.join("assignments/lift-2.toml")).unwrap();
    assert!(copy.starts_with("# A scale in a lift"));
    assert!(copy.contains("code  = \"lift-2\"") && copy.contains("figure = \"lift-2.svg\""));
    assert!(!copy.contains("391704"), "the seed of the shelf");
    let shipped = Path::new(env!("CARGO_MANIFEST_DIR")).join("assignments/newton/lift-1.svg");
    let figure = fs::read(folder.join("assignments/lift-2.svg")).unwrap();
    assert_eq!(figure, fs::read(shipped).unwrap());
    let mut check = program();
    check
        .current_dir(folder)
        .args(["check", "assignments/lift-2.toml"]);
    let checked = run(&mut check);
    assert_eq!((checked.code, checked.stderr.as_str()), (0, ""));

    // The next one has the next code and another seed; one without a figure is one file.
    let again = run(&mut new(folder, &["--from", "lift-1"]));
    assert!(again.stdout.starts_with("lift-3  Weighing in the lift\n"));
    let other = fs::read_to_string(folder.join("assignments/lift-3.toml")).unwrap();
    let seed = |text: &str| {
        text.lines()
            .find(|line| line.starts_with("seed"))
            .unwrap()
            .to_owned()
    };
    assert_ne!(seed(&copy), seed(&other));
    let drawer = folder.join("assignments/heat");
    fs::create_dir(&drawer).unwrap();
    let placed = run(&mut new(
        &drawer,
        &["--from", "bath-1", "--code", "tub", "--seed", "7"],
    ));
    assert_eq!((placed.code, placed.stderr.as_str()), (0, ""));
    assert!(placed.stdout.starts_with("tub  ") && !placed.stdout.contains(".svg"));
    let text = fs::read_to_string(drawer.join("tub.toml")).unwrap();
    assert_eq!(seed(&text).split('=').nth(1).map(str::trim), Some("7"));
}

#[test]
fn what_cannot_be_started_is_refused_and_nothing_is_written() {
    let course = course();
    let folder = course.path();
    let taken = folder.join("assignments/mine.toml");
    fs::write(&taken, "code = \"Well-7\"\n").unwrap();
    fs::write(folder.join("assignments/free.svg"), "mine").unwrap();
    for (arguments, expected) in [
        (&["--from", "lift-9"][..], "did you mean \"lift-"),
        (
            &["--from", "ropes-1", "--code", "well-7"],
            "has the code \"well-7\" already",
        ),
        (&["--from", "ropes-1", "--code", "a/b"], "cannot be a code"),
        (
            &["--from", "ropes-1", "--code", "mine"],
            "another file stands there",
        ),
        (
            &["--from", "ropes-1", "--code", "free"],
            "another file stands there",
        ),
        (
            &["--from", "ropes-1", "--out", "x"],
            "an assignment is a TOML file",
        ),
        (
            &["--from", "ropes-1", "--out", "none/x.toml"],
            "does not exist",
        ),
        (&["--from", "ropes-1", "--title", " "], "title"),
        (&["--list", "lift", "nowhere"], "'lift' and 'nowhere'"),
    ] {
        let refused = run(&mut new(folder, arguments));
        assert_eq!(refused.code, 2, "{arguments:?}: {}", refused.stderr);
        assert!(
            refused.stderr.contains(expected),
            "{arguments:?}: {}",
            refused.stderr
        );
        assert_eq!(refused.stdout, "");
    }
    let outside = tempfile::tempdir().unwrap();
    let refused = run(&mut new(outside.path(), &["--from", "ropes-1"]));
    assert!(
        refused.stderr.contains("no folder `assignments`"),
        "{}",
        refused.stderr
    );
    // The desk says the same, and names the tour.
    let refused = run(program().current_dir(outside.path()));
    assert_eq!(refused.code, 2);
    for words in ["no folder `assignments`", "`paperweight tour`"] {
        assert!(refused.stderr.contains(words), "{}", refused.stderr);
    }
    // Where a course folder lies above, it is named.
    let below = folder.join("course");
    fs::create_dir(&below).unwrap();
    let above = run(&mut new(&below, &["--from", "tram-1"]));
    let words = "here is no course folder: it went into the one above";
    assert!(above.stdout.contains(words), "{}", above.stdout);
    fs::remove_file(folder.join("assignments/tram-2.toml")).unwrap();
    let _ = fs::remove_file(folder.join("assignments/tram-2.svg"));
    assert_eq!(fs::read_dir(outside.path()).unwrap().count(), 0);
    assert_eq!(fs::read_dir(folder.join("assignments")).unwrap().count(), 2);
    assert_eq!(fs::read_to_string(taken).unwrap(), "code = \"Well-7\"\n");
}

#[test]
fn the_shelf_is_listed_by_topic() {
    let folder = tempfile::tempdir().unwrap();
    let all = run(&mut new(folder.path(), &["--list"]));
    assert_eq!(all.code, 0);
    assert!(
        all.stdout.starts_with("motion\n  tram-1         level 1  "),
        "{}",
        all.stdout
    );
    let items = paperweight::shelf::drawers()
        .iter()
        .map(|drawer| drawer.items.len());
    assert_eq!(all.stdout.matches("  level ").count(), items.sum::<usize>());
    let some = run(&mut new(folder.path(), &["--list", "HEAT", "kWh"]));
    assert_eq!(
        some.stdout
            .lines()
            .take(2)
            .map(|line| line.split("  level").next().unwrap().trim())
            .collect::<Vec<_>>(),
        ["heat", "kettle-1"]
    );
}

/// The well of `assignments/README.md`, with a mistake at every turn.
const WELL: &str = "
A stone in the well

t = 1.20..2.45 0.02 s
t = 1.20..2.40 0.02 sx
t = 1.20..2.40 0.02 s
u = 1..2 1 s
-u
-u
g = 9.8 m/s^2

A stone falls into a well from rest.
It meets the water after {T}.
It meets the water after {t}. Take g = {g}.
h = m
-

h = meter per
h = m
v = m/s

fall: h = g*t/2

fall: h = g*t^2/2

v = g*t

How deep is the water below the edge?
two
2,5
How fast is the stone when it meets the water?

";

#[test]
fn a_form_is_asked_until_it_can_be_checked() {
    let course = course();
    let begun = answered(course.path(), &["--seed", "20817"], WELL);
    assert_eq!(begun.code, 0, "{}\n{}", begun.stdout, begun.stderr);
    let text = fs::read_to_string(course.path().join("assignments/well-1.toml")).unwrap();
    insta::assert_snapshot!("form", text);
    insta::assert_snapshot!("form_asked", begun.stderr);
    let mut check = program();
    check
        .current_dir(course.path())
        .args(["check", "assignments/well-1.toml"]);
    let checked = run(&mut check);
    assert_eq!((checked.code, checked.stderr.as_str()), (0, ""));
}

#[test]
fn a_form_that_breaks_off_writes_nothing() {
    let course = course();
    let lines: Vec<&str> = WELL.split_inclusive('\n').collect();
    for count in [0, 1, 5, 12, 20, 24, lines.len() - 2] {
        let broken = answered(course.path(), &[], &lines[..count].concat());
        assert_eq!(broken.code, 2, "{count}: {}", broken.stderr);
        assert!(
            broken.stderr.contains("nothing was written"),
            "{count}: {}",
            broken.stderr
        );
    }
    assert_eq!(
        fs::read_dir(course.path().join("assignments"))
            .unwrap()
            .count(),
        0
    );
}

/// Too few variants for a class: told, and put right or kept by whoever answers.
#[test]
fn a_form_tells_what_check_finds() {
    let few = WELL.replace("t = 1.20..2.40 0.02 s\n", "t = 1.20..2.40 0.10 s\n");
    let kept = course();
    let begun = answered(kept.path(), &[], &few);
    assert_eq!(begun.code, 1, "{}", begun.stderr);
    assert!(begun.stderr.contains("there are only 13 variants"));
    let mended = course();
    let more = format!("{few}givens\nt = 1.20..2.40 0.02 s\n\n");
    let begun = answered(mended.path(), &[], &more);
    assert_eq!(begun.code, 0, "{}", begun.stderr);
    let text = fs::read_to_string(mended.path().join("assignments/well-1.toml")).unwrap();
    assert!(text.contains("step = \"0.02 s\""), "{text}");
}

/// Two roots are told apart by a range that is put in when they turn up; an angle has a tolerance of its own.
#[test]
fn a_form_leads_back_to_a_range() {
    let course = course();
    let lines = "A ramp\n\nh = 1.50..3.50 0.05 m\nL = 4.00..6.00 step 0.10 m\n\n\
        A ramp of {L} is {h} high.\n\nθ = deg\n\nh = L*sin(θ)\n\n\
        unknowns\nθ = deg above 0 below [90 deg]\n\n\nFind its \"angle\".\n2.5\n\n";
    let begun = answered(course.path(), &[], lines);
    assert_eq!(begun.code, 0, "{}", begun.stderr);
    assert!(begun.stderr.contains("has several solutions"));
    let text = fs::read_to_string(course.path().join("assignments/ramp-1.toml")).unwrap();
    for line in [
        "\"θ\" = { unit = \"deg\", above = \"0\", below = \"[90 deg]\" }",
        "ask = \"Find its \\\"angle\\\".\"",
        "points = 2.5",
        "tolerance = \"0.5 deg\"",
    ] {
        assert!(text.contains(line), "{line}\n{text}");
    }
}
