//! What the course folder says of gradebooks: its settings, and which row is which student's.
//!
//! In: the folder, links that are confirmed now. Out: settings, links. Refused: files that cannot be understood,
//! a link of nobody in the class, a link that leads to no row.

use std::path::Path;

use rustc_hash::FxHashSet;

use crate::diagnostic::{self, Diagnostic, Place, nearest};
use crate::files::{self, Draft};
use crate::gradebook::fill::{Entry, Likeness, Near};
use crate::gradebook::links::{self, Link};
use crate::gradebook::settings::{self, Settings};
use crate::text::{QUOTED, excerpt};

use super::super::{ExportRequest, Failure};
use super::FillRequest;

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

pub(super) fn known_links(folder: &Path) -> Result<Vec<Link>, Failure> {
    let path = folder.join(links::FILE);
    if !path.exists() {
        return Ok(Vec::new());
    }
    let bytes = files::read_bytes(&path)?;
    links::read(&bytes, &path.to_string_lossy()).map_err(|list| Failure::input(list, Vec::new()))
}

pub(super) fn keep_links(folder: &Path, links: &[Link]) -> Result<(), Failure> {
    let draft = Draft::create(&folder.join(links::FILE), links::is_heading)?;
    Ok(draft.put(&links::file(links))?)
}

pub(super) fn link(class: &str, student: &str, cell: &str) -> Link {
    Link {
        class: class.to_owned(),
        student: student.to_owned(),
        cell: cell.trim().to_owned(),
    }
}

/// The links that are confirmed now: each is to a student of the class.
pub(super) fn confirmed(
    wanted: &FillRequest,
    request: &ExportRequest<'_>,
) -> Result<Vec<Link>, Failure> {
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
pub(super) fn without_effect(
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
pub(super) fn is_plain(near: &Near) -> bool {
    near.is_only && matches!(near.likeness, Likeness::Zeros | Likeness::Spelling)
}
