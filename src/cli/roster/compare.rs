//! `paperweight roster compare`: how two versions differ, and which one a class goes by from now on.

use std::path::PathBuf;

use serde::Serialize;

use crate::cli::reading::RosterReading;
use crate::cli::record::RecordArguments;
use crate::cli::{Exit, out, report};
use crate::record::OpenMode;
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
        let known = record.roster_of(&class)?;
        let file = arguments.reading.file(new, new, known.as_ref());
        record.set_roster(&class, &file)?;
        let path = safe(&file.path).into_owned();
        report::say(&format!(
            "{path} is the roster of {} from now on; papers and marks stay as they are\n",
            safe(&class)
        ));
    }
    Ok(exit(&compared.findings))
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
