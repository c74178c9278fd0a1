//! Prepares a sheet for marking: its plan, tried on sample draws.
//!
//! In: a checked sheet. Out: the plan and the spaces its draws come from. Refused: requirements
//! that no draw meets, equations that do not fit.

use std::sync::{Arc, OnceLock};

use crate::assignment::Sheet;
use crate::diagnosis::Mistakes;
use crate::diagnostic::{Diagnostic, Source};
use crate::plan::{self, Plan};
use crate::variant::{Allocator, NoDraw, Space, Taken};

use super::{Failure, Loaded};

/// Draws on which equations, roads and slips are tried when a plan is made.
const SAMPLES: usize = 8;

/// A sheet ready for marking.
#[derive(Clone, Debug)]
pub struct Prepared {
    /// Everything prepared once.
    pub plan: Plan,
    /// The files read.
    pub sources: Vec<Arc<Source>>,
    mistakes: OnceLock<Mistakes>,
}

impl Prepared {
    /// What may be done wrong in it, prepared when it is first asked for: that takes up to some tenths of
    /// a second.
    pub fn mistakes(&self) -> &Mistakes {
        self.mistakes.get_or_init(|| Mistakes::of(&self.plan))
    }

    /// Whether that was prepared already.
    pub fn knows_mistakes(&self) -> bool {
        self.mistakes.get().is_some()
    }

    /// The spaces of the problems' draws, in order.
    ///
    /// # Errors
    /// As [`spaces`].
    pub fn spaces(&self) -> Result<Vec<Space<'_>>, Failure> {
        spaces(&self.plan.sheet).map_err(|list| Failure::input(list, self.sources.clone()))
    }
}

/// Prepares a sheet.
///
/// # Errors
/// Draws that cannot be made, equations that do not fit.
pub fn prepare(loaded: Loaded) -> Result<Prepared, Failure> {
    let Loaded { sheet, sources } = loaded;
    let fail = |list| Failure::input(list, sources.clone());
    let samples = samples(&sheet).map_err(fail)?;
    let plan = plan::prepare(sheet, &samples).map_err(fail)?;
    Ok(Prepared {
        plan,
        sources,
        mistakes: OnceLock::new(),
    })
}

/// The spaces of a sheet's problems.
fn spaces(sheet: &Sheet) -> Result<Vec<Space<'_>>, Vec<Diagnostic>> {
    let mut spaces = Vec::new();
    let mut errors = Vec::new();
    for problem in &sheet.problems {
        match Space::new(problem) {
            Ok(space) => spaces.push(space),
            Err(error) => errors.push(error.diagnostic(problem)),
        }
    }
    if errors.is_empty() {
        Ok(spaces)
    } else {
        Err(errors)
    }
}

/// Values of the givens in SI units for a few made-up students: by draw, by problem.
fn samples(sheet: &Sheet) -> Result<Vec<Vec<Vec<f64>>>, Vec<Diagnostic>> {
    let spaces = spaces(sheet)?;
    let mut samples = vec![Vec::new(); SAMPLES];
    for (space, problem) in spaces.iter().zip(&sheet.problems) {
        let mut allocator = Allocator::new(space, Taken::default());
        for (at, sample) in samples.iter_mut().enumerate() {
            let hard = |error: NoDraw| vec![error.diagnostic(problem)];
            allocator
                .next(&format!("sample {at}"), 1, &[])
                .map_err(hard)?;
            let values = allocator.picks().iter().enumerate();
            sample.push(values.map(|(given, &pick)| space.si(given, pick)).collect());
        }
    }
    Ok(samples)
}
