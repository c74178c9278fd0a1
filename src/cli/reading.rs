//! A roster and how to read it: options of every command that needs a class.
//!
//! In: `--roster` and what the file does not say itself. Out: the roster, its columns, and both as the record
//! remembers them. Refused: what the readers refuse.

use std::path::{Path, PathBuf};

use crate::record::{RosterFile, WrittenAs};
use crate::roster::{Roster, RosterColumns};
use crate::text::DecimalMark;
use crate::workflow::{self, Failure, Prepared};

use super::record::RecordArguments;
use super::report;
use super::written::RosterWritten;

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

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Mark {
    Point,
    Comma,
}

impl RosterArguments {
    /// An assignment and the roster, with what was assumed of it said.
    pub(super) fn open(
        &self,
        assignment: &Path,
        record: &RecordArguments,
    ) -> Result<(Prepared, Roster), Failure> {
        let prepared = workflow::prepare(workflow::load(assignment)?)?;
        Ok((prepared, self.read(assignment, record)?))
    }

    /// The roster as it is said to be read, else as the record remembers it.
    pub(super) fn read(
        &self,
        assignment: &Path,
        record: &RecordArguments,
    ) -> Result<Roster, Failure> {
        let known = record.known_roster(&self.roster, assignment)?;
        let columns = self
            .reading
            .columns_of(&self.roster, assignment, known.as_ref());
        let (roster, assumed) = workflow::roster(&self.roster, &columns)?;
        report::show(&assumed);
        Ok(roster)
    }

    pub(super) fn decimal(&self, known: Option<&RosterFile>) -> DecimalMark {
        self.reading.decimal(known)
    }

    /// The roster as the record remembers it.
    pub(super) fn file(&self, assignment: &Path, known: Option<&RosterFile>) -> RosterFile {
        self.reading.file(&self.roster, assignment, known)
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
            remembered: [false; 4],
        }
    }

    /// The same, and what is not said as the record remembers it, if this is the file that it knows.
    pub(super) fn columns_of(
        &self,
        roster: &Path,
        assignment: &Path,
        known: Option<&RosterFile>,
    ) -> RosterColumns {
        let said = self.columns();
        let folder = workflow::course_folder(assignment);
        let same = |known: &&RosterFile| {
            let whole = (
                folder.join(&known.path).canonicalize(),
                roster.canonicalize(),
            );
            matches!(whole, (Ok(known), Ok(file)) if known == file)
        };
        match known.filter(same) {
            Some(known) => said.or(known.columns()),
            None => said,
        }
    }

    /// The decimal mark of the class: as said, else as the record knows it, else a point.
    pub(super) fn decimal(&self, known: Option<&RosterFile>) -> DecimalMark {
        match self.decimal {
            Some(Mark::Point) => DecimalMark::Point,
            Some(Mark::Comma) => DecimalMark::Comma,
            None => known.map_or(DecimalMark::Point, RosterFile::decimal),
        }
    }

    /// A roster as the record remembers it: within the course folder by its way from there; the decimal mark as
    /// it is known, unless another is said.
    pub(super) fn file(
        &self,
        roster: &Path,
        assignment: &Path,
        known: Option<&RosterFile>,
    ) -> RosterFile {
        let folder = workflow::course_folder(assignment);
        let folder = if folder.as_os_str().is_empty() {
            PathBuf::from(".")
        } else {
            folder
        };
        let whole = roster.canonicalize();
        let path = match (&whole, folder.canonicalize()) {
            (Ok(path), Ok(folder)) => path.strip_prefix(&folder).unwrap_or(path),
            _ => roster,
        };
        let columns = self.columns_of(roster, assignment, known);
        RosterFile {
            path: path.to_string_lossy().into_owned(),
            written: WrittenAs::from(&columns.file),
            columns: [columns.id, columns.name, columns.section, columns.decimal],
            comma: self.decimal(known) == DecimalMark::Comma,
        }
    }
}
