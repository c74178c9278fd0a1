//! Rosters of ours from what a school gives out: a package of OneRoster files, or a list of several classes.
//!
//! In: a folder, a zip or a CSV file, and the folder where rosters lie. Out: a file a class there. A file that
//! is there already is compared, and replaced only when told so; what the teacher added to it (decimal
//! marks, sizes of print) stays with its student. Papers, entries and marks are in the record and not touched.
//!
//! Refused: a file there that the program did not write, or that is another class's; classes whose names make
//! no name of a file.

use std::path::{Path, PathBuf};

use rustc_hash::FxHashMap;

use crate::diagnostic::{Diagnostic, Place};
use crate::files::{self, Draft};
use crate::roster::{Changes, Roster, RosterColumns};
use crate::text::quoted;

use super::super::{Failure, Findings, load};
use super::file::{OwnRoster, is_ours, stem};
use super::source::{self, TakeRequest};

/// Classes that were read and can be put down as rosters.
#[derive(Debug)]
pub struct Offered {
    /// What was assumed or left out.
    pub findings: Findings,
    rosters: Vec<OwnRoster>,
    source: String,
}

/// What became of one class.
#[derive(Debug)]
pub struct Taken {
    /// What the class is called.
    pub title: String,
    /// Its roster.
    pub path: PathBuf,
    /// The roster as it is in the source now.
    pub roster: Roster,
    /// What is there already, and how it differs; `None` where nothing is there.
    pub before: Option<(Roster, Changes)>,
    bytes: Vec<u8>,
    is_same: bool,
}

impl Taken {
    /// Whether the file there says the same, letter for letter.
    pub fn is_same(&self) -> bool {
        self.is_same
    }

    /// Puts the roster in its place.
    ///
    /// # Errors
    /// A file there that is not ours, a folder that cannot be written to.
    pub fn put(&self) -> Result<(), Failure> {
        Ok(Draft::create(&self.path, is_ours)?.put(&self.bytes)?)
    }
}

impl Offered {
    /// What each class is called, and how many students it has.
    pub fn classes(&self) -> impl Iterator<Item = (&str, usize)> {
        self.rosters
            .iter()
            .map(|roster| (roster.title.as_str(), roster.students.len()))
    }

    /// Compares the classes with the rosters that lie in a folder. Classes without students are left out.
    ///
    /// # Errors
    /// Files there that are not ours or of another class, all at once.
    pub fn compare_with(mut self, folder: &Path) -> Result<Vec<Taken>, Failure> {
        self.rosters.retain(|roster| !roster.students.is_empty());
        let paths = self.paths(folder)?;
        let mut taken = Vec::new();
        let mut faults = Vec::new();
        for (mut roster, path) in self.rosters.into_iter().zip(paths) {
            match compare(&mut roster, &path, &self.source) {
                Ok(found) => taken.push(found),
                Err(Failure::Input(found)) => faults.extend(found.list),
                Err(failure) => return Err(failure),
            }
        }
        if faults.is_empty() {
            Ok(taken)
        } else {
            Err(Failure::input(faults, Vec::new()))
        }
    }

    /// Where each roster goes. A name that two classes have gets the class's id behind it, for both, so that it
    /// stays the same when other classes come and go.
    fn paths(&self, folder: &Path) -> Result<Vec<PathBuf>, Failure> {
        let mut count: FxHashMap<String, usize> = FxHashMap::default();
        for roster in &self.rosters {
            *count.entry(stem(&roster.title)).or_default() += 1;
        }
        let names: Vec<String> = self
            .rosters
            .iter()
            .map(|roster| {
                let name = stem(&roster.title);
                match count.get(&name) {
                    Some(1) if !name.is_empty() => name,
                    _ => stem(&format!("{name} {}", roster.class)),
                }
            })
            .collect();
        let mut seen = FxHashMap::default();
        for (name, roster) in names.iter().zip(&self.rosters) {
            let first = seen.insert(name, &roster.title);
            if name.is_empty() || first.is_some() {
                let titles = [Some(&roster.title), first].into_iter().flatten();
                let message = format!(
                    "the classes {} have no names that make files",
                    quoted(titles.map(String::as_str))
                );
                let error = Diagnostic::error(&self.source, Place::File, message);
                let help = "give the classes different names of letters and digits";
                return Err(Failure::of(error.help(help)));
            }
        }
        Ok(names
            .iter()
            .map(|name| folder.join(format!("{name}.csv")))
            .collect())
    }
}

/// Reads the classes of a source.
///
/// # Errors
/// Whatever the readers of packages and rosters refuse, a class that is not there.
pub fn classes_in(request: &TakeRequest<'_>) -> Result<Offered, Failure> {
    let (rosters, findings) = source::read(request)?;
    Ok(Offered {
        findings,
        rosters,
        source: request.source.to_string_lossy().into_owned(),
    })
}

/// Compares a class with the file that is there.
fn compare(own: &mut OwnRoster, path: &Path, source: &str) -> Result<Taken, Failure> {
    let fault = |list| Failure::input(list, Vec::new());
    let name = path.to_string_lossy().into_owned();
    let before = if path.exists() {
        Some(files::read_bytes(path)?)
    } else {
        None
    };
    let old = match &before {
        None => None,
        Some(bytes) => {
            let first = bytes.split_inclusive(|byte| *byte == b'\n').next();
            if !first.is_some_and(is_ours) {
                return Err(fault(vec![not_ours(&name)]));
            }
            let (old, _) = load::roster(path, &RosterColumns::default())?;
            let known = old.sourced().map_or(&[][..], |sourced| sourced.classes());
            if !own.class.is_empty() && !known.is_empty() && known != [own.class.clone()] {
                return Err(fault(vec![another_class(&name, known, &own.class)]));
            }
            own.keep(&old);
            Some(old)
        }
    };
    let bytes = own.bytes(source).map_err(fault)?;
    let read = Roster::read(
        std::io::Cursor::new(&bytes),
        source,
        &RosterColumns::default(),
    );
    let (roster, _) = read.map_err(fault)?;
    let is_same = before.as_ref() == Some(&bytes);
    Ok(Taken {
        title: own.title.clone(),
        path: path.to_owned(),
        before: old.map(|old| {
            let changes = Changes::between(&old, &roster);
            (old, changes)
        }),
        roster,
        bytes,
        is_same,
    })
}

fn not_ours(file: &str) -> Diagnostic {
    let message = "a file stands there that does not have the columns of a roster of ours";
    Diagnostic::error(file, Place::File, message)
        .help("move it away or take the rosters into another folder; `roster compare` shows the differences")
}

fn another_class(file: &str, known: &[String], class: &str) -> Diagnostic {
    let known = quoted(known.iter().map(String::as_str));
    let message = format!("this is the roster of the class {known}, not of '{class}'");
    Diagnostic::error(file, Place::File, message)
        .help("move it away, or take the rosters into another folder")
}
