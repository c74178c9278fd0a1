//! `paperweight mark`: marks a class from a file of answers.

use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread;
use std::time::{Duration, Instant};

use chrono::NaiveDate;

use crate::diagnostic::{Diagnostic, Place};
use crate::files::{self, FileError, Input};
use crate::record::{OpenMode, Record, RosterFile};
use crate::roster::{Roster, RosterColumns};
use crate::text::{DecimalMark, date};
use crate::workflow::desk::Class;
use crate::workflow::{self, AnswersFile, ExportRequest, Failure, Findings, MarkRequest, Prepared};

use super::for_teacher::ForTeacher;
use super::record::{RecordArguments, now};
use super::written::{AnswersWritten, RosterWritten};
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

/// The roster and how to read it.
#[derive(Debug, clap::Args)]
pub(super) struct RosterArguments {
    /// The class: a CSV file with a heading, one student a row
    #[arg(long, value_name = "CSV")]
    pub(super) roster: PathBuf,
    #[command(flatten)]
    pub(super) reading: RosterReading,
}

/// How to read a roster, where it does not say it itself.
#[derive(Debug, clap::Args)]
pub(super) struct RosterReading {
    /// The roster's column of ids, where its heading is not an obvious one; or its place, counted from 1
    #[arg(long, value_name = "HEADING")]
    id_column: Option<String>,
    /// The roster's column of names
    #[arg(long, value_name = "HEADING")]
    name_column: Option<String>,
    /// The roster's column of sections
    #[arg(long, value_name = "HEADING")]
    section_column: Option<String>,
    /// The roster's column of decimal marks (`.` or `,`)
    #[arg(long, value_name = "HEADING")]
    decimal_column: Option<String>,
    /// The roster's column of print sizes (18 or 24 points, for large print)
    #[arg(long, value_name = "HEADING")]
    print_column: Option<String>,
    /// The decimal mark the class writes, where the roster does not say it for a student; by default as the
    /// record remembers it, else a point
    #[arg(long, value_name = "MARK")]
    decimal: Option<Mark>,
    #[command(flatten)]
    written: RosterWritten,
}

/// A day as the files of answers have it, `2026-11-25`.
pub(super) fn day(text: &str) -> Result<NaiveDate, &'static str> {
    date(text).ok_or("expected a date such as 2026-11-25")
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Mark {
    Point,
    Comma,
}

impl RosterArguments {
    /// An assignment and the roster, with what was assumed of it said.
    pub(super) fn open(&self, assignment: &Path) -> Result<(Prepared, Roster), Failure> {
        let prepared = workflow::prepare(workflow::load(assignment)?)?;
        Ok((prepared, self.read()?))
    }

    fn read(&self) -> Result<Roster, Failure> {
        let (roster, assumed) = workflow::roster(&self.roster, &self.reading.columns())?;
        report::show(&assumed);
        Ok(roster)
    }

    pub(super) fn decimal(&self, known: Option<&RosterFile>) -> DecimalMark {
        self.reading.decimal(known)
    }
}

impl RosterReading {
    pub(super) fn columns(&self) -> RosterColumns {
        RosterColumns {
            file: self.written.declared(),
            id: self.id_column.clone(),
            name: self.name_column.clone(),
            section: self.section_column.clone(),
            decimal: self.decimal_column.clone(),
            print: self.print_column.clone(),
        }
    }

    /// The same as the record keeps them.
    pub(super) fn named_columns(&self) -> [Option<String>; 4] {
        let RosterColumns {
            id,
            name,
            section,
            decimal,
            ..
        } = self.columns();
        [id, name, section, decimal]
    }

    /// The decimal mark of the class: as said, else as the record knows it, else a point.
    pub(super) fn decimal(&self, known: Option<&RosterFile>) -> DecimalMark {
        match self.decimal {
            Some(Mark::Point) => DecimalMark::Point,
            Some(Mark::Comma) => DecimalMark::Comma,
            None => known.map_or(DecimalMark::Point, RosterFile::decimal),
        }
    }
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let Some(answers_path) = &arguments.answers else {
        return on_the_desk(arguments);
    };
    let (prepared, roster) = arguments.roster.open(&arguments.assignment)?;
    let answers_name = answers_path.to_string_lossy();
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
    let roster = arguments.roster.read()?;
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

/// A line on standard error for work that takes longer than a second.
struct Progress {
    started: Instant,
    told: Option<Instant>,
}

impl Default for Progress {
    fn default() -> Self {
        Self {
            started: Instant::now(),
            told: None,
        }
    }
}

impl Progress {
    /// Told how many of all are done; shows it now and then where a person may watch.
    fn teller(mut self) -> impl FnMut(usize, usize) {
        let watched = io::stderr().is_terminal();
        move |done, all| {
            if !watched || self.started.elapsed() < Duration::from_secs(1) {
                return;
            }
            let due = self
                .told
                .is_none_or(|told| told.elapsed() > Duration::from_millis(100));
            if done == all && self.told.is_some() {
                let _ = write!(io::stderr(), "\r\x1b[K");
            } else if due {
                self.told = Some(Instant::now());
                let _ = write!(io::stderr(), "\rmarking: {done} of {all} students");
            }
        }
    }
}
