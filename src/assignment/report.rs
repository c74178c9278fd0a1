//! Collects what is wrong with one file.
//!
//! In: findings as they turn up, in any order. Out: diagnostics in the order of the file, so that a
//! teacher can go from top to bottom, and a last line that counts those beyond [`MOST`].

use crate::diagnostic::{Diagnostic, Place, Source, Span, nearest};
use crate::text::{counted, excerpt};

/// Findings shown of one file; a garbled file has thousands, and the first few say so as well.
const MOST: usize = 100;

/// Findings from which on nobody is asked any more what was meant: that takes its time with each, and these
/// will hardly be shown.
const ADVISED: usize = 2 * MOST;

/// Names of a list that a help may hold.
const LISTED: usize = 128;

/// Columns of what is said of a finding, and of what to do about it: a word that is quoted may be as long as the file.
const MESSAGE: usize = 240;
const HELP: usize = 4000;

/// The findings in one file.
pub(crate) struct Report<'a> {
    file: &'a str,
    list: Vec<Diagnostic>,
    /// Findings told once, by their places in `list`, and how often each was met again.
    again: Vec<(usize, usize)>,
    closing: Option<&'static str>,
}

/// A finding that was just added and may be told in more detail.
pub(crate) struct Added<'a>(&'a mut Diagnostic);

impl Added<'_> {
    /// Says what to do about it.
    pub(crate) fn help(self, help: impl Into<String>) -> Self {
        self.0.help = Some(excerpt(&help.into(), HELP).into_owned());
        self
    }

    /// Says what stands at the marked place.
    pub(crate) fn label(self, label: impl Into<String>) -> Self {
        self.0.label = label.into();
        self
    }
}

impl<'a> Report<'a> {
    /// Nothing found yet.
    pub(crate) fn new(source: &'a Source) -> Self {
        Self {
            file: &source.name,
            list: Vec::new(),
            again: Vec::new(),
            closing: None,
        }
    }

    /// Something wrong at a place.
    pub(crate) fn error(&mut self, span: Span, message: impl Into<String>) -> Added<'_> {
        self.add(Place::Span(span), message.into())
    }

    /// Something wrong that is told once, at its first place, however often it stands in the file.
    pub(crate) fn once(&mut self, span: Span, message: String, help: impl FnOnce(&Self) -> String) {
        let mut known = self.again.iter_mut();
        if let Some((at, more)) = known.find(|(at, _)| self.list[*at].message == message) {
            *more += 1;
            let first = &mut self.list[*at];
            if matches!(first.place, Place::Span(known) if span < known) {
                first.place = Place::Span(span);
            }
            return;
        }
        let help = help(self);
        if self.again.len() < ADVISED {
            self.again.push((self.list.len(), 0));
        }
        self.error(span, message).help(help);
    }

    /// Something wrong with the file as a whole.
    pub(crate) fn whole(&mut self, message: impl Into<String>) -> Added<'_> {
        self.add(Place::File, message.into())
    }

    /// Something wrong in a table: at its header, or with the file where it has none.
    pub(crate) fn table(&mut self, span: Option<Span>, message: impl Into<String>) -> Added<'_> {
        self.add(span.map_or(Place::File, Place::Span), message.into())
    }

    /// A last line behind all findings, if there are any.
    pub(crate) fn close(&mut self, message: &'static str) {
        self.closing = Some(message);
    }

    /// The known word that was probably meant; nothing once there are many findings.
    pub(crate) fn nearest<'k>(
        &self,
        word: &str,
        known: impl IntoIterator<Item = &'k str>,
    ) -> Option<&'k str> {
        let known = Some(known).filter(|_| self.len() < ADVISED)?;
        nearest(word, known)
    }

    /// How many findings there are.
    pub(crate) fn len(&self) -> usize {
        self.list.len()
    }

    /// All findings in file order, at most [`MOST`] and a line that counts the rest.
    pub(crate) fn finish(mut self) -> Vec<Diagnostic> {
        for (at, more) in self.again.drain(..).filter(|(_, more)| *more > 0) {
            if let Some(help) = &mut self.list[at].help {
                let it = if help.ends_with('?') { " It" } else { "; it" };
                *help += &format!("{it} stands in {}", counted(more, "more place"));
            }
        }
        self.list.sort_by_key(|diagnostic| match diagnostic.place {
            Place::Span(span) => span.start,
            Place::File | Place::Line { .. } => 0,
        });
        if self.list.len() > MOST {
            let more = self.list.len() - MOST;
            self.list.truncate(MOST);
            let message = format!("and {}; put these right first", counted(more, "more error"));
            self.list
                .push(Diagnostic::error(self.file, Place::File, message));
        }
        if let Some(message) = self.closing.filter(|_| !self.list.is_empty()) {
            self.list
                .push(Diagnostic::note(self.file, Place::File, message));
        }
        self.list
    }

    /// Names apart by commas, of very many the first.
    pub(crate) fn listed(names: &[impl AsRef<str>]) -> String {
        let shown: Vec<&str> = names.iter().take(LISTED).map(AsRef::as_ref).collect();
        let more = if names.len() > LISTED { ", …" } else { "" };
        shown.join(", ") + more
    }

    fn add(&mut self, place: Place, message: String) -> Added<'_> {
        let message = excerpt(&message, MESSAGE);
        self.list.push(Diagnostic::error(self.file, place, message));
        let last = self.list.len() - 1;
        Added(&mut self.list[last])
    }
}
