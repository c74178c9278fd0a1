//! The built program, run as a shell runs it.

use std::path::Path;
use std::process::{Command, Stdio};

/// What a run came to.
pub(crate) struct Run {
    pub(crate) code: i32,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

/// The program, to be run in the course folder that the repository is.
pub(crate) fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_paperweight"));
    command
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env_remove("NO_COLOR")
        .stdin(Stdio::null());
    command
}

pub(crate) fn run(command: &mut Command) -> Run {
    let output = command.output().unwrap();
    Run {
        code: output.status.code().unwrap_or(-1),
        stdout: String::from_utf8(output.stdout).unwrap(),
        stderr: String::from_utf8(output.stderr).unwrap(),
    }
}

pub(crate) fn repository() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}
