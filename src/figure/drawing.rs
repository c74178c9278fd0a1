//! A figure may draw, and nothing else.
//!
//! In: the XML of a figure. Out: nothing, or what is wrong, with its place. Let in are SVG's elements
//! that draw or hold what is drawn, and elements of other vocabularies, which drawing programs leave
//! behind and no one draws. Refused: scripts and handlers, what moves, pages inside the figure, and
//! every reference to anything outside the file: a figure must look the same on every machine, and
//! printing it must not fetch anything.

use roxmltree::{Attribute, Document, Error, Node};

use crate::assignment::Report;
use crate::diagnostic::{Source, Span, nearest};

const SVG: &str = "http://www.w3.org/2000/svg";
pub(super) const XLINK: &str = "http://www.w3.org/1999/xlink";
const XML: &str = "http://www.w3.org/XML/1998/namespace";
const XHTML: &str = "http://www.w3.org/1999/xhtml";

/// What may stand in a figure (SVG 2, appendix on elements, without what runs, moves or embeds, and without
/// filters, of which a few can take minutes).
const ELEMENTS: [&str; 28] = [
    "a",
    "circle",
    "clipPath",
    "defs",
    "desc",
    "ellipse",
    "g",
    "image",
    "line",
    "linearGradient",
    "marker",
    "mask",
    "metadata",
    "path",
    "pattern",
    "polygon",
    "polyline",
    "radialGradient",
    "rect",
    "stop",
    "style",
    "svg",
    "symbol",
    "text",
    "textPath",
    "title",
    "tspan",
    "use",
];

/// Pictures that may stand in the file itself.
const PICTURES: [&str; 4] = [
    "data:image/png;",
    "data:image/jpeg;",
    "data:image/gif;",
    "data:image/webp;",
];

/// Whether it is an element of SVG.
pub(super) fn is_svg(node: &Node<'_, '_>) -> bool {
    node.is_element() && node.tag_name().namespace() == Some(SVG)
}

/// Reports whatever could do more than draw.
pub(super) fn check(document: &Document<'_>, report: &mut Report<'_>) {
    let root = document.root_element();
    if !is_svg(&root) || root.tag_name().name() != "svg" {
        let message = match root.tag_name().name() {
            "svg" => {
                "<svg> does not say that it is SVG: its xmlns is missing or another".to_owned()
            }
            other => format!("expected <svg>, found <{other}>"),
        };
        report.error(opening(&root), message).help(format!(
            "an SVG figure begins with <svg xmlns=\"{SVG}\" viewBox=\"0 0 200 150\">"
        ));
        return;
    }
    for node in document.descendants() {
        if let Some(instruction) = node.pi() {
            let message = format!("<?{} …?> refers to something else", instruction.target);
            let range = node.range();
            report
                .error(Span::new(range.start, range.end), message)
                .help("take it out: a figure holds all that it needs");
        }
        if node.is_element() {
            element(&node, report);
        }
    }
}

fn element(node: &Node<'_, '_>, report: &mut Report<'_>) {
    let name = node.tag_name().name();
    let at = opening(node);
    if node.tag_name().namespace() == Some(XHTML) {
        report
            .error(at, format!("<{name}> is part of a web page"))
            .help("a figure holds drawn shapes and <text> alone");
        return;
    }
    if !is_svg(node) {
        return;
    }
    if !ELEMENTS.contains(&name) {
        let help = match nearest(name, ELEMENTS) {
            Some(near) => format!("did you mean <{near}>?"),
            None => "take it out: a figure holds shapes and lettering, and does nothing but draw"
                .to_owned(),
        };
        report
            .error(at, format!("<{name}> may not stand in a figure"))
            .help(help);
        return;
    }
    for attribute in node.attributes() {
        self::attribute(node, &attribute, report);
    }
    if name == "style" {
        for text in node.children().filter(Node::is_text) {
            let range = text.range();
            let span = Span::new(range.start, range.end);
            style(text.text().unwrap_or_default(), span, report);
        }
    }
}

fn attribute(node: &Node<'_, '_>, attribute: &Attribute<'_, '_>, report: &mut Report<'_>) {
    // What belongs to a drawing program is no one else's.
    if !matches!(attribute.namespace(), None | Some(XLINK | XML)) {
        return;
    }
    let name = attribute.name();
    let value = attribute.value();
    let range = attribute.range();
    let span = Span::new(range.start, range.end);
    if name == "filter" && value.trim() != "none" {
        filtered(span, report);
        return;
    }
    let beginning = name.get(..2);
    if name.len() > 2 && beginning.is_some_and(|two| two.eq_ignore_ascii_case("on")) {
        report
            .error(span, format!("`{name}` runs a script"))
            .help("take it out: a figure does nothing but draw");
    } else if name == "base" {
        report
            .error(span, "`xml:base` leads out of the file")
            .help("take it out: a figure holds all that it needs");
    } else if matches!(name, "href" | "src") {
        let value = value.trim();
        let inside = value.starts_with('#');
        let is_image = node.tag_name().name() == "image";
        let lower = value.get(..24).unwrap_or(value).to_ascii_lowercase();
        let picture = is_image && PICTURES.iter().any(|kind| lower.starts_with(kind));
        if !inside && !picture {
            let help = if is_image {
                "put the picture into the file (href=\"data:image/png;base64,…\"), or draw it"
            } else {
                "refer only to what stands in the same file: href=\"#name\""
            };
            report
                .error(
                    span,
                    format!("`{name}` refers to something outside the figure"),
                )
                .help(help);
        }
    } else {
        style(value, span, report);
    }
}

fn filtered(span: Span, report: &mut Report<'_>) {
    report
        .error(span, "filters, such as blurs and shadows, are not taken")
        .help(
            "take the effect out in the drawing program: a few of them can take minutes to print",
        );
}

/// Reports what leads out of the file in a style sheet or an attribute such as `fill`.
fn style(text: &str, span: Span, report: &mut Report<'_>) {
    let lower = text.to_ascii_lowercase();
    let mut filters = lower.split("filter").skip(1).map(str::trim_start);
    let is_set = |rest: &str| {
        let value = rest.strip_prefix(':').map(str::trim_start);
        value.is_some_and(|value| !value.starts_with("none"))
    };
    if filters.any(is_set) {
        filtered(span, report);
    }
    // A backslash could spell any of the words below.
    let outside = lower.contains("@import")
        || lower.contains("@font-face")
        || lower.contains("image-set(")
        || lower.contains("src(")
        || (lower.contains('\\') && lower.contains('('))
        || lower.match_indices("url(").any(|(at, found)| {
            let inside = lower[at + found.len()..].trim_start();
            !inside.trim_start_matches(['"', '\'']).starts_with('#')
        });
    if outside {
        report
            .error(span, "this style refers to something outside the figure")
            .help("refer only to what stands in the same file: url(#name)");
    }
}

/// The name in an element's opening tag.
pub(super) fn opening(node: &Node<'_, '_>) -> Span {
    let range = node.range();
    let text = &node.document().input_text()[range.clone()];
    let end = text
        .find(|letter: char| letter.is_whitespace() || letter == '>' || letter == '/')
        .unwrap_or(text.len());
    Span::new(range.start, range.start + end)
}

/// Reports a file that is not well-formed XML.
pub(super) fn not_xml(error: &Error, source: &Source, report: &mut Report<'_>) {
    let text = &source.text;
    if text.trim().is_empty() {
        report
            .whole("the figure is empty")
            .help("draw something, or take `figure` out of the assignment");
        return;
    }
    let position = error.pos();
    let (message, help) = match error {
        Error::DtdDetected => {
            let at = text.find("<!DOCTYPE").unwrap_or(0);
            report
                .error(Span::new(at, at), "a figure takes no document type")
                .help("delete <!DOCTYPE …>, up to and with its last >; drawing programs work without it");
            return;
        }
        Error::UnexpectedCloseTag(expected, found, _) => (
            format!("<{expected}> is not closed before </{found}>"),
            format!("</{expected}> has to come before </{found}>"),
        ),
        Error::UnknownNamespace(prefix, _) => (
            format!("nothing says what `{prefix}:` means"),
            format!("add xmlns:{prefix}=\"…\" to <svg>, or take out what begins with {prefix}:"),
        ),
        Error::UnclosedRootNode => (
            "<svg> is not closed".to_owned(),
            "the last tags are not closed; is the file cut off?".to_owned(),
        ),
        Error::UnknownEntityReference(..) | Error::MalformedEntityReference(_) => (
            "`&` begins the name of a letter, and none is known here".to_owned(),
            "write &amp; for an ampersand, and the letter itself instead of its name".to_owned(),
        ),
        _ => {
            // The place is drawn, and need not stand in the words.
            let words = error.to_string().replace(&format!(" at {position}"), "");
            (
                format!("the figure cannot be read as SVG: {words}"),
                "save it again from the drawing program as a plain SVG, or mend it here".to_owned(),
            )
        }
    };
    match offset(text, position.row, position.col) {
        Some(at) if !matches!(error, Error::UnclosedRootNode) => {
            let end = text[at..].chars().next().map_or(0, char::len_utf8);
            report.error(Span::new(at, at + end), message).help(help);
        }
        _ => {
            report.whole(message).help(help);
        }
    }
}

/// The byte at a line and a character of it, both from 1.
fn offset(text: &str, row: u32, column: u32) -> Option<usize> {
    let row = usize::try_from(row).ok()?.checked_sub(1)?;
    let column = usize::try_from(column).ok()?.checked_sub(1)?;
    let start = match row {
        0 => 0,
        _ => text.match_indices('\n').nth(row - 1)?.0 + 1,
    };
    let line = &text[start..];
    let within = line.char_indices().nth(column);
    Some(start + within.map_or(line.len(), |(at, _)| at))
}
