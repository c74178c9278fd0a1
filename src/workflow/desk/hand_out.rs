//! Hands papers out from the desk, and once more.
//!
//! In: an assignment of the course folder, a class, a day due; or a stack and students. Out: what handing
//! out would do, then the same done by [`workflow::issue`](super::super::issue) or
//! [`workflow::reissue`](super::super::reissue), on the thread that owns the record, and the papers in a
//! folder of their own beside the record. No rule about papers is here.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use chrono::{DateTime, NaiveDate, Utc};

use crate::files;
use crate::paper::Fonts;
use crate::record::{OpenMode, Record, RosterFile};
use crate::roster::Roster;
use crate::table::declared::Options;
use crate::table::encoding::Encoding;
use crate::text::{DecimalMark, safe};

use super::super::{
    Again, Failure, Findings, IssueOutcome, IssueRequest, Layout, PaperFiles, Prepared,
    PrintRequest, figures_to_print, issue, load, prepare, reissue, roster,
};
use super::Stack;
use super::course::roster_in;

/// Handing out papers of one assignment to one class.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HandOut {
    /// The course folder.
    pub root: PathBuf,
    /// The assignment's file.
    pub file: PathBuf,
    /// The class.
    pub class: String,
    /// The day the papers are due.
    pub due: Option<NaiveDate>,
    /// What the roster is written in, where that was said.
    pub encoding: Option<Encoding>,
    /// The assignment's code.
    pub code: String,
    /// Students of the class.
    pub students: usize,
    /// Those who would get a paper.
    pub new: usize,
}

impl HandOut {
    /// What handing out would do; nothing is changed.
    ///
    /// # Errors
    /// An assignment or a roster that cannot be read.
    pub fn consider(
        root: &Path,
        file: &Path,
        class: &str,
        (due, encoding): (Option<NaiveDate>, Option<Encoding>),
        record: &Record,
    ) -> Result<Self, Failure> {
        let sheet = load(file)?.sheet;
        let (_, roster) = read(record, root, class, encoding)?;
        let issues = record.issues(&sheet.code)?;
        let has = |id: &str| {
            let mut issues = issues.iter();
            issues.any(|issue| issue.class == class && issue.student == id)
        };
        let new = roster.iter().filter(|student| !has(student.id)).count();
        Ok(Self {
            root: root.to_owned(),
            file: file.to_owned(),
            class: class.to_owned(),
            due,
            encoding,
            code: sheet.code,
            students: roster.len(),
            new,
        })
    }

    /// What would be done, in words.
    pub fn words(&self) -> String {
        let (class, code) = (safe(&self.class), safe(&self.code));
        let who = match (self.new, self.students) {
            (0, 1) => format!("The one student of {class} has a paper of {code}"),
            (1, 1) => format!("The one student of {class} gets a paper of {code}"),
            (0, all) => format!("All {all} students of {class} have a paper of {code}"),
            (new, all) if new == all => {
                format!(
                    "{all} students of {class} get a paper of {code}, each with their own numbers"
                )
            }
            (1, all) => format!(
                "1 of {all} students of {class} has no paper of {code} yet and gets one, with numbers that nobody has"
            ),
            (new, all) => format!(
                "{new} of {all} students of {class} have no paper of {code} yet and get one, with numbers that nobody has"
            ),
        };
        let due = match self.due {
            Some(day) if self.new == self.students => format!(", due {day}"),
            Some(day) => format!("; all are due {day} then"),
            None => String::new(),
        };
        format!("{who}{due}. No undo takes papers back.")
    }

    /// Whether it would do anything.
    pub fn does_something(&self) -> bool {
        self.new > 0 || self.due.is_some()
    }

    /// Does it. A record that is not kept yet becomes the file at `path`.
    ///
    /// # Errors
    /// As `issue`; then nothing is handed out. Papers that cannot be printed.
    pub fn carry_out(
        &self,
        path: &Path,
        now: DateTime<Utc>,
        record: &mut Record,
    ) -> Result<HandedOut, Failure> {
        let prepared = prepare(load(&self.file)?)?;
        let (place, roster) = read(record, &self.root, &self.class, self.encoding)?;
        let decimal = place.decimal();
        if record.path().is_none() {
            *record = Record::open(path, OpenMode::Create)?;
        }
        let request = IssueRequest {
            prepared: &prepared,
            roster: &roster,
            class: &self.class,
            class_is_said: false,
            file: place,
            due: self.due,
            now,
        };
        hand_out(&request, decimal, false, record, |record| {
            issue(&request, record)
        })
    }
}

/// What was handed out.
#[derive(Clone, Debug)]
pub struct HandedOut {
    /// To whom.
    pub outcome: IssueOutcome,
    /// The folder in which the papers lie to be printed; none beside a record that is kept in memory, or
    /// where they could not be written: then the findings say why, and that they are handed out all the same.
    pub folder: Option<PathBuf>,
    /// What should be known of the files.
    pub findings: Findings,
}

/// Hands papers out and prints them into a folder of the sheet and the class, beside the record.
fn hand_out(
    request: &IssueRequest<'_>,
    decimal: DecimalMark,
    is_again: bool,
    record: &mut Record,
    issue: impl FnOnce(&mut Record) -> Result<IssueOutcome, Failure>,
) -> Result<HandedOut, Failure> {
    let prepared = request.prepared;
    let mut folder = record
        .path()
        .map(|path| folder(path, prepared, request.class));
    let layout = Layout::default();
    let mut begun = None;
    if let Some(folder) = &folder {
        let fonts = Fonts::with(Vec::new()).map_err(|list| Failure::input(list, Vec::new()))?;
        let figures = figures_to_print(prepared)?;
        let files = PaperFiles::begin(
            folder,
            is_again,
            layout,
            &prepared.plan.sheet,
            request.class,
        )?;
        begun = Some((files, fonts, figures));
    }
    let outcome = issue(record)?;
    let mut findings = Findings::default();
    if let Some((files, fonts, figures)) = begun {
        let print = PrintRequest {
            prepared,
            roster: request.roster,
            class: request.class,
            decimal,
            papers: &outcome.papers,
            layout,
            fonts: &fonts,
            figures: &figures,
        };
        match files.write(&print, &outcome, record) {
            Ok(found) => findings = found,
            // What is handed out is handed out: the desk has to hear of it.
            Err(failure) => {
                findings = failure.findings().clone();
                folder = None;
            }
        }
    }
    Ok(HandedOut {
        outcome,
        folder,
        findings,
    })
}

/// Where the papers of a class go: `papers/CODE-CLASS` beside the record.
fn folder(record: &Path, prepared: &Prepared, class: &str) -> PathBuf {
    let name = format!("{}-{class}", prepared.plan.sheet.code);
    record
        .with_file_name("papers")
        .join(files::plain_name(&name))
}

/// The roster of a class, and where it lies: as the record knows it, or else in the course folder. An encoding
/// that is said now outranks what the record remembers.
fn read(
    record: &Record,
    root: &Path,
    class: &str,
    encoding: Option<Encoding>,
) -> Result<(RosterFile, Roster), Failure> {
    let mut place = match record.roster_of(class)? {
        Some(known) => known,
        None => roster_in(root, class)?,
    };
    if let Some(encoding) = encoding {
        place.written.encoding = Some(encoding.name().to_owned());
    }
    let mut columns = place.columns();
    if encoding.is_some() || place.written.encoding.is_none() {
        columns.file.options = Options::Desk;
        columns.file.remembered.encoding = false;
    }
    let (roster, _) = roster(&root.join(&place.path), &columns)?;
    Ok((place, roster))
}

impl Stack {
    /// Gives students of the stack another paper, once it is given the record.
    pub fn reissue(
        &self,
        students: Vec<String>,
        due: Option<NaiveDate>,
        now: DateTime<Utc>,
    ) -> impl FnOnce(&mut Record) -> Result<HandedOut, Failure> + Send + 'static {
        let prepared = Arc::clone(&self.prepared);
        let roster = Arc::clone(&self.roster);
        let (class, decimal) = (self.class.clone(), self.decimal);
        move |record| {
            let request = IssueRequest {
                prepared: &prepared,
                roster: &roster,
                class: &class,
                class_is_said: true,
                file: record.roster_of(&class)?.unwrap_or_default(),
                due,
                now,
            };
            hand_out(&request, decimal, true, record, |record| {
                reissue(&request, &Again::Students(students), record)
            })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::HandOut;

    #[test]
    fn one_is_not_many() {
        for (new, students, said) in [
            (0, 24, "All 24 students of set-3 have a paper of ropes-1."),
            (0, 1, "The one student of set-3 has a paper of ropes-1."),
            (1, 1, "The one student of set-3 gets a paper of ropes-1."),
            (
                1,
                24,
                "1 of 24 students of set-3 has no paper of ropes-1 yet and gets one,",
            ),
            (
                2,
                24,
                "2 of 24 students of set-3 have no paper of ropes-1 yet and get one,",
            ),
            (24, 24, "24 students of set-3 get a paper of ropes-1,"),
        ] {
            let hand_out = HandOut {
                root: "".into(),
                file: "".into(),
                class: "set-3".into(),
                due: None,
                encoding: None,
                code: "ropes-1".into(),
                students,
                new,
            };
            let words = hand_out.words();
            assert!(words.starts_with(said), "{words}");
        }
    }
}
