//! What a form holds so far, as the assignment file it becomes.
//!
//! In: answers one by one. Out: the file's text, and what is wrong with one of the answers: the file is read
//! with what is there, stand-ins for what is not, and findings elsewhere are left for later.

use std::fmt::Write as _;
use std::sync::Arc;

use crate::assignment;
use crate::course::Course;
use crate::diagnostic::{Diagnostic, Place, Source, Span};
use crate::shelf::toml_string;

/// A given, an unknown or an equation: its name, and what stands behind it as TOML.
pub(super) type Named = (String, String);

/// One part.
#[derive(Clone, Debug)]
pub(super) struct Part {
    pub(super) answer: String,
    pub(super) ask: String,
    /// Digits and a point.
    pub(super) points: String,
    /// Of its own, where a percentage has no meaning.
    pub(super) tolerance: Option<String>,
}

/// The answers.
#[derive(Clone, Debug, Default)]
pub(super) struct Form {
    pub(super) title: String,
    pub(super) code: String,
    pub(super) seed: u64,
    pub(super) text: Vec<String>,
    pub(super) givens: Vec<Named>,
    pub(super) unknowns: Vec<Named>,
    pub(super) equations: Vec<Named>,
    pub(super) parts: Vec<Part>,
}

/// One of the answers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Entry {
    Title,
    Code,
    Text,
    /// The given, unknown or equation of that name.
    Given(String),
    Unknown(String),
    Equation(String),
    /// The part that asks for this.
    Part(String),
}

impl Form {
    /// The file.
    pub(super) fn file(&self) -> String {
        self.written().0
    }

    /// What is wrong with an answer.
    pub(super) fn faults(&self, entry: Entry) -> Vec<Diagnostic> {
        let (text, places) = self.stood_in().written();
        let place = places.into_iter().find(|(known, _)| *known == entry);
        let Some((_, place)) = place else {
            return Vec::new();
        };
        let source = Source {
            name: "form".to_owned(),
            text,
        };
        let mut found = assignment::read(&Arc::new(source), &Course::default()).findings;
        found.retain(|finding| match finding.place {
            Place::Span(span) => place.start <= span.start && span.end <= place.end,
            Place::File | Place::Line { .. } => false,
        });
        found
    }

    /// The same with something in the place of what is not asked yet.
    fn stood_in(&self) -> Self {
        let mut all = self.clone();
        for (name, _) in &self.unknowns {
            // It says nothing, but it names the unknown.
            let equation = toml_string(&format!("{name} = {name}"));
            all.equations.push((format!("standin_{name}"), equation));
        }
        if all.parts.is_empty() {
            all.asking_for_all();
        }
        all
    }

    /// Asks for every unknown that no part asks for.
    pub(super) fn asking_for_all(&mut self) {
        for (name, _) in &self.unknowns {
            if !self.parts.iter().any(|part| part.answer == *name) {
                self.parts.push(Part {
                    answer: name.clone(),
                    ask: "?".to_owned(),
                    points: "1".to_owned(),
                    tolerance: None,
                });
            }
        }
    }

    fn written(&self) -> (String, Vec<(Entry, Span)>) {
        let mut page = Page::default();
        page.line(
            Entry::Title,
            &format!("title = {}", toml_string(&self.title)),
        );
        page.line(Entry::Code, &format!("code  = {}", toml_string(&self.code)));
        let _ = writeln!(page.text, "seed  = {}", self.seed);
        let lines: Vec<String> = self.text.iter().map(|line| escaped(line)).collect();
        if !lines.is_empty() {
            let text = format!("text  = \"\"\"\n{}\n\"\"\"", lines.join("\n"));
            page.line(Entry::Text, &text);
        }
        page.table("given", &self.givens, Entry::Given);
        page.table("find", &self.unknowns, Entry::Unknown);
        page.table("equation", &self.equations, Entry::Equation);
        page.text += "\n[scheme]\ntolerance = \"1%\"\nfigures   = 3\n";
        for (at, part) in self.parts.iter().enumerate() {
            let mut text = format!(
                "[[part]]\nid = {}\nask = {}\nanswer = {}\npoints = {}",
                toml_string(&id(at)),
                toml_string(&part.ask),
                toml_string(&part.answer),
                part.points
            );
            if let Some(tolerance) = &part.tolerance {
                let _ = write!(text, "\ntolerance = {}", toml_string(tolerance));
            }
            page.text.push('\n');
            page.line(Entry::Part(part.answer.clone()), &text);
        }
        (page.text, page.places)
    }
}

/// A file under way, and where each answer stands in it.
#[derive(Default)]
struct Page {
    text: String,
    places: Vec<(Entry, Span)>,
}

impl Page {
    fn line(&mut self, entry: Entry, text: &str) {
        let start = self.text.len();
        self.text += text;
        self.places.push((entry, Span::new(start, self.text.len())));
        self.text.push('\n');
    }

    fn table(&mut self, name: &str, entries: &[Named], entry: fn(String) -> Entry) {
        if entries.is_empty() {
            return;
        }
        let _ = writeln!(self.text, "\n[{name}]");
        for (name, value) in entries {
            self.line(entry(name.clone()), &format!("{} = {value}", key(name)));
        }
    }
}

/// A name as a key.
fn key(name: &str) -> String {
    let bare = |letter: char| letter.is_ascii_alphanumeric() || letter == '_';
    if !name.is_empty() && name.chars().all(bare) {
        name.to_owned()
    } else {
        toml_string(name)
    }
}

/// A line of a text in three quotes.
fn escaped(line: &str) -> String {
    let quoted = toml_string(line);
    quoted[1..quoted.len() - 1].to_owned()
}

/// `a`, `b`, … and from the 27th on `p27`.
fn id(at: usize) -> String {
    let letter = u8::try_from(at).ok().filter(|at| *at < 26);
    letter.map_or_else(
        || format!("p{}", at + 1),
        |at| char::from(b'a' + at).to_string(),
    )
}
