//! Reads the files of a package, each once: classes, enrollments, then the users that are enrolled.
//!
//! In: a package and a day. Out: its classes with who is enrolled that day. Refused, all at once: columns
//! that a table must have, cells that are none of what it allows.

use chrono::NaiveDate;
use rustc_hash::{FxHashMap, FxHashSet};

use super::open::{Changes, DELETED, Reader, only_changes};
use super::{Class, Member, Package, School, Version, path_of};
use crate::diagnostic::{Diagnostic, Place};
use crate::table::Row;
use crate::text::{QUOTED, date, excerpt, no_date};

const STATUS: &str = "status";
const STUDENT: &str = "student";

/// Reads the classes of a package and their students on a day. `complete` says that files with a status in
/// their rows hold everything all the same. Gives what was assumed, too.
///
/// # Errors
/// All that is wrong with the package.
pub fn read(
    package: &mut dyn Package,
    today: NaiveDate,
    complete: bool,
) -> Result<(School, Vec<Diagnostic>), Vec<Diagnostic>> {
    let mut reader = Reader::new(package, complete);
    let version = reader.manifest();
    let mut classes = reader.classes();
    let enrolled = reader.enrollments(&classes, today);
    let users = reader.users(&enrolled);
    let students = reader.roles(version);
    if reader.errors > 0 {
        return Err(reader.refused());
    }
    let mut strays: FxHashSet<&String> = FxHashSet::default();
    for (class, user) in &enrolled.pairs {
        let Some(found) = users.get(user) else {
            strays.insert(user);
            continue;
        };
        classes[*class].members.push(found.clone());
    }
    for (class, count) in enrolled.ended {
        classes[class].class.ended = count;
    }
    for (class, count) in enrolled.to_come {
        classes[class].class.to_come = count;
    }
    let name = reader.package.name().to_owned();
    if !strays.is_empty() {
        let message = match strays.len() {
            1 => "1 student is enrolled who is not in users.csv".to_owned(),
            count => format!("{count} students are enrolled who are not in users.csv"),
        };
        let error = Diagnostic::error(&path_of(&name, "enrollments.csv"), Place::File, message);
        reader
            .told
            .push(error.help("export users and enrollments together"));
        return Err(reader.told);
    }
    if let Some(students) = students {
        let others = enrolled
            .pairs
            .iter()
            .filter(|(_, user)| !students.contains(user));
        let others: FxHashSet<&String> = others.map(|(_, user)| user).collect();
        if !others.is_empty() {
            let message = match others.len() {
                1 => "1 person is enrolled as a student, whose role says otherwise".to_owned(),
                count => {
                    format!("{count} people are enrolled as students, whose roles say otherwise")
                }
            };
            let path = path_of(&name, "roles.csv");
            let warning = Diagnostic::warning(&path, Place::File, message);
            reader.told.push(warning.help(
                "all that are enrolled are taken; have roles and enrollments put right at the school",
            ));
        }
    }
    let classes = classes.into_iter().map(|mut class| {
        class
            .members
            .sort_by(|one, other| one.order.cmp(&other.order));
        class
            .members
            .dedup_by(|one, other| one.member.sourced_id == other.member.sourced_id);
        Class {
            members: class
                .members
                .into_iter()
                .map(|named| named.member)
                .collect(),
            ..class.class
        }
    });
    let school = School {
        version: version.unwrap_or_default(),
        classes: classes.collect(),
    };
    Ok((school, reader.told))
}

/// A class that is being filled.
struct Filling {
    class: Class,
    members: Vec<Named>,
}

/// A student with what lists are sorted by: family name, given name, id.
#[derive(Clone)]
struct Named {
    order: [String; 3],
    member: Member,
}

/// Who is enrolled where.
#[derive(Default)]
struct Enrolled {
    /// Place of the class, id of the user.
    pairs: Vec<(usize, String)>,
    users: FxHashSet<String>,
    /// By class, how many enrollments have ended.
    ended: FxHashMap<usize, usize>,
    /// By class, how many have not begun.
    to_come: FxHashMap<usize, usize>,
}

impl Reader<'_> {
    /// The version, and whether the files are whole. Without a manifest the contents tell.
    fn manifest(&mut self) -> Option<Version> {
        let mut open = self.open("manifest.csv", ["*propertyName", "*value"], false)?;
        let mut row = Row::default();
        let mut version = None;
        while open.table.read(&mut row, &mut open.findings) {
            let [property, value] = open.cells(&row);
            if property == "oneroster.version" {
                version = match value {
                    "1.1" => Some(Version::V1p1),
                    "1.2" => Some(Version::V1p2),
                    _ => {
                        let message = format!(
                            "expected OneRoster 1.1 or 1.2, found '{}'",
                            excerpt(value, QUOTED)
                        );
                        let error = Diagnostic::error(open.findings.file(), row.place(), message);
                        open.findings
                            .push(error.help("have the files exported in one of these versions"));
                        None
                    }
                };
            }
            let is_read = ["file.classes", "file.enrollments", "file.users"].contains(&property);
            if is_read && value == "delta" && !self.complete {
                let error = only_changes(open.findings.file(), row.place(), property);
                open.findings.push(error);
            }
        }
        self.take(open.findings);
        version
    }

    fn classes(&mut self) -> Vec<Filling> {
        let columns = [
            "*sourcedId",
            "*title",
            "classCode",
            "*schoolSourcedId",
            "*termSourcedIds",
            STATUS,
        ];
        let mut classes: Vec<Filling> = Vec::new();
        let Some(mut open) = self.open("classes.csv", columns, true) else {
            return classes;
        };
        let mut row = Row::default();
        let mut known = FxHashMap::default();
        let mut changes = Changes::default();
        while open.table.read(&mut row, &mut open.findings) {
            let [id, title, code, school, sessions, status] = open.cells(&row);
            if !changes.is_here(status, &row, &mut open.findings) {
                continue;
            }
            for (cell, column) in [
                (id, "sourcedId"),
                (title, "title"),
                (school, "schoolSourcedId"),
            ] {
                if cell.is_empty() {
                    let error = blank(open.findings.file(), &row, column);
                    open.findings.push(error);
                }
            }
            if let Some(line) = known.insert(id.to_owned(), row.line()) {
                let error = doubled(open.findings.file(), &row, id, line);
                open.findings.push(error);
                continue;
            }
            let sessions = sessions
                .split(',')
                .map(str::trim)
                .filter(|id| !id.is_empty());
            classes.push(Filling {
                class: Class {
                    sourced_id: id.to_owned(),
                    title: title.to_owned(),
                    code: code.to_owned(),
                    school: school.to_owned(),
                    sessions: sessions.map(str::to_owned).collect(),
                    ..Class::default()
                },
                members: Vec::new(),
            });
        }
        self.close(open.findings, &changes);
        classes
    }

    fn enrollments(&mut self, classes: &[Filling], today: NaiveDate) -> Enrolled {
        let columns = [
            "*classSourcedId",
            "*userSourcedId",
            "*role",
            "beginDate",
            "endDate",
            STATUS,
        ];
        let mut enrolled = Enrolled::default();
        let Some(mut open) = self.open("enrollments.csv", columns, true) else {
            return enrolled;
        };
        let places: FxHashMap<&str, usize> = classes
            .iter()
            .enumerate()
            .map(|(place, filling)| (filling.class.sourced_id.as_str(), place))
            .collect();
        let mut row = Row::default();
        let mut changes = Changes::default();
        let mut strays = 0;
        while open.table.read(&mut row, &mut open.findings) {
            let [class, user, role, begins, ends, status] = open.cells(&row);
            if !changes.is_here(status, &row, &mut open.findings) || role != STUDENT {
                continue;
            }
            let Some(place) = places.get(class) else {
                strays += 1;
                continue;
            };
            let mut day = |cell: &str| {
                if cell.is_empty() {
                    return None;
                }
                let day = date(cell);
                if day.is_none() {
                    let (message, _) = no_date(cell);
                    let error = Diagnostic::error(open.findings.file(), row.place(), message);
                    open.findings
                        .push(error.help("the standard writes dates in this form alone"));
                }
                day
            };
            let (begins, ends) = (day(begins), day(ends));
            if ends.is_some_and(|last| last < today) {
                *enrolled.ended.entry(*place).or_default() += 1;
                continue;
            }
            if begins.is_some_and(|first| first > today) {
                *enrolled.to_come.entry(*place).or_default() += 1;
                continue;
            }
            enrolled.users.insert(user.to_owned());
            enrolled.pairs.push((*place, user.to_owned()));
        }
        if strays > 0 {
            let (message, out) = match strays {
                1 => (
                    "1 student is enrolled in a class that is not in classes.csv".to_owned(),
                    "this is left out",
                ),
                _ => (
                    format!(
                        "{strays} students are enrolled in classes that are not in classes.csv"
                    ),
                    "they are left out",
                ),
            };
            let warning = Diagnostic::warning(open.findings.file(), Place::File, message);
            let help = format!("{out}; export classes and enrollments together");
            open.findings.push(warning.help(help));
        }
        self.close(open.findings, &changes);
        enrolled
    }

    fn users(&mut self, enrolled: &Enrolled) -> FxHashMap<String, Named> {
        let columns = [
            "*sourcedId",
            "*givenName",
            "*familyName",
            "preferredGivenName",
            "preferredFamilyName",
            "identifier",
            "username",
            STATUS,
        ];
        let mut users = FxHashMap::default();
        let Some(mut open) = self.open("users.csv", columns, true) else {
            return users;
        };
        let mut row = Row::default();
        let mut changes = Changes::default();
        while open.table.read(&mut row, &mut open.findings) {
            let [
                id,
                given,
                family,
                called,
                called_family,
                identifier,
                username,
                status,
            ] = open.cells(&row);
            if !changes.is_here(status, &row, &mut open.findings) || !enrolled.users.contains(id) {
                continue;
            }
            let first_filled = |one: &str, other: &str| {
                if one.is_empty() {
                    other.to_owned()
                } else {
                    one.to_owned()
                }
            };
            let (given, family) = (
                first_filled(called, given),
                first_filled(called_family, family),
            );
            let name = [given.as_str(), family.as_str()]
                .into_iter()
                .filter(|word| !word.is_empty());
            let named = Named {
                order: [family.to_lowercase(), given.to_lowercase(), id.to_owned()],
                member: Member {
                    sourced_id: id.to_owned(),
                    identifier: identifier.to_owned(),
                    username: username.to_owned(),
                    name: name.collect::<Vec<_>>().join(" "),
                },
            };
            if users.insert(id.to_owned(), named).is_some() {
                let message = format!("the sourcedId '{}' stands here again", excerpt(id, QUOTED));
                let error = Diagnostic::error(open.findings.file(), row.place(), message);
                open.findings
                    .push(error.help("have the files exported anew: an id belongs to one person"));
            }
        }
        self.close(open.findings, &changes);
        users
    }

    /// Who has the role of a student somewhere; `None` where no file says so.
    fn roles(&mut self, version: Option<Version>) -> Option<FxHashSet<String>> {
        if version == Some(Version::V1p1) {
            return None;
        }
        let mut open = self.open("roles.csv", ["*userSourcedId", "*role", STATUS], false)?;
        let mut row = Row::default();
        let mut students = FxHashSet::default();
        while open.table.read(&mut row, &mut open.findings) {
            let [user, role, status] = open.cells(&row);
            if role == STUDENT && status != DELETED {
                students.insert(user.to_owned());
            }
        }
        self.take(open.findings);
        Some(students)
    }
}

fn blank(file: &str, row: &Row, column: &str) -> Diagnostic {
    let message = format!("expected a {column}, found an empty cell");
    Diagnostic::error(file, row.place(), message)
        .help("the standard asks for it: have the file exported anew")
}

fn doubled(file: &str, row: &Row, id: &str, first: u64) -> Diagnostic {
    let message = format!(
        "the sourcedId '{}' stands here and in line {first}",
        excerpt(id, QUOTED)
    );
    Diagnostic::error(file, row.place(), message)
        .help("have the file exported anew: an id belongs to one class")
}
