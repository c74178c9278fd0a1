//! The command line: a thin shell that holds no rules.
//!
//! In: arguments, standard input and output. Out: exit codes. One file a command; the table of
//! commands and their help is the [`Arguments`] type. Messages go to standard error, data to
//! standard output, and `-` stands for either.

mod adjust;
mod attend;
mod check;
mod class_report;
mod desk;
mod explain;
mod export;
mod fault;
mod feedback;
mod for_teacher;
mod into;
mod issue;
mod keep;
mod mark;
mod new;
mod oneroster;
mod out;
mod practice;
mod print;
mod progress;
mod reading;
mod record;
mod remark;
mod report;
mod roster;
mod schema;
mod shell;
mod summary;
mod term_report;
mod tour;
mod worked;
mod written;

use std::ffi::OsString;
use std::io::{self, IsTerminal, Write as _};

use clap::{Parser, Subcommand};

use crate::files;
use crate::workflow::Failure;

/// What the program says of itself when it ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// Done. Illegible entries are reported and are no error.
    Done = 0,
    /// The work has findings: what `check` found in variants and figures, rows that belong to nobody,
    /// answers that fit nobody, files that seem to be others than those that were meant.
    Findings = 1,
    /// Bad input or bad arguments.
    BadInput = 2,
    /// The machine failed: a full disk, a lock; or the program itself did.
    Machine = 3,
}

const LONG_ABOUT: &str = "\
Gives every student of a class their own numbers, reads what they wrote on paper, marks it as a
careful colleague would (value, unit and significant figures apart; a slip is paid for once) and
writes marks and feedback for the gradebook. The teacher has the last word on every mark.";

const AFTER_HELP: &str = "\
A first round:
  paperweight tour
Step by step, from the folder this program comes in:
  paperweight check assignments/ropes-1.toml
  paperweight mark assignments/ropes-1.toml --roster rosters/set-3.csv \\
      --answers tests/data/ropes-1-set-3.csv --record :memory: --out marks.csv
  paperweight explain assignments/ropes-1.toml --roster rosters/set-3.csv \\
      --student 004071 --part b=\"0.90 m/s^2\"

Exit codes:
  0  done; entries that cannot be read are reported, which is no error; also where the reader of
     standard output goes away early
  1  the work has findings: what `check` found in variants and figures, rows that belong to nobody,
     answers that fit nobody, a file that seems to be another than was meant
  2  bad input: a file or an argument is wrong
  3  the machine failed (a full disk, a lock), or the program itself did

Rosters, answers and marks are records of students: show each student only their own, and keep
and destroy them by the rules of your school.";

/// Own numbers for every student, and fair marks for what they wrote on paper.
#[derive(Debug, Parser)]
#[command(name = "paperweight", version, about, long_about = LONG_ABOUT, after_help = AFTER_HELP, max_term_width = 100)]
struct Arguments {
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    Desk(desk::Arguments),
    Tour(tour::Arguments),
    New(new::Arguments),
    Check(check::Arguments),
    Issue(issue::IssueArguments),
    Reissue(issue::ReissueArguments),
    Mark(mark::Arguments),
    Attend(attend::Arguments),
    Adjust(adjust::Arguments),
    Remark(remark::Arguments),
    Feedback(feedback::Arguments),
    Export(export::Arguments),
    Report(class_report::Arguments),
    Backup(keep::BackupArguments),
    Record(keep::RecordCommand),
    Roster(roster::RosterCommand),
    Purge(keep::PurgeArguments),
    Explain(explain::Arguments),
    Worked(worked::Arguments),
    Schema(schema::Arguments),
    Completions(shell::CompletionsArguments),
    Man(shell::ManArguments),
}

impl Command {
    /// Whether it opens the desk, which minds signals by itself.
    fn opens_desk(&self) -> bool {
        match self {
            Self::Desk(_) => true,
            Self::Mark(arguments) => arguments.opens_desk(),
            _ => false,
        }
    }

    /// What the program does if it is not told.
    fn desk() -> Self {
        Self::Desk(desk::Arguments::default())
    }
}

/// Runs the program with these arguments, the first being its own name. A fault of the program is
/// told as such and ends with [`Exit::Machine`].
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> Exit {
    fault::tell();
    fault::caught(|| work(arguments))
}

fn work(arguments: impl IntoIterator<Item = OsString>) -> Exit {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version come here too, and go to standard output.
            if !error.use_stderr() {
                let _ = error.print();
                return Exit::Done;
            }
            // What was typed is quoted in it, and may be anything.
            let _ = write!(io::stderr(), "{}", out::shown(&error.render().to_string()));
            return Exit::BadInput;
        }
    };
    let command = arguments.command.unwrap_or_else(Command::desk);
    if !command.opens_desk() {
        // Without it the work is the same, and a signal leaves more behind.
        let _ = files::clear_on_signals();
    }
    let outcome = match command {
        Command::Desk(arguments) => desk::run(&arguments),
        Command::Tour(arguments) => tour::run(&arguments),
        Command::New(arguments) => new::run(&arguments),
        Command::Check(arguments) => check::run(&arguments),
        Command::Issue(arguments) => issue::issue(&arguments),
        Command::Reissue(arguments) => issue::reissue(&arguments),
        Command::Mark(arguments) => mark::run(&arguments),
        Command::Attend(arguments) => attend::run(&arguments),
        Command::Adjust(arguments) => adjust::run(&arguments),
        Command::Remark(arguments) => remark::run(&arguments),
        Command::Feedback(arguments) => feedback::run(&arguments),
        Command::Export(arguments) => export::run(&arguments),
        Command::Report(arguments) => class_report::run(&arguments),
        Command::Backup(arguments) => keep::backup(&arguments),
        Command::Record(arguments) => keep::on_record(&arguments),
        Command::Roster(command) => roster::on_roster(&command),
        Command::Purge(arguments) => keep::purge(&arguments),
        Command::Explain(arguments) => explain::run(&arguments),
        Command::Worked(arguments) => worked::run(&arguments),
        Command::Schema(arguments) => schema::run(&arguments),
        Command::Completions(arguments) => shell::completions(&arguments),
        Command::Man(arguments) => shell::man(&arguments),
    };
    match outcome {
        Ok(exit) => exit,
        Err(failure) => {
            report::show(failure.findings());
            match failure {
                Failure::Input(_) => Exit::BadInput,
                Failure::Machine(_) => Exit::Machine,
            }
        }
    }
}

/// Whether the user wants colour.
fn has_color() -> bool {
    std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
}

/// Whether standard error may be coloured.
fn is_coloured() -> bool {
    has_color() && std::io::stderr().is_terminal()
}
