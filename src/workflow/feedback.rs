//! Gives papers back: slips with what each student is told.
//!
//! In: a prepared sheet, a roster, the record. Out: `feedback.pdf` as bytes, the words as they are, and
//! which papers they are about, to be noted as given back. Each slip is about one student's paper alone.
//! The key is on it only once the day to hand in again is over and nobody owes a paper with the same
//! numbers. Left out and told: papers that are partly marked or need a look, unless they are asked for.

use std::collections::BTreeSet;

use chrono::{DateTime, NaiveDate, Utc};
use rust_decimal::Decimal;

use crate::diagnostic::{Diagnostic, Place};
use crate::marking::{Marked, Status};
use crate::paper::{self, Pen, Slip, SlipSheet};
use crate::plan::Plan;
use crate::record::{
    Account, Deed, Issue, IssueId, NewAct, Record, Standing, late_let_go, paper_charges,
    paper_let_go,
};
use crate::text::DecimalMark;

use super::export::named;
use super::kept::Kept;
use super::marked::class::ClassMarker;
use super::owed::owed_by_all;
use super::print::key::{numbers_of, with_units};
use super::print::lacks::lacks;
use super::print::people::{People, Unlike};
use super::print::stack;
use super::{Failure, Findings, PrintRequest, told};

/// What slips say besides the words.
#[derive(Clone, Copy, Debug)]
pub struct FeedbackRequest<'a> {
    /// The class and how to print; [`PrintRequest::papers`] is not looked at.
    pub print: PrintRequest<'a>,
    /// The last day on which work may be handed in again.
    pub resubmit: Option<NaiveDate>,
    /// Today.
    pub today: NaiveDate,
    /// Whether there are slips of papers that are partly marked or need a look, without a total.
    pub partial: bool,
    /// Whether points stand on them.
    pub points: bool,
}

/// Slips, not handed out yet.
#[derive(Clone, Debug, Default)]
pub struct Slips {
    /// The papers they are about, in the order of the stack, with the words for each.
    pub told: Vec<(Issue, String)>,
    /// What should be known.
    pub findings: Findings,
    sheet: Option<SlipSheet>,
}

impl Slips {
    /// Draws them.
    ///
    /// # Errors
    /// What cannot be drawn, a program built without PDFs.
    pub fn draw(&self, request: &FeedbackRequest<'_>) -> Result<Vec<u8>, Failure> {
        let Some(sheet) = &self.sheet else {
            return Ok(Vec::new());
        };
        paper::slips(sheet, request.print.fonts).map_err(Failure::of)
    }

    /// Notes in the record that these papers were given back; those of which that is known stay as they
    /// are. Gives how many are new.
    ///
    /// # Errors
    /// A busy or failing record.
    pub fn returned(&self, record: &mut Record, now: DateTime<Utc>) -> Result<usize, Failure> {
        let Some((first, _)) = self.told.first() else {
            return Ok(0);
        };
        let kept = Kept::of(record, &first.sheet, &first.class)?;
        let new = |issue: IssueId| kept.standing(issue).returned.is_none();
        let acts: Vec<NewAct> = self
            .told
            .iter()
            .filter(|(issue, _)| new(issue.id))
            .map(|(issue, _)| NewAct::new(now, issue.id, Deed::Returned { on: now }))
            .collect();
        record.append(&acts)?;
        Ok(acts.len())
    }
}

/// Makes the slips of a class, each about the paper that counts.
///
/// # Errors
/// A class without papers, papers that today's file cannot solve.
pub fn slips(request: &FeedbackRequest<'_>, record: &Record) -> Result<Slips, Failure> {
    let print = &request.print;
    let plan = &print.prepared.plan;
    let fault = |list| Failure::input(list, print.prepared.sources.clone());
    let kept = Kept::of_issued(record, &plan.sheet, print.class)?;
    let mut marker = ClassMarker::new(print.prepared, print.decimal);
    let mut counting = Vec::new();
    for student in print.roster.iter() {
        let counted = marker.counting(&kept, student.id, student.decimal);
        let counted = counted.map_err(|finding| fault(vec![finding]))?;
        counting.extend(counted.map(|counted| counted.issue.clone()));
    }
    let print = PrintRequest {
        papers: &counting,
        ..*print
    };
    let people = People::of(&print);
    let mut slips = Slips::default();
    let (mut drawn, mut open, mut unlike) = (Vec::new(), Vec::new(), Unlike::default());
    let mut silent = Vec::new();
    let mut pen = Pen::new(print.fonts, print.decimal);
    let is_over = request.resubmit.is_some_and(|day| request.today > day);
    let owed = match is_over {
        true => owed_by_all(&plan.sheet.code, (print.class, print.roster), record)?,
        false => Vec::new(),
    };
    let mut waiting: BTreeSet<&str> = BTreeSet::new();
    for issue in stack(&print) {
        let student = people.student(issue);
        let counted = marker.mark(&kept, issue, student.decimal);
        let counted = counted.map_err(|finding| fault(vec![finding]))?;
        let status = counted.account.status;
        match status {
            Status::Absent | Status::Excused | Status::NotKeyed | Status::NoPaper => continue,
            Status::Marked => {}
            _ if request.partial => {}
            _ => {
                open.push(student.id.to_owned());
                continue;
            }
        }
        let told = told::told(plan, &counted.marked, &counted.account, counted.standing);
        let mut words = String::new();
        told::words(plan, marker.key(), &told, counted.standing, &mut words);
        if words.is_empty() && !request.points {
            silent.push(student.id.to_owned());
            continue;
        }
        let key = marker.key();
        let problems = 0..plan.problems.len();
        pen.mark = people.mark(issue);
        // Who still owes a paper with these numbers would read the answers off this slip.
        let mut same = owed
            .iter()
            .filter(|owed| owed.values == issue.values)
            .peekable();
        let has_key = is_over && same.peek().is_none();
        waiting.extend(same.map(|owed| owed.student.as_str()));
        drawn.push(Slip {
            size: people.letters(issue),
            code: issue.code.as_str().to_owned(),
            name: people.name_beside_code(issue, &mut unlike),
            class: people.class(issue),
            numbers: problems
                .map(|at| numbers_of(plan, at, &key.problems[at], &mut pen))
                .collect(),
            words: pen.shown(&words),
            next: match request.resubmit {
                Some(day) if !is_over && counted.account.total < counted.marked.out_of => {
                    format!("You may hand in this paper again by {}.", paper::day(day))
                }
                _ => String::new(),
            },
            parts: if request.points {
                parts(plan, &counted.marked, &counted.account, pen.mark)
            } else {
                Vec::new()
            },
            paper: if request.points {
                of_paper(plan, &counted.marked, counted.standing, pen.mark)
            } else {
                Vec::new()
            },
            total: (request.points && status == Status::Marked).then(|| {
                let Account { total, .. } = counted.account;
                let out_of = counted.marked.out_of;
                (number(total, pen.mark), number(out_of, pen.mark))
            }),
            key: if has_key {
                with_units(plan, key, &mut pen)
            } else {
                Vec::new()
            },
        });
        slips.told.push((issue.clone(), words));
    }
    if let Some(day) = request.resubmit
        && drawn.iter().any(|slip| !slip.key.is_empty())
    {
        let message = format!("{day} is past, so the answers stand on the slips");
        let note = Diagnostic::note("--resubmit", Place::File, message);
        let help = "for slips without answers name a later day, or leave --resubmit out";
        slips.findings.list.push(note.help(help));
    }
    if !open.is_empty() {
        let ids = named(&open);
        let message = format!("no slips for papers that are not fully marked: {ids}");
        let note = Diagnostic::note(record.name(), Place::File, message);
        slips
            .findings
            .list
            .push(note.help("settle them first, or add --partial"));
    }
    if !silent.is_empty() {
        let ids = named(&silent);
        let message = format!("no slips where the words are withheld and no points stand: {ids}");
        let note = Diagnostic::note(record.name(), Place::File, message);
        slips.findings.list.push(note);
    }
    if !waiting.is_empty() {
        let ids: Vec<&str> = waiting.into_iter().collect();
        let ids = named(&ids);
        let message =
            format!("no key on slips with the numbers of papers that are still owed: {ids}");
        let warning = Diagnostic::warning(record.name(), Place::File, message);
        slips.findings.list.push(warning.help(
            "excuse who will not hand in any more (`attend --excused`), or give them other numbers \
             (`reissue`)",
        ));
    }
    let sheet = SlipSheet {
        code: plan.sheet.code.clone(),
        title: pen.shown(&plan.sheet.title),
        page: print.layout.page,
        slips: drawn,
    };
    let lacking = lacks(&print, &pen.missing, &unlike);
    slips.findings.list.extend(lacking);
    slips.sheet = Some(sheet);
    Ok(slips)
}

/// The points of the parts with the teacher's word.
fn parts(
    plan: &Plan,
    marked: &Marked,
    account: &Account,
    mark: DecimalMark,
) -> Vec<(String, String, String)> {
    let parts = plan.parts.iter().zip(&marked.parts).zip(&account.by_part);
    let parts = parts.map(|((place, part), more)| {
        (
            place.id.clone(),
            number(part.points + *more, mark),
            number(part.out_of, mark),
        )
    });
    parts.collect()
}

/// What the paper as a whole loses, with the teacher's word.
fn of_paper(
    plan: &Plan,
    marked: &Marked,
    standing: &Standing,
    mark: DecimalMark,
) -> Vec<(String, String)> {
    let late = marked.late + late_let_go(marked, standing);
    let cost = marked.paper_cost + paper_let_go(plan, marked, standing);
    let charged = paper_charges(plan, marked).into_iter();
    let charged =
        charged.filter(|(charge, cost)| !cost.is_zero() && !standing.is_waived(None, *charge));
    let what: Vec<&str> = charged.map(|(charge, _)| charge.name()).collect();
    let lost = [(what.join(" and "), cost), ("late".to_owned(), late)];
    let lost = lost.into_iter().filter(|(_, points)| !points.is_zero());
    lost.map(|(what, points)| (what, number(points, mark)))
        .collect()
}

/// Points with a true minus, with the student's decimal mark.
fn number(points: Decimal, mark: DecimalMark) -> String {
    let points = points.normalize().to_string();
    mark.written(&points).replace('-', "−")
}
