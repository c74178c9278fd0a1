//! `paperweight schema`: the JSON Schema of the assignment file.

use crate::assignment;
use crate::workflow::Failure;

use super::{Exit, out};

/// Print the JSON Schema of assignment files, for editors that complete and check them.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {}

pub(super) fn run(_: &Arguments) -> Result<Exit, Failure> {
    out::data(&format!("{:#}\n", assignment::schema()))?;
    Ok(Exit::Done)
}
