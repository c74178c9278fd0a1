//! `worked.pdf`: how one gets from a student's numbers to the answers, each paper from a new page on.
//!
//! In: worked solutions as `worked` has them, questions with a student's numbers. Out: PDF bytes. Letters
//! are set as maths, quantities as text, and every equation says in words what it shows. Refused: what
//! [`super::draw`] refuses.

use serde::Serialize;

use super::wording::{Paragraph, paragraphs};
use super::{Fonts, PageSize, Pen, Picture, Template, draw};
use crate::assignment::Assignment;
use crate::diagnostic::Diagnostic;
use crate::worked::{Chain, Held, Line, Maths, Outcome, Say, Solution};

/// The template.
pub const TEMPLATE: Template = Template {
    name: "worked.typ",
    text: include_str!("templates/worked.typ"),
};

/// Worked solutions of several papers.
#[derive(Clone, Debug, Serialize)]
pub struct WorkedPages {
    /// The code of the sheet.
    pub code: String,
    /// The title of the document.
    pub title: String,
    /// The class, safe to draw.
    pub class: String,
    /// The size of the pages.
    pub page: PageSize,
    /// The papers, in their order.
    pub papers: Vec<WorkedPaper>,
}

/// The worked solution of one paper.
#[derive(Clone, Debug, Serialize)]
pub struct WorkedPaper {
    /// The paper code.
    pub code: String,
    /// The student's name, safe to draw; none where papers go by their codes.
    pub name: Option<String>,
    /// For each problem the values of its givens, as printed.
    pub values: Vec<Vec<String>>,
    /// For each problem its figure.
    pub figures: Vec<Option<Picture>>,
    /// The problems in the order of the paper.
    pub problems: Vec<WorkedProblem>,
}

/// The worked solution of one problem.
#[derive(Clone, Debug, Serialize)]
pub struct WorkedProblem {
    title: String,
    numbers: Vec<Equation>,
    names: Vec<Equation>,
    required: Vec<Condition>,
    parts: Vec<WorkedPart>,
}

#[derive(Clone, Debug, Serialize)]
struct WorkedPart {
    id: String,
    ask: Vec<Paragraph>,
    /// The stages one after the other, each of lines that belong together.
    stages: Vec<Vec<Row>>,
    /// Conditions that the answer rests on.
    because: Vec<Condition>,
    answer: Option<Equation>,
    /// The answer without its minus, and in words.
    size: Option<(Maths, String)>,
    word: String,
    eye: Vec<String>,
    checks: Vec<Condition>,
}

/// A line of the working.
#[derive(Clone, Debug, Serialize)]
struct Row {
    label: String,
    equations: Vec<Equation>,
    between: &'static str,
    after: &'static str,
}

/// What is set as maths, and in words for who cannot see it.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Equation {
    pub(super) chain: Chain,
    pub(super) alt: String,
}

#[derive(Clone, Debug, Serialize)]
struct Condition {
    names: Equation,
    numbers: Option<Equation>,
}

impl WorkedProblem {
    /// The solution of a problem as it is drawn.
    pub fn of(assignment: &Assignment, solution: &Solution, pen: &mut Pen<'_>) -> Self {
        let parts = assignment.parts.iter().zip(&solution.parts);
        let parts = parts.map(|(model, part)| {
            let (fonts, missing) = (pen.fonts(), &mut pen.missing);
            let ask = paragraphs(&model.ask, &assignment.givens, fonts, missing);
            let stages = part.stages.iter();
            let stages = stages.map(|stage| {
                let lines = stage.lines.iter();
                lines.map(|line| row(line, pen)).collect()
            });
            let mut drawn = WorkedPart {
                id: part.id.clone(),
                ask,
                stages: stages.collect(),
                because: Vec::new(),
                answer: None,
                size: None,
                word: String::new(),
                eye: Vec::new(),
                checks: conditions(&part.checks, pen),
            };
            match &part.outcome {
                Outcome::Answer { chain, size } => {
                    drawn.answer = Some(equation(chain, pen));
                    drawn.size = size.clone().map(|mut size| {
                        size.each_leaf(&mut |leaf| write(leaf, pen));
                        let words = size.text();
                        (size, words)
                    });
                }
                Outcome::Word { word, held } => {
                    drawn.word = pen.shown(word);
                    drawn.because = conditions(held, pen);
                }
                Outcome::Eye(items) => {
                    drawn.eye = items.iter().map(|item| pen.shown(item)).collect();
                }
            }
            drawn
        });
        let parts = parts.collect();
        Self {
            title: pen.shown(&solution.title),
            numbers: equations(&solution.numbers, pen),
            names: equations(&solution.names, pen),
            required: conditions(&solution.required, pen),
            parts,
        }
    }
}

fn row(line: &Line, pen: &mut Pen<'_>) -> Row {
    let label = match line.say {
        // On paper it shows where numbers stand for letters.
        Say::Numbers => String::new(),
        _ => line.say.label(),
    };
    Row {
        label: pen.shown(&label),
        equations: equations(&line.chains, pen),
        between: line.say.between(),
        after: line.say.after(),
    }
}

fn equations(chains: &[Chain], pen: &mut Pen<'_>) -> Vec<Equation> {
    chains.iter().map(|chain| equation(chain, pen)).collect()
}

pub(super) fn equation(chain: &Chain, pen: &mut Pen<'_>) -> Equation {
    let mut chain = chain.clone();
    chain.each_leaf(&mut |leaf| write(leaf, pen));
    Equation {
        alt: chain.text(),
        chain,
    }
}

/// A name in letters that can be drawn, a number with the reader's decimal mark.
pub(super) fn write(leaf: &mut Maths, pen: &mut Pen<'_>) {
    match leaf {
        Maths::Name { letter, below } => {
            *letter = pen.shown(letter);
            *below = pen.shown(below);
        }
        amount => amount.write(pen.mark),
    }
}

fn conditions(held: &[Held], pen: &mut Pen<'_>) -> Vec<Condition> {
    let held = held.iter().map(|held| Condition {
        names: equation(&held.names, pen),
        numbers: held.numbers.as_ref().map(|numbers| equation(numbers, pen)),
    });
    held.collect()
}

/// Draws the solutions.
///
/// # Errors
/// As [`super::draw`].
pub fn worked(pages: &WorkedPages, fonts: &Fonts) -> Result<Vec<u8>, Diagnostic> {
    draw(TEMPLATE, &pages.code, pages, fonts)
}
