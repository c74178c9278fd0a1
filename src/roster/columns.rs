//! Which column of a roster holds what.
//!
//! In go the headings and what the user declared; out come places of columns. A declared heading
//! counts, else an obvious one; where two are obvious for the same thing it is refused and the option
//! named that settles it. A column can also be declared by its place, counted from 1, for one without a
//! heading or with that of another. The words are in `headings`.

use crate::diagnostic::{Diagnostic, Findings, nearest};
use crate::headings::{ENTRY, GIVEN, PART, WORKING};
use crate::table::declared::{plural, word};
use crate::table::{Declared, Format, Looks, Row};
use crate::text::{QUOTED, excerpt, quoted};

use super::headings::{Role, has, plain};

/// Headings that the user named, each as it stands in the file, or the places of columns. `None` leaves it to
/// the obvious ones.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RosterColumns {
    /// How the file is written.
    pub file: Declared,
    /// `--id-column`
    pub id: Option<String>,
    /// `--name-column`
    pub name: Option<String>,
    /// `--section-column`
    pub section: Option<String>,
    /// `--decimal-column`
    pub decimal: Option<String>,
    /// `--print-column`
    pub print: Option<String>,
    /// Which of [`REMEMBERED`] nobody named now: the record remembers them.
    pub remembered: [bool; 4],
}

/// The columns that a record can remember, as their options call them.
const REMEMBERED: [&str; 4] = ["id", "name", "section", "decimal"];

impl RosterColumns {
    /// The same with what was said before of the same file, where nothing is said now.
    pub fn or(self, before: Self) -> Self {
        let [id, name, section, decimal] = before.remembered;
        Self {
            file: self.file.or(&before.file),
            remembered: [
                id && self.id.is_none(),
                name && self.name.is_none(),
                section && self.section.is_none(),
                decimal && self.decimal.is_none(),
            ],
            id: self.id.or(before.id),
            name: self.name.or(before.name),
            section: self.section.or(before.section),
            decimal: self.decimal.or(before.decimal),
            print: self.print.or(before.print),
        }
    }

    /// Whether nobody named the column of that option now.
    fn remembers(&self, option: &str) -> bool {
        let mut known = REMEMBERED.iter().zip(self.remembered);
        known.any(|(name, is_remembered)| is_remembered && *name == option)
    }
}

/// The columns of one roster.
#[derive(Debug)]
pub(super) struct Columns {
    pub(super) id: usize,
    /// Joined by blanks: given before family name.
    name: Vec<usize>,
    pub(super) section: Option<usize>,
    pub(super) decimal: Option<usize>,
    pub(super) print: Option<usize>,
    /// The ids of the OneRoster standard: the student's, the class's, its school's, its sessions'.
    pub(super) sourced: [Option<usize>; 4],
    /// What the user named, and what was found: role and column.
    pub(super) taken: Vec<(&'static str, usize)>,
    /// Columns that are left aside.
    pub(super) unused: Vec<usize>,
    /// Whether these are without doubt those of a file of answers.
    pub(super) seem_answers: bool,
}

impl Columns {
    /// Columns without a heading that may hold anything: those that are used, and those before the first heading,
    /// where programs put the number of the row.
    pub(super) fn may_be_headless(&self, format: &Format) -> Vec<usize> {
        let headings = format.heading();
        let first = headings.iter().position(|heading| !heading.is_empty());
        let used = self.taken.iter().map(|(_, column)| *column);
        (0..first.unwrap_or(0)).chain(used).collect()
    }

    /// Whether there are columns of OneRoster ids.
    pub(super) fn has_sourced(&self) -> bool {
        self.sourced.iter().any(Option::is_some)
    }

    /// The words of a student's name, perhaps empty ones.
    pub(super) fn name_of<'a>(&'a self, row: &'a Row) -> impl Iterator<Item = &'a str> {
        self.name.iter().map(|column| row.cell(*column).trim())
    }
}

/// How much a row looks like the heading of a roster.
pub(super) fn looks(cells: &[&str], declared: &RosterColumns) -> Looks {
    let declared = declared.id.as_deref().filter(|id| place(id).is_none());
    let plain_cells = cells.iter().map(|cell| plain(cell));
    let mut looks = Looks::No;
    for cell in plain_cells {
        let found = match declared {
            Some(id) if cell == plain(id) => Looks::Heading,
            Some(_) => Looks::No,
            None if has(Role::Id, &cell) => Looks::Heading,
            None if has(Role::PerhapsId, &cell) => Looks::Perhaps,
            None => Looks::No,
        };
        looks = looks.max(found);
    }
    looks
}

/// The place that a declared column has, if it is one, from 0.
fn place(declared: &str) -> Option<usize> {
    let digits = declared.trim();
    let is_number = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
    is_number.then(|| digits.parse::<usize>().ok()?.checked_sub(1))?
}

/// Finds the columns, or tells in `findings` what is missing or open; a note there names those not used.
pub(super) fn choose(
    format: &Format,
    declared: &RosterColumns,
    findings: &mut Findings,
) -> Option<Columns> {
    let errors = findings.errors();
    let mut search = Search {
        format,
        said: declared,
        plain: format
            .heading()
            .iter()
            .map(|heading| plain(heading))
            .collect(),
        used: vec![false; format.heading().len()],
        findings,
    };
    let id = search.column(&[Role::Id, Role::PerhapsId], declared.id.as_deref(), "id");
    let name = search.name(declared.name.as_deref());
    let section = search.column(&[Role::Section], declared.section.as_deref(), "section");
    let decimal = search.column(&[Role::Decimal], declared.decimal.as_deref(), "decimal");
    let print = search.column(&[Role::Print], declared.print.as_deref(), "print");
    let sourced = [Role::Sourced, Role::Class, Role::School, Role::Sessions]
        .map(|role| search.of(role).first().copied());
    for column in sourced.into_iter().flatten() {
        search.used[column] = true;
    }
    let mut seem_answers = false;
    if search.findings.errors() > errors {
        // what is not used is known once all that is used is clear
    } else if id.is_some() {
        seem_answers = search.tell_unused();
    } else {
        let found = quoted(format.heading().iter().map(String::as_str));
        let message = format!("expected a column of student ids, found the headings {found}");
        let help = wrong_separator(format, &declared.file).unwrap_or_else(|| {
            "head the column 'id', or name its heading with --id-column; if another row is the \
             heading, say which with --heading-row"
                .to_owned()
        });
        let place = format.heading_place();
        search
            .findings
            .push(Diagnostic::error(format.file(), place, message).help(help));
    }
    let unused = search.unused();
    let id = id.filter(|_| findings.errors() == errors)?;
    let mut taken = vec![("id", id)];
    taken.extend(name.iter().map(|column| ("name", *column)));
    let others = [
        ("section", section),
        ("decimal mark", decimal),
        ("print size", print),
        ("sourcedId", sourced[0]),
        ("class id", sourced[1]),
        ("school id", sourced[2]),
        ("session ids", sourced[3]),
    ];
    taken.extend(
        others
            .into_iter()
            .filter_map(|(role, column)| Some((role, column?))),
    );
    Some(Columns {
        id,
        name,
        section,
        decimal,
        print,
        sourced,
        taken,
        unused,
        seem_answers,
    })
}

/// What to do where a separator was named and the heading, of one cell, holds another.
fn wrong_separator(format: &Format, declared: &Declared) -> Option<String> {
    let named = declared.delimiter?;
    let [heading] = format.heading() else {
        return None;
    };
    let held = b",;\t|"
        .iter()
        .find(|other| **other != named && heading.contains(char::from(**other)))?;
    Some(if declared.remembered.delimiter {
        format!(
            "the record remembers {} for this file, but the heading holds {}: say {} {}",
            plural(named),
            plural(*held),
            declared.anew("delimiter"),
            word(*held)
        )
    } else {
        format!(
            "{} says {}, but the heading holds {}: leave it out",
            declared.option("delimiter"),
            word(named),
            plural(*held)
        )
    })
}

struct Search<'a> {
    format: &'a Format,
    said: &'a RosterColumns,
    /// The headings without case and marks.
    plain: Vec<String>,
    used: Vec<bool>,
    findings: &'a mut Findings,
}

impl Search<'_> {
    /// The declared column, else the one of the first role that any heading has.
    fn column(&mut self, roles: &[Role], declared: Option<&str>, option: &str) -> Option<usize> {
        if let Some(declared) = declared {
            return self.declared(declared, option);
        }
        for role in roles {
            let found = self.of(*role);
            match found[..] {
                [] => {}
                [column] => {
                    self.used[column] = true;
                    return Some(column);
                }
                _ => {
                    self.ambiguous(&found, option);
                    return None;
                }
            }
        }
        None
    }

    /// One column of full names, or given and family name. A `name` beside a given name alone is the family
    /// name, as on German lists.
    fn name(&mut self, declared: Option<&str>) -> Vec<usize> {
        if declared.is_some() {
            return self.column(&[], declared, "name").into_iter().collect();
        }
        let (given, family) = (self.of(Role::Given), self.of(Role::Family));
        let full = self.of(Role::Name);
        if let ([given], [], [family]) | ([given], [family], []) =
            (&given[..], &family[..], &full[..])
        {
            self.used[*given] = true;
            self.used[*family] = true;
            return vec![*given, *family];
        }
        let roles = [Role::Name, Role::PerhapsName, Role::Family, Role::Given];
        self.column(&roles, None, "name").into_iter().collect()
    }

    fn of(&self, role: Role) -> Vec<usize> {
        let free = (0..self.plain.len()).filter(|column| !self.used[*column]);
        free.filter(|column| has(role, &self.plain[*column]))
            .collect()
    }

    fn declared(&mut self, declared: &str, option: &str) -> Option<usize> {
        let headings = self.format.heading();
        let mut exact = (0..headings.len()).filter(|column| headings[*column] == declared.trim());
        let exact = match (exact.next(), exact.next()) {
            (Some(one), Some(other)) => {
                self.ambiguous(&[one, other], option);
                return None;
            }
            (one, _) => one,
        };
        let by_place = place(declared).filter(|column| *column < headings.len());
        let found = exact.or(by_place).or_else(|| {
            let declared = plain(declared);
            let mut alike = (0..headings.len()).filter(|column| self.plain[*column] == declared);
            alike.next().filter(|_| alike.next().is_none())
        });
        if let Some(column) = found {
            self.used[column] = true;
            return Some(column);
        }
        let declared = excerpt(declared, QUOTED);
        let is_remembered = self.said.remembers(option);
        let who = match is_remembered {
            true => format!("the record remembers for the {option} column"),
            false => format!("--{option}-column names"),
        };
        let message = format!("no column is headed '{declared}', which {who}");
        let headings = headings.iter().map(String::as_str);
        let near = nearest(&declared, headings.clone());
        let help = if let Some(help) = wrong_separator(self.format, &self.said.file) {
            help
        } else if is_remembered {
            let anew = self.said.file.anew(&format!("{option}-column"));
            let now = quoted(headings);
            format!("say {anew} and the heading it has now, of {now}")
        } else if let Some(near) = near {
            format!("did you mean '{}'?", excerpt(near, QUOTED))
        } else {
            format!("the headings are {}", quoted(headings))
        };
        let place = self.format.heading_place();
        self.findings
            .push(Diagnostic::error(self.format.file(), place, message).help(help));
        None
    }

    fn ambiguous(&mut self, columns: &[usize], option: &str) {
        let headings = columns
            .iter()
            .map(|column| self.format.heading()[*column].as_str());
        let message = format!(
            "expected one column of {option}s, found {}",
            quoted(headings)
        );
        let place = self.format.heading_place();
        let mut names: Vec<&str> = columns
            .iter()
            .map(|column| self.format.heading()[*column].as_str())
            .collect();
        names.dedup();
        let help = if names.len() < columns.len() {
            let places: Vec<String> = columns.iter().map(|at| (at + 1).to_string()).collect();
            let places = places.join(" or ");
            format!("name the place of the one that counts with --{option}-column {places}")
        } else {
            format!("name the heading that counts with --{option}-column")
        };
        self.findings
            .push(Diagnostic::error(self.format.file(), place, message).help(help));
    }

    /// Columns with a heading that are left aside.
    fn unused(&self) -> Vec<usize> {
        let headings = self.format.heading().iter().zip(&self.used).enumerate();
        headings
            .filter(|(_, (heading, used))| !**used && !heading.is_empty())
            .map(|(column, _)| column)
            .collect()
    }

    /// Names the columns that are left aside. Whether all together are without doubt those of a file of answers.
    fn tell_unused(&mut self) -> bool {
        let unused = self.unused().into_iter();
        let unused: Vec<_> = unused
            .map(|column| self.format.heading()[column].as_str())
            .collect();
        let message = match unused[..] {
            [] => return false,
            [one] => format!("the column '{}' is not used", excerpt(one, QUOTED)),
            _ => format!(
                "the columns {} are not used",
                quoted(unused.iter().copied())
            ),
        };
        let place = self.format.heading_place();
        let file = self.format.file();
        let students_alone = self.has_students_alone();
        let are_parts = unused.iter().any(|heading| heading.chars().count() == 1);
        let are_answers = are_answers(&unused) || students_alone && are_parts;
        // All there is besides a column of students would make a poor roster, but may be one.
        let may_be_answers = are_answers || students_alone;
        self.findings.push(if may_be_answers {
            let message = format!(
                "{message}: is this a file of answers? students without a row in it are missing from the marks"
            );
            Diagnostic::warning(file, place, message).help("--roster takes the list of the class")
        } else {
            Diagnostic::note(file, place, message)
        });
        are_answers
    }

    /// Whether the one column that is used is headed as in a file of answers.
    fn has_students_alone(&self) -> bool {
        let used = self.plain.iter().zip(&self.used);
        let mut used = used.filter(|(_, used)| **used).map(|(plain, _)| plain);
        used.next().is_some_and(|plain| plain == "student") && used.next().is_none()
    }
}

/// Whether columns that no roster uses are those of a file of answers, by a heading that only such a file has.
fn are_answers(unused: &[&str]) -> bool {
    let has = |word: &str| unused.iter().any(|heading| plain(heading) == word);
    let keyed = |heading: &&str| heading.ends_with(WORKING) || heading.starts_with(GIVEN);
    has("handed in") || has(PART) && has(ENTRY) || unused.iter().any(keyed)
}
