//! `paperweight export`: the marks of a class from the record.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::files::{Draft, FileError};
use crate::gradebook::pseudonyms::{self, Pseudonyms};
use crate::record::{OpenMode, Record};
use crate::roster::Roster;
use crate::text::counted;
use crate::workflow::{self, Export, ExportRequest, Failure, Form, MarkOutcome, Prepared};

use super::for_teacher::ForTeacher;
use super::oneroster::OneRosterArguments;
use super::record::{ClassArguments, now};
use super::{Exit, into, oneroster, out, report, summary};

/// Write the marks of a class as they stand in the record
///
/// The same file that `mark` writes for the same entries, or with --into one column of a gradebook that is
/// kept elsewhere, in which nothing else is touched. What was proposed is kept with it, so that `remark`
/// can show later what would move.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The assignment or sheet
    #[arg(value_name = "FILE")]
    assignment: PathBuf,
    #[command(flatten)]
    class: ClassArguments,
    /// Where the marks go; `-` writes them to standard output. Only marks of the same parts are replaced
    #[arg(long, value_name = "CSV", default_value = "-")]
    out: PathBuf,
    /// Write one JSON object a student instead of CSV; with --into one that lists the cells
    #[arg(long)]
    json: bool,
    /// Write totals of papers that are partly marked or need a look, too
    #[arg(long)]
    partial: bool,
    /// Write what students are told instead, one row each, for a mail merge
    #[arg(long, conflicts_with = "json")]
    letters: bool,
    /// Write fresh codes instead of ids, and neither names nor feedback, in another order; who is who goes
    /// into a new file of this name
    #[arg(long, value_name = "KEY", conflicts_with_all = ["json", "letters", "into", "oneroster"])]
    pseudonyms: Option<PathBuf>,
    #[command(flatten)]
    for_teacher: ForTeacher,
    #[command(flatten)]
    into: into::IntoArguments,
    #[command(flatten)]
    oneroster: OneRosterArguments,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let (mut opened, roster, decimal) = arguments
        .class
        .open_with_roster(&arguments.assignment, OpenMode::Write)?;
    let pseudonyms = match &arguments.pseudonyms {
        Some(_) => Some(pseudonyms::draw(roster.len(), &random()?)),
        None => None,
    };
    let request = ExportRequest {
        prepared: &opened.prepared,
        roster: &roster,
        class: &opened.class,
        decimal,
        form: if arguments.letters {
            Form::Letters
        } else {
            form(arguments.json)
        },
        partial: arguments.partial,
        for_teacher: arguments.for_teacher.is_asked(),
        pseudonyms: pseudonyms.as_ref(),
        now: now(),
    };
    if let Some(to) = &arguments.oneroster.oneroster {
        let known = opened.record.roster_of(&opened.class)?.unwrap_or_default();
        let roster = arguments.class.roster.as_ref();
        let name = roster.map_or(known.path, |path| path.to_string_lossy().into_owned());
        return oneroster::run(
            &arguments.oneroster,
            to,
            &request,
            &name,
            &mut opened.record,
        );
    }
    if let Some(gradebook) = &arguments.into.into {
        let into = arguments.into.request(gradebook, &arguments.assignment)?;
        return into::run(
            &arguments.into,
            into,
            &request,
            &mut opened.record,
            arguments.json,
        );
    }
    let export = workflow::export(&request, &opened.record)?;
    if let (Some(path), Some(drawn)) = (&arguments.pseudonyms, &pseudonyms) {
        // Before the marks, which are of no use without it; a key that is there is never replaced.
        put_key(path, drawn, &roster)?;
    }
    put(&export, &request, &mut opened.record, &arguments.out)?;
    let (prepared, outcome) = (&opened.prepared, &export.outcome);
    arguments.for_teacher.put(prepared, &roster, outcome)?;
    finish(&export, &opened.prepared, &roster, &arguments.out)
}

/// Bytes that nobody can foresee.
fn random() -> Result<[u8; 32], Failure> {
    let mut bytes = [0; 32];
    getrandom::fill(&mut bytes).map_err(|error| {
        let error = io::Error::other(error.to_string());
        Failure::from(FileError::from_io("--pseudonyms", &error))
    })?;
    Ok(bytes)
}

fn put_key(path: &Path, drawn: &Pseudonyms, roster: &Roster) -> Result<(), Failure> {
    let draft = Draft::create(path, |_| false)?;
    Ok(draft.put(&drawn.key(roster.iter()))?)
}

pub(super) fn form(json: bool) -> Form {
    if json { Form::JsonLines } else { Form::Csv }
}

/// Keeps in the record that the marks were taken, and puts them where they belong.
pub(super) fn put(
    export: &Export,
    request: &ExportRequest<'_>,
    record: &mut Record,
    to: &Path,
) -> Result<(), Failure> {
    // A record that takes nothing more is told before there are marks that it knows nothing of.
    export.accept(record)?;
    if out::is_pipe(to) {
        out::rows(&export.bytes)
    } else {
        export.put(request, to)
    }
}

/// Says what came of it.
pub(super) fn finish(
    export: &Export,
    prepared: &Prepared,
    roster: &Roster,
    to: &Path,
) -> Result<Exit, Failure> {
    report::show(&export.outcome.findings);
    Ok(summed_up(&export.outcome, prepared, roster, to))
}

/// Says how a class did whose marks stand at `to`.
pub(super) fn summed_up(
    outcome: &MarkOutcome,
    prepared: &Prepared,
    roster: &Roster,
    to: &Path,
) -> Exit {
    let text = summary::of(&prepared.plan, roster, outcome);
    // The marks stand where they belong: that nobody reads the summary is no failure.
    let _ = if out::is_pipe(to) {
        write!(io::stderr(), "{text}")
    } else {
        let (students, to) = (counted(roster.len(), "student"), to.display());
        writeln!(io::stdout(), "{text}marks for {students} in {to}")
    };
    if outcome.has_findings {
        Exit::Findings
    } else {
        Exit::Done
    }
}
