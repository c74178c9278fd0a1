//! What was handed out: a paper as it was issued, which never changes afterwards.
//!
//! In and out: plain values. The numbers are kept as drawn, by the names of their givens, so that
//! they hold when the file is put into another order later.

use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};

use super::act::IssueId;
use crate::table::Declared;
use crate::table::declared::{Options, Remembered};
use crate::table::encoding::Encoding;
use crate::variant::PaperCode;

/// A given as it was drawn.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Drawn {
    /// The given's name in its problem.
    pub name: String,
    /// Its value with its unit, `6.0 kg`.
    pub value: String,
}

/// A paper that was handed out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Issue {
    /// Its number in the record.
    pub id: IssueId,
    /// The code of the sheet, or of the assignment handed out alone.
    pub sheet: String,
    /// The class, by the name of its roster.
    pub class: String,
    /// The student's id.
    pub student: String,
    /// The student's section then.
    pub section: Option<String>,
    /// Which paper of this sheet it is for the student, from 1.
    pub number: u32,
    /// What stands on the paper to find it by.
    pub code: PaperCode,
    /// For each problem of the sheet what was drawn.
    pub values: Vec<Vec<Drawn>>,
    /// Digest of the files it was drawn from, see [`super::Filed`].
    pub file: String,
    /// When.
    pub at: DateTime<Utc>,
    /// The day it was due when it was issued.
    pub due: Option<NaiveDate>,
    /// For each problem the digest of the figure it was handed out with, see [`FiledFigure`]. None in
    /// papers of records that did not keep figures yet.
    pub figures: Option<Vec<Option<String>>>,
}

/// A paper before the record has taken it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewIssue {
    /// The code of the sheet.
    pub sheet: String,
    /// The class.
    pub class: String,
    /// The student's id.
    pub student: String,
    /// The student's section.
    pub section: Option<String>,
    /// Which paper of this sheet it is for the student, from 1.
    pub number: u32,
    /// What stands on the paper to find it by, unlike any other in the record.
    pub code: PaperCode,
    /// For each problem of the sheet what was drawn.
    pub values: Vec<Vec<Drawn>>,
    /// Digest of the files it was drawn from.
    pub file: String,
    /// When.
    pub at: DateTime<Utc>,
    /// The day it is due.
    pub due: Option<NaiveDate>,
}

impl NewIssue {
    /// The paper as it will be, but for its number in the record.
    pub fn as_issued(self) -> Issue {
        self.issued(IssueId::default(), None)
    }

    /// The paper once the record has given it a number, with the digests of its figures.
    pub(super) fn issued(self, id: IssueId, figures: Option<Vec<Option<String>>>) -> Issue {
        Issue {
            id,
            sheet: self.sheet,
            class: self.class,
            student: self.student,
            section: self.section,
            number: self.number,
            code: self.code,
            values: self.values,
            file: self.file,
            at: self.at,
            due: self.due,
            figures,
        }
    }
}

/// Where the roster of a class lies, and how it was read, to read it in the same way again.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct RosterFile {
    /// Its path, within the course folder from there on.
    pub path: String,
    /// Headings that were named, of ids, names, sections and decimal marks.
    pub columns: [Option<String>; 4],
    /// Whether the class writes a decimal comma where the roster does not say it.
    pub comma: bool,
    /// How the file is written, as far as somebody said so. Records of earlier versions say nothing.
    #[serde(default)]
    pub written: WrittenAs,
}

/// How a roster is written, in words that stay the same from version to version.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct WrittenAs {
    /// The name of its encoding.
    pub encoding: Option<String>,
    /// What separates its cells.
    pub delimiter: Option<char>,
    /// The line of its heading, counted from 1.
    pub heading_row: Option<u64>,
}

impl From<&Declared> for WrittenAs {
    fn from(declared: &Declared) -> Self {
        Self {
            encoding: declared.encoding.map(|encoding| encoding.name().to_owned()),
            delimiter: declared.delimiter.map(char::from),
            heading_row: declared.heading_row,
        }
    }
}

impl WrittenAs {
    /// The same for whoever reads the file. A name that this version does not know says nothing.
    pub fn declared(&self) -> Declared {
        Declared {
            encoding: self
                .encoding
                .as_deref()
                .and_then(|name| Encoding::named(name).ok()),
            delimiter: self.delimiter.and_then(|mark| u8::try_from(mark).ok()),
            heading_row: self.heading_row,
            options: Options::Elsewhere,
            remembered: Remembered {
                encoding: self.encoding.is_some(),
                delimiter: self.delimiter.is_some(),
                heading_row: self.heading_row.is_some(),
            },
        }
    }
}

/// The files of a sheet as they were when papers were drawn from them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Filed {
    /// BLAKE3 over the texts, in hexadecimal, see [`Filed::digest`].
    pub digest: String,
    /// The code of the sheet.
    pub sheet: String,
    /// The title of the sheet.
    pub title: String,
    /// Each file's name and whole text: the sheet, then its problems.
    pub texts: Vec<(String, String)>,
}

impl Filed {
    /// The digest of texts: of their contents, in their order, whatever the files are called.
    pub fn digest<'a>(texts: impl IntoIterator<Item = &'a str>) -> String {
        let mut hasher = blake3::Hasher::new();
        for text in texts {
            // The length in front keeps texts apart.
            hasher.update(&(text.len() as u64).to_le_bytes());
            hasher.update(text.as_bytes());
        }
        hasher.finalize().to_hex().to_string()
    }
}

/// The file of a figure as it was when papers were handed out with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FiledFigure {
    /// BLAKE3 over its text, as [`Filed::digest`] has it, in hexadecimal.
    pub digest: String,
    /// Its whole text, SVG.
    pub svg: String,
}

impl FiledFigure {
    /// A figure's file with this text.
    pub fn of(svg: String) -> Self {
        Self {
            digest: Filed::digest([svg.as_str()]),
            svg,
        }
    }
}
