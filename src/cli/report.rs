//! Shows findings on standard error.

use std::io::Write;

use crate::diagnostic::{self, Source};
use crate::workflow::Findings;

/// Draws findings, each in its file.
pub(super) fn show(findings: &Findings) {
    if findings.list.is_empty() {
        return;
    }
    let sources: Vec<&Source> = findings.sources.iter().map(|source| &**source).collect();
    let drawn = diagnostic::render(&findings.list, &sources, super::is_coloured());
    let end = if drawn.ends_with('\n') { "" } else { "\n" };
    // That nobody reads messages is no failure.
    let _ = write!(std::io::stderr(), "{drawn}{end}");
}
