//! `paperweight report`: how a class did, and what to teach again.

use std::path::PathBuf;

use crate::statistics::{self, lines};
use crate::workflow::{self, Failure, ReportRequest};

use super::record::ClassArguments;
use super::term_report::Form;
use super::{Exit, out, term_report};

/// Show how a class did: totals, parts, where it fell over, what to go over again
///
/// Over all papers that are fully marked, with your word on them. It names no student. Of fewer than 15
/// papers it gives counts alone, of fewer than 50 no upper and lower group. Several files are a term: each
/// assignment in each class that has its papers, side by side, and what has not come in.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The assignment or sheet; several of one course folder for a term
    #[arg(value_name = "FILE", required = true)]
    assignments: Vec<PathBuf>,
    #[command(flatten)]
    class: ClassArguments,
    /// Write one JSON object instead
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// Write CSV instead: a row a part; of a term a row a sheet and class, or a student and sheet
    #[arg(long)]
    csv: bool,
    /// Show how each student went on through the term, by name: for you alone
    #[arg(long)]
    students: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let assignment = match arguments.assignments.as_slice() {
        [assignment] if !arguments.students => assignment,
        files => {
            let form = match (arguments.json, arguments.csv) {
                (true, _) => Form::Json,
                (_, true) => Form::Csv,
                _ => Form::Page,
            };
            term_report::run(files, &arguments.class, arguments.students, form)?;
            return Ok(Exit::Done);
        }
    };
    let (opened, roster, decimal) = arguments.class.open_with_roster(assignment)?;
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
