//! Which record a command works on, and the clock.
//!
//! In: `--record`, `--class` and `--roster`, or nothing of them. Out: an open record (the file named, else
//! the one in the assignment's course folder), a class in it. Refused: no record where one has to be, with
//! what to do.

use std::path::{Path, PathBuf};

use crate::diagnostic::{Diagnostic, Place, nearest};
use crate::record::{IN_MEMORY, OpenMode, Record, RosterFile};
use crate::roster::Roster;
use crate::text::{DecimalMark, QUOTED, excerpt};
pub(super) use crate::tui::{now, today};
pub(super) use crate::workflow::classes;
use crate::workflow::{self, Failure, Prepared};

use super::report;

/// The record and the class in it.
#[derive(Debug, clap::Args)]
pub(super) struct RecordArguments {
    /// The record of issued papers; by default `paperweight.sqlite` in the course folder
    #[arg(long, value_name = "FILE")]
    pub(super) record: Option<PathBuf>,
    /// What the class is called in the record; by default as its roster's file
    #[arg(long, value_name = "NAME")]
    pub(super) class: Option<String>,
}

impl RecordArguments {
    /// The record's file for an assignment.
    pub(super) fn path(&self, assignment: &Path) -> PathBuf {
        self.record
            .clone()
            .unwrap_or_else(|| workflow::record_beside(assignment))
    }

    /// What the class of a roster is called: as said, else as its file.
    pub(super) fn class_of(&self, roster: &Path) -> String {
        let said = self.class.clone();
        said.unwrap_or_else(|| workflow::class_of(roster))
    }

    /// What the record, if there is one, remembers of the roster of the class.
    pub(super) fn known_roster(
        &self,
        roster: &Path,
        assignment: &Path,
    ) -> Result<Option<RosterFile>, Failure> {
        let path = self.path(assignment);
        if self.is_in_memory() || !path.exists() {
            return Ok(None);
        }
        let record = Record::open(&path, OpenMode::Read)?;
        Ok(record.roster_of(&self.class_of(roster))?)
    }

    /// Whether the record is one that is not kept.
    pub(super) fn is_in_memory(&self) -> bool {
        self.record.as_deref() == Some(Path::new(IN_MEMORY))
    }

    /// Opens a record that has to be there.
    pub(super) fn open(&self, assignment: &Path, mode: OpenMode) -> Result<Record, Failure> {
        let path = self.path(assignment);
        if self.is_in_memory() {
            let message = "nothing is kept in memory that this could be about";
            let error = Diagnostic::error("--record", Place::File, message);
            return Err(Failure::of(
                error.help("name the file of a record, or leave --record out"),
            ));
        }
        if mode != OpenMode::Create && self.record.is_none() && !path.exists() {
            return Err(Failure::of(no_record(&path)));
        }
        Ok(Record::open(&path, mode)?)
    }
}

/// The course folder around the working folder, by its way from there.
pub(super) fn course_here() -> PathBuf {
    let here = std::env::current_dir().unwrap_or_else(|_| PathBuf::from("."));
    let around = workflow::course_folder(&here.join("here"));
    let inside = around.strip_prefix(&here).map(Path::to_owned);
    inside.unwrap_or(around)
}

/// There is no record in the course folder.
pub(super) fn no_record(path: &Path) -> Diagnostic {
    let name = path.to_string_lossy();
    let message = "there is no record here yet, so nothing was issued";
    Diagnostic::error(&name, Place::File, message).help(
        "hand papers out with `issue`, or mark a one-off that is not kept with `--record :memory:`",
    )
}

/// A class whose roster may be known to the record.
#[derive(Debug, clap::Args)]
pub(super) struct ClassArguments {
    #[command(flatten)]
    pub(super) record: RecordArguments,
    /// The class: a CSV file with a heading; by default the one that papers were issued with
    #[arg(long, value_name = "CSV")]
    pub(super) roster: Option<PathBuf>,
}

/// What a command about issued papers works on.
pub(super) struct Opened {
    pub(super) prepared: Prepared,
    pub(super) record: Record,
    pub(super) class: String,
}

impl ClassArguments {
    /// Prepares the assignment, opens its record, and finds the class that is meant.
    pub(super) fn open(&self, assignment: &Path, mode: OpenMode) -> Result<Opened, Failure> {
        let prepared = workflow::prepare(workflow::load(assignment)?)?;
        let record = self.record.open(assignment, mode)?;
        let class = self.class(&record, &prepared)?;
        Ok(Opened {
            prepared,
            record,
            class,
        })
    }

    /// The same with the roster of the class.
    pub(super) fn open_with_roster(
        &self,
        assignment: &Path,
        mode: OpenMode,
    ) -> Result<(Opened, Roster, DecimalMark), Failure> {
        let opened = self.open(assignment, mode)?;
        let (roster, decimal) = self.roster(&opened.record, &opened.class, assignment)?;
        Ok((opened, roster, decimal))
    }

    /// The class that is named, by itself or by its roster.
    pub(super) fn named(&self) -> Option<String> {
        let said = self.record.class.clone();
        said.or_else(|| self.roster.as_deref().map(workflow::class_of))
    }

    /// The class that is meant: the one named, that of the roster, or the only one that has papers.
    pub(super) fn class(&self, record: &Record, prepared: &Prepared) -> Result<String, Failure> {
        if let Some(class) = self.named() {
            return Ok(class);
        }
        let sheet = &prepared.plan.sheet.code;
        let classes = classes(record, sheet)?;
        match classes.as_slice() {
            [class] => Ok(class.clone()),
            [] => Err(Failure::of(not_issued(record, sheet))),
            several => {
                let classes = several.join(", ");
                let message = format!("several classes have papers of `{sheet}`: {classes}");
                let error = Diagnostic::error(record.name(), Place::File, message);
                Err(Failure::of(error.help("say which one with --class NAME")))
            }
        }
    }

    /// The roster of the class: the one named, else the one that papers were issued with.
    pub(super) fn roster(
        &self,
        record: &Record,
        class: &str,
        assignment: &Path,
    ) -> Result<(Roster, DecimalMark), Failure> {
        let known = record.roster_of(class)?.unwrap_or_default();
        let (roster, assumed) = match &self.roster {
            Some(path) => workflow::roster(path, &known.columns())?,
            None if known.path.is_empty() && is_unknown(record, class)? => {
                return Err(Failure::of(no_class(record, class)?));
            }
            None if known.path.is_empty() => {
                let message = format!("the roster of the class `{class}` is not known");
                let error = Diagnostic::error(record.name(), Place::File, message);
                return Err(Failure::of(error.help("name it with --roster")));
            }
            None => workflow::known_roster(&workflow::course_folder(assignment), class, &known)?,
        };
        report::show(&assumed);
        Ok((roster, known.decimal()))
    }
}

/// Whether no paper of a class is in the record.
fn is_unknown(record: &Record, class: &str) -> Result<bool, Failure> {
    Ok(record.progress()?.iter().all(|at| at.class != class))
}

/// The record has no class of this name: those that it has.
pub(super) fn no_class(record: &Record, class: &str) -> Result<Diagnostic, Failure> {
    let progress = record.progress()?;
    let mut classes: Vec<&str> = progress.iter().map(|at| at.class.as_str()).collect();
    classes.sort_unstable();
    classes.dedup();
    let message = format!("the record has no class `{}`", excerpt(class, QUOTED));
    let error = Diagnostic::error(record.name(), Place::File, message);
    let near = nearest(class, classes.iter().copied());
    Ok(match (near, classes.as_slice()) {
        (Some(near), _) => error.help(format!("did you mean `{near}`?")),
        (None, []) => error.help("no class is in it"),
        (None, classes) => error.help(format!("its classes are {}", classes.join(", "))),
    })
}

/// No class has a paper of a sheet.
pub(super) fn not_issued(record: &Record, sheet: &str) -> Diagnostic {
    let message = format!("no paper of `{sheet}` was issued yet");
    Diagnostic::error(record.name(), Place::File, message).help("`issue` hands papers out")
}
