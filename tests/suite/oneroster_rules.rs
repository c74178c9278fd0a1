//! A validator of the rules of the OneRoster CSV tables (1EdTech Consortium, versions 1.1 and 1.2), by a hand of
//! its own. It checks what the tables say of packages of marks; it is no certificate.

use std::collections::{BTreeMap, HashSet};

use chrono::{DateTime, NaiveDate};
use rust_decimal::Decimal;

/// Headings in their order, `*` before those that need a value in every row.
const TABLES: [(&str, &str, &[&str]); 6] = [
    ("categories.csv", "1.1", &["*title"]),
    ("categories.csv", "1.2", &["*title", "weight"]),
    (
        "lineItems.csv",
        "1.1",
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
        "1.2",
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
        "1.1",
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
        "1.2",
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

pub(crate) fn rows(bytes: &[u8]) -> Vec<Vec<String>> {
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

/// What breaks a rule, in the files of a package of marks.
pub(crate) fn faults(version: &str, files: &[(&str, Vec<u8>)]) -> Vec<String> {
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
    if property("manifest.version") != "1.0" || property("oneroster.version") != version {
        fault("manifest.csv: versions".into());
    }
    let newer = if version == "1.2" { NAMES_1P2 } else { "" };
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
