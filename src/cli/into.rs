//! `paperweight export --into`: the marks of a class into one column of a gradebook that is kept elsewhere.
//!
//! In: the gradebook and what is said about it. Out: the cells before and after, on standard output, as text
//! or as one JSON object; with
//! `--dry-run` nothing else happens.

use std::fmt::Write as _;
use std::io;
use std::path::{Path, PathBuf};

use rust_decimal::Decimal;
use serde::Serialize;

use crate::diagnostic::{Diagnostic, Place};
use crate::gradebook::fill::{Before, Change};
use crate::gradebook::links;
use crate::record::Record;
use crate::table::Declared;
use crate::table::encoding::Encoding;
use crate::text::{excerpt, json_line, padded};
use crate::workflow::{self, ExportRequest, Failure, FillRequest, Filling, Others};

use super::written::{self, points};
use super::{Exit, out, report};

/// Columns of a terminal that a cell may take in the list.
const CELL: usize = 14;

/// No paper is out of more: a larger number is a slip.
const MOST_POINTS: Decimal = Decimal::from_parts(1_000_000, 0, 0, false, 0);

/// Filling a gradebook that is kept elsewhere.
#[derive(Debug, clap::Args)]
pub(super) struct IntoArguments {
    /// Fill one column of this gradebook, and touch nothing else in it
    #[arg(
        long,
        value_name = "GRADEBOOK",
        conflicts_with_all = ["out", "letters", "oneroster"],
        help_heading = HEADING
    )]
    pub(super) into: Option<PathBuf>,
    /// The heading of its column of ids, or #2 for the second column; by default an obvious one
    #[arg(long, value_name = "HEADING", requires = "into", help_heading = HEADING)]
    id_column: Option<String>,
    /// The heading of the column to fill, or #5 for the fifth; by default the assignment's code or title
    #[arg(long, value_name = "HEADING", requires = "into", help_heading = HEADING)]
    column: Option<String>,
    /// Write points out of so many
    #[arg(long, value_name = "POINTS", value_parser = points, requires = "into", help_heading = HEADING)]
    out_of: Option<Decimal>,
    /// Show every cell that would change, and change nothing
    #[arg(long, requires = "into", help_heading = HEADING)]
    dry_run: bool,
    /// Replace what stands in the column, too, where this program did not write it
    #[arg(long, requires = "into", help_heading = HEADING)]
    overwrite: bool,
    /// Leave what stands in the column, and fill the cells that are empty or hold what this program wrote
    #[arg(long, requires = "into", conflicts_with = "overwrite", help_heading = HEADING)]
    keep: bool,
    /// Take the row with this in its column of ids for that student, now and later
    #[arg(long, value_name = "ID=CELL", requires = "into", help_heading = HEADING)]
    link: Vec<String>,
    /// Take all rows whose id is that of one student but for its leading zeros or how it is written
    #[arg(long, requires = "into", help_heading = HEADING)]
    link_near: bool,
    /// The line of the heading, where it is not found
    #[arg(long, value_name = "LINE", value_parser = written::line, requires = "into", help_heading = HEADING)]
    heading_row: Option<u64>,
    /// What separates cells, where it is not found: comma, semicolon, tab, bar or another mark
    #[arg(long, value_name = "MARK", value_parser = written::delimiter, requires = "into", help_heading = HEADING)]
    delimiter: Option<u8>,
    /// What the file is written in, such as windows-1252; by default UTF-8, or what its first bytes say
    #[arg(long, value_name = "NAME", value_parser = written::encoding, requires = "into", help_heading = HEADING)]
    encoding: Option<Encoding>,
}

const HEADING: &str = "Into a gradebook that is kept elsewhere";

impl IntoArguments {
    /// What was asked for.
    pub(super) fn request(
        &self,
        gradebook: &Path,
        assignment: &Path,
    ) -> Result<FillRequest, Failure> {
        let refused = |option: &str, message: String, help: &str| {
            Failure::of(Diagnostic::error(option, Place::File, message).help(help))
        };
        let links = self.link.iter().map(|link| {
            let parts = link.split_once('=');
            let parts = parts.filter(|(id, cell)| !id.is_empty() && !cell.trim().is_empty());
            parts
                .map(|(id, cell)| (id.trim().to_owned(), cell.to_owned()))
                .ok_or_else(|| {
                    let found = excerpt(link, CELL);
                    let message = format!("expected ID=CELL, found '{found}'");
                    refused("--link", message, links::HOW)
                })
        });
        let is_fit = |points: Decimal| points > Decimal::ZERO && points <= MOST_POINTS;
        if let Some(points) = self.out_of.filter(|points| !is_fit(*points)) {
            let message =
                format!("expected a number above 0, and {MOST_POINTS} at most, found {points}");
            let help = "leave --out-of out to write the points as they are";
            return Err(refused("--out-of", message, help));
        }
        Ok(FillRequest {
            into: gradebook.to_owned(),
            id_column: self.id_column.clone(),
            column: self.column.clone(),
            declared: Declared {
                encoding: self.encoding,
                delimiter: self.delimiter,
                heading_row: self.heading_row,
                ..Declared::default()
            },
            out_of: self.out_of,
            others: match (self.overwrite, self.keep) {
                (true, _) => Others::Overwrite,
                (_, true) => Others::Keep,
                _ => Others::Refuse,
            },
            links: links.collect::<Result<_, _>>()?,
            link_near: self.link_near,
            folder: workflow::course_folder(assignment),
        })
    }
}

/// Shows what would change, and unless that is all, changes it.
pub(super) fn run(
    arguments: &IntoArguments,
    wanted: FillRequest,
    request: &ExportRequest<'_>,
    record: &mut Record,
    json: bool,
) -> Result<Exit, Failure> {
    let filling = workflow::filling(request, wanted, record)?;
    report::show(&filling.findings);
    if json {
        if !arguments.dry_run {
            filling.write(request, record)?;
        }
        let cells = Cells::of(&filling, !arguments.dry_run);
        out::data(&json_line(&cells))?;
    } else if arguments.dry_run {
        let mut text = list(&filling, true) + &(filling.words("would be filled") + "\n");
        if !filling.refused.is_empty() {
            text += "nothing is written unless --keep leaves what stands there, or --overwrite replaces it\n";
        }
        out::rows(text.as_bytes())?;
    } else {
        filling.write(request, record)?;
        let text = list(&filling, false) + &(filling.words("filled") + "\n");
        // The marks stand where they belong: that nobody reads this is no failure.
        let _ = io::Write::write_all(&mut io::stdout(), shown(&text).as_bytes());
    }
    Ok(if filling.has_findings {
        Exit::Findings
    } else {
        Exit::Done
    })
}

/// Lines made harmless already but for the name of the file.
fn shown(text: &str) -> String {
    let lines = text.lines().map(crate::text::safe);
    lines.fold(String::new(), |all, line| all + &line + "\n")
}

/// What became of a column, as JSON.
#[derive(Debug, Serialize)]
struct Cells<'a> {
    column: &'a str,
    written: bool,
    /// Cells that hold the mark already.
    same: usize,
    changes: Vec<OneCell<'a>>,
    /// Cells that hold something else, and are left.
    left: Vec<OneCell<'a>>,
}

#[derive(Debug, Serialize)]
struct OneCell<'a> {
    line: u64,
    student: &'a str,
    now: &'a str,
    then: &'a str,
    /// Whose what stands there now is; empty where nothing does.
    whose: &'static str,
}

impl<'a> Cells<'a> {
    fn of(filling: &'a Filling, written: bool) -> Self {
        let cells = |changes: &'a [Change]| {
            let cells = changes.iter().map(|change| OneCell {
                line: change.line,
                student: filling
                    .students
                    .get(change.student)
                    .map_or("", String::as_str),
                now: &change.old,
                then: &change.new,
                whose: whose(change),
            });
            cells.collect()
        };
        Self {
            column: &filling.column,
            written,
            same: filling.same,
            changes: cells(&filling.changes),
            left: cells(&filling.kept),
        }
    }
}

/// The cells before and after: all of them, or those alone that were not empty.
fn list(filling: &Filling, all: bool) -> String {
    let changes = filling.changes.iter();
    let changes = changes.filter(|change| all || change.before != Before::Blank);
    let mut rows: Vec<(&Change, bool)> = changes.map(|change| (change, true)).collect();
    let kept = filling.kept.iter();
    let left = if filling.refused.is_empty() {
        "left"
    } else {
        "?"
    };
    rows.extend(kept.map(|change| (change, false)));
    rows.sort_by_key(|(change, _)| change.line);
    if rows.is_empty() {
        return String::new();
    }
    let mut out = format!("{:>7}  {:<12}  {:<CELL$}  then\n", "line", "student", "now");
    for (change, is_filled) in rows {
        let id = filling
            .students
            .get(change.student)
            .map_or("", String::as_str);
        let is_left = !is_filled && filling.refused.is_empty();
        let then = if is_left { &change.old } else { &change.new };
        let whose = whose(change);
        let note = if is_filled {
            whose.to_owned()
        } else {
            format!("{left}  {whose}")
        };
        let cell = |text: &str, columns| padded(&excerpt(text, columns), columns);
        let cells = [cell(id, 12), cell(&change.old, CELL), cell(then, CELL)];
        let line = format!("{:>7}  {}  {note}", change.line, cells.join("  "));
        // Writing into a string cannot fail.
        let _ = writeln!(out, "{}", line.trim_end());
    }
    out
}

fn whose(change: &Change) -> &'static str {
    match change.before {
        Before::Blank => "",
        Before::Ours => "written by this program before",
        Before::Changed(_) if change.old.trim().is_empty() => {
            "emptied by hand since it was written"
        }
        Before::Changed(_) => "changed by hand since it was written",
        Before::Unknown => "not written by this program",
    }
}
