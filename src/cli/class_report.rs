//! `paperweight report`: how a class did, and what to teach again.

use std::path::PathBuf;

use crate::statistics::{self, lines};
use crate::workflow::{self, Failure, ReportRequest};

use super::record::ClassArguments;
use super::{Exit, out};

/// Show how a class did: totals, parts, where it fell over, what to go over again
///
/// Over all papers that are fully marked, with your word on them. It names no student. Of fewer than 15
/// papers it gives counts alone, of fewer than 50 no upper and lower group.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The assignment or sheet
    #[arg(value_name = "FILE")]
    assignment: PathBuf,
    #[command(flatten)]
    class: ClassArguments,
    /// Write one JSON object instead
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// Write a row a part as CSV instead
    #[arg(long)]
    csv: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let (opened, roster, decimal) = arguments.class.open_with_roster(&arguments.assignment)?;
    let request = ReportRequest {
        prepared: &opened.prepared,
        class: &opened.class,
        roster: &roster,
        decimal,
    };
    let report = workflow::report(&request, &opened.record)?;
    let bytes = match (arguments.json, arguments.csv) {
        (true, _) => lines::json(&report),
        (_, true) => lines::csv(&report),
        _ => statistics::page(&report).into_bytes(),
    };
    out::rows(&bytes)?;
    Ok(Exit::Done)
}
