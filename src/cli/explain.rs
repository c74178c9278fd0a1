//! `paperweight explain`: the whole reckoning behind one student's marks.

use std::path::PathBuf;

use chrono::NaiveDate;

use crate::workflow::{self, ExplainRequest, Failure};

use super::mark::{RosterArguments, day};
use super::{Exit, out};

/// Show the whole reckoning for one student, step by step
///
/// For the teacher: it shows the key. Entries are given as on the paper; parts left out count as
/// blank. Without any `--part` it shows the student's numbers and key.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The assignment or sheet
    #[arg(value_name = "FILE")]
    assignment: PathBuf,
    #[command(flatten)]
    roster: RosterArguments,
    /// The student's id, as on the roster
    #[arg(long, value_name = "ID")]
    student: String,
    /// What stands on the paper, `b="2.1 m/s^2"`, and what a file of answers may say besides:
    /// `b.working=1`, `given:mA="6.0 kg"`, `status=absent`, `handed_in=2026-11-25`
    #[arg(long = "part", value_name = "PART=ENTRY", num_args = 1..)]
    parts: Vec<String>,
    /// The day the papers are due (2026-11-20), for one handed in later
    #[arg(long, value_name = "DATE", value_parser = day)]
    due: Option<NaiveDate>,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let prepared = workflow::prepare(workflow::load(&arguments.assignment)?)?;
    let (roster, assumed) =
        workflow::roster(&arguments.roster.roster, &arguments.roster.columns())?;
    super::report::show(&assumed);
    let explained = workflow::explain(&ExplainRequest {
        prepared: &prepared,
        roster: &roster,
        student: &arguments.student,
        entries: &arguments.parts,
        due: arguments.due,
        decimal: arguments.roster.decimal(),
    })?;
    super::report::show(&explained.findings);
    out::data(&explained.text)?;
    Ok(Exit::Done)
}
