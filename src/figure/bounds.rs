//! What a figure may ask of those who draw it: it is drawn once for each student, and may come from anybody.
//!
//! In: the XML of a figure. Out: nothing, or what is beyond bounds, with its place. Refused: files, pictures and
//! blurs that take a class minutes to print, elements and references so deep that drawing them overflows the
//! stack, a drawing without extent. The bounds are far above what figures of problems have; those of depth are a
//! tenth of what was seen to overflow 8 MiB.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use roxmltree::{Document, Node};
use rustc_hash::FxHashMap;

use super::drawing::{is_svg, opening};
use crate::assignment::Report;
use crate::diagnostic::Span;

/// Bytes of the file.
const LARGEST: usize = 1 << 20;

/// Elements within elements.
const DEEPEST: usize = 100;

/// References that lead to one another: a shape filled with a pattern that uses a symbol is two.
const LONGEST_CHAIN: usize = 20;

/// Points of a picture.
const MOST_POINTS: usize = 16_000_000;

/// Standard deviation of a blur, in units of the drawing.
const WIDEST_BLUR: f64 = 100.0;

/// Reports what is beyond the bounds.
pub(super) fn check(document: &Document<'_>, report: &mut Report<'_>) {
    let size = document.input_text().len();
    if size > LARGEST {
        let mebibytes = size.div_ceil(LARGEST);
        let message = format!("expected a figure of 1 MiB at most, found up to {mebibytes} MiB");
        report
            .whole(message)
            .help("it is drawn for each student: scale pictures down, or draw with fewer points");
        return;
    }
    if let Some(deep) = too_deep(document) {
        report
            .error(
                opening(&deep),
                format!("elements nest deeper than {DEEPEST}"),
            )
            .help("ungroup what is grouped in the drawing program");
        return;
    }
    extent(&document.root_element(), report);
    for node in document.descendants().filter(is_svg) {
        match node.tag_name().name() {
            "image" => picture(&node, report),
            "feGaussianBlur" => blur(&node, report),
            _ => {}
        }
    }
    chains(document, report);
}

/// The first element that stands too deep. Walked without recursion, for that is what is in doubt.
fn too_deep<'a, 'i>(document: &'a Document<'i>) -> Option<Node<'a, 'i>> {
    let mut depths: FxHashMap<_, usize> = FxHashMap::default();
    document.descendants().find(|node| {
        let above = node.parent().and_then(|parent| depths.get(&parent.id()));
        let depth = above.map_or(0, |depth| depth + 1);
        depths.insert(node.id(), depth);
        node.is_element() && depth > DEEPEST
    })
}

/// A drawing of no width or height shows nothing, and cannot be laid out.
fn extent(svg: &Node<'_, '_>, report: &mut Report<'_>) {
    let is_none = |number: &str| {
        let digits =
            number.trim_end_matches(|letter: char| letter.is_alphabetic() || letter == '%');
        let number = digits.trim().parse::<f64>();
        number.is_ok_and(|number| !(number > 0.0 && number.is_finite()))
    };
    for name in ["width", "height"] {
        if let Some(found) = svg.attribute_node(name)
            && is_none(found.value())
        {
            let range = found.range();
            report
                .error(
                    Span::new(range.start, range.end),
                    format!("`{name}` leaves the drawing no extent"),
                )
                .help("write the size in which it is to be printed, or leave it to `viewBox`");
        }
    }
    if let Some(found) = svg.attribute_node("viewBox") {
        let sides = found
            .value()
            .split([' ', ','])
            .filter(|side| !side.is_empty());
        if sides.skip(2).any(is_none) {
            let range = found.range();
            report
                .error(
                    Span::new(range.start, range.end),
                    "`viewBox` leaves the drawing no extent",
                )
                .help("write left edge, top, width and height: viewBox=\"0 0 200 150\"");
        }
    }
}

fn picture(node: &Node<'_, '_>, report: &mut Report<'_>) {
    let mut references = node.attributes().filter(|found| found.name() == "href");
    let Some(data) = references.find_map(|found| found.value().split_once(";base64,")) else {
        return;
    };
    let bytes: Vec<u8> = data
        .1
        .bytes()
        .filter(|byte| !byte.is_ascii_whitespace())
        .collect();
    let Ok(bytes) = STANDARD.decode(bytes) else {
        return;
    };
    if let Ok(size) = imagesize::blob_size(&bytes)
        && size.width.saturating_mul(size.height) > MOST_POINTS
    {
        let (width, height, most) = (size.width, size.height, MOST_POINTS / 1_000_000);
        report
            .error(
                opening(node),
                format!(
                    "a picture of {width} by {height} points; at most {most} million are taken"
                ),
            )
            .help("scale it down: it is drawn for each student");
    }
}

fn blur(node: &Node<'_, '_>, report: &mut Report<'_>) {
    let wide = |found: &str| {
        let mut numbers = found
            .split([' ', ','])
            .filter_map(|part| part.parse::<f64>().ok());
        numbers.any(|number| number > WIDEST_BLUR)
    };
    if node.attribute("stdDeviation").is_some_and(wide) {
        report
            .error(opening(node), format!("a blur wider than {WIDEST_BLUR}"))
            .help("blur less, or leave the blur out: it is drawn for each student");
    }
}

/// Reports elements from which references lead to one another too often.
fn chains(document: &Document<'_>, report: &mut Report<'_>) {
    let mut known: FxHashMap<&str, Node<'_, '_>> = FxHashMap::default();
    for node in document.descendants() {
        if let Some(id) = node.attribute("id") {
            known.entry(id).or_insert(node);
        }
    }
    let mut lengths: FxHashMap<&str, Option<usize>> = FxHashMap::default();
    let mut ids: Vec<&str> = known.keys().copied().collect();
    ids.sort_unstable();
    for id in ids {
        if length(id, &known, &mut lengths, 0) >= LONGEST_CHAIN {
            let at = known.get(id).map_or(Span::new(0, 0), opening);
            report
                .error(
                    at,
                    format!("more than {LONGEST_CHAIN} references lead from here to one another"),
                )
                .help("let shapes refer to what is drawn, and not to further references");
            return;
        }
    }
}

/// How many references follow one another from what is under `id`; those beyond the bound are not followed, nor
/// those that lead back, which nobody draws.
fn length<'a>(
    id: &'a str,
    known: &FxHashMap<&'a str, Node<'a, '_>>,
    lengths: &mut FxHashMap<&'a str, Option<usize>>,
    depth: usize,
) -> usize {
    if depth > LONGEST_CHAIN {
        return LONGEST_CHAIN;
    }
    match lengths.get(id) {
        Some(Some(length)) => return *length,
        Some(None) => return 0,
        None => {}
    }
    let Some(node) = known.get(id) else {
        return 0;
    };
    lengths.insert(id, None);
    let mut longest = 0;
    for inside in node.descendants().filter(Node::is_element) {
        for attribute in inside.attributes() {
            for other in references(attribute.value()) {
                longest = longest.max(1 + length(other, known, lengths, depth + 1));
            }
        }
    }
    lengths.insert(id, Some(longest));
    longest
}

/// The ids that an attribute refers to: `#name`, or `url(#name)` anywhere in it.
fn references(value: &str) -> impl Iterator<Item = &str> {
    let whole = value.trim().strip_prefix('#');
    let pieces = value.split("url(").skip(1).filter_map(|rest| {
        let inside = rest.split(')').next()?;
        inside.trim_matches([' ', '"', '\'']).strip_prefix('#')
    });
    whole.into_iter().chain(pieces)
}
