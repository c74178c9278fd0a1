//! `paperweight reissue --practice` and `--board`: what is gone over after a sheet was marked.
//!
//! In: the class as it was marked. Out: a table and PDFs in a folder; without one the table, or the
//! solution for the board as text. Refused: both at once without a folder.

use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::explain;
use crate::gradebook::practice as table;
use crate::paper;
use crate::record::OpenMode;
use crate::statistics::words::whose;
use crate::text::{counted, safe};
use crate::workflow::{
    self, Board, Failure, Practice, PracticeRequest, PrintRequest, ReportRequest,
};

use super::issue::ToArguments;
use super::record::now;
use super::{Exit, out, report};

/// What is asked for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Asked {
    pub(super) practice: bool,
    pub(super) board: bool,
    pub(super) set: u8,
}

pub(super) fn run(to: &ToArguments, asked: Asked) -> Result<Exit, Failure> {
    if asked.practice && asked.board && to.out.is_none() {
        let message = "--practice and --board together need a folder";
        let error = Diagnostic::error("--out", Place::File, message);
        return Err(Failure::of(
            error.help("name it with --out DIR, or ask for one of them"),
        ));
    }
    let (prepared, roster) = to.roster.open(&to.assignment, &to.record)?;
    let fonts = to.print.fonts()?;
    let record = to.record.open(&to.assignment, OpenMode::Read)?;
    let class = to.record.class_of(&to.roster.roster);
    let known = record.roster_of(&class)?;
    let decimal = to.roster.decimal(known.as_ref());
    let request = PracticeRequest {
        class: ReportRequest {
            prepared: &prepared,
            class: &class,
            roster: &roster,
            decimal,
        },
        set: asked.set,
        now: now(),
    };
    let figures = match &to.out {
        Some(_) => workflow::figures_to_print(&prepared)?,
        None => Vec::new(),
    };
    let print = PrintRequest {
        prepared: &prepared,
        roster: &roster,
        class: &class,
        decimal,
        papers: &[],
        layout: to.print.layout(),
        fonts: &fonts,
        figures: &figures,
    };
    let mut exit = Exit::Done;
    let practice = match asked
        .practice
        .then(|| workflow::practice(&request, &record))
    {
        None => None,
        Some(Ok(practice)) => Some(practice),
        // The board stands by itself.
        Some(Err(Failure::Input(mut found))) if asked.board => {
            for finding in &mut found.list {
                finding.severity = Severity::Warning;
            }
            report::show(&found);
            exit = Exit::Findings;
            None
        }
        Some(Err(failure)) => return Err(failure),
    };
    if let Some(practice) = practice {
        if practice.held > 0 {
            let all_in_use = match practice.held {
                1 => "all draws are in use: 1 student practises with numbers that somebody holds"
                    .to_owned(),
                held => format!(
                    "all draws are in use: {held} students practise with numbers that somebody holds"
                ),
            };
            tell_held(&prepared.plan.sheet.code, &all_in_use);
        }
        give_practice(to, &print, &practice)?;
        summary(&prepared.plan.sheet.code, &class, &practice);
    }
    if asked.board {
        give_board(to, &print, &workflow::board(&request, &record)?)?;
    }
    Ok(exit)
}

fn give_practice(
    to: &ToArguments,
    print: &PrintRequest<'_>,
    practice: &Practice,
) -> Result<(), Failure> {
    if let Some(folder) = &to.out {
        report::show(&workflow::write_practice(folder, print, practice)?);
        if !to.json {
            return Ok(());
        }
    }
    let rows = workflow::practice_rows(print.prepared, print.roster, practice);
    let sheet = &print.prepared.plan.sheet;
    match to.json {
        true => out::rows(&table::json(sheet, &rows)),
        false => out::rows(&table::csv(sheet, &rows)),
    }
}

fn give_board(to: &ToArguments, print: &PrintRequest<'_>, board: &Board) -> Result<(), Failure> {
    if board.is_held {
        let message = "all draws are in use: somebody holds the numbers for the board";
        tell_held(&print.prepared.plan.sheet.code, message);
    }
    match &to.out {
        Some(folder) => {
            report::show(&workflow::write_board(folder, print, board)?);
            if paper::IS_BUILT_IN {
                let folder = safe(&folder.to_string_lossy()).into_owned();
                report::say(&format!(
                    "numbers for the board, and how they are solved, are in {folder}\n"
                ));
            }
        }
        None => out::data(&explain::worked(
            &print.prepared.plan,
            &board.key,
            print.decimal,
        ))?,
    }
    Ok(())
}

fn tell_held(sheet: &str, message: &str) {
    let note = Diagnostic::warning(sheet, Place::File, message);
    report::show(&workflow::Findings {
        list: vec![note.help("let what is drawn take more values")],
        sources: Vec::new(),
    });
}

/// Who practises what, without names, on standard error.
fn summary(code: &str, class: &str, practice: &Practice) {
    let students = counted(practice.papers.len(), "student");
    let (code, class) = (safe(code), safe(class));
    let mut text = format!("{code}, class {class}: {students} practise the parts they lost\n");
    for shared in &practice.shared {
        let (whose, says) = (whose(shared), shared.words());
        text += &format!("  {}: {}\n", safe(&whose), safe(&says));
    }
    report::say(&text);
}
