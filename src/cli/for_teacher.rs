//! `--for-teacher`: which papers fit another student's numbers, in a file of its own.

use std::path::PathBuf;

use crate::files::Draft;
use crate::gradebook::fits;
use crate::roster::Roster;
use crate::workflow::{self, Failure, MarkOutcome, Prepared};

/// Whether to say it, and where.
#[derive(Debug, clap::Args)]
pub(super) struct ForTeacher {
    /// Write into a file of its own whose wrong answers are another student's numbers, to the last digit: papers
    /// do get swapped, or keyed under the wrong code. For you alone; with --json lines say it too
    #[arg(long, value_name = "CSV")]
    for_teacher: Option<PathBuf>,
}

impl ForTeacher {
    /// Whether it is asked for.
    pub(super) fn is_asked(&self) -> bool {
        self.for_teacher.is_some()
    }

    /// Writes the file, if it is asked for.
    pub(super) fn put(
        &self,
        prepared: &Prepared,
        roster: &Roster,
        outcome: &MarkOutcome,
    ) -> Result<(), Failure> {
        let Some(path) = &self.for_teacher else {
            return Ok(());
        };
        let draft = Draft::create(path, fits::is_heading)?;
        let bytes = workflow::for_teacher(&prepared.plan, roster, &outcome.others);
        Ok(draft.put(&bytes)?)
    }
}
