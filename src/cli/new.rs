//! `paperweight new`: starts an assignment.

use std::io::{BufRead as _, IsTerminal as _, Read as _, Write as _};
use std::path::PathBuf;

use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::files::FileError;
use crate::shelf::{self, Item};
use crate::text;
use crate::workflow::{self, Ask, Begun, Failure, Findings, NewRequest};

use super::{Exit, out, report};

/// Start an assignment: a copy of one on the shelf, or what a short form asks for
///
/// With --from a problem of the shelf that comes with the program is put into the course folder under a new
/// code, with numbers of its own, its comments and its figure. Without, title, numbers, equations and
/// questions are asked line by line, and each answer is checked at once; the lines may also come through
/// a pipe. No file is ever written over.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Copy this one of the shelf
    #[arg(long, value_name = "CODE")]
    from: Option<String>,
    /// The code of the new assignment; by default that of the shelf with the next number that is free
    #[arg(long, value_name = "NEW")]
    code: Option<String>,
    /// Its heading
    #[arg(long)]
    title: Option<String>,
    /// Its file; by default CODE.toml among the assignments of the course folder
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Its seed, a whole number; by default drawn by lot
    #[arg(long, value_name = "NUMBER", value_parser = seed)]
    seed: Option<u64>,
    /// Show what lies on the shelf; with words, where all of them are met
    #[arg(long, value_name = "WORDS", num_args = 0.., conflicts_with_all = ["from", "code", "title", "out", "seed"])]
    list: Option<Vec<String>>,
}

/// A seed as a file may hold it.
fn seed(text: &str) -> Result<u64, &'static str> {
    let seed = text.parse().ok().filter(|seed| *seed <= i64::MAX as u64);
    seed.ok_or("expected a whole number such as 41027")
}

/// Drawn seeds stay below this: short enough to be read out.
const SEEDS: u64 = 1_000_000;

/// The longest answer that is read, in bytes.
const LONGEST: u64 = 1 << 16;

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    if let Some(words) = &arguments.list {
        return list(words);
    }
    let here = std::env::current_dir().map_err(|error| FileError::from_io(".", &error))?;
    let request = NewRequest {
        here: &here,
        out: arguments.out.as_deref(),
        code: arguments.code.as_deref(),
        title: arguments.title.as_deref(),
        seed: arguments.seed.unwrap_or_else(drawn),
    };
    let begun = match &arguments.from {
        Some(code) => workflow::new_from_shelf(on_shelf(code)?, &request)?,
        None => workflow::new_by_form(&request, &mut Lines)?,
    };
    tell(begun, arguments.out.is_some())
}

fn on_shelf(code: &str) -> Result<&'static Item, Failure> {
    shelf::item(code).ok_or_else(|| {
        let message = format!("nothing on the shelf has the code \"{code}\"");
        let help = match shelf::near(code) {
            Some(near) => format!("did you mean \"{near}\"? `paperweight new --list` shows all"),
            None => "`paperweight new --list` shows what there is".to_owned(),
        };
        let error = Diagnostic::error("--from", Place::File, message).help(help);
        Failure::of(error)
    })
}

/// A seed by lot, from what the system keys its hashes with.
fn drawn() -> u64 {
    use std::hash::{BuildHasher as _, Hasher as _};
    let lot = std::collections::hash_map::RandomState::new();
    lot.build_hasher().finish() % SEEDS
}

fn list(words: &[String]) -> Result<Exit, Failure> {
    let found = shelf::found(words);
    if found.is_empty() {
        let message = format!(
            "nothing on the shelf has {}",
            text::quoted(words.iter().map(String::as_str))
        );
        let error = Diagnostic::error("--list", Place::File, message);
        let help = "leave a word out, or look through all: paperweight new --list";
        return Err(Failure::of(error.help(help)));
    }
    let mut page = String::new();
    for (topic, items) in found {
        page += &format!("{topic}\n");
        for item in items {
            page += &format!(
                "  {:14} level {}  {}\n",
                item.code(),
                item.level,
                item.title()
            );
        }
    }
    page += "\npaperweight new --from CODE puts one into your course folder\n";
    out::data(&page)?;
    Ok(Exit::Done)
}

/// Says what was written and what comes next.
fn tell(begun: Begun, is_named: bool) -> Result<Exit, Failure> {
    let safe = |path: &PathBuf| text::safe(&path.to_string_lossy()).into_owned();
    let file = safe(&begun.path);
    let mut page = format!(
        "{}  {}\n  {file}\n",
        text::safe(&begun.code),
        text::safe(&begun.title)
    );
    if let Some(figure) = &begun.figure {
        page += &format!("  {}\n", safe(figure));
    }
    let root = workflow::course_folder(&begun.path);
    let roster = root.join("rosters/CLASS.csv");
    if begun.path.is_absolute() && !is_named {
        let root = safe(&root);
        page += &format!("\nhere is no course folder: it went into the one above, {root}\n");
    }
    page += &format!(
        "\nnext: make text, numbers and slips yours in a text editor, then\n  paperweight check {file}\n  paperweight issue {file} --roster {} --out papers\n",
        safe(&roster)
    );
    out::data(&page)?;
    let findings = Findings {
        list: begun.checked.report.findings,
        sources: begun.checked.sources,
    };
    report::show(&findings);
    let is_clean = findings
        .list
        .iter()
        .all(|finding| finding.severity == Severity::Note);
    Ok(if is_clean { Exit::Done } else { Exit::Findings })
}

/// Answers from standard input; questions go where messages go.
struct Lines;

impl Ask for Lines {
    fn line(&mut self, prompt: &str) -> Result<Option<String>, Failure> {
        let stdin = std::io::stdin();
        let mut messages = std::io::stderr();
        // That nobody reads messages is no failure.
        let prompt = format!("{}:", text::safe(prompt));
        let _ = write!(
            messages,
            "{} ",
            text::wrapped(&prompt, text::COLUMNS - 2).join("\n")
        );
        let _ = messages.flush();
        let mut bytes = Vec::new();
        let read = stdin.lock().take(LONGEST).read_until(b'\n', &mut bytes);
        read.map_err(|error| FileError::from_io("-", &error))?;
        if !stdin.is_terminal() {
            let _ = writeln!(messages);
        }
        if bytes.is_empty() {
            return Ok(None);
        }
        let Ok(line) = String::from_utf8(bytes) else {
            let error = Diagnostic::error("-", Place::File, "expected text in UTF-8");
            let help = "let the terminal or the file that answers come from be in UTF-8";
            return Err(Failure::of(error.help(help)));
        };
        Ok(Some(line.trim_end_matches(['\n', '\r']).to_owned()))
    }

    fn say(&mut self, text: &str) {
        let inside = text.trim_start_matches(' ');
        let before = &text[..text.len() - inside.len()];
        for line in text::wrapped(inside, text::COLUMNS - before.len()) {
            let _ = writeln!(std::io::stderr(), "{before}{line}");
        }
    }
}
