//! `paperweight explain`: the whole reckoning behind one student's marks.

use std::path::PathBuf;

use chrono::NaiveDate;

use crate::record::{OpenMode, Record, RosterFile};
use crate::workflow::{self, ExplainRequest, Failure, Kept, Prepared};

use super::reading::RosterArguments;
use super::record::RecordArguments;
use super::written::day;
use super::{Exit, out};

/// Show the whole reckoning for one student, step by step
///
/// For the teacher: it shows the key. Entries are given as on the paper; parts left out count as
/// blank. Without any `--part` it shows what was keyed of the paper, or else the student's numbers and
/// key; with `--worked` how one gets from those numbers to the key. Where papers were issued, the numbers
/// are those of the record; `--record :memory:` leaves it aside.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The assignment or sheet
    #[arg(value_name = "FILE")]
    assignment: PathBuf,
    #[command(flatten)]
    roster: RosterArguments,
    #[command(flatten)]
    record: RecordArguments,
    /// The student, by id as on the roster, by the code of the paper, or by a name that one alone has
    #[arg(long, value_name = "ID")]
    student: String,
    /// What stands on the paper, `b="2.1 m/s^2"`, and what a file of answers may say besides:
    /// `b.working=1`, `given:mA="6.0 kg"`, `status=absent`, `handed_in=2026-11-25`
    #[arg(long = "part", value_name = "PART=ENTRY", num_args = 1..)]
    parts: Vec<String>,
    /// Show the worked solution for the student's numbers: the equations, with the numbers put in and solved
    #[arg(long, conflicts_with = "parts")]
    worked: bool,
    /// The day the papers are due (2026-11-20), for one handed in later
    #[arg(long, value_name = "DATE", value_parser = day)]
    due: Option<NaiveDate>,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let (prepared, roster) = arguments
        .roster
        .open(&arguments.assignment, &arguments.record)?;
    let (kept, known) = match kept(arguments, &prepared)? {
        Some((kept, known)) => (Some(kept), known),
        None => (None, None),
    };
    let explained = workflow::explain(&ExplainRequest {
        prepared: &prepared,
        roster: &roster,
        student: &arguments.student,
        entries: &arguments.parts,
        worked: arguments.worked,
        due: arguments.due,
        decimal: arguments.roster.decimal(known.as_ref()),
        kept: kept.as_ref(),
    })?;
    super::report::show(&explained.findings);
    out::data(&explained.text)?;
    Ok(Exit::Done)
}

/// What a record holds of the class, and how its roster was read, where there is one.
fn kept(
    arguments: &Arguments,
    prepared: &Prepared,
) -> Result<Option<(Kept, Option<RosterFile>)>, Failure> {
    let named = &arguments.record;
    let path = named.path(&arguments.assignment);
    if named.is_in_memory() || (named.record.is_none() && !path.exists()) {
        return Ok(None);
    }
    let record = Record::open(&path, OpenMode::Read)?;
    let class = named.class_of(&arguments.roster.roster);
    let kept = Kept::of(&record, &prepared.plan.sheet.code, &class)?;
    Ok(Some((kept, record.roster_of(&class)?)))
}
