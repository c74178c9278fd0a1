//! `papers.pdf`: what is handed out, a page or more a student.
//!
//! In: the texts of one or several sheets, and for each student name, code and numbers. Out: PDF bytes.
//! Papers of one sheet and letter size are laid out alike, so that every answer line has one place.
//! Refused: what [`super::draw`] refuses.

use serde::Serialize;

use super::{Fonts, SheetText, Template, draw};
use crate::diagnostic::Diagnostic;

/// The template.
pub const TEMPLATE: Template = Template {
    name: "papers.typ",
    text: include_str!("templates/papers.typ"),
};

/// The size of the pages.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum PageSize {
    /// 210 mm by 297 mm.
    #[default]
    A4,
    /// 8.5 in by 11 in.
    Letter,
}

/// Papers to print, in their order.
#[derive(Clone, Debug, Serialize)]
pub struct Handout {
    /// The code of the sheet.
    pub code: String,
    /// The title of the document.
    pub title: String,
    /// The size of the pages.
    pub page: PageSize,
    /// Whether each paper starts on a new sheet, for printing on both sides.
    pub duplex: bool,
    /// The sheets as they were handed out; one, or several where the file has changed since.
    pub sheets: Vec<SheetText>,
    /// The papers.
    pub copies: Vec<Copy>,
}

/// One paper.
#[derive(Clone, Debug, Serialize)]
pub struct Copy {
    /// Its place in [`Handout::sheets`].
    pub sheet: usize,
    /// The size of its letters in points.
    pub size: u8,
    /// The paper code.
    pub code: String,
    /// The student's name, safe to draw; none where papers go by their codes.
    pub name: Option<String>,
    /// Class and section, safe to draw.
    pub class: String,
    /// The day it is due, in words; empty for none.
    pub due: String,
    /// Which paper of the sheet it is for the student, from 1.
    pub number: u32,
    /// For each problem the values of its givens, as printed.
    pub values: Vec<Vec<String>>,
    /// For each problem its figure.
    pub figures: Vec<Option<Picture>>,
}

/// A picture.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Picture {
    /// SVG.
    pub svg: String,
    /// What it shows, for who cannot see it.
    pub alt: String,
}

/// Draws the papers.
///
/// # Errors
/// As [`super::draw`].
pub fn papers(handout: &Handout, fonts: &Fonts) -> Result<Vec<u8>, Diagnostic> {
    draw(TEMPLATE, &handout.code, handout, fonts)
}
