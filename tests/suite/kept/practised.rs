//! What is practised after a sheet was marked, through the whole program.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;

use super::{Course, ROPES};

type Row = BTreeMap<String, String>;

/// The rows of a table, by heading.
fn rows(text: &str) -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.deserialize().map(Result::unwrap).collect()
}

/// The number of a given of `ropes-1`.
fn number(row: &Row, given: &str) -> f64 {
    row[given].split_once(' ').unwrap().0.parse().unwrap()
}

/// All numbers of a row.
fn numbers(row: &Row) -> Vec<String> {
    ["mB", "mM", "mS"].map(|given| row[given].clone()).to_vec()
}

/// Marks the class: two leave the star out of the acceleration, two take the weight of the sandbag for the
/// tension, one makes a mistake that nobody else makes, all else is right.
fn marked(course: &Course) -> Vec<Row> {
    let issued = rows(&course.issue());
    let mut answers = "student,a,b,c,d,e,b.working,c.working\n".to_owned();
    for (at, row) in issued.iter().enumerate() {
        let [bag, moon, star] = ["mB", "mM", "mS"].map(|given| number(row, given));
        let g = 9.8;
        let a = (bag - moon - star) * g / (bag + moon + star);
        let upper = bag * (g - a);
        let lower = star * (g + a);
        let turn = if a > 0.0 { "down" } else { "up" };
        let (b, c) = match at {
            0 | 3 => ((bag - moon) * g / (bag + moon), upper),
            1 | 5 => (a, bag * g),
            2 => ((bag - moon - star) / (bag + moon + star), upper),
            _ => (a, upper),
        };
        let _ = writeln!(
            answers,
            "{},{turn},{:.4} m/s^2,{c:.3} N,{lower:.3} N,0,0,0",
            row["student"],
            b.abs()
        );
    }
    course.write("answers.csv", &answers);
    course.mark("answers.csv");
    issued
}

/// Who shares a mistake gets the parts lost, with numbers that nobody holds; the record stays as it was.
#[test]
fn a_shared_mistake_is_practised_with_fresh_numbers() {
    let course = Course::new();
    let issued = marked(&course);
    let record = || fs::read(course.record()).unwrap();
    let before = record();
    let practise = |more: &[&str]| {
        let arguments = [&["reissue"], &ROPES[..], &["--practice"], more].concat();
        course.ends(0, &arguments)
    };
    let first = practise(&[]);
    let table = rows(&first.stdout);
    let expected: Vec<&String> = [0, 1, 3, 5].map(|at| &issued[at]["student"]).to_vec();
    let students: Vec<&String> = table.iter().map(|row| &row["student"]).collect();
    assert_eq!(students, expected, "{}", first.stdout);
    for (row, lost) in table.iter().zip(["b", "c", "b", "c"]) {
        assert!(row["parts"].split(' ').any(|part| part == lost), "{row:?}");
        assert!(!row["parts"].contains('a'), "{row:?}");
    }
    let star_out = "star left out";
    assert!(table[0]["mistakes"].contains(star_out) && table[2]["mistakes"].contains(star_out));
    assert!(table[1]["mistakes"].contains("weight of the sandbag"));
    assert!(
        first.stderr.contains("4 students practise"),
        "{}",
        first.stderr
    );
    // No name stands in what may be seen over a shoulder.
    for row in &table {
        assert!(!first.stderr.contains(&row["name"]) && !first.stderr.contains(&row["student"]));
    }
    let held: BTreeSet<Vec<String>> = issued.iter().map(numbers).collect();
    let drawn: BTreeSet<Vec<String>> = table.iter().map(numbers).collect();
    assert_eq!(drawn.len(), table.len());
    assert!(held.is_disjoint(&drawn));
    // The same again, until another set is asked for.
    assert_eq!(practise(&[]).stdout, first.stdout);
    let second = rows(&practise(&["--set", "2"]).stdout);
    let second: BTreeSet<Vec<String>> = second.iter().map(numbers).collect();
    assert!(second.is_disjoint(&drawn) && second.is_disjoint(&held));
    let json = practise(&["--json"]).stdout;
    let line: serde_json::Value = serde_json::from_str(json.lines().next().unwrap()).unwrap();
    assert_eq!(
        (&line["set"], line["code"].as_str()),
        (&1.into(), Some(&table[0]["code"][..]))
    );
    assert_eq!(line["givens"]["mB"], table[0]["mB"].as_str());
    assert!(record() == before, "the record was written");
}

/// The numbers for the board are nobody's, and come with the way to the answers.
#[test]
fn the_board_has_numbers_that_nobody_holds() {
    let course = Course::new();
    let issued = marked(&course);
    let arguments = [&["reissue"], &ROPES[..], &["--board"]].concat();
    let text = course.ends(0, &arguments).stdout;
    let line = text.lines().find(|line| line.trim().starts_with("numbers"));
    let line = line.unwrap();
    let of = |row: &Row| {
        ["mB", "mM", "mS"]
            .iter()
            .all(|given| line.contains(&format!("{given} = {}", row[*given])))
    };
    assert!(!issued.iter().any(of), "{line}");
    assert!(text.contains("answer"), "{text}");
    let practice = [&["reissue"], &ROPES[..], &["--practice"]].concat();
    let practice = rows(&course.ends(0, &practice).stdout);
    assert!(!practice.iter().any(of), "{line}");
    assert_eq!(course.ends(0, &arguments).stdout, text);
}

#[test]
fn practice_needs_a_mistake_that_is_shared_and_a_folder_for_both() {
    let course = Course::new();
    course.issue();
    course.write("answers.csv", "student,a,b\n");
    let both = [&["reissue"], &ROPES[..], &["--practice", "--board"]].concat();
    assert!(course.ends(2, &both).stderr.contains("--out DIR"));
    let practice = [&["reissue"], &ROPES[..], &["--practice"]].concat();
    let told = course.ends(2, &practice).stderr;
    assert!(
        told.contains("share a mistake") && told.contains("`report`"),
        "{told}"
    );
    // The board needs no such mistake.
    let both = [&practice[..], &["--board", "--out", "next"]].concat();
    let told = course.ends(1, &both).stderr;
    assert!(told.contains("warning: no two papers"), "{told}");
    let board = course.path("next/board-key.pdf").exists();
    assert_eq!(board, paperweight::paper::IS_BUILT_IN);
    // The folder is made and gets the table, whether PDFs are built in or not.
    marked(&course);
    course.ends(0, &[&practice[..], &["--board", "--out", "next"]].concat());
    let table = fs::read_to_string(course.path("next/practice.csv")).unwrap();
    assert_eq!(rows(&table).len(), 4, "{table}");
    course.ends(0, &[&practice[..], &["--out", "next"]].concat());
    // Neither a table of somebody else's nor that of another class is written over.
    course.write(
        "next/practice.csv",
        &table.replacen(&rows(&table)[0]["code"], "BX245QT", 1),
    );
    course.ends(2, &[&practice[..], &["--out", "next"]].concat());
    course.write("next/practice.csv", "student,name\nmine,\n");
    course.ends(2, &[&practice[..], &["--out", "next"]].concat());
    let both = [
        &["reissue"],
        &ROPES[..],
        &["--student", "004071", "--set", "2"],
    ]
    .concat();
    assert!(course.ends(2, &both).stderr.contains("--set"));
}

/// Where papers come in versions, or are the same for all, each still practises with numbers of their own, and
/// no set has those of another while the draws last.
#[test]
fn practice_is_ones_own_where_papers_are_not() {
    for variants in ["4", "1"] {
        let course = Course::new();
        course.edit("variants = \"student\"", &format!("variants = {variants}"));
        let issued = marked(&course);
        let held: BTreeSet<Vec<String>> = issued.iter().map(numbers).collect();
        assert_eq!(held.len().to_string(), variants);
        let mut seen = held;
        for set in ["1", "2", "20"] {
            let more = ["--practice", "--set", set];
            let table = rows(
                &course
                    .ends(0, &[&["reissue"], &ROPES[..], &more].concat())
                    .stdout,
            );
            assert_eq!(table.len(), 4, "{table:?}");
            for row in &table {
                assert!(seen.insert(numbers(row)), "{set} {row:?}");
            }
            let more = ["--board", "--set", set];
            let board = course.ends(0, &[&["reissue"], &ROPES[..], &more].concat());
            assert!(board.stdout.contains("numbers") && board.stderr.is_empty());
        }
    }
}

/// Where there are no more numbers than students, that somebody holds them is said.
#[test]
fn numbers_that_are_held_are_told() {
    let course = Course::new();
    course.edit(
        "{ from = \"2.50 kg\", to = \"7.50 kg\", step = \"0.25 kg\" }",
        "{ pick = [\"6.50 kg\", \"6.75 kg\"] }",
    );
    course.edit(
        "{ from = \"2.00 kg\", to = \"4.00 kg\", step = \"0.20 kg\" }",
        "{ pick = [\"2.60 kg\", \"2.80 kg\"] }",
    );
    course.edit(
        "{ from = \"1.00 kg\", to = \"2.50 kg\", step = \"0.10 kg\" }",
        "{ pick = [\"1.30 kg\", \"1.40 kg\"] }",
    );
    marked(&course);
    let practice = course.ends(0, &[&["reissue"], &ROPES[..], &["--practice"]].concat());
    assert!(
        practice
            .stderr
            .contains("4 students practise with numbers that somebody holds"),
        "{}",
        practice.stderr
    );
    let board = course.ends(0, &[&["reissue"], &ROPES[..], &["--board"]].concat());
    assert!(
        board
            .stderr
            .contains("somebody holds the numbers for the board"),
        "{}",
        board.stderr
    );
}

/// What is printed is what the table says: each student's numbers, the parts lost and no others; the key has
/// their answers, worked out here.
#[cfg(feature = "paper")]
#[test]
fn practice_is_printed_with_the_parts_lost_alone() {
    use crate::paper::{pages, squeezed};
    let course = Course::new();
    marked(&course);
    let more = ["--practice", "--board", "--out", "next"];
    course.ends(0, &[&["reissue"], &ROPES[..], &more].concat());
    let table = rows(&fs::read_to_string(course.path("next/practice.csv")).unwrap());
    let papers = pages(&course.path("next/practice.pdf"));
    assert_eq!(papers.len(), table.len());
    let asks = [
        ("a", "Doesthesandbagmoveupordown?"),
        ("b", "Findthesizeoftheacceleration"),
        ("c", "Findthetensionintheropeoverthepulley"),
        ("d", "Findthetensionintheropebetween"),
        ("e", "Drawtheforces"),
    ];
    let key = pages(&course.path("next/practice-key.pdf")).concat();
    for (row, paper) in table.iter().zip(&papers) {
        for given in ["mB", "mM", "mS"] {
            assert!(
                paper.contains(&squeezed(&row[given])),
                "{given} {row:?}\n{paper}"
            );
        }
        for (id, ask) in asks {
            let is_lost = row["parts"].split(' ').any(|part| part == id);
            assert_eq!(paper.contains(ask), is_lost, "{id} {row:?}\n{paper}");
        }
        assert!(!paper.contains("points"), "{paper}");
        let [bag, moon, star] = ["mB", "mM", "mS"].map(|given| number(row, given));
        let a = (bag - moon - star) * 9.8 / (bag + moon + star);
        let answer = match row["parts"].as_str() {
            "b" => a,
            _ => bag * (9.8 - a),
        };
        let answer = paperweight::quantity::numeral_of(answer, 3).unwrap();
        let answer = answer.printed(paperweight::text::DecimalMark::Point);
        assert!(
            paper.contains(&format!("practice{}", row["code"])),
            "{paper}"
        );
        assert!(key.contains(&squeezed(&answer)), "{answer} {row:?}\n{key}");
    }
    let board = pages(&course.path("next/board.pdf")).concat();
    let worked = pages(&course.path("next/board-key.pdf")).concat();
    assert!(asks.iter().all(|(_, ask)| board.contains(ask)), "{board}");
    assert!(
        worked.contains("Workedsolution") && worked.contains("board"),
        "{worked}"
    );
    for row in &table {
        assert!(!board.contains(&squeezed(&row["name"])));
    }
}
