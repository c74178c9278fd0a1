//! What holds of everything that is told: in words for people, and in JSON.

use paperweight::diagnostic::{Diagnostic, Place, Severity, Source, Span, render};
use paperweight::text::{is_hidden, json_line};

/// Text that a terminal may show: one line or several, and nothing hidden in them.
pub(crate) fn is_clean(text: &str) {
    let hidden = text.chars().find(|c| *c != '\n' && is_hidden(*c));
    assert!(hidden.is_none(), "{hidden:?} in {text:?}");
}

/// A place in a text lies within it, between characters.
pub(crate) fn is_within(span: Span, text: &str) {
    assert!(span.start <= span.end, "{span:?}");
    assert!(
        text.get(span.start..span.end).is_some(),
        "{span:?} of {} bytes",
        text.len()
    );
}

/// Whether a list holds an error, not only warnings and notes.
pub(crate) fn has_errors(list: &[Diagnostic]) -> bool {
    list.iter().any(|found| found.severity == Severity::Error)
}

/// What is wrong with some files: each has words, a place that is there, and all of it can be drawn.
pub(crate) fn findings(list: &[Diagnostic], sources: &[&Source]) {
    for found in list {
        assert!(!found.message.trim().is_empty());
        let source = sources.iter().find(|source| source.name == found.file);
        if let (Place::Span(span), Some(source)) = (found.place, source) {
            is_within(span, &source.text);
        }
    }
    is_clean(&render(list, sources, false));
    // A list of thousands is cut by nobody but the reader; a few show that it can be written.
    for found in list.iter().take(3) {
        json(&found.message);
    }
}

/// A text in JSON is the same text again, in one line that a terminal may show.
pub(crate) fn json(text: &str) {
    let line = json_line(text);
    is_clean(&line);
    assert_eq!(line.matches('\n').count(), 1);
    assert_eq!(serde_json::from_str::<String>(&line).unwrap(), text);
}
