//! `paperweight worked`: worked solutions as PDF.

use std::path::PathBuf;

use crate::paper;
use crate::record::OpenMode;
use crate::workflow::{self, Failure, PrintRequest};

use super::print::SlipArguments;
use super::record::{ClassArguments, Opened};
use super::{Exit, report};

/// Print worked solutions: how one gets from a student's own numbers to the answers
///
/// For each paper the equations of the file in the order in which they are solved, with the student's
/// numbers put in and solved line by line, each answer as it is asked for, and what bears it out. For the
/// teacher: every page has the key on it.
#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("whom").required(true))]
pub(super) struct Arguments {
    /// The assignment or sheet
    #[arg(value_name = "FILE")]
    assignment: PathBuf,
    #[command(flatten)]
    class: ClassArguments,
    /// Of these students, by id or by the code of their paper
    #[arg(long, value_name = "ID", num_args = 1.., group = "whom")]
    student: Vec<String>,
    /// Of everyone's latest paper
    #[arg(long, group = "whom")]
    all: bool,
    /// Where they go
    #[arg(long, value_name = "PDF", default_value = "worked.pdf")]
    out: PathBuf,
    #[command(flatten)]
    print: SlipArguments,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let (opened, roster, decimal) = arguments
        .class
        .open_with_roster(&arguments.assignment, OpenMode::Read)?;
    let Opened {
        prepared,
        record,
        class,
    } = &opened;
    let fonts = arguments.print.fonts()?;
    // Those that cannot be printed are left out, unless the record has the papers' own.
    let figures = workflow::figures(&prepared.plan.sheet).figures;
    let mut request = PrintRequest {
        prepared,
        roster: &roster,
        class,
        decimal,
        papers: &[],
        layout: arguments.print.layout(),
        fonts: &fonts,
        figures: &figures,
    };
    let papers = if arguments.all {
        workflow::latest_papers(&request, record)?
    } else {
        workflow::issued_papers(prepared, class, ("--student", &arguments.student), record)?
    };
    request.papers = &papers;
    let draft =
        workflow::begin_pdf_or_fail(&arguments.out, paper::WORKED, &prepared.plan.sheet.code)?;
    let printed = workflow::print_worked(&request, record)?;
    report::show(&workflow::put_pdf(draft, printed)?);
    Ok(Exit::Done)
}
