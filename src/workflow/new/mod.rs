//! Starts an assignment: a copy of one on the shelf, or what a short form asks for.
//!
//! In: an item of the shelf or somebody who answers, the code it is to have, a seed, the working folder. Out:
//! the file and its figure in the course folder, and what `check` found. Refused: a code that another
//! assignment of the course folder has, a file that stands there already, what cannot be checked at all; then
//! nothing is written.

mod form;
mod inquiry;
mod lines;

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::assignment;
use crate::course::{ASSIGNMENTS, Course};
use crate::diagnostic::{Diagnostic, Place, Source};
use crate::figure::Figure;
use crate::files::{Draft, FileError};
use crate::shelf::{Fresh, Item};

use super::check::{self, Checked};
use super::load::course_below;
use super::{Failure, Figures, Loaded, course_folder, no_course};

pub use inquiry::Ask;

/// What a new assignment is to be.
#[derive(Clone, Copy, Debug)]
pub struct NewRequest<'a> {
    /// The working folder, as an absolute path.
    pub here: &'a Path,
    /// The file; by default it is called as its code, among the assignments of the course folder.
    pub out: Option<&'a Path>,
    /// Its code; by default that of the item with another number.
    pub code: Option<&'a str>,
    /// Its heading; by default that of the item.
    pub title: Option<&'a str>,
    /// Its seed, at most `i64::MAX`.
    pub seed: u64,
}

/// An assignment that was started.
#[derive(Clone, Debug)]
pub struct Begun {
    /// Its code.
    pub code: String,
    /// Its heading.
    pub title: String,
    /// Its file.
    pub path: PathBuf,
    /// The figure beside it.
    pub figure: Option<PathBuf>,
    /// What was found when it was checked.
    pub checked: Checked,
}

/// Starts an assignment as a copy of one on the shelf, comments and figure included.
///
/// # Errors
/// A code that is taken or none, files that stand there or cannot be written.
pub fn new_from_shelf(item: &Item, request: &NewRequest<'_>) -> Result<Begun, Failure> {
    let room = Room::of(request)?;
    let code = match request.code {
        Some(code) => code.to_owned(),
        None => room.next(item.code()),
    };
    let faults = room.faults(&code);
    if !faults.is_empty() {
        return Err(Failure::input(faults, Vec::new()));
    }
    let fresh = Fresh {
        title: request.title,
        code: &code,
        seed: request.seed,
    };
    let path = room.path(&code);
    let name = path.to_string_lossy().into_owned();
    let Some(text) = item.renewed(&fresh) else {
        let message = format!("{} has no place for a code or a seed", item.code());
        return Err(Failure::input(
            vec![Diagnostic::error(&name, Place::File, message)],
            Vec::new(),
        ));
    };
    let drawing = item.figure.map(|svg| {
        let path = path.with_file_name(fresh.figure());
        (path, svg)
    });
    let checked = check::of_loaded(read(&name, text.clone())?, |sheet| {
        let mut figures = Figures::default();
        for problem in &sheet.problems {
            let figure = drawing.as_ref().and_then(|(path, svg)| {
                let source = Source {
                    name: path.to_string_lossy().into_owned(),
                    text: (*svg).to_owned(),
                };
                let read = Figure::read(&source, problem);
                read.map_err(|list| figures.findings.list.extend(list)).ok()
            });
            figures.figures.push(figure);
        }
        figures
    })?;
    let drawing = drawing.as_ref().map(|(path, svg)| (path.as_path(), *svg));
    put(&path, &text, drawing)?;
    Ok(Begun {
        title: heading(&checked),
        code,
        figure: drawing.map(|(path, _)| path.to_owned()),
        path,
        checked,
    })
}

/// Starts an assignment by a form, line by line; every answer is checked by what reads the file.
///
/// # Errors
/// Answers that end before the form is filled in, files that stand there or cannot be written.
pub fn new_by_form(request: &NewRequest<'_>, ask: &mut dyn Ask) -> Result<Begun, Failure> {
    let room = Room::of(request)?;
    let filled = inquiry::fill(request, &room, ask)?;
    let path = room.path(&filled.code);
    put(&path, &filled.text, None)?;
    Ok(Begun {
        title: heading(&filled.checked),
        code: filled.code,
        figure: None,
        path,
        checked: filled.checked,
    })
}

fn heading(checked: &Checked) -> String {
    let first = checked.report.problems.first();
    first.map_or_else(String::new, |problem| problem.title.clone())
}

/// Reads an assignment that is not written yet.
fn read(name: &str, text: String) -> Result<Loaded, Failure> {
    let source = Arc::new(Source {
        name: name.to_owned(),
        text,
    });
    let outcome = assignment::read(&source, &Course::default());
    match outcome.sheet {
        Some(sheet) => Ok(Loaded {
            sheet,
            sources: outcome.sources,
        }),
        None => Err(Failure::input(outcome.findings, outcome.sources)),
    }
}

/// Writes the file and its figure, the figure first: an assignment without one would be refused.
fn put(path: &Path, text: &str, figure: Option<(&Path, &str)>) -> Result<(), FileError> {
    let mut drafts = Vec::with_capacity(2);
    for (path, text) in figure.into_iter().chain([(path, text)]) {
        // What stands there is somebody's work, whoever wrote it.
        let mut draft = Draft::create(path, |_| false)?;
        let written = draft.write_all(text.as_bytes());
        written.map_err(|error| FileError::from_io(draft.name(), &error))?;
        drafts.push(draft);
    }
    drafts.into_iter().try_for_each(Draft::commit)
}

/// Where a new assignment goes, and the codes it may not have.
struct Room {
    /// The working folder.
    here: PathBuf,
    folder: PathBuf,
    out: Option<PathBuf>,
    course: Course,
}

impl Room {
    fn of(request: &NewRequest<'_>) -> Result<Self, Failure> {
        let here = request.here;
        let out = request.out.map(Path::to_owned);
        let root = course_folder(&here.join(out.as_deref().unwrap_or(Path::new("new"))));
        let assignments = root.join(ASSIGNMENTS);
        let has_folder = assignments.is_dir();
        let course = if has_folder {
            // Two files of one code are no concern of a third.
            course_below(&assignments)?.0
        } else {
            Course::default()
        };
        if let Some(out) = &out
            && out.extension().is_none_or(|ending| ending != "toml")
        {
            let name = out.to_string_lossy();
            let error = Diagnostic::error(&name, Place::File, "an assignment is a TOML file");
            let help = format!("name it with the ending: --out {name}.toml");
            return Err(Failure::of(error.help(help)));
        }
        if out.is_none() && !has_folder {
            return Err(Failure::of(no_course(
                here,
                "or name a file: --out FILE.toml",
            )));
        }
        // Whoever stands in a drawer puts it there.
        let folder = if here.starts_with(&assignments) {
            here
        } else {
            assignments.as_path()
        };
        Ok(Self {
            folder: folder.strip_prefix(here).unwrap_or(folder).to_owned(),
            here: here.to_owned(),
            out,
            course,
        })
    }

    /// The file of an assignment with this code.
    fn path(&self, code: &str) -> PathBuf {
        match &self.out {
            Some(out) => out.clone(),
            None => self.folder.join(format!("{code}.toml")),
        }
    }

    /// The first code after this one that no assignment has: `lift-2` after `lift-1`.
    fn next(&self, code: &str) -> String {
        let (stem, number) = match code.rsplit_once('-') {
            Some((stem, number)) => (stem, number.parse().unwrap_or(0)),
            None => (code, 0),
        };
        let mut number: u64 = number;
        loop {
            number += 1;
            let next = format!("{stem}-{number}");
            if self.course.source(&next).is_none() {
                return next;
            }
        }
    }

    /// What is wrong with a code.
    fn faults(&self, code: &str) -> Vec<Diagnostic> {
        let form = form::Form {
            code: code.to_owned(),
            ..form::Form::default()
        };
        let mut faults = form.faults(form::Entry::Code);
        // Without a line to show: the file is not there yet.
        for fault in &mut faults {
            (fault.file, fault.place) = ("--code".to_owned(), Place::File);
        }
        if let Some(source) = self.course.source(code) {
            let name = Path::new(&source.name);
            let name = name.strip_prefix(&self.here).unwrap_or(name);
            let message = format!("{} has the code \"{code}\" already", name.display());
            let help = format!(
                "a code heads a column and stands on every paper: take another, such as \"{}\"",
                self.next(code)
            );
            faults.push(Diagnostic::error("--code", Place::File, message).help(help));
        }
        faults
    }
}
