//! What stands on every paper of a sheet: texts, questions, places for answers.
//!
//! In: a checked sheet, fonts. Out: a serde value for the templates. The room for working grows with the
//! points of a part; what a student has to know of the scheme (units, figures) is said in one line.
//! Nothing is refused; letters without a shape are reported.

use rust_decimal::prelude::ToPrimitive as _;
use serde::Serialize;

use super::wording::{Paragraph, Run, paragraphs, points};
use super::{Fonts, Missing, Pen};
use crate::assignment::{Assignment, FiguresRule, Part, PartKind, Piece, Sheet, Template, Units};
use crate::text::DecimalMark;

/// Room for working in a part that asks for a number: millimetres, and so many more for each point.
const ROOM: (f64, f64, f64) = (6.0, 7.0, 60.0);

/// Room below a question with words to choose from, and for a drawing or an argument.
const ROOM_TO_CHOOSE: f64 = 3.0;
const ROOM_TO_DRAW: f64 = 48.0;

/// A sheet as it is printed, but for what differs from student to student.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SheetText {
    title: String,
    points: String,
    /// How answers are to be written.
    instruction: String,
    /// Whether the one problem needs no heading.
    lone: bool,
    problems: Vec<ProblemText>,
    /// What no font has of the texts of each problem, and of its own title, by the codes.
    #[serde(skip)]
    pub missing: Vec<(String, Missing)>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
struct ProblemText {
    label: String,
    title: String,
    points: String,
    text: Vec<Paragraph>,
    parts: Vec<PartText>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
struct PartText {
    /// As columns and feedback name it: `b`, `1b`.
    id: String,
    /// As the question is headed: `b`.
    label: String,
    ask: Vec<Paragraph>,
    /// Whether a number of the student's stands in it.
    varies: bool,
    points: String,
    /// Whether there is a line to write on.
    line: bool,
    /// The unit printed behind the line.
    unit: String,
    /// Words to choose from.
    options: Vec<String>,
    /// What is said of the figures below the line, where parts differ.
    note: String,
    /// Millimetres for working.
    room: f64,
}

impl SheetText {
    /// What stands on every paper of a sheet for students who write this decimal mark.
    pub fn of(sheet: &Sheet, fonts: &Fonts, mark: DecimalMark) -> Self {
        let mut pen = Pen::new(fonts, mark);
        let figures = common_figures(sheet);
        let problems = sheet.problems.iter().enumerate();
        let mut missing = Vec::new();
        let problems = problems
            .map(|(at, problem)| {
                let text = ProblemText {
                    label: (at + 1).to_string(),
                    title: pen.shown(&problem.title),
                    points: points(problem.parts.iter().map(|part| part.points).sum(), mark),
                    text: paragraphs(&problem.text, &problem.givens, fonts, &mut pen.missing),
                    parts: (0..problem.parts.len())
                        .map(|part| {
                            let id = sheet.part_id(at, part);
                            part_text(id, problem, &problem.parts[part], figures, &mut pen)
                        })
                        .collect(),
                };
                missing.push((problem.code.clone(), std::mem::take(&mut pen.missing)));
                text
            })
            .collect();
        let title = pen.shown(&sheet.title);
        missing.push((sheet.code.clone(), pen.missing));
        Self {
            title,
            points: points(sheet.points(), mark),
            instruction: instruction(sheet, figures),
            lone: sheet.lone,
            problems,
            missing,
        }
    }
}

impl SheetText {
    /// The same with some parts alone: of each problem those at these places. A problem without any is left
    /// out, all keep their names, and no points are told.
    #[must_use]
    pub fn with_parts(&self, keep: &[Vec<usize>]) -> Self {
        let problems = self.problems.iter().zip(keep);
        let problems = problems.filter(|(_, keep)| !keep.is_empty());
        let problems = problems.map(|(problem, keep)| ProblemText {
            points: String::new(),
            parts: keep
                .iter()
                .filter_map(|at| problem.parts.get(*at))
                .map(|part| PartText {
                    points: String::new(),
                    ..part.clone()
                })
                .collect(),
            ..problem.clone()
        });
        Self {
            points: String::new(),
            problems: problems.collect(),
            ..self.clone()
        }
    }
}

fn part_text(
    id: String,
    problem: &Assignment,
    part: &Part,
    common: Option<FiguresRule>,
    pen: &mut Pen<'_>,
) -> PartText {
    let mut ask = paragraphs(&part.ask, &problem.givens, pen.fonts(), &mut pen.missing);
    let (mut unit, mut options, mut note) = (String::new(), Vec::new(), String::new());
    match &part.kind {
        PartKind::Answer(answer) => {
            if part.rules.units == Units::Printed {
                unit = answer.unit.printed();
            }
            if common.is_none() {
                note = figures_words(part.rules.figures);
            }
            if let Some(printed) = &answer.printed
                && !says(&part.ask, &printed.numeral.to_string())
            {
                let value = printed.printed(pen.mark);
                let sentence = format!(" Show that it comes to {value}.");
                match ask.last_mut() {
                    Some(last) => last.push(Run::Text(sentence)),
                    None => ask.push(vec![Run::Text(sentence.trim_start().to_owned())]),
                }
            }
        }
        PartKind::Choose(choice) => {
            options = choice
                .options
                .iter()
                .map(|option| pen.shown(&option.label))
                .collect();
        }
        PartKind::Eye(_) => {}
    }
    let is_given = |run: &Run| matches!(run, Run::Given(_));
    PartText {
        id,
        label: part.id.clone(),
        varies: ask.iter().flatten().any(is_given),
        ask,
        points: points(part.points, pen.mark),
        line: matches!(part.kind, PartKind::Answer(_)),
        unit,
        options,
        note,
        room: room(part),
    }
}

fn room(part: &Part) -> f64 {
    match &part.kind {
        PartKind::Answer(_) => {
            let (least, each, most) = ROOM;
            let points = part.points.to_f64().unwrap_or(0.0);
            (least + each * points).min(most)
        }
        PartKind::Choose(_) => ROOM_TO_CHOOSE,
        PartKind::Eye(_) => ROOM_TO_DRAW,
    }
}

/// Whether a text has these letters in it.
fn says(text: &Template, letters: &str) -> bool {
    let has = |piece: &Piece| matches!(piece, Piece::Text(text) if text.contains(letters));
    text.pieces.iter().any(has)
}

/// Rules of the parts that ask for a number.
fn numbers(sheet: &Sheet) -> impl Iterator<Item = &Part> {
    let parts = sheet.problems.iter().flat_map(|problem| &problem.parts);
    parts.filter(|part| matches!(part.kind, PartKind::Answer(_)))
}

/// The figures asked for, where all parts ask for the same.
fn common_figures(sheet: &Sheet) -> Option<FiguresRule> {
    let mut rules = numbers(sheet).map(|part| part.rules.figures);
    let first = rules.next()?;
    rules.all(|rule| rule == first).then_some(first)
}

fn instruction(sheet: &Sheet, figures: Option<FiguresRule>) -> String {
    let written = numbers(sheet).filter(|part| part.rules.units == Units::Written);
    let (written, all) = (written.count(), numbers(sheet).count());
    if all == 0 {
        return String::new();
    }
    let mut words = "Write each answer on its line".to_owned();
    if written == all {
        words += " with its unit";
    } else if written > 0 {
        words += " with its unit, where none is printed";
    }
    if let Some(figures) = figures {
        words += if written > 0 { ", " } else { " " };
        words += &figures_words(figures);
    }
    words + "."
}

fn figures_words(figures: FiguresRule) -> String {
    match figures {
        FiguresRule::Asked(1) => "to 1 significant figure".to_owned(),
        FiguresRule::Asked(count) => format!("to {count} significant figures"),
        FiguresRule::Range(least, most) if least == most => {
            format!("to exactly {least} significant figures")
        }
        FiguresRule::Range(least, most) => format!("to {least} to {most} significant figures"),
        FiguresRule::Data => "to as many figures as the least exact number given".to_owned(),
    }
}
