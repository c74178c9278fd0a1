//! `paperweight explain`: the whole reckoning behind one student's marks.

use std::path::PathBuf;

use crate::workflow::{self, ExplainRequest, Failure};

use super::mark::RosterArguments;
use super::{Exit, out};

/// Show the whole reckoning for one student, step by step
///
/// For the teacher: it shows the key. Entries are given as on the paper, one `--part` each; parts left
/// out count as blank.
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
    /// What stands on the paper: `b="2.1 m/s^2"`, `b.working=1`, `given:mA="6.0 kg"`
    #[arg(long = "part", value_name = "PART=ENTRY", num_args = 1..)]
    parts: Vec<String>,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let prepared = workflow::prepare(workflow::load(&arguments.assignment)?)?;
    let (roster, assumed) =
        workflow::roster(&arguments.roster.roster, &arguments.roster.columns())?;
    super::report::show(&assumed);
    let text = workflow::explain(&ExplainRequest {
        prepared: &prepared,
        roster: &roster,
        student: &arguments.student,
        entries: &arguments.parts,
        decimal: arguments.roster.decimal(),
    })?;
    out::data(&text)?;
    Ok(Exit::Done)
}
