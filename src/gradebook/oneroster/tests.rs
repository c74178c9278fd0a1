//! What is written, held against a validator of its own, and the validator against files with one fault each.

use proptest::prelude::*;

use super::*;

#[path = "../../../tests/suite/oneroster_rules.rs"]
mod rules;

use rules::rows;

fn faults(version: Version, files: &[(&str, Vec<u8>)]) -> Vec<String> {
    rules::faults(version.number(), files)
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
