//! `paperweight` alone, or `paperweight desk`: the desk of a course folder.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::course::ASSIGNMENTS;
use crate::record::{OpenMode, Record};
use crate::tui::{self, Start};
use crate::workflow::desk::{Class, Stack};
use crate::workflow::{self, Failure, course_folder};

use super::Exit;
use super::record::course_here;

/// Open the desk: the assignments by class, and a stack of papers to mark (as without a command)
///
/// The course folder is the nearest one around the working folder that holds `assignments` and
/// `rosters`. Papers are handed out there with Ctrl-N, or with `issue`; `mark FILE --roster CSV --record
/// :memory:` marks a one-off.
#[derive(Debug, Default, clap::Args)]
pub(super) struct Arguments {
    /// The record; by default `paperweight.sqlite` in the course folder
    #[arg(long, value_name = "FILE")]
    record: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let root = course_here();
    if !root.join(ASSIGNMENTS).is_dir() {
        let here = std::env::current_dir().unwrap_or_else(|_| PathBuf::from("."));
        let or = "`paperweight tour` shows the way through with one that it makes";
        return Err(Failure::of(workflow::no_course(&here, or)));
    }
    let path = match &arguments.record {
        Some(path) => path.clone(),
        None => workflow::record_beside(&root.join("here")),
    };
    let record = if arguments.record.is_some() || path.exists() {
        Record::open(&path, OpenMode::Write)?
    } else {
        Record::in_memory()?
    };
    let start = Start::Folder { root, record, path };
    tui::run(start, super::has_color())?;
    Ok(Exit::Done)
}

/// Opens the desk on one sheet and one class; without a record the roster is issued on the spot.
pub(super) fn one_stack(
    file: &Path,
    class: Class,
    record: Option<Record>,
) -> Result<Exit, Failure> {
    let prepared = Stack::sheet(file)?;
    let record = match record {
        Some(record) => record,
        None => Stack::one_off(&prepared, &class, tui::now())?,
    };
    let start = Start::Stack {
        folder: course_folder(file),
        prepared: Arc::clone(&prepared),
        class,
        record,
    };
    tui::run(start, super::has_color())?;
    Ok(Exit::Done)
}
