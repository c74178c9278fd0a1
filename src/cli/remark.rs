//! `paperweight remark`: what would move, and taking it.

use std::fmt::Write;
use std::path::PathBuf;

use rust_decimal::Decimal;
use serde::Serialize;

use crate::record::OpenMode;
use crate::text::{counted, excerpt, json_line, safe};
use crate::workflow::{self, Failure, Falls, Move, RemarkRequest, Remarked};

use super::record::{ClassArguments, now};
use super::{Exit, out, report};

/// Show every mark that would move if the papers were marked anew, and with --apply take it
///
/// Compared is what was proposed when marks were last written out with what the file and the program
/// say today. Your own points stay whatever happens under them. Of papers that were given back only
/// rises are taken.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The assignment or sheet
    #[arg(value_name = "FILE")]
    assignment: PathBuf,
    #[command(flatten)]
    class: ClassArguments,
    /// Take the moves
    #[arg(long)]
    apply: bool,
    /// Let marks fall on papers that were given back, too
    #[arg(long, requires = "apply")]
    falls_too: bool,
    /// Write one JSON object a move
    #[arg(long)]
    json: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let (mut opened, roster, decimal) = arguments
        .class
        .open_with_roster(&arguments.assignment, OpenMode::Write)?;
    let falls = if arguments.falls_too {
        Falls::Fall
    } else {
        Falls::Stay
    };
    let request = RemarkRequest {
        prepared: &opened.prepared,
        class: &opened.class,
        roster: &roster,
        decimal,
        apply: arguments.apply.then_some(falls),
        now: now(),
    };
    let remarked = workflow::remark(&request, &mut opened.record)?;
    report::show(&remarked.findings);
    if arguments.json {
        out::rows(json(&remarked.moves).as_bytes())?;
    } else {
        let mut text = String::new();
        // Writing into a string cannot fail.
        let _ = show(&remarked, arguments.apply, &mut text);
        out::rows(text.as_bytes())?;
    }
    let open = !arguments.apply && !remarked.moves.is_empty();
    Ok(if open { Exit::Findings } else { Exit::Done })
}

fn show(remarked: &Remarked, applied: bool, out: &mut String) -> std::fmt::Result {
    let moves = &remarked.moves;
    let rises = |at: &&Move| at.by() > Decimal::ZERO;
    let falls = |at: &&Move| at.by() < Decimal::ZERO;
    let stays = |at: &&Move| at.by() == Decimal::ZERO;
    let (up, down) = (
        moves.iter().filter(rises).count(),
        moves.iter().filter(falls).count(),
    );
    let papers = counted(remarked.papers, "paper");
    let rising = counted(up, "mark");
    match (moves.is_empty(), applied) {
        (true, _) => writeln!(out, "{papers}: no mark moves")?,
        (false, false) => writeln!(out, "{papers}: {rising} would rise, {down} fall")?,
        (false, true) => writeln!(out, "{papers}: {rising} rose, {down} fell")?,
    }
    let mut section = |title: &str, list: Vec<&Move>| -> std::fmt::Result {
        if list.is_empty() {
            return Ok(());
        }
        writeln!(out, "\n{title}")?;
        list.into_iter().try_for_each(|at| line(at, out))
    };
    section("rising", moves.iter().filter(rises).collect())?;
    section("falling", moves.iter().filter(falls).collect())?;
    section(
        "the mark stays: your own points, or another reason for the same",
        moves.iter().filter(stays).collect(),
    )?;
    if remarked.held > 0 {
        let held = remarked.held;
        writeln!(
            out,
            "\n{held} falls on papers that were given back were not taken; --falls-too takes them"
        )?;
    }
    Ok(())
}

fn line(at: &Move, out: &mut String) -> std::fmt::Result {
    let points = |points: Option<Decimal>| {
        points.map_or("-".to_owned(), |points| points.normalize().to_string())
    };
    let moved = format!("{} -> {}", points(at.from), points(at.to));
    write!(
        out,
        "  {:<12} {:<10} {moved:<12}",
        excerpt(&at.student, 12),
        safe(&at.part)
    )?;
    let (then, today) = &at.verdicts;
    if then != today {
        write!(out, " {then} -> {today};")?;
    }
    write!(out, " {}", at.why.name())?;
    if at.number > 1 {
        write!(out, "; paper {}", at.number)?;
    }
    if let Some(adjusted) = at.adjusted {
        write!(out, "; set to {} by you", adjusted.normalize())?;
    }
    if at.returned {
        write!(out, "; given back")?;
    }
    writeln!(out)
}

#[derive(Serialize)]
struct Line<'a> {
    student: &'a str,
    paper: u32,
    part: &'a str,
    from: Option<String>,
    to: Option<String>,
    verdict_then: &'a str,
    verdict: &'a str,
    why: &'a str,
    adjusted: Option<String>,
    returned: bool,
}

fn json(moves: &[Move]) -> String {
    let mut out = String::new();
    let points = |points: Option<Decimal>| points.map(|points| points.normalize().to_string());
    for at in moves {
        let line = Line {
            student: &at.student,
            paper: at.number,
            part: &at.part,
            from: points(at.from),
            to: points(at.to),
            verdict_then: &at.verdicts.0,
            verdict: &at.verdicts.1,
            why: at.why.name(),
            adjusted: points(at.adjusted),
            returned: at.returned,
        };
        out += &json_line(&line);
    }
    out
}
