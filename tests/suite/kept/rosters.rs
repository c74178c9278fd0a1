//! Lists of classes as they come: shown, compared, taken over, with the built program.

use std::io::Write as _;
use std::path::Path;

use super::*;

const SAMPLE: &str = "tests/oneroster/v1p2";

fn sample() -> String {
    repository().join(SAMPLE).to_string_lossy().into_owned()
}

pub(super) fn snapshot(name: &str, text: &str) {
    let mut settings = insta::Settings::clone_current();
    settings.set_prepend_module_to_snapshot(false);
    settings.set_snapshot_path("../snapshots");
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!(name, text));
}

/// What a run said, with the folder's name out of it.
fn said(course: &Course, found: &Run) -> String {
    let folder = course.folder.path().to_string_lossy().into_owned();
    let text = format!("{}{}", found.stdout, found.stderr);
    let text = text.replace(&folder, "COURSE").replace(&sample(), SAMPLE);
    format!("exit {}\n{text}", found.code)
}

#[test]
fn what_is_understood_is_shown() {
    let course = Course::new();
    fs::write(
        course.path("list.csv"),
        "Physics, winter;;;\r\n\r\nNr;Name;Vorname;Bemerkung\r\n1;Öztürk;Ali;\r\n2;Großmann;Jörg;neu\r\n\r\nStand: November;;;\r\n",
    )
    .unwrap();
    let shown = course.run(&["roster", "show", "list.csv", "--decimal", "comma"]);
    snapshot("roster_show", &said(&course, &shown));
    let shown = course.ends(0, &["roster", "show", "list.csv", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&shown.stdout).unwrap();
    assert_eq!(json["students"][1]["name"], "Jörg Großmann");
    assert_eq!(
        json["columns"]["name"],
        serde_json::json!(["Vorname", "Name"])
    );
    assert_eq!(
        (json["delimiter"].as_str(), json["heading_line"].as_u64()),
        (Some("semicolon"), Some(3))
    );
    let shown = course.run(&["roster", "show", "rosters/set-3.csv"]);
    assert!(
        shown.stdout.contains("sections      A 11, B 13"),
        "{}",
        shown.stdout
    );
}

/// What is open is refused; with the option that the message names the list is read.
#[test]
fn the_option_that_is_named_settles_it() {
    let course = Course::new();
    let cases: [(&[u8], &str, &str); 6] = [
        (b"id,name\n1,Zo\xEB\n", "--encoding", "windows-1252"),
        (
            b"i\0d\0,\0n\0a\0m\0e\0\n\x001\0,\0Z\0o\0\xEB\0\n\0",
            "--encoding",
            "utf-16le",
        ),
        (
            b"Student,,Marks\nID,Name,Q1\n1,Zo\xC3\xAB,3\n",
            "--heading-row",
            "2",
        ),
        (b"id;x,id\n1;Zo\xC3\xAB,2\n", "--delimiter", "comma"),
        (b"id,id,name\n1,2,Zo\xC3\xAB\n", "--id-column", "1"),
        (b"a;b\n1;Zo\xC3\xAB\n", "--id-column", "a"),
    ];
    for (bytes, option, value) in cases {
        fs::write(course.path("list.csv"), bytes).unwrap();
        let refused = course.ends(2, &["roster", "show", "list.csv"]);
        assert!(
            refused.stderr.contains(option),
            "{option}: {}",
            refused.stderr
        );
        let shown = course.ends(0, &["roster", "show", "list.csv", "--json", option, value]);
        let json: serde_json::Value = serde_json::from_str(&shown.stdout).unwrap();
        assert_eq!(json["students"].as_array().unwrap().len(), 1, "{option}");
    }
    // what was said when papers were issued is known ever after
    let text = fs::read_to_string(course.path("rosters/set-3.csv")).unwrap();
    let bytes: Vec<u8> = text
        .chars()
        .map(|c| u8::try_from(c).unwrap_or(b'?'))
        .collect();
    fs::write(course.path("rosters/set-3.csv"), bytes).unwrap();
    course.ends(2, &[&["issue"], &ROPES[..]].concat());
    course.ends(
        0,
        &[&["issue"], &ROPES[..], &["--encoding", "latin1"]].concat(),
    );
    course.ends(1, &["export", ROPES[0], "--out", "marks.csv"]);
    let marks = fs::read_to_string(course.path("marks.csv")).unwrap();
    assert!(marks.contains("Zoë"), "{marks}");
    let again = course.ends(0, &[&["issue"], &ROPES[..]].concat());
    assert!(
        again.stderr.contains("0 papers issued now"),
        "{}",
        again.stderr
    );
    let one = ["--student", "004071"];
    course.ends(0, &[&["explain"], &ROPES[..], &one].concat());
    course.ends(0, &[&["reissue"], &ROPES[..], &one].concat());
    // another option that is said now outranks it
    let other = ["--encoding", "utf-8"];
    course.ends(2, &[&["explain"], &ROPES[..], &one, &other].concat());
    // and does no harm to a file that was saved otherwise since
    fs::write(course.path("rosters/set-3.csv"), text).unwrap();
    course.ends(1, &["export", ROPES[0], "--out", "marks.csv"]);
    let marks = fs::read_to_string(course.path("marks.csv")).unwrap();
    assert!(marks.contains("Zoë"), "{marks}");
    // the record is named, and no option that nobody typed, where the file is another now than it remembers
    let late = ["issue", ROPES[0], "--roster", "late.csv"];
    let explain = [
        "explain",
        ROPES[0],
        "--roster",
        "late.csv",
        "--student",
        "1",
    ];
    let export = ["export", ROPES[0], "--class", "late", "--partial"];
    /// The list at first, the options that it needs, the list later, what is said of it, what is named.
    type Stale<'a> = (&'a str, &'a [&'a str], &'a str, &'a str, &'a str);
    let cases: [Stale<'_>; 4] = [
        (
            "id;x,id\n1;Zoë\n",
            &["--delimiter", "semicolon"],
            "id,name\n1,Zoë\n",
            "the record remembers semicolons for this file, but the heading holds commas",
            "--delimiter=comma",
        ),
        (
            "Student,Marks\nid,name\n1,Zoë\n",
            &["--heading-row", "2"],
            "id,\"the\nname\"\n1,Zoë\n",
            "no row begins in line 2, which the record remembers for the heading",
            "--heading-row=1",
        ),
        (
            "Nr;name\n1;Zoë\n",
            &["--id-column", "Nr", "--delimiter", "semicolon"],
            "Pupil no;name\n1;Zoë\n",
            "no column is headed 'Nr', which the record remembers for the id column",
            "--id-column=Pupil no",
        ),
        // the separator comes before the heading that is not found for it
        (
            "Nr;name\n1;Zoë\n",
            &["--id-column", "Nr", "--delimiter", "semicolon"],
            "Nr,name\n1,Zoë\n",
            "the record remembers semicolons for this file, but the heading holds commas",
            "--delimiter=comma",
        ),
    ];
    for (before, options, now, expected, say) in cases {
        course.write("late.csv", before);
        course.ends(0, &[&late[..], options].concat());
        course.write("late.csv", now);
        let (option, _) = say.split_once('=').unwrap();
        let known = course.ends(2, &explain).stderr;
        let unknown = course.ends(2, &export).stderr;
        for (told, where_to) in [
            (known, "say"),
            (unknown, "say `roster compare --apply` with"),
        ] {
            let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(told.contains(expected), "{told}");
            assert!(told.contains(&format!("{where_to} {option}")), "{told}");
        }
        course.ends(0, &[&explain[..], &[say]].concat());
        let compare = [
            "roster", "compare", "late.csv", "--class", "late", "--apply",
        ];
        course.ends(0, &[&compare[..], &[say]].concat());
        course.ends(0, &explain);
    }
}

/// Who joined, left, has another name, moved: shown, then taken over; papers and marks stay.
#[test]
fn a_new_version_of_a_roster_is_taken_over() {
    let course = Course::new();
    course.issue();
    course.mark(ANSWERS);
    let before = course
        .ends(0, &["export", ROPES[0], "--out", "before.csv"])
        .stdout;
    assert!(before.contains("24 students"));
    let old = fs::read_to_string(course.path("rosters/set-3.csv")).unwrap();
    let mut lines: Vec<String> = old.lines().map(str::to_owned).collect();
    let at =
        |lines: &[String], id: &str| lines.iter().position(|line| line.starts_with(id)).unwrap();
    let place = at(&lines, "004772");
    lines[place] = lines[place].replace("Kovačić", "Kovačić-Berg");
    let place = at(&lines, "004402");
    lines[place] = lines[place].replace(",A", ",B");
    let left = lines.remove(at(&lines, "004118"));
    let changed = lines.remove(at(&lines, "004071"));
    lines.push(changed.replace("004071", "0004071"));
    lines.push("005101,Ilse Brandt,B".into());
    fs::write(course.path("rosters/new.csv"), lines.join("\n")).unwrap();
    let compared = course.run(&["roster", "compare", "rosters/new.csv", "--class", "set-3"]);
    snapshot("roster_compare", &said(&course, &compared));
    // A list that lies elsewhere is compared with the record of the folder one stands in.
    let away = tempfile::tempdir().unwrap();
    let away = away.path().join("new.csv");
    fs::copy(course.path("rosters/new.csv"), &away).unwrap();
    let away = away.to_string_lossy();
    let found = course.ends(1, &["roster", "compare", &away, "--class", "set-3"]);
    assert_eq!(found.stdout, compared.stdout);
    let both = [
        "roster",
        "compare",
        "rosters/set-3.csv",
        "rosters/new.csv",
        "--json",
    ];
    let json: serde_json::Value = serde_json::from_str(&course.ends(1, &both).stdout).unwrap();
    assert_eq!(json["left"], serde_json::json!(["004071", "004118"]));
    assert_eq!(
        json["perhaps_the_same"],
        serde_json::json!([["004071", "0004071"]])
    );
    // nothing has happened yet
    course.ends(0, &["export", ROPES[0], "--out", "same.csv"]);
    let read = |name: &str| fs::read_to_string(course.path(name)).unwrap();
    assert_eq!(read("same.csv"), read("before.csv"));
    let applied = course.ends(
        1,
        &[
            "roster",
            "compare",
            "rosters/new.csv",
            "--class",
            "set-3",
            "--apply",
        ],
    );
    for words in [
        "rosters/new.csv is the roster of set-3 from now on",
        "rosters/set-3.csv stays as it is, and is not the roster of set-3 any more",
        "paperweight issue FILE --roster rosters/new.csv --class set-3",
    ] {
        assert!(applied.stderr.contains(words), "{}", applied.stderr);
    }
    let exported = course.ends(1, &["export", ROPES[0], "--out", "after.csv"]);
    let gone = "not on the roster any more, so left out: 004071, 004118";
    assert!(exported.stderr.contains(gone), "{}", exported.stderr);
    let (before, after) = (read("before.csv"), read("after.csv"));
    let marks_of = |text: &str, id: &str| {
        let line = text.lines().find(|line| line.starts_with(id))?;
        // behind id, name and section
        Some(line.split(',').skip(3).collect::<Vec<_>>().join(","))
    };
    for line in before.lines().skip(1) {
        let id = line.split(',').next().unwrap();
        if ["004118", "004071"].contains(&id) {
            assert_eq!(marks_of(&after, id), None);
        } else {
            assert_eq!(marks_of(&after, id), marks_of(&before, id), "{id}");
        }
    }
    assert!(after.contains("Kovačić-Berg"), "{after}");
    // who comes back has everything that was there
    lines.push(left);
    fs::write(course.path("rosters/new.csv"), lines.join("\n")).unwrap();
    course.ends(1, &["export", ROPES[0], "--out", "after.csv"]);
    assert_eq!(
        marks_of(&read("after.csv"), "004118"),
        marks_of(&before, "004118")
    );
}

/// The old file was written over: the record still knows who has papers.
#[test]
fn a_roster_is_compared_with_what_was_issued() {
    let course = Course::new();
    course.issue();
    let path = course.path("rosters/set-3.csv");
    let text = fs::read_to_string(&path).unwrap();
    fs::write(&path, text.replace("004725", "004799")).unwrap();
    let found = course.ends(0, &["roster", "compare", "rosters/set-3.csv", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&found.stdout).unwrap();
    assert_eq!(
        (&json["joined"][0], &json["left"][0]),
        (&"004799".into(), &"004725".into())
    );
    let refused = course.ends(2, &["roster", "compare", "rosters/set-5.csv"]);
    assert!(
        refused.stderr.contains("nothing to compare with"),
        "{}",
        refused.stderr
    );
}

/// Everything below a folder, as text.
fn all_text(folder: &Path) -> String {
    let mut text = String::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        text += &if path.is_dir() {
            all_text(&path)
        } else {
            String::from_utf8_lossy(&fs::read(&path).unwrap()).into_owned()
        };
    }
    text
}

#[test]
fn rosters_are_taken_from_a_package() {
    let course = Course::new();
    let folder = course.path("taken");
    fs::create_dir(&folder).unwrap();
    let take = [
        "roster",
        "take",
        &sample(),
        "--out",
        "taken",
        "--on",
        "2026-11-25",
    ];
    let first = course.run(&take);
    snapshot("roster_take", &said(&course, &first));
    let written = fs::read_to_string(folder.join("physics-11-b.csv")).unwrap();
    snapshot("roster_taken", &written);
    let everything = all_text(&folder) + &first.stdout + &first.stderr;
    for word in ["secret", "07700", "01632", "@", "2010", "okonjo,", "Okafor"] {
        assert!(
            !everything.contains(word),
            "{word} came through: {everything}"
        );
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let mode = fs::metadata(folder.join("physics-11-a.csv"))
            .unwrap()
            .permissions()
            .mode();
        assert_eq!(mode & 0o777, 0o600);
    }
    // the same once more, then with what the teacher wrote into it
    assert!(course.ends(0, &take).stdout.contains("as it was"));
    let own = written.replace("D’Ambrisi,,,", "D’Ambrisi,,comma,18");
    fs::write(folder.join("physics-11-b.csv"), &own).unwrap();
    let shown = course.ends(0, &["roster", "show", "taken/physics-11-b.csv"]);
    snapshot("roster_show_ours", &said(&course, &shown));
    course.ends(0, &take);
    // a student moved on: shown, and taken over only when told
    let moved = course.path("export");
    fs::create_dir(&moved).unwrap();
    for entry in fs::read_dir(sample()).unwrap() {
        let entry = entry.unwrap();
        let text = fs::read_to_string(entry.path()).unwrap();
        let text = text.replace("c-3b,org-1,p-091", "c-3a,org-1,p-091");
        fs::write(moved.join(entry.file_name()), text).unwrap();
    }
    let again = [
        "roster",
        "take",
        "export",
        "--out",
        "taken",
        "--on",
        "2026-11-25",
    ];
    let shown = course.ends(1, &again);
    assert!(
        shown.stdout.contains("left      004607"),
        "{}",
        shown.stdout
    );
    let read = || fs::read_to_string(folder.join("physics-11-b.csv")).unwrap();
    assert_eq!(read(), own);
    course.ends(0, &[&again[..], &["--apply"]].concat());
    assert!(
        read().contains("D’Ambrisi,,comma,18,p-118") && !read().contains("p-091"),
        "{}",
        read()
    );
}

#[test]
fn a_zip_is_read_where_it_lies() {
    let course = Course::new();
    let mut zip = zip::ZipWriter::new(fs::File::create(course.path("school.zip")).unwrap());
    for entry in fs::read_dir(sample()).unwrap() {
        let entry = entry.unwrap();
        let name = entry.file_name().into_string().unwrap();
        zip.start_file(name, zip::write::SimpleFileOptions::default())
            .unwrap();
        zip.write_all(&fs::read(entry.path()).unwrap()).unwrap();
    }
    zip.finish().unwrap();
    let shown = course.ends(0, &["roster", "show", "school.zip"]).stdout;
    assert!(
        shown.contains("3 classes") && shown.contains("3  Physics 11 B"),
        "{shown}"
    );
    course.ends(0, &["roster", "take", "school.zip", "--only", "PHY-11-B"]);
    assert!(course.path("rosters/physics-11-b.csv").exists());
    assert!(!course.path("rosters/physics-11-a.csv").exists());
    let refused = course.ends(2, &["roster", "take", "school.zip", "--only", "PHY-99"]);
    assert!(
        refused.stderr.contains("the classes are 'Physics 11 A'"),
        "{}",
        refused.stderr
    );
    fs::write(course.path("school.zip"), b"PK\x03\x04 and nothing").unwrap();
    let found = course.ends(2, &["roster", "take", "school.zip"]);
    assert!(
        found.stderr.contains("no zip file, or it was cut off"),
        "{}",
        found.stderr
    );
}

#[test]
fn what_is_not_ours_stays() {
    let course = Course::new();
    let path = course.path("rosters/physics-11-a.csv");
    let take = ["roster", "take", &sample(), "--apply"];
    for (there, expected) in [
        ("id,name\n1,Mine\n".to_owned(), "does not have the columns of a roster of ours"),
        (
            "id,name,section,decimal_mark,print_size,sourced_id,class_sourced_id,school_sourced_id,session_sourced_ids\n\
             1,Mine,,,,p-1,c-other,org-1,t-1\n"
                .to_owned(),
            "this is the roster of the class 'c-other', not of 'c-3a'",
        ),
    ] {
        fs::write(&path, &there).unwrap();
        let refused = course.ends(2, &take);
        assert!(refused.stderr.contains(expected), "{}", refused.stderr);
        assert_eq!(fs::read_to_string(&path).unwrap(), there);
        assert!(!course.path("rosters/physics-11-b.csv").exists(), "all or nothing");
    }
}

/// A list of several classes becomes a roster a class, for which papers can be issued.
#[test]
fn a_list_of_several_classes_is_taken_apart() {
    let course = Course::new();
    fs::write(
        course.path("all.csv"),
        b"Set 7 A\nid;name\n0101;Zo\xEB\n0102;Bo\n\nSet 7 B\nid;name\n0201;Cy\n",
    )
    .unwrap();
    course.ends(
        0,
        &["roster", "take", "all.csv", "--encoding", "windows-1252"],
    );
    let shown = course.ends(0, &["roster", "show", "rosters/set-7-a.csv"]);
    assert!(shown.stdout.contains("0101  Zoë"), "{}", shown.stdout);
    course.ends(0, &["issue", ROPES[0], "--roster", "rosters/set-7-b.csv"]);
    let refused = course.ends(
        2,
        &[
            "roster",
            "take",
            "all.csv",
            "--encoding",
            "windows-1252",
            "--only",
            "Set 9",
        ],
    );
    assert!(
        refused
            .stderr
            .contains("the classes are 'Set 7 A' and 'Set 7 B'"),
        "{}",
        refused.stderr
    );
}
