//! The `paperweight` program: hands its arguments to the command line and ends with its exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    ExitCode::from(paperweight::cli::run(std::env::args_os()) as u8)
}
