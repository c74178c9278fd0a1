//! What the desk does outside itself: opens stacks, saves acts, reads answers, writes marks.
//!
//! In: effects. Out: what happened, as events for the desk; what fails is said there and nothing is
//! lost by it. This holds no rules: each act of the teacher is a function of `workflow`.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::Sender;
use std::thread;

use chrono::{DateTime, NaiveDate, Utc};

use crate::diagnostic::{Diagnostic, Severity};
use crate::record::{OpenMode, Record};
use crate::statistics;
use crate::table::encoding::Encoding;
use crate::text::counted;
use crate::workflow::desk::course::{self, Line};
use crate::workflow::desk::{Class, HandOut, HandedOut, Outcome, Stack, Watch, Writer};
use crate::workflow::{Failure, FillRequest, Kept, Prepared};

use super::event::{Effect, Event};
use super::model::{Model, Place};
use super::update::update;

/// What the desk is opened on.
#[derive(Debug)]
pub enum Start {
    /// A course folder with its record.
    Folder {
        /// The folder.
        root: PathBuf,
        /// Its record; one in memory where nothing was issued yet.
        record: Record,
        /// The file of the record, where it is or will be.
        path: PathBuf,
    },
    /// One sheet and one class.
    Stack {
        /// The sheet's course folder, for its settings.
        folder: PathBuf,
        /// The sheet.
        prepared: Arc<Prepared>,
        /// The class.
        class: Class,
        /// The record, in which the papers were issued.
        record: Record,
    },
}

/// What the loop does next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Next {
    /// It goes on.
    GoOn,
    /// The terminal rings.
    Ring,
    /// The shell gets the terminal for a while.
    Suspend,
    /// The desk closes.
    Leave,
}

/// The world around the desk.
#[derive(Debug)]
pub(super) struct Outside {
    root: PathBuf,
    /// The file of the record that is made when papers are first handed out.
    path: PathBuf,
    writer: Writer,
}

impl Outside {
    /// Opens the record, and lays on the desk what it starts with.
    pub(super) fn open(
        start: Start,
        model: &mut Model,
        now: DateTime<Utc>,
        tell: Sender<Event>,
    ) -> Result<Self, Failure> {
        let hear = move |outcome| {
            let event = match outcome {
                Outcome::Saved(first, real) => Event::Saved(first, real),
                Outcome::Failed(why) => Event::NotSaved(why),
                Outcome::Came(news) => Event::Came(news),
            };
            // The desk may be closed already.
            let _ = tell.send(event);
        };
        if let Some(user) = std::env::var_os("USER").or_else(|| std::env::var_os("USERNAME")) {
            model.marker = user.to_string_lossy().into_owned();
        }
        match start {
            Start::Folder { root, record, path } => {
                let lines = course::lines(&root, record.progress()?)?;
                let classes = course::classes(&root)?;
                model.course.folder = Some(folder_name(&root));
                model.place = Place::Course;
                update(model, Event::Course(lines, classes), now);
                Ok(Self {
                    root,
                    path,
                    writer: Writer::start(record, None, hear),
                })
            }
            Start::Stack {
                folder,
                prepared,
                class,
                record,
            } => {
                model.saving.in_memory = record.path().is_none();
                let sheet = &prepared.plan.sheet.code;
                let kept = Kept::of(&record, sheet, &class.name)?;
                let watch = Watch::of(&kept, sheet, &class.name);
                warm(&prepared);
                let stack = Stack::open(prepared, class, kept);
                update(model, Event::Opened(Box::new(stack)), now);
                Ok(Self {
                    root: folder,
                    path: PathBuf::new(),
                    writer: Writer::start(record, Some(watch), hear),
                })
            }
        }
    }

    /// Waits until all is saved.
    pub(super) fn close(self) {
        self.writer.close();
    }

    /// Does what the desk asks for.
    pub(super) fn carry_out(
        &mut self,
        effect: Effect,
        model: &mut Model,
        now: DateTime<Utc>,
    ) -> Next {
        let done = match effect {
            Effect::Save(acts) => {
                self.writer.save(acts);
                return Next::GoOn;
            }
            Effect::Ring => return Next::Ring,
            Effect::Suspend => return Next::Suspend,
            Effect::Leave => return Next::Leave,
            Effect::Open(line) => self.stack(&line),
            Effect::Refresh => self.lines(),
            Effect::Preview(file, encoding) => preview(model, &file, encoding),
            Effect::Report => self.report(model),
            Effect::Export(file) => self.export(model, &file, now),
            Effect::Fill(gradebook) => self.fill(model, *gradebook, now),
            Effect::Consider(line, class, due, encoding) => {
                self.consider(&line, class, due, encoding)
            }
            Effect::HandOut(what) => self.hand_out(*what, now),
            Effect::Reissue(students, due) => self.reissue(model, students, due, now),
        };
        let event = done.unwrap_or_else(|failure| Event::Failed(in_a_line(&failure)));
        for effect in update(model, event, now) {
            let next = self.carry_out(effect, model, now);
            if next != Next::GoOn {
                return next;
            }
        }
        Next::GoOn
    }

    fn stack(&self, line: &Line) -> Result<Event, Failure> {
        let (Some(file), Some(roster)) = (&line.file, &line.roster) else {
            return Ok(Event::Failed(gone(line)));
        };
        let prepared = Stack::sheet(file)?;
        warm(&prepared);
        let class = Class::read(&self.root, &line.class, roster)?;
        let kept = self.writer.open(line.code.clone(), line.class.clone())?;
        Ok(Event::Opened(Box::new(Stack::open(prepared, class, kept))))
    }

    fn export(&self, model: &Model, file: &str, now: DateTime<Utc>) -> Result<Event, Failure> {
        let Some(stack) = &model.stack else {
            return Ok(Event::Failed("no stack is open".to_owned()));
        };
        let acts = stack.acts().len();
        let found = self.writer.with(stack.export(PathBuf::from(file), now))?;
        let found = found.iter().map(line_of);
        let written = format!("marks written to {file}");
        Ok(Event::Exported(written, acts, found.collect()))
    }

    fn fill(
        &self,
        model: &Model,
        gradebook: FillRequest,
        now: DateTime<Utc>,
    ) -> Result<Event, Failure> {
        let Some(stack) = &model.stack else {
            return Ok(Event::Failed("no stack is open".to_owned()));
        };
        let acts = stack.acts().len();
        let wanted = FillRequest {
            folder: self.root.clone(),
            ..gradebook
        };
        let filled = stack.fill(wanted, now);
        let (words, found) = self.writer.with(filled)?;
        let found = found.iter().map(line_of);
        Ok(Event::Exported(words, acts, found.collect()))
    }

    fn report(&self, model: &Model) -> Result<Event, Failure> {
        let Some(stack) = &model.stack else {
            return Ok(Event::Failed("no stack is open".to_owned()));
        };
        let report = self.writer.with(stack.report())?;
        Ok(Event::Reported(statistics::page(&report)))
    }

    fn lines(&self) -> Result<Event, Failure> {
        let path = self.path.clone();
        let progress = self.writer.with(move |record| {
            // Somebody else may have handed out the first papers.
            if record.path().is_none() && path.exists() {
                *record = Record::open(&path, OpenMode::Write)?;
            }
            Ok(record.progress()?)
        })?;
        let lines = course::lines(&self.root, progress)?;
        Ok(Event::Course(lines, course::classes(&self.root)?))
    }

    fn consider(
        &self,
        line: &Line,
        class: String,
        due: Option<NaiveDate>,
        encoding: Option<Encoding>,
    ) -> Result<Event, Failure> {
        let root = self.root.clone();
        let Some(file) = line.file.clone() else {
            return Ok(Event::Failed(gone(line)));
        };
        let what = self
            .writer
            .with(move |record| HandOut::consider(&root, &file, &class, (due, encoding), record))?;
        Ok(Event::Considered(Box::new(what)))
    }

    fn hand_out(&self, what: HandOut, now: DateTime<Utc>) -> Result<Event, Failure> {
        let (code, class) = (what.code.clone(), what.class.clone());
        let path = self.path.clone();
        let done = self
            .writer
            .with(move |record| what.carry_out(&path, now, record))?;
        let outcome = &done.outcome;
        let new = match outcome.new {
            0 => "no new paper".to_owned(),
            new => format!("{} handed out", counted(new, "paper")),
        };
        let moved = match outcome.moved {
            0 => String::new(),
            moved => format!(", another day due for {moved}"),
        };
        let lie = where_they_lie(&done);
        Ok(Event::Done(format!("{code}, {class}: {new}{moved}{lie}")))
    }

    fn reissue(
        &self,
        model: &Model,
        students: Vec<String>,
        due: Option<NaiveDate>,
        now: DateTime<Utc>,
    ) -> Result<Event, Failure> {
        let Some(stack) = &model.stack else {
            return Ok(Event::Failed("no stack is open".to_owned()));
        };
        // Before the desk has heard the record's numbers of its own acts, it would take them for
        // somebody else's.
        if !model.saving.waiting.is_empty() {
            let why = "not everything is saved yet: papers are handed out once it is";
            return Ok(Event::Failed(why.to_owned()));
        }
        let (done, news) = self.writer.then_look(stack.reissue(students, due, now))?;
        let lie = where_they_lie(&done);
        let students = done.outcome.papers.into_iter().map(|issue| issue.student);
        Ok(Event::Reissued(students.collect(), lie, news))
    }
}

/// Where papers lie that were handed out, and what should be known of them.
fn where_they_lie(done: &HandedOut) -> String {
    let mut text = match &done.folder {
        Some(folder) => format!(", to print in {}", folder.display()),
        None if done.findings.list.is_empty() => String::new(),
        None => ", NOT WRITTEN TO BE PRINTED".to_owned(),
    };
    for finding in &done.findings.list {
        text.push_str("; ");
        text.push_str(&line_of(finding));
    }
    text
}

/// Said of a line whose files are gone.
fn gone(line: &Line) -> String {
    format!(
        "the file or the roster of {} {} is not in the course folder any more",
        line.code, line.class
    )
}

fn preview(model: &Model, file: &str, encoding: Option<Encoding>) -> Result<Event, Failure> {
    let Some(stack) = &model.stack else {
        return Ok(Event::Failed("no stack is open".to_owned()));
    };
    let (changes, findings) = stack.changes(Path::new(file), encoding)?;
    let findings = findings.iter().map(line_of).collect();
    Ok(Event::Previewed(file.to_owned(), changes, findings))
}

fn folder_name(root: &Path) -> String {
    // The working folder itself is an empty path from there.
    let root = if root.as_os_str().is_empty() {
        Path::new(".")
    } else {
        root
    };
    let full = std::fs::canonicalize(root).unwrap_or_else(|_| root.to_owned());
    full.file_name()
        .unwrap_or(full.as_os_str())
        .to_string_lossy()
        .into_owned()
}

/// A failure in one line: the first error, for what was merely assumed stands in the way of nothing, and how
/// many more there are.
fn in_a_line(failure: &Failure) -> String {
    let list = &failure.findings().list;
    let is_error = |finding: &&Diagnostic| finding.severity == Severity::Error;
    let mut errors = list.iter().filter(is_error);
    let Some(first) = errors.next().or(list.first()) else {
        return "it failed".to_owned();
    };
    let mut text = line_of(first);
    match errors.count() {
        0 => {}
        more => {
            let more = counted(more, "more error");
            text.push_str(&format!(" (and {more}; the command line shows all)"));
        }
    }
    // A note behind an error says what was done all the same, or that nothing was.
    let last = list.iter().skip_while(|finding| !is_error(finding)).last();
    if let Some(last) = last.filter(|last| last.severity == Severity::Note) {
        text.push_str("; ");
        text.push_str(&line_of(last));
    }
    text
}

fn line_of(finding: &Diagnostic) -> String {
    let line = finding
        .line_column(&[])
        .map_or(String::new(), |(line, _)| format!(", line {line}"));
    let mut help = finding
        .help
        .as_deref()
        .map_or(String::new(), |help| format!("; {help}"));
    if help.contains("--") && !help.contains("paperweight ") {
        help += " (on the command line)";
    }
    // The desk has no options: one that stands for a place tells nothing here.
    if finding.file.starts_with("--") {
        return format!("{}{help}", finding.message);
    }
    format!("{}{line}: {}{help}", finding.file, finding.message)
}

/// Prepares what takes a moment and is not needed before the first wrong answer is looked at.
fn warm(prepared: &Arc<Prepared>) {
    let prepared = Arc::clone(prepared);
    thread::spawn(move || {
        prepared.mistakes();
    });
}

#[cfg(test)]
mod tests;
