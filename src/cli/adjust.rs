//! `paperweight adjust`: the teacher's own word on a mark.

use std::path::PathBuf;

use rust_decimal::Decimal;
use serde::Serialize;

use crate::record::{Charge, OpenMode};
use crate::text::{json_line, safe};
use crate::workflow::{self, AdjustRequest, Adjusted, Failure, Word};

use super::record::{ClassArguments, now};
use super::written::points;
use super::{Exit, out};

/// Set the points of a part, or let a charge go, with a note
///
/// It stands whatever becomes of the proposal under it; `remark` points out where that moved.
#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("word").required(true))]
pub(super) struct Arguments {
    /// The assignment or sheet
    #[arg(value_name = "FILE")]
    assignment: PathBuf,
    #[command(flatten)]
    class: ClassArguments,
    /// The student, by id or by the code of the paper
    #[arg(long, value_name = "ID")]
    student: String,
    /// The part
    #[arg(long, value_name = "PART", required_unless_present_any = ["waive", "charge"])]
    part: Option<String>,
    /// Its points
    #[arg(long, value_name = "POINTS", group = "word", value_parser = points)]
    points: Option<Decimal>,
    /// Leave its points to the program again
    #[arg(long, group = "word")]
    as_proposed: bool,
    /// Let a charge go; the first two are charges on a part
    #[arg(long, value_name = "CHARGE", group = "word")]
    waive: Option<Of>,
    /// Charge again what was let go
    #[arg(long, value_name = "CHARGE", group = "word")]
    charge: Option<Of>,
    /// Why
    #[arg(long, value_name = "TEXT")]
    note: String,
    /// What the student reckoned, with the assignment's names (`mB*(g + a)`): looked for on all
    /// papers, and shown as the lines that would make it a rule in the file
    #[arg(
        long,
        value_name = "EXPRESSION",
        requires = "points",
        conflicts_with = "as_proposed"
    )]
    because: Option<String>,
    /// Write one JSON object about what came of it
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Line<'a> {
    student: &'a str,
    proposed: Option<String>,
    before: String,
    after: String,
    alike: &'a [String],
    fits: Option<&'a [String]>,
    line: Option<usize>,
    lines: Option<&'a str>,
}

impl<'a> Line<'a> {
    fn of(adjusted: &'a Adjusted) -> Self {
        let shown = |points: Decimal| points.normalize().to_string();
        let offer = adjusted.offer.as_ref();
        Self {
            student: &adjusted.student,
            proposed: adjusted.proposed.map(shown),
            before: shown(adjusted.before),
            after: shown(adjusted.after),
            alike: &adjusted.alike,
            fits: offer.map(|offer| offer.fits.as_slice()),
            line: offer.map(|offer| offer.line),
            lines: offer.map(|offer| offer.lines.as_str()),
        }
    }
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Of {
    Unit,
    Figures,
    Misread,
    Constant,
    Late,
}

impl From<Of> for Charge {
    fn from(of: Of) -> Self {
        match of {
            Of::Unit => Self::Unit,
            Of::Figures => Self::Figures,
            Of::Misread => Self::Misread,
            Of::Constant => Self::Constant,
            Of::Late => Self::Late,
        }
    }
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let (mut opened, roster, decimal) = arguments
        .class
        .open_with_roster(&arguments.assignment, OpenMode::Write)?;
    let part = arguments.part.clone();
    let word = match arguments.waive.or(arguments.charge) {
        Some(charge) => Word::Waive {
            part,
            charge: charge.into(),
            waived: arguments.waive.is_some(),
        },
        None => Word::Points {
            part: part.unwrap_or_default(),
            points: arguments.points,
        },
    };
    let request = AdjustRequest {
        prepared: &opened.prepared,
        class: &opened.class,
        roster: Some(&roster),
        decimal,
        student: &arguments.student,
        word: &word,
        note: &arguments.note,
        because: arguments.because.as_deref(),
        now: now(),
    };
    let adjusted = workflow::adjust(&request, &mut opened.record)?;
    if arguments.json {
        out::rows(json_line(&Line::of(&adjusted)).as_bytes())?;
        return Ok(Exit::Done);
    }
    let student = safe(&adjusted.student).into_owned();
    let (before, after) = (adjusted.before.normalize(), adjusted.after.normalize());
    let mut text = format!("{student}: total {before} -> {after}");
    if let (Word::Points { part, points }, Some(proposed)) = (&word, adjusted.proposed) {
        let points = points.unwrap_or(proposed).normalize();
        let proposed = proposed.normalize();
        text += &format!("; ({}) {points}, proposed {proposed}", safe(part));
    }
    text.push('\n');
    if !adjusted.alike.is_empty() {
        let ids = adjusted.alike.join(" ");
        text += &format!("the program gave the same reason to: {}\n", safe(&ids));
    }
    if let Some(offer) = &adjusted.offer {
        let fits = if offer.fits.is_empty() {
            "no paper".to_owned()
        } else {
            offer.fits.join(" ")
        };
        if offer.lines.is_empty() {
            let (file, line) = (safe(&offer.file), offer.line);
            text += &format!("{file} says this already, in line {line}\n");
            out::rows(text.as_bytes())?;
            return Ok(Exit::Done);
        }
        text += &format!(
            "the expression fits: {}\nto make it a rule, put this before line {} of {}, then `remark`:\n\n{}",
            safe(&fits),
            offer.line,
            safe(&offer.file),
            offer.lines
        );
    }
    out::rows(text.as_bytes())?;
    Ok(Exit::Done)
}
