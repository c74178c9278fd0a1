//! `paperweight backup`, `paperweight record check` and `paperweight purge`: looking after the record.

use std::path::{Path, PathBuf};

use crate::diagnostic::Severity;
use crate::gradebook::links;
use crate::record::{OpenMode, RECORD, Record};
use crate::text::{counted, safe};
use crate::workflow::{Failure, Findings};

use super::record::{no_class, no_record, now};
use super::{Exit, out, report};

/// Which record, for commands without an assignment.
#[derive(Debug, clap::Args)]
struct WhichRecord {
    /// The record; by default `paperweight.sqlite` in the working folder
    #[arg(long, value_name = "FILE", default_value = RECORD)]
    record: PathBuf,
}

impl WhichRecord {
    fn open(&self, mode: OpenMode) -> Result<Record, Failure> {
        if self.record == Path::new(RECORD) && !self.record.exists() {
            return Err(Failure::of(no_record(&self.record)));
        }
        Ok(Record::open(&self.record, mode)?)
    }
}

/// Copy the record to a new file, whole and checked, while it may be in use
#[derive(Debug, clap::Args)]
pub(super) struct BackupArguments {
    /// The new file; by default the record's name with the date and the time (UTC)
    #[arg(value_name = "TO")]
    to: Option<PathBuf>,
    #[command(flatten)]
    record: WhichRecord,
}

pub(super) fn backup(arguments: &BackupArguments) -> Result<Exit, Failure> {
    let record = arguments.record.open(OpenMode::Read)?;
    let to = arguments.to.clone().unwrap_or_else(|| {
        let path = &arguments.record.record;
        let stem = path.file_stem().unwrap_or_default().to_string_lossy();
        path.with_file_name(format!("{stem}-{}.sqlite", now().format("%Y-%m-%d-%H%M%S")))
    });
    record.backup(&to)?;
    let name = to.to_string_lossy();
    out::rows(format!("the record is in {} too, checked\n", safe(&name)).as_bytes())?;
    Ok(Exit::Done)
}

/// Look after the record
#[derive(Debug, clap::Args)]
pub(super) struct RecordCommand {
    #[command(subcommand)]
    command: OnRecord,
}

#[derive(Debug, clap::Subcommand)]
enum OnRecord {
    /// Check the whole record: the file, and everything that has to hold in it
    Check(CheckArguments),
}

#[derive(Debug, clap::Args)]
struct CheckArguments {
    #[command(flatten)]
    record: WhichRecord,
}

pub(super) fn on_record(command: &RecordCommand) -> Result<Exit, Failure> {
    let OnRecord::Check(arguments) = &command.command;
    let checked = arguments.record.open(OpenMode::Read)?.check()?;
    let broken = checked
        .findings
        .iter()
        .any(|found| found.severity == Severity::Error);
    let state = if broken { "not in order" } else { "in order" };
    let papers = counted(checked.issues, "paper");
    let acts = entries_and_notes(checked.acts);
    let text = format!("{papers} issued, {acts} about them: {state}\n");
    let exit = if checked.findings.is_empty() {
        Exit::Done
    } else {
        Exit::Findings
    };
    report::show(&Findings {
        list: checked.findings,
        sources: Vec::new(),
    });
    out::rows(text.as_bytes())?;
    Ok(exit)
}

/// How many acts a record holds, in a teacher's words.
fn entries_and_notes(acts: usize) -> String {
    match acts {
        1 => "1 entry or note".to_owned(),
        _ => format!("{acts} entries and notes"),
    }
}

/// Delete all papers of a class and all that was keyed of them, at the year's end
///
/// What is deleted is overwritten in the record's file. That reaches no other copy: not your backups,
/// not copies made by the system or by a synchronized folder, not files of marks that were written,
/// and a disk may keep old blocks for a while.
#[derive(Debug, clap::Args)]
pub(super) struct PurgeArguments {
    /// The class, as it is called in the record
    #[arg(long, value_name = "NAME")]
    class: String,
    /// Delete; without it only what would be deleted is told
    #[arg(long)]
    yes: bool,
    #[command(flatten)]
    record: WhichRecord,
}

pub(super) fn purge(arguments: &PurgeArguments) -> Result<Exit, Failure> {
    let mut record = arguments.record.open(OpenMode::Write)?;
    let class = &arguments.class;
    let progress = record.progress()?;
    let sheets: Vec<_> = progress.iter().filter(|at| at.class == *class).collect();
    if sheets.is_empty() {
        return Err(Failure::of(no_class(&record, class)?));
    }
    if !arguments.yes {
        let mut text = format!("class {}: would be deleted\n", safe(class));
        for sheet in sheets {
            let (code, students) = (safe(&sheet.sheet), counted(sheet.students, "student"));
            text += &format!("  {code:<16} papers of {students}\n");
        }
        text += "add --yes to delete them for good; backups and other copies are not reached\n";
        out::rows(text.as_bytes())?;
        return Ok(Exit::Findings);
    }
    let purged = record.purge(class)?;
    let (papers, acts) = (
        counted(purged.issues, "paper"),
        entries_and_notes(purged.acts),
    );
    let text = format!(
        "class {}: {papers} and {acts} are deleted from the record\n\
         backups and other copies of the record still hold them, as do files of marks and {}\n",
        safe(class),
        links::FILE
    );
    out::rows(text.as_bytes())?;
    Ok(Exit::Done)
}
