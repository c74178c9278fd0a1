//! The store on real files: its faults, its versions, what it keeps.

use std::fs;

use chrono::{DateTime, NaiveDate};

use super::*;
use crate::record::act::{Deed, Keying};
use crate::record::issue::{Drawn, RosterFile};
use crate::record::state::{Keyed, Standing};

fn at(second: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_700_000_000 + second, 0).unwrap()
}

fn filed() -> Filed {
    let texts = vec![("ropes-1.toml".to_owned(), "code = \"ropes-1\"\n".to_owned())];
    Filed {
        digest: Filed::digest(texts.iter().map(|(_, text)| text.as_str())),
        sheet: "ropes-1".into(),
        title: "Ropes".into(),
        texts,
    }
}

fn figure() -> FiledFigure {
    FiledFigure::of("<svg/>".into())
}

fn paper(class: &str, student: &str, number: u32) -> NewIssue {
    let code = (0..9).find_map(|at| PaperCode::of("ropes-1", class, student, number, at));
    NewIssue {
        sheet: "ropes-1".into(),
        class: class.into(),
        student: student.into(),
        section: Some("A".into()),
        number,
        code: code.unwrap(),
        values: vec![vec![Drawn {
            name: "mA".into(),
            value: "6.0 kg".into(),
        }]],
        file: filed().digest,
        at: at(0),
        due: NaiveDate::from_ymd_opt(2026, 11, 25),
    }
}

fn give(record: &mut Record, papers: Vec<NewIssue>) -> Result<Vec<Issue>, RecordError> {
    record.issue(&filed(), &[Some(figure()), None], |_| Ok(papers))
}

fn entry(issue: &Issue, text: &str) -> NewAct {
    let deed = Deed::Entry {
        part: "a".into(),
        keying: Keying::First,
        text: text.into(),
    };
    NewAct::new(at(1), issue.id, deed)
}

fn roster(path: &str) -> RosterFile {
    RosterFile {
        path: path.into(),
        ..RosterFile::default()
    }
}

#[test]
fn what_was_kept_is_there_again() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("r.sqlite");
    let mut record = Record::open(&path, OpenMode::Create).unwrap();
    let issues = give(
        &mut record,
        vec![paper("set-3", "1", 1), paper("set-3", "2", 1)],
    )
    .unwrap();
    let ids = record
        .append(&[entry(&issues[0], "3.27 m"), entry(&issues[1], "")])
        .unwrap();
    assert_eq!(ids, [ActId(1), ActId(2)]);
    record.append(&[entry(&issues[0], "3.3 m")]).unwrap();
    let due = Due {
        class: "set-3".into(),
        number: 1,
        to: DueFor::Section("A".into()),
        day: NaiveDate::from_ymd_opt(2026, 12, 1),
    };
    record
        .set_due("ropes-1", std::slice::from_ref(&due), at(2))
        .unwrap();
    let roster = roster("rosters/set-3.csv");
    record.set_roster("set-3", &roster).unwrap();
    drop(record);

    let record = Record::open(&path, OpenMode::Read).unwrap();
    assert_eq!(
        record.issues("Ropes-1").unwrap(),
        issues,
        "capitals make no difference"
    );
    let acts = record.acts("ropes-1").unwrap();
    let groups: Vec<i64> = acts.iter().map(|act| act.group.0).collect();
    assert_eq!(groups, [1, 1, 3]);
    assert_eq!(record.acts_after("ropes-1", ActId(2)).unwrap(), acts[2..]);
    let standing = Standing::of(acts.iter().filter(|act| act.issue == issues[0].id));
    assert_eq!(standing.entry("a"), Some(&Keyed::Text("3.3 m".into())));
    assert_eq!(record.filed(&filed().digest).unwrap(), Some(filed()));
    let digest = figure().digest;
    assert_eq!(record.figure(&digest).unwrap(), Some(figure()));
    assert_eq!(issues[0].figures, Some(vec![Some(digest), None]));
    assert_eq!(record.dues("ropes-1").unwrap(), Dues(vec![due]));
    assert_eq!(
        record.check().unwrap(),
        Checked {
            issues: 2,
            acts: 3,
            findings: Vec::new()
        }
    );
    let progress = record.progress().unwrap();
    let expected = Begun {
        sheet: "ropes-1".into(),
        title: "Ropes".into(),
        class: "set-3".into(),
        roster: Some(roster),
        students: 2,
        touched: 2,
        last: Some(at(1)),
    };
    assert_eq!(progress, [expected]);
}

#[test]
fn a_paper_or_a_code_is_issued_once() {
    let mut record = Record::in_memory().unwrap();
    give(&mut record, vec![paper("set-3", "1", 1)]).unwrap();
    for twice in [
        paper("set-3", "1", 1),
        NewIssue {
            student: "2".into(),
            ..paper("set-3", "1", 1)
        },
        NewIssue {
            sheet: "ROPES-1".into(),
            code: paper("x", "9", 1).code,
            ..paper("set-3", "1", 1)
        },
    ] {
        give(&mut record, vec![paper("set-3", "5", 1), twice]).unwrap_err();
        assert_eq!(
            record.issues("ropes-1").unwrap().len(),
            1,
            "nothing of it is kept"
        );
    }
    let saw = record.issue::<RecordError>(&filed(), &[], |before| {
        assert_eq!(before.issues.len(), 1);
        assert!(before.has_code(before.issues[0].code)?);
        Ok(Vec::new())
    });
    assert!(saw.unwrap().is_empty());
}

#[test]
fn acts_are_kept_all_or_none() {
    let mut record = Record::in_memory().unwrap();
    let issue = give(&mut record, vec![paper("set-3", "1", 1)])
        .unwrap()
        .remove(0);
    let stray = NewAct {
        issue: IssueId(99),
        ..entry(&issue, "1")
    };
    record.append(&[entry(&issue, "1"), stray]).unwrap_err();
    assert!(record.acts("ropes-1").unwrap().is_empty());
    assert_eq!(record.append(&[]).unwrap(), []);
    assert_eq!(record.append(&[entry(&issue, "1")]).unwrap(), [ActId(1)]);
}

/// Each of these files is refused in its own words, and stays byte for byte as it is.
#[test]
fn what_is_no_record_is_refused_and_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("r.sqlite");
    let mut record = Record::open(&path, OpenMode::Create).unwrap();
    give(&mut record, vec![paper("set-3", "1", 1)]).unwrap();
    drop(record);
    let good = fs::read(&path).unwrap();
    let with = |at: usize, bytes: &[u8]| {
        let mut file = good.clone();
        file[at..at + bytes.len()].copy_from_slice(bytes);
        file
    };
    let other = {
        let path = folder.path().join("other");
        let connection = Connection::open(&path).unwrap();
        connection.execute_batch("CREATE TABLE t (x)").unwrap();
        drop(connection);
        fs::read(&path).unwrap()
    };
    let newest = format!("versions up to {}", super::migrations::VERSION);
    let cases: [(&str, Vec<u8>, &[&str]); 7] = [
        ("text", b"student,a,b\n1,2,3\n".to_vec(), &["another file"]),
        ("another database", other, &["another file"]),
        ("newer", with(60, &77_u32.to_be_bytes()), &["77", &newest]),
        (
            "half",
            good[..good.len() / 2].to_vec(),
            &["cut short", &good.len().to_string()],
        ),
        ("header alone", good[..100].to_vec(), &["cut short"]),
        ("half a header", good[..80].to_vec(), &["cut short"]),
        ("another's number", with(68, b"abcd"), &["another file"]),
    ];
    for (what, bytes, expected) in cases {
        fs::write(&path, &bytes).unwrap();
        for mode in [OpenMode::Read, OpenMode::Write, OpenMode::Create] {
            let error = Record::open(&path, mode).unwrap_err();
            assert!(
                matches!(error, RecordError::Refused(_)),
                "{what}: {error:?}"
            );
            let message = &error.diagnostic().message;
            for words in expected {
                assert!(message.contains(words), "{what}: {message}");
            }
        }
        assert_eq!(fs::read(&path).unwrap(), bytes, "{what}");
    }
    fs::remove_file(&path).unwrap();
    for mode in [OpenMode::Read, OpenMode::Write] {
        let error = Record::open(&path, mode).unwrap_err();
        assert!(
            error.diagnostic().message.contains("no record"),
            "{error:?}"
        );
        assert!(!path.exists());
    }
    let error = Record::open(folder.path(), OpenMode::Create).unwrap_err();
    assert!(error.diagnostic().message.contains("folder"), "{error:?}");
}

/// A record that somebody else made: SQLite would delete the file that its journal names, and run what they put
/// beside our tables.
#[test]
fn a_hostile_record_is_refused_before_it_is_read() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("r.sqlite");
    drop(Record::open(&path, OpenMode::Create).unwrap());
    let victim = folder.path().join("precious.txt");
    fs::write(&victim, "mine").unwrap();
    // The header of a journal without pages, and behind it the name of a super-journal (the SQLite file
    // format, section 3).
    let name = victim.to_str().unwrap().as_bytes();
    let sum: u32 = name.iter().map(|byte| u32::from(*byte)).sum();
    let pages = fs::metadata(&path).unwrap().len() / 4096;
    let mut journal = b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7".to_vec();
    let magic = journal.clone();
    for number in [0, 0x1234, u32::try_from(pages).unwrap(), 512, 4096] {
        journal.extend(number.to_be_bytes());
    }
    journal.resize(512, 0);
    journal.extend((0x4000_0000_u32 / 4096 + 1).to_be_bytes());
    journal.extend(name);
    journal.extend(u32::try_from(name.len()).unwrap().to_be_bytes());
    journal.extend(sum.to_be_bytes());
    journal.extend(magic);
    let beside = folder.path().join("r.sqlite-journal");
    fs::write(&beside, journal).unwrap();
    for mode in [OpenMode::Read, OpenMode::Write, OpenMode::Create] {
        let error = Record::open(&path, mode).unwrap_err();
        let message = &error.diagnostic().message;
        assert!(message.contains("journal"), "{message}");
        assert_eq!(fs::read_to_string(&victim).unwrap(), "mine");
    }
    fs::remove_file(&beside).unwrap();
    let mut connection = rusqlite::Connection::open(&path).unwrap();
    let foreign = "CREATE TRIGGER zz AFTER INSERT ON acts BEGIN DELETE FROM acts; END";
    connection.execute_batch(foreign).unwrap();
    connection = rusqlite::Connection::open(&path).unwrap();
    for mode in [OpenMode::Read, OpenMode::Write, OpenMode::Create] {
        let error = Record::open(&path, mode).unwrap_err();
        let message = &error.diagnostic().message;
        assert!(message.contains("trigger `zz`"), "{message}");
    }
    connection
        .execute_batch("DROP TRIGGER zz; PRAGMA journal_mode = WAL")
        .unwrap();
    for mode in [OpenMode::Read, OpenMode::Write, OpenMode::Create] {
        let error = Record::open(&path, mode).unwrap_err();
        assert!(
            error.diagnostic().message.contains("beside it"),
            "{error:?}"
        );
    }
    connection
        .execute_batch("PRAGMA journal_mode = DELETE")
        .unwrap();
    assert_eq!(
        Record::open(&path, OpenMode::Read)
            .unwrap()
            .check()
            .unwrap()
            .findings,
        []
    );
}

/// After a crash a record can be looked at, also where a link leads to it.
#[cfg(unix)]
#[test]
fn what_was_cut_off_is_taken_back_by_whoever_looks_first() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("r.sqlite");
    drop(Record::open(&path, OpenMode::Create).unwrap());
    // A commit that was cut off: the pages it changed are in the file and, as they were, in the journal.
    let connection = rusqlite::Connection::open(&path).unwrap();
    connection
        .execute_batch(
            "PRAGMA cache_size = 1; BEGIN IMMEDIATE;
             WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 300)
             INSERT INTO figures SELECT 'd' || i, hex(zeroblob(2000)) FROM n;",
        )
        .unwrap();
    let (cut, link) = (folder.path().join("cut.sqlite"), folder.path().join("link"));
    let journal = |path: &Path| PathBuf::from(format!("{}-journal", path.display()));
    for look in [&cut, &link] {
        fs::copy(&path, &cut).unwrap();
        fs::copy(journal(&path), journal(&cut)).unwrap();
        let _ = fs::remove_file(&link);
        std::os::unix::fs::symlink(&cut, &link).unwrap();
        let record = Record::open(look, OpenMode::Read).unwrap();
        assert_eq!(record.figure("d1").unwrap(), None);
        assert!(!journal(&cut).exists());
    }
}

#[test]
fn damage_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("r.sqlite");
    let mut record = Record::open(&path, OpenMode::Create).unwrap();
    let issues = give(
        &mut record,
        vec![paper("set-3", "1", 1), paper("set-3", "2", 1)],
    )
    .unwrap();
    record
        .append(&[entry(&issues[0], "1"), entry(&issues[1], "2")])
        .unwrap();
    // What only a hand in the file can do.
    for (damage, expected) in [
        (
            "INSERT INTO acts (grp, at, issue, deed) VALUES (1, 'x', 1, '{}')",
            "no. 3 cannot be read",
        ),
        (
            "INSERT INTO acts (grp, at, issue, deed) VALUES
             (4, '2026-11-25T00:00:00.000Z', 1, '{\"deed\":\"take_back\",\"act\":2}')",
            "takes back what is not there",
        ),
        (
            "INSERT INTO acts (grp, at, issue, deed) VALUES
             (5, '2026-11-25T00:00:00.000Z', 1,
              '{\"deed\":\"adjust\",\"part\":\"a\",\"points\":\"79228162514264337593543950335\",\"note\":\"\"}')",
            "no. 5 cannot be read",
        ),
        (
            "DROP TRIGGER issues_stand; UPDATE issues SET number = 3 WHERE id = 2;
             CREATE TRIGGER issues_stand BEFORE UPDATE ON issues
             BEGIN SELECT raise(ABORT, 'what was issued never changes'); END",
            "lacks one before it",
        ),
        (
            "DROP TRIGGER issues_stand; UPDATE issues SET code = 'FW2MBWX' WHERE id = 2;
             CREATE TRIGGER issues_stand BEFORE UPDATE ON issues
             BEGIN SELECT raise(ABORT, 'what was issued never changes'); END",
            "paper no. 2 of the record cannot be read",
        ),
        (
            "DROP TRIGGER files_stand; UPDATE files SET texts = '[]';
             CREATE TRIGGER files_stand BEFORE UPDATE ON files
             BEGIN SELECT raise(ABORT, 'what was issued never changes'); END",
            "not what was issued",
        ),
    ] {
        record.connection.execute_batch(damage).unwrap();
        let findings = record.check().unwrap().findings;
        let told = findings
            .iter()
            .any(|found| found.message.contains(expected));
        assert!(told, "{damage}: {findings:?}");
    }
    drop(record);
    // A page of noise in the middle.
    let mut bytes = fs::read(&path).unwrap();
    let middle = bytes.len() / 4096 / 2 * 4096;
    bytes[middle..middle + 4096].fill(0xA5);
    fs::write(&path, bytes).unwrap();
    let told = match Record::open(&path, OpenMode::Write).and_then(|record| record.check()) {
        Ok(checked) => !checked.findings.is_empty(),
        Err(error) => error.diagnostic().message.contains("damaged"),
    };
    assert!(told);
}

#[cfg(unix)]
#[test]
fn the_file_and_its_journal_are_the_owners_alone() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("r.sqlite");
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    let mut record = Record::open(&path, OpenMode::Create).unwrap();
    assert_eq!(mode(&path), 0o600);
    // A transaction left open on purpose: its journal lies beside the file.
    record
        .connection
        .execute_batch("BEGIN IMMEDIATE; INSERT INTO classes VALUES ('a', '{}')")
        .unwrap();
    assert_eq!(mode(&folder.path().join("r.sqlite-journal")), 0o600);
    record.connection.execute_batch("COMMIT").unwrap();
    give(&mut record, vec![paper("set-3", "1", 1)]).unwrap();
    let copy = folder.path().join("copy.sqlite");
    record.backup(&copy).unwrap();
    assert_eq!(mode(&copy), 0o600);
    fs::set_permissions(&path, fs::Permissions::from_mode(0o644)).unwrap();
    let findings = record.check().unwrap().findings;
    assert!(
        findings[0].message.contains("others than its owner"),
        "{findings:?}"
    );
}

#[test]
fn a_second_copy_sees_what_the_first_did_and_waits_for_its_turn() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("r.sqlite");
    let mut first = Record::open(&path, OpenMode::Create).unwrap();
    let issue = give(&mut first, vec![paper("set-3", "1", 1)])
        .unwrap()
        .remove(0);
    let mut second = Record::open(&path, OpenMode::Write).unwrap();
    first.append(&[entry(&issue, "1")]).unwrap();
    second.append(&[entry(&issue, "2")]).unwrap();
    assert_eq!(first.acts_after("ropes-1", ActId(1)).unwrap().len(), 1);
    assert_eq!(second.acts("ropes-1").unwrap().len(), 2);
    // While one writes, the other waits its time, then says so and has changed nothing.
    second
        .connection
        .busy_timeout(std::time::Duration::from_millis(20))
        .unwrap();
    first.connection.execute_batch("BEGIN IMMEDIATE").unwrap();
    let error = second.append(&[entry(&issue, "3")]).unwrap_err();
    assert!(matches!(error, RecordError::Busy(_)), "{error:?}");
    assert_eq!(second.acts("ropes-1").unwrap().len(), 2, "reading goes on");
    first.connection.execute_batch("COMMIT").unwrap();
    second.append(&[entry(&issue, "3")]).unwrap();
    assert_eq!(first.acts("ropes-1").unwrap().len(), 3);
}

#[test]
fn a_record_opened_for_reading_is_not_written() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("r.sqlite");
    let mut record = Record::open(&path, OpenMode::Create).unwrap();
    let issue = give(&mut record, vec![paper("set-3", "1", 1)])
        .unwrap()
        .remove(0);
    let mut reading = Record::open(&path, OpenMode::Read).unwrap();
    let error = reading.append(&[entry(&issue, "1")]).unwrap_err();
    assert!(
        error.diagnostic().message.contains("read-only"),
        "{error:?}"
    );
}

#[test]
fn a_backup_holds_everything_and_replaces_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let mut record = Record::open(&folder.path().join("r.sqlite"), OpenMode::Create).unwrap();
    let issue = give(&mut record, vec![paper("set-3", "1", 1)])
        .unwrap()
        .remove(0);
    record.append(&[entry(&issue, "1")]).unwrap();
    let copy = folder.path().join("copy.sqlite");
    record.backup(&copy).unwrap();
    record.append(&[entry(&issue, "2")]).unwrap();
    let error = record.backup(&copy).unwrap_err();
    assert!(
        error.diagnostic().message.contains("not replaced"),
        "{error:?}"
    );
    let nowhere = record.backup(&folder.path().join("a b/copy.sqlite"));
    let error = nowhere.unwrap_err();
    assert!(error.diagnostic().message.contains("folder"), "{error:?}");
    let copy = Record::open(&copy, OpenMode::Write).unwrap();
    assert_eq!(copy.acts("ropes-1").unwrap().len(), 1);
    assert_eq!(copy.issues("ropes-1").unwrap(), [issue]);
    assert_eq!(copy.check().unwrap().findings, []);
    let left = fs::read_dir(folder.path()).unwrap().count();
    assert_eq!(left, 2, "nothing is left lying about");
}

#[test]
fn a_purge_leaves_nothing_of_a_class_and_all_of_the_others() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("r.sqlite");
    let mut record = Record::open(&path, OpenMode::Create).unwrap();
    let papers = vec![paper("set-3", "ID-THREE", 1), paper("set-4", "ID-FOUR", 1)];
    let issues = give(&mut record, papers).unwrap();
    record
        .append(&[
            entry(&issues[0], "ENTRY-THREE"),
            entry(&issues[1], "ENTRY-FOUR"),
        ])
        .unwrap();
    record
        .set_roster("set-3", &roster("rosters/ROSTER-THREE.csv"))
        .unwrap();
    let purged = record.purge("set-3").unwrap();
    assert_eq!(purged, Purged { issues: 1, acts: 1 });
    let digest = figure().digest;
    let kept = record.figure(&digest).unwrap();
    assert_eq!(kept, Some(figure()), "the other class has it too");
    assert_eq!(record.issues("ropes-1").unwrap(), issues[1..]);
    // The act that is left was done together with one that is gone now.
    let bytes = fs::read(&path).unwrap();
    let holds = |text: &str| bytes.windows(text.len()).any(|at| at == text.as_bytes());
    assert!(holds("ENTRY-FOUR") && holds("ID-FOUR"));
    for gone in ["ENTRY-THREE", "ID-THREE", "ROSTER-THREE"] {
        assert!(!holds(gone), "{gone}");
    }
    assert_eq!(record.purge("set-3").unwrap(), Purged::default());
    record.purge("set-4").unwrap();
    assert_eq!(record.figure(&digest).unwrap(), None);
    assert_eq!(record.check().unwrap().findings, []);
}

#[test]
fn a_figure_that_was_changed_or_lost_is_told() {
    let mut record = Record::in_memory().unwrap();
    give(&mut record, vec![paper("set-3", "1", 1)]).unwrap();
    let told = |record: &Record| {
        let findings = record.check().unwrap().findings;
        findings
            .into_iter()
            .map(|found| found.message)
            .collect::<Vec<_>>()
            .join("; ")
    };
    assert_eq!(told(&record), "");
    let connection = &record.connection;
    let change = "DROP TRIGGER figures_stand; UPDATE figures SET svg = '<svg></svg>'";
    connection.execute_batch(change).unwrap();
    assert!(
        told(&record).contains("a figure that papers were handed out with was changed"),
        "{}",
        told(&record)
    );
    record
        .connection
        .execute_batch("DELETE FROM figures")
        .unwrap();
    assert!(
        told(&record).contains("lacks the figure it was handed out with"),
        "{}",
        told(&record)
    );
}
