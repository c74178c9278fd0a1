//! What a figure may ask of those who draw it: it is drawn once for each student, and may come from anybody.
//!
//! In: the XML of a figure. Out: nothing, or what is beyond bounds, with its place. Refused: files and pictures
//! that take a class minutes to print, references that multiply what is drawn, lead back to themselves or lead
//! to one another so long that drawing them overflows the stack, elements nested so deep, references from style
//! sheets, which would have to be counted for every element, and a drawing without extent. The bounds are far
//! above what figures of problems have; those of depth are a tenth of what was seen to overflow 8 MiB.

use data_url::DataUrl;
use roxmltree::{Attribute, Document, Node};
use rustc_hash::FxHashMap;

use super::drawing::{XLINK, is_svg, opening};
use crate::assignment::Report;
use crate::diagnostic::Span;

/// Bytes of the file.
const LARGEST: usize = 1 << 20;

/// Elements within elements.
const DEEPEST: usize = 100;

/// References that lead to one another: a shape filled with a pattern that uses a symbol is two.
const LONGEST_CHAIN: usize = 20;

/// Elements that are drawn once references are followed.
const MOST_DRAWN: usize = 50_000;

/// Points of all pictures together.
const MOST_POINTS: usize = 16_000_000;

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
        let message = format!("groups stand within groups more than {DEEPEST} deep");
        report
            .error(opening(&deep), message)
            .help("ungroup what is grouped in the drawing program");
        return;
    }
    extent(&document.root_element(), report);
    sheets(document, report);
    pictures(document, report);
    references(document, report);
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
    let is_none = |length: &str| {
        let units = |letter: char| letter.is_alphabetic() || letter == '%';
        // as those read it who draw
        let number = length.trim().trim_end_matches(units).parse::<f32>();
        number.is_ok_and(|number| !(number > 0.0 && number.is_finite()))
    };
    let mut tell = |found: Attribute<'_, '_>, help: &str| {
        let (range, name) = (found.range(), found.name());
        let message = format!("`{name}` leaves the drawing no extent");
        report
            .error(Span::new(range.start, range.end), message)
            .help(help);
    };
    for name in ["width", "height"] {
        if let Some(found) = svg.attribute_node(name)
            && is_none(found.value())
        {
            tell(
                found,
                "write the size in which it is to be printed, or leave it to `viewBox`",
            );
        }
    }
    if let Some(found) = svg.attribute_node("viewBox") {
        let sides = found.value().split([' ', ',', '\t', '\r', '\n']);
        let mut sides = sides.filter(|side| !side.is_empty()).skip(2);
        if sides.any(is_none) {
            tell(
                found,
                "write left edge, top, width and height: viewBox=\"0 0 200 150\"",
            );
        }
    }
}

fn sheets(document: &Document<'_>, report: &mut Report<'_>) {
    for sheet in named(document, "style") {
        let texts = sheet.descendants().filter_map(|node| node.text());
        if texts
            .map(str::to_ascii_lowercase)
            .any(|text| text.contains("url("))
        {
            report
                .error(opening(&sheet), "a style sheet refers to other elements")
                .help("write such a reference on the shape itself: fill=\"url(#name)\"");
        }
    }
}

fn pictures(document: &Document<'_>, report: &mut Report<'_>) {
    let mut points = 0_usize;
    for image in named(document, "image") {
        for href in image.attributes().filter(is_href) {
            let data = href.value().trim();
            if !data
                .get(..5)
                .is_some_and(|start| start.eq_ignore_ascii_case("data:"))
            {
                // told by `drawing`
                continue;
            }
            let size = DataUrl::process(data)
                .ok()
                .and_then(|url| url.decode_to_vec().ok())
                .and_then(|(bytes, _)| imagesize::blob_size(&bytes).ok());
            let Some(size) = size else {
                report
                    .error(opening(&image), "the picture in the file cannot be read")
                    .help("put it in once more from the drawing program, as a PNG or a JPEG");
                continue;
            };
            points = points.saturating_add(size.width.saturating_mul(size.height));
            if points > MOST_POINTS {
                let (width, height, most) = (size.width, size.height, MOST_POINTS / 1_000_000);
                let message = format!(
                    "with this one of {width} by {height} points the pictures have more than {most} million"
                );
                report
                    .error(opening(&image), message)
                    .help("scale it down: it is drawn for each student");
                return;
            }
        }
    }
}

/// The elements of SVG of that name.
fn named<'a, 'i>(
    document: &'a Document<'i>,
    name: &'static str,
) -> impl Iterator<Item = Node<'a, 'i>> {
    let nodes = document.descendants();
    nodes.filter(move |node| is_svg(node) && node.tag_name().name() == name)
}

/// Whether it is for those who draw: what belongs to a drawing program is nobody else's.
fn is_drawn(attribute: &Attribute<'_, '_>) -> bool {
    matches!(attribute.namespace(), None | Some(XLINK))
}

fn is_href(attribute: &Attribute<'_, '_>) -> bool {
    attribute.name() == "href" && is_drawn(attribute)
}

/// What was found behind an id.
#[derive(Clone, Copy)]
enum Walked {
    /// It is being walked: who comes here again comes back to where they were.
    Open,
    /// How many references follow one another, and how many elements are drawn.
    Done(usize, usize),
}

/// A fault of references, at the id from which it was seen.
enum Astray<'a> {
    Back(&'a str),
    Long(&'a str),
}

/// Reports references that lead back, on and on, or to too much.
fn references(document: &Document<'_>, report: &mut Report<'_>) {
    let mut ids: FxHashMap<&str, Node<'_, '_>> = FxHashMap::default();
    for node in document.descendants() {
        if let Some(id) = node.attribute("id") {
            ids.entry(id).or_insert(node);
        }
    }
    let mut walk = Walk {
        ids: &ids,
        walked: FxHashMap::default(),
    };
    let at = |id: &str| ids.get(id).map_or(Span::new(0, 0), opening);
    match walk.under(&document.root_element(), 0) {
        Ok((_, drawn)) if drawn > MOST_DRAWN => {
            let message = format!("references make more than {MOST_DRAWN} elements of this");
            report
                .error(opening(&document.root_element()), message)
                .help("it is drawn for each student: use what is defined less often");
        }
        Ok(_) => {}
        Err(Astray::Back(id)) => {
            let message = format!("`{id}` leads back to itself");
            report.error(at(id), message).help(
                "nothing can be drawn with what it is made of itself: take the reference out",
            );
        }
        Err(Astray::Long(id)) => {
            let message = format!(
                "more than {LONGEST_CHAIN} references lead from one to another down to `{id}`"
            );
            report
                .error(at(id), message)
                .help("let shapes refer to what is drawn, and not to further references");
        }
    }
}

struct Walk<'d, 'a, 'i> {
    ids: &'d FxHashMap<&'a str, Node<'a, 'i>>,
    walked: FxHashMap<&'a str, Walked>,
}

impl<'a> Walk<'_, 'a, '_> {
    /// How many references follow one another from the elements under a node, and how many elements that draws.
    fn under(&mut self, node: &Node<'a, '_>, depth: usize) -> Result<(usize, usize), Astray<'a>> {
        let (mut longest, mut drawn) = (0, 0_usize);
        for inside in node.descendants().filter(Node::is_element) {
            drawn = drawn.saturating_add(1);
            for attribute in inside.attributes() {
                for id in names(&attribute) {
                    let (length, more) = self.behind(id, depth + 1)?;
                    longest = longest.max(length + 1);
                    drawn = drawn.saturating_add(more);
                }
            }
        }
        Ok((longest, drawn))
    }

    fn behind(&mut self, id: &'a str, depth: usize) -> Result<(usize, usize), Astray<'a>> {
        let Some((&id, &node)) = self.ids.get_key_value(id) else {
            return Ok((0, 0));
        };
        match self.walked.get(id) {
            Some(Walked::Open) => return Err(Astray::Back(id)),
            Some(Walked::Done(length, _)) if depth + length > LONGEST_CHAIN => {
                return Err(Astray::Long(id));
            }
            Some(Walked::Done(length, drawn)) => return Ok((*length, *drawn)),
            None if depth > LONGEST_CHAIN => return Err(Astray::Long(id)),
            None => {}
        }
        self.walked.insert(id, Walked::Open);
        let (length, drawn) = self.under(&node, depth)?;
        self.walked.insert(id, Walked::Done(length, drawn));
        Ok((length, drawn))
    }
}

/// The ids that an attribute refers to: `#name` in a reference, `url(#name)` anywhere.
fn names<'a>(attribute: &Attribute<'a, '_>) -> Vec<&'a str> {
    if !is_drawn(attribute) {
        return Vec::new();
    }
    if is_href(attribute) {
        return attribute
            .value()
            .trim()
            .strip_prefix('#')
            .into_iter()
            .collect();
    }
    let value = attribute.value();
    let lower = value.to_ascii_lowercase();
    let names = lower.match_indices("url(").filter_map(|(at, found)| {
        let inside = value[at + found.len()..].split(')').next()?;
        inside.trim_matches([' ', '"', '\'']).strip_prefix('#')
    });
    names.collect()
}
