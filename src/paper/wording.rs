//! Texts of an assignment as paragraphs of runs, and small words that all documents share.
//!
//! In: a template of the file with its givens, fonts. Out: runs: text, places of givens, symbols. White
//! space is one blank, an empty line ends a paragraph; what cannot be drawn is `□` and is reported.
//! Nothing is refused.

use chrono::NaiveDate;
use rust_decimal::Decimal;
use serde::Serialize;

use super::Fonts;
use super::fonts::Missing;
use crate::assignment::{Given, Piece, Template};
use crate::formula::Symbol;

/// A piece of a paragraph.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Run {
    /// As it stands.
    Text(String),
    /// The value of the given of that index.
    Given(usize),
    /// The symbol of a quantity: a letter, and what is below the line.
    Symbol(String, String),
}

/// Runs of one paragraph.
pub type Paragraph = Vec<Run>;

/// The paragraphs of a text.
pub(super) fn paragraphs(
    template: &Template,
    givens: &[Given],
    fonts: &Fonts,
    missing: &mut Missing,
) -> Vec<Paragraph> {
    let mut paragraphs = vec![Paragraph::new()];
    for piece in &template.pieces {
        match piece {
            Piece::Text(text) => {
                let text = text.replace("\r\n", "\n");
                let mut blank_before = false;
                for (at, line) in text.split('\n').enumerate() {
                    let is_blank = line.trim().is_empty();
                    if at > 0 && is_blank {
                        blank_before = true;
                    }
                    if blank_before && !is_blank {
                        paragraphs.push(Paragraph::new());
                        blank_before = false;
                    } else if at > 0 {
                        push(&mut paragraphs, " ");
                    }
                    push(&mut paragraphs, &fonts.shown(&plain(line), missing));
                }
                // An empty line at the very end parts this text from a given behind it.
                if blank_before && text.ends_with("\n\n") {
                    paragraphs.push(Paragraph::new());
                }
            }
            Piece::Given(at) => {
                if let (Some(given), Some(paragraph)) = (givens.get(*at), paragraphs.last_mut()) {
                    set_symbol(paragraph, &given.name);
                    paragraph.push(Run::Given(*at));
                }
            }
        }
    }
    for paragraph in &mut paragraphs {
        trim(paragraph);
    }
    paragraphs.retain(|paragraph| !paragraph.is_empty());
    paragraphs
}

/// Blanks for white space, and `’` for an apostrophe within a word.
fn plain(line: &str) -> String {
    let mut out = String::with_capacity(line.len());
    let mut letters = line.chars().peekable();
    let mut before = ' ';
    while let Some(c) = letters.next() {
        let within = before.is_alphabetic() && letters.peek().is_some_and(|c| c.is_alphabetic());
        out.push(match c {
            '\'' if within => '’',
            '\t' => ' ',
            c => c,
        });
        before = c;
    }
    out
}

/// Adds text to the last paragraph, with one blank where there would be several.
fn push(paragraphs: &mut [Paragraph], text: &str) {
    let Some(paragraph) = paragraphs.last_mut() else {
        return;
    };
    if !matches!(paragraph.last(), Some(Run::Text(_))) {
        paragraph.push(Run::Text(String::new()));
    }
    if let Some(Run::Text(written)) = paragraph.last_mut() {
        for c in text.chars() {
            if c != ' ' || !written.ends_with(' ') {
                written.push(c);
            }
        }
    }
}

/// In `Take g = {g}` the `g` before the equals sign is a symbol.
fn set_symbol(paragraph: &mut Paragraph, name: &str) {
    let Some(Run::Text(text)) = paragraph.last_mut() else {
        return;
    };
    let before = text
        .trim_end()
        .strip_suffix('=')
        .and_then(|text| text.trim_end().strip_suffix(name));
    let Some(before) = before else { return };
    if before
        .chars()
        .next_back()
        .is_some_and(|c| c.is_alphanumeric() || c == '_')
    {
        return;
    }
    *text = before.to_owned();
    if text.is_empty() {
        paragraph.pop();
    }
    let Symbol { letter, below } = Symbol::of(name);
    paragraph.push(Run::Symbol(letter, below));
    paragraph.push(Run::Text("\u{A0}=\u{A0}".to_owned()));
}

fn trim(paragraph: &mut Paragraph) {
    if let Some(Run::Text(first)) = paragraph.first_mut() {
        *first = first.trim_start_matches(' ').to_owned();
    }
    if let Some(Run::Text(last)) = paragraph.last_mut() {
        *last = last.trim_end_matches(' ').to_owned();
    }
    paragraph.retain(|run| !matches!(run, Run::Text(text) if text.is_empty()));
}

/// A day as letters have it: `25 November 2026`.
pub fn day(day: NaiveDate) -> String {
    day.format("%-d %B %Y").to_string()
}

/// `1 point`, `2.5 points`.
pub fn points(points: Decimal) -> String {
    let points = points.normalize();
    let noun = if points == Decimal::ONE {
        "point"
    } else {
        "points"
    };
    format!("{points}\u{A0}{noun}")
}
