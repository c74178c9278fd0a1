//! The table `[gradebook]` of a course's settings: what its columns are called and how marks are written.
//!
//! In: the text of `course.toml`. Out: the settings, or all that is wrong with them, each with its place.
//! A course without the file has the settings that are not set. Refused: unknown keys, a scale that does
//! not reach down to 0 or has two steps from one share on, words that a spreadsheet program might run.

use crate::assignment::Report;
use crate::assignment::amounts;
use crate::assignment::keys::{Key, SHARE, Shape, Table, optional};
use crate::assignment::raw::{self, Fields};
use crate::assignment::shape;
use crate::diagnostic::{Diagnostic, Source};
use crate::text::DecimalMark;

use super::spreadsheet::starts_formula;
use super::style::{MARK, Marks, Scale, Style, Unfit};

/// The name of the file, in the course folder.
pub const FILE: &str = "course.toml";

/// What a course says about its gradebook.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Settings {
    /// The heading of the column of ids; `None` takes an obvious one.
    pub id_column: Option<String>,
    /// The heading of the column for a sheet's marks; `None` takes the code of the sheet or its title.
    pub column: Option<String>,
    /// How marks are written.
    pub style: Style,
}

static COURSE: Table = Table {
    name: "a course's settings file",
    header: "the top of course.toml",
    about: "what holds for a whole course",
    groups: &[&[optional(
        "gradebook",
        Shape::Table(&GRADEBOOK),
        "how marks are written into a gradebook that is kept elsewhere",
        "{}",
    )]],
};

const WORDS: [&str; 3] = ["absent", "excused", "unmarked"];

static GRADEBOOK: Table = Table {
    name: "the section [gradebook]",
    header: "[gradebook]",
    about: "how marks are written into a gradebook that is kept elsewhere",
    groups: &[&KEYS],
};

static KEYS: [Key; 10] = [
    optional(
        "id_column",
        Shape::Text,
        "the heading of the column of ids",
        r#""Student ID""#,
    ),
    optional(
        "column",
        Shape::Text,
        "the heading of the column for the marks; {code} and {title} are those of the sheet",
        r#""{code} (points)""#,
    ),
    optional(
        "marks",
        Shape::Word(&["points", "percent", "scale"]),
        "in what marks are told",
        r#""percent""#,
    ),
    optional(
        "decimals",
        Shape::Whole(0, 4),
        "decimals that points and percentages are rounded to, ties upwards",
        "1",
    ),
    optional(
        "decimal",
        Shape::Word(&["point", "comma"]),
        "the decimal mark in the gradebook; without it, that of the class",
        r#""comma""#,
    ),
    optional(
        "scale",
        Shape::Names(&SHARE),
        "steps, each with the share of the points from which on it holds",
        r#"{ A = "85%", B = "60%", C = 0 }"#,
    ),
    optional(
        "absent",
        Shape::Text,
        "what stands there for an absent student",
        r#""abs""#,
    ),
    optional(
        "excused",
        Shape::Text,
        "what stands there for an excused student",
        r#""exc""#,
    ),
    optional(
        "unmarked",
        Shape::Text,
        "what stands there while a paper is not marked",
        r#""open""#,
    ),
    optional(
        "late",
        Shape::Text,
        "how the mark of a late paper is written; {mark} is the mark",
        r#""{mark} (late)""#,
    ),
];

/// Reads the settings.
///
/// # Errors
/// All that is wrong with the file.
pub fn read(source: &Source) -> Result<Settings, Vec<Diagnostic>> {
    let mut report = Report::new(source);
    let mut settings = Settings::default();
    if let Some(mut fields) = raw::read(source, &mut report) {
        shape::check(&mut fields, &COURSE, &mut report);
        if let Some(fields) = fields.table("gradebook") {
            settings = gradebook(fields, &mut report);
        }
    }
    let found = report.finish();
    if found.is_empty() {
        Ok(settings)
    } else {
        Err(found)
    }
}

fn gradebook(fields: &Fields, report: &mut Report<'_>) -> Settings {
    let text = |name: &str| fields.text(name).map(|text| text.text.to_owned());
    for name in WORDS.iter().chain(&["late"]) {
        word(fields, name, report);
    }
    let word = |name: &str| text(name).filter(|text| !text.is_empty());
    let plain = Style::default();
    let decimals = fields
        .node("decimals")
        .and_then(|node| node.number()?.parse().ok());
    let decimal = fields.text("decimal").map(|mark| match mark.text {
        "comma" => DecimalMark::Comma,
        _ => DecimalMark::Point,
    });
    Settings {
        id_column: text("id_column"),
        column: text("column"),
        style: Style {
            marks: marks(fields, report),
            decimals: decimals.unwrap_or(plain.decimals),
            decimal,
            absent: word("absent"),
            excused: word("excused"),
            unmarked: word("unmarked"),
            late: word("late"),
        },
    }
}

/// Checks a word that goes into cells.
fn word(fields: &Fields, name: &str, report: &mut Report<'_>) {
    let Some(word) = fields.text(name) else {
        return;
    };
    if name == "late" && !word.text.contains(MARK) {
        report
            .error(
                word.inner(),
                "`late` has no {mark} in it, so the mark would be lost",
            )
            .help("for example late = \"{mark} (late)\"");
    }
    runs(word.text, word.inner(), report);
}

fn runs(word: &str, at: crate::diagnostic::Span, report: &mut Report<'_>) {
    if starts_formula(word) {
        report
            .error(
                at,
                format!("a spreadsheet program might take \"{word}\" for a formula"),
            )
            .help("begin with a letter or a digit; for a dash write \"–\"");
    }
}

fn marks(fields: &Fields, report: &mut Report<'_>) -> Marks {
    let told = fields.text("marks");
    let scale = fields.table("scale");
    let wants_scale = told.map_or(scale.is_some(), |told| told.text == "scale");
    match (told.map(|told| told.text), scale) {
        (Some("percent"), None) => return Marks::Percent,
        (_, None) if !wants_scale => return Marks::Points,
        (Some(_), None) => {
            if let Some(told) = told
                && fields.get("scale").is_none()
            {
                report
                    .error(told.inner(), "marks are told by a scale, and there is none")
                    .help("for example scale = { A = \"85%\", B = \"60%\", C = 0 }");
            }
            return Marks::Points;
        }
        (Some(other), Some(scale)) if !wants_scale => {
            let message = format!("there is a scale, and marks are told in {other}");
            report
                .table(scale.span, message)
                .help("write marks = \"scale\", or leave the scale out");
            return Marks::Points;
        }
        _ => {}
    }
    let Some(table) = scale else {
        return Marks::Points;
    };
    let mut steps = Vec::new();
    for field in &table.entries {
        runs(&field.name, field.key, report);
        if let Some(share) = amounts::share(table, &field.name, report) {
            steps.push((share, field.name.clone()));
        }
    }
    if steps.len() < table.entries.len() {
        return Marks::Points;
    }
    match Scale::new(steps) {
        Ok(scale) => Marks::Scale(scale),
        Err(Unfit::NoBottom) => {
            report
                .table(table.span, "the scale does not reach down to 0")
                .help("give the lowest step the share 0");
            Marks::Points
        }
        Err(Unfit::Same(one, other)) => {
            let message = format!("\"{one}\" and \"{other}\" hold from the same share on");
            report
                .table(table.span, message)
                .help("give each step a share of its own");
            Marks::Points
        }
    }
}

impl Settings {
    /// The headings that the column for a sheet may have.
    pub fn columns(&self, code: &str, title: &str) -> Vec<String> {
        match &self.column {
            Some(column) => vec![column.replace("{code}", code).replace("{title}", title)],
            None => vec![code.to_owned(), title.to_owned()],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(text: &str) -> Source {
        Source {
            name: FILE.into(),
            text: text.into(),
        }
    }

    #[test]
    fn what_is_not_set_is_as_stated() {
        assert_eq!(read(&source("")).unwrap(), Settings::default());
        assert_eq!(read(&source("[gradebook]")).unwrap(), Settings::default());
        let columns = Settings::default().columns("ropes-1", "Moon");
        assert_eq!(columns, ["ropes-1", "Moon"]);
    }

    #[test]
    fn every_example_fits() {
        let mut text = "[gradebook]\n".to_owned();
        for key in KEYS.iter().filter(|key| key.name != "marks") {
            text += &format!("{} = {}\n", key.name, key.example);
        }
        let settings = read(&source(&text)).unwrap();
        assert!(matches!(settings.style.marks, Marks::Scale(_)));
        assert_eq!(settings.columns("r", "t"), ["r (points)"]);
        assert_eq!(settings.style.late.as_deref(), Some("{mark} (late)"));
        let percent = read(&source("[gradebook]\nmarks = \"percent\"\nabsent = \"\"\n")).unwrap();
        assert_eq!(percent.style.marks, Marks::Percent);
        assert_eq!(percent.style.absent, None);
    }

    #[test]
    fn all_that_is_wrong_is_told_at_once() {
        let text = "[gradebook]\nmark = \"points\"\ndecimals = 9\nabsent = \"=1+1\"\nlate = \"late\"\n\
                    marks = \"percent\"\nscale = { A = 0.5 }\n";
        let found = read(&source(text)).unwrap_err();
        let messages: Vec<&str> = found.iter().map(|found| found.message.as_str()).collect();
        assert_eq!(
            messages,
            [
                "the section [gradebook] has no key `mark`",
                "`decimals` takes a whole number from 0 to 4, found 9",
                "a spreadsheet program might take \"=1+1\" for a formula",
                "`late` has no {mark} in it, so the mark would be lost",
                "there is a scale, and marks are told in percent",
            ]
        );
        for (scale, expected) in [
            ("{ A = \"85%\", B = \"60%\" }", "does not reach down to 0"),
            ("{ A = 0, B = 0 }", "the same share"),
            ("{ A = \"much\", B = 0 }", "takes a share"),
            ("{ \"-\" = 0 }", "for a formula"),
        ] {
            let found = read(&source(&format!("[gradebook]\nscale = {scale}\n"))).unwrap_err();
            assert!(found[0].message.contains(expected), "{}", found[0].message);
        }
        let found = read(&source("[gradebook]\nmarks = \"scale\"\n")).unwrap_err();
        assert!(found[0].message.contains("there is none"));
    }
}
