//! What may go wrong with the record goes wrong: another file, a newer one, half of one, a lock, no
//! permission, a full disk, a process that is killed.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use chrono::DateTime;
use paperweight::record::{Deed, IssueId, Keyed, Keying, NewAct, OpenMode, Record, Standing};

use super::{ANSWERS, Course, ROPES, cell, run};

#[test]
fn a_backup_a_check_and_the_end_of_a_year() {
    let course = Course::new();
    course.issue();
    course.mark(ANSWERS);
    let found = course.ends(0, &["backup", "copy.sqlite"]);
    assert!(found.stdout.contains("copy.sqlite"), "{}", found.stdout);
    course.ends(2, &["backup", "copy.sqlite"]);
    assert!(
        course
            .ends(0, &["record", "check", "--record", "copy.sqlite"])
            .stdout
            .contains("24 papers")
    );
    let asked = course.ends(1, &["purge", "--class", "set-3"]);
    assert!(asked.stdout.contains("--yes"), "{}", asked.stdout);
    let wrong = course.ends(2, &["purge", "--class", "set-4", "--yes"]);
    assert!(wrong.stderr.contains("set-3"), "{}", wrong.stderr);
    let gone = course.ends(0, &["purge", "--class", "set-3", "--yes"]);
    assert!(gone.stdout.contains("backups"), "{}", gone.stdout);
    let bytes = fs::read(course.record()).unwrap();
    assert!(
        !bytes.windows(6).any(|at| at == b"004071"),
        "nothing of them is left in the file"
    );
    assert!(
        course
            .ends(0, &["record", "check"])
            .stdout
            .starts_with("0 papers")
    );
}

/// What the program says of a record file it cannot use, and that it leaves the file alone.
#[test]
fn a_record_that_cannot_be_used_is_refused_and_left_alone() {
    let course = Course::new();
    course.issue();
    let good = fs::read(course.record()).unwrap();
    let mut newer = good.clone();
    newer[60..64].copy_from_slice(&9_u32.to_be_bytes());
    for (bytes, words) in [
        (b"id,name\n1,Ada\n".to_vec(), "another file"),
        (newer, "version 9"),
        (good[..good.len() - 5000].to_vec(), "cut short"),
    ] {
        fs::write(course.record(), &bytes).unwrap();
        for command in [&["issue"][..], &["mark", "--answers", ANSWERS]] {
            let found = course.ends(2, &[command, &ROPES[..]].concat());
            assert!(found.stderr.contains(words), "{}", found.stderr);
            assert_eq!(found.stdout, "");
        }
        assert_eq!(fs::read(course.record()).unwrap(), bytes);
    }
}

#[test]
fn another_copy_at_work_is_waited_for_and_then_told() {
    let course = Course::new();
    course.issue();
    let other = rusqlite::Connection::open(course.record()).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let mut waiting = course.command(&[&["mark"], &ROPES[..], &["--answers", ANSWERS]].concat());
    let waiting = waiting
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    std::thread::sleep(Duration::from_millis(700));
    other.execute_batch("ROLLBACK").unwrap();
    let done = waiting.wait_with_output().unwrap();
    assert_eq!(done.status.code(), Some(0), "it had its turn");
    other.execute_batch("BEGIN EXCLUSIVE").unwrap();
    let found = course.ends(3, &["attend", ROPES[0], "--student", "004071", "--absent"]);
    assert!(
        found.stderr.contains("another program is at work"),
        "{}",
        found.stderr
    );
}

/// Permissions mean nothing to the superuser, who runs tests in some places; as whom the program then
/// runs instead.
#[cfg(unix)]
#[test]
fn a_record_without_permission_is_told() {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
    use std::os::unix::process::CommandExt as _;
    const NOBODY: u32 = 65534;
    let course = Course::new();
    course.issue();
    let before = fs::read(course.record()).unwrap();
    let mode =
        |path: &Path, mode| fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    let root = fs::metadata(course.folder.path()).unwrap().uid() == 0;
    let copy = course.path("paperweight-program");
    // A copy would be open for writing in whatever another test starts meanwhile, and cannot be run then.
    let program = env!("CARGO_BIN_EXE_paperweight");
    fs::hard_link(program, &copy)
        .or_else(|_| fs::copy(program, &copy).map(|_| ()))
        .unwrap();
    let run = |arguments: &[&str]| {
        let mut command = Command::new(&copy);
        command
            .current_dir(course.folder.path())
            .args(arguments)
            .stdin(Stdio::null());
        if root {
            command.uid(NOBODY).gid(NOBODY);
        }
        crate::hands::program::run(&mut command)
    };
    mode(course.folder.path(), 0o755);
    mode(&copy, 0o755);
    let attend = ["attend", ROPES[0], "--student", "004071", "--absent"];
    mode(&course.record(), 0o444);
    let found = run(&attend);
    assert_eq!(found.code, 2, "{}", found.stderr);
    assert!(found.stderr.contains("read-only"), "{}", found.stderr);
    mode(&course.record(), 0o000);
    let found = run(&attend);
    assert_eq!(found.code, 2, "{}", found.stderr);
    assert!(found.stderr.contains("no permission"), "{}", found.stderr);
    assert_eq!(fs::read(course.record()).unwrap_or(before.clone()), before);
    // No file can be made beside it, so no journal either.
    mode(&course.record(), 0o666);
    mode(course.folder.path(), 0o555);
    let found = run(&attend);
    mode(course.folder.path(), 0o755);
    if root || found.code != 0 {
        assert_eq!(found.code, 2, "{}", found.stderr);
        assert!(found.stderr.contains("permission"), "{}", found.stderr);
    }
}

#[cfg(unix)]
#[test]
fn the_record_is_its_owners_from_the_start() {
    use std::os::unix::fs::PermissionsExt as _;
    let course = Course::new();
    let mut shell = Command::new("sh");
    shell.current_dir(course.folder.path()).stdin(Stdio::null());
    let bin = env!("CARGO_BIN_EXE_paperweight");
    shell.args([
        "-c",
        &format!("umask 000; '{bin}' issue {} --out .", ROPES.join(" ")),
    ]);
    assert_eq!(run(&mut shell).code, 0);
    for name in ["paperweight.sqlite", "issued.csv"] {
        let mode = fs::metadata(course.path(name))
            .unwrap()
            .permissions()
            .mode();
        assert_eq!(mode & 0o777, 0o600, "{name}");
    }
}

/// A file that may not grow stands for a full disk: the act is refused, and all before it is kept.
#[cfg(unix)]
#[test]
fn a_full_disk_loses_nothing_that_was_kept() {
    let course = Course::new();
    course.issue();
    course.write("first.csv", "student,a\n004071,down\n");
    course.mark("first.csv");
    let blocks = fs::metadata(course.record()).unwrap().len() / 512;
    let bin = env!("CARGO_BIN_EXE_paperweight");
    let mut failed = 0;
    for more in [0, 8, 16, 40, 80] {
        let mut shell = Command::new("sh");
        shell.current_dir(course.folder.path()).stdin(Stdio::null());
        // The signal is ignored, so that writing fails as it does on a full disk.
        let limit = format!("trap '' XFSZ; ulimit -f {}", blocks + more);
        let mark = format!("'{bin}' mark {} --answers {ANSWERS}", ROPES.join(" "));
        shell.args(["-c", &format!("{limit}; {mark}")]);
        let found = run(&mut shell);
        let record = Record::open(&course.record(), OpenMode::Write).unwrap();
        assert_eq!(record.check().unwrap().findings, []);
        let acts = record.acts("ropes-1").unwrap();
        let first = record.issues("ropes-1").unwrap().remove(0);
        let standing = Standing::of(acts.iter().filter(|act| act.issue == first.id));
        assert_eq!(
            standing.entry("a"),
            Some(&Keyed::Text("down".into())),
            "it was kept before"
        );
        if found.code == 0 {
            break;
        }
        failed += 1;
        assert_eq!(found.code, 3, "{}", found.stderr);
        assert!(
            found.stderr.contains("what was to be kept is not in"),
            "{}",
            found.stderr
        );
        assert_eq!(found.stdout, "", "no marks without their entries");
    }
    assert!(failed > 0, "the limit was met");
    course.mark(ANSWERS);
    assert_eq!(cell(&course.export(), "004071", "status"), "marked");
}

/// Tells the child of the next test what to do.
const APPENDING: &str = "PAPERWEIGHT_TEST_APPENDS_TO";

/// A process that appends is killed at random moments: what it had said was saved is there, and a
/// group of acts is there as a whole or not at all. (This is a crash of the process, not of the power.)
#[test]
fn a_killed_process_loses_nothing_that_it_called_saved() {
    if let Some(path) = std::env::var_os(APPENDING) {
        append_for_ever(Path::new(&path));
    }
    let course = Course::new();
    course.issue();
    let mut told = 0;
    for round in 0..12_u64 {
        let log = fs::File::create(course.path("told")).unwrap();
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args([
                "--exact",
                "kept::faults::a_killed_process_loses_nothing_that_it_called_saved",
                "--nocapture",
            ])
            .env(APPENDING, course.record())
            .stdout(log)
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // Not random, but never twice the same place in the writing either.
        std::thread::sleep(Duration::from_micros(60_000 + round * 7_919));
        child.kill().unwrap();
        child.wait().unwrap();
        let record = Record::open(&course.record(), OpenMode::Write).unwrap();
        assert_eq!(record.check().unwrap().findings, [], "round {round}");
        let acts = record.acts("ropes-1").unwrap();
        let log = fs::read_to_string(course.path("told")).unwrap();
        // The last line may be cut off; every whole one was said after its act was saved.
        let saved = log
            .lines()
            .filter_map(|line| line.strip_prefix("saved ")?.strip_suffix('.'));
        for text in saved {
            told += 1;
            let is_there = acts
                .iter()
                .any(|act| matches!(&act.deed, Deed::Entry { text: entry, .. } if entry == text));
            assert!(is_there, "round {round}: {text} was called saved");
        }
        let mut groups = std::collections::BTreeMap::new();
        for act in &acts {
            *groups.entry(act.group).or_insert(0) += 1;
        }
        assert!(
            groups.values().all(|count| *count == 2),
            "round {round}: all of a group or none"
        );
    }
    assert!(told > 12, "the child came to say something: {told}");
}

fn append_for_ever(path: &Path) -> ! {
    let mut record = Record::open(path, OpenMode::Write).unwrap();
    let start = record.acts("ropes-1").unwrap().len();
    for count in start.. {
        let text = format!("{count} m");
        let act = |issue, text: &str| {
            let deed = Deed::Entry {
                part: "b".into(),
                keying: Keying::First,
                text: text.into(),
            };
            NewAct::new(DateTime::UNIX_EPOCH, IssueId(issue), deed)
        };
        record
            .append(&[act(1, &text), act(2, "the other of the two")])
            .unwrap();
        println!("saved {text}.");
    }
    unreachable!()
}
