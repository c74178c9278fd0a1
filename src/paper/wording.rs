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
use crate::text::DecimalMark;

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
    // Whether an empty line was met since the last words.
    let mut ended = false;
    for piece in &template.pieces {
        match piece {
            Piece::Text(text) => {
                let lines: Vec<&str> = text.split('\n').collect();
                for (at, line) in lines.iter().enumerate() {
                    let is_blank = line.trim().is_empty();
                    // What stands before the first line break or behind the last is no line by itself.
                    ended |= is_blank && at > 0 && at + 1 < lines.len();
                    if at > 0 {
                        push(&mut paragraphs, " ");
                    }
                    if is_blank {
                        push(&mut paragraphs, line.trim_end_matches('\r'));
                    } else {
                        begin(&mut paragraphs, &mut ended);
                        let line = line.trim_end_matches('\r');
                        push(&mut paragraphs, &fonts.shown(&plain(line), missing));
                    }
                }
            }
            Piece::Given(at) => {
                begin(&mut paragraphs, &mut ended);
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

/// Begins another paragraph behind an empty line.
fn begin(paragraphs: &mut Vec<Paragraph>, ended: &mut bool) {
    if std::mem::take(ended) {
        paragraphs.push(Paragraph::new());
    }
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

/// `1 point`, `2.5 points`, with the reader's decimal mark.
pub fn points(points: Decimal, mark: DecimalMark) -> String {
    let points = points.normalize();
    let noun = if points == Decimal::ONE {
        "point"
    } else {
        "points"
    };
    let points = points.to_string();
    format!("{}\u{A0}{noun}", mark.written(&points))
}
