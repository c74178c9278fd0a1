//! Checks an assignment or sheet over its variants.
//!
//! In: the path. Out: the report with its findings, those about figures among them. Refused: what cannot be
//! read or prepared.

use std::path::Path;
use std::sync::Arc;

use crate::assignment::Sheet;
use crate::diagnostic::Source;
use crate::lint::{self, Draws, Report};

use super::{Failure, Figures, Loaded, figures, load, prepare};

/// What `check` found, and the files to show it in.
#[derive(Clone, Debug)]
pub struct Checked {
    /// The report.
    pub report: Report,
    /// The files read.
    pub sources: Vec<Arc<Source>>,
}

/// Checks the assignment or sheet at `path`.
///
/// # Errors
/// A file that cannot be read, or whose equations or draws do not work out at all.
pub fn check(path: &Path) -> Result<Checked, Failure> {
    of_loaded(load(path)?, figures)
}

/// Checks a sheet that was read, with the figures that `drawn` finds for it.
pub(super) fn of_loaded(
    loaded: Loaded,
    drawn: impl FnOnce(&Sheet) -> Figures,
) -> Result<Checked, Failure> {
    let prepared = prepare(loaded)?;
    let spaces = prepared.spaces()?;
    let mut draws = Vec::new();
    for space in &spaces {
        draws.push(Draws::of(space).map_err(|error| {
            Failure::input(
                vec![error.diagnostic(space.assignment())],
                prepared.sources.clone(),
            )
        })?);
    }
    let drawn = drawn(&prepared.plan.sheet);
    let mut report = lint::lint(&prepared.plan, &draws, &drawn.figures);
    report.findings.extend(drawn.findings.list);
    let mut sources = prepared.sources.clone();
    sources.extend(drawn.findings.sources);
    Ok(Checked { report, sources })
}
