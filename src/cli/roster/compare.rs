//! `paperweight roster compare`: how two versions differ, and which one a class goes by from now on.

use std::path::{Path, PathBuf};

use serde::Serialize;

use crate::cli::reading::RosterReading;
use crate::cli::record::{RecordArguments, course_here};
use crate::cli::{Exit, out, report};
use crate::course::ASSIGNMENTS;
use crate::record::{OpenMode, RosterFile};
use crate::text::{counted, json_line, safe};
use crate::workflow::{self, CompareRequest, Compared, Failure};

use super::{exit, lines};

/// Show who joined, left, goes by another name or moved, from one roster to the next
///
/// With one file it is compared with the roster that the record knows of the class, or with the papers that
/// were issued. `--apply` makes it the roster of the class; what was issued, entered and marked stays as
/// it is, also that of students who left.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
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

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let (new, old) = match arguments.rosters.as_slice() {
        [old, new] => (new, Some(old.as_path())),
        [new] => (new, None),
        // the command line takes one or two
        _ => return Ok(Exit::BadInput),
    };
    let named = old.unwrap_or(new);
    let class = arguments.record.class.clone();
    let class = class.unwrap_or_else(|| workflow::class_of(named));
    // The new list may still lie where it was downloaded, outside the course.
    let is_inside = workflow::course_folder(new).join(ASSIGNMENTS).is_dir();
    let course = if is_inside || workflow::record_beside(new).exists() {
        new.clone()
    } else {
        course_here().join("here")
    };
    let needed = arguments.apply || old.is_none();
    let mode = if arguments.apply {
        OpenMode::Write
    } else {
        OpenMode::Read
    };
    let mut record = if needed || arguments.record.path(&course).exists() {
        Some(arguments.record.open(&course, mode)?)
    } else {
        None
    };
    let known = match &record {
        Some(record) => record.roster_of(&class)?,
        None => None,
    };
    let columns = arguments.reading.columns_of(new, &course, known.as_ref());
    let request = CompareRequest {
        old,
        new,
        folder: &workflow::course_folder(&course),
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
        let file = arguments.reading.file(new, &course, known.as_ref());
        record.set_roster(&class, &file)?;
        report::say(&taken_over(&class, new, &file, known.as_ref(), &compared));
    }
    Ok(exit(&compared.findings))
}

/// What is so from now on, what became of the list before, and what is to do next.
fn taken_over(
    class: &str,
    new: &Path,
    file: &RosterFile,
    known: Option<&RosterFile>,
    compared: &Compared,
) -> String {
    let mut text = format!(
        "{} is the roster of {} from now on, where it lies; papers and marks stay as they are\n",
        safe(&file.path),
        safe(class)
    );
    let before = known.filter(|known| !known.path.is_empty() && known.path != file.path);
    if let Some(before) = before {
        text += &format!(
            "{} stays as it is, and is not the roster of {} any more\n",
            safe(&before.path),
            safe(class)
        );
    }
    if !compared.changes.joined.is_empty() {
        let named = match workflow::class_of(new) == class {
            true => String::new(),
            false => format!(" --class {}", safe(class)),
        };
        text += &format!(
            "who joined gets a first paper with: paperweight issue FILE --roster {}{named}\n",
            safe(&new.to_string_lossy())
        );
    }
    text
}

/// The differences, for a person.
fn differences(class: &str, compared: &Compared) -> String {
    let (before, now) = (compared.old.len(), compared.new.len());
    let mut text = format!(
        "{}: {} in {}, {now} now\n",
        safe(class),
        counted(before, "student"),
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
