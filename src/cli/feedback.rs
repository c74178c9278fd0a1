//! `paperweight feedback`: slips to hand back with the papers.

use std::path::PathBuf;

use chrono::NaiveDate;
use serde::Serialize;

use crate::paper;
use crate::record::OpenMode;
use crate::text;
use crate::text::counted;
use crate::workflow::{self, Failure, FeedbackRequest, PrintRequest, Printed, Slips};

use super::print::SlipArguments;
use super::record::{ClassArguments, Opened, now, today};
use super::written::day;
use super::{Exit, out, report};

/// Write slips to hand back: what is right, where to look first, what to do next
///
/// A slip is about one student's paper alone: the student's own numbers, what is right, the first place
/// at which the paper departs and one thing to check there, points. The key is on it only once the day to
/// hand in again is over. Papers that are not fully marked get none.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The assignment or sheet
    #[arg(value_name = "FILE")]
    assignment: PathBuf,
    #[command(flatten)]
    class: ClassArguments,
    /// Where the slips go; `-` writes them to standard output
    #[arg(long, value_name = "PDF", default_value = "feedback.pdf")]
    out: PathBuf,
    /// Write one JSON object a paper to standard output instead
    #[arg(long, conflicts_with = "out")]
    json: bool,
    /// Work may be handed in again until that day (2026-12-02); slips made later have the key on them
    #[arg(long, value_name = "DATE", value_parser = day)]
    resubmit: Option<NaiveDate>,
    /// Note in the record that these papers are given back
    #[arg(long)]
    returned: bool,
    /// Make slips of papers that are partly marked or need a look, too, without a total
    #[arg(long)]
    partial: bool,
    /// Leave the points out
    #[arg(long)]
    no_points: bool,
    #[command(flatten)]
    print: SlipArguments,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let (opened, roster, decimal) = arguments
        .class
        .open_with_roster(&arguments.assignment, OpenMode::Write)?;
    let Opened {
        prepared,
        mut record,
        class,
    } = opened;
    let fonts = arguments.print.fonts()?;
    let request = FeedbackRequest {
        print: PrintRequest {
            prepared: &prepared,
            roster: &roster,
            class: &class,
            decimal,
            papers: &[],
            layout: arguments.print.layout(),
            fonts: &fonts,
            figures: &[],
        },
        // The day is for slips: JSON has the words alone.
        resubmit: arguments.resubmit.filter(|_| !arguments.json),
        today: today(),
        partial: arguments.partial,
        points: !arguments.no_points,
    };
    let to_stdout = out::is_pipe(&arguments.out);
    // A file that may not be replaced is told before anything is done.
    let draft = if arguments.json || to_stdout {
        None
    } else {
        Some(workflow::begin_pdf_or_fail(
            &arguments.out,
            paper::SLIPS,
            &prepared.plan.sheet.code,
        )?)
    };
    let slips = workflow::slips(&request, &record)?;
    if arguments.json {
        report::show(&slips.findings);
        out::rows(&json(&slips))?;
    } else {
        let printed = Printed {
            bytes: slips.draw(&request)?,
            findings: slips.findings.clone(),
        };
        match draft {
            Some(draft) => report::show(&workflow::put_pdf(draft, printed)?),
            None => {
                report::show(&printed.findings);
                out::rows(&printed.bytes)?;
            }
        }
    }
    let mut text = counted(slips.told.len(), "slip");
    if !arguments.json && !to_stdout {
        text += &format!(" in {}", text::safe(&arguments.out.to_string_lossy()));
    }
    if arguments.returned {
        let count = slips.returned(&mut record, now())?;
        text += &format!(", {} noted as given back", counted(count, "paper"));
    }
    report::say(&(text + "\n"));
    Ok(Exit::Done)
}

#[derive(Serialize)]
struct Line<'a> {
    student: &'a str,
    code: &'a str,
    issue: u32,
    feedback: &'a str,
}

fn json(slips: &Slips) -> Vec<u8> {
    let mut out = Vec::new();
    for (issue, words) in &slips.told {
        let line = Line {
            student: &issue.student,
            code: issue.code.as_str(),
            issue: issue.number,
            feedback: words,
        };
        text::push_json(&line, &mut out);
    }
    out
}
