//! Prints how a class did: for the teacher, and what to go over in class.
//!
//! In: a prepared sheet, its class, the record. Out: `report.pdf` and `class.pdf` as bytes. On the page for the
//! class no student is named, and no mistake stands that fewer than three papers share: of so few somebody may
//! be recognised. Refused: what `report` refuses, what cannot be drawn.

use std::cmp::Reverse;

use chrono::NaiveDate;

use crate::assignment::{Assignment, PartKind, SlipKind};
use crate::diagnostic::{Diagnostic, Place};
use crate::formula::parse;
use crate::marking::Verdict;
use crate::paper::{self, OverMistake, OverPage, PaperRow, Pen, ReportPages, Said};
use crate::plan::Plan;
use crate::record::Record;
use crate::statistics::{Cell, Paper, SMALL, Shared, words};
use crate::worked::{self, Chain};
use crate::{diagnosis, feedback};

use super::super::report::with_papers;
use super::super::{Failure, PrintRequest, Printed, ReportRequest};
use super::people::{People, Unlike};

/// How many mistakes are gone over.
const GONE_OVER: usize = 3;

/// A mistake that fewer papers share is nothing for the whole class: common practice, no source.
const SHARED_BY: usize = 3;

/// What stands on the page for the class where there is nothing to be shown.
const NOTHING: &str = "No mistake with a known cause is shared by three papers or more.";

/// Prints the report of a class as of a day.
///
/// # Errors
/// See the module.
pub fn print_report(
    request: &PrintRequest<'_>,
    on: NaiveDate,
    record: &Record,
) -> Result<Printed, Failure> {
    let plan = &request.prepared.plan;
    let (report, mut papers) = with_papers(&class_of(request), record)?;
    papers.sort_by_cached_key(|(_, paper)| Reverse(paper.points()));
    let people = People::of(request);
    let mut unlike = Unlike::default();
    let rows = papers.iter().map(|(student, paper)| {
        let student = request.roster.get(*student).unwrap_or_default();
        row(plan, people.name_of(student, &mut unlike), paper)
    });
    let rows: Vec<PaperRow> = rows.collect();
    let mut pen = Pen::new(request.fonts, request.decimal);
    let pages = ReportPages::of(&report, on, request.layout.page, &rows, &mut pen);
    let bytes = paper::report(&pages, request.fonts);
    Printed::of(request, bytes, &pen.missing, &unlike)
}

/// Prints what to go over in class.
///
/// # Errors
/// See the module.
pub fn print_for_class(request: &PrintRequest<'_>, record: &Record) -> Result<Printed, Failure> {
    let plan = &request.prepared.plan;
    let (report, _) = with_papers(&class_of(request), record)?;
    let mut pen = Pen::new(request.fonts, request.decimal);
    let shared = report.shared.iter();
    let shared = shared.filter(|shared| shared.papers >= SHARED_BY);
    let mistakes = shared.take(GONE_OVER);
    let mistakes = mistakes.map(|shared| mistake(plan, shared, &mut pen));
    let page = OverPage {
        mistakes: mistakes.collect(),
        code: plan.sheet.code.clone(),
        title: pen.shown(&plan.sheet.title),
        class: pen.shown(request.class),
        page: request.layout.page,
        nothing: NOTHING,
    };
    let bytes = paper::over(&page, request.fonts);
    let mut printed = Printed::of(request, bytes, &pen.missing, &Unlike::default())?;
    if report.analysis.papers < SMALL && !page.mistakes.is_empty() {
        let warning = Diagnostic::warning(request.class, Place::File, words::RECOGNISED);
        let help = "look through the page before you show it";
        printed.findings.list.push(warning.help(help));
    }
    Ok(printed)
}

fn class_of<'a>(request: &PrintRequest<'a>) -> ReportRequest<'a> {
    ReportRequest {
        prepared: request.prepared,
        class: request.class,
        roster: request.roster,
        decimal: request.decimal,
    }
}

fn row(plan: &Plan, name: String, paper: &Paper) -> PaperRow {
    let cells = paper.cells.iter().enumerate();
    let points = cells.map(
        |(
            at,
            Cell {
                points, verdict, ..
            },
        )| {
            let place = plan.parts.get(at)?;
            let out_of = plan.assignment(at).parts[place.part].points;
            (*verdict != Verdict::Blank).then_some((*points, out_of))
        },
    );
    PaperRow {
        name,
        total: paper.total,
        points: points.collect(),
    }
}

/// A mistake as the class is shown it.
fn mistake(plan: &Plan, shared: &Shared, pen: &mut Pen<'_>) -> OverMistake {
    let places = plan.parts.iter().enumerate();
    let places = places.filter(|(_, part)| shared.parts.contains(&part.id));
    let places: Vec<usize> = places.map(|(at, _)| at).collect();
    let first = places.first().copied().unwrap_or(0);
    let problem = plan.parts.get(first).map_or(0, |part| part.problem);
    let assignment = &plan.sheet.problems[problem];
    let title = if plan.sheet.lone {
        ""
    } else {
        &assignment.title
    };
    let of_file = slip(plan, &places, shared);
    let check = if of_file.is_some() {
        ""
    } else {
        feedback::check(plan, first)
    };
    let equations = of_file
        .or_else(|| altered(plan, problem, shared))
        .or_else(|| answered(plan, problem, first, &shared.says))
        .unwrap_or_default();
    let says = said(plan, problem, &shared.words());
    OverMistake::of(&words::whose(shared), title, &equations, &says, check, pen)
}

/// A mistake that the teacher foresaw: the equations it replaces, or what was answered for what was asked.
fn slip(plan: &Plan, places: &[usize], shared: &Shared) -> Option<Vec<(String, Chain)>> {
    if shared.equation.is_some() {
        return None;
    }
    places.iter().find_map(|&at| {
        let place = plan.parts.get(at)?;
        let assignment = &plan.sheet.problems[place.problem];
        let PartKind::Answer(answer) = &assignment.parts.get(place.part)?.kind else {
            return None;
        };
        let mut slips = answer.slips.iter().enumerate();
        let (_, slip) = slips.find(|(number, slip)| match &slip.say {
            Some(say) => *say == shared.says,
            None => shared.says == diagnosis::unsaid(*number),
        })?;
        Some(match &slip.kind {
            SlipKind::Replace(replaced) => {
                let replaced = replaced.iter().filter_map(|(equation, written)| {
                    let own = assignment.equations.get(*equation)?;
                    let chain = worked::on_the_board(plan, place.problem, &own.item, written);
                    Some((own.name.clone(), chain))
                });
                replaced.collect()
            }
            SlipKind::Answer(expr) => {
                let asked = &assignment.unknowns[answer.unknown].name;
                let chain = worked::answered_for(plan, place.problem, asked, expr);
                vec![(ANSWERED.to_owned(), chain)]
            }
        })
    })
}

/// What stands before a quantity and what was answered for it.
const ANSWERED: &str = "answered";

/// A mistake in one of the equations.
fn altered(plan: &Plan, problem: usize, shared: &Shared) -> Option<Vec<(String, Chain)>> {
    let (name, _) = shared.equation.as_ref()?;
    let assignment: &Assignment = &plan.sheet.problems[problem];
    let mut equations = assignment.equations.iter();
    let at = equations.position(|named| named.name == *name)?;
    let own = &assignment.equations[at].item;
    let written = diagnosis::as_written(assignment, at, shared.alteration?)?;
    let chain = worked::on_the_board(plan, problem, own, &written);
    Some(vec![(name.clone(), chain)])
}

/// Another quantity that was answered, as the diagnosis says it: "`mA*g` answered".
fn answered(plan: &Plan, problem: usize, part: usize, says: &str) -> Option<Vec<(String, Chain)>> {
    let place = plan.parts.get(part)?;
    let assignment = &plan.sheet.problems[problem];
    let PartKind::Answer(answer) = &assignment.parts.get(place.part)?.kind else {
        return None;
    };
    let quoted = diagnosis::other_answered(says)?;
    let expr = parse::expression(quoted).ok()?;
    let asked = &assignment.unknowns[answer.unknown].name;
    let chain = worked::answered_for(plan, problem, asked, &expr);
    Some(vec![(ANSWERED.to_owned(), chain)])
}

/// What was done, its formulas, which stand in backquotes, set as on the board.
fn said(plan: &Plan, problem: usize, says: &str) -> Vec<Said> {
    let pieces = says.split('`').enumerate().map(|(at, piece)| {
        let formula = (at % 2 == 1)
            .then(|| parse::expression(piece).ok())
            .flatten();
        match formula {
            Some(expr) => Said::Maths(worked::expression(plan, problem, &expr)),
            None => Said::Text(piece.to_owned()),
        }
    });
    pieces.collect()
}
