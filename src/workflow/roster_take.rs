//! Rosters of ours from what a school gives out: a package of OneRoster files, or a list of several classes.
//!
//! In: a folder, a zip or a CSV file, and the folder where rosters lie. Out: a file a class there. A file that
//! is there already is compared, and replaced only when told so; what the teacher added to it (decimal
//! marks, sizes of print) stays with its student. Papers, entries and marks are in the record and not touched.
//!
//! Refused: a file there that the program did not write, or that is another class's; classes whose names make
//! no name of a file.

use std::collections::HashMap;
use std::fs;
use std::io::{Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};

use chrono::NaiveDate;

use crate::diagnostic::{Diagnostic, Place};
use crate::files::{self, Draft, FileError, Input};
use crate::roster::oneroster::{self, Class, IdFrom, LONGEST, Package, Zipped};
use crate::roster::{Changes, Roster, RosterColumns};
use crate::text::quoted;

use super::roster_file::{OwnRoster, OwnStudent, is_ours, stem};
use super::{Failure, Findings, load};

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
    /// Enrollments that ended before it are left out.
    pub today: NaiveDate,
}

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
        let mut draft = Draft::create(&self.path, is_ours)?;
        let name = draft.name().to_owned();
        let written = draft.write_all(&self.bytes);
        written.map_err(|error| FileError::from_io(&name, &error))?;
        draft.commit()?;
        Ok(())
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
        let mut count: HashMap<String, usize> = HashMap::new();
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
        let mut seen = HashMap::new();
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
                return Err(Failure::input(vec![error.help(help)], Vec::new()));
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
    let name = request.source.to_string_lossy().into_owned();
    let (rosters, findings) = match oneroster_package(request.source)? {
        Some(mut package) => of_package(request, &mut *package)?,
        None => of_list(request)?,
    };
    let mut offered = Offered {
        findings,
        rosters,
        source: name,
    };
    all_there(request, offered.rosters.iter().map(names))?;
    if !request.only.is_empty() {
        offered.rosters.retain(|roster| {
            request
                .only
                .iter()
                .any(|only| is_called(names(roster), only))
        });
    }
    Ok(offered)
}

/// Refuses names that no class has.
fn all_there<'a>(
    request: &TakeRequest<'_>,
    classes: impl Iterator<Item = [&'a String; 3]> + Clone,
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
    let titles = quoted(classes.map(|[title, ..]| title.as_str()));
    let help = format!("the classes are {titles}");
    Err(Failure::input(vec![error.help(help)], Vec::new()))
}

/// Whether a class of that title, code and id is meant by a name; the name of its file is one, too.
fn is_called([title, code, id]: [&String; 3], name: &str) -> bool {
    [title, code, id].iter().any(|known| *known == name) || stem(title) == name
}

fn names(roster: &OwnRoster) -> [&String; 3] {
    [&roster.title, &roster.code, &roster.class]
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
    let zipped =
        Zipped::open(input, &name).map_err(|error| Failure::input(vec![error], Vec::new()))?;
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
    let called = |class: &'_ Class| -> bool {
        let names = [&class.title, &class.code, &class.sourced_id];
        request.only.is_empty() || request.only.iter().any(|only| is_called(names, only))
    };
    let all = school.classes.iter();
    all_there(
        request,
        all.map(|class| [&class.title, &class.code, &class.sourced_id]),
    )?;
    let chosen: Vec<Class> = school.classes.into_iter().filter(called).collect();
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
        let (ended, title) = (class.ended, &class.title);
        if ended > 0 {
            let message = format!("{title}: left out, since their enrollment has ended: {ended}");
            list.push(Diagnostic::note(&name, Place::File, message));
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
            let message = format!("{title}: {nameless} students have no such id");
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
    let title = super::class_of(request.source);
    let mut rosters: Vec<OwnRoster> = Vec::new();
    let sections = roster.sections().len();
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
            return Err(Failure::input(vec![error.help(help)], Vec::new()));
        }
        let known = rosters.iter().position(|own| own.title == title);
        let at = known.unwrap_or_else(|| {
            rosters.push(OwnRoster {
                title: title.to_owned(),
                ..OwnRoster::default()
            });
            rosters.len() - 1
        });
        rosters[at].students.push(OwnStudent {
            id: student.id.to_owned(),
            name: student.name.to_owned(),
            decimal: student.decimal,
            print: student.print,
            sourced_id: roster
                .sourced()
                .map_or("", |ids| ids.student(place))
                .to_owned(),
            ..OwnStudent::default()
        });
    }
    Ok((rosters, findings))
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
