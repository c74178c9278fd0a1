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

mod codes;
mod fonts;
mod key;
mod over;
mod papers;
mod pen;
mod report;
mod sheet;
mod slips;
mod wording;
mod worked;
#[cfg(feature = "paper")]
mod world;

use serde::Serialize;

use crate::diagnostic::{Diagnostic, Place};
#[cfg(feature = "paper")]
use crate::figure;

pub use codes::{CodeList, TEMPLATE as CODES, codes};
pub use fonts::{Fonts, Missing};
pub use key::{Column, KeyList, Row, TEMPLATE as KEY, key};
pub use over::{OverMistake, OverPage, Said, TEMPLATE as OVER, over};
pub use papers::{Copy, Handout, PageSize, Picture, TEMPLATE as PAPERS, papers};
pub use pen::Pen;
pub use report::{PaperRow, ReportPages, TEMPLATE as REPORT, report};
pub use sheet::SheetText;
pub use slips::{Slip, SlipSheet, TEMPLATE as SLIPS, slips};
pub use wording::{Paragraph, Run, day, points};
pub use worked::{TEMPLATE as WORKED, WorkedPages, WorkedPaper, WorkedProblem, worked};

/// Whether PDFs can be drawn, as this program was built.
pub const IS_BUILT_IN: bool = cfg!(feature = "paper");

/// A document that can be drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Template {
    /// Its file among the templates.
    pub name: &'static str,
    /// Its text, in Typst's markup; it may import those in `SHARED` by their names.
    pub text: &'static str,
}

impl Template {
    /// What document it is.
    fn kind(self) -> &'static str {
        self.name.trim_end_matches(".typ")
    }

    /// What stands in the metadata of its documents, by which they are known again in later versions, too:
    /// the kind of document and, in brackets, so that no code is taken for a longer one, whose it is.
    pub fn mark(self, code: &str) -> String {
        format!("Paperweight {} [{code}]", self.kind())
    }
}

/// What templates share.
#[cfg(feature = "paper")]
const SHARED: [Template; 2] = [
    Template {
        name: "base.typ",
        text: include_str!("templates/base.typ"),
    },
    Template {
        name: "maths.typ",
        text: include_str!("templates/maths.typ"),
    },
];

/// Draws a document of the sheet `code`: the template, with `data` as its `data.json`.
///
/// # Errors
/// A picture that cannot be read, and what else Typst says; a build without PDFs.
pub fn draw(
    template: Template,
    code: &str,
    data: &impl Serialize,
    fonts: &Fonts,
) -> Result<Vec<u8>, Diagnostic> {
    let json = serde_json::to_vec(data).map_err(|error| fault(code, &error.to_string()))?;
    drawn(template, code, json, fonts)
}

#[cfg(feature = "paper")]
fn drawn(
    template: Template,
    code: &str,
    json: Vec<u8>,
    fonts: &Fonts,
) -> Result<Vec<u8>, Diagnostic> {
    world::pdf(template, template.mark(code), json, fonts)
        .map_err(|words| fault(code, &words.join("; ")))
}

#[cfg(not(feature = "paper"))]
fn drawn(template: Template, _: &str, _: Vec<u8>, _: &Fonts) -> Result<Vec<u8>, Diagnostic> {
    Err(not_built(template.name))
}

/// A figure alone on a page.
#[cfg(feature = "paper")]
const FIGURE: Template = Template {
    name: "figure.typ",
    text: include_str!("templates/figure.typ"),
};

/// Tries whether a drawing can be drawn, on a page of its own; a build without PDFs draws none.
///
/// # Errors
/// Why not, in words.
#[cfg(feature = "paper")]
pub fn try_figure(svg: &str) -> Result<(), String> {
    let (fonts, mut missing) = (Fonts::default(), Missing::default());
    let svg = figure::lettered(svg.to_owned(), |c| fonts.drawn(c, &mut missing));
    let json = serde_json::to_vec(&svg).map_err(|error| error.to_string())?;
    let drawn = world::pdf(FIGURE, FIGURE.mark(""), json, &fonts);
    drawn.map(drop).map_err(|words| words.join("; "))
}

/// The same without PDFs: nothing is drawn.
///
/// # Errors
/// None.
#[cfg(not(feature = "paper"))]
pub fn try_figure(_: &str) -> Result<(), String> {
    Ok(())
}

/// What is said where PDFs are asked of a program that was built without them.
pub fn not_built(file: &str) -> Diagnostic {
    let message = "this program was built without PDFs";
    Diagnostic::error(file, Place::File, message)
        .help("build it with them: `cargo install --path .`, without --no-default-features")
}

/// What stands in a document may be told of the sheet alone: its file is not known here.
fn fault(code: &str, words: &str) -> Diagnostic {
    let message = format!("the PDF could not be drawn: {words}");
    Diagnostic::error(code, Place::File, message)
        .help("if a figure is named here, mend that file; else this is a fault of the program")
}

#[cfg(test)]
mod tests;
