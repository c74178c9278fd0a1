//! The record from end to end, with the built program on the shipped classes.

mod entered;
mod faults;
mod gradebook;
mod handed_out;
#[cfg(unix)]
mod left;
mod oneroster;
mod practised;
mod reported;
mod rosters;
#[cfg(unix)]
mod sharded;
mod term;
mod word;

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use crate::hands::program::{Run, program, repository, run};

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
