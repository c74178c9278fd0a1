//! Draws what is practised after a sheet was marked: fresh numbers for those who share a mistake, and a
//! variant for the board.
//!
//! In: a class as it was marked, what is out. Out: for each student who shares a known mistake with another
//! the parts they lost and numbers that nobody holds; for the board one more such draw. Practice is not
//! marked and counts for nothing: the record is read and not written, and the same papers give the same
//! practice until another set is asked for. Refused: a class in which no mistake is shared, draws that
//! cannot be made.

use chrono::{DateTime, Utc};

use crate::diagnostic::{Diagnostic, Place};
use crate::marking::Key;
use crate::quantity::Quantity;
use crate::record::{Issue, NewIssue, Record};
use crate::statistics::{Cell, Shared};
use crate::variant::{PRACTICE, PaperCode, Space};

use super::drawn::{key_of, to_record};
use super::kept::filed;
use super::seen::Seen;
use super::{Failure, Prepared, ReportRequest, fresh, seen};

/// Sets of numbers there are.
pub const SETS: u8 = 20;

/// What is to be practised.
#[derive(Clone, Copy, Debug)]
pub struct PracticeRequest<'a> {
    /// The class as it was marked.
    pub class: ReportRequest<'a>,
    /// Which set of numbers, from 1 to [`SETS`]: another set has other numbers while the draws last.
    pub set: u8,
    /// Now.
    pub now: DateTime<Utc>,
}

/// What one student practises.
#[derive(Clone, Debug)]
pub struct Practised {
    /// The student's place on the roster.
    pub student: usize,
    /// The parts lost, by their places on the sheet.
    pub parts: Vec<usize>,
    /// Their mistakes, by their places in [`Practice::shared`].
    pub mistakes: Vec<usize>,
    /// The numbers, in the shape of a paper that was handed out, with a code of its own.
    pub draw: Issue,
    /// Its key.
    pub key: Key,
}

/// What a class practises.
#[derive(Clone, Debug)]
pub struct Practice {
    /// The mistakes that several made, commonest first.
    pub shared: Vec<Shared>,
    /// The students, in the order of the roster.
    pub papers: Vec<Practised>,
    /// On how many of them stand numbers that somebody holds, since all are in use.
    pub held: usize,
}

/// A variant for the board.
#[derive(Debug)]
pub struct Board {
    /// The numbers, as in [`Practised::draw`].
    pub draw: Issue,
    /// Its key.
    pub key: Key,
    /// Whether somebody holds these numbers, since all are in use.
    pub is_held: bool,
}

/// Draws practice for a class.
///
/// # Errors
/// See the module; a record that cannot be read.
pub fn practice(request: &PracticeRequest<'_>, record: &Record) -> Result<Practice, Failure> {
    let prepared = request.class.prepared;
    let plan = &prepared.plan;
    let mut shared: Vec<Shared> = Vec::new();
    let mut seen = Vec::new();
    seen::each(&request.class, record, |student, is| {
        let Seen::Marked { paper, causes } = is else {
            return;
        };
        let mistakes = seen::share(plan, &causes, &mut shared);
        let cells = paper.cells.iter().enumerate();
        let lost = cells.filter(|(_, cell)| Cell::is_wrong(cell));
        let lost: Vec<usize> = lost.map(|(at, _)| at).collect();
        if !mistakes.is_empty() && !lost.is_empty() {
            seen.push((student, lost, mistakes));
        }
    })?;
    let mut order: Vec<usize> = (0..shared.len()).collect();
    order.retain(|at| shared[*at].is_by_several());
    order.sort_by_key(|at| std::cmp::Reverse(shared[*at].papers));
    // Where a mistake stands once they are sorted; none for one that is not shared.
    let place = |mistake: &usize| order.iter().position(|at| at == mistake);
    let mut chosen = Vec::new();
    for (student, parts, mistakes) in seen {
        let mut mistakes: Vec<usize> = mistakes.iter().filter_map(place).collect();
        mistakes.sort_unstable();
        if !mistakes.is_empty() {
            chosen.push((student, parts, mistakes));
        }
    }
    if chosen.is_empty() {
        return Err(nothing_shared(request, record.name()));
    }
    let roster = request.class.roster;
    let ids: Vec<&str> = chosen.iter().map(|(at, ..)| roster.id(*at)).collect();
    let issued = record.issues(&plan.sheet.code)?;
    let Draws { practice, .. } = draws(request, &issued, &ids)?;
    let held = practice.iter().filter(|draw| is_held(draw, &issued));
    let held = held.count();
    let papers = chosen.into_iter().zip(practice);
    let papers = papers.map(|((student, parts, mistakes), draw)| {
        Ok(Practised {
            student,
            parts,
            mistakes,
            key: solved(prepared, &draw)?,
            draw,
        })
    });
    Ok(Practice {
        papers: papers.collect::<Result<_, Failure>>()?,
        shared: order.into_iter().map(|at| shared[at].clone()).collect(),
        held,
    })
}

/// Draws a variant for the board; the same one that the practice of a class leaves aside.
///
/// # Errors
/// Draws that cannot be made; a record that cannot be read.
pub fn board(request: &PracticeRequest<'_>, record: &Record) -> Result<Board, Failure> {
    let prepared = request.class.prepared;
    let issued = record.issues(&prepared.plan.sheet.code)?;
    let Draws { board, .. } = draws(request, &issued, &[])?;
    Ok(Board {
        key: solved(prepared, &board)?,
        is_held: is_held(&board, &issued),
        draw: board,
    })
}

/// What one set has.
struct Draws {
    board: Issue,
    /// In the order of the ids.
    practice: Vec<Issue>,
}

/// Draws the numbers of the set asked for, beside what is out and all sets before it: the boards first, so
/// that nobody practises with their numbers.
fn draws(request: &PracticeRequest<'_>, issued: &[Issue], ids: &[&str]) -> Result<Draws, Failure> {
    let spaces = request.class.prepared.spaces()?;
    let mut out = issued.to_vec();
    // Nobody's id is empty, and the board has that.
    let mut board = Vec::new();
    for set in 1..=request.set.max(1) {
        board = draw_for(request, set, &spaces, &out, &[""])?;
        out.extend_from_slice(&board);
    }
    let mut practice = Vec::new();
    for set in 1..=request.set.max(1) {
        practice = draw_for(request, set, &spaces, &out, ids)?;
        out.extend_from_slice(&practice);
    }
    Ok(Draws {
        board: board.remove(0),
        practice,
    })
}

/// Whether somebody holds the numbers of one of the problems.
fn is_held(draw: &Issue, issued: &[Issue]) -> bool {
    let held = |other: &Issue| {
        let problems = draw.values.iter().zip(&other.values);
        problems.clone().any(|(own, other)| own == other)
    };
    issued.iter().any(held)
}

fn solved(prepared: &Prepared, draw: &Issue) -> Result<Key, Failure> {
    let mut key = Key::default();
    key_of(&prepared.plan, draw, &mut key)
        .map_err(|finding| Failure::input(vec![finding], prepared.sources.clone()))?;
    Ok(key)
}

/// Draws a set beside what is out, for students of the class by id.
fn draw_for(
    request: &PracticeRequest<'_>,
    set: u8,
    spaces: &[Space<'_>],
    out: &[Issue],
    ids: &[&str],
) -> Result<Vec<Issue>, Failure> {
    let ReportRequest {
        prepared, class, ..
    } = request.class;
    let number = PRACTICE + u32::from(set);
    let to = ids.iter().map(|student| fresh::To { student, number });
    let to: Vec<fresh::To<'_>> = to.collect();
    let drawn = fresh::beside(prepared, spaces, class, out, &to)?;
    let file = filed(prepared).digest;
    let draws = ids.iter().zip(drawn);
    let draws = draws.map(|(id, values)| as_paper(request, id, number, &file, values));
    Ok(draws.collect())
}

/// What was drawn, in the shape of a paper that was handed out.
fn as_paper(
    request: &PracticeRequest<'_>,
    id: &str,
    number: u32,
    file: &str,
    values: Vec<Vec<Quantity>>,
) -> Issue {
    let ReportRequest {
        prepared,
        class,
        roster,
        ..
    } = request.class;
    let sheet = &prepared.plan.sheet;
    let mut attempt = 0;
    let code = loop {
        if let Some(code) = PaperCode::of(&sheet.code, class, id, number, attempt) {
            break code;
        }
        attempt += 1;
    };
    let student = roster.find(id).and_then(|at| roster.get(at));
    let paper = NewIssue {
        sheet: sheet.code.clone(),
        class: class.to_owned(),
        student: id.to_owned(),
        section: student.and_then(|student| student.section.map(str::to_owned)),
        number,
        code,
        values: to_record(sheet, values),
        file: file.to_owned(),
        at: request.now,
        due: None,
    };
    paper.as_issued()
}

fn nothing_shared(request: &PracticeRequest<'_>, record: &str) -> Failure {
    let sheet = &request.class.prepared.plan.sheet.code;
    let message = format!(
        "no two papers of `{sheet}` that are fully marked share a mistake with a known cause in the class `{}`",
        request.class.class
    );
    let error = Diagnostic::error(record, Place::File, message).help(
        "`report` shows what went wrong; `reissue --student ID` gives a whole paper to single students",
    );
    Failure::of(error)
}
