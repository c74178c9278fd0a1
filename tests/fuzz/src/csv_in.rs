//! Class lists and files of answers, in every dialect and encoding.
//!
//! Held: a file is read, or refused with an error; ids are there, once each, and found again; a list written anew
//! from what was read gives the same students; every row of answers that was promised can be read, whatever the
//! order; what is told may be shown.

use std::io::Cursor;

use paperweight::answer::sheet::{Answers, Columns, PartColumn, StudentEntries};
use paperweight::roster::{Roster, RosterColumns};
use paperweight::table::Declared;
use paperweight::table::declared::{Options, Remembered};
use paperweight::table::encoding::Encoding;

use super::feed::Feed;
use super::told::{self, has_errors};

pub(crate) const ENCODINGS: [&str; 8] = [
    "utf-8",
    "utf-16le",
    "utf-16be",
    "windows-1252",
    "shift_jis",
    "gb18030",
    "koi8-r",
    "iso-2022-jp",
];

const CLASS: &str = "id,name\n004071,Amina Okonjo-Bello\n004118,Niamh O'Darragh\nS7,Keala\n";

pub fn run(bytes: &[u8]) {
    let mut feed = Feed::new(bytes);
    let is_roster = feed.flag();
    let declared = declared(&mut feed);
    let file = file(&mut feed, &declared);
    if is_roster {
        roster(&file, declared);
    } else {
        answers(&file, &declared);
    }
}

/// What somebody said of the file.
pub(crate) fn declared(feed: &mut Feed<'_>) -> Declared {
    let said = feed.byte();
    let encoding = feed.pick(&ENCODINGS);
    Declared {
        encoding: (said & 1 == 1).then(|| Encoding::named(encoding).unwrap_or(Encoding::Utf8)),
        delimiter: (said & 2 == 2).then(|| feed.pick(b",;\t|:#")),
        heading_row: (said & 4 == 4).then(|| u64::from(feed.byte())),
        options: if said & 8 == 8 {
            Options::Elsewhere
        } else {
            Options::Plain
        },
        remembered: Remembered {
            encoding: said & 9 == 9,
            delimiter: said & 10 == 10,
            heading_row: said & 12 == 12,
        },
    }
}

/// The bytes of the file: as they are, or, where an encoding was said, text that is in it.
pub(crate) fn file(feed: &mut Feed<'_>, declared: &Declared) -> Vec<u8> {
    let as_they_are = feed.flag();
    let bytes = feed.rest();
    let text = String::from_utf8_lossy(bytes);
    let encoded = declared
        .encoding
        .filter(|_| !as_they_are)
        .and_then(|encoding| encoding.encode(&text));
    encoded.map_or_else(|| bytes.to_vec(), |encoded| encoded.into_owned())
}

fn roster(file: &[u8], declared: Declared) {
    let columns = RosterColumns {
        file: declared,
        ..RosterColumns::default()
    };
    let (roster, notes) = match Roster::read(Cursor::new(file), "r.csv", &columns) {
        Ok(read) => read,
        Err(errors) => {
            assert!(has_errors(&errors), "a refusal without an error");
            return told::findings(&errors, &[]);
        }
    };
    assert!(!has_errors(&notes) && !roster.is_empty());
    told::findings(&notes, &[]);
    // The last two columns say of each row that it is no title.
    let mut anew = String::from("\"id\",\"name\",\"section\",\"one\",\"two\"\r\n");
    let quoted = |cell: &str| format!("\"{}\"", cell.replace('"', "\"\""));
    for (place, student) in roster.iter().enumerate() {
        assert!(!student.id.trim().is_empty());
        assert_eq!(roster.find(student.id), Some(place), "{:?}", student.id);
        let cells = [student.id, student.name, student.section.unwrap_or("")].map(quoted);
        anew += &(cells.join(",") + ",1,2\r\n");
    }
    // What was there is taken as it is, in the plainest of dialects; a student may be called as a column is.
    let again = Roster::read(Cursor::new(&anew), "a.csv", &RosterColumns::default());
    let (again, _) = match again {
        Ok(again) => again,
        Err(errors) => {
            let is_heading = errors[0].message.contains("heading");
            assert!(is_heading, "{anew:?}: {errors:?}");
            return;
        }
    };
    assert_eq!(again.len(), roster.len());
    for (one, other) in roster.iter().zip(again.iter()) {
        assert_eq!(one.id, other.id);
        assert_eq!(one.name, other.name);
        assert_eq!(one.section.unwrap_or(""), other.section.unwrap_or(""));
    }
}

fn answers(file: &[u8], declared: &Declared) {
    let plain = RosterColumns::default();
    let (roster, _) = Roster::read(Cursor::new(CLASS), "r.csv", &plain).unwrap();
    let part = |(id, working): (&str, bool)| PartColumn {
        id: id.into(),
        working,
    };
    let parts = [("a", true), ("b", false), ("turn", false)];
    let columns = Columns::new(parts.map(part), ["mA".into()]);
    let input = Cursor::new(file);
    let scanned = Answers::scan_with(
        input,
        "a.csv",
        declared,
        &roster,
        &columns,
        &Default::default(),
    );
    let mut answers = match scanned {
        Ok(answers) => answers,
        Err(errors) => {
            assert!(has_errors(&errors), "a refusal without an error");
            return told::findings(&errors, &[]);
        }
    };
    assert!(!has_errors(answers.findings()));
    told::findings(answers.findings(), &[]);
    let has: Vec<bool> = (0..roster.len()).map(|at| answers.has(at)).collect();
    let mut reader = answers.reader().unwrap();
    let mut entries = StudentEntries::default();
    let mut read = Vec::new();
    for student in (0..roster.len()).chain((0..roster.len()).rev()) {
        let is_there = reader.read(student, &mut entries).unwrap();
        assert_eq!(is_there, has[student]);
        let all = (0..3).map(|at| (entries.entry(at).to_owned(), entries.working(at).to_owned()));
        read.push((
            is_there,
            all.collect::<Vec<_>>(),
            entries.given(0).to_owned(),
        ));
    }
    for student in 0..roster.len() {
        let again = &read[2 * roster.len() - 1 - student];
        assert!(!has[student] || read[student] == *again);
    }
}
