//! Texts with places for the givens.
//!
//! In: a text of the file, or of one that is printed with it. Out: its pieces. As in Rust's own format
//! strings `{mA}` is a place and `{{` a brace. Refused: a brace that is neither, and every name but a
//! given's: an unknown printed on the paper would give the key away.

use super::model::{Assignment, Given, Piece, Template};
use super::names::{Kind, Scope};
use super::raw::Text;
use super::report::Report;
use crate::diagnostic::Span;

/// What a text is read against.
pub(crate) struct Places<'a> {
    /// The givens that could be read, in the order of their indices.
    pub(crate) givens: &'a [Given],
    /// Every name of the assignment, so that a broken given is not called unknown.
    pub(crate) scope: &'a Scope,
    /// The names under `[given]`, broken ones too.
    pub(crate) declared: &'a [&'a str],
}

/// Reads a text.
pub(crate) fn read(text: Text<'_>, places: &Places<'_>, report: &mut Report<'_>) -> Template {
    read_at(text.text, &|part| text.locate(part), places, report)
}

/// Reads a text of another file, where it begins at `start`, as one of a checked assignment's own.
pub(crate) fn read_beside(
    letters: &str,
    start: usize,
    assignment: &Assignment,
    report: &mut Report<'_>,
) -> Template {
    let givens = &assignment.givens;
    let declared: Vec<&str> = givens.iter().map(|given| given.name.as_str()).collect();
    let places = Places {
        givens,
        scope: &Scope::of(assignment),
        declared: &declared,
    };
    read_at(letters, &|part| part.shifted(start), &places, report)
}

/// Reads letters that stand in the file where `locate` says.
fn read_at(
    letters: &str,
    locate: &dyn Fn(Span) -> Span,
    places: &Places<'_>,
    report: &mut Report<'_>,
) -> Template {
    let mut pieces = Vec::new();
    let mut plain = String::new();
    let mut at = 0;
    while let Some(found) = letters[at..].find(['{', '}']) {
        plain.push_str(&letters[at..at + found]);
        let open = at + found;
        let rest = &letters[open..];
        if rest.starts_with("{{") || rest.starts_with("}}") {
            plain.push_str(&rest[..1]);
            at = open + 2;
            continue;
        }
        let inside = rest
            .strip_prefix('{')
            .and_then(|inside| inside.find(['{', '}']));
        let end = inside
            .map(|length| length + 1)
            .filter(|end| rest[*end..].starts_with('}'));
        let Some(end) = end else {
            report
                .error(locate(Span::new(open, open + 1)), "a brace stands alone")
                .help(format!("write {0}{0} for a brace in the text", &rest[..1]));
            at = open + 1;
            continue;
        };
        let name = rest[1..end].trim();
        let span = locate(Span::new(open, open + end + 1));
        if let Some(index) = places.given(name, span, report) {
            if !plain.is_empty() {
                pieces.push(Piece::Text(std::mem::take(&mut plain)));
            }
            pieces.push(Piece::Given(index));
        }
        at = open + end + 1;
    }
    plain.push_str(&letters[at..]);
    if !plain.is_empty() {
        pieces.push(Piece::Text(plain));
    }
    Template { pieces }
}

/// Reports places in a text that is printed as it stands, where they would not be filled in.
pub(crate) fn plain(text: Text<'_>, places: &Places<'_>, report: &mut Report<'_>) -> String {
    for name in places.scope.all() {
        let place = format!("{{{name}}}");
        if let Some(at) = text.text.find(&place) {
            let span = text.locate(Span::new(at, at + place.len()));
            report
                .error(
                    span,
                    format!("`{place}` is not filled in here: this text is the same for everyone"),
                )
                .help("say it without the value");
        }
    }
    text.text.to_owned()
}

impl Places<'_> {
    /// The index of the given of that name; reports why there is none.
    fn given(&self, name: &str, span: Span, report: &mut Report<'_>) -> Option<usize> {
        let index = self.givens.iter().position(|given| given.name == name);
        if index.is_some() || self.declared.contains(&name) {
            return index;
        }
        if self.scope.kind(name) == Some(Kind::Unknown) {
            report
                .error(
                    span,
                    format!("`{name}` is to be found: printing it would give the key away"),
                )
                .help("only givens are filled in");
        } else if self.scope.kind(name).is_some() {
            report
                .error(
                    span,
                    format!("`{name}` is derived and has no digits of its own to print"),
                )
                .help("only givens are filled in");
        } else {
            let help =
                |report: &Report<'_>| match report.nearest(name, self.declared.iter().copied()) {
                    Some(near) => {
                        format!("did you mean {{{near}}}? For a brace in the text write {{{{")
                    }
                    None => "braces hold the name of a given; for a brace in the text write {{"
                        .to_owned(),
                };
            report.once(span, format!("no given is called `{name}`"), help);
        }
        None
    }
}
