//! Records: files that were damaged, rows that hold something else, and acts of any kind.
//!
//! The first byte says which. Held: a damaged file is refused or read in words that may be shown, and stays the same
//! when it is only read; what was appended is read back; acts folded one by one are the fold of all; undo takes back
//! what stands and redo brings it back; whatever the record says was adjusted, a total is reckoned and is not below 0.

use std::fs;
use std::path::Path;
use std::sync::{Arc, LazyLock};

use chrono::{DateTime, NaiveDate, Utc};
use paperweight::assignment;
use paperweight::course::Course;
use paperweight::diagnostic::Source;
use paperweight::marking::{Key, Marker, Paper};
use paperweight::plan::{self, Plan};
use paperweight::quantity::Quantity;
use paperweight::record::{
    AcceptedPart, Act, ActId, Attendance, Charge, Deed, Drawn, Due, DueFor, Filed, FiledFigure,
    Issue, IssueId, Keying, Message, NewAct, NewIssue, OpenMode, Proposal, Record, RecordError,
    RosterFile, Standing, Target, account, redo, undo,
};
use paperweight::variant::{PaperCode, Space};
use rust_decimal::Decimal;

use super::feed::Feed;
use super::told;

const SHEET: &str = "ropes-1";
const CLASS: &str = "set-3";
const TEXT: &str = include_str!("../../../assignments/ropes-1.toml");

/// Every kind of act, for each table at least a row.
static FILE: LazyLock<Vec<u8>> = LazyLock::new(|| {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("r.sqlite");
    let mut record = Record::open(&path, OpenMode::Create).unwrap();
    let issues = issued(&mut record);
    let mut feed =
        Feed::new(b"\x00\x01\x02\x03\x04\x05\x06\x07\x08\x09\x0a\x0b\x0c\x0d\x0e\x0f\x10\x11\x12");
    for act in 0..15 {
        let deed = deed_of(act, &mut feed, 3);
        let issue = issues[usize::from(act) % 2].id;
        record.append(&[NewAct::new(at(1), issue, deed)]).unwrap();
    }
    let due = Due {
        class: CLASS.into(),
        number: 1,
        to: DueFor::Section("A".into()),
        day: NaiveDate::from_ymd_opt(2026, 12, 1),
    };
    record.set_due(SHEET, &[due], at(2)).unwrap();
    let roster = RosterFile {
        path: "rosters/set-3.csv".into(),
        ..RosterFile::default()
    };
    record.set_roster(CLASS, &roster).unwrap();
    record
        .note_written(&target(), [("1", "13")], at(3))
        .unwrap();
    drop(record);
    fs::read(path).unwrap()
});

static PLAN: LazyLock<(Plan, Key)> = LazyLock::new(|| {
    let source = Arc::new(Source {
        name: "ropes-1.toml".into(),
        text: TEXT.into(),
    });
    let sheet = assignment::read(&source, &Course::default()).sheet.unwrap();
    let again = sheet.clone();
    let space = Space::new(&again.problems[0]).unwrap();
    let (mut draws, mut samples) = (Vec::new(), Vec::new());
    let (mut picks, mut index) = (Vec::new(), 0);
    while samples.len() < 8 {
        space.nth(index, &mut picks);
        index += 97;
        if space.admits(&picks) {
            let values: Vec<Quantity> = space.values(&picks).collect();
            samples.push(vec![values.iter().map(Quantity::si).collect::<Vec<f64>>()]);
            draws.push(values);
        }
    }
    let plan = plan::prepare(sheet, &samples).unwrap();
    let mut key = Key::default();
    key.fill(&plan, [draws[0].as_slice()].into_iter()).unwrap();
    (plan, key)
});

pub fn run(bytes: &[u8]) {
    let mut feed = Feed::new(bytes);
    match feed.byte() % 3 {
        0 => damaged(&mut feed),
        1 => altered(&mut feed),
        _ => acts(&mut feed),
    }
}

fn at(second: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_700_000_000 + second, 0).unwrap()
}

fn target() -> Target {
    Target {
        sheet: SHEET.into(),
        class: CLASS.into(),
        file: "grades.csv".into(),
        column: "ropes-1".into(),
    }
}

/// Two papers with a figure.
fn issued(record: &mut Record) -> Vec<Issue> {
    let texts = vec![("ropes-1.toml".to_owned(), "code = \"ropes-1\"\n".to_owned())];
    let filed = Filed {
        digest: Filed::digest(texts.iter().map(|(_, text)| text.as_str())),
        sheet: SHEET.into(),
        title: "Ropes".into(),
        texts,
    };
    let paper = |student: &str| NewIssue {
        sheet: SHEET.into(),
        class: CLASS.into(),
        student: student.into(),
        section: Some("A".into()),
        number: 1,
        code: (0..9)
            .find_map(|again| PaperCode::of(SHEET, CLASS, student, 1, again))
            .unwrap(),
        values: vec![vec![Drawn {
            name: "mB".into(),
            value: "6.0 kg".into(),
        }]],
        file: filed.digest.clone(),
        at: at(0),
        due: NaiveDate::from_ymd_opt(2026, 11, 25),
    };
    let papers = vec![paper("1"), paper("2")];
    let figure = Some(FiledFigure::of("<svg/>".into()));
    let issued = record.issue::<RecordError>(&filed, &[figure], |_| Ok(papers));
    issued.unwrap()
}

/// Bytes of the file changed, one after the other, and its end cut off.
fn damaged(feed: &mut Feed<'_>) {
    let mut file = FILE.clone();
    let cut = feed.byte();
    while !feed.is_done() {
        let place = usize::from(feed.byte()) << 16 | feed.below(1 << 16);
        let length = file.len();
        file[place % length] = feed.byte();
    }
    let keep = file.len() - file.len() * usize::from(cut) / 256;
    file.truncate(keep);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("r.sqlite");
    fs::write(&path, &file).unwrap();
    if fs::metadata(&path).unwrap().len() > 0 {
        read_all(&path, OpenMode::Read);
    }
    // An old version is brought up to date, which only a file of ours says of itself.
    if file.get(60..64) == FILE.get(60..64) {
        assert!(fs::read(&path).unwrap() == file, "reading changed the file");
    }
    read_all(&path, OpenMode::Write);
}

/// Columns of all tables that hold more than a number.
const COLUMNS: [(&str, &str); 18] = [
    ("acts", "deed"),
    ("acts", "at"),
    ("acts", "issue"),
    ("acts", "grp"),
    ("issues", "drawn"),
    ("issues", "figures"),
    ("issues", "code"),
    ("issues", "at"),
    ("issues", "due"),
    ("issues", "sheet"),
    ("issues", "number"),
    ("files", "texts"),
    ("files", "title"),
    ("figures", "svg"),
    ("dues", "who"),
    ("dues", "day"),
    ("classes", "roster"),
    ("written", "text"),
];

/// Cells that hold something else.
fn altered(feed: &mut Feed<'_>) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("r.sqlite");
    fs::write(&path, &*FILE).unwrap();
    {
        let file = rusqlite::Connection::open(&path).unwrap();
        let loose = "PRAGMA synchronous = OFF; PRAGMA journal_mode = MEMORY;
                     PRAGMA ignore_check_constraints = ON; PRAGMA foreign_keys = OFF;";
        file.execute_batch(loose).unwrap();
        let triggers = triggers(&file);
        for (name, _) in &triggers {
            file.execute_batch(&format!("DROP TRIGGER {name}")).unwrap();
        }
        while !feed.is_done() {
            let (table, column) = feed.pick(&COLUMNS);
            let row = feed.byte() % 16;
            let update = format!("UPDATE {table} SET {column} = ? WHERE rowid % 16 = ?");
            let text = feed.text();
            // What a strict column refuses stays as it was.
            let _ = file.execute(&update, rusqlite::params![text, row]);
        }
        for (_, sql) in &triggers {
            file.execute_batch(sql).unwrap();
        }
    }
    read_all(&path, OpenMode::Read);
}

/// What keeps cells from being changed, by name, and how it is made again.
fn triggers(file: &rusqlite::Connection) -> Vec<(String, String)> {
    let select = "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'";
    let mut select = file.prepare(select).unwrap();
    let rows = select.query_map([], |row| Ok((row.get(0)?, row.get(1)?)));
    rows.unwrap().map(Result::unwrap).collect()
}

fn read_all(path: &Path, mode: OpenMode) {
    let told = |error: RecordError| told::findings(&[error.diagnostic().clone()], &[]);
    let record = match Record::open(path, mode) {
        Ok(record) => record,
        Err(error) => return told(error),
    };
    match record.check() {
        Ok(checked) => told::findings(&checked.findings, &[]),
        Err(error) => told(error),
    }
    match record.issues(SHEET) {
        Ok(issues) => {
            for issue in issues.iter().take(4) {
                let _ = record.filed(&issue.file).map_err(told);
                if let Ok(dues) = record.dues(SHEET) {
                    dues.of(issue);
                }
                for digest in issue.figures.iter().flatten().flatten() {
                    let _ = record.figure(digest).map_err(told);
                }
            }
        }
        Err(error) => told(error),
    }
    match record.acts(SHEET) {
        Ok(acts) => fold(&acts).iter().for_each(reckon),
        Err(error) => told(error),
    }
    let _ = record.issues_of_class(CLASS).map_err(told);
    let _ = record.progress().map_err(told);
    let _ = record.roster_of(CLASS).map_err(told);
    let _ = record.written(&target()).map_err(told);
    let _ = record.version().map_err(told);
}

/// Acts on two papers, each appended alone or several at once.
fn acts(feed: &mut Feed<'_>) {
    let mut record = Record::in_memory().unwrap();
    let issues = issued(&mut record);
    let mut done: Vec<(ActId, NewAct)> = Vec::new();
    let mut waiting = Vec::new();
    while !feed.is_done() && done.len() < 60 {
        let issue = issues[feed.below(2)].id;
        let kind = feed.byte();
        let deed = deed_of(kind, feed, done.len());
        waiting.push(NewAct::new(at(i64::from(feed.byte())), issue, deed));
        if feed.flag() {
            append(&mut record, std::mem::take(&mut waiting), &mut done);
        }
        let known = record.acts(SHEET).unwrap();
        match feed.byte() % 8 {
            0 => append(&mut record, undo(&known, at(9)), &mut done),
            1 => append(&mut record, redo(&known, at(9)), &mut done),
            _ => {}
        }
    }
    append(&mut record, waiting, &mut done);
    let known = record.acts(SHEET).unwrap();
    assert_eq!(known.len(), done.len());
    for (act, (id, new)) in known.iter().zip(&done) {
        assert_eq!((act.id, act.issue, act.at), (*id, new.issue, new.at));
        assert_eq!(act.deed, new.deed);
    }
    assert!(record.check().unwrap().findings.iter().all(|found| {
        // Acts that take back what was never done are made on purpose.
        found.message.contains("takes back") || found.message.contains("more like these")
    }));
    fold(&known).iter().for_each(reckon);
    // Undo and redo: what stood before stands again.
    let back = undo(&known, at(9));
    if !back.is_empty() {
        let before = fold(&known);
        append(&mut record, back, &mut done);
        let undone = record.acts(SHEET).unwrap();
        append(&mut record, redo(&undone, at(9)), &mut done);
        assert_eq!(fold(&record.acts(SHEET).unwrap()), before);
    }
}

fn append(record: &mut Record, new: Vec<NewAct>, done: &mut Vec<(ActId, NewAct)>) {
    let ids = record.append(&new).unwrap();
    done.extend(ids.into_iter().zip(new));
}

/// What stands on the two papers.
fn fold(acts: &[Act]) -> [Standing; 2] {
    let mut ids: Vec<IssueId> = acts.iter().map(|act| act.issue).collect();
    ids.sort_unstable();
    ids.dedup();
    let standing = |at: usize| {
        let own = acts.iter().filter(|act| ids.get(at) == Some(&act.issue));
        let own: Vec<&Act> = own.collect();
        let folded = Standing::of(own.iter().copied());
        let takes_back = |act: &&&Act| matches!(act.deed, Deed::TakeBack { .. });
        if own.iter().find(takes_back).is_none() {
            let mut one_by_one = Standing::default();
            own.iter().for_each(|act| one_by_one.apply(act));
            assert_eq!(folded, one_by_one);
        }
        folded.has_paper();
        folded
    };
    [standing(0), standing(1)]
}

fn reckon(standing: &Standing) {
    let (plan, key) = &*PLAN;
    let marked = Marker::new(plan).mark(key, &Paper::default());
    let account = account(plan, &marked, standing);
    assert!(account.total >= Decimal::ZERO);
    assert_eq!(account.total, marked.total + account.adjusted);
}

const WORDS: [&str; 12] = [
    "a",
    "b",
    "c",
    "d",
    "e",
    "zz",
    "",
    "3.27 m/s^2",
    "é\u{202e}",
    "a\"\n\\",
    "mB",
    "two",
];

const POINTS: [&str; 12] = [
    "0",
    "1",
    "2.5",
    "-3",
    "0.001",
    "1000000",
    "-1000000",
    "999999.9999999999999999999999",
    "0.0000000000000000000000000001",
    "-999999",
    "4",
    "-0.5",
];

/// A deed of one of the kinds there are; `before` acts were done already.
fn deed_of(kind: u8, feed: &mut Feed<'_>, before: usize) -> Deed {
    let mut word = || feed.pick(&WORDS).to_owned();
    let part = word();
    let note = word();
    let choice = feed.byte();
    let is = |bit: u8| choice & bit != 0;
    let keying = if is(1) { Keying::First } else { Keying::Second };
    let points: Decimal = feed.pick(&POINTS).parse().unwrap();
    match kind % 15 {
        0 => Deed::Entry {
            part,
            keying,
            text: if is(2) {
                feed.text().into_owned()
            } else {
                note
            },
        },
        1 => Deed::Unreadable { part, keying },
        2 => Deed::Clear { part, keying },
        3 => Deed::Working {
            part,
            points: is(1).then_some(choice),
        },
        4 => Deed::Misread {
            given: part,
            value: is(1).then_some(note),
        },
        5 | 14 => Deed::Adjust {
            part,
            points: is(7).then_some(points),
            hint: is(3).then(|| note.clone()),
            note,
        },
        6 => Deed::Waive {
            part: is(1).then_some(part),
            charge: [
                Charge::Unit,
                Charge::Figures,
                Charge::Misread,
                Charge::Constant,
                Charge::Late,
            ][usize::from(choice >> 2) % 5],
            waived: is(2),
            note,
        },
        7 => Deed::Attend {
            attendance: [Attendance::Present, Attendance::Absent, Attendance::Excused]
                [usize::from(choice) % 3],
        },
        8 => Deed::HandedIn {
            day: NaiveDate::from_ymd_opt(2026, 1 + u32::from(choice) % 12, 7),
        },
        9 => Deed::Returned {
            on: at(i64::from(choice)),
        },
        10 => Deed::Accept {
            proposal: Proposal {
                parts: vec![AcceptedPart {
                    part,
                    points,
                    verdict: note.clone(),
                }],
                paper_cost: points,
                late: -points,
                scheme: note.clone(),
                program: note,
            },
        },
        11 => Deed::Opinion {
            part,
            points,
            marker: note.clone(),
            note,
        },
        12 => Deed::Tell {
            message: match choice % 3 {
                0 => None,
                1 => Some(Message::Withheld),
                _ => Some(Message::Words(note)),
            },
        },
        _ => Deed::TakeBack {
            act: ActId(1 + i64::from(choice) % (before as i64 + 2)),
        },
    }
}
