//! A board's stack marked in pieces, by the very commands of the README, is what one run makes of it.

use std::process::{Command, Stdio};

use super::{ANSWERS, Course, ROPES};
use crate::hands::program::{repository, run};

/// The commands of the README under a heading: the first fenced piece of shell.
fn commands(heading: &str) -> String {
    let readme = std::fs::read_to_string(repository().join("README.md")).unwrap();
    let (_, section) = readme.split_once(heading).unwrap();
    let (_, shell) = section.split_once("```sh\n").unwrap();
    shell.split_once("```").unwrap().0.to_owned()
}

/// Runs commands in the course folder, this program being `paperweight`.
fn shell(course: &Course, commands: &str) -> crate::hands::program::Run {
    let bin = course.path("bin");
    std::fs::create_dir_all(&bin).unwrap();
    let link = bin.join("paperweight");
    if !link.exists() {
        std::os::unix::fs::symlink(env!("CARGO_BIN_EXE_paperweight"), &link).unwrap();
    }
    let path = std::env::var_os("PATH").unwrap_or_default();
    let paths = std::iter::once(bin).chain(std::env::split_paths(&path));
    let mut shell = Command::new("sh");
    shell
        .current_dir(course.folder.path())
        .env("PATH", std::env::join_paths(paths).unwrap())
        .args(["-c", commands])
        .stdin(Stdio::null());
    run(&mut shell)
}

#[test]
fn pieces_joined_are_the_whole() {
    let course = Course::new();
    course.issue();
    std::fs::rename(course.path(ANSWERS), course.path("answers.csv")).unwrap();
    let commands = commands("### A board's stack, in pieces");
    assert!(
        commands.contains("split") && commands.contains("xargs"),
        "{commands}"
    );
    // Pieces of 1000 are for a board: a class of 24 is cut into four, and into pieces of one.
    for lines in ["7", "1"] {
        let of_class = commands.replace("-l 1000", &format!("-l {lines}"));
        assert_ne!(of_class, commands);
        let done = shell(&course, &format!("set -e\n{of_class}"));
        assert_eq!(done.code, 0, "{}{}", done.stdout, done.stderr);
        let joined = std::fs::read(course.path("marks.csv")).unwrap();
        // The record was not touched by the pieces: the whole is marked from the same state.
        let before = std::fs::read(course.record()).unwrap();
        std::fs::write(course.path("whole.sqlite"), before).unwrap();
        let arguments = [
            "--answers",
            "answers.csv",
            "--record",
            "whole.sqlite",
            "--out",
            "whole.csv",
        ];
        course.ends(0, &[&["mark"], &ROPES[..], &arguments[..]].concat());
        let whole = std::fs::read(course.path("whole.csv")).unwrap();
        assert!(joined == whole, "pieces of {lines}");
        let rows = String::from_utf8(joined).unwrap();
        assert_eq!(rows.lines().count(), 25);
        // Whose numbers another paper holds is seen across pieces, for the record knows everyone's.
        assert!(
            rows.contains("004855,") && rows.contains("needs a look"),
            "{rows}"
        );
        std::fs::remove_dir_all(course.path("pieces")).unwrap();
    }
}

#[test]
fn a_piece_that_has_findings_or_fails_is_told() {
    let course = Course::new();
    course.issue();
    let commands = commands("### A board's stack, in pieces").replace("-l 1000", "-l 7");
    // No answers at all: no piece can be marked, and the shell says so.
    let done = shell(&course, &format!("set -e\n{commands}"));
    assert_ne!(done.code, 0, "{}{}", done.stdout, done.stderr);
    assert!(!course.path("marks.csv").exists());
}
