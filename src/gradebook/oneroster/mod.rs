//! Marks as OneRoster CSV files: one line item and its results, to be added to what a school's system has.
//!
//! OneRoster is an open standard of 1EdTech Consortium; this program follows its CSV tables, versions 1.1 and
//! 1.2, and claims no certification. In go the marks as they were decided, the ids of class, school and
//! students, and dates; out come the bytes of `categories.csv`, `lineItems.csv`, `results.csv` and
//! `manifest.csv`. They are always *delta*: with bulk files a receiver would delete whatever is not in them.
//!
//! Ids of line item, category and results are made from class, sheet and student alone, so that the same marks
//! sent again change what is there instead of adding to it. A student without a result has no row; a file
//! without rows is left out. Nothing is disarmed for spreadsheets, since this is for machines. Nothing is
//! refused.

use chrono::{DateTime, NaiveDate, Utc};
use rust_decimal::Decimal;

use crate::roster::oneroster::Version;

/// What the program calls itself in a manifest, and how it knows its own.
pub const SYSTEM: &str = "Paperweight";

/// Files, each with the version that first has it, in the order of the manifest (from the tables of the
/// standard, as public writers of manifests list them).
const FILES: [(&str, Version); 21] = [
    ("academicSessions", Version::V1p1),
    (CATEGORIES, Version::V1p1),
    ("classes", Version::V1p1),
    ("classResources", Version::V1p1),
    ("courses", Version::V1p1),
    ("courseResources", Version::V1p1),
    ("demographics", Version::V1p1),
    ("enrollments", Version::V1p1),
    ("lineItemLearningObjectiveIds", Version::V1p2),
    (LINE_ITEMS, Version::V1p1),
    ("lineItemScoreScales", Version::V1p2),
    ("orgs", Version::V1p1),
    ("resources", Version::V1p1),
    ("resultLearningObjectiveIds", Version::V1p2),
    (RESULTS, Version::V1p1),
    ("resultScoreScales", Version::V1p2),
    ("roles", Version::V1p2),
    ("scoreScales", Version::V1p2),
    ("userProfiles", Version::V1p2),
    ("userResources", Version::V1p2),
    ("users", Version::V1p1),
];

const CATEGORIES: &str = "categories";
const LINE_ITEMS: &str = "lineItems";
const RESULTS: &str = "results";

/// The work that was marked.
#[derive(Clone, Copy, Debug)]
pub struct LineItem<'a> {
    /// The code of the sheet, by which it is known again.
    pub code: &'a str,
    /// What it is called.
    pub title: &'a str,
    /// The name of the kind of work, such as "Homework".
    pub category: &'a str,
    /// The day it was handed out.
    pub assigned: NaiveDate,
    /// The day it was due.
    pub due: NaiveDate,
    /// The sourcedId of the class.
    pub class: &'a str,
    /// That of its school.
    pub school: &'a str,
    /// That of the academic session (1.2) or grading period (1.1).
    pub session: &'a str,
    /// The most that could be had.
    pub out_of: Decimal,
}

/// How far a student's work is, in the words of the standard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ScoreStatus {
    /// Excused.
    Exempt,
    /// All of it has points.
    FullyGraded,
    /// Absent.
    NotSubmitted,
    /// The points stand for a part of it.
    PartiallyGraded,
    /// Handed in; nothing is said of the points yet.
    Submitted,
}

impl ScoreStatus {
    fn name(self) -> &'static str {
        match self {
            Self::Exempt => "exempt",
            Self::FullyGraded => "fully graded",
            Self::NotSubmitted => "not submitted",
            Self::PartiallyGraded => "partially graded",
            Self::Submitted => "submitted",
        }
    }
}

/// One student's result.
#[derive(Clone, Copy, Debug)]
pub struct Outcome<'a> {
    /// The sourcedId of the student.
    pub student: &'a str,
    /// How far it is.
    pub status: ScoreStatus,
    /// The points, where there are any to tell.
    pub score: Option<Decimal>,
}

/// When the files are made.
#[derive(Clone, Copy, Debug)]
pub struct Made {
    /// The day of the scores.
    pub on: NaiveDate,
    /// The moment of the change.
    pub at: DateTime<Utc>,
}

/// The files by name, in the order of the manifest, which comes last. In 1.1 every result needs a score: those
/// without are left out.
pub fn files(
    version: Version,
    item: &LineItem<'_>,
    outcomes: &[Outcome<'_>],
    made: Made,
) -> Vec<(&'static str, Vec<u8>)> {
    let category = sourced_id("category", &[item.school, item.category]);
    let line_item = sourced_id("item", &[item.class, &item.code.to_lowercase()]);
    let modified = made.at.format("%Y-%m-%dT%H:%M:%S%.3fZ").to_string();
    let common = |id: String| vec![id, "active".to_owned(), modified.clone()];
    let is_newer = version == Version::V1p2;

    let mut categories = Sheet::new(&["title"]);
    let mut row = common(category.clone());
    row.push(plain(item.category));
    if is_newer {
        categories.heading.push("weight");
        row.push(String::new());
    }
    categories.rows.push(row);

    let mut items = Sheet::new(&[
        "title",
        "description",
        "assignDate",
        "dueDate",
        "classSourcedId",
        "categorySourcedId",
        if is_newer {
            "academicSessionSourcedId"
        } else {
            "gradingPeriodSourcedId"
        },
        "resultValueMin",
        "resultValueMax",
    ]);
    let mut row = common(line_item.clone());
    row.extend([
        plain(item.title),
        String::new(),
        item.assigned.to_string(),
        item.due.to_string(),
        plain(item.class),
        category,
        plain(item.session),
        "0".to_owned(),
        number(item.out_of),
    ]);
    if is_newer {
        items.heading.push("schoolSourcedId");
        row.push(plain(item.school));
    }
    items.rows.push(row);

    let mut results = Sheet::new(&[
        "lineItemSourcedId",
        "studentSourcedId",
        "scoreStatus",
        "score",
        "scoreDate",
        "comment",
    ]);
    let newer = [
        "textScore",
        "classSourcedId",
        "inProgress",
        "incomplete",
        "late",
        "missing",
    ];
    if is_newer {
        results.heading.extend(newer);
    }
    for outcome in outcomes
        .iter()
        .filter(|outcome| is_newer || outcome.score.is_some())
    {
        let mut row = common(sourced_id("result", &[&line_item, outcome.student]));
        row.extend([
            line_item.clone(),
            plain(outcome.student),
            outcome.status.name().to_owned(),
            outcome.score.map_or(String::new(), number),
            made.on.to_string(),
            String::new(),
        ]);
        if is_newer {
            let mut more = newer.map(|_| String::new());
            more[1] = plain(item.class);
            row.extend(more);
        }
        results.rows.push(row);
    }

    let mut files: Vec<(&str, Vec<u8>)> = Vec::new();
    let mut manifest = Sheet {
        heading: vec!["propertyName", "value"],
        rows: vec![
            vec!["manifest.version".into(), "1.0".into()],
            vec!["oneroster.version".into(), version.number().into()],
        ],
    };
    for (name, since) in FILES {
        if since == Version::V1p2 && !is_newer {
            continue;
        }
        let sheet = match name {
            CATEGORIES => Some(("categories.csv", &categories)),
            LINE_ITEMS => Some(("lineItems.csv", &items)),
            RESULTS => Some(("results.csv", &results)),
            _ => None,
        };
        let sheet = sheet.filter(|(_, sheet)| !sheet.rows.is_empty());
        let mode = if sheet.is_some() { "delta" } else { "absent" };
        manifest
            .rows
            .push(vec![format!("file.{name}"), mode.into()]);
        files.extend(sheet.map(|(file, sheet)| (file, sheet.bytes())));
    }
    manifest
        .rows
        .push(vec!["source.systemName".into(), SYSTEM.into()]);
    files.push((MANIFEST, manifest.bytes()));
    files
}

/// The name of the manifest.
pub const MANIFEST: &str = "manifest.csv";

/// The line of a manifest that makes it one of ours.
pub fn mark() -> String {
    format!("source.systemName,{SYSTEM}")
}

/// Whether a manifest is one of ours.
pub fn is_ours(manifest: &[u8]) -> bool {
    let own = mark();
    let mut lines = manifest.split(|byte| matches!(byte, b'\n' | b'\r'));
    lines.any(|line| line == own.as_bytes())
}

/// One CSV file.
struct Sheet {
    heading: Vec<&'static str>,
    rows: Vec<Vec<String>>,
}

impl Sheet {
    /// One of the files that begin with id, status and time of change.
    fn new(columns: &[&'static str]) -> Self {
        let mut heading = vec!["sourcedId", "status", "dateLastModified"];
        heading.extend(columns);
        Self {
            heading,
            rows: Vec::new(),
        }
    }

    fn bytes(&self) -> Vec<u8> {
        let mut out = csv::WriterBuilder::new()
            .terminator(csv::Terminator::CRLF)
            .from_writer(Vec::new());
        // Rows as long as the heading, written into memory, cannot fail.
        let written = out.write_record(&self.heading);
        let rows = self.rows.iter().map(|row| out.write_record(row));
        if rows.chain([written]).any(|row| row.is_err()) {
            return Vec::new();
        }
        out.into_inner().unwrap_or_default()
    }
}

/// An id that is the same for the same things for ever, and of letters and digits that every system takes.
fn sourced_id(kind: &str, of: &[&str]) -> String {
    let mut hasher = blake3::Hasher::new();
    for text in [kind].iter().chain(of) {
        // The length in front keeps texts apart.
        hasher.update(&(text.len() as u64).to_le_bytes());
        hasher.update(text.as_bytes());
    }
    let hex = hasher.finalize().to_hex();
    format!("pw-{kind}-{}", &hex[..32])
}

/// A text without line breaks, of which the standard allows none in a field.
fn plain(text: &str) -> String {
    let words = text.split(['\r', '\n']).map(str::trim);
    words
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

fn number(points: Decimal) -> String {
    points.normalize().to_string()
}

#[cfg(test)]
mod tests;
