//! `paperweight completions` and `paperweight man`: what a shell and `man` want to know of the commands.
//!
//! In: the table of commands. Out: a script for a shell on standard output, a page for each command in a
//! folder. Refused: a folder that cannot be made, pages that cannot be written.

use std::path::PathBuf;

use clap::{Command, CommandFactory as _};

use crate::files::{self, Draft, FileError};
use crate::workflow::Failure;

use super::{Arguments, Exit, out};

/// Print a script by which a shell completes commands and options
#[derive(Debug, clap::Args)]
pub(super) struct CompletionsArguments {
    /// The shell
    #[arg(value_name = "SHELL")]
    shell: clap_complete::Shell,
}

/// Write a manual page for each command
#[derive(Debug, clap::Args)]
pub(super) struct ManArguments {
    /// Into this folder, such as `~/.local/share/man/man1`
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
}

pub(super) fn completions(arguments: &CompletionsArguments) -> Result<Exit, Failure> {
    let mut script = Vec::new();
    let mut command = Arguments::command();
    let name = command.get_name().to_owned();
    clap_complete::generate(arguments.shell, &mut command, name, &mut script);
    out::rows(&script)?;
    Ok(Exit::Done)
}

pub(super) fn man(arguments: &ManArguments) -> Result<Exit, Failure> {
    files::make_folder(&arguments.out)?;
    let mut command = Arguments::command();
    command.build();
    page(&command, &arguments.out)?;
    Ok(Exit::Done)
}

/// Writes the page of a command, and those of the commands below it.
fn page(command: &Command, folder: &std::path::Path) -> Result<(), Failure> {
    let name = command.get_display_name().unwrap_or(command.get_name());
    let path = folder.join(format!("{name}.1"));
    let file = path.to_string_lossy().into_owned();
    let mut draft = Draft::create(&path, |line| line.starts_with(b".ie"))?;
    let written = clap_mangen::Man::new(command.clone()).render(&mut draft);
    written.map_err(|error| FileError::from_io(&file, &error))?;
    draft.commit()?;
    let below = command.get_subcommands();
    for command in below.filter(|command| command.get_name() != "help") {
        page(command, folder)?;
    }
    Ok(())
}
