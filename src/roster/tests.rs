//! Rosters as schools export them, and what is refused.

use std::io::Cursor;

use super::*;
use crate::diagnostic::{Diagnostic, Place};

fn read(text: &str, declared: &RosterColumns) -> (Vec<String>, Vec<String>) {
    let told = |list: Vec<Diagnostic>| {
        let line = |place| {
            if let Place::Line { line, .. } = place {
                line
            } else {
                0
            }
        };
        list.into_iter()
            .map(|found| format!("{} {}", line(found.place), found.message))
            .collect()
    };
    match Roster::read(Cursor::new(text), "r.csv", declared) {
        Ok((roster, notes)) => {
            let row = |s: Student| {
                let mark = match s.decimal {
                    None => "",
                    Some(DecimalMark::Point) => "/.",
                    Some(DecimalMark::Comma) => "/,",
                };
                format!("{}={}/{}{mark}", s.id, s.name, s.section.unwrap_or("-"))
            };
            for (place, student) in roster.iter().enumerate() {
                assert_eq!(roster.find(student.id), Some(place));
            }
            (roster.iter().map(row).collect(), told(notes))
        }
        Err(errors) => (vec![], told(errors)),
    }
}

#[test]
fn columns_are_found_by_their_headings() {
    let cases = [
        (
            "id,name,section\n007, Ada B. ,A\n7,Cy,\n",
            &["007=Ada B./A", "7=Cy/-"][..],
        ),
        (
            "Class;Last name;First name;Student ID\n5a;O'Neil;Mo;x1\n",
            &["x1=Mo O'Neil/5a"],
        ),
        ("Nr;Name;Vorname;Klasse\n1;Öz;Ali;7b\n", &["1=Ali Öz/7b"]),
        ("Student,ID\nAda,1\n", &["1=Ada/-"]),
        ("student\nS1\n", &["S1=/-"]),
        ("No,Student ID,Name\n1,S1,Ada\n", &["S1=Ada/-"]),
        (
            "Identifiant,Nom,Prénom,Groupe\n1,Zoé,Li,g\n2,Keala,,g\n",
            &["1=Li Zoé/g", "2=Keala/g"],
        ),
        (
            "id,name,decimal_mark\n1,A,.\n2,B,\",\"\n3,C,\n4,D,Komma\n",
            &["1=A/-/.", "2=B/-/,", "3=C/-", "4=D/-/,"],
        ),
        ("学号,姓名\n01,王\n", &["01=王/-"]),
    ];
    for (text, expected) in cases {
        assert_eq!(read(text, &RosterColumns::default()).0, expected, "{text}");
    }
}

#[test]
fn declared_columns_count() {
    let declared = RosterColumns {
        id: Some("Locker".into()),
        name: Some("called".into()),
        section: Some("House".into()),
        ..RosterColumns::default()
    };
    let text = "id,Locker,Called,House\n1,L9,Ada,Red\n";
    assert_eq!(
        read(text, &declared),
        (
            vec!["L9=Ada/Red".into()],
            vec!["1 the column 'id' is not used".into()]
        )
    );
    let (rows, told) = read("id,Lokker,Called,House\n1,L9,Ada,Red\n", &declared);
    assert_eq!(
        (rows, told[0].as_str()),
        (
            vec![],
            "1 no column is headed 'Locker', which --id-column names"
        )
    );
}

#[test]
fn all_that_is_wrong_is_told() {
    let text = "id,name,decimal\n1,A,x\n,B,\n1,C,\n2\n3,D,.\n 3 ,E,.\n";
    let (_, told) = read(text, &RosterColumns::default());
    assert_eq!(
        told,
        [
            "2 expected a decimal mark, found 'x'",
            "3 expected a student's id in column 'id', found an empty cell",
            "4 the id '1' stands here and in line 2",
            "5 expected 3 cells as in the heading, found 1",
            "7 the id '3' stands here and in line 6",
        ]
    );
    let one = |text| read(text, &RosterColumns::default()).1.join("\n");
    assert_eq!(
        one("id,name\n"),
        "0 expected students below the heading, found none"
    );
    assert_eq!(
        one("a,b\n1,2\n"),
        "1 expected a column of student ids, found the headings 'a' and 'b'"
    );
    assert!(
        one("id,student number\n1,2\n")
            .contains("expected one column of ids, found 'id' and 'student number'")
    );
    assert!(one("id,name\n1\u{200b},A\n").contains("1<U+200B>"));
}

#[test]
fn a_student_takes_few_bytes() {
    use std::fmt::Write as _;
    let mut text = String::from("id,name,section\n");
    for number in 0..200_000 {
        writeln!(
            text,
            "{number:06},Given{} Family{},{}",
            number % 1000,
            number % 777,
            number % 30
        )
        .unwrap();
    }
    let (roster, _) = Roster::read(Cursor::new(text), "r.csv", &RosterColumns::default()).unwrap();
    assert_eq!(roster.len(), 200_000);
    assert_eq!(roster.find("123456"), Some(123_456));
    assert_eq!(roster.find("1234567"), None);
    let bytes = roster.bytes() as f64 / 200_000.0;
    assert!(bytes < 56.0, "{bytes} bytes a student");
}
