//! Bad tables, one fault each, and what a teacher is told about it; tables as schools have them, and
//! that a table of any content comes back as it was written.
//!
//! `tests/corpus/tables/roster` are read as rosters, `answers` as answers to the parts a, b, turn (a has points
//! for working, mA may be misread) of a roster of three. The rendered messages are the snapshots.

use std::io::Cursor;
use std::path::Path;

use paperweight::answer::sheet::{Answers, Columns, PartColumn, StudentEntries};
use paperweight::diagnostic::{Diagnostic, Findings, Severity, render};
use paperweight::roster::{Roster, RosterColumns, is_roster_heading};
use paperweight::table::encoding::Encoding;
use paperweight::table::{Declared, Looks, Row, Table};
use proptest::prelude::*;

use crate::hands::corpus;

const ROSTER: &str = "id,name\n004071,Amina Okonjo-Bello\n004118,Niamh O'Darragh\nS7,Keala\n";

fn columns() -> Columns {
    let part = |(id, working): (&str, bool)| PartColumn {
        id: id.into(),
        working,
    };
    Columns::new(
        [("a", true), ("b", false), ("turn", false)].map(part),
        ["mA".into()],
    )
}

/// Whether the list holds an error, not only warnings and notes.
pub(crate) fn has_errors(list: &[Diagnostic]) -> bool {
    list.iter().any(|found| found.severity == Severity::Error)
}

fn told_of_roster(bytes: &[u8], name: &str) -> String {
    match Roster::read(Cursor::new(bytes), name, &RosterColumns::default()) {
        Ok((roster, notes)) => {
            assert!(!has_errors(&notes));
            let students: Vec<_> = roster
                .iter()
                .map(|student| format!("{student:?}"))
                .collect();
            format!(
                "{}read: {}",
                render(&notes, &[], false),
                students.join("\n      ")
            )
        }
        Err(errors) => {
            assert!(has_errors(&errors), "a refusal without an error");
            render(&errors, &[], false)
        }
    }
}

fn told_of_answers(bytes: &[u8], name: &str) -> String {
    let (roster, _) =
        Roster::read(Cursor::new(ROSTER), "r.csv", &RosterColumns::default()).unwrap();
    let columns = columns();
    match Answers::scan(Cursor::new(bytes), name, &roster, &columns) {
        Ok(answers) => {
            assert!(!has_errors(answers.findings()));
            let present = (0..roster.len())
                .filter(|student| answers.has(*student))
                .count();
            let findings = render(answers.findings(), &[], false);
            format!(
                "{findings}read: {present} of {}, strangers: {}",
                roster.len(),
                answers.strangers()
            )
        }
        Err(errors) => {
            assert!(has_errors(&errors), "a refusal without an error");
            render(&errors, &[], false)
        }
    }
}

fn snapshot(folder: &str, tell: impl Fn(&[u8], &str) -> String) {
    let mut settings = insta::Settings::clone_current();
    settings.set_prepend_module_to_snapshot(false);
    settings.set_snapshot_path("../corpus/tables/told");
    settings.set_omit_expression(true);
    settings.bind(|| {
        corpus::each(&format!("tables/{folder}"), "csv", |path| {
            let name = format!("{folder}.csv");
            insta::assert_snapshot!(folder, tell(&std::fs::read(path).unwrap(), &name));
        });
    });
}

#[test]
fn what_is_wrong_with_a_roster() {
    snapshot("roster", told_of_roster);
}

#[test]
fn what_is_wrong_with_answers() {
    snapshot("answers", told_of_answers);
}

#[test]
fn a_folder_is_no_table() {
    let folder = std::fs::File::open(env!("CARGO_MANIFEST_DIR"));
    // some systems do not even open one
    let Ok(folder) = folder else { return };
    let errors = Roster::read(folder, "rosters", &RosterColumns::default()).unwrap_err();
    assert!(errors[0].message.contains("folder"), "{errors:?}");
}

#[test]
fn the_shipped_rosters_are_read_without_a_word() {
    for (name, students, sections) in [("set-3.csv", 24, 2), ("set-5.csv", 31, 2)] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("rosters")
            .join(name);
        let file = std::fs::File::open(path).unwrap();
        let (roster, notes) = Roster::read(file, name, &RosterColumns::default()).unwrap();
        assert_eq!(
            (roster.len(), roster.sections().len(), notes.len()),
            (students, sections, 0),
            "{name}"
        );
    }
}

/// How a file is written: separator, line break, byte order mark, quotes where not needed.
#[derive(Clone, Copy, Debug)]
struct Dialect {
    separator: char,
    ending: &'static str,
    mark: bool,
    quote_all: bool,
}

fn write(rows: &[Vec<String>], dialect: Dialect) -> String {
    let mut text = String::from(if dialect.mark { "\u{feff}" } else { "" });
    for row in rows {
        let cells: Vec<_> = row
            .iter()
            .map(|cell| {
                let needed = cell.contains(['"', '\n', '\r', dialect.separator]);
                if needed || dialect.quote_all {
                    format!("\"{}\"", cell.replace('"', "\"\""))
                } else {
                    cell.clone()
                }
            })
            .collect();
        text += &cells.join(&dialect.separator.to_string());
        text += dialect.ending;
    }
    text
}

fn dialects() -> impl Strategy<Value = Dialect> {
    let separator = prop_oneof![Just(','), Just(';'), Just('\t')];
    let ending = prop_oneof![Just("\n"), Just("\r\n"), Just("\r")];
    (separator, ending, any::<bool>(), any::<bool>()).prop_map(
        |(separator, ending, mark, quote_all)| Dialect {
            separator,
            ending,
            mark,
            quote_all,
        },
    )
}

proptest! {
    /// Every cell of every row, whatever it holds, in every dialect; found again from the end backwards.
    #[test]
    fn a_table_is_read_as_it_was_written(
        cells in prop::collection::vec(prop::collection::vec("[^\u{0}\r]{0,12}", 3), 1..12),
        dialect in dialects(),
    ) {
        let mut rows = vec![vec!["id".to_owned(), "x y".to_owned(), "é".to_owned()]];
        rows.extend(cells);
        for (number, row) in rows.iter_mut().enumerate().skip(1) {
            // a row of blanks is left out by rule
            row[0].insert_str(0, &number.to_string());
            if dialect.ending == "\r" {
                // line breaks within cells come out as LF there
                row.iter_mut().for_each(|cell| *cell = cell.replace('\r', "\n"));
            }
        }
        let text = write(&rows, dialect);
        let mut findings = Findings::new("t.csv");
        let mut table = Table::open(Cursor::new(text), &Declared::default(), &|_| Looks::No, &mut findings).unwrap();
        let mut row = Row::default();
        let mut read = Vec::new();
        let mut line = 1;
        while table.read(&mut row, &mut findings) {
            line += rows[read.len()].iter().map(|cell| cell.matches('\n').count() as u64).sum::<u64>() + 1;
            prop_assert_eq!(row.line(), line);
            read.push((row.start(), (0..3).map(|column| row.cell(column).to_owned()).collect::<Vec<_>>()));
        }
        prop_assert_eq!(findings.errors(), 0);
        prop_assert_eq!(read.iter().map(|(_, row)| row.clone()).collect::<Vec<_>>(), rows[1..].to_vec());
        for (start, cells) in read.iter().rev() {
            table.seek(*start).unwrap();
            prop_assert!(table.read(&mut row, &mut findings));
            prop_assert_eq!(&(0..3).map(|column| row.cell(column).to_owned()).collect::<Vec<_>>(), cells);
        }
    }

    /// However a list is written, the same students come out: separator, quotes, breaks, encoding, title rows,
    /// what stands below, a heading that comes again, columns in any order among others.
    #[test]
    fn the_same_students_come_out_of_any_list(
        students in prop::collection::vec(
            ("[A-Z0-9]{1,6}", "[A-Za-z][A-Za-zéößñ,; \"'’]{0,14}", "[AB]")
                // Somebody called "Id" may be a heading that comes again, which is asked.
                .prop_filter("no heading", |(id, name, _)| ![id, name].iter().any(|cell| is_roster_heading(cell))),
            1..9,
        ),
        dialect in dialects(),
        encoding in prop::sample::select(vec!["utf-8", "utf-16le", "utf-16be", "windows-1252"]),
        order in Just(vec![0, 1, 2, 3]).prop_shuffle(),
        titles in 0..3usize,
        footer in any::<bool>(),
        sep in any::<bool>(),
        again in prop::option::of(0..9usize),
    ) {
        let mut expected: Vec<(String, String, String)> = Vec::new();
        for (number, (id, name, section)) in students.into_iter().enumerate() {
            expected.push((format!("{id}-{number}"), name.trim().to_owned(), section));
        }
        let heading = ["Student ID", "Full name", "Section", "Remark"].map(str::to_owned);
        let row = |cells: [String; 4]| order.iter().map(|at| cells[*at].clone()).collect::<Vec<_>>();
        let mut rows = vec![row(heading.clone())];
        for (number, (id, name, section)) in expected.iter().enumerate() {
            if again == Some(number) {
                rows.push(row(heading.clone()));
            }
            rows.push(row([id.clone(), name.clone(), section.clone(), "x, y".into()]));
        }
        let mut text = String::new();
        if sep {
            text += &format!("sep={}{}", dialect.separator, dialect.ending);
        }
        for _ in 0..titles {
            text += &format!("Physics, set 3; autumn{}", dialect.ending);
        }
        text += &write(&rows, Dialect { mark: false, ..dialect });
        if footer {
            text += &format!("{}Printed on 1 November{}", dialect.ending, dialect.ending);
        }
        let told = Encoding::named(encoding).unwrap();
        let mark = if dialect.mark && encoding != "windows-1252" { "\u{feff}" } else { "" };
        let bytes = told.encode(&(mark.to_owned() + &text)).unwrap().into_owned();
        let needed = mark.is_empty() && encoding != "utf-8";
        let declared = RosterColumns {
            file: Declared { encoding: needed.then_some(told), ..Declared::default() },
            ..RosterColumns::default()
        };
        let read = Roster::read(Cursor::new(&bytes), "r.csv", &declared);
        let (roster, _) = read.map_err(|errors| TestCaseError::fail(render(&errors, &[], false)))?;
        let found: Vec<_> = roster
            .iter()
            .map(|student| (student.id.to_owned(), student.name.to_owned(), student.section.unwrap_or("").to_owned()))
            .collect();
        prop_assert_eq!(found, expected);
    }

    /// Bytes of any kind end in rows or messages, never otherwise.
    #[test]
    fn any_bytes_end_in_rows_or_messages(
        bytes in prop::collection::vec(prop_oneof![8 => prop::sample::select(b"id,name\"\n\r;\t ".to_vec()), 1 => any::<u8>()], 0..200)
    ) {
        told_of_roster(&bytes, "any.csv");
        told_of_answers(&bytes, "any.csv");
    }

    /// What the wide and the long layout say is the same, student by student.
    #[test]
    fn layouts_agree(rows in prop::collection::vec(prop::collection::vec("[ -~é]{0,8}", 3), 3), seed in any::<u64>()) {
        let (roster, _) = Roster::read(Cursor::new(ROSTER), "r.csv", &RosterColumns::default()).unwrap();
        let columns = columns();
        let mut order = [0, 1, 2];
        order.rotate_left(seed as usize % 3);
        if seed % 2 == 0 {
            order.swap(0, 1);
        }
        let dialect = Dialect { separator: ',', ending: "\r\n", mark: false, quote_all: false };
        let names = ["a", "b", "turn"];
        let wide = order.iter().map(|student| {
            [&[roster.id(*student).to_owned()], rows[*student].as_slice()].concat()
        });
        let wide: Vec<_> = [["student", "a", "b", "turn"].map(str::to_owned).to_vec()].into_iter().chain(wide).collect();
        let long = order.iter().flat_map(|student| {
            let cells = names.iter().zip(&rows[*student]);
            cells.map(|(name, cell)| vec![roster.id(*student).to_owned(), (*name).to_owned(), cell.clone()])
        });
        let long: Vec<_> = [["student", "part", "entry"].map(str::to_owned).to_vec()].into_iter().chain(long).collect();
        for text in [write(&wide, dialect), write(&long, dialect)] {
            let mut answers = Answers::scan(Cursor::new(text), "a.csv", &roster, &columns).unwrap();
            let mut reader = answers.reader().unwrap();
            let mut entries = StudentEntries::default();
            for (student, cells) in rows.iter().enumerate() {
                prop_assert!(reader.read(student, &mut entries).unwrap());
                prop_assert_eq!(&(0..3).map(|part| entries.entry(part).to_owned()).collect::<Vec<_>>(), cells);
            }
        }
    }
}
