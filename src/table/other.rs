//! What a file is that is no text, by how it begins.
//!
//! In: the first bytes of a file. Out: what it is, for messages of those who expected a text. Nothing else of it
//! is looked at.

/// How a zip begins, and with it a workbook.
pub(crate) const ZIP: &[u8] = b"PK\x03\x04";

/// A file that is no text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Other {
    beginning: &'static [u8],
    /// What it is, with its article.
    pub(crate) name: &'static str,
    /// How a list gets out of it.
    pub(crate) as_list: &'static str,
}

const OTHERS: [Other; 4] = [
    Other {
        beginning: ZIP,
        name: "a workbook, a word processor's document or another zip file",
        as_list: FROM_WORKBOOK,
    },
    Other {
        beginning: b"\xD0\xCF\x11\xE0",
        name: "a workbook or a document in an older format",
        as_list: FROM_WORKBOOK,
    },
    Other {
        beginning: b"%PDF",
        name: "a PDF",
        as_list: "nothing can be read from a PDF with certainty: ask for the list as a CSV file or as a workbook",
    },
    Other {
        beginning: b"{\\rtf",
        name: "a word processor's document",
        as_list: "have the list exported as CSV, or save it from there as plain text in UTF-8",
    },
];

const FROM_WORKBOOK: &str = "a workbook is opened in the spreadsheet program and saved as 'CSV UTF-8'; of anything else export the list anew, as CSV";

impl Other {
    /// What a file is that begins with these bytes; `None` for what may be a text.
    pub(crate) fn of(head: &[u8]) -> Option<Self> {
        OTHERS
            .into_iter()
            .find(|other| head.starts_with(other.beginning))
    }
}
