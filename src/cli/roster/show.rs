//! `paperweight roster show`: what was understood of a list, for a person or as JSON.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use serde::Serialize;

use crate::cli::reading::RosterReading;
use crate::cli::record::today;
use crate::cli::{Exit, out, report};
use crate::roster::oneroster::IdFrom;
use crate::roster::{PrintSize, Roster, Student};
use crate::table::declared;
use crate::text::{DecimalMark, counted, json_line, safe, width};
use crate::workflow::{self, Failure, Findings, TakeRequest};

use super::exit;

/// Show what is understood of a class list: columns, students, sections, what was assumed
///
/// Of a folder or zip of OneRoster CSV files the classes are listed.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// A CSV file, or a folder or zip of OneRoster CSV files
    #[arg(value_name = "FILE")]
    file: PathBuf,
    #[command(flatten)]
    reading: RosterReading,
    /// Write one JSON object
    #[arg(long)]
    json: bool,
    /// Take the files of a package for whole, though their rows have a status
    #[arg(long)]
    complete: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let file = &arguments.file;
    if workflow::oneroster_package(file)?.is_some() {
        return show_package(arguments);
    }
    let (roster, assumed) = workflow::roster(file, &arguments.reading.columns())?;
    if arguments.json {
        out::rows(json_line(&Shown::of(file, &roster, &assumed)).as_bytes())?;
    } else {
        out::data(&shown(file, &roster, arguments.reading.decimal(None)))?;
        report::show(&assumed);
    }
    Ok(exit(&assumed))
}

fn show_package(arguments: &Arguments) -> Result<Exit, Failure> {
    let offered = workflow::classes_in(&TakeRequest {
        source: &arguments.file,
        columns: &arguments.reading.columns(),
        only: &[],
        id: Some(IdFrom::SourcedId),
        complete: arguments.complete,
        today: today(),
    })?;
    let classes: Vec<Class<'_>> = offered
        .classes()
        .map(|(title, students)| Class { title, students })
        .collect();
    if arguments.json {
        let name = arguments.file.to_string_lossy();
        let package = serde_json::json!({ "file": name, "classes": classes });
        out::rows(json_line(&package).as_bytes())?;
    } else {
        let name = arguments.file.to_string_lossy();
        let count = counted(classes.len(), "class");
        let mut text = format!("{}: {count} in OneRoster files\n", safe(&name));
        for class in &classes {
            let _ = writeln!(text, "  {:>4}  {}", class.students, safe(class.title));
        }
        out::data(&text)?;
    }
    report::show(&offered.findings);
    Ok(Exit::Done)
}

/// What was understood, for a person.
fn shown(file: &Path, roster: &Roster, decimal: DecimalMark) -> String {
    let understood = roster.understood();
    let name = file.to_string_lossy();
    let mut text = format!("{}: {}\n", safe(&name), counted(roster.len(), "student"));
    let mut line = |what: &str, said: &str| {
        let _ = writeln!(text, "  {what:<14}{said}");
    };
    let lists = match understood.lists {
        1 => String::new(),
        lists => format!(", {lists} lists"),
    };
    line(
        "read as",
        &format!(
            "{}, cells separated by {}, heading in line {}{lists}",
            understood.encoding,
            declared::plural(understood.delimiter),
            understood.heading_line
        ),
    );
    let heading = |column: usize| match understood.heading.get(column).map(String::as_str) {
        None | Some("") => format!("column {}", column + 1),
        Some(heading) => format!("'{}'", safe(heading)),
    };
    for (role, columns) in taken(roster) {
        let columns: Vec<String> = columns.into_iter().map(heading).collect();
        line(role, &format!("from {}", columns.join(" and ")));
    }
    if !understood.unused.is_empty() {
        let unused: Vec<String> = understood.unused.iter().map(|at| heading(*at)).collect();
        line("left aside", &unused.join(", "));
    }
    let count =
        |of: &dyn Fn(&Student<'_>) -> bool| roster.iter().filter(|student| of(student)).count();
    if roster.sections().len() > 0 {
        let mut sections: Vec<String> = roster
            .sections()
            .map(|name| {
                format!(
                    "{} {}",
                    safe(name),
                    count(&|student| student.section == Some(name))
                )
            })
            .collect();
        let none = count(&|student| student.section.is_none());
        if none > 0 {
            sections.push(format!("none {none}"));
        }
        line("sections", &sections.join(", "));
    }
    let marks = [DecimalMark::Point, DecimalMark::Comma].map(|mark| {
        let own = count(&|student| student.decimal == Some(mark));
        let by_default = if mark == decimal {
            count(&|student| student.decimal.is_none())
        } else {
            0
        };
        own + by_default
    });
    line(
        "decimals",
        &format!("point {}, comma {}", marks[0], marks[1]),
    );
    let large = count(&|student| student.print.is_some());
    if large > 0 {
        line("large print", &large.to_string());
    }
    let widest = roster
        .iter()
        .map(|student| width(student.id))
        .max()
        .unwrap_or(0);
    for student in roster.iter() {
        let gap = " ".repeat(widest.saturating_sub(width(student.id)));
        let section = student
            .section
            .map_or(String::new(), |name| format!("  ({})", safe(name)));
        let _ = writeln!(
            text,
            "    {}{gap}  {}{section}",
            safe(student.id),
            safe(student.name)
        );
    }
    text
}

/// Columns by what was taken from them.
fn taken(roster: &Roster) -> Vec<(&'static str, Vec<usize>)> {
    let mut roles: Vec<(&'static str, Vec<usize>)> = Vec::new();
    for (role, column) in &roster.understood().taken {
        match roles.iter_mut().find(|(known, _)| known == role) {
            Some((_, columns)) => columns.push(*column),
            None => roles.push((role, vec![*column])),
        }
    }
    roles
}

#[derive(Serialize)]
struct Class<'a> {
    title: &'a str,
    students: usize,
}

#[derive(Serialize)]
struct Shown<'a> {
    file: String,
    encoding: &'a str,
    delimiter: String,
    heading_line: u64,
    lists: usize,
    columns: serde_json::Map<String, serde_json::Value>,
    unused: Vec<&'a str>,
    sections: Vec<&'a str>,
    students: Vec<ShownStudent<'a>>,
    findings: Vec<Found<'a>>,
}

#[derive(Serialize)]
struct ShownStudent<'a> {
    id: &'a str,
    name: &'a str,
    section: Option<&'a str>,
    decimal_mark: Option<&'a str>,
    print_size: Option<u8>,
    sourced_id: Option<&'a str>,
}

#[derive(Serialize)]
struct Found<'a> {
    severity: &'a str,
    message: &'a str,
}

impl<'a> Shown<'a> {
    fn of(file: &Path, roster: &'a Roster, assumed: &'a Findings) -> Self {
        let understood = roster.understood();
        let heading = |column: &usize| understood.heading.get(*column).map_or("", String::as_str);
        let columns = taken(roster).into_iter().map(|(role, columns)| {
            let headings: Vec<&str> = columns.iter().map(heading).collect();
            (role.replace(' ', "_"), headings.into())
        });
        let students = roster
            .iter()
            .enumerate()
            .map(|(place, student)| ShownStudent {
                id: student.id,
                name: student.name,
                section: student.section,
                decimal_mark: student.decimal.map(DecimalMark::name),
                print_size: student.print.map(PrintSize::points),
                sourced_id: roster.sourced().map(|ids| ids.student(place)),
            });
        let findings = assumed.list.iter().map(|found| Found {
            severity: found.severity.name(),
            message: &found.message,
        });
        Self {
            file: file.to_string_lossy().into_owned(),
            encoding: understood.encoding,
            delimiter: declared::word(understood.delimiter),
            heading_line: understood.heading_line,
            lists: understood.lists,
            columns: columns.collect(),
            unused: understood.unused.iter().map(heading).collect(),
            sections: roster.sections().collect(),
            students: students.collect(),
            findings: findings.collect(),
        }
    }
}
