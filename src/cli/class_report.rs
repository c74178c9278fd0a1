//! `paperweight report`: how a class did, and what to teach again.

use std::path::PathBuf;

use crate::diagnostic::{Diagnostic, Place};
use crate::paper;
use crate::record::OpenMode;
use crate::roster::Roster;
use crate::statistics::{self, lines};
use crate::text::DecimalMark;
use crate::workflow::{self, Failure, PrintRequest, ReportRequest};

use super::print::PageArguments;
use super::record::{ClassArguments, Opened, today};
use super::term_report::Form;
use super::{Exit, out, report, term_report};

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
    #[arg(long, conflicts_with_all = ["csv", "out"])]
    json: bool,
    /// Write CSV instead: a row a part; of a term a row a sheet and class, or a student and sheet
    #[arg(long, conflicts_with = "out")]
    csv: bool,
    /// Show how each student went on through the term, by name: for you alone
    #[arg(long)]
    students: bool,
    /// Print the report of one assignment as PDF instead, with each student's points on pages of their own: for
    /// you alone
    #[arg(long, value_name = "PDF", conflicts_with = "students")]
    out: Option<PathBuf>,
    /// Print what to go over in class, with the board's equations and the term marked: for all to see
    #[arg(long, value_name = "PDF", conflicts_with_all = ["json", "csv", "students"])]
    for_class: Option<PathBuf>,
    #[command(flatten)]
    page: PageArguments,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let assignment = match arguments.assignments.as_slice() {
        [assignment] if !arguments.students => assignment,
        files if prints(arguments) => {
            let count = files.len();
            let message = format!("a PDF is about one assignment, and {count} were named");
            let error = Diagnostic::error("report", Place::File, message);
            let error = error.help("name one, or leave --out and --for-class away");
            return Err(Failure::of(error));
        }
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
    let (opened, roster, decimal) = arguments
        .class
        .open_with_roster(assignment, OpenMode::Read)?;
    let request = ReportRequest {
        prepared: &opened.prepared,
        class: &opened.class,
        roster: &roster,
        decimal,
    };
    if prints(arguments) {
        return print(arguments, &opened, &roster, decimal);
    }
    let report = workflow::report(&request, &opened.record)?;
    let bytes = match (arguments.json, arguments.csv) {
        (true, _) => lines::json(&report),
        (_, true) => lines::csv(&report),
        _ => statistics::page(&report).into_bytes(),
    };
    out::rows(&bytes)?;
    Ok(Exit::Done)
}

/// Whether something is to be printed.
fn prints(arguments: &Arguments) -> bool {
    arguments.out.is_some() || arguments.for_class.is_some()
}

/// Prints what is asked for. Files that stand in the way are told before anything is written.
fn print(
    arguments: &Arguments,
    opened: &Opened,
    roster: &Roster,
    decimal: DecimalMark,
) -> Result<Exit, Failure> {
    let fonts = arguments.page.fonts()?;
    let request = PrintRequest {
        prepared: &opened.prepared,
        roster,
        class: &opened.class,
        decimal,
        papers: &[],
        layout: arguments.page.layout(),
        fonts: &fonts,
        figures: &[],
    };
    let code = &opened.prepared.plan.sheet.code;
    let begin = |path: &Option<PathBuf>, kind| {
        let draft = path
            .as_ref()
            .map(|path| workflow::begin_pdf_or_fail(path, kind, code));
        draft.transpose()
    };
    let teacher = begin(&arguments.out, paper::REPORT)?;
    let class = begin(&arguments.for_class, paper::OVER)?;
    if let Some(draft) = teacher {
        let printed = workflow::print_report(&request, today(), &opened.record)?;
        report::put_pdf(draft, printed, "the report")?;
    }
    if let Some(draft) = class {
        let printed = workflow::print_for_class(&request, &opened.record)?;
        report::put_pdf(draft, printed, "the page for the class")?;
    }
    Ok(Exit::Done)
}
