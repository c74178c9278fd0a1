//! `paperweight schema`: the JSON Schema of the assignment file.

use std::io::{self, Write};

use crate::assignment;
use crate::files::FileError;
use crate::workflow::Failure;

use super::Exit;

/// Print the JSON Schema of assignment files, for editors that complete and check them.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {}

pub(super) fn run(_: &Arguments) -> Result<Exit, Failure> {
    let schema = format!("{:#}\n", assignment::schema());
    let written = io::stdout().write_all(schema.as_bytes());
    match written {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(Failure::from(FileError::from_io("-", &error)))
        }
        _ => Ok(Exit::Done),
    }
}
