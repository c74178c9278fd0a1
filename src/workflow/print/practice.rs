//! Prints what is practised: papers of the parts lost, their key, and a variant for the board.
//!
//! In: practice as it was drawn, today's sheet, fonts. Out: PDFs as bytes. Practice carries codes, too, and
//! says that it is practice, for nothing is keyed of it. Refused: what cannot be drawn.

use crate::paper::{self, Copy, Missing, Pen, SheetText, WorkedPaper};
use crate::plan::Plan;
use crate::record::Issue;
use crate::text::DecimalMark;

use super::super::practice::{Board, Practice, Practised};
use super::super::{Failure, PrintRequest, Printed, StackOrder};
use super::figures::Drawings;
use super::key::{keyed, page, row};
use super::lacks::texts_lack;
use super::people::{People, Unlike, letters};
use super::worked::{pages, worked_paper};
use super::{handout, values};

/// What stands in the place of the code on the variant for the board.
const BOARD: &str = "board";

/// What stands before the code on what a student practises.
const PRACTICE: &str = "practice";

/// What is practised in the order of the stack.
fn stack<'a>(request: &PrintRequest<'_>, practice: &'a Practice) -> Vec<&'a Practised> {
    let mut papers: Vec<&Practised> = practice.papers.iter().collect();
    if request.layout.order == StackOrder::Code {
        papers.sort_by_key(|practised| practised.draw.code);
    }
    papers
}

/// Prints what each student practises.
///
/// # Errors
/// What cannot be drawn, a program built without PDFs.
pub fn print_practice(request: &PrintRequest<'_>, practice: &Practice) -> Result<Printed, Failure> {
    let plan = &request.prepared.plan;
    let people = People::of(request);
    let mut texts = Texts::default();
    let mut drawings = Drawings::of(request, None);
    let (mut unlike, mut copies) = (Unlike::default(), Vec::new());
    for practised in stack(request, practice) {
        let draw = &practised.draw;
        let keep = by_problem(plan, &practised.parts);
        let whole = copy(request, draw, people.mark(draw), &mut drawings)?;
        let size = people.student(draw).print;
        copies.push(Copy {
            sheet: texts.place(request, people.mark(draw), &keep),
            size: letters(size),
            code: format!("{PRACTICE} {}", draw.code),
            name: people.name_beside_code(draw, &mut unlike),
            class: people.class(draw),
            values: with_parts(whole.values, &keep),
            figures: with_parts(whole.figures, &keep),
            ..whole
        });
    }
    let mut printed = print(request, texts.sheets, copies, &unlike)?;
    printed.findings.list.extend(drawings.findings());
    Ok(printed)
}

/// Prints the answers to what each student practises, and none to what they do not.
///
/// # Errors
/// As [`print_practice`].
pub fn print_practice_key(
    request: &PrintRequest<'_>,
    practice: &Practice,
) -> Result<Printed, Failure> {
    let plan = &request.prepared.plan;
    let people = People::of(request);
    let mut pen = Pen::new(request.fonts, request.decimal);
    let (mut unlike, mut rows) = (Unlike::default(), Vec::new());
    for practised in stack(request, practice) {
        let draw = &practised.draw;
        pen.mark = people.mark(draw);
        let name = people.name_beside_code(draw, &mut unlike);
        let mut row = row(plan, &practised.key, draw.code.as_str(), name, &mut pen);
        let keep = by_problem(plan, &practised.parts);
        for (problem, answers) in row.answers.iter_mut().enumerate() {
            for ((part, _), answer) in keyed(plan, problem).zip(answers) {
                if !keep[problem].contains(&part) {
                    answer.clear();
                }
            }
            if keep[problem].is_empty() {
                row.numbers[problem].clear();
            }
        }
        rows.push(row);
    }
    let page = page(request, rows, &mut pen);
    let bytes = paper::key(&page, request.fonts);
    Printed::of(request, bytes, &pen.missing, &unlike)
}

/// Prints the variant for the board as a paper without a name.
///
/// # Errors
/// As [`print_practice`].
pub fn print_board(request: &PrintRequest<'_>, board: &Board) -> Result<Printed, Failure> {
    let request = &as_most_write(request);
    let sheet = &request.prepared.plan.sheet;
    let text = SheetText::of(sheet, request.fonts, request.decimal);
    let mut drawings = Drawings::of(request, None);
    let copy = copy(request, &board.draw, request.decimal, &mut drawings)?;
    let mut printed = print(request, vec![text], vec![copy], &Unlike::default())?;
    printed.findings.list.extend(drawings.findings());
    Ok(printed)
}

/// Prints how one gets from the numbers on the board to the answers.
///
/// # Errors
/// As [`print_practice`].
pub fn print_board_worked(request: &PrintRequest<'_>, board: &Board) -> Result<Printed, Failure> {
    let request = &as_most_write(request);
    let plan = &request.prepared.plan;
    let mut pen = Pen::new(request.fonts, request.decimal);
    let mut drawings = Drawings::of(request, None);
    let paper = WorkedPaper {
        figures: drawings.of_paper(&plan.sheet, &board.draw, pen.mark)?,
        ..worked_paper(plan, &board.key, BOARD, None, &mut pen)
    };
    let pages = pages(request, vec![paper], &mut pen);
    let bytes = paper::worked(&pages, request.fonts);
    Printed::of(request, bytes, &pen.missing, &Unlike::default())
}

/// The request with the decimal mark that most students of the class write: the board is for all.
fn as_most_write<'a>(request: &PrintRequest<'a>) -> PrintRequest<'a> {
    let marks = request.roster.iter();
    let marks = marks.map(|student| student.decimal.unwrap_or(request.decimal));
    let commas = marks.filter(|mark| *mark == DecimalMark::Comma).count();
    let decimal = match 2 * commas > request.roster.len() {
        true => DecimalMark::Comma,
        false => DecimalMark::Point,
    };
    PrintRequest {
        decimal,
        ..*request
    }
}

/// A draw as a paper with all its parts and nobody's name, as for the board.
fn copy(
    request: &PrintRequest<'_>,
    draw: &Issue,
    mark: DecimalMark,
    drawings: &mut Drawings<'_>,
) -> Result<Copy, Failure> {
    let sheet = &request.prepared.plan.sheet;
    Ok(Copy {
        sheet: 0,
        size: letters(None),
        code: BOARD.to_owned(),
        name: None,
        class: request.class.to_owned(),
        due: String::new(),
        number: 1,
        values: values(sheet, draw, mark),
        figures: drawings.of_paper(sheet, draw, mark)?,
    })
}

fn print(
    request: &PrintRequest<'_>,
    sheets: Vec<SheetText>,
    copies: Vec<Copy>,
    unlike: &Unlike,
) -> Result<Printed, Failure> {
    let handout = handout(request, sheets, copies);
    let bytes = paper::papers(&handout, request.fonts);
    let mut printed = Printed::of(request, bytes, &Missing::default(), unlike)?;
    printed.findings.list.extend(texts_lack(&handout.sheets));
    Ok(printed)
}

/// Parts by their places on the sheet, as places in each problem.
fn by_problem(plan: &Plan, parts: &[usize]) -> Vec<Vec<usize>> {
    let mut keep = vec![Vec::new(); plan.problems.len()];
    for place in parts.iter().filter_map(|at| plan.parts.get(*at)) {
        keep[place.problem].push(place.part);
    }
    keep
}

/// What belongs to problems of which some part is kept.
fn with_parts<T>(all: Vec<T>, keep: &[Vec<usize>]) -> Vec<T> {
    let all = all.into_iter().zip(keep);
    let kept = all.filter(|(_, keep)| !keep.is_empty());
    kept.map(|(it, _)| it).collect()
}

/// Texts of today's sheet with some of its parts; those that are practised alike share one.
#[derive(Default)]
struct Texts {
    /// By decimal mark, with all parts.
    whole: Vec<(DecimalMark, SheetText)>,
    sheets: Vec<SheetText>,
}

impl Texts {
    /// The place of a text among the sheets.
    fn place(
        &mut self,
        request: &PrintRequest<'_>,
        mark: DecimalMark,
        keep: &[Vec<usize>],
    ) -> usize {
        let known = self.whole.iter().position(|(of, _)| *of == mark);
        let known = known.unwrap_or_else(|| {
            let sheet = &request.prepared.plan.sheet;
            let text = SheetText::of(sheet, request.fonts, mark);
            self.whole.push((mark, text));
            self.whole.len() - 1
        });
        let text = self.whole[known].1.with_parts(keep);
        let same = self.sheets.iter().position(|sheet| *sheet == text);
        same.unwrap_or_else(|| {
            self.sheets.push(text);
            self.sheets.len() - 1
        })
    }
}
