//! `paperweight roster take`: rosters out of a school's export, or out of a list of several classes.

use std::path::PathBuf;

use crate::cli::reading::RosterReading;
use crate::cli::record::today;
use crate::cli::written::day;
use crate::cli::{Exit, out, report};
use crate::roster::oneroster::IdFrom;
use crate::text::{counted, safe};
use crate::workflow::{self, Failure, TakeRequest, Taken};

use super::lines;

/// Take rosters from a folder or zip of OneRoster CSV files, or from a list of several classes
///
/// Each class becomes a file. One that is there already is compared with what is new, and replaced only
/// with `--apply`; decimal marks and sizes of print that were written into it stay. Passwords, telephone
/// numbers and whatever else an export holds are not read. OneRoster is an open standard of 1EdTech Consortium;
/// versions 1.1 and 1.2 are read, and no certification is claimed.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// A folder or zip of OneRoster CSV files, or a CSV file with several sections
    #[arg(value_name = "SOURCE")]
    source: PathBuf,
    /// The folder for rosters, by its way from the working folder
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

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
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
        report::say("nothing that was there has been changed: `--apply` takes the changes over\n");
    }
    Ok(if waiting { Exit::Findings } else { Exit::Done })
}

/// What became of one class.
fn told(taken: &Taken, put: bool) -> String {
    let path = taken.path.to_string_lossy();
    let students = counted(taken.roster.len(), "student");
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
