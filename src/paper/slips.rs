//! `feedback.pdf`: slips to cut and hand back, several a page.
//!
//! In: for each paper its code, the student's own numbers, the words of [`crate::feedback`], points. Out:
//! PDF bytes. The slips of one letter size have one height, so that a pile of pages can be cut at once.
//! Refused: what [`super::draw`] refuses.

use serde::Serialize;

use super::{Fonts, PageSize, Template, draw};
use crate::diagnostic::Diagnostic;

/// The template.
pub const TEMPLATE: Template = Template {
    name: "feedback.typ",
    text: include_str!("templates/feedback.typ"),
};

/// Slips in their order.
#[derive(Clone, Debug, Serialize)]
pub struct SlipSheet {
    /// The code of the sheet.
    pub code: String,
    /// The title of the document and of every slip.
    pub title: String,
    /// The size of the pages.
    pub page: PageSize,
    /// The slips.
    pub slips: Vec<Slip>,
}

/// What one student is told. All of it safe to draw.
#[derive(Clone, Debug, Serialize)]
pub struct Slip {
    /// The size of its letters in points.
    pub size: u8,
    /// The paper code.
    pub code: String,
    /// The student's name; none where papers go by their codes.
    pub name: Option<String>,
    /// Class and section.
    pub class: String,
    /// For each problem the numbers that were drawn: symbol and value.
    pub numbers: Vec<Vec<(String, String, String)>>,
    /// What there is to say.
    pub words: String,
    /// What the student may do next; empty for nothing.
    pub next: String,
    /// For each part its id, the points, and what it is out of.
    pub parts: Vec<(String, String, String)>,
    /// What the paper as a whole gains or loses, with what for.
    pub paper: Vec<(String, String)>,
    /// The total and what it is out of; none while the paper is not fully marked.
    pub total: Option<(String, String)>,
    /// Answers to the student's own numbers, with the ids of their parts; empty while work may be handed in
    /// again.
    pub key: Vec<(String, String)>,
}

/// Draws the slips.
///
/// # Errors
/// As [`super::draw`].
pub fn slips(sheet: &SlipSheet, fonts: &Fonts) -> Result<Vec<u8>, Diagnostic> {
    draw(TEMPLATE, &sheet.code, sheet, fonts)
}
