//! The marks of a class into one column of a gradebook that someone else keeps.
//!
//! In: what an export takes, the gradebook's file, what is said about it, and what the course's settings
//! say. Out: every cell before and after, who was not found on either side and who may be meant; then, unless
//! that is all that was asked for, the file with these cells filled, the links that were confirmed, and
//! in the record what was written. Refused before anything is written: a file that cannot be understood
//! (see [`crate::gradebook::fill`]), cells that hold something else which this program did not write, marks
//! that would move, links to nobody.

use std::path::{Path, PathBuf};

use rust_decimal::Decimal;
use rustc_hash::{FxHashMap, FxHashSet};

use crate::diagnostic::{self, Diagnostic, Place, nearest};
use crate::files::{self, Draft, Original};
use crate::gradebook::fill::{
    self, Before, Change, Entry, Gradebook, Likeness, Links, Near, Wanted,
};
use crate::gradebook::links::{self, Link};
use crate::gradebook::settings::{self, Settings};
use crate::gradebook::style::{Marks, Total};
use crate::record::{NewAct, Record, Target};
use crate::roster::Roster;
use crate::table::Declared;
use crate::text::{QUOTED, counted, excerpt};

use super::export::{each, named};
use super::{ExportRequest, Failure, Findings, Prepared};

/// Rows that may be somebody's are shown up to so many: all of a large class.
const LISTED: usize = 200;

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
#[derive(Clone, Debug, Default)]
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

/// The settings of a course.
///
/// # Errors
/// All that is wrong with the file. A course without one has none.
pub fn course_settings(folder: &Path) -> Result<Settings, Failure> {
    let path = folder.join(settings::FILE);
    if !path.exists() {
        return Ok(Settings::default());
    }
    let source = files::read_beside(&path)?;
    settings::read(&source).map_err(|list| Failure::input(list, vec![source.into()]))
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
    let mut told = Telling {
        request,
        file: &name,
        list: Vec::new(),
        has_findings: false,
    };
    let unmarked = walked.unmarked("who get no mark", record.name());
    told.list.extend(walked.outcome.findings.list);
    told.list.extend(gradebook.notes().iter().cloned());
    told.list.append(&mut plan.notes);
    told.unmarked(unmarked);
    told.plan(&plan, &entries);
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

/// The marks stand in the gradebook, whatever became of the record.
fn unnoted(file: &str) -> Diagnostic {
    let message = "the gradebook is filled, and the record does not know of it";
    Diagnostic::note(file, Place::File, message).help(
        "the next time its marks count as written by somebody else; where they still stand nothing is to do, \
         else --overwrite replaces them",
    )
}

fn first(list: Vec<Diagnostic>, file: &str) -> Diagnostic {
    let unknown = || Diagnostic::error(file, Place::File, "the file cannot be read again");
    list.into_iter().next().unwrap_or_else(unknown)
}

/// How a gradebook is understood: what is said of it, else what the course's settings say.
#[derive(Debug)]
struct Way {
    id_column: Option<String>,
    columns: Vec<String>,
    declared: Declared,
}

impl Way {
    fn of(settings: &Settings, wanted: &FillRequest, prepared: &Prepared) -> Self {
        let sheet = &prepared.plan.sheet;
        let id_column = wanted.id_column.as_ref().or(settings.id_column.as_ref());
        Self {
            id_column: id_column.cloned(),
            columns: match &wanted.column {
                Some(column) => vec![column.clone()],
                None => settings.columns(&sheet.code, &sheet.title),
            },
            declared: wanted.declared.clone(),
        }
    }

    fn find<'b>(
        &self,
        bytes: &'b [u8],
        name: &str,
        roster: &Roster,
    ) -> Result<Gradebook<'b>, Vec<Diagnostic>> {
        let columns: Vec<&str> = self.columns.iter().map(String::as_str).collect();
        let said = Wanted {
            id_column: self.id_column.as_deref(),
            columns: &columns,
            declared: self.declared.clone(),
        };
        let is_student = |id: &str| roster.find(id).is_some();
        Gradebook::find(bytes, name, &said, &is_student)
    }
}

/// What was written last for each student: into this file, else into one of another name that stands here,
/// for a gradebook is often the same under another name. Whether it `stands_here` is asked with what was
/// written there for students of whom nothing was written into this file.
fn last_written(
    record: &Record,
    target: &Target,
    stands_here: &dyn Fn(&FxHashMap<&str, &str>) -> bool,
) -> Result<FxHashMap<String, String>, Failure> {
    let all = record.written(target)?;
    let (here, elsewhere): (Vec<_>, Vec<_>) = all
        .into_iter()
        .partition(|written| written.file == target.file);
    let here: FxHashMap<String, String> = here
        .into_iter()
        .map(|written| (written.student, written.text))
        .collect();
    let mut latest = FxHashMap::default();
    let mut files: Vec<&str> = Vec::new();
    for written in elsewhere.iter().rev() {
        if !files.contains(&written.file.as_str()) {
            files.push(&written.file);
        }
    }
    // of several files the one that was written last counts
    for file in files.into_iter().rev() {
        let there: FxHashMap<&str, &str> = elsewhere
            .iter()
            .filter(|written| written.file == file && !here.contains_key(&written.student))
            .map(|written| (written.student.as_str(), written.text.as_str()))
            .collect();
        if stands_here(&there) {
            let there = there.into_iter();
            latest.extend(there.map(|(student, text)| (student.to_owned(), text.to_owned())));
        }
    }
    latest.extend(here);
    Ok(latest)
}

fn known_links(folder: &Path) -> Result<Vec<Link>, Failure> {
    let path = folder.join(links::FILE);
    if !path.exists() {
        return Ok(Vec::new());
    }
    let bytes = files::read_bytes(&path)?;
    links::read(&bytes, &path.to_string_lossy()).map_err(|list| Failure::input(list, Vec::new()))
}

fn keep_links(folder: &Path, links: &[Link]) -> Result<(), Failure> {
    let draft = Draft::create(&folder.join(links::FILE), links::is_heading)?;
    Ok(draft.put(&links::file(links))?)
}

fn link(class: &str, student: &str, cell: &str) -> Link {
    Link {
        class: class.to_owned(),
        student: student.to_owned(),
        cell: cell.trim().to_owned(),
    }
}

/// The links that are confirmed now: each is to a student of the class.
fn confirmed(wanted: &FillRequest, request: &ExportRequest<'_>) -> Result<Vec<Link>, Failure> {
    let roster = request.roster;
    let mut faults = diagnostic::Findings::new("--link");
    for (student, _) in wanted
        .links
        .iter()
        .filter(|(student, _)| roster.find(student).is_none())
    {
        let message = format!(
            "no student on the roster has the id '{}'",
            excerpt(student, QUOTED)
        );
        let near = nearest(student, roster.iter().map(|student| student.id));
        let help = near.map_or_else(
            || links::HOW.to_owned(),
            |near| format!("did you mean '{near}'?"),
        );
        faults.push(Diagnostic::error("--link", Place::File, message).help(help));
    }
    if faults.errors() > 0 {
        return Err(Failure::input(faults.into_vec(), Vec::new()));
    }
    let links = wanted.links.iter();
    Ok(links
        .map(|(student, cell)| link(request.class, student, cell))
        .collect())
}

/// A link that is confirmed now has to lead to a row.
fn without_effect(
    new: &[Link],
    entries: &[Entry<'_>],
    without: &[usize],
    file: &str,
) -> Result<(), Vec<Diagnostic>> {
    let missing: FxHashSet<&str> = without.iter().map(|at| entries[*at].id).collect();
    let lost = new
        .iter()
        .filter(|link| missing.contains(link.student.as_str()));
    let lost: Vec<Diagnostic> = lost
        .map(|link| {
            let cell = excerpt(&link.cell, QUOTED);
            let message = format!(
                "no row has the id '{cell}', which was linked with {}",
                link.student
            );
            Diagnostic::error(file, Place::File, message)
                .help("write what stands in the gradebook's column of ids, letter by letter")
        })
        .collect();
    if lost.is_empty() { Ok(()) } else { Err(lost) }
}

/// Whether an id is like one student's alone, and written otherwise at most: what `--link-near` takes.
fn is_plain(near: &Near) -> bool {
    near.is_only && matches!(near.likeness, Likeness::Zeros | Likeness::Spelling)
}

/// Why cells are not overwritten, one by one.
fn refusal(file: &str, others: &[Change], entries: &[Entry<'_>]) -> Vec<Diagnostic> {
    if others.is_empty() {
        return Vec::new();
    }
    let mut findings = diagnostic::Findings::new(file);
    for change in others {
        findings.push(other(file, change, entries));
    }
    let message = "nothing was written: cells were changed by hand, or hold something else already";
    let summary = Diagnostic::error(file, Place::File, message).help(
        "look whether this is the right column; --keep leaves these cells and fills the others, \
         --overwrite replaces them; with --dry-run `export --into` shows them first",
    );
    // the desk has room for the first alone
    let mut list = vec![summary];
    list.extend(findings.into_vec());
    list
}

fn other(file: &str, change: &Change, entries: &[Entry<'_>]) -> Diagnostic {
    let (old, new) = (excerpt(&change.old, QUOTED), excerpt(&change.new, QUOTED));
    let id = entries.get(change.student).map_or("", |entry| entry.id);
    let since = match &change.before {
        Before::Changed(ours) => format!(", changed since '{}' was written", excerpt(ours, QUOTED)),
        _ => String::new(),
    };
    let id = excerpt(id, QUOTED);
    let message = match &change.before {
        Before::Changed(ours) if old.trim().is_empty() => format!(
            "{id}: the cell was emptied since '{}' was written; '{new}' would fill it",
            excerpt(ours, QUOTED)
        ),
        _ => format!("{id}: '{old}' stands there{since}; '{new}' would replace it"),
    };
    let place = Place::Line {
        line: change.line,
        column: None,
    };
    Diagnostic::error(file, place, message)
}

/// What the teacher is told besides the cells.
struct Telling<'a> {
    request: &'a ExportRequest<'a>,
    file: &'a str,
    list: Vec<Diagnostic>,
    has_findings: bool,
}

impl Telling<'_> {
    fn unmarked(&mut self, unmarked: Vec<Diagnostic>) {
        self.has_findings |= !unmarked.is_empty();
        self.list.extend(unmarked);
    }

    fn plan(&mut self, plan: &fill::Changes, entries: &[Entry<'_>]) {
        let id = |at: usize| entries.get(at).map_or("", |entry| entry.id).to_owned();
        let (file, class) = (self.file, self.request.class);
        let mut findings = diagnostic::Findings::new(file);
        for (line, student) in &plan.stale {
            let place = Place::Line {
                line: *line,
                column: None,
            };
            let message = format!(
                "{}: the mark that was written there no longer stands, and there is none to replace it",
                id(*student)
            );
            findings.push(
                Diagnostic::warning(file, place, message)
                    .help("empty the cell, or settle the paper"),
            );
        }
        let lost = plan
            .without
            .iter()
            .filter(|at| entries[**at].text.is_some());
        let lost: Vec<String> = lost.map(|at| id(*at)).collect();
        if !lost.is_empty() {
            let message = format!("students of {class} without a row: {}", named(&lost));
            findings.push(Diagnostic::warning(file, Place::File, message).help(
                "a row that is like one of them is named below; `--id-column` names another column of ids",
            ));
        }
        self.has_findings |= !plan.stale.is_empty() || !lost.is_empty();
        if plan.strange > 0 {
            let some: Vec<String> = plan.strangers.iter().map(|(_, id)| id.clone()).collect();
            let rows = if plan.strange == 1 { "row" } else { "rows" };
            let message = format!(
                "{} {rows} of nobody in {class}: {}",
                plan.strange,
                named(&some)
            );
            findings.push(Diagnostic::note(file, Place::File, message));
        }
        self.list.extend(findings.into_vec());
        let near = plan.near.iter().take(LISTED);
        self.list
            .extend(near.map(|near| alike(file, near, &id(near.student))));
        let more = plan.near.len().saturating_sub(LISTED);
        if more > 0 {
            let message = format!("{more} more rows may be somebody's, and are not shown");
            self.list.push(Diagnostic::note(file, Place::File, message));
        }
        let plain = plan.near.iter().filter(|near| is_plain(near));
        let plain = plain.count();
        if plain > 1 {
            let message = format!("{plain} of these ids differ in zeros or spelling alone");
            let note = Diagnostic::note(file, Place::File, message);
            self.list
                .push(note.help("--link-near takes them all, now and later"));
        }
    }
}

fn alike(file: &str, near: &Near, id: &str) -> Diagnostic {
    let cell = excerpt(&near.cell, QUOTED);
    let why = match near.likeness {
        Likeness::Zeros => format!("'{cell}' may be {id}, without its leading zeros"),
        Likeness::Rounded => {
            format!("'{cell}' may be {id}, of which a spreadsheet program left the first digits")
        }
        Likeness::Spelling => format!("'{cell}' may be {id}, written otherwise"),
        Likeness::Name => format!("'{cell}' may be {id}: the same name stands in its row"),
        Likeness::NearlyName => {
            format!("'{cell}' may be {id}: nearly the same name stands in its row")
        }
    };
    let place = Place::Line {
        line: near.line,
        column: None,
    };
    let also = if near.is_only {
        ""
    } else if near.is_other_name {
        ", but its row does not say all of that student's name"
    } else {
        ", but it is not like them alone"
    };
    let found = Diagnostic::warning(file, place, format!("{why}{also}"));
    found.help(format!(
        "--link '{id}={cell}' takes it for that student, now and later"
    ))
}
