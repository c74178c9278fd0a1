//! What the teacher is told of a gradebook besides the cells that change.
//!
//! In: what filling would do, the students with their marks. Out: diagnostics: marks that no longer stand,
//! students without a row, rows of nobody, ids that may be somebody's, cells that are not overwritten and why.

use crate::diagnostic::{self, Diagnostic, Place};
use crate::gradebook::fill::{self, Before, Change, Entry, Gradebook, Likeness, Near};
use crate::text::{DecimalMark, QUOTED, excerpt};

use super::super::ExportRequest;
use super::super::export::named;
use super::course::is_plain;

/// Rows that may be somebody's are shown up to so many: all of a large class.
const LISTED: usize = 200;

/// The marks stand in the gradebook, whatever became of the record.
pub(super) fn unnoted(file: &str) -> Diagnostic {
    let message = "the gradebook is filled, and the record does not know of it";
    Diagnostic::note(file, Place::File, message).help(
        "the next time its marks count as written by somebody else; where they still stand nothing is to do, \
         else --overwrite replaces them",
    )
}

/// Why cells are not overwritten, one by one.
pub(super) fn refusal(file: &str, others: &[Change], entries: &[Entry<'_>]) -> Vec<Diagnostic> {
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
pub(super) struct Telling<'a> {
    request: &'a ExportRequest<'a>,
    file: &'a str,
    pub(super) list: Vec<Diagnostic>,
    pub(super) has_findings: bool,
}

impl<'a> Telling<'a> {
    pub(super) fn new(request: &'a ExportRequest<'a>, file: &'a str) -> Self {
        Self {
            request,
            file,
            list: Vec::new(),
            has_findings: false,
        }
    }

    pub(super) fn unmarked(&mut self, unmarked: Vec<Diagnostic>) {
        self.has_findings |= !unmarked.is_empty();
        self.list.extend(unmarked);
    }

    /// Other columns write numbers in another way than these marks would be, which nobody asked for.
    pub(super) fn decimals(
        &mut self,
        gradebook: &Gradebook<'_>,
        plan: &fill::Changes,
        decimal: DecimalMark,
    ) {
        let [point, comma] = plan.decimals;
        let (mark, own, other, theirs, ours) = match decimal {
            DecimalMark::Point => ('.', point, comma, "comma", "point"),
            DecimalMark::Comma => (',', comma, point, "point", "comma"),
        };
        let is_broken = plan.changes.iter().any(|change| change.new.contains(mark));
        if let (None, Some(other), true) = (own, other, is_broken) {
            let name = gradebook.name_of(other);
            let name = excerpt(&name, QUOTED);
            let message =
                format!("the column '{name}' has decimal {theirs}s, these marks decimal {ours}s");
            let warning = Diagnostic::warning(self.file, Place::File, message);
            self.list.push(warning.help(format!(
                "a spreadsheet program may take them for days: write `decimal = \"{theirs}\"` under \
                 [gradebook] in course.toml, or \"{ours}\" if that is meant"
            )));
            self.has_findings = true;
        }
    }

    pub(super) fn plan(&mut self, plan: &fill::Changes, entries: &[Entry<'_>]) {
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
