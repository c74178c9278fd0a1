//! The figure of an assignment: a drawing in which a student's own numbers stand.
//!
//! In: the text of an SVG file and the checked assignment that names it; later, a student's numbers.
//! Out: the same text with each `{mA}` in its lettering filled in, and what the figure shows in words,
//! from its `<desc>` or else its `<title>`. Lettering alone is filled: braces in style sheets and
//! attributes stay. Refused, with their places: what is not well-formed XML, whatever could do more than
//! draw (`drawing`), what takes too much to draw (`bounds`), and places that name no given, since an unknown
//! would give the key away.

mod bounds;
mod drawing;

use std::fmt::Write as _;

use roxmltree::{Document, Node};

use crate::assignment::{self, Assignment, Piece, Report, Template};
use crate::diagnostic::{Diagnostic, Source, Span};

/// A figure that was found fit to be printed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// The file as it was read.
    text: String,
    /// The whole file with its places.
    svg: Template,
    /// What it shows in words, if it says so.
    words: Option<Template>,
}

impl Figure {
    /// Reads a figure for the assignment that names it.
    ///
    /// # Errors
    /// Everything that is wrong with it.
    pub fn read(source: &Source, assignment: &Assignment) -> Result<Self, Vec<Diagnostic>> {
        let mut report = Report::new(source);
        let document = match Document::parse(&source.text) {
            Ok(document) => document,
            Err(error) => {
                drawing::not_xml(&error, source, &mut report);
                return Err(report.finish());
            }
        };
        drawing::check(&document, &mut report);
        bounds::check(&document, &mut report);
        let svg = filled_places(&document, assignment, &mut report);
        let findings = report.finish();
        if findings.is_empty() {
            let words = words(&document, source, assignment);
            let text = source.text.clone();
            Ok(Self { text, svg, words })
        } else {
            Err(findings)
        }
    }

    /// The file as it was read, to be kept.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The drawing with a student's numbers in it: `values` as printed, in the order of the givens.
    pub fn svg(&self, values: &[String]) -> String {
        filled(&self.svg, values, escaped)
    }

    /// What it shows, for those who cannot see it; nothing where the file does not say.
    pub fn words(&self, values: &[String]) -> Option<String> {
        let words = self.words.as_ref()?;
        Some(filled(words, values, str::to_owned))
    }

    /// The givens that stand in it, by their index.
    pub fn givens(&self) -> impl Iterator<Item = usize> + '_ {
        self.svg.pieces.iter().filter_map(|piece| match piece {
            Piece::Given(given) => Some(*given),
            Piece::Text(_) => None,
        })
    }
}

fn filled(template: &Template, values: &[String], escape: impl Fn(&str) -> String) -> String {
    let mut text = String::new();
    for piece in &template.pieces {
        match piece {
            Piece::Text(plain) => text.push_str(plain),
            Piece::Given(given) => {
                text.extend(values.get(*given).map(|value| escape(value)));
            }
        }
    }
    text
}

/// The file's text, cut at the places in its lettering.
fn filled_places(
    document: &Document<'_>,
    assignment: &Assignment,
    report: &mut Report<'_>,
) -> Template {
    let input = document.input_text();
    let mut pieces = Vec::new();
    let mut copied = 0;
    for node in document.descendants().filter(is_lettering) {
        let range = node.range();
        let written = &input[range.clone()];
        if written.starts_with("<![CDATA[") || input[range.end..].starts_with("<![CDATA[") {
            let span = Span::new(range.start, range.end);
            report
                .error(span, "lettering in a CDATA section is not filled in")
                .help(
                    "write it without <![CDATA[ and ]]>, with &lt; and &amp; where they are needed",
                );
            continue;
        }
        if !written.contains(['{', '}']) {
            continue;
        }
        let template = assignment::read_beside(written, range.start, assignment, report);
        pieces.push(Piece::Text(input[copied..range.start].to_owned()));
        pieces.extend(template.pieces);
        copied = range.end;
    }
    pieces.push(Piece::Text(input[copied..].to_owned()));
    Template { pieces }
}

/// The same drawing with its lettering written anew, letter by letter; what is read out stays.
pub fn lettered(svg: String, mut write: impl FnMut(char) -> char) -> String {
    let Ok(document) = Document::parse(&svg) else {
        // It was read as a figure, and numbers do not make it another.
        return svg;
    };
    let mut out = String::new();
    let mut copied = 0;
    for node in document.descendants().filter(is_drawn) {
        let text = node.text().unwrap_or_default();
        let written: String = text.chars().map(&mut write).collect();
        if written != text {
            let range = node.range();
            out.push_str(&svg[copied..range.start]);
            out.push_str(&escaped(&written));
            copied = range.end;
        }
    }
    if copied == 0 {
        return svg;
    }
    out.push_str(&svg[copied..]);
    out
}

/// Text that is drawn, or read out as what the figure shows.
fn is_lettering(node: &Node<'_, '_>) -> bool {
    is_drawn(node) || is_text_in(node, &["title", "desc"])
}

fn is_drawn(node: &Node<'_, '_>) -> bool {
    is_text_in(node, &["text", "tspan", "textPath", "a"])
}

fn is_text_in(node: &Node<'_, '_>, elements: &[&str]) -> bool {
    let named = |element: Node<'_, '_>| {
        drawing::is_svg(&element) && elements.contains(&element.tag_name().name())
    };
    node.is_text() && node.parent_element().is_some_and(named)
}

/// Text as XML has it.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;")
}

/// The words of the root's own `<desc>`, else of its `<title>`, in one line.
fn words(document: &Document<'_>, source: &Source, assignment: &Assignment) -> Option<Template> {
    ["desc", "title"].into_iter().find_map(|name| {
        let named = |node: &Node<'_, '_>| drawing::is_svg(node) && node.tag_name().name() == name;
        let element = document.root_element().children().find(named)?;
        let mut text = String::new();
        for node in element.descendants().filter(Node::is_text) {
            let _ = write!(text, "{} ", node.text().unwrap_or_default());
        }
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        // Its places were judged with all lettering; here they are only found again.
        let mut judged = Report::new(source);
        let template = assignment::read_beside(&text, 0, assignment, &mut judged);
        (!text.is_empty()).then_some(template)
    })
}

#[cfg(test)]
mod tests;
