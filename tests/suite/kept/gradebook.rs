//! A gradebook that is kept elsewhere is filled by the built program: what it takes, what it leaves alone, and
//! that it is the old file or the new one whatever happens meanwhile.

use std::fs;
use std::process::{Command, Stdio};
use std::time::Duration;

use super::{ANSWERS, Course, ROPES, run};

/// The gradebook of the class: semicolons, CRLF, a title row, a mark that was typed in by hand (004118), an id
/// that lost its zeros (000095), a student less (004855) and one more.
fn gradebook(course: &Course, name: &str) -> String {
    fs::copy(course.path("gradebook-set-3.csv"), course.path(name)).unwrap();
    read(course, name)
}

/// What stands in a column of a file of marks for a student; names may hold commas.
fn cell(csv: &str, id: &str, heading: &str) -> String {
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let at = reader
        .headers()
        .unwrap()
        .iter()
        .position(|at| at == heading)
        .unwrap();
    let mut rows = reader.records().map(Result::unwrap);
    let row = rows.find(|row| &row[0] == id).unwrap();
    row[at].to_owned()
}

pub(super) fn marked() -> Course {
    let course = Course::new();
    course.issue();
    course.mark(ANSWERS);
    // The numbers of a neighbour need a look before there is a mark; it is taken by setting the points.
    for part in ["b", "c", "d"] {
        let looked = ["--part", part, "--points", "0", "--note", "looked at"];
        let of = ["adjust", ROPES[0], "--student", "004855"];
        course.ends(0, &[&of[..], &looked[..]].concat());
    }
    course
}

fn read(course: &Course, name: &str) -> String {
    fs::read_to_string(course.path(name)).unwrap()
}

/// The cell of a student, found by hand.
fn mark<'a>(text: &'a str, id: &str) -> &'a str {
    let start = format!("{id};");
    let row = text.lines().find(|line| line.starts_with(&start)).unwrap();
    let behind = row.rsplit_once(";7;").unwrap().1;
    behind.split_once(';').unwrap().0
}

const INTO: [&str; 4] = ["export", ROPES[0], "--into", "grades.csv"];

fn with<'a>(more: &[&'a str]) -> Vec<&'a str> {
    [&INTO[..], more].concat()
}

/// Whoever writes 0,5 in the other columns wants no 8.5 in this one, which a spreadsheet takes for a day.
#[test]
fn decimal_commas_of_other_columns_are_noticed() {
    let course = marked();
    let out = ["adjust", ROPES[0], "--student", "004071", "--part", "b"];
    course.ends(
        0,
        &[&out[..], &["--points", "1.5", "--note", "half"]].concat(),
    );
    // a class is no number
    course.write(
        "grades.csv",
        "id;Klasse;ropes-1\n004071;10,2;\n004118;10,2;\n",
    );
    let shown = course.run(&with(&["--dry-run"])).stderr;
    assert!(!shown.contains("decimal"), "{shown}");
    let text = "id;Test 1;ropes-1\n004071;0,5;\n004118;12;\n";
    for (settings, is_told) in [
        (None, true),
        (Some("[gradebook]\ndecimal = \"point\"\n"), false),
        (Some("[gradebook]\ndecimal = \"comma\"\n"), false),
    ] {
        course.write("grades.csv", text);
        if let Some(settings) = settings {
            course.write("course.toml", settings);
        }
        let shown = course.run(&with(&["--dry-run"]));
        let told = "the column 'Test 1' has decimal commas, these marks decimal points";
        assert_eq!(shown.stderr.contains(told), is_told, "{}", shown.stderr);
    }
}

#[test]
fn a_column_is_filled_and_nothing_else_is_touched() {
    let course = marked();
    let marks = course.export();
    let before = gradebook(&course, "grades.csv");
    // a mark that was typed in keeps the column from being filled
    let refused = course.ends(2, &INTO);
    for words in ["004118: '9' stands there", "--keep", "--overwrite"] {
        assert!(refused.stderr.contains(words), "{}", refused.stderr);
    }
    assert_eq!(read(&course, "grades.csv"), before);
    let shown = course.ends(1, &with(&["--dry-run", "--keep"]));
    assert_eq!(
        read(&course, "grades.csv"),
        before,
        "a dry run changes nothing"
    );
    assert!(shown.stdout.contains("004071"), "{}", shown.stdout);
    for words in [
        "--link '000095=95'",
        "004855",
        "009999",
        "heading in line 3",
    ] {
        assert!(shown.stderr.contains(words), "{}", shown.stderr);
    }
    let cells = course
        .ends(1, &with(&["--dry-run", "--keep", "--json"]))
        .stdout;
    let cells: serde_json::Value = serde_json::from_str(&cells).unwrap();
    assert_eq!(cells["written"], false);
    assert_eq!(cells["changes"][0]["student"], "004071");
    assert_eq!(
        (&cells["left"][0]["now"], &cells["left"][0]["then"]),
        (&"9".into(), &"13".into())
    );
    assert_eq!(read(&course, "grades.csv"), before);
    let done = course.ends(1, &with(&["--keep", "--link", "000095=95"]));
    let after = read(&course, "grades.csv");
    let mut expected = before.clone();
    for line in marks.lines().skip(1) {
        let id = line.split(',').next().unwrap();
        let total = cell(&marks, id, "total");
        let id = if id == "000095" { "95" } else { id };
        let row = before
            .lines()
            .find(|line| line.starts_with(&format!("{id};")));
        if let Some(row) = row {
            expected = expected.replace(row, &row.replacen(";7;;", &format!(";7;{total};"), 1));
        }
    }
    assert_eq!(after, expected);
    assert_eq!(
        (mark(&after, "004118"), mark(&after, "95")),
        ("9", &*cell(&marks, "000095", "total"))
    );
    assert!(done.stdout.contains("left"), "{}", done.stdout);
    // again: nothing is left to do, and the file is not even written; the link is remembered
    let time = fs::metadata(course.path("grades.csv"))
        .unwrap()
        .modified()
        .unwrap();
    let again = course.ends(1, &with(&["--keep"]));
    assert!(again.stdout.contains("no cell changes"), "{}", again.stdout);
    assert_eq!(
        fs::metadata(course.path("grades.csv"))
            .unwrap()
            .modified()
            .unwrap(),
        time
    );
    assert_eq!(
        read(&course, "gradebook-links.csv"),
        "class,student,gradebook_id\r\nset-3,000095,95\r\n"
    );
}

#[test]
fn what_was_written_is_ours_until_somebody_changes_it() {
    let course = marked();
    gradebook(&course, "grades.csv");
    course.ends(1, &with(&["--keep", "--link-near"]));
    let adjust = |points: &str| {
        let part = ["--part", "b", "--points", points, "--note", "seen"];
        course.ends(
            0,
            &[&["adjust", ROPES[0], "--student", "004071"], &part[..]].concat(),
        );
    };
    // Another mark takes the place of ours.
    adjust("1");
    let first = mark(&read(&course, "grades.csv"), "004071").to_owned();
    let done = course.ends(1, &with(&["--keep"]));
    assert!(
        done.stdout.contains("written by this program before"),
        "{}",
        done.stdout
    );
    let second = mark(&read(&course, "grades.csv"), "004071").to_owned();
    assert_ne!(first, second);
    // The gradebook's own program writes it in another way: it is ours still.
    let text =
        read(&course, "grades.csv").replace(&format!(";7;{second};"), &format!(";7;{second}.00;"));
    course.write("grades.csv", &text);
    adjust("2");
    let done = course.ends(1, &with(&["--keep", "--dry-run"]));
    assert!(
        done.stdout.contains("written by this program before"),
        "{}",
        done.stdout
    );
    // Changed by hand since: shown, and left.
    let text = read(&course, "grades.csv");
    let row = text
        .lines()
        .find(|line| line.starts_with("004071;"))
        .unwrap();
    let by_hand = text.replace(row, &row.replace(&format!(";7;{second}.00;"), ";7;5.5;"));
    course.write("grades.csv", &by_hand);
    let refused = course.ends(2, &INTO);
    let words = format!("'5.5' stands there, changed since '{second}' was written");
    assert!(refused.stderr.contains(&words), "{}", refused.stderr);
    let kept = course.ends(1, &with(&["--keep"]));
    assert!(kept.stdout.contains("changed by hand"), "{}", kept.stdout);
    assert_eq!(mark(&read(&course, "grades.csv"), "004071"), "5.5");
    course.ends(1, &with(&["--overwrite"]));
    assert_ne!(mark(&read(&course, "grades.csv"), "004071"), "5.5");
    // Deleted by hand: that is a decision, too.
    let text = read(&course, "grades.csv");
    let third = mark(&text, "004071");
    let row = text.lines().find(|line| line.starts_with("004071;"));
    let row = row.unwrap();
    let emptied = text.replace(row, &row.replace(&format!(";7;{third};"), ";7;;"));
    course.write("grades.csv", &emptied);
    let refused = course.ends(2, &INTO);
    let words = format!("emptied since '{third}' was written");
    assert!(refused.stderr.contains(&words), "{}", refused.stderr);
    course.ends(1, &with(&["--keep"]));
    assert_eq!(read(&course, "grades.csv"), emptied);
    course.ends(1, &with(&["--overwrite"]));
    assert_eq!(read(&course, "grades.csv"), text);
    // A gradebook of another kind with the same marks in a few cells: none of them is ours, nor is one of its
    // empty cells emptied.
    let other = gradebook(&course, "other.csv").replace("004071;", "000000;");
    let row = other.lines().find(|line| line.starts_with("004118;"));
    let row = row.unwrap();
    let ours = mark(&read(&course, "grades.csv"), "004118").to_owned();
    let typed = row.replace(";7;9;", &format!(";7;{ours};"));
    course.write("other.csv", &other.replace(row, &typed));
    let adjusted = |points: &str| {
        let part = ["--part", "b", "--points", points, "--note", "seen"];
        let student = ["adjust", ROPES[0], "--student", "004118"];
        course.ends(0, &[&student[..], &part[..]].concat());
    };
    adjusted("1");
    let other = ["export", ROPES[0], "--into", "other.csv"];
    let refused = course.ends(2, &other);
    let words = format!("004118: '{ours}' stands there; ");
    assert!(refused.stderr.contains(&words), "{}", refused.stderr);
    assert!(!refused.stderr.contains("emptied"), "{}", refused.stderr);
    // The same gradebook under another name.
    fs::rename(course.path("grades.csv"), course.path("grades-2.csv")).unwrap();
    adjust("3");
    let done = course.ends(1, &["export", ROPES[0], "--into", "grades-2.csv"]);
    assert!(
        done.stdout.contains("written by this program before"),
        "{}",
        done.stdout
    );
}

/// Where nobody says how the gradebook writes decimals, it is as the class does.
#[test]
fn a_class_of_decimal_commas_gets_its_marks_with_commas() {
    let course = marked();
    let adjust = ["adjust", ROPES[0], "--student", "004772", "--part", "c"];
    let half = ["--points", "2.5", "--note", "shown"];
    course.ends(0, &[&adjust[..], &half].concat());
    let marks = course.export();
    course.ends(
        0,
        &[&["issue"], &ROPES[..], &["--decimal", "comma"]].concat(),
    );
    gradebook(&course, "grades.csv");
    course.run(&with(&["--overwrite", "--link-near"]));
    let text = read(&course, "grades.csv");
    let halves = marks.lines().skip(1).filter_map(|line| {
        let id = line.split(',').next()?;
        let total = cell(&marks, id, "total");
        let is_marked = cell(&marks, id, "status") == "marked";
        (is_marked && total.contains('.')).then(|| (id.to_owned(), total.replace('.', ",")))
    });
    let halves: Vec<(String, String)> = halves.collect();
    assert!(!halves.is_empty());
    for (id, total) in halves {
        assert!(text.contains(&total), "{id}: {total} in {text}");
    }
}

#[test]
fn the_courses_file_says_how_marks_are_written() {
    let course = marked();
    let marks = course.export();
    gradebook(&course, "grades.csv");
    course.write(
        "course.toml",
        "[gradebook]\ncolumn = \"{code}\"\nmarks = \"percent\"\ndecimals = 0\nabsent = \"abs\"\n\
         excused = \"exc\"\nunmarked = \"open\"\n",
    );
    course.ends(1, &with(&["--overwrite", "--link-near"]));
    let text = read(&course, "grades.csv");
    for line in marks.lines().skip(1) {
        let id = line.split(',').next().unwrap();
        let total = cell(&marks, id, "total");
        let expected = match &*cell(&marks, id, "status") {
            "absent" => "abs".to_owned(),
            "excused" => "exc".to_owned(),
            "needs a look" | "partly marked" => "open".to_owned(),
            _ => {
                let percent: f64 = total.parse::<f64>().unwrap() / 13.0 * 100.0;
                percent.round().to_string()
            }
        };
        let id = if id == "000095" { "95" } else { id };
        if id != "004855" {
            assert_eq!(mark(&text, id), expected, "{id}");
        }
    }
    course.write(
        "course.toml",
        "[gradebook]\nscale = { A = \"90%\", B = \"50%\" }\nabsnt = \"x\"\n",
    );
    let refused = course.ends(2, &INTO);
    for words in [
        "does not reach down to 0",
        "course.toml:3",
        "did you mean `absent`",
    ] {
        assert!(refused.stderr.contains(words), "{}", refused.stderr);
    }
    course.write(
        "course.toml",
        "[gradebook]\nscale = { A = \"90%\", B = \"50%\", C = 0 }\n",
    );
    course.ends(1, &with(&["--overwrite"]));
    let text = read(&course, "grades.csv");
    assert_eq!(mark(&text, "004071"), "A");
    // a word of ours that no longer stands is told, and not taken away
    assert_eq!(mark(&text, "004725"), "abs");
    course.ends(1, &with(&["--overwrite", "--out-of", "26"]));
    assert_eq!(mark(&read(&course, "grades.csv"), "004071"), "26");
}

#[test]
fn who_was_not_keyed_is_not_absent() {
    let course = Course::new();
    course.issue();
    course.ends(0, &["attend", ROPES[0], "--student", "004071", "--present"]);
    let part = ["--part", "b", "--points", "2", "--note", "seen"];
    course.ends(
        0,
        &[&["adjust", ROPES[0], "--student", "004071"], &part[..]].concat(),
    );
    gradebook(&course, "grades.csv");
    let before = read(&course, "grades.csv");
    course.ends(1, &with(&["--keep"]));
    assert_eq!(
        read(&course, "grades.csv"),
        before,
        "nothing is marked wholly"
    );
    course.ends(1, &with(&["--keep", "--partial"]));
    assert_ne!(mark(&read(&course, "grades.csv"), "004071"), "");
}

#[test]
fn links_have_to_lead_somewhere() {
    let course = marked();
    let before = gradebook(&course, "grades.csv");
    for (link, words) in [
        ("00095=95", "did you mean '000095'"),
        ("000095=96", "no row has the id '96'"),
        ("000095", "expected ID=CELL"),
        ("004071=009999", "stands here and in line"),
    ] {
        let found = course.ends(2, &with(&["--keep", "--link", link]));
        assert!(found.stderr.contains(words), "{}", found.stderr);
    }
    for points in ["0", "1000001", "79228162514264337593543950335"] {
        let found = course.ends(2, &with(&["--keep", "--out-of", points]));
        let words = "expected a number above 0, and 1000000 at most";
        assert!(found.stderr.contains(words), "{}", found.stderr);
    }
    assert_eq!(read(&course, "grades.csv"), before);
    assert!(!course.path("gradebook-links.csv").exists());
}

/// A spreadsheet program has taken the zeros from all ids: every one is listed, and taken in one go if that is
/// said.
#[test]
fn a_whole_class_without_its_zeros() {
    let course = marked();
    let text = gradebook(&course, "grades.csv")
        .replace("004118;", "4118;")
        .replace(";7;9;", ";7;;");
    let text: String = text
        .split_inclusive("\r\n")
        .map(|line| line.trim_start_matches('0'))
        .collect();
    course.write("grades.csv", &text);
    let shown = course.ends(1, &with(&["--dry-run"]));
    assert_eq!(
        shown.stderr.matches("without its leading zeros").count(),
        23
    );
    assert!(
        shown.stderr.contains("--link-near takes them all"),
        "{}",
        shown.stderr
    );
    assert!(shown.stdout.contains("no cell changes"), "{}", shown.stdout);
    course.ends(1, &with(&["--link-near"]));
    assert_eq!(mark(&read(&course, "grades.csv"), "4071"), "13");
    assert_eq!(read(&course, "gradebook-links.csv").lines().count(), 24);
}

#[test]
fn letters_and_pseudonyms() {
    let course = marked();
    let marks = course.export();
    let letters = course.ends(0, &["export", ROPES[0], "--letters"]).stdout;
    assert!(
        letters.starts_with("student,name,section,status,total,out_of,feedback\r\n"),
        "{letters}"
    );
    assert!(letters.contains("\r\n004071,Amina Okonjo-Bello,A,marked,13,13,All parts right.\r\n"));
    assert_eq!(letters.matches("\r\n").count(), 25);
    // what is said of a paper that is not settled may still change
    let open = |letters: &str| {
        let ids = marks
            .lines()
            .skip(1)
            .filter_map(|line| line.split(',').next());
        let status =
            |id: &&str| ["partly marked", "needs a look"].contains(&&*cell(&marks, id, "status"));
        let told = ids.filter(status).map(|id| cell(letters, id, "feedback"));
        told.collect::<Vec<_>>()
    };
    let told = open(&letters);
    assert!(
        !told.is_empty() && told.iter().all(String::is_empty),
        "{letters}"
    );
    let partial = ["export", ROPES[0], "--letters", "--partial"];
    let told = open(&course.ends(0, &partial).stdout);
    assert!(told.iter().any(|words| !words.is_empty()), "{told:?}");
    let coded = |out: &str, key: &str| {
        ["export", ROPES[0], "--out", out, "--pseudonyms", key].map(str::to_owned)
    };
    let run_coded = |code, out, key| {
        let arguments = coded(out, key);
        course.ends(code, &arguments.each_ref().map(String::as_str))
    };
    run_coded(0, "coded.csv", "key.csv");
    let (text, key) = (read(&course, "coded.csv"), read(&course, "key.csv"));
    let roster = read(&course, ROPES[2]);
    for student in roster.lines().skip(1) {
        let id = student.split(',').next().unwrap();
        assert!(!text.contains(id), "{id}");
        let code = key
            .lines()
            .find(|line| line.contains(&format!(",{id},")))
            .unwrap();
        let code = code.split(',').next().unwrap();
        let total = cell(&marks, id, "total");
        assert_eq!(cell(&text, code, "total"), total, "{id}");
    }
    for name in ["Okonjo", "D’Ambrisi", "欧阳"] {
        assert!(!text.contains(name));
    }
    // other codes and another order each time, and a key is never lost
    let found = run_coded(2, "coded.csv", "key.csv");
    assert!(found.stderr.contains("not replaced"), "{}", found.stderr);
    run_coded(0, "coded.csv", "key-2.csv");
    assert_ne!(read(&course, "key-2.csv"), key);
    let codes = |text: &str| -> Vec<String> {
        text.lines()
            .map(|line| line.split(',').next().unwrap().to_owned())
            .collect()
    };
    assert_ne!(codes(&read(&course, "coded.csv")), codes(&text));
}

#[cfg(unix)]
#[test]
fn what_we_write_is_its_owners_and_a_gradebook_keeps_its_permissions() {
    use std::os::unix::fs::PermissionsExt as _;
    let course = marked();
    gradebook(&course, "grades.csv");
    let path = course.path("grades.csv");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o664)).unwrap();
    let bin = env!("CARGO_BIN_EXE_paperweight");
    let export = format!("umask 000; '{bin}' export {}", ROPES[0]);
    for arguments in [
        "--into grades.csv --keep --link-near",
        "--out coded.csv --pseudonyms key.csv",
        "--out letters.csv --letters",
    ] {
        let mut shell = Command::new("sh");
        shell.current_dir(course.folder.path()).stdin(Stdio::null());
        shell.args(["-c", &format!("{export} {arguments}")]);
        assert!(run(&mut shell).code <= 1, "{arguments}");
    }
    for (name, expected) in [
        ("grades.csv", 0o664),
        ("gradebook-links.csv", 0o600),
        ("coded.csv", 0o600),
        ("key.csv", 0o600),
        ("letters.csv", 0o600),
    ] {
        let mode = fs::metadata(course.path(name))
            .unwrap()
            .permissions()
            .mode();
        assert_eq!(mode & 0o777, expected, "{name}");
    }
}

/// A gradebook so large that writing it takes a while.
pub(super) fn large(course: &Course) -> String {
    let mut text = gradebook(course, "grades.csv");
    for at in 0..12_000 {
        text += &format!(
            "9{at:06};\"Somebody Else\";7;;\"a long note, to fill the row with something\"\r\n"
        );
    }
    course.write("grades.csv", &text);
    text
}

/// A file that may not grow stands for a full disk: the old gradebook stands, and nothing lies beside it.
#[cfg(unix)]
#[test]
fn a_full_disk_leaves_the_old_gradebook() {
    let course = marked();
    let before = large(&course);
    let files = || fs::read_dir(course.folder.path()).unwrap().count();
    let count = files();
    let record = fs::metadata(course.record()).unwrap().len() / 512;
    let blocks = record + 200;
    assert!(blocks * 512 < before.len() as u64);
    let bin = env!("CARGO_BIN_EXE_paperweight");
    let mut shell = Command::new("sh");
    shell.current_dir(course.folder.path()).stdin(Stdio::null());
    let fill = format!("'{bin}' {} --keep", INTO.join(" "));
    shell.args(["-c", &format!("trap '' XFSZ; ulimit -f {blocks}; {fill}")]);
    let found = run(&mut shell);
    assert_eq!(found.code, 3, "{}", found.stderr);
    assert_eq!(read(&course, "grades.csv"), before);
    assert_eq!(files(), count);
    // what was not written is not called ours
    let after = course.ends(1, &with(&["--keep"]));
    assert!(after.stdout.contains("cells filled"), "{}", after.stdout);
}

/// The record fails when the gradebook is in place already: that is said, for its marks are not known as ours.
#[test]
fn a_record_that_fails_behind_the_gradebook_is_told() {
    let course = marked();
    gradebook(&course, "grades.csv");
    course.ends(0, &["export", ROPES[0]]);
    let record = rusqlite::Connection::open(course.record()).unwrap();
    // no number is left for another cell
    let fail = "INSERT INTO sqlite_sequence (name, seq) VALUES ('written', 9223372036854775807)";
    record.execute_batch(fail).unwrap();
    drop(record);
    let found = course.ends(3, &with(&["--keep"]));
    let words = "the gradebook is filled, and the record does not know of it";
    assert!(found.stderr.contains(words), "{}", found.stderr);
    assert_eq!(mark(&read(&course, "grades.csv"), "004071"), "13");
}

/// Killed at any moment, the program leaves the old gradebook or the new one. (This is a crash of the process,
/// not of the power.)
#[cfg(unix)]
#[test]
fn a_killed_process_leaves_the_old_gradebook_or_the_new_one() {
    let course = marked();
    let before = large(&course);
    course.ends(1, &with(&["--overwrite"]));
    let after = read(&course, "grades.csv");
    let (mut old, mut new) = (0, 0);
    // goes to and fro about the moment at which the file is put in place, however busy the machine is
    let mut pause = Duration::from_millis(20);
    while (old + new < 16 || old.min(new) < 3) && old + new < 100 {
        course.write("grades.csv", &before);
        let mut child = course.command(&with(&["--overwrite"]));
        let mut child = child
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(pause);
        let _ = child.kill();
        child.wait().unwrap();
        let found = read(&course, "grades.csv");
        if found == before {
            old += 1;
            pause = pause.mul_f64(1.4);
        } else {
            assert!(found == after, "killed after {pause:?}: half a file");
            new += 1;
            pause = pause.mul_f64(0.75);
        }
    }
    assert!(
        old > 0 && new > 0,
        "{old} times the old file, {new} times the new one"
    );
}
