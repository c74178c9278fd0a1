//! Draws diagnostics: the marked line for a span, `file:line:column: …` for a place in a streamed
//! file.
//!
//! In: diagnostics and the files they are about. Out: text for a terminal, safe to show. A line is cut to
//! a window around the mark and made safe *before* it is handed to the drawing crate, which leaves C1
//! controls, separators and the path as they are, and whose own trimming reads whole files.

use std::fmt::Write as _;

use annotate_snippets::renderer::{
    DEFAULT_EMPHASIS_STYLE, DEFAULT_ERROR_STYLE, DEFAULT_HELP_STYLE, DEFAULT_LINE_NUM_STYLE,
    DEFAULT_NOTE_STYLE, DEFAULT_WARNING_STYLE,
};
use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};

use super::{Diagnostic, Place, Severity, Source, Span};
use crate::text::{floor_boundary, safe, wrapped};

/// Bytes of a line shown before and after a mark, and of the mark itself.
const CONTEXT: usize = 48;
const MARKED: usize = 72;

/// Columns of a line of help, behind the word.
const HELP_COLUMNS: usize = 92;

/// All diagnostics in the order given, each followed by a blank line if it is drawn over several
/// lines; ends with a line break unless the list is empty. A span whose source is not in `sources`
/// (by name) is told without its line. `color` turns on terminal colours, and nothing else differs.
pub fn render(list: &[Diagnostic], sources: &[&Source], color: bool) -> String {
    let mut out = String::new();
    for (at, diagnostic) in list.iter().enumerate() {
        let source = sources.iter().find(|source| source.name == diagnostic.file);
        match (diagnostic.place, source) {
            (Place::Span(span), Some(source)) => {
                out.push_str(&drawn(diagnostic, source, span, color));
                out.push('\n');
                if at + 1 < list.len() {
                    out.push('\n');
                }
            }
            (Place::Line { line, column }, _) => {
                told(&mut out, diagnostic, Some((line, column)), color)
            }
            _ => told(&mut out, diagnostic, None, color),
        }
    }
    out
}

/// `file:line:column: error: message` and the help below it.
fn told(out: &mut String, diagnostic: &Diagnostic, line: Option<(u64, Option<u64>)>, color: bool) {
    let style = match diagnostic.severity {
        Severity::Error => DEFAULT_ERROR_STYLE,
        Severity::Warning => DEFAULT_WARNING_STYLE,
        Severity::Note => DEFAULT_NOTE_STYLE,
    };
    let word = diagnostic.severity.name();
    // writing to a String, as all over this function, cannot fail
    let mut place = safe(&diagnostic.file).into_owned();
    if let Some((line, column)) = line {
        let _ = write!(place, ":{line}");
        if let Some(column) = column {
            let _ = write!(place, ":{column}");
        }
    }
    let message = safe(&diagnostic.message);
    let _ = if color {
        writeln!(
            out,
            "{place}: {style}{word}{style:#}{0}: {message}{0:#}",
            DEFAULT_EMPHASIS_STYLE
        )
    } else {
        writeln!(out, "{place}: {word}: {message}")
    };
    if let Some(help) = &diagnostic.help {
        let (style, help) = (DEFAULT_HELP_STYLE, advice(help, "  help: ".len()));
        let _ = if color {
            writeln!(out, "  {style}help{style:#}: {help}")
        } else {
            writeln!(out, "  help: {help}")
        };
    }
}

/// Help made safe, its further lines indented.
fn advice(help: &str, indent: usize) -> String {
    let lines = wrapped(&safe(help), HELP_COLUMNS);
    lines.join(&format!("\n{:indent$}", ""))
}

fn drawn(diagnostic: &Diagnostic, source: &Source, span: Span, color: bool) -> String {
    let window = window(&source.text, span);
    let level = match diagnostic.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    let label = safe(&diagnostic.label);
    let mark = AnnotationKind::Primary.span(window.mark.0..window.mark.1);
    let mark = if label.is_empty() {
        mark
    } else {
        mark.label(label)
    };
    let group = level.primary_title(safe(&diagnostic.message)).element(
        Snippet::source(window.shown)
            .line_start(window.line)
            .annotation(mark),
    );
    let group = match &diagnostic.help {
        Some(help) => {
            group.element(Level::HELP.message(wrapped(&safe(help), HELP_COLUMNS).join("\n")))
        }
        None => group,
    };
    let renderer = if color {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let drawing = renderer.render(&[group]);

    // The crate would count the column in the window it was given; ours is the file's.
    let indent = window.line.to_string().len();
    let place = format!("{}:{}:{}", safe(&source.name), window.line, window.column);
    let (title, lines) = drawing.split_once('\n').unwrap_or((&drawing, ""));
    if color {
        let style = DEFAULT_LINE_NUM_STYLE;
        format!(
            "{title}\n{:indent$}{style}--> {style:#}{place}\n{lines}",
            ""
        )
    } else {
        format!("{title}\n{:indent$}--> {place}\n{lines}", "")
    }
}

/// The part of the marked line that is shown.
struct Window {
    /// Safe text of one line.
    shown: String,
    /// Bytes of `shown` that are marked.
    mark: (usize, usize),
    /// Of the line in the file, from 1.
    line: usize,
    /// Of the mark in the file's line, in characters, from 1.
    column: usize,
}

/// The line in which a span begins and its column there, in characters; both from 1.
pub(super) fn line_column(text: &str, span: Span) -> (usize, usize) {
    let before = &text[..floor_boundary(text, span.start)];
    let start = before.rfind('\n').map_or(0, |at| at + 1);
    let column = before[start..].trim_end_matches('\r').chars().count();
    (before.matches('\n').count() + 1, column + 1)
}

/// Cuts out the line in which the span begins; a span over several lines is marked up to that
/// line's end.
fn window(text: &str, span: Span) -> Window {
    let (row, column) = line_column(text, span);
    let start = floor_boundary(text, span.start);
    let line_start = text[..start].rfind('\n').map_or(0, |at| at + 1);
    let line_end = text[start..].find('\n').map_or(text.len(), |at| start + at);
    let line = text[line_start..line_end].trim_end_matches('\r');
    let start = (start - line_start).min(line.len());
    let end = floor_boundary(line, span.end.saturating_sub(line_start)).max(start);

    let from = floor_boundary(line, start.saturating_sub(CONTEXT));
    let marked_end = floor_boundary(line, end.min(start + MARKED)).max(start);
    let to = floor_boundary(line, marked_end + CONTEXT);
    let before = format!(
        "{}{}",
        if from > 0 { "…" } else { "" },
        safe(&line[from..start])
    );
    let marked = safe(&line[start..marked_end]);
    let after = safe(&line[marked_end..to]);
    let cut = if to < line.len() { "…" } else { "" };
    Window {
        mark: (before.len(), before.len() + marked.len()),
        shown: format!("{before}{marked}{after}{cut}"),
        line: row,
        column,
    }
}
