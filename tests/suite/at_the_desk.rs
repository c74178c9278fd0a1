//! The desk in a real terminal: a stack keyed from beginning to end, and everything that may happen
//! to a terminal meanwhile.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use paperweight::record::{Deed, OpenMode, Record, RosterFile};
use paperweight::workflow::desk::Stack;
use paperweight::workflow::{IssueRequest, issue};
use portable_pty::CommandBuilder;

use crate::hands::program::program;
use crate::hands::session::Session;
use crate::hands::typist::{class, now};

const CODE: &str = "ropes-1";
const SET: &str = "set-3";

fn repository() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn command(folder: &Path, arguments: &[&str]) -> CommandBuilder {
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_paperweight"));
    command.args(arguments);
    command.cwd(folder);
    command
}

/// A one-off on the shipped class.
fn one_off(folder: &Path) -> Session {
    let file = repository().join(format!("assignments/{CODE}.toml"));
    let roster = repository().join(format!("rosters/{SET}.csv"));
    let (file, roster) = (file.to_string_lossy(), roster.to_string_lossy());
    let arguments = ["mark", &file, "--roster", &roster, "--record", ":memory:"];
    let session = Session::start(command(folder, &arguments), 100, 30);
    session.wait_for("find a paper");
    session
}

/// The rows of the shipped answers by heading.
fn rows() -> Vec<BTreeMap<String, String>> {
    let path = repository().join(format!("tests/data/{CODE}-{SET}.csv"));
    let mut reader = csv::Reader::from_path(path).unwrap();
    reader.deserialize().map(|row| row.unwrap()).collect()
}

/// Keys one paper as its row has it.
fn key(session: &mut Session, row: &BTreeMap<String, String>) {
    let id = &row["student"];
    let status = row["status"].as_str();
    if !status.is_empty() {
        session.send(&format!("{id}\x05"));
        session.wait_for("a absent");
        session.send(&format!("{status}\r"));
        session.wait_for(&format!("{id} {status}"));
        session.send("\x1b");
        session.wait_for("24 papers");
        return;
    }
    session.send(&format!("{id}\r"));
    session.wait(|text| text.contains("read as") && text.contains(id.as_str()));
    if !row["given:mS"].is_empty() {
        session.send(&format!("\x12mS {}\r", row["given:mS"]));
        session.wait_for("misread mS");
    }
    for part in ["a", "b", "c", "d", "e"] {
        let text = row[part].as_str();
        session.send(text);
        let working = row
            .get(&format!("{part}.working"))
            .map_or("", String::as_str);
        match (text, working) {
            ("?", "") => {}
            ("?", points) => session.send(&format!("\x1b[A\x1b[C{points}\r")),
            (_, "") => session.send("\r"),
            (_, points) => session.send(&format!("\x1b[C{points}\r")),
        }
    }
    let through =
        |text: &str| text.contains("find a paper") || text.contains("points for the working");
    while session.wait(through).contains("points for the working") {
        // Nothing was keyed for this working: it stays open.
        session.send("\x1b");
        session.wait_for("find a paper");
    }
}

#[test]
fn a_stack_is_keyed_and_its_marks_are_those_of_the_file_of_answers() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = one_off(folder.path());
    // A mistake, and undo.
    session.send("004071\rup\r");
    session.wait_for("kept      004071 (a) up");
    session.send("\x15");
    session.wait_for("taken back");
    session.send("\x1b");
    session.wait_for("find a paper");
    for row in rows() {
        key(&mut session, &row);
    }
    session.send("004725\x05");
    session.wait_for("a absent");
    session.send("absent\r");
    session.wait_for("004725 absent");
    // One mark adjusted with a note.
    session.send("\x1b");
    session.wait_for("24 papers");
    session.send("004118\r");
    session.wait_for("read as");
    session.send("\x1b[B\x1b[B\x01");
    session.wait_for("points for (c)");
    session.send("1 copied from the board\r");
    session.wait_for("set to 1");
    session.send("\x0c");
    session.wait_for("totals");
    let marks = folder.path().join(format!("{CODE}-{SET}-marks.csv"));
    let export = |session: &mut Session| {
        session.send("e");
        session.wait_for("marks to:");
        session.send("\r");
        session.wait_for("marks written");
        std::fs::read_to_string(&marks).unwrap()
    };
    let adjusted = export(&mut session);
    let line = |text: &str, id: &str| {
        text.lines()
            .find(|line| line.starts_with(id))
            .unwrap()
            .to_owned()
    };
    assert!(
        line(&adjusted, "004118").contains(",-2,"),
        "{}",
        line(&adjusted, "004118")
    );
    // The same into a gradebook that is kept elsewhere.
    let grades = folder.path().join("grades.csv");
    let text = |first: &str, second: &str| {
        let text =
            format!("Student ID;{CODE};Name\r\n004118;{first};\"Nö\"\r\n004071;{second};A.\r\n");
        // Windows-1252, of which these letters are those of Unicode.
        text.chars().map(|c| c as u8).collect::<Vec<u8>>()
    };
    std::fs::write(&grades, text("", "")).unwrap();
    session.send("e");
    session.wait_for("marks to:");
    session.send("\x15into \r");
    session.wait_for("expected `into`");
    assert!(!folder.path().join("into").exists());
    session.send("\x15into grades.csv\r");
    // What would not do stays to be mended: letters are no commands meanwhile.
    session.wait_for("expected UTF-8");
    session.wait_for("`as windows-1252`");
    session.send("\x15into grades.csv column test as windows-1252\r");
    session.wait_for("expected a column 'test'");
    session.send(&format!(
        "\x15into grades.csv as windows-1252 column {CODE}\r"
    ));
    session.wait_for("2 cells filled");
    let total = |id: &str| {
        let mut reader = csv::Reader::from_reader(adjusted.as_bytes());
        let at = reader
            .headers()
            .unwrap()
            .iter()
            .position(|at| at == "total");
        let row = reader
            .records()
            .map(Result::unwrap)
            .find(|row| &row[0] == id);
        row.unwrap()[at.unwrap()].to_owned()
    };
    let filled = std::fs::read(&grades).unwrap();
    assert_eq!(filled, text(&total("004118"), &total("004071")));
    session.send("\x15");
    session.wait_for("taken back");
    let keyed = export(&mut session);
    session.send("\x03");
    assert_eq!(session.end(), 0);
    let restored = session.screen(|screen| {
        !screen.alternate_screen() && !screen.hide_cursor() && !screen.bracketed_paste()
    });
    assert!(restored, "the terminal is given back");
    // The same entries from a file.
    let out = folder.path().join("marks.csv");
    let answers = repository().join(format!("tests/data/{CODE}-{SET}.csv"));
    let status = program()
        .current_dir(repository())
        .args([
            "mark",
            &format!("assignments/{CODE}.toml"),
            "--roster",
            &format!("rosters/{SET}.csv"),
            "--record",
            ":memory:",
        ])
        .arg("--answers")
        .arg(answers)
        .arg("--out")
        .arg(&out)
        .status()
        .unwrap();
    assert!(status.success());
    let marked = std::fs::read_to_string(&out).unwrap();
    assert_eq!(keyed, marked);
    assert_ne!(adjusted, marked);
}

#[test]
fn a_terminal_is_given_back_whatever_ends_the_desk() {
    for signal in ["TERM", "HUP", "INT"] {
        let folder = tempfile::tempdir().unwrap();
        let mut session = one_off(folder.path());
        session.send("004071\rdown\r");
        session.wait_for("kept");
        let id = session.child.process_id().unwrap().to_string();
        let killed = std::process::Command::new("kill")
            .args([&format!("-{signal}"), &id])
            .status();
        assert!(killed.unwrap().success());
        assert_eq!(session.end(), 0, "{signal}");
        let restored = session.screen(|screen| !screen.alternate_screen() && !screen.hide_cursor());
        assert!(restored, "{signal}");
    }
}

#[test]
fn a_window_may_shrink_and_grow_and_take_a_long_paste() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = one_off(folder.path());
    session.send("004071\r\x1b[B");
    session.wait_for("read as");
    session.resize(20, 5);
    session.wait_for("Too small");
    session.resize(80, 24);
    session.wait_for("read as");
    session.send(&format!("\x1b[200~{}\x1b[201~", "9".repeat(1 << 20)));
    session.wait_for("left out");
    session.send("\r");
    session.wait_for("kept      004071 (b) 9999");
    session.send("\x03");
    session.wait_for("^C again");
    session.send("\x03");
    assert_eq!(session.end(), 0);
}

#[test]
fn the_shell_takes_the_terminal_and_gives_it_back() {
    let folder = tempfile::tempdir().unwrap();
    let mut shell = CommandBuilder::new("bash");
    shell.args(["--norc", "--noprofile", "-i"]);
    shell.env("PS1", "ready> ");
    shell.cwd(folder.path());
    let mut session = Session::start(shell, 100, 30);
    session.wait_for("ready>");
    let program = env!("CARGO_BIN_EXE_paperweight");
    let root = repository().display();
    session.send(&format!(
        "{program} mark {root}/assignments/{CODE}.toml --roster {root}/rosters/{SET}.csv --record :memory:\r"
    ));
    session.wait_for("find a paper");
    session.send("004071\rdown\r");
    session.wait_for("kept      004071 (a) down");
    session.send("\x1a");
    session.wait_for("ready>");
    assert!(session.screen(|screen| !screen.alternate_screen()));
    session.send("fg\r");
    session.wait_for("kept      004071 (a) down");
    session.send("\x03\x03");
    session.wait_for("ready>");
    session.send("exit\r");
    session.end();
}

/// A course folder in which the shipped class has its papers.
fn course() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    for (kind, name) in [
        ("assignments", format!("{CODE}.toml")),
        ("assignments", format!("{CODE}.svg")),
        ("rosters", format!("{SET}.csv")),
    ] {
        std::fs::create_dir_all(folder.path().join(kind)).unwrap();
        std::fs::copy(
            repository().join(kind).join(&name),
            folder.path().join(kind).join(&name),
        )
        .unwrap();
    }
    let path = folder.path().join("paperweight.sqlite");
    let mut record = Record::open(&path, OpenMode::Create).unwrap();
    let class = class(SET);
    let prepared = Stack::sheet(&folder.path().join(format!("assignments/{CODE}.toml"))).unwrap();
    let request = IssueRequest {
        prepared: &prepared,
        roster: &class.roster,
        class: SET,
        class_is_said: true,
        file: RosterFile {
            path: format!("rosters/{SET}.csv"),
            ..RosterFile::default()
        },
        due: None,
        now: now(),
    };
    issue(&request, &mut record).unwrap();
    (folder, path)
}

#[test]
fn undo_reaches_over_a_restart() {
    let (folder, _) = course();
    let mut session = at_a_stack(folder.path());
    session.send("004071\rdown\r1 N\r");
    session.wait_for("saved     004071 (b) 1 N");
    session.send("\x03");
    assert_eq!(session.end(), 0);
    let mut session = at_a_stack(folder.path());
    session.send("004071\r");
    session.wait_for("1, 1 figure, N");
    session.send("\x15");
    session.wait(|text| text.contains("taken back: (b) 1 N") && text.contains("saved"));
    session.send("\x03");
    assert_eq!(session.end(), 0);
    let record = Record::open(&folder.path().join("paperweight.sqlite"), OpenMode::Read).unwrap();
    assert_eq!(record.acts(CODE).unwrap().len(), 3);
}

/// The desk of a course folder, at the papers of its class.
fn at_a_stack(folder: &Path) -> Session {
    let mut session = Session::start(command(folder, &[]), 80, 24);
    session.wait_for("of 24 begun");
    session.send("\r");
    session.wait_for("find a paper");
    session
}

#[test]
fn a_terminal_that_is_closed_ends_the_desk_and_nothing_is_lost() {
    let (folder, path) = course();
    let mut session = at_a_stack(folder.path());
    session.send("004071\rdown\r1 N\r");
    // The words may stand there before their frame is whole.
    session.wait(|_| {
        session
            .saved()
            .iter()
            .any(|words| words == "004071 (b) 1 N")
    });
    // Typed and not kept yet: that is nowhere said to be saved.
    session.send("55");
    session.hang_up();
    let started = Instant::now();
    session.end();
    let took = started.elapsed();
    assert!(took < Duration::from_secs(5), "{took:?}");
    let record = Record::open(&path, OpenMode::Write).unwrap();
    let acts = record.acts(CODE).unwrap();
    let keyed: Vec<&str> = acts
        .iter()
        .filter_map(|act| match &act.deed {
            Deed::Entry { text, .. } => Some(text.as_str()),
            _ => None,
        })
        .collect();
    assert_eq!(keyed, ["down", "1 N"]);
    assert!(record.check().unwrap().findings.is_empty());
}

/// Runs a command in a course folder.
fn beside(folder: &Path, arguments: &[&str]) {
    let done = program()
        .current_dir(folder)
        .args(arguments)
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&done.stderr);
    assert!(done.status.success(), "{arguments:?}: {told}");
}

#[test]
fn what_others_write_meanwhile_comes_in() {
    let (folder, path) = course();
    let file = format!("assignments/{CODE}.toml");
    let mut session = at_a_stack(folder.path());
    session.send("004071\rdown\r");
    session.wait_for("saved     004071 (a) down");
    beside(
        folder.path(),
        &[
            "adjust",
            &file,
            "--student",
            "004071",
            "--part",
            "a",
            "--points",
            "0",
            "--note",
            "guessed",
        ],
    );
    session.wait_for("from elsewhere: 004071 (a) set to 0");
    session.wait_for("0* /1");
    // Undo takes back what was done here, and leaves to others what they did.
    session.send("\x15");
    session.wait_for("taken back: (a) down");
    session.send("\x19");
    session.wait_for("brought back: (a) down");
    session.wait_for("0* /1");
    // A second desk.
    let mut other = at_a_stack(folder.path());
    other.send("004071\r1.5 N\r");
    other.wait_for("saved     004071 (b) 1.5 N");
    session.wait_for("from elsewhere: 004071 (b) 1.5 N");
    session.wait_for("1.5, 2 figures, N");
    other.send("\x03");
    assert_eq!(other.end(), 0);
    // Another paper takes the place of the one on the screen.
    let roster = format!("rosters/{SET}.csv");
    beside(
        folder.path(),
        &[
            "reissue",
            &file,
            "--roster",
            &roster,
            "--student",
            "004071",
            "--out",
            ".",
        ],
    );
    session.wait_for("004071 has a new paper, paper 2");
    session.wait_for("paper 1 of 2, replaced");
    session.send("\x03");
    assert_eq!(session.end(), 0);
    let record = Record::open(&path, OpenMode::Write).unwrap();
    assert!(record.check().unwrap().findings.is_empty());
}

#[test]
fn papers_are_handed_out_and_once_more_from_the_desk() {
    let (folder, path) = course();
    std::fs::remove_file(&path).unwrap();
    // A list as many offices write it: Windows-1252, semicolons.
    let roster = folder.path().join(format!("rosters/{SET}.csv"));
    let mut list = std::fs::read_to_string(&roster)
        .unwrap()
        .replace(',', ";")
        .into_bytes();
    let letter = list.iter().rposition(u8::is_ascii_alphabetic).unwrap();
    list[letter] = 0xE9;
    std::fs::write(&roster, list).unwrap();
    let mut session = Session::start(command(folder.path(), &[]), 80, 24);
    session.wait_for("not handed out");
    session.send("\r");
    session.wait_for("a class of this folder: set-3");
    session.send("set 2026-13-02\r");
    session.wait_for("expected a day such as 2026-12-02 behind the class");
    // The error, not what was assumed of the file; and the line waits to be mended.
    session.send("\x15set 2026-12-02\r");
    session.wait_for("expected UTF-8, found the byte E9");
    session.send("\x15set 2026-12-02 as windows-1252\r");
    session.wait_for("24 students of set-3 get a paper of ropes-1");
    assert!(!path.exists(), "nothing is done before it is shown");
    session.send("\r");
    session.wait_for("24 papers handed out");
    session.wait_for("0 of 24 begun");
    session.send("\r");
    session.wait_for("find a paper");
    session.send("004118\x05a\r");
    session.wait_for("saved     004118 absent");
    session.send("004071\rdown\r");
    session.wait_for("saved     004071 (a) down");
    session.send("\x0ct");
    session.wait_for("No paper is fully marked yet");
    session.send("\x1b");
    session.wait_for("totals");
    session.send("rc\r");
    session.wait_for("004071 has another paper");
    session.wait_for("004071 (2)");
    session.send("\x03");
    assert_eq!(session.end(), 0);
    let record = Record::open(&path, OpenMode::Write).unwrap();
    let issues = record.issues(CODE).unwrap();
    assert_eq!(issues.len(), 25);
    assert_eq!(issues[24].student, "004071");
    assert_eq!(issues[0].due, chrono::NaiveDate::from_ymd_opt(2026, 12, 2));
    assert!(record.check().unwrap().findings.is_empty());
    let papers = folder.path().join("papers/ropes-1-set-3");
    let table = std::fs::read_to_string(papers.join("issued.csv")).unwrap();
    assert_eq!(table.lines().count(), 26);
    for file in ["papers.pdf", "reissued.pdf", "key.pdf"] {
        let drawn = std::fs::read(papers.join(file)).is_ok_and(|pdf| pdf.starts_with(b"%PDF"));
        assert_eq!(drawn, paperweight::paper::IS_BUILT_IN, "{file}");
    }
}

/// A file that may not grow stands for a full disk, in a real terminal: the desk says what is not saved,
/// keeps it, and nothing that was shown as saved is missing afterwards.
#[cfg(unix)]
#[test]
fn a_disk_that_fills_up_is_said_and_loses_nothing_shown_as_saved() {
    let (folder, path) = course();
    let blocks = std::fs::metadata(&path).unwrap().len() / 512 + 16;
    let desk = env!("CARGO_BIN_EXE_paperweight");
    let mut shell = CommandBuilder::new("sh");
    // The signal is ignored, so that writing fails as it does on a full disk.
    let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec '{desk}'");
    shell.args(["-c", &script]);
    shell.cwd(folder.path());
    let mut session = Session::start(shell, 80, 24);
    session.wait_for("of 24 begun");
    session.send("\r");
    session.wait_for("find a paper");
    session.send("004071\r");
    session.wait_for("read as");
    let mut count = 0;
    while !session.text().contains("NOT SAVED") {
        count += 1;
        assert!(count < 400, "the limit is not met: {}", session.text());
        // Long entries, so that the file is soon full; back to the field each time.
        session.send(&format!("{count} {}\r\x1b[A", "x".repeat(150)));
        let wanted = format!("(a) {count} x");
        session.wait(|text| text.contains("NOT SAVED") || text.contains(&wanted));
    }
    let text = session.text();
    assert!(text.contains("kept here and tried again"), "{text}");
    session.send("\x03");
    session.wait_for("^C again leaves");
    session.send("\x03");
    session.end();
    let record = Record::open(&path, OpenMode::Write).unwrap();
    assert!(record.check().unwrap().findings.is_empty());
    let acts = record.acts(CODE).unwrap().into_iter();
    let keyed: Vec<String> = acts
        .filter_map(|act| match act.deed {
            Deed::Entry { part, text, .. } => Some(format!("004071 ({part}) {text}")),
            _ => None,
        })
        .collect();
    let saved = session.saved();
    assert!(!saved.is_empty());
    for words in &saved {
        // A long entry is shown as far as there is room.
        let shown = words.trim_end_matches('…');
        assert!(
            keyed.iter().any(|keyed| keyed.starts_with(shown)),
            "`{words}` was shown as saved; the record holds {keyed:?}"
        );
    }
}

/// Sessions killed at random moments, in all.
const KILLS: usize = 300;

/// Course folders worked in side by side.
const FOLDERS: usize = 3;

/// Numbers that look random and are the same in each run.
fn scrambled(seed: usize) -> usize {
    let mixed = (seed as u64 + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    (mixed ^ (mixed >> 29)).wrapping_mul(0xBF58_476D_1CE4_E5B9) as usize >> 17
}

#[test]
fn what_was_shown_as_saved_is_there_after_a_kill_at_any_moment() {
    let threads: Vec<_> = (0..FOLDERS)
        .map(|own| std::thread::spawn(move || killed(own)))
        .collect();
    let shown: usize = threads
        .into_iter()
        .map(|thread| thread.join().unwrap())
        .sum();
    // How much is shown before a kill depends on how busy the machine is; some of it always is.
    assert!(shown > KILLS / 4, "something was shown as saved: {shown}");
}

/// Runs this folder's share of the sessions; how many entries were shown as saved.
fn killed(own: usize) -> usize {
    let (folder, path) = course();
    let mut shown = 0;
    for round in 0..KILLS / FOLDERS {
        let seed = own * KILLS + round;
        let mut session = Session::start(command(folder.path(), &[]), 80, 24);
        session.wait_for("of 24 begun");
        // Back to the first field: those before may be keyed from the last time.
        let mut keys = "\r004071\r\x1b[A\x1b[A\x1b[A\x1b[A".to_owned();
        for entry in 0..4 {
            keys.push_str(&format!("{seed}.{entry}\r"));
        }
        keys.push_str("\x1b[A\x1b[A7.5\r\x15\x15");
        session.send(&keys);
        // At a random moment between two commits, and a random moment later.
        let some = scrambled(seed) % 8;
        session.wait(|_| {
            let saved = session.saved();
            // Commits that come in quick succession are shown by the last of them.
            saved.len() >= some || saved.iter().any(|words| words.starts_with("taken back"))
        });
        std::thread::sleep(Duration::from_micros((scrambled(seed + 7) % 12_000) as u64));
        let id = session.child.process_id().unwrap().to_string();
        let killed = std::process::Command::new("kill")
            .args(["-KILL", &id])
            .status();
        assert!(killed.unwrap().success());
        session.end();
        let saved = session.saved();
        let record = Record::open(&path, OpenMode::Write).unwrap();
        let keyed: Vec<String> = record
            .acts(CODE)
            .unwrap()
            .into_iter()
            .filter_map(|act| match act.deed {
                Deed::Entry { part, text, .. } => Some(format!("004071 ({part}) {text}")),
                _ => None,
            })
            .collect();
        for words in &saved {
            let words = words.strip_prefix("taken back: ").unwrap_or(words);
            assert!(
                keyed.iter().any(|keyed| keyed == words),
                "`{words}` was shown as saved; the record holds {keyed:?}"
            );
        }
        shown += saved.len();
        if round % 10 == 0 {
            let checked = record.check().unwrap();
            assert!(checked.findings.is_empty(), "{:?}", checked.findings);
        }
    }
    shown
}
