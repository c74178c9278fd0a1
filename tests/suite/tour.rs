//! `paperweight tour` as the built program: the whole of it, again, and where it may not go.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use portable_pty::CommandBuilder;
use tempfile::TempDir;

use crate::hands::program::{Run, program, run};
use crate::hands::session::Session;

fn tour(place: &Path, more: &[&str]) -> Command {
    let mut command = program();
    command.current_dir(place).arg("tour").args(more);
    command
}

fn toured(place: &Path, more: &[&str]) -> Run {
    let done = run(&mut tour(place, more));
    assert_eq!(
        (done.code, done.stderr.as_str()),
        (0, ""),
        "{}",
        done.stdout
    );
    done
}

/// Every file below a folder, with what is in it.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            let below = files(&path).into_iter();
            found.extend(below.map(|(file, bytes)| (format!("{name}/{file}"), bytes)));
        } else {
            found.insert(name, fs::read(&path).unwrap());
        }
    }
    found
}

/// What it says whether or not the program was built with PDFs.
fn without_pdfs(told: &str) -> String {
    let is_of_pdfs = |line: &&str| {
        let of_a_pdf = line.contains(".pdf: note:");
        of_a_pdf || line.contains("cargo install --path .")
    };
    let lines = told.split_inclusive('\n');
    lines.filter(|line| !is_of_pdfs(line)).collect()
}

#[test]
fn a_tour_goes_through_the_whole_job() {
    let place = tempfile::tempdir().unwrap();
    let done = toured(place.path(), &["--yes"]);
    insta::assert_snapshot!("tour", without_pdfs(&done.stdout));
    for line in without_pdfs(&done.stdout).lines() {
        assert!(paperweight::text::width(line) <= 80, "{line}");
    }
    let written: Vec<String> = files(place.path()).into_keys().collect();
    let name = |file: &str| format!("paperweight-tour/{file}");
    for file in ["paperweight.sqlite", "papers/issued.csv", "marks.csv"] {
        assert!(written.contains(&name(file)), "{file}: {written:?}");
    }
    assert!(
        written
            .iter()
            .all(|file| file.starts_with("paperweight-tour/")),
        "{written:?}"
    );
    let gradebook = fs::read_to_string(place.path().join(name("gradebook.csv"))).unwrap();
    assert!(
        gradebook.contains("\"Donati, Chiara\",9,9.5\n"),
        "{gradebook}"
    );
    assert!(gradebook.contains("\"Arai, Keiko\",9,\n"), "{gradebook}");
    assert!(
        gradebook.contains("\"Okafor, Imani\",8,10\n"),
        "{gradebook}"
    );

    // Without a terminal it waits for nobody; again it is the same to the byte, record apart.
    let mut first = files(place.path());
    let again = toured(place.path(), &[]);
    assert_eq!(again.stdout, done.stdout);
    let mut second = files(place.path());
    let record = name("paperweight.sqlite");
    assert!(first.remove(&record).is_some() && second.remove(&record).is_some());
    assert_eq!(first, second);
}

#[cfg(unix)]
#[test]
fn what_a_tour_writes_is_its_owners() {
    use std::os::unix::fs::PermissionsExt as _;
    let place = tempfile::tempdir().unwrap();
    toured(place.path(), &["--folder", "deep/in it"]);
    let folder = place.path().join("deep/in it");
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(&folder), 0o700);
    for file in files(&folder).into_keys() {
        assert_eq!(mode(&folder.join(&file)), 0o600, "{file}");
    }
}

fn refused(place: &TempDir, folder: &str, expected: &str) {
    let before = files(place.path());
    let found = run(&mut tour(place.path(), &["--yes", "--folder", folder]));
    assert_eq!((found.code, found.stdout.as_str()), (2, ""), "{folder}");
    assert!(
        found.stderr.contains(expected),
        "{folder}: {}",
        found.stderr
    );
    assert_eq!(files(place.path()), before, "{folder}");
}

#[test]
fn a_folder_of_someone_else_is_left_alone() {
    let place = tempfile::tempdir().unwrap();
    let at = |name: &str| place.path().join(name);
    fs::create_dir(at("theirs")).unwrap();
    fs::write(at("theirs/marks.csv"), "mine").unwrap();
    refused(&place, "theirs", "no tour made it");
    refused(&place, "theirs/marks.csv", "a file or a link stands there");
    refused(
        &place,
        "theirs/marks.csv/below",
        "expected a folder on the way",
    );
    // One that looks like a tour's, and one of a tour in which somebody has begun something.
    fs::write(at("theirs/about-this-folder.txt"), "mine").unwrap();
    refused(&place, "theirs", "no tour made it");
    fs::create_dir(at("empty")).unwrap();
    toured(place.path(), &["--folder", "empty"]);
    fs::write(at("empty/rosters/own.csv"), "id\n1\n").unwrap();
    refused(&place, "empty", "'rosters/own.csv' is in it");
    fs::remove_file(at("empty/rosters/own.csv")).unwrap();
    fs::create_dir(at("empty/rosters/old")).unwrap();
    refused(&place, "empty", "'rosters/old' is in it");
    fs::remove_dir(at("empty/rosters/old")).unwrap();
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("empty", at("link")).unwrap();
        refused(&place, "link", "a file or a link stands there");
        fs::remove_file(at("empty/answers.csv")).unwrap();
        std::os::unix::fs::symlink("../theirs/marks.csv", at("empty/answers.csv")).unwrap();
        toured(place.path(), &["--folder", "empty"]);
        assert_eq!(fs::read(at("theirs/marks.csv")).unwrap(), b"mine");
    }
}

/// Where even the system's own user can make nothing.
#[cfg(target_os = "linux")]
#[test]
fn a_place_that_cannot_be_written_is_told() {
    let place = tempfile::tempdir().unwrap();
    for folder in ["/proc/paperweight-tour", "/sys/paperweight-tour"] {
        let found = run(&mut tour(place.path(), &["--yes", "--folder", folder]));
        assert!(matches!(found.code, 2 | 3), "{folder}: {}", found.stderr);
        assert!(found.stderr.starts_with(folder), "{}", found.stderr);
        assert_eq!(found.stdout, "");
    }
}

/// A command that fails ends the tour, with what it said.
#[cfg(target_os = "linux")]
#[test]
fn a_step_that_fails_ends_it() {
    let place = tempfile::tempdir().unwrap();
    let program = env!("CARGO_BIN_EXE_paperweight");
    // No file may grow beyond a block: what is laid out fits, the record does not.
    let script = format!("ulimit -f 16; trap '' XFSZ; '{program}' tour --yes");
    let mut shell = Command::new("sh");
    shell.current_dir(place.path()).args(["-c", &script]);
    let found = run(&mut shell);
    assert_eq!(found.code, 3, "{}\n{}", found.stdout, found.stderr);
    assert!(
        found.stderr.contains("paperweight issue: error: this step"),
        "{}",
        found.stderr
    );
    assert!(!found.stdout.contains("Mark it"), "{}", found.stdout);
}

#[cfg(unix)]
#[test]
fn enter_goes_on_and_q_stops() {
    let place = tempfile::tempdir().unwrap();
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_paperweight"));
    command.arg("tour");
    command.cwd(place.path());
    let mut session = Session::start(command, 80, 200);
    let first = session.wait_for("Enter goes on");
    assert!(!first.contains("1 of "), "{first}");
    session.send("\r");
    let second = session.wait(|text| text.matches("Enter goes on").count() == 2);
    assert!(
        second.contains("1 of ") && !second.contains("2 of "),
        "{second}"
    );
    session.send("q\r");
    let last = session.wait_for("Left after step 1");
    assert!(!last.contains("2 of "), "{last}");
    assert!(session.child.wait().unwrap().success());
    assert!(place.path().join("paperweight-tour/answers.csv").exists());
}
