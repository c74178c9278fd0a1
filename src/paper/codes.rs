//! `codes.pdf`: whose code is whose, for papers that carry no names.
//!
//! In: codes and names. Out: PDF bytes, for the teacher alone. Refused: what [`super::draw`] refuses.

use serde::Serialize;

use super::{Fonts, PageSize, Template, draw};
use crate::diagnostic::Diagnostic;

/// The template.
pub const TEMPLATE: Template = Template {
    name: "codes.typ",
    text: include_str!("templates/codes.typ"),
};

/// Codes and names of a stack.
#[derive(Clone, Debug, Serialize)]
pub struct CodeList {
    /// The code of the sheet.
    pub code: String,
    /// The title of the document.
    pub title: String,
    /// The size of the pages.
    pub page: PageSize,
    /// Code, name, class and section of each paper, safe to draw.
    pub rows: Vec<(String, String, String)>,
}

/// Draws the list.
///
/// # Errors
/// As [`super::draw`].
pub fn codes(list: &CodeList, fonts: &Fonts) -> Result<Vec<u8>, Diagnostic> {
    draw(TEMPLATE, &list.code, list, fonts)
}
