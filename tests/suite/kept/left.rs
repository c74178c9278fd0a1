//! What is left of a file that was being written when the program ended: by a signal nothing, after a `kill -9` a
//! file that a later copy of the program clears away, and never one that another copy still writes to.

use std::fs;
use std::os::unix::process::ExitStatusExt as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use super::gradebook::{large, marked};
use super::{Course, ROPES};

/// Files in the making.
fn begun(course: &Course) -> Vec<PathBuf> {
    let entries = fs::read_dir(course.folder.path()).unwrap();
    let paths = entries.map(|entry| entry.unwrap().path());
    paths.filter(|path| is_begun(path)).collect()
}

fn is_begun(path: &Path) -> bool {
    let name = path.file_name().unwrap().to_string_lossy();
    name.starts_with(".paperweight-")
}

/// Sends a signal; that the process is gone already is no fault.
fn signal(child: &Child, name: &str) {
    let id = child.id().to_string();
    let mut kill = Command::new("kill");
    kill.args(["-s", name, &id]).stderr(Stdio::null());
    kill.status().unwrap();
}

/// Waits until a process that is to stop does.
fn stands_still(child: &Child) {
    let about = format!("/proc/{}/stat", child.id());
    for _ in 0..500 {
        std::thread::sleep(Duration::from_millis(10));
        match fs::read_to_string(&about) {
            Ok(stat) if !stat.contains(") T ") => {}
            _ => return,
        }
    }
}

/// The program, stopped while it writes a gradebook beside the old one, and what it writes to.
fn stopped(course: &Course) -> (Child, PathBuf) {
    for _ in 0..100 {
        let mut fill = course.command(&["export", ROPES[0], "--into", "grades.csv", "--overwrite"]);
        fill.stdout(Stdio::null()).stderr(Stdio::null());
        let mut child = fill.spawn().unwrap();
        let before = begun(course);
        while child.try_wait().unwrap().is_none() {
            let new = begun(course)
                .into_iter()
                .find(|path| !before.contains(path));
            let Some(path) = new else {
                continue;
            };
            signal(&child, "STOP");
            stands_still(&child);
            if path.exists() {
                return (child, path);
            }
            signal(&child, "CONT");
            child.wait().unwrap();
        }
        // It was too fast.
        large(course);
    }
    panic!("no gradebook was seen in the making");
}

/// As if a file had last been written so many days before it was.
fn aged(path: &Path, days: i64) {
    let day = Duration::from_secs(24 * 60 * 60);
    let by = day * u32::try_from(days.abs()).unwrap();
    let written = fs::metadata(path).unwrap().modified().unwrap();
    let then = if days < 0 { written + by } else { written - by };
    let file = fs::File::options().write(true).open(path).unwrap();
    file.set_modified(then).unwrap();
}

/// Another copy of the program writes a file in the same folder.
fn another(course: &Course) {
    course.ends(0, &["export", ROPES[0], "--out", "marks.csv"]);
}

/// A shell has what it runs in the background ignore an interrupt, and the suite may run there.
fn is_ignored(name: &str) -> bool {
    let number = match name {
        "HUP" => 1,
        "INT" => 2,
        _ => 15,
    };
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    let mask = mask.map(|mask| u64::from_str_radix(mask.trim(), 16).unwrap());
    mask.map_or(number == 1, |mask| mask >> (number - 1) & 1 == 1)
}

/// Whatever the program comes to do before the signal is heard, nothing is left beside the gradebook; mostly the old one
/// still stands.
#[test]
fn a_signal_takes_along_what_is_being_written() {
    let course = marked();
    let before = large(&course);
    for name in ["TERM", "INT", "HUP"] {
        let mut ended = 0;
        for _ in 0..20 {
            let (mut child, path) = stopped(&course);
            signal(&child, name);
            signal(&child, "CONT");
            let status = child.wait().unwrap();
            assert!(!path.exists(), "{name}");
            let stands = fs::read_to_string(course.path("grades.csv")).unwrap();
            ended += usize::from(status.signal().is_some() && stands == before);
            large(&course);
            if ended > 0 || is_ignored(name) {
                break;
            }
        }
        assert_eq!(ended == 0, is_ignored(name), "{name}");
    }
    assert_eq!(begun(&course), [] as [PathBuf; 0]);
}

#[test]
fn what_a_kill_left_is_cleared_away_a_day_later() {
    let course = marked();
    large(&course);
    let (mut child, path) = stopped(&course);
    child.kill().unwrap();
    child.wait().unwrap();
    another(&course);
    assert!(path.exists(), "it may be somebody's yet");
    // A clock that was put back says nothing of how long it has lain there.
    aged(&path, -9);
    another(&course);
    assert!(path.exists());
    aged(&path, 11);
    another(&course);
    assert!(!path.exists());
    // What is no file of ours stays, and what a link leads to.
    let theirs = course.path("theirs.csv");
    let names = [
        ".paperweight-notes.tmp",
        ".paperweight-abcde1.tmp.csv",
        "paperweight-abcde1.tmp",
    ];
    let others = names.map(|name| course.path(name));
    for path in others.iter().chain([&theirs]) {
        fs::write(path, "theirs").unwrap();
        aged(path, 9);
    }
    let link = course.path(".paperweight-abcde2.tmp");
    std::os::unix::fs::symlink(&theirs, &link).unwrap();
    let folder = course.path(".paperweight-abcde3.tmp");
    fs::create_dir(&folder).unwrap();
    another(&course);
    for path in others.iter().chain([&theirs, &link, &folder]) {
        assert!(path.exists(), "{}", path.display());
    }
}

#[test]
fn what_another_copy_still_writes_to_is_left_to_it() {
    let course = marked();
    let before = large(&course);
    let (mut child, path) = stopped(&course);
    // As after a night with the lid closed.
    aged(&path, 2);
    another(&course);
    assert!(path.exists());
    signal(&child, "CONT");
    child.wait().unwrap();
    assert!(!path.exists(), "it has its name now");
    let filled = fs::read_to_string(course.path("grades.csv")).unwrap();
    assert_ne!(filled, before);
}
