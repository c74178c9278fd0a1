//! What is wrong with a file, said to a person: where, what was found, what to do.
//!
//! In go diagnostics, which every reader of files collects instead of stopping at the first, and
//! the sources that are at hand; out comes text for a terminal or a log. This is the one place that
//! draws them. Everything drawn is made safe here ([`crate::text::safe`]), so messages may quote a
//! file as it is. Nothing is refused: a span beyond its source or inside a character is moved to
//! the nearest place.

mod draw;
mod findings;

pub use draw::render;
pub use findings::{Findings, KEPT};

/// Part of a source file as byte offsets, `start` included, `end` not.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// Offset of the first byte.
    pub start: usize,
    /// Offset after the last byte.
    pub end: usize,
}

impl Span {
    /// From the first byte's offset to the one after the last.
    pub fn new(start: usize, end: usize) -> Self {
        Self { start, end }
    }

    /// The same part, seen from a text in which this one begins at `offset`.
    pub fn shifted(self, offset: usize) -> Self {
        Self {
            start: self.start + offset,
            end: self.end + offset,
        }
    }
}

/// A file as it was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// Its name as the user typed it.
    pub name: String,
    /// Its whole text.
    pub text: String,
}

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// The work cannot be done, or not for this row.
    Error,
    /// The work is done; the teacher should look at this.
    Warning,
    /// What was assumed or left aside.
    Note,
}

impl Severity {
    /// Its name in words and files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }
}

/// Where in a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Place {
    /// The file as a whole.
    File,
    /// Bytes of a file whose text is at hand: the line is drawn.
    Span(Span),
    /// A line of a file that was streamed and is no longer at hand.
    Line {
        /// Counted from 1.
        line: u64,
        /// In characters, counted from 1.
        column: Option<u64>,
    },
}

/// One finding. Text is lower case without a full stop, "expected X, found Y"; the help says what
/// to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// How much it matters.
    pub severity: Severity,
    /// The file's name as the user typed it, the key to its [`Source`].
    pub file: String,
    /// Where in it.
    pub place: Place,
    /// What was found and what was expected.
    pub message: String,
    /// What stands at the marked place; may be empty, and is drawn only with a [`Place::Span`].
    pub label: String,
    /// What to do about it.
    pub help: Option<String>,
}

impl Diagnostic {
    /// Something that must be put right.
    pub fn error(file: &str, place: Place, message: impl Into<String>) -> Self {
        Self::new(Severity::Error, file, place, message.into())
    }

    /// Something to look at.
    pub fn warning(file: &str, place: Place, message: impl Into<String>) -> Self {
        Self::new(Severity::Warning, file, place, message.into())
    }

    /// Something that was assumed or left aside.
    pub fn note(file: &str, place: Place, message: impl Into<String>) -> Self {
        Self::new(Severity::Note, file, place, message.into())
    }

    /// Line and column, counted from 1 (columns in characters), where the place has them and a span's
    /// source is among `sources`.
    pub fn line_column(&self, sources: &[&Source]) -> Option<(u64, Option<u64>)> {
        match self.place {
            Place::File => None,
            Place::Line { line, column } => Some((line, column)),
            Place::Span(span) => {
                let source = sources.iter().find(|source| source.name == self.file)?;
                let (line, column) = draw::line_column(&source.text, span);
                Some((line as u64, Some(column as u64)))
            }
        }
    }

    /// Adds what stands at the marked place.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = label.into();
        self
    }

    /// Adds what to do about it.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    fn new(severity: Severity, file: &str, place: Place, message: String) -> Self {
        Self {
            severity,
            file: file.to_owned(),
            place,
            message,
            label: String::new(),
            help: None,
        }
    }
}

/// Words longer than this are not compared: nobody mistypes them, and comparing is quadratic.
const LONGEST_WORD: usize = 64;

/// The known word that was most likely meant, for "did you mean".
///
/// A difference of case counts nothing; otherwise one edit in every three characters is forgiven, a
/// swap of neighbours being one edit: `T1` and `T2` are other names, not mistyped ones. Of equally
/// near words the first known one wins.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    near(word, known)
        .min_by_key(|&(edits, _)| edits)
        .map(|(_, candidate)| candidate)
}

/// All known words that may have been meant, by the rules of [`nearest`], with how many edits lie between.
pub fn near<'a>(
    word: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> impl Iterator<Item = (usize, &'a str)> {
    let typed = word.trim().to_lowercase();
    let length = typed.chars().count();
    let is_word = (1..=LONGEST_WORD).contains(&length);
    let known = known.into_iter().filter(move |_| is_word);
    known.filter_map(move |candidate| {
        let lower = candidate.to_lowercase();
        let longer = length.max(lower.chars().count());
        if longer > LONGEST_WORD {
            return None;
        }
        let edits = strsim::damerau_levenshtein(&typed, &lower);
        let forgiven = longer / 3;
        (edits <= forgiven).then_some((edits, candidate))
    })
}

#[cfg(test)]
mod tests;
