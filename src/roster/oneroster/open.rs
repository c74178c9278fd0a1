//! One file of a package: opened, its columns found by their exact headings, and whether it holds only changes.
//!
//! In go a package and the columns that are needed; out come their cells, row by row. Refused: files that are not
//! there, columns that are missing or written otherwise, files of changes.

use std::io::Cursor;

use super::{Package, path_of};
use crate::diagnostic::{Diagnostic, Findings, Place, nearest};
use crate::table::{Declared, Looks, Row, Table};
use crate::text::{QUOTED, excerpt, quoted};

const ACTIVE: &str = "active";
/// The status of what is to be taken out.
pub(super) const DELETED: &str = "tobedeleted";

/// One file with the places of the columns that were asked for.
pub(super) struct Open<const N: usize> {
    pub(super) table: Table<Cursor<Vec<u8>>>,
    pub(super) findings: Findings,
    places: [Option<usize>; N],
}

impl<const N: usize> Open<N> {
    /// The cells of the columns that were asked for; empty where there is no such column.
    pub(super) fn cells<'r>(&self, row: &'r Row) -> [&'r str; N] {
        self.places
            .map(|place| place.map_or("", |at| row.cell(at).trim()))
    }
}

/// Reads files of a package, and collects what is wrong with them.
pub(super) struct Reader<'p> {
    pub(super) package: &'p mut dyn Package,
    pub(super) complete: bool,
    pub(super) told: Vec<Diagnostic>,
    pub(super) errors: usize,
    /// Files that have to be there and are not.
    lacking: Vec<String>,
}

/// How many files a package has to hold.
const REQUIRED: usize = 3;

impl<'p> Reader<'p> {
    /// `complete` says that files with a status in their rows hold everything all the same.
    pub(super) fn new(package: &'p mut dyn Package, complete: bool) -> Self {
        Self {
            package,
            complete,
            told: Vec::new(),
            errors: 0,
            lacking: Vec::new(),
        }
    }

    /// All that is wrong with the package. One that has none of the files is no package.
    pub(super) fn refused(self) -> Vec<Diagnostic> {
        let name = self.package.name();
        let mut list: Vec<Diagnostic> = match self.lacking.as_slice() {
            [files @ .., last] if files.len() + 1 == REQUIRED => {
                let files = files.join(", ");
                let message = format!("expected OneRoster files, found none of {files} and {last}");
                let error = Diagnostic::error(name, Place::File, message);
                vec![error.help(
                    "name the folder or the zip that they lie in; an ordinary list is a CSV file: `roster show FILE`",
                )]
            }
            lacking => {
                let errors = lacking.iter().map(|file| {
                    let message = format!("a package of OneRoster files has to hold {file}");
                    Diagnostic::error(&path_of(name, file), Place::File, message)
                        .help("name the folder or the zip in which the files are")
                });
                errors.collect()
            }
        };
        list.extend(self.told);
        list
    }

    /// Opens a file and finds columns by their exact headings; a `*` before one marks that it has to be there.
    pub(super) fn open<const N: usize>(
        &mut self,
        file: &str,
        columns: [&str; N],
        required: bool,
    ) -> Option<Open<N>> {
        let path = path_of(self.package.name(), file);
        let bytes = match self.package.bytes(file) {
            Ok(Some(bytes)) => bytes,
            Ok(None) if required => {
                self.errors += 1;
                self.lacking.push(file.to_owned());
                return None;
            }
            Ok(None) => return None,
            Err(error) => {
                self.refuse(error);
                return None;
            }
        };
        let mut findings = Findings::new(&path);
        // The standard fixes the separator, the heading and its place.
        let declared = Declared {
            delimiter: Some(b','),
            ..Declared::default()
        };
        let table = Table::open(Cursor::new(bytes), &declared, &|_| Looks::No, &mut findings);
        let Some(table) = table else {
            self.take(findings);
            return None;
        };
        let headings = table.format().heading();
        let mut places = [None; N];
        for (place, column) in places.iter_mut().zip(columns) {
            let name = column.strip_prefix('*').unwrap_or(column);
            *place = headings.iter().position(|heading| heading == name);
            if place.is_none() && name != column {
                let message = format!(
                    "expected a column '{name}', found {}",
                    quoted(headings.iter().map(String::as_str))
                );
                let error = Diagnostic::error(&path, table.format().heading_place(), message);
                findings.push(match nearest(name, headings.iter().map(String::as_str)) {
                    Some(near) => error.help(format!(
                        "the standard writes '{name}', letter for letter, not '{}'",
                        excerpt(near, QUOTED)
                    )),
                    None => {
                        error.help("have the file exported by the OneRoster standard, 1.1 or 1.2")
                    }
                });
            }
        }
        if findings.errors() > 0 {
            self.take(findings);
            return None;
        }
        Some(Open {
            table,
            findings,
            places,
        })
    }

    fn refuse(&mut self, error: Diagnostic) {
        self.errors += 1;
        self.told.push(error);
    }

    /// Takes what was found in a file.
    pub(super) fn take(&mut self, findings: Findings) {
        self.errors += findings.errors();
        self.told.extend(findings.into_vec());
    }

    /// Takes what was found in a file, and refuses one that holds only changes.
    pub(super) fn close(&mut self, findings: Findings, changes: &Changes) {
        let file = findings.file().to_owned();
        self.take(findings);
        if let (Some(place), false) = (changes.first, self.complete) {
            let name = file.rsplit('/').next().unwrap_or_default().to_owned();
            self.refuse(only_changes(&file, place, &name));
        }
    }
}

/// Where the first row stands that has a status, as those of changes do. The contents outrank the manifest.
#[derive(Default)]
pub(super) struct Changes {
    first: Option<Place>,
}

impl Changes {
    /// Whether a row of this status stands for something that is there.
    pub(super) fn is_here(&mut self, status: &str, row: &Row, findings: &mut Findings) -> bool {
        if !status.is_empty() {
            self.first.get_or_insert(row.place());
        }
        if !["", ACTIVE, DELETED].contains(&status) {
            let message = format!(
                "expected the status {ACTIVE} or {DELETED}, found '{}'",
                excerpt(status, QUOTED)
            );
            findings.push(
                Diagnostic::error(findings.file(), row.place(), message)
                    .help("the standard knows these two"),
            );
        }
        status != DELETED
    }
}

pub(super) fn only_changes(file: &str, place: Place, what: &str) -> Diagnostic {
    let message = format!("{what} holds changes (delta), from which no class list can be made");
    Diagnostic::error(file, place, message).help(
        "have the files exported in full (bulk); if they are whole all the same, say --complete",
    )
}
