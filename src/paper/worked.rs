//! `worked.pdf`: how one gets from a student's numbers to the answers, each paper from a new page on.
//!
//! In: worked solutions as `worked` has them, questions with a student's numbers. Out: PDF bytes. Letters
//! are set as maths, quantities as text, and every equation says in words what it shows. Refused: what
//! [`super::draw`] refuses.

use serde::Serialize;

use super::wording::{Paragraph, paragraphs};
use super::{Fonts, Missing, PageSize, Template, draw};
use crate::assignment::Assignment;
use crate::diagnostic::Diagnostic;
use crate::worked::{Chain, Held, Line, Maths, Outcome, Say, Solution};

const TEMPLATE: Template = Template {
    name: "worked.typ",
    text: include_str!("templates/worked.typ"),
};

/// Worked solutions of several papers.
#[derive(Clone, Debug, Serialize)]
pub struct WorkedPages {
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
struct Equation {
    chain: Chain,
    alt: String,
}

#[derive(Clone, Debug, Serialize)]
struct Condition {
    names: Equation,
    numbers: Option<Equation>,
}

impl WorkedProblem {
    /// The solution of a problem as it is drawn.
    pub fn of(
        assignment: &Assignment,
        solution: &Solution,
        fonts: &Fonts,
        missing: &mut Missing,
    ) -> Self {
        let parts = assignment.parts.iter().zip(&solution.parts);
        let parts = parts.map(|(model, part)| {
            let stages = part.stages.iter();
            let row = |line: &Line| row(line, fonts);
            let stages = stages.map(|stage| stage.lines.iter().map(row).collect());
            let mut drawn = WorkedPart {
                id: part.id.clone(),
                ask: paragraphs(&model.ask, &assignment.givens, fonts, missing),
                stages: stages.collect(),
                because: Vec::new(),
                answer: None,
                size: None,
                word: String::new(),
                eye: Vec::new(),
                checks: conditions(&part.checks),
            };
            match &part.outcome {
                Outcome::Answer { chain, size } => {
                    drawn.answer = Some(equation(chain));
                    drawn.size = size.as_ref().map(|size| (size.clone(), size.text()));
                }
                Outcome::Word { word, held } => {
                    drawn.word = fonts.shown(word, missing);
                    drawn.because = conditions(held);
                }
                Outcome::Eye(items) => {
                    let items = items.iter().map(|item| fonts.shown(item, missing));
                    drawn.eye = items.collect();
                }
            }
            drawn
        });
        let parts = parts.collect();
        Self {
            title: fonts.shown(&solution.title, missing),
            numbers: solution.numbers.iter().map(equation).collect(),
            names: solution.names.iter().map(equation).collect(),
            required: conditions(&solution.required),
            parts,
        }
    }
}

fn row(line: &Line, fonts: &Fonts) -> Row {
    let label = match line.say {
        // On paper it shows where numbers stand for letters.
        Say::Numbers => String::new(),
        _ => line.say.label(),
    };
    Row {
        label: fonts.shown(&label, &mut Missing::default()),
        equations: line.chains.iter().map(equation).collect(),
        between: line.say.between(),
        after: line.say.after(),
    }
}

fn equation(chain: &Chain) -> Equation {
    Equation {
        chain: chain.clone(),
        alt: chain.text(),
    }
}

fn conditions(held: &[Held]) -> Vec<Condition> {
    let held = held.iter().map(|held| Condition {
        names: equation(&held.names),
        numbers: held.numbers.as_ref().map(equation),
    });
    held.collect()
}

/// Draws the solutions.
///
/// # Errors
/// As [`super::draw`].
pub fn worked(pages: &WorkedPages, fonts: &Fonts) -> Result<Vec<u8>, Diagnostic> {
    draw(TEMPLATE, pages, fonts)
}
