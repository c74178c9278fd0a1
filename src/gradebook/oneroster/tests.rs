//! A validator of the rules of the OneRoster CSV tables, by a hand of its own, and files that it has to take
//! and to refuse. It checks what the tables say; it is no certificate.

use std::collections::{BTreeMap, HashSet};

use proptest::prelude::*;

use super::*;

/// Headings in their order, `*` before those that need a value in every row.
const TABLES: [(&str, Version, &[&str]); 6] = [
    ("categories.csv", Version::V1p1, &["*title"]),
    ("categories.csv", Version::V1p2, &["*title", "weight"]),
    (
        "lineItems.csv",
        Version::V1p1,
        &[
            "*title",
            "description",
            "*assignDate",
            "*dueDate",
            "*classSourcedId",
            "*categorySourcedId",
            "*gradingPeriodSourcedId",
            "*resultValueMin",
            "*resultValueMax",
        ],
    ),
    (
        "lineItems.csv",
        Version::V1p2,
        &[
            "*title",
            "description",
            "*assignDate",
            "*dueDate",
            "*classSourcedId",
            "*categorySourcedId",
            "*academicSessionSourcedId",
            "resultValueMin",
            "resultValueMax",
            "*schoolSourcedId",
        ],
    ),
    (
        "results.csv",
        Version::V1p1,
        &[
            "*lineItemSourcedId",
            "*studentSourcedId",
            "*scoreStatus",
            "*score",
            "*scoreDate",
            "comment",
        ],
    ),
    (
        "results.csv",
        Version::V1p2,
        &[
            "*lineItemSourcedId",
            "*studentSourcedId",
            "*scoreStatus",
            "score",
            "*scoreDate",
            "comment",
            "textScore",
            "classSourcedId",
            "inProgress",
            "incomplete",
            "late",
            "missing",
        ],
    ),
];

const NAMES_1P1: &str = "academicSessions categories classes classResources courses courseResources \
    demographics enrollments lineItems orgs resources results users";
const NAMES_1P2: &str = "lineItemLearningObjectiveIds lineItemScoreScales resultLearningObjectiveIds \
    resultScoreScales roles scoreScales userProfiles userResources";

const STATUSES: [&str; 5] = [
    "exempt",
    "fully graded",
    "not submitted",
    "partially graded",
    "submitted",
];

type Files = Vec<(&'static str, Vec<u8>)>;

fn rows(bytes: &[u8]) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(bytes);
    reader
        .records()
        .map(|row| row.unwrap().iter().map(str::to_owned).collect())
        .collect()
}

fn is_date(cell: &str) -> bool {
    cell.len() == 10 && NaiveDate::parse_from_str(cell, "%Y-%m-%d").is_ok()
}

fn is_time(cell: &str) -> bool {
    let form = "0000-00-00T00:00:00.000Z";
    let fits = |(found, wanted): (char, char)| {
        if wanted == '0' {
            found.is_ascii_digit()
        } else {
            found == wanted
        }
    };
    cell.len() == form.len()
        && cell.chars().zip(form.chars()).all(fits)
        && DateTime::parse_from_rfc3339(cell).is_ok()
}

/// What breaks a rule.
fn faults(version: Version, files: &Files) -> Vec<String> {
    let mut faults = Vec::new();
    let mut fault = |file: &str, what: String| faults.push(format!("{file}: {what}"));
    let mut ids: HashSet<(String, String)> = HashSet::new();
    let mut sheets: BTreeMap<&str, Vec<BTreeMap<String, String>>> = BTreeMap::new();
    for (file, bytes) in files {
        let Ok(text) = std::str::from_utf8(bytes) else {
            fault(file, "not UTF-8".into());
            continue;
        };
        let all = rows(text.as_bytes());
        let [heading, data @ ..] = all.as_slice() else {
            fault(file, "empty".into());
            continue;
        };
        if data.is_empty() {
            fault(file, "a heading alone".into());
        }
        let mut wanted = vec!["propertyName", "value"];
        let mut required: Vec<&str> = wanted.clone();
        if *file != "manifest.csv" {
            let Some((.., columns)) = TABLES
                .iter()
                .find(|(name, of, _)| name == file && *of == version)
            else {
                fault(file, "no such file".into());
                continue;
            };
            wanted = vec!["sourcedId", "status", "dateLastModified"];
            // all three in every row: that is what makes it delta
            required = wanted.clone();
            wanted.extend(columns.iter().map(|column| column.trim_start_matches('*')));
            required.extend(columns.iter().filter_map(|column| column.strip_prefix('*')));
        }
        // further columns may stand at the right alone
        if !heading
            .iter()
            .map(String::as_str)
            .take(wanted.len())
            .eq(wanted.iter().copied())
        {
            fault(file, format!("heading {heading:?}"));
            continue;
        }
        for (number, row) in data.iter().enumerate() {
            if row.len() != heading.len() {
                fault(file, format!("row {number} has {} cells", row.len()));
            }
            let cells: BTreeMap<String, String> =
                heading.iter().cloned().zip(row.iter().cloned()).collect();
            let cell = |name: &str| cells.get(name).map_or("", String::as_str);
            for name in &required {
                if cell(name).is_empty() {
                    fault(file, format!("row {number} has no {name}"));
                }
            }
            for (name, value) in &cells {
                if value.contains(['\r', '\n']) {
                    fault(file, format!("a break in {name}"));
                }
                if ["assignDate", "dueDate", "scoreDate"].contains(&name.as_str())
                    && !is_date(value)
                {
                    fault(file, format!("{name} is '{value}'"));
                }
                let is_number = value.parse::<Decimal>().is_ok();
                if ["score", "resultValueMin", "resultValueMax"].contains(&name.as_str())
                    && !value.is_empty()
                    && !is_number
                {
                    fault(file, format!("{name} is '{value}'"));
                }
            }
            if *file == "results.csv" && !STATUSES.contains(&cell("scoreStatus")) {
                fault(file, format!("scoreStatus is '{}'", cell("scoreStatus")));
            }
            if *file != "manifest.csv" {
                if !["active", "tobedeleted"].contains(&cell("status")) {
                    fault(file, format!("status is '{}'", cell("status")));
                }
                if !is_time(cell("dateLastModified")) {
                    fault(
                        file,
                        format!("dateLastModified is '{}'", cell("dateLastModified")),
                    );
                }
                if !ids.insert(((*file).to_owned(), cell("sourcedId").to_owned())) {
                    fault(file, format!("'{}' twice", cell("sourcedId")));
                }
            }
            sheets.entry(file).or_default().push(cells);
        }
    }
    let mut fault = |what: String| faults.push(what);
    let of = |file: &str, column: &str| -> Vec<String> {
        let rows = sheets.get(file).into_iter().flatten();
        rows.map(|row| row.get(column).cloned().unwrap_or_default())
            .collect()
    };
    for (file, column, in_file) in [
        ("lineItems.csv", "categorySourcedId", "categories.csv"),
        ("results.csv", "lineItemSourcedId", "lineItems.csv"),
    ] {
        let known = of(in_file, "sourcedId");
        for id in of(file, column) {
            if !known.contains(&id) {
                fault(format!("{file}: {column} {id} is not in {in_file}"));
            }
        }
    }
    let manifest: BTreeMap<String, String> = of("manifest.csv", "propertyName")
        .into_iter()
        .zip(of("manifest.csv", "value"))
        .collect();
    let property = |name: &str| manifest.get(name).map_or("", String::as_str);
    if property("manifest.version") != "1.0" || property("oneroster.version") != version.number() {
        fault("manifest.csv: versions".into());
    }
    let newer = if version == Version::V1p2 {
        NAMES_1P2
    } else {
        ""
    };
    let names: Vec<&str> = NAMES_1P1
        .split_whitespace()
        .chain(newer.split_whitespace())
        .collect();
    for name in &names {
        let is_there = files
            .iter()
            .any(|(file, _)| file.strip_suffix(".csv") == Some(name));
        let wanted = if is_there { "delta" } else { "absent" };
        if property(&format!("file.{name}")) != wanted {
            fault(format!(
                "manifest.csv: file.{name} is '{}'",
                property(&format!("file.{name}"))
            ));
        }
    }
    let of_files = manifest
        .keys()
        .filter(|name| name.starts_with("file."))
        .count();
    if of_files != names.len() || of("manifest.csv", "propertyName").len() != manifest.len() {
        fault("manifest.csv: entries of no file, or twice".into());
    }
    faults
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn made() -> Made {
    Made {
        on: day("2026-11-25"),
        at: "2026-11-25T18:25:43.511Z".parse().unwrap(),
    }
}

fn item(title: &str) -> LineItem<'_> {
    LineItem {
        code: "ropes-1",
        title,
        category: "Problems",
        assigned: day("2026-11-11"),
        due: day("2026-11-25"),
        class: "c-3b",
        school: "org-1",
        session: "t-2026a",
        out_of: Decimal::new(130, 1),
    }
}

fn outcomes() -> [Outcome<'static>; 5] {
    let outcome = |student, status, score: Option<&str>| Outcome {
        student,
        status,
        score: score.map(|score| score.parse().unwrap()),
    };
    [
        outcome("p-1", ScoreStatus::FullyGraded, Some("10.50")),
        outcome("p-2", ScoreStatus::NotSubmitted, None),
        outcome("p-3", ScoreStatus::Exempt, None),
        outcome("p-4", ScoreStatus::PartiallyGraded, Some("4")),
        outcome("p-5", ScoreStatus::Submitted, None),
    ]
}

const BOTH: [Version; 2] = [Version::V1p1, Version::V1p2];

#[test]
fn what_is_written_keeps_the_rules() {
    for version in BOTH {
        let written = files(version, &item("Moon, \"and\"\r\nstar"), &outcomes(), made());
        assert_eq!(faults(version, &written), [""; 0], "{version:?}");
        let names: Vec<&str> = written.iter().map(|(name, _)| *name).collect();
        assert_eq!(
            names,
            [
                "categories.csv",
                "lineItems.csv",
                "results.csv",
                "manifest.csv"
            ]
        );
        assert!(is_ours(&written[3].1));
        // without results there is no file of results
        let written = files(version, &item("x"), &[], made());
        assert_eq!(faults(version, &written), [""; 0], "{version:?}");
        assert_eq!(written.len(), 3);
    }
}

/// The bytes themselves: an id that changed would add marks a second time at the receiver.
#[test]
fn the_same_marks_have_the_same_ids_for_ever() {
    let text = |at: usize, version| {
        let written = files(version, &item("Moon and star"), &outcomes(), made());
        String::from_utf8(written[at].1.clone()).unwrap()
    };
    insta::with_settings!({ prepend_module_to_snapshot => false, omit_expression => true, snapshot_path => "../../../tests/suite/snapshots" }, {
        insta::assert_snapshot!("oneroster_1p2", [0, 1, 2].map(|at| text(at, Version::V1p2)).join("\n"));
        insta::assert_snapshot!("oneroster_1p1", [0, 1, 2].map(|at| text(at, Version::V1p1)).join("\n"));
    });
    let ids = |item: &LineItem<'_>| {
        let written = files(Version::V1p2, item, &outcomes(), made());
        let results = rows(&written[2].1);
        results[1..]
            .iter()
            .map(|row| row[0].clone())
            .collect::<Vec<_>>()
    };
    let plain = item("x");
    assert_eq!(
        ids(&plain),
        ids(&LineItem {
            title: "another title",
            code: "Ropes-1",
            ..plain
        })
    );
    for other in [
        LineItem {
            code: "ropes-2",
            ..plain
        },
        LineItem {
            class: "c-3a",
            ..plain
        },
    ] {
        assert!(ids(&plain).iter().all(|id| !ids(&other).contains(id)));
    }
}

/// The validator itself: each rule broken once.
#[test]
fn broken_rules_are_found() {
    let good = files(Version::V1p2, &item("x"), &outcomes(), made());
    let cases = [
        ("results.csv", "p-1,fully", ",fully", "no studentSourcedId"),
        (
            "results.csv",
            "fully graded",
            "done",
            "scoreStatus is 'done'",
        ),
        (
            "results.csv",
            "score,scoreDate",
            "scoreDate,score",
            "heading",
        ),
        ("results.csv", "10.5", "ten", "score is 'ten'"),
        ("results.csv", ",active,", ",,", "no status"),
        (
            "results.csv",
            "2026-11-25T18:25:43.511Z",
            "2026-11-25 18:25",
            "dateLastModified is",
        ),
        ("results.csv", "2026-11-25,", "25.11.2026,", "scoreDate is"),
        ("lineItems.csv", "2026-11-11", "2026-11-31", "assignDate is"),
        ("lineItems.csv", "Z,x,", "Z,\"x\ny\",", "a break in title"),
        (
            "lineItems.csv",
            "sourcedId,status",
            "status,sourcedId",
            "heading",
        ),
        (
            "categories.csv",
            "pw-category-",
            "other-",
            "is not in categories.csv",
        ),
        (
            "manifest.csv",
            "file.results,delta",
            "file.results,bulk",
            "file.results is 'bulk'",
        ),
        (
            "manifest.csv",
            "file.roles,absent\r\n",
            "",
            "file.roles is ''",
        ),
        (
            "manifest.csv",
            "oneroster.version,1.2",
            "oneroster.version,1.1",
            "versions",
        ),
        (
            "manifest.csv",
            "propertyName,value",
            "value,propertyName",
            "heading",
        ),
    ];
    for (file, from, to, expected) in cases {
        let mut broken = good.clone();
        let (_, bytes) = broken.iter_mut().find(|(name, _)| *name == file).unwrap();
        let text = String::from_utf8(bytes.clone()).unwrap();
        assert!(text.contains(from), "{from} in {text}");
        *bytes = text.replacen(from, to, 9).into_bytes();
        let found = faults(Version::V1p2, &broken);
        assert!(
            found.iter().any(|fault| fault.contains(expected)),
            "{expected}: {found:?}"
        );
    }
    let mut heading = good.clone();
    heading[0].1 = b"sourcedId,status,dateLastModified,title,weight\r\n".to_vec();
    assert!(
        faults(Version::V1p2, &heading)
            .iter()
            .any(|fault| fault.contains("a heading alone"))
    );
    // a column of one's own: at the right it may stand
    let mut further = good;
    let text = String::from_utf8(further[0].1.clone()).unwrap();
    let text = text
        .replace("weight\r\n", "weight,metadata.own\r\n")
        .replace("Problems,\r\n", "Problems,,1\r\n");
    further[0].1 = text.into_bytes();
    assert_eq!(faults(Version::V1p2, &further), [""; 0]);
}

proptest! {
    #[test]
    fn any_marks_keep_the_rules(
        title in "\\PC{1,20}",
        category in "[^\u{0}]{1,12}",
        students in prop::collection::btree_set("\\PC{1,12}", 0..8),
        points in prop::collection::vec((0u32..5000, 0usize..5), 8),
        newer in any::<bool>(),
    ) {
        let version = BOTH[usize::from(newer)];
        prop_assume!(!title.trim().is_empty() && !category.trim().is_empty());
        prop_assume!(students.iter().all(|id| !id.trim().is_empty()));
        let statuses = [
            ScoreStatus::Exempt, ScoreStatus::FullyGraded, ScoreStatus::NotSubmitted,
            ScoreStatus::PartiallyGraded, ScoreStatus::Submitted,
        ];
        let outcomes: Vec<Outcome<'_>> = students.iter().zip(&points).map(|(student, (points, status))| Outcome {
            student,
            status: statuses[*status],
            score: (status % 2 == 1).then(|| Decimal::new(i64::from(*points), 2)),
        }).collect();
        let written = files(version, &LineItem { category: &category, ..item(&title) }, &outcomes, made());
        prop_assert_eq!(faults(version, &written), [""; 0]);
    }
}
