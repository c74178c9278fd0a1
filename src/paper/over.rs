//! `class.pdf`: what to go over in class, with the board's equation and the term marked.
//!
//! In: the commonest mistakes, each with how many made it. Out: PDF bytes in large letters, to be shown or handed
//! round: no student is in it. Refused: what [`super::draw`] refuses.

use serde::Serialize;

use super::worked::{Equation, equation, write};
use super::{Fonts, PageSize, Pen, Template, draw};
use crate::diagnostic::Diagnostic;
use crate::worked::{Chain, Maths};

/// The template.
pub const TEMPLATE: Template = Template {
    name: "over.typ",
    text: include_str!("templates/over.typ"),
};

/// What to go over in class.
#[derive(Clone, Debug, Serialize)]
pub struct OverPage {
    /// The code of the sheet.
    pub code: String,
    /// The title of the sheet, safe to draw.
    pub title: String,
    /// The class, safe to draw.
    pub class: String,
    /// The size of the pages.
    pub page: PageSize,
    /// The mistakes, commonest first.
    pub mistakes: Vec<OverMistake>,
    /// What stands there where there are none to be shown.
    pub nothing: &'static str,
}

/// One mistake.
#[derive(Clone, Debug, Serialize)]
pub struct OverMistake {
    /// `5 papers, (b)`.
    whose: String,
    /// The problem, where the sheet has several.
    problem: String,
    /// The equations, each with its name.
    equations: Vec<(String, Equation)>,
    /// What was done.
    says: Vec<SaidRun>,
    /// What to check.
    check: String,
}

#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "snake_case")]
enum SaidRun {
    Text(String),
    Maths(Maths, String),
}

/// A piece of what is said of a mistake.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Said {
    /// Words.
    Text(String),
    /// A piece of an equation.
    Maths(Maths),
}

impl OverMistake {
    /// A mistake: whose, in which problem (empty for the only one), the board's equations with their names (empty
    /// for none), what was done, what to check.
    pub fn of(
        whose: &str,
        problem: &str,
        equations: &[(String, Chain)],
        says: &[Said],
        check: &str,
        pen: &mut Pen<'_>,
    ) -> Self {
        let equations = equations.iter();
        let says = says.iter();
        Self {
            whose: pen.shown(whose),
            problem: pen.shown(problem),
            equations: equations
                .map(|(name, chain)| (pen.shown(name), equation(chain, pen)))
                .collect(),
            says: says
                .map(|said| match said {
                    Said::Text(text) => SaidRun::Text(pen.shown(text)),
                    Said::Maths(maths) => {
                        let mut maths = maths.clone();
                        maths.each_leaf(&mut |leaf| write(leaf, pen));
                        let words = maths.text();
                        SaidRun::Maths(maths, words)
                    }
                })
                .collect(),
            check: pen.shown(check),
        }
    }
}

/// Draws the page.
///
/// # Errors
/// As [`super::draw`].
pub fn over(page: &OverPage, fonts: &Fonts) -> Result<Vec<u8>, Diagnostic> {
    draw(TEMPLATE, &page.code, page, fonts)
}
