//! `paperweight tour`: a teacher's whole job on a made-up class, step by step.
//!
//! In: a folder, keys of someone who reads along. Out: each step's command as one would type it, its output, cut
//! to what matters, and what happened. The commands are run by this same program as they are shown, each on
//! its own, so that nothing here can tell another story than they do.

mod steps;

use std::io::{self, IsTerminal as _, Read as _};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::diagnostic::{Diagnostic, Place};
use crate::files::{self, FileError};
use crate::text;
use crate::workflow::{self, Failure, Findings};

use super::{Exit, out};
use steps::{Act, STEPS, Shown, Step, WELCOME, WHAT_LIES_THERE, WHAT_NEXT};

/// Walk through the whole job with a made-up class, in a folder of its own
///
/// Check a problem, hand it out, mark a stack of answers, see why, have the last word, give an absent student
/// another paper, fill a gradebook, see what to teach again. Every step shows the command that one
/// would type and does just that. A folder that holds anything else is refused, and nothing outside it
/// is touched.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The folder, by its way from the working folder, which is made; one of an earlier tour is made anew
    #[arg(long, value_name = "DIR", default_value = "paperweight-tour")]
    folder: PathBuf,
    /// Run through without waiting for Enter after each step
    #[arg(long)]
    yes: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let folder = &arguments.folder;
    workflow::lay_out_tour(folder)?;
    let waits = !arguments.yes && io::stdin().is_terminal() && io::stdout().is_terminal();
    let name = text::safe(&folder.to_string_lossy()).into_owned();
    out::data(&format!("A tour, in the folder {name}\n\n{WELCOME}\n"))?;
    for (at, step) in STEPS.iter().enumerate() {
        if waits && !goes_on()? {
            out::data(&format!(
                "Left after step {at}; what was done so far is in {name}.\n"
            ))?;
            return Ok(Exit::Done);
        }
        let head = format!("{} of {}  {}", at + 1, STEPS.len(), step.heading);
        out::data(&format!("\n{head}\n{}\n", "-".repeat(text::width(&head))))?;
        show(step, folder)?;
    }
    let desk = format!("  cd {}\n  paperweight", typed_word(&name));
    out::data(&format!(
        "\nThat was all. What lies in {name} now:\n\n{WHAT_LIES_THERE}\n\n\
         The desk opens on it with\n\n{desk}\n\n{WHAT_NEXT}\n"
    ))?;
    Ok(Exit::Done)
}

/// Waits for Enter; whether to go on.
fn goes_on() -> Result<bool, Failure> {
    out::data("\nEnter goes on, q stops: ")?;
    let mut line = Vec::new();
    for byte in io::stdin().lock().bytes() {
        match byte.map_err(|error| FileError::from_io(out::NAME, &error))? {
            b'\n' => return Ok(!line.trim_ascii().eq_ignore_ascii_case(b"q")),
            byte => line.push(byte),
        }
    }
    Ok(false)
}

fn show(step: &Step, folder: &Path) -> Result<(), Failure> {
    if !step.before.is_empty() {
        out::data(&format!("{}\n", step.before))?;
    }
    match step.act {
        Act::Run(arguments, ref shown) => {
            out::data(&format!("\n{}\n", typed(arguments)))?;
            let told = done(arguments, folder)?;
            match shown {
                Shown::All => out::data(&told)?,
                Shown::Pieces(begin) => out::data(&pieces(&told, begin))?,
            }
        }
        Act::Look(file, lines) => {
            let source = files::read_source(&folder.join(file))?;
            let mut seen = format!("\n{file} begins\n");
            for line in source.text.lines().take(lines) {
                seen += &format!("  {}\n", text::safe(line));
            }
            out::data(&seen)?;
        }
    }
    out::data(&format!("\n{}\n", step.after))
}

/// Runs a command in the folder. Out: what it said, its messages in between as on a terminal.
fn done(arguments: &[&str], folder: &Path) -> Result<String, Failure> {
    let failed = |error: &io::Error| Failure::from(FileError::from_io("paperweight", error));
    let (mut reader, writer) = io::pipe().map_err(|error| failed(&error))?;
    let program = std::env::current_exe().map_err(|error| failed(&error))?;
    let mut command = Command::new(program);
    command
        .args(arguments)
        .current_dir(folder)
        .stdin(Stdio::null())
        .stdout(writer.try_clone().map_err(|error| failed(&error))?)
        .stderr(writer);
    let mut child = command.spawn().map_err(|error| failed(&error))?;
    // Its ends of the pipe are the child's alone from here on, or reading would never end.
    drop(command);
    let mut bytes = Vec::new();
    reader
        .read_to_end(&mut bytes)
        .map_err(|error| failed(&error))?;
    let status = child.wait().map_err(|error| failed(&error))?;
    let said = String::from_utf8_lossy(&bytes);
    let mut told = String::with_capacity(said.len());
    for line in said.lines() {
        told += &format!("{}\n", text::safe(line));
    }
    match status.code() {
        Some(0 | 1) => Ok(told),
        code => {
            out::data(&told)?;
            let of = format!("paperweight {}", arguments.first().unwrap_or(&""));
            let message = "this step of the tour could not be done";
            let error = Diagnostic::error(&of, Place::File, message)
                .help("what the command says stands above");
            Err(match code {
                Some(2) => Failure::input(vec![error], Vec::new()),
                _ => Failure::Machine(Findings {
                    list: vec![error],
                    sources: Vec::new(),
                }),
            })
        }
    }
}

/// A command as one would type it, broken where it is too long for a line.
fn typed(arguments: &[&str]) -> String {
    let mut command = "$ paperweight".to_owned();
    let mut width = text::width(&command);
    let mut words = arguments.iter().peekable();
    while let Some(word) = words.next() {
        let mut piece = typed_word(word);
        // An option stays with its value.
        if word.starts_with("--")
            && let Some(value) = words.next_if(|next| !next.starts_with("--"))
        {
            piece += &format!(" {}", typed_word(value));
        }
        // Room for the mark that says it goes on.
        if width + 1 + text::width(&piece) + 2 > text::COLUMNS {
            command += " \\\n     ";
            width = 5;
        }
        command += &format!(" {piece}");
        width += 1 + text::width(&piece);
    }
    command
}

/// A word for a shell.
fn typed_word(word: &str) -> String {
    if word.contains(|c: char| c.is_whitespace()) {
        format!("\"{word}\"")
    } else {
        word.to_owned()
    }
}

/// The pieces between empty lines that begin in one of these ways; what is left out is dots.
fn pieces(told: &str, begin: &[&str]) -> String {
    let mut cut = String::new();
    let mut is_left_out = false;
    for piece in told.split("\n\n") {
        if !begin.iter().any(|begin| piece.starts_with(begin)) {
            is_left_out = true;
            continue;
        }
        if is_left_out {
            cut += "...\n";
        } else if !cut.is_empty() {
            cut += "\n";
        }
        is_left_out = false;
        cut += piece.trim_end_matches('\n');
        cut += "\n";
    }
    if is_left_out {
        cut += "...\n";
    }
    cut
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_commands_are_broken_between_options() {
        let mark = [
            "mark",
            "a.toml",
            "--note",
            "two words",
            "--out",
            "marks.csv",
        ];
        assert_eq!(
            typed(&mark),
            "$ paperweight mark a.toml --note \"two words\" --out marks.csv"
        );
        let long = format!("{}.toml", "x".repeat(50));
        assert_eq!(
            typed(&["mark", &long, "--out", "marks.csv"]),
            format!("$ paperweight mark {long} \\\n      --out marks.csv")
        );
    }

    #[test]
    fn what_is_left_out_is_seen() {
        let told = "a 1\na 2\n\nb 1\n\nc 1\n\nd 1\n";
        assert_eq!(pieces(told, &["a", "b"]), "a 1\na 2\n\nb 1\n...\n");
        assert_eq!(pieces(told, &["b", "d"]), "...\nb 1\n...\nd 1\n");
        assert_eq!(pieces(told, &["a", "b", "c", "d"]), told);
    }
}
