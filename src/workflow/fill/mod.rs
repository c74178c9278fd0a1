//! The marks of a class into one column of a gradebook that someone else keeps.
//!
//! In: what an export takes, the gradebook's file, what is said about it, and what the course's settings
//! say. Out: every cell before and after, who was not found on either side and who may be meant; then, unless
//! that is all that was asked for, the file with these cells filled, the links that were confirmed, and
//! in the record what was written. Refused before anything is written: a file that cannot be understood
//! (see [`crate::gradebook::fill`]), cells that hold something else which this program did not write, marks
//! that would move, links to nobody.

mod course;
mod told;
mod way;
mod written;

use std::path::PathBuf;

use rust_decimal::Decimal;

use crate::diagnostic::{Diagnostic, Place};
use crate::files::Original;
use crate::gradebook::fill::{self, Change, Entry, Links};
use crate::gradebook::links::{self, Link};
use crate::gradebook::style::{Marks, Total};
use crate::record::{NewAct, Record, Target};
use crate::table::Declared;
use crate::text::counted;

use super::export::each;
use super::{ExportRequest, Failure, Findings};

pub use course::course_settings;
use course::{confirmed, is_plain, keep_links, known_links, link, without_effect};
use told::{Telling, refusal, unnoted};
use way::Way;
use written::last_written;

/// What becomes of cells that hold something else.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Others {
    /// Nothing is written while there are any.
    #[default]
    Refuse,
    /// They are left as they are.
    Keep,
    /// They are overwritten.
    Overwrite,
}

/// What to fill, and how.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FillRequest {
    /// The gradebook.
    pub into: PathBuf,
    /// The heading of its column of ids; else as the course's settings say.
    pub id_column: Option<String>,
    /// The heading of the column to fill; else as the course's settings say.
    pub column: Option<String>,
    /// How the file is written.
    pub declared: Declared,
    /// Points out of so many, instead of what the settings say.
    pub out_of: Option<Decimal>,
    /// What becomes of cells that hold something else.
    pub others: Others,
    /// Links that are confirmed now: a student's id, and what stands in the gradebook.
    pub links: Vec<(String, String)>,
    /// Whether ids that are merely written otherwise, and like one student's alone, are confirmed too.
    pub link_near: bool,
    /// The course folder, in which settings and links lie.
    pub folder: PathBuf,
}

/// A gradebook with the cells that will change, not written yet.
#[derive(Debug)]
pub struct Filling {
    /// The heading of the column.
    pub column: String,
    /// What will change, in the order of the file.
    pub changes: Vec<Change>,
    /// Cells that hold the mark already.
    pub same: usize,
    /// Cells that hold something else and are left as they are.
    pub kept: Vec<Change>,
    /// What to tell the teacher.
    pub findings: Findings,
    /// Why nothing may be written: cells hold something else.
    pub refused: Vec<Diagnostic>,
    /// Whether something is left to settle.
    pub has_findings: bool,
    /// The ids of the class, by the places that changes name.
    pub students: Vec<String>,
    accepts: Vec<NewAct>,
    original: Original,
    way: Way,
    bytes: Vec<u8>,
    wanted: FillRequest,
    new_links: Option<Vec<Link>>,
    target: Target,
}

/// Finds out what filling would do.
///
/// # Errors
/// As this module says.
pub fn filling(
    request: &ExportRequest<'_>,
    wanted: FillRequest,
    record: &Record,
) -> Result<Filling, Failure> {
    let fault = |list| Failure::input(list, Vec::new());
    let mut settings = course_settings(&wanted.folder)?;
    if let Some(out_of) = wanted.out_of {
        settings.style.marks = Marks::OutOf(out_of);
    }
    let is_said = settings.style.decimal.is_some();
    let decimal = *settings.style.decimal.get_or_insert(request.decimal);
    let known = known_links(&wanted.folder)?;
    let mut totals: Vec<Total> = Vec::with_capacity(request.roster.len());
    let walked = each(request, record, &mut |_, total| totals.push(*total))?;
    let texts: Vec<Option<String>> = totals
        .iter()
        .map(|total| settings.style.written(total, request.partial))
        .collect();
    let original = Original::read(&wanted.into)?;
    let name = wanted.into.to_string_lossy().into_owned();
    let way = Way::of(&settings, &wanted, request.prepared);
    let gradebook = way
        .find(original.bytes(), &name, request.roster)
        .map_err(fault)?;
    let target = Target {
        sheet: request.prepared.plan.sheet.code.clone(),
        class: request.class.to_owned(),
        file: original.file_name(),
        column: gradebook.column_name(),
    };
    let mut all = known.clone();
    let mut new = confirmed(&wanted, request)?;
    links::add(&mut all, new.clone()).map_err(|found| fault(vec![found]))?;
    let links: Links = links::of_class(&all, request.class);
    let ours = last_written(record, &target, &|elsewhere| {
        let students = request.roster.iter();
        let entries: Vec<Entry<'_>> = students
            .map(|student| Entry {
                id: student.id,
                name: student.name,
                text: elsewhere.get(student.id).copied(),
                ours: None,
            })
            .collect();
        // what spoils the file is told when it is filled
        let plan = fill::plan(&gradebook, &entries, &links, decimal).unwrap_or_default();
        plan.same * 2 > elsewhere.len()
    })?;
    let entries: Vec<Entry<'_>> = request
        .roster
        .iter()
        .zip(&texts)
        .map(|(student, text)| Entry {
            id: student.id,
            name: student.name,
            text: text.as_deref(),
            ours: ours.get(student.id).map(String::as_str),
        })
        .collect();
    let plan_with = |all: &[Link]| {
        let links: Links = links::of_class(all, request.class);
        fill::plan(&gradebook, &entries, &links, decimal).map_err(fault)
    };
    let mut plan = plan_with(&all)?;
    if wanted.link_near {
        let plain = plan.near.iter().filter(|near| is_plain(near));
        let more: Vec<Link> = plain
            .map(|near| link(request.class, entries[near.student].id, &near.cell))
            .collect();
        links::add(&mut all, more.clone()).map_err(|found| fault(vec![found]))?;
        new.extend(more);
        plan = plan_with(&all)?;
    }
    without_effect(&new, &entries, &plan.without, &name).map_err(fault)?;
    let mut told = Telling::new(request, &name);
    let unmarked = walked.unmarked(record.name());
    told.list.extend(walked.outcome.findings.list);
    told.list.extend(gradebook.notes().iter().cloned());
    told.list.append(&mut plan.notes);
    told.unmarked(unmarked);
    told.plan(&plan, &entries);
    if !is_said {
        told.decimals(&gradebook, &plan, decimal);
    }
    let (others, changes): (Vec<Change>, Vec<Change>) =
        plan.changes.into_iter().partition(Change::overwrites);
    let mut refused = Vec::new();
    let (changes, kept) = match wanted.others {
        Others::Overwrite => {
            let mut all = changes;
            all.extend(others);
            all.sort_by_key(|change| change.line);
            (all, Vec::new())
        }
        Others::Refuse => {
            refused = refusal(&name, &others, &entries);
            (changes, others)
        }
        Others::Keep => (changes, others),
    };
    told.has_findings |= !kept.is_empty();
    let bytes = fill::filled(&gradebook, &changes).map_err(fault)?;
    let findings = Findings {
        list: told.list,
        sources: walked.outcome.findings.sources,
    };
    Ok(Filling {
        column: target.column.clone(),
        same: plan.same,
        has_findings: told.has_findings,
        students: entries.iter().map(|entry| entry.id.to_owned()).collect(),
        refused,
        accepts: walked.accepts,
        new_links: (all.len() > known.len()).then_some(all),
        changes,
        kept,
        findings,
        bytes,
        target,
        wanted,
        original,
        way,
    })
}

impl Filling {
    /// Puts the file in place, and keeps what was confirmed and written. Where no cell changes the file is not
    /// touched.
    ///
    /// # Errors
    /// Cells that hold something else, a file that was changed since it was read, a full disk, a failing
    /// record.
    pub fn write(&self, request: &ExportRequest<'_>, record: &mut Record) -> Result<(), Failure> {
        if !self.refused.is_empty() {
            return Err(Failure::input(self.refused.clone(), Vec::new()));
        }
        if let Some(links) = &self.new_links {
            keep_links(&self.wanted.folder, links)?;
        }
        // A record that takes nothing more is told before there are marks that it knows nothing of.
        record.append(&self.accepts)?;
        if self.changes.is_empty() {
            return Ok(());
        }
        let name = self.wanted.into.to_string_lossy();
        self.original.replace(&self.bytes, |written| {
            // The file is understood anew, as at first, and held against what is on the disk.
            let gradebook = self.way.find(self.original.bytes(), &name, request.roster);
            let gradebook = gradebook.map_err(|list| first(list, &name))?;
            fill::check(&gradebook, written, &self.changes)
        })?;
        let cells = self.changes.iter().map(|change| {
            let student = self.students.get(change.student).map_or("", String::as_str);
            (student, change.new.as_str())
        });
        let noted = record.note_written(&self.target, cells, request.now);
        noted.map_err(|error| Failure::from(error).besides(unnoted(&name)))
    }

    /// What becomes of the column, in a line; `done` says whether it was.
    pub fn words(&self, done: &str) -> String {
        let mut out = format!("{}, column '{}': ", self.wanted.into.display(), self.column);
        out += &match self.changes.len() {
            0 => "no cell changes".to_owned(),
            count => format!("{} {done}", counted(count, "cell")),
        };
        if self.same > 0 {
            out += &format!(", {} had the mark already", self.same);
        }
        match self.kept.len() {
            0 => {}
            count if self.refused.is_empty() => {
                out += &format!(", {} left", counted(count, "cell"))
            }
            count => out += &format!(", {} held something else", counted(count, "cell")),
        }
        out
    }
}

fn first(list: Vec<Diagnostic>, file: &str) -> Diagnostic {
    let unknown = || Diagnostic::error(file, Place::File, "the file cannot be read again");
    list.into_iter().next().unwrap_or_else(unknown)
}
