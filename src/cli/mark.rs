//! `paperweight mark`: marks a class from a file of answers.

use std::io::{self, Write};
use std::path::PathBuf;
use std::sync::Arc;
use std::thread;

use chrono::NaiveDate;

use crate::diagnostic::{Diagnostic, Place};
use crate::files::{self, FileError, Input};
use crate::record::{OpenMode, Record};
use crate::roster::Roster;
use crate::workflow::desk::Class;
use crate::workflow::{self, AnswersFile, ExportRequest, Failure, Findings, MarkRequest, Prepared};

use super::for_teacher::ForTeacher;
use super::progress::Progress;
use super::reading::RosterArguments;
use super::record::{RecordArguments, now};
use super::written::{AnswersWritten, day};
use super::{Exit, export, out, report};

/// Mark a class from a file of answers, and write marks and feedback
///
/// Answers come in one of two layouts, known by the heading: wide, one row a student
/// (`student,a,b,turn`), or long, one row an entry (`student,part,entry`), grouped by student. Further
/// columns: `a.working` (points for working), `given:mA` (a number the student misread), `status`
/// (absent, excused, empty) and `handed_in` (2026-11-25). A row of blanks is a paper handed in empty;
/// a student without a row is absent, which is not 0. A paper code may stand for the student.
///
/// The answers go into the record, and what is marked is what stands there then: a cell that is left
/// blank takes nothing away that was keyed before (a dash does). `--record :memory:` keeps nothing:
/// it gives out the roster's numbers by itself, for a one-off.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The assignment or sheet
    #[arg(value_name = "FILE")]
    assignment: PathBuf,
    #[command(flatten)]
    roster: RosterArguments,
    /// The answers; `-` reads them from standard input. Without them the desk opens on the stack
    #[arg(long, value_name = "CSV")]
    answers: Option<PathBuf>,
    #[command(flatten)]
    written: AnswersWritten,
    /// Where the marks go; only marks of the same parts are replaced, and only when all is marked.
    /// `-` writes them to standard output: a one-off row by row, so that one that fails leaves the
    /// first rows there
    #[arg(long, value_name = "CSV", default_value = "-")]
    out: PathBuf,
    /// Write one JSON object a student instead of CSV
    #[arg(long)]
    json: bool,
    /// Write totals of papers that are partly marked or need a look, too
    #[arg(long)]
    partial: bool,
    #[command(flatten)]
    for_teacher: ForTeacher,
    #[command(flatten)]
    record: RecordArguments,
    /// The day the papers of a one-off are due (2026-11-25); later ones lose what the scheme says
    #[arg(long, value_name = "DATE", value_parser = day)]
    due: Option<NaiveDate>,
    /// How many threads mark; by default as many as the machine has
    #[arg(long, value_name = "N", hide = true)]
    threads: Option<usize>,
}

impl Arguments {
    /// Whether papers are keyed at the desk.
    pub(super) fn opens_desk(&self) -> bool {
        self.answers.is_none()
    }
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let Some(answers_path) = &arguments.answers else {
        return on_the_desk(arguments);
    };
    let (prepared, roster) = arguments
        .roster
        .open(&arguments.assignment, &arguments.record)?;
    let answers_name = match out::is_pipe(answers_path) {
        true => "standard input".into(),
        false => answers_path.to_string_lossy(),
    };
    let answers = AnswersFile {
        input: if out::is_pipe(answers_path) {
            Input::from_pipe(io::stdin().lock(), &answers_name)?
        } else {
            files::open(answers_path)?
        },
        name: &answers_name,
        declared: arguments.written.declared(),
    };
    if !arguments.record.is_in_memory() {
        return into_record(arguments, &prepared, &roster, answers);
    }
    report::show(&issued_elsewhere(arguments, &prepared));
    let request = MarkRequest {
        prepared: &prepared,
        roster: &roster,
        answers,
        due: arguments.due,
        decimal: arguments.roster.decimal(None),
        form: export::form(arguments.json),
        partial: arguments.partial,
        for_teacher: arguments.for_teacher.is_asked(),
        threads: arguments
            .threads
            .unwrap_or_else(|| thread::available_parallelism().map_or(1, usize::from)),
    };
    let to_pipe = out::is_pipe(&arguments.out);
    let mut progress = Progress::default().teller();
    let outcome = if to_pipe {
        let mut rows = out::Rows::to_stdout();
        let outcome = workflow::mark(request, &mut rows, out::NAME, &mut progress);
        let flushed = rows.flush();
        if rows.is_closed() {
            return Ok(Exit::Done);
        }
        let outcome = outcome?;
        flushed.map_err(|error| FileError::from_io(out::NAME, &error))?;
        outcome
    } else {
        workflow::mark_into(&arguments.out, request, &mut progress)?
    };
    report::show(&outcome.findings);
    arguments.for_teacher.put(&prepared, &roster, &outcome)?;
    Ok(export::summed_up(
        &outcome,
        &prepared,
        &roster,
        &arguments.out,
    ))
}

/// Opens the desk on the stack: with its record, or as a one-off.
fn on_the_desk(arguments: &Arguments) -> Result<Exit, Failure> {
    let path = &arguments.roster.roster;
    let roster = arguments
        .roster
        .read(&arguments.assignment, &arguments.record)?;
    let name = arguments.record.class_of(path);
    let file = &arguments.assignment;
    let record = if arguments.record.is_in_memory() {
        None
    } else {
        Some(arguments.record.open(file, OpenMode::Write)?)
    };
    let known = record.as_ref().map(|record| record.roster_of(&name));
    let known = known.transpose()?.flatten();
    let class = Class {
        roster: Arc::new(roster),
        name,
        decimal: arguments.roster.decimal(known.as_ref()),
    };
    super::desk::one_stack(file, class, record)
}

/// Puts the answers into the record, then marks what stands there.
fn into_record(
    arguments: &Arguments,
    prepared: &Prepared,
    roster: &Roster,
    answers: AnswersFile<'_>,
) -> Result<Exit, Failure> {
    let answers_name = answers.name;
    if arguments.due.is_some() {
        let message = "the record says when papers are due";
        let error = Diagnostic::error("--due", Place::File, message);
        let help = "set another day with `attend --due`, or mark a one-off with --record :memory:";
        return Err(Failure::of(error.help(help)));
    }
    let file = &arguments.assignment;
    let mut record = arguments.record.open(file, OpenMode::Write)?;
    let class = arguments.record.class_of(&arguments.roster.roster);
    let known = record.roster_of(&class)?;
    let request = ExportRequest {
        prepared,
        roster,
        class: &class,
        decimal: arguments.roster.decimal(known.as_ref()),
        form: export::form(arguments.json),
        partial: arguments.partial,
        for_teacher: arguments.for_teacher.is_asked(),
        pseudonyms: None,
        now: now(),
    };
    if !out::is_pipe(&arguments.out) {
        workflow::may_export(&request, &arguments.out)?;
    }
    let entered = workflow::enter(&request, answers, &mut record)?;
    record.set_roster(&class, &arguments.roster.file(file, known.as_ref()))?;
    report::show(&entered.findings);
    let kept = |failure: Failure| {
        let message = "the answers are in the record; their marks were not written";
        let note = Diagnostic::note(answers_name, Place::File, message);
        failure.besides(note.help("`export` writes them once the rest is mended"))
    };
    let export = workflow::export(&request, &record).map_err(kept)?;
    export::put(&export, &request, &mut record, &arguments.out).map_err(kept)?;
    let outcome = &export.outcome;
    arguments
        .for_teacher
        .put(prepared, roster, outcome)
        .map_err(kept)?;
    let exit = export::finish(&export, prepared, roster, &arguments.out)?;
    Ok(if entered.has_findings {
        Exit::Findings
    } else {
        exit
    })
}

/// A warning where papers of the same code were issued, whose numbers a one-off does not know.
fn issued_elsewhere(arguments: &Arguments, prepared: &Prepared) -> Findings {
    let path = workflow::record_beside(&arguments.assignment);
    if !path.exists() {
        return Findings::default();
    }
    let code = &prepared.plan.sheet.code;
    let name = path.to_string_lossy();
    let issues = Record::open(&path, OpenMode::Read).and_then(|record| record.issues(code));
    let warning = match issues {
        Ok(issues) if issues.is_empty() => return Findings::default(),
        Ok(issues) => Diagnostic::warning(
            &name,
            Place::File,
            format!("this record holds {} issued papers of `{code}`, whose numbers a one-off does not use", issues.len()),
        )
        .help("leave --record out to mark those papers"),
        Err(error) => Diagnostic::warning(
            &name,
            Place::File,
            format!("whether papers were issued cannot be told: {}", error.diagnostic().message),
        ),
    };
    Findings {
        list: vec![warning],
        sources: Vec::new(),
    }
}
