//! Packages, one fault each, made from the sample sets in `tests/oneroster`.

use std::collections::BTreeMap;
use std::io::{Cursor, Write as _};
use std::path::Path;

use chrono::NaiveDate;
use proptest::prelude::*;
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

use super::*;

/// Files in memory.
#[derive(Clone)]
struct Files(BTreeMap<String, Vec<u8>>);

impl Package for Files {
    fn name(&self) -> &str {
        "export"
    }

    fn bytes(&mut self, file: &str) -> Result<Option<Vec<u8>>, Diagnostic> {
        Ok(self.0.get(file).cloned())
    }
}

fn sample(version: &str) -> Files {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/oneroster")
        .join(version);
    let entries = std::fs::read_dir(folder).unwrap().map(Result::unwrap);
    let files = entries.map(|entry| {
        let name = entry.file_name().into_string().unwrap();
        (name, std::fs::read(entry.path()).unwrap())
    });
    Files(files.collect())
}

/// The sample with one piece of a file replaced.
fn changed(file: &str, from: &str, to: &str) -> Files {
    let mut files = sample("v1p2");
    let text = String::from_utf8(files.0[file].clone()).unwrap();
    assert!(text.contains(from), "{from}");
    files
        .0
        .insert(file.into(), text.replace(from, to).into_bytes());
    files
}

fn on(day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 10, day).unwrap()
}

fn told(files: &mut Files, complete: bool) -> Vec<String> {
    let list = match read(files, on(20), complete) {
        Ok((_, notes)) => notes,
        Err(errors) => errors,
    };
    list.into_iter()
        .map(|found| format!("{}: {}", found.file, found.message))
        .collect()
}

fn lists(school: &School) -> Vec<String> {
    let line = |class: &Class| {
        let members: Vec<_> = class
            .members
            .iter()
            .map(|member| {
                format!(
                    "{} {} {}",
                    member.sourced_id, member.identifier, member.name
                )
            })
            .collect();
        format!(
            "{} {}: {}; {} ended",
            class.sourced_id,
            class.sessions.join("+"),
            members.join(", "),
            class.ended
        )
    };
    school.classes.iter().map(line).collect()
}

#[test]
fn both_versions_are_read() {
    let (school, notes) = read(&mut sample("v1p2"), on(20), false).unwrap();
    assert_eq!((school.version, notes.len()), (Version::V1p2, 0));
    assert_eq!(
        lists(&school),
        [
            "c-3a t-2026a: p-017 004118 Niamh O'Darragh, p-204 004071 Amina Okonjo-Bello, p-330 004402 晓岚 欧阳; 1 ended",
            "c-3b t-2026a+t-2026b: p-118 004560 Zoë D’Ambrisi, p-052 004725 Wei Li, p-091 004607 John, Jr. Smith \"the second\"; 0 ended",
            "c-empty t-2026a: ; 0 ended",
        ]
    );
    assert_eq!(
        IdFrom::of_all(&school.classes, "export").unwrap(),
        IdFrom::Identifier
    );
    let (school, notes) = read(&mut sample("v1p1"), on(20), false).unwrap();
    assert_eq!((school.version, notes.len()), (Version::V1p1, 0));
    assert_eq!(
        lists(&school),
        [
            "c-3a t-2026a: p-017  Niamh O'Darragh, p-204  Amina Okonjo-Bello, p-330  晓岚 欧阳; 0 ended"
        ]
    );
    assert_eq!(
        IdFrom::of_all(&school.classes, "export").unwrap(),
        IdFrom::SourcedId
    );
}

/// On the last day of an enrollment a student is still there.
#[test]
fn enrollments_end() {
    for (day, ended) in [(1, 0), (2, 1)] {
        let (school, _) = read(&mut sample("v1p2"), on(day), false).unwrap();
        assert_eq!(school.classes[0].ended, ended, "{day}");
        assert_eq!(school.classes[0].members.len(), 4 - ended, "{day}");
    }
}

/// On the first day of an enrollment a student is there already, and not the day before.
#[test]
fn enrollments_begin() {
    let (from, to) = ("p-017,student,,2026-08-24", "p-017,student,,2026-10-05");
    for (day, to_come) in [(4, 1), (5, 0)] {
        let (school, _) = read(&mut changed("enrollments.csv", from, to), on(day), false).unwrap();
        let class = &school.classes[0];
        assert_eq!((class.to_come, class.ended), (to_come, 1), "{day}");
        assert_eq!(class.members.len(), 3 - to_come, "{day}");
    }
}

#[test]
fn nothing_else_is_taken_in() {
    for version in ["v1p1", "v1p2"] {
        let (school, _) = read(&mut sample(version), on(20), false).unwrap();
        let shown = format!("{school:?}");
        for word in ["secret", "07700", "01632", "@", "she", "2010", "Okafor"] {
            assert!(!shown.contains(word), "{word} in {shown}");
        }
    }
}

#[test]
fn what_is_wrong_is_told() {
    let cases = [
        (
            changed("manifest.csv", ",1.2", ",2.0"),
            "manifest.csv: expected OneRoster 1.1 or 1.2, found '2.0'",
        ),
        (
            changed("manifest.csv", "file.users,bulk", "file.users,delta"),
            "manifest.csv: file.users holds changes",
        ),
        (
            changed("users.csv", "sourcedId,", "SourcedID,"),
            "users.csv: expected a column 'sourcedId'",
        ),
        (
            changed(
                "enrollments.csv",
                "e-3,,",
                "e-3,active,2026-10-09T18:25:43.511Z",
            ),
            "enrollments.csv: enrollments.csv holds changes",
        ),
        (
            changed("enrollments.csv", "2027-07-02", "2.7.2027"),
            "expected a date such as 2026-11-25, found '2.7.2027'",
        ),
        (
            changed("enrollments.csv", "c-3b", "c-4"),
            "3 students are enrolled in classes that are not",
        ),
        (
            changed("users.csv", "p-017", "p-018"),
            "1 student is enrolled who is not in users.csv",
        ),
        (
            changed("users.csv", "p-017", "p-204"),
            "the sourcedId 'p-204' stands here again",
        ),
        (
            changed("classes.csv", "c-3b", "c-3a"),
            "the sourcedId 'c-3a' stands here and in line 2",
        ),
        (
            changed("classes.csv", "Physics 12,", ","),
            "expected a title, found an empty cell",
        ),
        (
            changed("classes.csv", "c-3b,,", "c-3b,gone,"),
            "expected the status active or tobedeleted, found 'gone'",
        ),
        (
            changed("roles.csv", "p-017,primary,student", "p-017,primary,aide"),
            "1 person is enrolled as a student, whose role says otherwise",
        ),
    ];
    for (mut files, expected) in cases {
        let told = told(&mut files, false);
        assert!(
            told.iter().any(|told| told.contains(expected)),
            "{expected}: {told:#?}"
        );
    }
    let mut files = sample("v1p2");
    files.0.remove("enrollments.csv");
    files.0.insert("users.csv".into(), b"Zo\xEB".to_vec());
    let told = told(&mut files, false);
    assert_eq!(told.len(), 2, "all at once: {told:#?}");
}

#[test]
fn what_is_deleted_is_left_out_where_the_files_are_said_to_be_whole() {
    let mut files = changed(
        "enrollments.csv",
        "e-3,,",
        "e-3,tobedeleted,2026-10-09T18:25:43.511Z",
    );
    let (school, _) = read(&mut files, on(20), true).unwrap();
    assert_eq!(school.classes[0].members.len(), 2);
}

#[test]
fn an_identifier_that_some_lack_is_no_id() {
    let mut files = changed("users.csv", "004118", "");
    let (school, _) = read(&mut files, on(20), false).unwrap();
    let error = IdFrom::of_all(&school.classes, "export").unwrap_err();
    assert!(
        error.message.starts_with("1 of 6 students has no"),
        "{error:?}"
    );
}

fn zipped(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        zip.start_file(*name, SimpleFileOptions::default()).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

fn file_of(zip: Vec<u8>, file: &str) -> Result<Option<Vec<u8>>, String> {
    let mut zip = Zipped::open(Cursor::new(zip), "export.zip").map_err(|error| error.message)?;
    zip.bytes(file).map_err(|error| error.message)
}

#[test]
fn a_zip_holds_the_same() {
    let sample = sample("v1p2");
    let files: Vec<(&str, &[u8])> = sample
        .0
        .iter()
        .map(|(name, bytes)| (&**name, &**bytes))
        .collect();
    let mut zip = Zipped::open(Cursor::new(zipped(&files)), "export.zip").unwrap();
    let (from_zip, _) = read(&mut zip, on(20), false).unwrap();
    let (from_folder, _) = read(&mut sample.clone(), on(20), false).unwrap();
    assert_eq!(from_zip, from_folder);
}

#[test]
fn an_absurd_zip_is_refused() {
    let nothing: &[u8] = b"x";
    let many: Vec<String> = (0..1001).map(|at| format!("{at}.csv")).collect();
    let many: Vec<(&str, &[u8])> = many.iter().map(|name| (&**name, nothing)).collect();
    // a quarter of a gibibyte of blanks takes a quarter of a mebibyte
    let bomb = vec![b' '; LONGEST as usize + 1];
    let mut cut = zipped(&[("users.csv", b"sourcedId\r\n1\r\n")]);
    let names = [
        (Vec::from(&b"PK\x03\x04"[..]), "no zip file"),
        (zipped(&many), "found 1001"),
    ];
    for (zip, expected) in names {
        let message = file_of(zip, "users.csv").unwrap_err();
        assert!(message.contains(expected), "{message}");
    }
    let message = file_of(zipped(&[("users.csv", &bomb)]), "users.csv").unwrap_err();
    assert!(message.contains("256 mebibytes"), "{message}");
    let message = file_of(zipped(&[("out/users.csv", nothing)]), "users.csv").unwrap_err();
    assert!(message.contains("folder 'out'"), "{message}");
    // a path out of the folder is a name like any other, which nobody asks for
    assert!(file_of(zipped(&[("../x.csv", nothing)]), "x.csv").is_err());
    assert_eq!(
        file_of(zipped(&[("x.csv", nothing)]), "users.csv"),
        Ok(None)
    );
    let at = cut
        .windows(9)
        .position(|bytes| bytes == b"users.csv")
        .unwrap()
        + 9;
    cut[at] ^= 0xFF;
    assert!(file_of(cut, "users.csv").is_err(), "a damaged file");
}

/// A school that was made up: for each class who is in it, as places among the people.
#[derive(Clone, Debug)]
struct MadeUp {
    /// Given name, family name, identifier.
    people: Vec<(String, String, String)>,
    classes: Vec<Vec<usize>>,
    newer: bool,
    mark: bool,
    quote_all: bool,
    further: bool,
    reversed: bool,
}

fn made_up() -> impl Strategy<Value = MadeUp> {
    let name = "[A-Za-zéößñ' ,\"]{1,10}";
    let people = prop::collection::vec((name, name, "[A-Z0-9]{0,5}"), 1..8);
    let flags = (
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
    );
    (people, flags).prop_flat_map(|(people, (newer, mark, quote_all, further, reversed))| {
        let class = prop::collection::btree_set(0..people.len(), 0..=people.len());
        prop::collection::vec(class, 1..4).prop_map(move |classes| MadeUp {
            people: people.clone(),
            classes: classes
                .into_iter()
                .map(|class| class.into_iter().collect())
                .collect(),
            newer,
            mark,
            quote_all,
            further,
            reversed,
        })
    })
}

impl MadeUp {
    fn file(&self, heading: &str, rows: Vec<Vec<String>>) -> Vec<u8> {
        let mut rows = rows;
        if self.reversed {
            rows.reverse();
        }
        let style = if self.quote_all {
            csv::QuoteStyle::Always
        } else {
            csv::QuoteStyle::Necessary
        };
        let mut out = csv::WriterBuilder::new()
            .quote_style(style)
            .from_writer(Vec::new());
        let mut heading: Vec<&str> = heading.split(',').collect();
        if self.further {
            heading.push("metadata.own");
            rows.iter_mut().for_each(|row| row.push("own".into()));
        }
        out.write_record(heading).unwrap();
        for row in rows {
            out.write_record(row).unwrap();
        }
        let text = out.into_inner().unwrap();
        let mark: &[u8] = if self.mark { b"\xEF\xBB\xBF" } else { b"" };
        [mark, &text].concat()
    }

    fn files(&self) -> Files {
        let text = |cells: &[&str]| {
            cells
                .iter()
                .map(|cell| (*cell).to_owned())
                .collect::<Vec<_>>()
        };
        let version = if self.newer { "1.2" } else { "1.1" };
        let users = self
            .people
            .iter()
            .enumerate()
            .map(|(at, (given, family, identifier))| {
                let id = format!("p-{at}");
                let before = if self.newer {
                    vec![&*id, "", "", "true", "u"]
                } else {
                    vec![&*id, "", "", "true", "o", "student", "u"]
                };
                let after = [
                    "", given, family, "", identifier, "a@b.c", "07700", "01632", "", "", "secret",
                ];
                text(&[&before[..], &after].concat())
            });
        let newer_users = "sourcedId,status,dateLastModified,enabledUser,username,userIds,givenName,familyName,\
                           middleName,identifier,email,sms,phone,agentSourcedIds,grades,password";
        let older_users = newer_users.replace(
            "enabledUser,username",
            "enabledUser,orgSourcedIds,role,username",
        );
        let users = self.file(
            if self.newer {
                newer_users
            } else {
                &older_users
            },
            users.collect(),
        );
        let classes = (0..self.classes.len()).map(|at| {
            text(&[
                &format!("c-{at}"),
                "",
                "",
                &format!("Class {at}"),
                "",
                "crs",
                "",
                "scheduled",
                "",
                "o",
                "t",
                "",
                "",
                "",
            ])
        });
        let classes = self.file(
            "sourcedId,status,dateLastModified,title,grades,courseSourcedId,classCode,classType,location,\
             schoolSourcedId,termSourcedIds,subjects,subjectCodes,periods",
            classes.collect(),
        );
        let enrolled = self
            .classes
            .iter()
            .enumerate()
            .flat_map(|(class, members)| {
                members.iter().map(move |member| {
                    let (class, member) = (format!("c-{class}"), format!("p-{member}"));
                    text(&[
                        &format!("e-{class}-{member}"),
                        "",
                        "",
                        &class,
                        "o",
                        &member,
                        "student",
                        "",
                        "",
                        "",
                    ])
                })
            });
        let enrollments = self.file(
            "sourcedId,status,dateLastModified,classSourcedId,schoolSourcedId,userSourcedId,role,primary,\
             beginDate,endDate",
            enrolled.collect(),
        );
        let properties = [
            ["manifest.version", "1.0"],
            ["oneroster.version", version],
            ["file.users", "bulk"],
        ];
        let manifest = self.file(
            "propertyName,value",
            properties.iter().map(|row| text(row)).collect(),
        );
        let named = [
            ("users.csv", users),
            ("classes.csv", classes),
            ("enrollments.csv", enrollments),
            ("manifest.csv", manifest),
        ];
        Files(named.map(|(name, bytes)| (name.to_owned(), bytes)).into())
    }
}

proptest! {
    /// Whoever is put into a package comes out of it, and nothing else.
    #[test]
    fn any_package_is_read(school in made_up()) {
        let (read, notes) = read(&mut school.files(), on(20), false).unwrap();
        prop_assert!(notes.is_empty(), "{:?}", notes);
        prop_assert_eq!(read.version, if school.newer { Version::V1p2 } else { Version::V1p1 });
        prop_assert_eq!(read.classes.len(), school.classes.len());
        for class in &read.classes {
            let at: usize = class.sourced_id[2..].parse().unwrap();
            let mut expected: Vec<(String, String, String)> = school.classes[at]
                .iter()
                .map(|member| {
                    let (given, family, identifier) = &school.people[*member];
                    let name = format!("{} {}", given.trim(), family.trim());
                    (format!("p-{member}"), name.trim().to_owned(), identifier.clone())
                })
                .collect();
            let mut found: Vec<_> = class
                .members
                .iter()
                .map(|member| (member.sourced_id.clone(), member.name.clone(), member.identifier.clone()))
                .collect();
            expected.sort();
            found.sort();
            prop_assert_eq!(found, expected);
        }
        let shown = format!("{read:?}");
        for word in ["secret", "07700", "01632", "a@b.c", "own"] {
            prop_assert!(!shown.contains(word), "{word}");
        }
    }
}
