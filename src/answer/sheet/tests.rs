//! Both layouts give the same entries, in any order, and what is refused.

use std::io::Cursor;

use chrono::NaiveDate;

use super::*;
use crate::diagnostic::{Diagnostic, Place};
use crate::roster::{Roster, RosterColumns};

fn roster(ids: &[&str]) -> Roster {
    let text = format!("id\n{}\n", ids.join("\n"));
    Roster::read(Cursor::new(text), "r.csv", &RosterColumns::default())
        .unwrap()
        .0
}

fn columns() -> Columns {
    let part = |(id, working): (&str, bool)| PartColumn {
        id: id.into(),
        working,
    };
    Columns::new(
        [("a", true), ("b", false), ("turn", false)].map(part),
        ["mA".into(), "g".into()],
    )
}

/// All that a file says, a line a student with a row, and what was told.
fn read(
    text: &str,
    ids: &[&str],
    order: impl Iterator<Item = usize>,
) -> (Vec<String>, Vec<String>) {
    let told = |list: &[Diagnostic]| {
        let line = |place| {
            if let Place::Line { line, .. } = place {
                line
            } else {
                0
            }
        };
        list.iter()
            .map(|found| format!("{} {}", line(found.place), found.message))
            .collect::<Vec<_>>()
    };
    let (roster, columns) = (roster(ids), columns());
    let mut answers = match Answers::scan(Cursor::new(text), "a.csv", &roster, &columns) {
        Ok(answers) => answers,
        Err(errors) => return (vec![], told(&errors)),
    };
    let (findings, present) = (
        told(answers.findings()),
        (0..ids.len()).map(|s| answers.has(s)).collect::<Vec<_>>(),
    );
    let mut reader = answers.reader().unwrap();
    let mut entries = StudentEntries::default();
    let mut lines = Vec::new();
    for student in order {
        let found = reader.read(student, &mut entries).unwrap();
        assert_eq!(found, present[student]);
        if found {
            let cells: Vec<_> = (0..3)
                .map(|part| format!("{}^{}", entries.entry(part), entries.working(part)))
                .collect();
            let given = [entries.given(0), entries.given(1)].join("^");
            let date = entries
                .handed_in()
                .map(|date| date.to_string())
                .unwrap_or_default();
            lines.push(format!(
                "{}: {} {given} {:?} {date}",
                ids[student],
                cells.join(" "),
                entries.status()
            ));
        }
    }
    (lines, findings)
}

const WIDE: &str = "\
student,a,a.working,b,turn,given:mA,status,handed_in
s1,3.27 m/s^2,2,\"3,1 N\",cw,6.0 kg,,2026-11-25
s3,,,,,,absent,
x9,1,,1,,,,
s2, 1.0 ,,,,,,
s5,,,,,,Empty,
";

/// Lines above the heading have other cells than it, and the second reading passes them over.
#[test]
fn lines_above_the_heading_change_nothing() {
    let (expected, _) = read(WIDE, &IDS, 0..5);
    for above in ["sep=,\n", "Set 3\n\n", "Set 3,autumn\n"] {
        for order in [vec![0, 1, 2, 3, 4], vec![1, 0, 2, 4]] {
            let (lines, _) = read(&format!("{above}{WIDE}"), &IDS, order.into_iter());
            assert!(
                lines.iter().all(|line| expected.contains(line)),
                "{above}: {lines:?}"
            );
            assert_eq!(lines.len(), 4, "{above}");
        }
    }
}

const LONG: &str = "\
student,part,entry\r
s1,a,3.27 m/s^2\r
s1,turn,cw\r
s1,a.working,2\r
\r
s1,b,\"3,1 N\"\r
s1,given:mA,6.0 kg\r
s1,handed_in,2026-11-25\r
x9,a,1\r
x9,b,1\r
s3,status,absent\r
s2,a, 1.0 \r
s5,status,Empty";

const IDS: [&str; 5] = ["s1", "s2", "s3", "s4", "s5"];

#[test]
fn both_layouts_say_the_same_in_any_order() {
    let expected = [
        "s1: 3.27 m/s^2^2 3,1 N^ cw^ 6.0 kg^ Present 2026-11-25",
        "s2:  1.0 ^ ^ ^ ^ Present ",
        "s3: ^ ^ ^ ^ Absent ",
        "s5: ^ ^ ^ ^ Empty ",
    ];
    for text in [
        WIDE,
        LONG,
        &WIDE.replace('\n', "\r\n"),
        &format!("\u{feff}{WIDE}"),
    ] {
        let (lines, told) = read(text, &IDS, 0..5);
        assert_eq!(lines, expected, "{text}");
        assert_eq!(told.len(), 1);
        assert!(
            told[0].ends_with("no student on the roster has the id 'x9': not marked"),
            "{told:?}"
        );
        let (mut backwards, _) = read(text, &IDS, (0..5).rev().chain([0]));
        assert_eq!(backwards.pop().as_deref(), Some(expected[0]), "read again");
        backwards.reverse();
        assert_eq!(backwards, expected);
    }
}

#[test]
fn what_is_wrong_is_told() {
    let cases = [
        (
            "student,a,b,tunr\ns1,1,2,3\n",
            &["1 unknown column 'tunr'"][..],
        ),
        (
            "student,a,b,turn,b.working\n",
            &["1 unknown column 'b.working'"],
        ),
        (
            "a,b,turn\n1,2,3\n",
            &["1 expected a column headed 'student', found the headings 'a', 'b' and 'turn'"],
        ),
        (
            "student,name\ns1,Ada\n",
            &[
                "1 expected answers, found what looks like a roster: the headings are 'student' and 'name'",
            ],
        ),
        (
            "student,a,b,turn\ns1,1,2,3\ns2,1,2\ns1,1,2,3\n,1,2,3\n",
            &[
                "3 expected 4 cells as in the heading, found 3",
                "4 's1' has a second row here, the first is line 2",
                "5 expected a student's id, found an empty cell",
            ],
        ),
        (
            "student,a,b,turn,status,handed_in\ns1,1,,,absent,\ns2,,,,lost,25.11.2026\ns3,,,,,2026-02-30\ns4,,,,,2026-1-5\n",
            &[
                "2 's1' is absent and yet has an entry",
                "3 unknown status 'lost'",
                "3 expected a date such as 2026-11-25, found '25.11.2026'",
                "4 there is no day 2026-02-30",
                "5 expected a date such as 2026-11-25, found '2026-1-5'",
            ],
        ),
        (
            "student,part,entry\ns1,a,1\ns2,a,1\ns1,b,2\ns2,c,1\n",
            &[
                "4 rows of 's1' stand here and, with others between, from line 2 on",
                "5 unknown part 'c'",
                "5 rows of 's2' stand here and, with others between, from line 3 on",
            ],
        ),
        (
            "student,part,entry\ns1,a,1\ns1,b,2\ns1,a,3\ns1,status,absent\n",
            &[
                "4 'a' of 's1' stands here and in line 2",
                "2 's1' is absent and yet has an entry",
            ],
        ),
        (
            "student,part,entry,points\ns1,a,1,2\n",
            &["1 unknown column 'points'"],
        ),
        (
            "student,a,b,turn\nx,1,2,3\ny,1,2,3\n",
            &["0 none of the 2 students in this file is on the roster: 'x', 'y'"],
        ),
    ];
    for (text, expected) in cases {
        let (lines, mut told) = read(text, &IDS, 0..5);
        let mut expected: Vec<_> = expected.iter().map(|line| line.to_string()).collect();
        told.sort();
        expected.sort();
        assert_eq!((lines, told), (vec![], expected), "{text}");
    }
}

#[test]
fn a_lost_zero_is_named_and_not_forgiven() {
    let (roster, columns) = (roster(&["0042", "S7"]), columns());
    let text = "student,a,b,turn\n42,1,2,3\ns7,1,2,3\n0042,1,2,3\n";
    let answers = Answers::scan(Cursor::new(text), "a.csv", &roster, &columns).unwrap();
    let help: Vec<_> = answers
        .findings()
        .iter()
        .filter_map(|found| found.help.as_deref())
        .collect();
    assert!(
        help[0].contains("'0042'") && help[0].contains("zeros"),
        "{help:?}"
    );
    assert!(
        help[1].contains("'S7'") && help[1].contains("capital"),
        "{help:?}"
    );
    assert_eq!(answers.strangers(), 2);
    assert!(answers.leave_open());
}

/// The line of a student's first row is known to whoever says what is wrong with it.
#[test]
fn a_row_knows_its_line() {
    let (roster, columns) = (roster(&IDS), columns());
    let text = "student,part,entry\ns1,a,1\ns1,b,2\n\ns2,a,3\n";
    let mut answers = Answers::scan(Cursor::new(text), "a.csv", &roster, &columns).unwrap();
    assert!(!answers.leave_open());
    let mut reader = answers.reader().unwrap();
    let mut entries = StudentEntries::default();
    let lines = [1, 0].map(|student| {
        reader.read(student, &mut entries).unwrap();
        entries.line()
    });
    assert_eq!(lines, [5, 2]);
}

#[test]
fn a_file_that_changes_is_noticed() {
    let (roster, columns) = (roster(&IDS), columns());
    let text = "student,a,b,turn\ns1,1,2,3\ns2,1,2,3\n";
    for changed in [
        "student,a,b,turn\ns2,1,2,3\ns1,1,2,3\n",
        "student,a,b,turn\n",
        "student,a,b,turn\ns1,1,2,3\ns2,1,2\n",
    ] {
        let mut bytes = Cursor::new(text.as_bytes().to_vec());
        let mut answers = Answers::scan(&mut bytes, "a.csv", &roster, &columns).unwrap();
        **answers.input_mut() = Cursor::new(changed.as_bytes().to_vec());
        let mut reader = answers.reader().unwrap();
        let read: Result<Vec<bool>, _> = (0..2)
            .map(|student| reader.read(student, &mut StudentEntries::default()))
            .collect();
        assert!(read.unwrap_err().message.contains("changed"), "{changed}");
    }
}

#[test]
fn dates_are_dates() {
    assert_eq!(
        entries::parse_date(" 2026-11-25 "),
        Ok(NaiveDate::from_ymd_opt(2026, 11, 25))
    );
    assert_eq!(entries::parse_date("  "), Ok(None));
    assert_eq!(entries::parse_date("-026-11-25"), Err(()));
}
