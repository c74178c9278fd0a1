//! `paperweight export`: the marks of a class from the record.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::files::{Draft, FileError};
use crate::gradebook::marks;
use crate::record::{OpenMode, Record};
use crate::roster::Roster;
use crate::workflow::{self, Export, ExportRequest, Failure, Form, Prepared};

use super::record::{ClassArguments, now};
use super::{Exit, print, report, summary};

/// Write the marks of a class as they stand in the record
///
/// The same file that `mark` writes for the same entries. What was proposed is kept with it, so that
/// `remark` can show later what would move.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The assignment or sheet
    #[arg(value_name = "FILE")]
    assignment: PathBuf,
    #[command(flatten)]
    class: ClassArguments,
    /// Where the marks go; `-` writes them to standard output. Only a file of marks is replaced
    #[arg(long, value_name = "CSV", default_value = "-")]
    out: PathBuf,
    /// Write one JSON object a student instead of CSV
    #[arg(long)]
    json: bool,
    /// Write totals of papers that are partly marked or need a look, too
    #[arg(long)]
    partial: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let prepared = workflow::prepare(workflow::load(&arguments.assignment)?)?;
    let mut record = arguments
        .class
        .record
        .open(&arguments.assignment, OpenMode::Write)?;
    let class = arguments.class.class(&record, &prepared)?;
    let (roster, decimal) = arguments
        .class
        .roster(&record, &class, &arguments.assignment)?;
    let request = ExportRequest {
        prepared: &prepared,
        roster: &roster,
        class: &class,
        decimal,
        form: form(arguments.json),
        partial: arguments.partial,
        now: now(),
    };
    let export = workflow::export(&request, &record)?;
    put(&export, &mut record, &arguments.out, request.form)?;
    finish(&export, &prepared, &roster, &arguments.out)
}

pub(super) fn form(json: bool) -> Form {
    if json { Form::JsonLines } else { Form::Csv }
}

/// Puts marks where they belong, and then keeps in the record that they were taken.
pub(super) fn put(
    export: &Export,
    record: &mut Record,
    out: &Path,
    form: Form,
) -> Result<(), Failure> {
    if out == Path::new("-") {
        print(&export.bytes)?;
        return export.accept(record);
    }
    let is_ours = match form {
        Form::Csv => marks::is_marks_heading,
        Form::JsonLines => |line: &[u8]| line.starts_with(b"{\"student\":"),
    };
    let mut draft = Draft::create(out, is_ours)?;
    let name = draft.name().to_owned();
    draft
        .write_all(&export.bytes)
        .map_err(|error| FileError::from_io(&name, &error))?;
    draft.commit()?;
    export.accept(record)
}

/// Says what came of it.
pub(super) fn finish(
    export: &Export,
    prepared: &Prepared,
    roster: &Roster,
    out: &Path,
) -> Result<Exit, Failure> {
    let outcome = &export.outcome;
    report::show(&outcome.findings);
    let text = summary::of(&prepared.plan, roster, &outcome.tally);
    // The marks stand where they belong: that nobody reads the summary is no failure.
    let _ = if out == Path::new("-") {
        write!(io::stderr(), "{text}")
    } else {
        let (count, out) = (roster.len(), out.display());
        writeln!(io::stdout(), "{text}marks for {count} students in {out}")
    };
    Ok(if outcome.has_findings {
        Exit::Findings
    } else {
        Exit::Done
    })
}
