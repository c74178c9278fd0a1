//! The README says what the program prints: each line of its console blocks is held against a run, in a copy
//! of the course folder that the repository is, in the order of the page.
//!
//! A line of `...` or `…` stands for any lines. What a teacher would have at that point and the page
//! does not make (answers that came in, a list from an office) is made here. Built without PDFs, the page
//! holds all the same, but for the note that there are none.

use std::fs;
use std::path::Path;
use std::process::Command;

const ROOT: &str = env!("CARGO_MANIFEST_DIR");

/// A command, and what came out of it as the page has it.
struct Shown {
    command: String,
    lines: Vec<String>,
}

/// The console blocks of the page.
fn blocks(page: &str) -> Vec<Vec<Shown>> {
    let blocks = page.split("```console\n").skip(1);
    let blocks = blocks.map(|block| block.split("```").next().unwrap_or_default());
    let shown = |block: &str| {
        let mut all: Vec<Shown> = Vec::new();
        for line in block.replace("\\\n", "").lines() {
            match (line.strip_prefix("$ "), all.last_mut()) {
                (Some(command), _) => all.push(Shown {
                    command: command.to_owned(),
                    lines: Vec::new(),
                }),
                (None, Some(shown)) => shown.lines.push(line.trim_end().to_owned()),
                (None, None) => panic!("a block that begins without a command: {line}"),
            }
        }
        all
    };
    blocks.map(shown).collect()
}

/// What is done before a command that the page shows.
fn before(command: &str) -> &'static [&'static str] {
    match command.split_whitespace().collect::<Vec<_>>()[..] {
        ["paperweight", "export", .., "--oneroster", _] => &[
            "paperweight issue assignments/ropes-1.toml --roster rosters/physics-11-a.csv --due 2026-11-25",
            "paperweight mark assignments/ropes-1.toml --roster rosters/physics-11-a.csv --answers none.csv --out none-marks.csv",
        ],
        ["paperweight", "report", _, _] => &[
            "paperweight issue assignments/incline-1.toml --roster rosters/set-3.csv",
            "paperweight mark assignments/incline-1.toml --roster rosters/set-3.csv --answers tests/data/incline-1-set-3.csv --out incline-marks.csv",
        ],
        _ => &[],
    }
}

/// The words of a command line, with what stands between quotes as one.
fn words(command: &str) -> Vec<String> {
    let mut words = Vec::new();
    for (at, piece) in command.split(['"', '\'']).enumerate() {
        if at % 2 == 1 {
            let last: &mut String = words.last_mut().unwrap();
            last.push_str(piece);
            continue;
        }
        let begins_anew = piece.starts_with(' ') || at == 0;
        let mut parts = piece.split_whitespace();
        if !begins_anew && let Some(more) = parts.next() {
            let last: &mut String = words.last_mut().unwrap();
            last.push_str(more);
        }
        words.extend(parts.map(str::to_owned));
        if piece.ends_with(' ') {
            words.push(String::new());
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

/// Runs a command of the page in a folder; what it wrote to both streams. It may have findings; it is refused only
/// where the page `says` an error.
fn run(command: &str, folder: &Path, says: bool) -> Vec<String> {
    let words = words(command);
    assert_eq!(words[0], "paperweight", "{command}");
    let mut program = Command::new(env!("CARGO_BIN_EXE_paperweight"));
    let out = program.args(&words[1..]).current_dir(folder).output();
    let out = out.unwrap();
    let code = out.status.code().unwrap();
    let errors = String::from_utf8_lossy(&out.stderr);
    assert!(
        code < 2 || says && code == 2,
        "{command}: exit {code}\n{errors}"
    );
    let mut lines = Vec::new();
    for stream in [&out.stdout, &out.stderr] {
        let text = String::from_utf8(stream.clone()).unwrap();
        lines.extend(text.lines().map(|line| line.trim_end().to_owned()));
    }
    lines
}

fn copied(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copied(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}

/// A copy of the folder, with what a teacher would have there.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let (root, to) = (Path::new(ROOT), folder.path());
    for name in ["assignments", "rosters", "tests/data", "tests/oneroster"] {
        copied(&root.join(name), &to.join(name));
    }
    let copy = |from: &str, name: &str| fs::copy(to.join(from), to.join(name)).unwrap();
    copy("tests/data/ropes-1-set-3.csv", "answers.csv");
    copy("tests/data/gradebook-set-3.csv", "grades.csv");
    fs::write(to.join("none.csv"), "student,a,b,c,d\n").unwrap();
    // windows-1252, as an office would hand it out
    let list = b"Klasse 11b;;;\n;;;\nNr;Vorname;Name;Bemerkung\n1;Ali;\xD6zt\xFCrk;\n2;J\xF6rg;Gro\xDFmann;\n";
    fs::write(to.join("liste.csv"), list).unwrap();
    folder
}

#[test]
fn the_page_says_what_the_program_prints() {
    let page = fs::read_to_string(Path::new(ROOT).join("README.md")).unwrap();
    let page = page.replace('\r', "");
    let (here, school) = (folder(), folder());
    let mut stale = Vec::new();
    let mut commands = 0;
    for block in blocks(&page) {
        // The students of that school have ids of this class, and would be taken for them in one record.
        let is_school = block
            .iter()
            .any(|shown| shown.command.contains("oneroster"));
        let folder = if is_school { &school } else { &here };
        for shown in block {
            for command in before(&shown.command) {
                run(command, folder.path(), false);
            }
            let says = shown.lines.iter().any(|line| line.contains(": error: "));
            let mut found = run(&shown.command, folder.path(), says);
            commands += 1;
            let is_any = |line: &&String| matches!(line.trim(), "..." | "…");
            let is_whole = !shown.lines.iter().any(|line| is_any(&line));
            for line in shown.lines.iter().filter(|line| !is_any(line)) {
                match found.iter().position(|there| there == line) {
                    Some(at) => drop(found.remove(at)),
                    None => stale.push(format!("{}\n  - {line}", shown.command)),
                }
            }
            if !is_whole
                && stale
                    .last()
                    .is_some_and(|last| last.starts_with(&shown.command))
            {
                stale.extend(found.iter().map(|line| format!("  there is: {line}")));
            }
            found.retain(|line| !line.is_empty() && !line.contains("without PDFs"));
            found.retain(|line| !line.contains("--no-default-features"));
            if is_whole && !shown.lines.is_empty() {
                let missing = found.into_iter();
                stale.extend(missing.map(|line| format!("{}\n  + {line}", shown.command)));
            }
        }
    }
    assert!(commands > 15, "{commands}");
    assert!(stale.is_empty(), "{}", stale.join("\n"));
}
