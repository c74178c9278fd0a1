//! `paperweight roster`: what was understood of a list, how two versions differ, and rosters out of what a
//! school gives out.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use serde::Serialize;

use crate::diagnostic::Severity;
use crate::record::OpenMode;
use crate::roster::oneroster::IdFrom;
use crate::roster::{Changes, Roster, Student};
use crate::table::declared;
use crate::text::{DecimalMark, json_line, safe};
use crate::workflow::{self, CompareRequest, Compared, Failure, Findings, TakeRequest, Taken};

use super::mark::{RosterReading, day};
use super::record::{RecordArguments, today};
use super::{Exit, out, report, summary};

/// See what is understood of a class list, compare two, or take rosters from a school's export
#[derive(Debug, clap::Args)]
pub(super) struct RosterCommand {
    #[command(subcommand)]
    command: OnRoster,
}

#[derive(Debug, clap::Subcommand)]
enum OnRoster {
    Show(ShowArguments),
    Compare(CompareArguments),
    Take(TakeArguments),
}

/// Show what is understood of a class list: columns, students, sections, what was assumed
///
/// Of a folder or zip of OneRoster CSV files the classes are listed.
#[derive(Debug, clap::Args)]
struct ShowArguments {
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

/// Show who joined, left, goes by another name or moved, from one roster to the next
///
/// With one file it is compared with the roster that the record knows of the class, or with the papers that
/// were issued. `--apply` makes it the roster of the class; what was issued, entered and marked stays as
/// it is, also that of students who left.
#[derive(Debug, clap::Args)]
struct CompareArguments {
    /// The old roster, if another than the class has, and the new one
    #[arg(value_name = "ROSTER", num_args = 1..=2, required = true)]
    rosters: Vec<PathBuf>,
    #[command(flatten)]
    reading: RosterReading,
    #[command(flatten)]
    record: RecordArguments,
    /// Make the new roster that of the class
    #[arg(long)]
    apply: bool,
    /// Write one JSON object
    #[arg(long)]
    json: bool,
}

/// Take rosters from a folder or zip of OneRoster CSV files, or from a list of several classes
///
/// Each class becomes a file. One that is there already is compared with what is new, and replaced only
/// with `--apply`; decimal marks and sizes of print that were written into it stay. Passwords, telephone
/// numbers and whatever else an export holds are not read. OneRoster is an open standard of 1EdTech Consortium;
/// versions 1.1 and 1.2 are read, and no certification is claimed.
#[derive(Debug, clap::Args)]
struct TakeArguments {
    /// A folder or zip of OneRoster CSV files, or a CSV file with several sections
    #[arg(value_name = "SOURCE")]
    source: PathBuf,
    /// The folder for rosters
    #[arg(long, value_name = "DIR", default_value = "rosters")]
    out: PathBuf,
    /// Only this class, by its title, code or id; can be repeated
    #[arg(long, value_name = "CLASS")]
    only: Vec<String>,
    /// What becomes the student's id: by default the `identifier` if all have one
    #[arg(long, value_name = "WHICH")]
    id: Option<Which>,
    #[command(flatten)]
    reading: RosterReading,
    /// Take the files of a package for whole, though their rows have a status
    #[arg(long)]
    complete: bool,
    /// Who is enrolled on this day (2026-11-25); by default today
    #[arg(long, value_name = "DATE", value_parser = day)]
    on: Option<chrono::NaiveDate>,
    /// Replace rosters that are there
    #[arg(long)]
    apply: bool,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Which {
    Identifier,
    Username,
    SourcedId,
}

pub(super) fn on_roster(command: &RosterCommand) -> Result<Exit, Failure> {
    match &command.command {
        OnRoster::Show(arguments) => show(arguments),
        OnRoster::Compare(arguments) => compare(arguments),
        OnRoster::Take(arguments) => take(arguments),
    }
}

fn show(arguments: &ShowArguments) -> Result<Exit, Failure> {
    let file = &arguments.file;
    if workflow::oneroster_package(file)?.is_some() {
        return show_package(arguments);
    }
    let (roster, assumed) = workflow::roster(file, &arguments.reading.columns())?;
    if arguments.json {
        out::rows(json_line(&Shown::of(file, &roster, &assumed)).as_bytes())?;
    } else {
        out::data(&shown(file, &roster, arguments.reading.decimal()))?;
        report::show(&assumed);
    }
    Ok(exit(&assumed))
}

fn show_package(arguments: &ShowArguments) -> Result<Exit, Failure> {
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
        let mut text = format!(
            "{}: {} classes in OneRoster files\n",
            safe(&name),
            classes.len()
        );
        for class in &classes {
            let _ = writeln!(text, "  {:>4}  {}", class.students, safe(class.title));
        }
        out::data(&text)?;
    }
    report::show(&offered.findings);
    Ok(Exit::Done)
}

fn compare(arguments: &CompareArguments) -> Result<Exit, Failure> {
    let (new, old) = match arguments.rosters.as_slice() {
        [old, new] => (new, Some(old.as_path())),
        [new] => (new, None),
        // the command line takes one or two
        _ => return Ok(Exit::BadInput),
    };
    let named = old.unwrap_or(new);
    let class = arguments.record.class.clone();
    let class = class.unwrap_or_else(|| workflow::class_of(named));
    let needed = arguments.apply || old.is_none();
    let mode = if arguments.apply {
        OpenMode::Write
    } else {
        OpenMode::Read
    };
    let mut record = if needed || arguments.record.path(new).exists() {
        Some(arguments.record.open(new, mode)?)
    } else {
        None
    };
    let columns = arguments.reading.columns();
    let request = CompareRequest {
        old,
        new,
        columns: &columns,
        class: &class,
    };
    let compared = workflow::compare_rosters(&request, record.as_ref())?;
    if arguments.json {
        out::rows(json_line(&Differences::of(&class, &compared)).as_bytes())?;
    } else {
        out::data(&differences(&class, &compared))?;
    }
    report::show(&compared.findings);
    if let (true, Some(record)) = (arguments.apply, &mut record) {
        let file = arguments.reading.file(new, new);
        record.set_roster(&class, &file)?;
        let path = safe(&file.path).into_owned();
        eprint(&format!(
            "{path} is the roster of {} from now on; papers and marks stay as they are",
            safe(&class)
        ));
    }
    Ok(exit(&compared.findings))
}

fn take(arguments: &TakeArguments) -> Result<Exit, Failure> {
    let columns = arguments.reading.columns();
    let id = arguments.id.map(|which| match which {
        Which::Identifier => IdFrom::Identifier,
        Which::Username => IdFrom::Username,
        Which::SourcedId => IdFrom::SourcedId,
    });
    let offered = workflow::classes_in(&TakeRequest {
        source: &arguments.source,
        columns: &columns,
        only: &arguments.only,
        id,
        complete: arguments.complete,
        today: arguments.on.unwrap_or_else(today),
    })?;
    report::show(&offered.findings);
    let all = offered.compare_with(&arguments.out)?;
    let mut waiting = false;
    for taken in &all {
        let put = taken.before.is_none() || arguments.apply && !taken.is_same();
        if put {
            taken.put()?;
        }
        waiting |= !put && !taken.is_same();
        out::data(&told(taken, put))?;
    }
    if waiting {
        eprint("nothing that was there has been changed: `--apply` takes the changes over");
    }
    Ok(if waiting { Exit::Findings } else { Exit::Done })
}

/// A line for a person besides the data.
fn eprint(line: &str) {
    use std::io::Write as _;
    // That nobody reads it is no failure.
    let _ = writeln!(std::io::stderr(), "{line}");
}

fn exit(findings: &Findings) -> Exit {
    let warned = findings
        .list
        .iter()
        .any(|found| found.severity == Severity::Warning);
    if warned { Exit::Findings } else { Exit::Done }
}

/// What became of one class.
fn told(taken: &Taken, put: bool) -> String {
    let path = taken.path.to_string_lossy();
    let students = summary::students(taken.roster.len());
    let what = match (&taken.before, put) {
        (None, _) => format!("{students}, new"),
        (Some(_), _) if taken.is_same() => format!("{students}, as it was"),
        (Some(_), true) => format!("{students}, replaced"),
        (Some(_), false) => format!("{students}, changed in the source"),
    };
    let mut text = format!("{}  {}: {what}\n", safe(&path), safe(&taken.title));
    if let Some((old, changes)) = &taken.before {
        lines(old, &taken.roster, changes, &|_| String::new(), &mut text);
    }
    text
}

/// What was understood, for a person.
fn shown(file: &Path, roster: &Roster, decimal: DecimalMark) -> String {
    let understood = roster.understood();
    let name = file.to_string_lossy();
    let mut text = format!("{}: {}\n", safe(&name), summary::students(roster.len()));
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
        .map(|student| crate::text::width(student.id))
        .max()
        .unwrap_or(0);
    for student in roster.iter() {
        let gap = " ".repeat(widest.saturating_sub(crate::text::width(student.id)));
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

/// The differences, for a person.
fn differences(class: &str, compared: &Compared) -> String {
    let (before, now) = (compared.old.len(), compared.new.len());
    let mut text = format!(
        "{}: {} in {}, {now} now\n",
        safe(class),
        summary::students(before),
        safe(&compared.old_name)
    );
    if compared.changes.is_empty() {
        text.push_str("  nothing changed\n");
    }
    let papers = |id: &str| {
        let sheets = compared.papers.get(id).map_or(&[][..], Vec::as_slice);
        let sheets = sheets.iter().map(|(sheet, count)| match count {
            1 => safe(sheet).into_owned(),
            _ => format!("{} ({count} papers)", safe(sheet)),
        });
        let sheets: Vec<String> = sheets.collect();
        if sheets.is_empty() {
            String::new()
        } else {
            format!("  keeps {}", sheets.join(", "))
        }
    };
    lines(
        &compared.old,
        &compared.new,
        &compared.changes,
        &papers,
        &mut text,
    );
    text
}

/// A line for each change. `papers` says what the record holds of a student who left.
fn lines(
    old: &Roster,
    new: &Roster,
    changes: &Changes,
    papers: &dyn Fn(&str) -> String,
    text: &mut String,
) {
    let who = |roster: &Roster, place: usize| {
        let student = roster.get(place).unwrap_or_default();
        format!("{}  {}", safe(student.id), safe(student.name))
    };
    let mut line = |what: &str, said: String| {
        let _ = writeln!(text, "  {what:<8}  {}", said.trim_end());
    };
    for place in &changes.joined {
        line("joined", who(new, *place));
    }
    for place in &changes.left {
        line(
            "left",
            format!("{}{}", who(old, *place), papers(old.id(*place))),
        );
    }
    for (before, after) in &changes.renamed {
        let name = old.get(*before).unwrap_or_default().name;
        line(
            "renamed",
            format!("{}, was {}", who(new, *after), safe(name)),
        );
    }
    for (before, after) in &changes.moved {
        let section = |student: Student<'_>| safe(student.section.unwrap_or("none")).into_owned();
        let (from, to) = (
            old.get(*before).unwrap_or_default(),
            new.get(*after).unwrap_or_default(),
        );
        line(
            "moved",
            format!(
                "{}, from {} to {}",
                who(new, *after),
                section(from),
                section(to)
            ),
        );
    }
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
                decimal_mark: student.decimal.map(|mark| match mark {
                    DecimalMark::Point => "point",
                    DecimalMark::Comma => "comma",
                }),
                print_size: student.print.map(crate::roster::PrintSize::points),
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

#[derive(Serialize)]
struct Differences<'a> {
    class: &'a str,
    joined: Vec<&'a str>,
    left: Vec<&'a str>,
    renamed: Vec<&'a str>,
    moved: Vec<&'a str>,
    perhaps_the_same: Vec<[&'a str; 2]>,
}

impl<'a> Differences<'a> {
    fn of(class: &'a str, compared: &'a Compared) -> Self {
        let Compared {
            old, new, changes, ..
        } = compared;
        let on_new =
            |places: &[(usize, usize)]| places.iter().map(|(_, after)| new.id(*after)).collect();
        Self {
            class,
            joined: changes.joined.iter().map(|place| new.id(*place)).collect(),
            left: changes.left.iter().map(|place| old.id(*place)).collect(),
            renamed: on_new(&changes.renamed),
            moved: on_new(&changes.moved),
            perhaps_the_same: changes
                .perhaps
                .iter()
                .map(|(before, after)| [old.id(*before), new.id(*after)])
                .collect(),
        }
    }
}
