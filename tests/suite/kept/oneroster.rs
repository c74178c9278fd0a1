//! From a school's OneRoster files to papers, and from marks back to OneRoster files, with the built program.

use std::collections::BTreeMap;
use std::io::Read as _;
use std::path::Path;

use super::*;
use crate::oneroster_rules::{faults, rows};

const FILE: &str = "assignments/ropes-1.toml";

/// A course whose class came from the sample package, with six students.
fn course() -> Course {
    let course = Course::new();
    let sample = repository().join("tests/oneroster/v1p2");
    let sample = sample.to_string_lossy().into_owned();
    // one class of all six, in one session
    let export = course.path("school");
    fs::create_dir(&export).unwrap();
    for entry in fs::read_dir(&sample).unwrap() {
        let entry = entry.unwrap();
        let text = fs::read_to_string(entry.path()).unwrap();
        let text = text
            .replace(",c-3b,", ",c-3a,")
            .replace("2026-10-01", "2027-07-02");
        fs::write(export.join(entry.file_name()), text).unwrap();
    }
    course.ends(
        0,
        &[
            "roster",
            "take",
            "school",
            "--only",
            "PHY-11-A",
            "--on",
            "2026-11-25",
        ],
    );
    course.ends(
        0,
        &[
            "issue",
            FILE,
            "--roster",
            "rosters/physics-11-a.csv",
            "--due",
            "2026-11-25",
        ],
    );
    course
}

fn answer(course: &Course, rows: &str) {
    fs::write(
        course.path("answers.csv"),
        format!("student,a,b,b.working,c,c.working,d,e,status\n{rows}"),
    )
    .unwrap();
    let arguments = [
        "mark",
        FILE,
        "--roster",
        "rosters/physics-11-a.csv",
        "--answers",
        "answers.csv",
        "--out",
        "marks.csv",
    ];
    let run = course.run(&arguments);
    assert!(run.code < 2, "{}", run.stderr);
}

/// One is judged, of one the last part is not, one cannot be read; one was excused and one was absent, as is
/// who has no row.
const ANSWERS: &str = "004071,up,1 m/s^2,1,30 N,1,20 N,2,\n\
                       004118,down,1 m/s^2,1,30 N,1,20 N,,\n\
                       004402,,,,,,,,excused\n\
                       004560,,,,,,,,absent\n\
                       004607,up,one or two,1,30 N,1,20 N,1,\n";

fn files_in(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| {
            let entry = entry.unwrap();
            (
                entry.file_name().into_string().unwrap(),
                fs::read(entry.path()).unwrap(),
            )
        })
        .collect();
    files.sort();
    files
}

fn rules_kept(version: &str, files: &[(String, Vec<u8>)]) {
    let files: Vec<(&str, Vec<u8>)> = files
        .iter()
        .map(|(name, bytes)| (name.as_str(), bytes.clone()))
        .collect();
    assert_eq!(faults(version, &files), [""; 0]);
}

/// By student, the status and the score.
fn results(files: &[(String, Vec<u8>)]) -> BTreeMap<String, (String, String)> {
    let (_, bytes) = files
        .iter()
        .find(|(name, _)| name == "results.csv")
        .unwrap();
    let rows = rows(bytes);
    rows[1..]
        .iter()
        .map(|row| (row[4].clone(), (row[5].clone(), row[6].clone())))
        .collect()
}

fn ids(files: &[(String, Vec<u8>)]) -> Vec<Vec<String>> {
    files
        .iter()
        .filter(|(name, _)| name != "manifest.csv")
        .map(|(_, bytes)| rows(bytes).into_iter().map(|row| row[0].clone()).collect())
        .collect()
}

#[test]
fn marks_go_back_as_changes() {
    let course = course();
    answer(&course, ANSWERS);
    let to = ["export", FILE, "--oneroster", "out"];
    let first = course.ends(0, &to);
    assert!(
        first
            .stdout
            .contains("6 results of physics-11-a in out, OneRoster CSV 1.2, as changes"),
        "{}",
        first.stdout
    );
    let files = files_in(&course.path("out"));
    rules_kept("1.2", &files);
    let found = results(&files);
    let status = |student: &str| found.get(student).map_or("", |(status, _)| status.as_str());
    assert_eq!(status("p-204"), "fully graded");
    assert_eq!(status("p-330"), "exempt");
    assert_eq!(status("p-118"), "not submitted");
    assert_eq!(status("p-052"), "not submitted");
    // one is partly marked, one cannot be read: no totals unless asked for
    for student in ["p-017", "p-091"] {
        assert_eq!(
            found[student],
            ("submitted".into(), String::new()),
            "{student}"
        );
    }
    for student in ["p-330", "p-118"] {
        assert_eq!(found[student].1, "", "never 0");
    }
    let text: String = files
        .iter()
        .map(|(_, bytes)| String::from_utf8_lossy(bytes))
        .collect();
    for word in ["Amina", "Okonjo", "004071", "up"] {
        assert!(!text.contains(word), "{word}");
    }
    // the same once more, with the totals: other scores under the same ids
    course.ends(0, &[&to[..], &["--partial"]].concat());
    let partial = files_in(&course.path("out"));
    rules_kept("1.2", &partial);
    assert_eq!(ids(&partial), ids(&files));
    assert_eq!(results(&partial)["p-091"].0, "partially graded");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let mode = |path: &str| {
            fs::metadata(course.path(path))
                .unwrap()
                .permissions()
                .mode()
                & 0o777
        };
        assert_eq!((mode("out"), mode("out/results.csv")), (0o700, 0o600));
    }
}

#[test]
fn version_1_1_has_scores_alone() {
    let course = course();
    answer(&course, ANSWERS);
    let run = course.ends(
        0,
        &[
            "export",
            FILE,
            "--oneroster",
            "out",
            "--oneroster-version",
            "1.1",
        ],
    );
    assert!(
        run.stderr
            .contains("no result without a score: 5 are left out"),
        "{}",
        run.stderr
    );
    assert!(
        run.stderr.contains("still stands at the school"),
        "{}",
        run.stderr
    );
    let files = files_in(&course.path("out"));
    rules_kept("1.1", &files);
    assert_eq!(results(&files).keys().collect::<Vec<_>>(), ["p-204"]);
}

#[test]
fn a_zip_holds_the_same_files() {
    let course = course();
    answer(&course, ANSWERS);
    course.ends(0, &["export", FILE, "--oneroster", "out.zip"]);
    course.ends(0, &["export", FILE, "--oneroster", "out.zip"]);
    let mut zip = zip::ZipArchive::new(fs::File::open(course.path("out.zip")).unwrap()).unwrap();
    let mut files = Vec::new();
    for at in 0..zip.len() {
        let mut file = zip.by_index(at).unwrap();
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).unwrap();
        files.push((file.name().unwrap().into_owned(), bytes));
    }
    rules_kept("1.2", &files);
    fs::write(course.path("theirs.zip"), "PK").unwrap();
    course.ends(2, &["export", FILE, "--oneroster", "theirs.zip"]);
    assert_eq!(fs::read_to_string(course.path("theirs.zip")).unwrap(), "PK");
}

#[test]
fn what_is_open_is_asked_and_nothing_is_made_up() {
    let course = course();
    answer(&course, ANSWERS);
    let to = ["export", FILE, "--oneroster", "out"];
    let roster = course.path("rosters/physics-11-a.csv");
    let good = fs::read_to_string(&roster).unwrap();
    let refused = |change: &dyn Fn(&str) -> String, expected: &str| {
        fs::write(&roster, change(&good)).unwrap();
        let found = course.ends(2, &to);
        assert!(
            found.stderr.contains(expected),
            "{expected}: {}",
            found.stderr
        );
        assert!(!course.path("out").exists());
    };
    refused(
        &|text| text.replace(",c-3a,", ",,"),
        "the roster does not say the sourcedId of the class",
    );
    refused(
        &|text| text.replacen(",c-3a,", ",c-9,", 1),
        "several sourcedIds of the class: 'c-9' and 'c-3a'",
    );
    refused(
        &|text| text.replace(",t-2026a", ",\"t-2026a,t-2026b\""),
        "--session ID",
    );
    refused(
        &|text| text.replace("p-204", ""),
        "students without a `sourced_id`: 004071",
    );
    refused(
        &|text| {
            let ids = text.lines().map(|line| line.split(',').next().unwrap());
            ids.collect::<Vec<_>>().join("\n")
        },
        "take it from the school's OneRoster files with `roster take`",
    );
    fs::write(&roster, good.replace(",t-2026a", ",\"t-2026a,t-2026b\"")).unwrap();
    course.ends(0, &[&to[..], &["--session", "t-2026b"]].concat());
    let items = fs::read_to_string(course.path("out/lineItems.csv")).unwrap();
    assert!(
        items.contains(",t-2026b,") && items.contains(",2026-11-25,"),
        "{items}"
    );
    // what stands there and is not ours stays
    fs::write(course.path("out/notes.txt"), "mine").unwrap();
    let before = files_in(&course.path("out"));
    course.ends(2, &[&to[..], &["--session", "t-2026b"]].concat());
    assert_eq!(files_in(&course.path("out")), before);
}

#[test]
fn a_day_due_is_asked_for() {
    let course = Course::new();
    let roster = "id,name,sourced_id,class_sourced_id,school_sourced_id,session_sourced_ids\n1,Ada,p-1,c-1,o-1,t-1\n";
    fs::write(course.path("rosters/own.csv"), roster).unwrap();
    course.ends(0, &["issue", FILE, "--roster", "rosters/own.csv"]);
    let to = ["export", FILE, "--oneroster", "out"];
    let refused = course.ends(2, &to);
    assert!(
        refused.stderr.contains("--due 2026-11-25"),
        "{}",
        refused.stderr
    );
    let run = course.ends(
        1,
        &[
            &to[..],
            &[
                "--due",
                "2026-12-02",
                "--assigned",
                "2026-11-11",
                "--category",
                "Problems",
            ],
        ]
        .concat(),
    );
    assert!(run.stderr.contains("who get no mark: 1"), "{}", run.stderr);
    let files = files_in(&course.path("out"));
    assert_eq!(files.len(), 3, "no results, so no file of results");
    rules_kept("1.2", &files);
    let items = fs::read_to_string(course.path("out/lineItems.csv")).unwrap();
    assert!(items.contains(",2026-11-11,2026-12-02,c-1,"), "{items}");
}
