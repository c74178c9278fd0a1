//! Paper: what is printed for students and for the teacher, as PDF.
//!
//! In: what was issued, as plain values, and the fonts for names. Out: PDF bytes that meet PDF/UA-1
//! (tagged, with a title, a language and text for every picture); the same input gives the same bytes.
//! Each document is a template in `templates` and a serde value that it reads as `data.json`. Names,
//! texts and figures are data for the template, never markup: a student called `$x$` is printed so.
//! `fonts` knows which letters can be drawn, `world` is all that Typst sees of the outside, `sheet`,
//! `papers` and the files beside them say what stands in each document.
//!
//! Refused: pictures and fonts that cannot be read; a build without the feature `paper`, with what to do.

mod fonts;
mod key;
mod list;
mod papers;
mod sheet;
mod slips;
mod wording;
mod worked;
#[cfg(feature = "paper")]
mod world;

use serde::Serialize;

use crate::diagnostic::{Diagnostic, Place};

pub use fonts::{Fonts, Missing};
pub use key::{Column, KeyList, Row, key};
pub use list::{CodeList, codes};
pub use papers::{Copy, Figure, Handout, PageSize, papers};
pub use sheet::SheetText;
pub use slips::{Slip, SlipSheet, slips};
pub use wording::{Paragraph, Run, day, points};
pub use worked::{WorkedPages, WorkedPaper, WorkedProblem, worked};

/// Whether PDFs can be drawn, as this program was built.
pub const IS_BUILT_IN: bool = cfg!(feature = "paper");

/// What stands in the metadata of every PDF, by which files of this program are known again.
pub const CREATOR: &str = concat!("Paperweight ", env!("CARGO_PKG_VERSION"));

/// A document that can be drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Template {
    /// Its file among the templates.
    pub name: &'static str,
    /// Its text, in Typst's markup; it may import any other template by its name.
    pub text: &'static str,
}

/// What all templates share.
#[cfg(feature = "paper")]
const BASE: Template = Template {
    name: "base.typ",
    text: include_str!("templates/base.typ"),
};

/// Draws a document: the template, with `data` as its `data.json`.
///
/// # Errors
/// A picture that cannot be read, and what else Typst says; a build without PDFs.
pub fn draw(
    template: Template,
    data: &impl Serialize,
    fonts: &Fonts,
) -> Result<Vec<u8>, Diagnostic> {
    let json = serde_json::to_vec(data).map_err(|error| fault(template, &error.to_string()))?;
    drawn(template, json, fonts)
}

#[cfg(feature = "paper")]
fn drawn(template: Template, json: Vec<u8>, fonts: &Fonts) -> Result<Vec<u8>, Diagnostic> {
    world::pdf(template, json, fonts).map_err(|words| fault(template, &words.join("; ")))
}

#[cfg(not(feature = "paper"))]
fn drawn(template: Template, _: Vec<u8>, _: &Fonts) -> Result<Vec<u8>, Diagnostic> {
    Err(not_built(template.name))
}

/// What is said where PDFs are asked of a program that was built without them.
pub fn not_built(file: &str) -> Diagnostic {
    let message = "this program was built without PDFs";
    Diagnostic::error(file, Place::File, message)
        .help("build it with them: `cargo install --path .`, without --no-default-features")
}

fn fault(template: Template, words: &str) -> Diagnostic {
    let name = template.name.trim_end_matches(".typ");
    let message = format!("the PDF of {name} could not be drawn: {words}");
    Diagnostic::error(&format!("{name}.pdf"), Place::File, message)
        .help("if a figure is named here, mend that file; else this is a fault of the program")
}

#[cfg(test)]
mod tests;
