//! Collects diagnostics about one file without growing with it.
//!
//! In: what is found, as it is found. Out: of each severity the first [`KEPT`], and how many more there are.

use super::{Diagnostic, Place, Severity};

/// Kept of each severity; a person reads no more before mending the first.
pub const KEPT: usize = 20;

/// A bounded list of diagnostics about one file.
#[derive(Clone, Debug)]
pub struct Findings {
    file: String,
    list: Vec<Diagnostic>,
    /// By severity, in its order.
    seen: [usize; 3],
}

impl Findings {
    /// An empty list for the file of this name (as the user typed it).
    pub fn new(file: &str) -> Self {
        Self {
            file: file.to_owned(),
            list: Vec::new(),
            seen: [0; 3],
        }
    }

    /// The file's name.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// Adds a diagnostic, or counts it when enough of its severity are here.
    pub fn push(&mut self, diagnostic: Diagnostic) {
        self.push_with(diagnostic.severity, |_| diagnostic);
    }

    /// The same for a diagnostic that takes work to make (from the file's name): it is made only if
    /// it is kept. It must be of the severity given.
    pub fn push_with(&mut self, severity: Severity, make: impl FnOnce(&str) -> Diagnostic) {
        let seen = &mut self.seen[severity as usize];
        *seen += 1;
        if *seen <= KEPT {
            self.list.push(make(&self.file));
        }
    }

    /// How many errors were found, kept or not.
    pub fn errors(&self) -> usize {
        self.seen[Severity::Error as usize]
    }

    /// The list in the order of finding; what was only counted is said at its end.
    pub fn into_vec(mut self) -> Vec<Diagnostic> {
        let severities = [Severity::Error, Severity::Warning, Severity::Note];
        for (seen, severity) in self.seen.into_iter().zip(severities) {
            if seen > KEPT {
                let more = seen - KEPT;
                let (noun, s) = (severity.name(), if more == 1 { "" } else { "s" });
                let message = format!("{more} more {noun}{s} of this file are not shown");
                self.list
                    .push(Diagnostic::note(&self.file, Place::File, message));
            }
        }
        self.list
    }
}
