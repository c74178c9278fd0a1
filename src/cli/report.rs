//! What is said on standard error: findings, and what was done.

use std::io::Write;

use crate::diagnostic::{self, Source};
use crate::files::Draft;
use crate::text::safe;
use crate::workflow::{self, Failure, Findings, Printed};

/// Draws findings, each in its file.
pub(super) fn show(findings: &Findings) {
    if findings.list.is_empty() {
        return;
    }
    let sources: Vec<&Source> = findings.sources.iter().map(|source| &**source).collect();
    let drawn = diagnostic::render(&findings.list, &sources, super::is_coloured());
    let end = if drawn.ends_with('\n') { "" } else { "\n" };
    say(&format!("{drawn}{end}"));
}

/// Puts a PDF in its place and says what it is and where.
pub(super) fn put_pdf(draft: Draft, printed: Printed, what: &str) -> Result<(), Failure> {
    let name = draft.name().to_owned();
    show(&workflow::put_pdf(draft, printed)?);
    say(&format!("{what} is in {}\n", safe(&name)));
    Ok(())
}

/// Says a text on standard error. That nobody reads it is no failure.
pub(super) fn say(text: &str) {
    let _ = std::io::stderr().write_all(text.as_bytes());
}
