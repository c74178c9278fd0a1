//! The classes that a school gives out: of a package of OneRoster files, or of a list with several sections.
//!
//! In: a folder, a zip or a CSV file, and what is wanted of it. Out: rosters as this program writes them, and
//! what was assumed or left out. Refused: what the readers refuse, classes that are not there, students
//! without an id, or without a section where others have one.

use std::fs;
use std::io::{Read as _, Seek as _, SeekFrom};
use std::path::{Path, PathBuf};

use chrono::NaiveDate;

use crate::diagnostic::{Diagnostic, Place};
use crate::files::{self, FileError, Input};
use crate::roster::oneroster::{self, Class, IdFrom, LONGEST, Package, Zipped};
use crate::roster::{RosterColumns, Sourced};
use crate::text::quoted;

use super::super::{Failure, Findings, load};
use super::file::{OwnRoster, OwnStudent, stem};

/// What to take, and from where.
#[derive(Clone, Copy, Debug)]
pub struct TakeRequest<'a> {
    /// A folder or zip of OneRoster files, or a CSV file.
    pub source: &'a Path,
    /// How a CSV file is to be read.
    pub columns: &'a RosterColumns,
    /// Classes by title, code or id; all of them if there are none.
    pub only: &'a [String],
    /// What becomes the student's id, of a package.
    pub id: Option<IdFrom>,
    /// Whether a package is whole though its rows have a status.
    pub complete: bool,
    /// Enrollments that ended before it or begin after it are left out.
    pub today: NaiveDate,
}

/// Reads the classes that are wanted.
pub(super) fn read(request: &TakeRequest<'_>) -> Result<(Vec<OwnRoster>, Findings), Failure> {
    if let Some(mut package) = oneroster_package(request.source)? {
        return of_package(request, &mut *package);
    }
    let (mut rosters, findings) = of_list(request)?;
    all_there(request, rosters.iter().map(names))?;
    rosters.retain(|roster| is_wanted(request, names(roster)));
    Ok((rosters, findings))
}

/// Whether a class is among those that are wanted.
fn is_wanted(request: &TakeRequest<'_>, names: [&str; 3]) -> bool {
    request.only.is_empty() || request.only.iter().any(|only| is_called(names, only))
}

/// Refuses names that no class has.
fn all_there<'a>(
    request: &TakeRequest<'_>,
    classes: impl Iterator<Item = [&'a str; 3]> + Clone,
) -> Result<(), Failure> {
    let has = |name: &str| classes.clone().any(|names| is_called(names, name));
    let missing: Vec<&str> = request
        .only
        .iter()
        .map(String::as_str)
        .filter(|name| !has(name))
        .collect();
    if missing.is_empty() {
        return Ok(());
    }
    let message = format!("no class is called {}", quoted(missing));
    let error = Diagnostic::error(&request.source.to_string_lossy(), Place::File, message);
    let titles = quoted(classes.map(|[title, ..]| title));
    let help = format!("the classes are {titles}");
    Err(Failure::of(error.help(help)))
}

/// Whether a class of that title, code and id is meant by a name; the name of its file is one, too.
fn is_called(names: [&str; 3], name: &str) -> bool {
    names.contains(&name) || stem(names[0]) == name
}

/// Title, code and id of a class.
fn names(roster: &OwnRoster) -> [&str; 3] {
    [&roster.title, &roster.code, &roster.class]
}

/// The same of a class of a package.
fn names_of(class: &Class) -> [&str; 3] {
    [&class.title, &class.code, &class.sourced_id]
}

/// Whether a path is a package of OneRoster files.
///
/// # Errors
/// A file that cannot be opened, a zip that is damaged.
pub fn oneroster_package(path: &Path) -> Result<Option<Box<dyn Package>>, Failure> {
    let name = path.to_string_lossy().into_owned();
    if path.is_dir() {
        return Ok(Some(Box::new(Folder {
            path: path.to_owned(),
            name,
        })));
    }
    let mut input = files::open(path)?;
    let failed = |error: std::io::Error| Failure::from(FileError::from_io(&name, &error));
    let mut beginning = Vec::new();
    let most = oneroster::BEGINNING.len() as u64;
    Input::by_ref(&mut input)
        .take(most)
        .read_to_end(&mut beginning)
        .map_err(failed)?;
    input.seek(SeekFrom::Start(0)).map_err(failed)?;
    if beginning != oneroster::BEGINNING {
        return Ok(None);
    }
    let zipped = Zipped::open(input, &name).map_err(Failure::of)?;
    Ok(Some(Box::new(zipped)))
}

/// A package that was unpacked.
struct Folder {
    path: PathBuf,
    name: String,
}

impl Package for Folder {
    fn name(&self) -> &str {
        &self.name
    }

    fn bytes(&mut self, file: &str) -> Result<Option<Vec<u8>>, Diagnostic> {
        let path = self.path.join(file);
        if !path.exists() {
            return Ok(None);
        }
        let refused = |error: FileError| error.diagnostic().clone();
        let length = fs::metadata(&path).map_or(0, |found| found.len());
        if length > LONGEST {
            let message = "the file has more than 256 mebibytes";
            let error = Diagnostic::error(&path.to_string_lossy(), Place::File, message);
            return Err(error.help("have the classes exported that you need"));
        }
        files::read_bytes(&path).map(Some).map_err(refused)
    }
}

fn of_package(
    request: &TakeRequest<'_>,
    package: &mut dyn Package,
) -> Result<(Vec<OwnRoster>, Findings), Failure> {
    let fault = |list| Failure::input(list, Vec::new());
    let (school, mut list) =
        oneroster::read(package, request.today, request.complete).map_err(fault)?;
    all_there(request, school.classes.iter().map(names_of))?;
    let classes = school.classes.into_iter();
    let chosen: Vec<Class> = classes
        .filter(|class| is_wanted(request, names_of(class)))
        .collect();
    let name = package.name().to_owned();
    let id = match request.id {
        Some(id) => id,
        None => IdFrom::of_all(&chosen, &name).map_err(|error| fault(vec![error]))?,
    };
    if id == IdFrom::SourcedId
        && request.id.is_none()
        && chosen.iter().any(|class| !class.members.is_empty())
    {
        let message =
            "nobody has an `identifier`, so the sourcedId is the student's id on the roster";
        let note = Diagnostic::note(&name, Place::File, message);
        list.push(note.help("another can be taken: --id username"));
    }
    for class in &chosen {
        let title = &class.title;
        for (count, why) in [(class.ended, "has ended"), (class.to_come, "has not begun")] {
            if count > 0 {
                let message = format!("{title}: left out, since their enrollment {why}: {count}");
                list.push(Diagnostic::note(&name, Place::File, message));
            }
        }
        if class.members.is_empty() {
            let message = format!("{title}: no student is enrolled, so there is no roster");
            list.push(Diagnostic::note(&name, Place::File, message));
        }
        let nameless = class
            .members
            .iter()
            .filter(|member| id.of(member).is_empty())
            .count();
        if nameless > 0 {
            let who = match nameless {
                1 => "1 student has".to_owned(),
                _ => format!("{nameless} students have"),
            };
            let message = format!("{title}: {who} no such id");
            let error = Diagnostic::error(&name, Place::File, message);
            return Err(fault(vec![error.help("take another with --id")]));
        }
    }
    let rosters = chosen.into_iter().map(|class| OwnRoster {
        students: class
            .members
            .iter()
            .map(|member| OwnStudent {
                id: id.of(member).to_owned(),
                name: member.name.clone(),
                sourced_id: member.sourced_id.clone(),
                ..OwnStudent::default()
            })
            .collect(),
        title: class.title,
        code: class.code,
        class: class.sourced_id,
        school: class.school,
        sessions: class.sessions,
    });
    let findings = Findings {
        list,
        sources: Vec::new(),
    };
    Ok((rosters.collect(), findings))
}

/// The sections of a CSV file, each as a class; of a file without sections one class, called as the file.
fn of_list(request: &TakeRequest<'_>) -> Result<(Vec<OwnRoster>, Findings), Failure> {
    let (roster, findings) = load::roster(request.source, request.columns)?;
    let title = super::super::class_of(request.source);
    let mut rosters: Vec<OwnRoster> = Vec::new();
    let sections = roster.sections().len();
    let sourced = roster.sourced();
    // Ids of several classes in one list do not say which section has which.
    let only = |ids: fn(&Sourced) -> &[String]| match sourced.map(ids) {
        Some([id]) if sections < 2 => id.clone(),
        _ => String::new(),
    };
    for (place, student) in roster.iter().enumerate() {
        let title = student
            .section
            .unwrap_or(if sections == 0 { &title } else { "" });
        if title.is_empty() {
            let message = format!(
                "the student {} is in no section, though others are",
                student.id
            );
            let error = Diagnostic::error(&request.source.to_string_lossy(), Place::File, message);
            let help = "write the section of everybody, for each becomes a class";
            return Err(Failure::of(error.help(help)));
        }
        let known = rosters.iter().position(|own| own.title == title);
        let at = known.unwrap_or_else(|| {
            rosters.push(OwnRoster {
                title: title.to_owned(),
                class: only(Sourced::classes),
                school: only(Sourced::schools),
                sessions: sourced.map_or(&[][..], Sourced::sessions).to_vec(),
                ..OwnRoster::default()
            });
            rosters.len() - 1
        });
        rosters[at].students.push(OwnStudent {
            id: student.id.to_owned(),
            name: student.name.to_owned(),
            decimal: student.decimal,
            print: student.print,
            sourced_id: sourced.map_or("", |ids| ids.student(place)).to_owned(),
            ..OwnStudent::default()
        });
    }
    Ok((rosters, findings))
}
