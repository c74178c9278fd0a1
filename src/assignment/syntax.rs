//! What is wrong with a file as TOML, in words a teacher can use.
//!
//! In: the errors of the crate that reads TOML, which name parts of its grammar. Out: findings that
//! say what stands there and what to write, and whether the rest of the file can be trusted: an
//! error inside one value leaves the others as they are, one in the structure does not.

use super::keys::{Table, list_of};
use super::raw::{Fields, Node, Value};
use super::report::Report;
use crate::diagnostic::Span;

/// How one of the crate's messages is told.
struct Said {
    /// How the crate's message begins.
    begins: &'static str,
    /// Whether the error stays within one value.
    local: bool,
    message: &'static str,
    help: &'static str,
}

const fn local(begins: &'static str, message: &'static str, help: &'static str) -> Said {
    Said {
        begins,
        local: true,
        message,
        help,
    }
}

const fn structural(begins: &'static str, message: &'static str, help: &'static str) -> Said {
    Said {
        begins,
        local: false,
        message,
        help,
    }
}

const BEHIND: &str = "the line should end behind the value";
const NUMBER: &str = "numbers are written 3, 0.5 or 2e-3; anything else stands in quotes";
const STRING: &str = "a text begins and ends with the same quotes, on one line; longer texts stand between \"\"\" and \"\"\"";

/// The first that fits is taken. A message not listed is told as the crate tells it.
const SAID: &[Said] = &[
    local("invalid basic string", "this text is not closed", STRING),
    local("invalid literal string", "this text is not closed", STRING),
    structural(
        "invalid multi-line",
        "the text that begins here is not closed",
        "end it with the same three quotes",
    ),
    local(
        "missing escaped value",
        "a backslash in a text must be followed by \\, \", n, t or u",
        "write \\\\ for a backslash, or put the text in single quotes",
    ),
    local(
        BOOLEAN,
        "this is not a value",
        "true and false are written in small letters; words stand in quotes",
    ),
    local("invalid mantissa", "this is not a number", NUMBER),
    local("invalid fraction", "this is not a number", NUMBER),
    local("invalid exponent", "this is not a number", NUMBER),
    local(
        "unexpected leading zero",
        "a number may not begin with a zero",
        NUMBER,
    ),
    local("unexpected sign", "this is not a number", NUMBER),
    local("redundant numeric sign", "this is not a number", NUMBER),
    local(
        "`_` may only go between digits",
        "this is not a number",
        NUMBER,
    ),
    local("radix must be lowercase", "this is not a number", NUMBER),
    local("integers with a radix", "this is not a number", NUMBER),
    local(
        "redundant integer number prefix",
        "this is not a number",
        NUMBER,
    ),
    local("extra comma", "there is a comma too many", "take it out"),
    local(
        "missing comma",
        "a comma is missing here",
        "values in a list or between braces are separated by commas",
    ),
    structural(
        "key with no value",
        "expected `=` and a value",
        "a line reads `key = value`; a key with Greek letters, blanks or signs stands in quotes: \"θ\" = \"0.5 rad\"",
    ),
    structural(
        "unexpected key or value",
        BEHIND,
        "take out what stands behind it: no comma or semicolon; a remark begins with #; quotes within a text are written \\\"; numbers have a decimal point",
    ),
    structural(
        "missing opening quote",
        "the quotes before this text are missing",
        "write \"...\" around it",
    ),
    structural(
        "missing assignment",
        "a `=` is missing here",
        "between braces each entry reads key = value",
    ),
    structural("extra assignment", "there is a `=` too many", "take it out"),
    structural("extra `=`", "there is a `=` too many", "take it out"),
    structural(
        "unexpected content",
        "something stands here that belongs nowhere",
        "take it out, or begin it with # as a remark",
    ),
    local(
        "too few unicode value digits",
        "\\u takes four digits",
        "write the letter itself",
    ),
    structural(
        "missing value for key",
        "a value is missing",
        "write `key = value`",
    ),
    structural(
        "unquoted keys cannot be empty",
        "a key is missing",
        "a line reads `key = value`, a header `[name]`",
    ),
    structural(
        "unclosed table",
        "this header is not closed",
        "write [name]",
    ),
    structural(
        "unclosed array table",
        "this header is not closed",
        "write [[name]]",
    ),
    structural(
        "unclosed array",
        "the list that begins here is not closed",
        "end it with `]`",
    ),
    structural(
        "unclosed inline table",
        "the brace that opens here is not closed",
        "end it with `}`",
    ),
    structural(
        "missing inline table opening",
        "`}` has no place here",
        "is the `]` of a list missing before it?",
    ),
    structural(
        "missing array opening",
        "`]` has no place here",
        "is a `}` missing before it?",
    ),
    structural(
        "missing key for inline table element",
        "expected a key here",
        "is a `}` missing above?",
    ),
    structural(
        KEY,
        "this key must stand in quotes",
        "keys of plain letters a to z, digits, `-` and `_` stand alone, others in quotes: \"θ\" = { fixed = \"30 deg\" }",
    ),
    structural(
        "cannot recurse further",
        "values are nested too deeply",
        "no key of an assignment needs more than three levels",
    ),
    structural(
        "recursion limit",
        "this key has too many dots",
        "no key of an assignment needs more than three levels",
    ),
    structural(
        "unexpected `=` in array",
        "`=` has no place in a list",
        "is the `]` of a list missing above?",
    ),
    local(
        "carriage return must be followed by newline",
        "there is a stray carriage return",
        "save the file with ordinary line ends",
    ),
];

/// Errors looked into: for each of them the whole file is searched for the value that it spoils.
const MOST: usize = 500;

/// Reports all errors; whether the rest of the file can be trusted.
///
/// Behind a structural error the crate's further complaints are its consequences: only the first one
/// is told, with what stands before it.
pub(crate) fn report(
    errors: &[toml::de::Error],
    fields: &Fields,
    text: &str,
    report: &mut Report<'_>,
) -> bool {
    // Of brackets left open only the innermost, which the crate names first, is the cause.
    let mut open = errors
        .iter()
        .filter(|error| error.message().starts_with("unclosed "))
        .skip(1);
    let consequence = open.next();
    let mut told: Vec<Told<'_>> = errors
        .iter()
        .take_while(|error| consequence.is_none_or(|other| !std::ptr::eq(*error, other)))
        .take(MOST)
        .map(|error| Told::of(error, fields, text))
        .collect();
    told.sort_by_key(|told| (told.span.start, told.local));
    rejoin(&mut told, text);
    // In a file with the line ends of Windows the crate meets the end of an open string twice.
    told.dedup_by(|next, told| next.span.start == told.span.start && next.words() == told.words());
    let first = told.iter().position(|told| !told.local);
    let shown = first.map_or(told.len(), |first| first + 1);
    for told in &told[..shown] {
        told.report(text, report);
    }
    let is_rest_open = first.is_some() || errors.len() > MOST;
    if is_rest_open {
        report.close("the rest of the file is checked once this can be read");
    }
    !is_rest_open
}

/// An error of the crate, its place and how it is told.
struct Told<'a> {
    /// The crate's own words.
    message: &'a str,
    /// Where the crate saw it.
    at: usize,
    span: Span,
    local: bool,
    /// A value that stands without quotes.
    is_unquoted: bool,
    said: Option<&'static Said>,
}

impl<'a> Told<'a> {
    fn of(error: &'a toml::de::Error, fields: &Fields, text: &str) -> Self {
        let place = error.span().unwrap_or_default();
        let span = Span::new(place.start, place.end);
        let message = error.message();
        // Whatever stands below a part that was taken for a table is said to stand there a second time.
        let own = message.starts_with(DUPLICATE) && listed(span, text).is_none();
        let said = SAID.iter().find(|said| message.starts_with(said.begins));
        // Of a value that is wrong or missing something at its end, its beginning tells more.
        let span = match said.map(|said| said.begins) {
            Some("unclosed array") => opened(fields, span, '[', text),
            Some("unclosed inline table") => opened(fields, span, '{', text),
            Some(begins) if begins.starts_with("invalid ") => {
                scalar(fields, span).map_or(span, |value| first_line(value, text))
            }
            _ => span,
        };
        // What begins as true and false do is taken for one of them.
        let found = text.get(span.start..span.end).unwrap_or_default();
        let is_flag = ["true", "false"]
            .iter()
            .any(|flag| found.eq_ignore_ascii_case(flag));
        let is_unquoted = message.starts_with(UNQUOTED) || message.starts_with(BOOLEAN) && !is_flag;
        Self {
            message,
            at: place.start,
            span,
            local: is_unquoted || said.map_or(own, |said| said.local),
            is_unquoted,
            said,
        }
    }

    /// What is said of it, or the crate's own words.
    fn words(&self) -> &str {
        self.said.map_or(self.message, |said| said.message)
    }

    fn report(&self, text: &str, report: &mut Report<'_>) {
        let found = text.get(self.span.start..self.span.end).unwrap_or_default();
        if self.message.starts_with(DUPLICATE) {
            duplicate(self.span, text, report);
        } else if self.is_unquoted {
            unquoted(self.span, found, report);
        } else if let (Some(said), Some((message, help))) = (self.said, sign_for_another(found))
            && said.begins == KEY
        {
            report.error(self.span, message).help(help);
        } else if let Some(said) = self.said {
            report.error(self.span, said.message).help(said.help);
        } else {
            let message = format!("this line cannot be read: {}", self.message);
            report
                .error(self.span, message)
                .help("look here and in the line above for a quote, a bracket or a `=` left out");
        }
    }
}

const DUPLICATE: &str = "duplicate key";
const UNQUOTED: &str = "string values must be quoted";
const BOOLEAN: &str = "invalid boolean";
const KEY: &str = "invalid unquoted key";

/// Quotes as word processors set them.
const CURLY: [char; 8] = ['“', '”', '„', '‟', '«', '»', '‘', '’'];

/// Puts a value without quotes together again that the crate cut in two at a comma or a `=`: it goes on to
/// the end of its line, or of its entry between braces. What the crate says of the rest is no fault of its own.
fn rejoin(told: &mut Vec<Told<'_>>, text: &str) {
    let mut rests = Vec::new();
    for at in 0..told.len() {
        let Span { start, end } = told[at].span;
        let rest = text.get(end..).unwrap_or_default();
        let line = rest.split(['\n', '\r']).next().unwrap_or_default();
        let next = end + line.len() - line.trim_start().len();
        let ends: &[char] = match told.iter().find(|other| other.at == next) {
            _ if !told[at].is_unquoted => continue,
            Some(cut) if cut.message.starts_with("unexpected key or value") => &['#'],
            Some(cut) if cut.message.starts_with("extra assignment") => &['#', ',', '}'],
            _ => continue,
        };
        let value = line.split(ends).next().unwrap_or_default().trim_end();
        told[at].span = Span::new(start, end + value.len());
        rests.push(next..=end + line.len());
    }
    told.retain(|told| !rests.iter().any(|rest| rest.contains(&told.at)));
}

/// What the sign stands for that was taken for a key.
fn sign_for_another(found: &str) -> Option<(&'static str, &'static str)> {
    match found {
        ":" => Some(("expected `=`, found `:`", "write `key = value`")),
        _ if found.starts_with("//") => Some((
            "expected a key, found `//`",
            "a remark begins with #: write # in place of it",
        )),
        _ => None,
    }
}

/// The table of a list whose header stands at `span` with one bracket on each side.
fn listed(span: Span, text: &str) -> Option<&'static Table> {
    let before = text.get(..span.start)?;
    let line = before.rfind('\n').map_or(0, |at| at + 1);
    let header = text.get(line..)?.lines().next()?.trim_start();
    let header = header.split_once(']')?.0;
    let name = header.strip_prefix('[')?.trim();
    list_of(name)
}

/// What is told of a table that stands where a list of them should.
pub(super) fn single(table: &Table) -> (String, String) {
    let Table { name, header, .. } = table;
    (
        format!("{name} begins with two brackets on each side"),
        format!("write {header}, each time"),
    )
}

fn duplicate(span: Span, text: &str, report: &mut Report<'_>) {
    if let Some(table) = listed(span, text) {
        let (message, help) = single(table);
        report.error(span, message).help(help);
        return;
    }
    let key = text.get(span.start..span.end).unwrap_or_default();
    report
        .error(span, format!("`{key}` stands here a second time"))
        .label("second")
        .help("keep one of the two; of several parts, each begins with [[part]]");
}

fn unquoted(span: Span, found: &str, report: &mut Report<'_>) {
    let is_number =
        |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let is_fraction = found.contains('/') && found.bytes().all(|b| b.is_ascii_digit() || b == b'/');
    if found.is_empty() {
        report
            .error(span, "a value is missing behind `=`")
            .help("write `key = value`");
    } else if is_fraction {
        report
            .error(span, format!("`{found}` is not a number"))
            .help("fractions are not read here: write 0.333 for 1/3");
    } else if let Some(number) = found
        .strip_suffix([';', ','])
        .filter(|text| is_number(text))
    {
        report
            .error(span, BEHIND)
            .help(format!("write {number} alone"));
    } else if found.starts_with(CURLY) || found.ends_with(CURLY) {
        let plain = found.trim_matches(CURLY).trim_matches('"');
        report
            .error(span, "these quotes are a word processor's, not those of a text file")
            .help(format!("write \"{plain}\", with the straight quotes of the keyboard; a plain text editor keeps them straight"));
    } else {
        let plain = found.trim_matches('"');
        let written = match plain.contains('"') && !plain.contains('\'') {
            true => format!("write '{found}'"),
            false => format!("write \"{plain}\""),
        };
        report
            .error(span, format!("`{found}` must stand in quotes"))
            .help(written);
    }
}

/// The scalar value that ends where an error was found, or holds it.
fn scalar(fields: &Fields, error: Span) -> Option<Span> {
    fn within(node: &Node, error: Span) -> Option<Span> {
        match &node.value {
            Value::Table(fields) => scalar(fields, error),
            Value::List(nodes) => nodes.iter().find_map(|node| within(node, error)),
            _ => (node.span.start <= error.start && error.start <= node.span.end)
                .then_some(node.span),
        }
    }
    fields
        .entries
        .iter()
        .find_map(|field| within(&field.node, error))
}

/// The first line of the innermost list or table that reaches to where an error was found.
fn opened(fields: &Fields, error: Span, bracket: char, text: &str) -> Span {
    fn within(node: &Node, error: Span, bracket: char, text: &str) -> Option<Span> {
        let inner = match &node.value {
            Value::Table(fields) => fields
                .entries
                .iter()
                .find_map(|field| within(&field.node, error, bracket, text)),
            Value::List(nodes) => nodes
                .iter()
                .find_map(|node| within(node, error, bracket, text)),
            _ => None,
        };
        let span = node.span;
        let begins = text
            .get(span.start..)
            .is_some_and(|rest| rest.starts_with(bracket));
        let reaches = span.start < error.start && error.start <= span.end;
        inner.or((begins && reaches).then_some(span))
    }
    let nodes = fields.entries.iter().map(|field| &field.node);
    let span = nodes
        .filter_map(|node| within(node, error, bracket, text))
        .next_back();
    span.map_or(error, |span| first_line(span, text))
}

fn first_line(value: Span, text: &str) -> Span {
    let written = text.get(value.start..value.end).unwrap_or_default();
    let length = written.find(['\n', '\r']).unwrap_or(written.len());
    Span::new(value.start, value.start + length)
}
