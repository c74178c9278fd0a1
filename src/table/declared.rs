//! What a user says of how a file is written, where the file itself does not tell it or would be read
//! wrongly.
//!
//! In go the values of options; out comes [`Declared`], which also knows what the options are called, so that
//! a message can name the one that settles a question.

use super::encoding::Encoding;
use crate::diagnostic::{Diagnostic, Place};
use crate::text::{QUOTED, excerpt};

/// How a file is written, as far as somebody said so.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Declared {
    /// Its encoding, for a file without a byte order mark that is not UTF-8.
    pub encoding: Option<Encoding>,
    /// What separates its cells.
    pub delimiter: Option<u8>,
    /// The line in which its heading stands, counted from 1.
    pub heading_row: Option<u64>,
    /// Which file it is, for the names of the options.
    pub options: Options,
    /// What of it nobody said now.
    pub remembered: Remembered,
}

/// What was said when the file was read for the first time. A message blames no option for it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Remembered {
    /// The encoding. What the file itself says since then outranks it.
    pub encoding: bool,
    /// What separates the cells.
    pub delimiter: bool,
    /// The line of the heading.
    pub heading_row: bool,
}

/// Whose options a message names.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Options {
    /// `--encoding`, `--delimiter`, `--heading-row`.
    #[default]
    Plain,
    /// `--answers-encoding` and so on, where a roster is read by the same command.
    Answers,
    /// `as NAME`, typed behind a gradebook or a class at the desk, which has no words for the rest.
    Desk,
    /// The same behind a file of answers.
    AnswersAtDesk,
    /// Those of another command, where this one reads the file as the record knows it and has none.
    Elsewhere,
}

/// The separators that have a name of their own, and their plural.
const NAMED: [(u8, &str, &str); 4] = [
    (b',', "comma", "commas"),
    (b';', "semicolon", "semicolons"),
    (b'\t', "tab", "tabs"),
    (b'|', "bar", "bars"),
];

impl Declared {
    /// How the option of that name is called for this file.
    pub fn option(&self, name: &str) -> String {
        match self.options {
            Options::Plain | Options::Desk => format!("--{name}"),
            Options::Answers | Options::AnswersAtDesk => format!("--answers-{name}"),
            Options::Elsewhere => elsewhere(name),
        }
    }

    /// How one says otherwise than it is remembered.
    pub fn anew(&self, name: &str) -> String {
        match self.at_desk() {
            true => elsewhere(name),
            false => self.option(name),
        }
    }

    /// The same with what was said before of the same file, where nothing is said now.
    pub fn or(&self, before: &Self) -> Self {
        let remembered = before.remembered;
        Self {
            encoding: self.encoding.or(before.encoding),
            delimiter: self.delimiter.or(before.delimiter),
            heading_row: self.heading_row.or(before.heading_row),
            options: self.options,
            remembered: Remembered {
                encoding: remembered.encoding && self.encoding.is_none(),
                delimiter: remembered.delimiter && self.delimiter.is_none(),
                heading_row: remembered.heading_row && self.heading_row.is_none(),
            },
        }
    }

    /// Where the options can be typed, behind "say which", if not where the message is read.
    pub(super) fn at_command_line(&self) -> &'static str {
        match self.at_desk() {
            true => " at the command line",
            false => "",
        }
    }

    /// Whether it is typed behind the file's name.
    fn at_desk(&self) -> bool {
        matches!(self.options, Options::Desk | Options::AnswersAtDesk)
    }

    /// How one says that the file is in an encoding, behind "if that is right".
    pub(super) fn say_encoding(&self, encoding: &str) -> String {
        if self.at_desk() {
            format!("type `as {encoding}` behind the name")
        } else {
            format!("say {} {encoding}", self.option("encoding"))
        }
    }

    /// What said the encoding, in a message that contradicts it.
    pub(super) fn said_encoding(&self, encoding: &str) -> String {
        if self.at_desk() {
            format!("`as {encoding}`")
        } else {
            self.option("encoding")
        }
    }
}

fn elsewhere(name: &str) -> String {
    format!("`roster compare --apply` with --{name}")
}

/// The separator that a word names, or that is written as itself.
///
/// # Errors
/// What cannot stand between cells: letters and digits, quotes, line breaks, blanks.
pub fn delimiter(word: &str) -> Result<u8, Diagnostic> {
    let named = NAMED.iter().find(|(_, name, plural)| {
        [name, plural]
            .into_iter()
            .any(|known| known.eq_ignore_ascii_case(word))
    });
    let single = match word.as_bytes() {
        [byte] => Some(*byte)
            .filter(|byte| *byte == b'\t' || byte.is_ascii_punctuation() && *byte != b'"'),
        _ => None,
    };
    named.map(|(byte, ..)| *byte).or(single).ok_or_else(|| {
        let message = format!(
            "expected what separates cells, found '{}'",
            excerpt(word, QUOTED)
        );
        Diagnostic::error("--delimiter", Place::File, message)
            .help("write comma, semicolon, tab or bar, or the character itself")
    })
}

/// Several of a separator, in a message.
pub fn plural(delimiter: u8) -> String {
    let named = NAMED.iter().find(|(byte, ..)| *byte == delimiter);
    named.map_or_else(
        || format!("'{}'", char::from(delimiter)),
        |(_, _, plural)| (*plural).to_owned(),
    )
}

/// A separator as a word of an option.
pub fn word(delimiter: u8) -> String {
    let named = NAMED.iter().find(|(byte, ..)| *byte == delimiter);
    named.map_or_else(
        || char::from(delimiter).to_string(),
        |(_, name, _)| (*name).to_owned(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn separators_by_name_and_as_themselves() {
        for (text, expected) in [
            ("comma", b','),
            ("Semicolon", b';'),
            ("tabs", b'\t'),
            ("\t", b'\t'),
            ("|", b'|'),
            (":", b':'),
        ] {
            let found = delimiter(text).unwrap();
            assert_eq!(found, expected, "{text}");
            assert_eq!(delimiter(&word(found)).unwrap(), expected, "{text}");
        }
        for text in ["", "\"", "a", "1", "\n", " ", ",,", "é"] {
            assert!(delimiter(text).is_err(), "{text:?}");
        }
    }
}
