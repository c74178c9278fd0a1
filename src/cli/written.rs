//! How a file is written, where the file does not tell it: options of every command that reads one.

use chrono::NaiveDate;
use rust_decimal::Decimal;

use crate::diagnostic::Diagnostic;
use crate::table::Declared;
use crate::table::declared::{self, Options};
use crate::table::encoding::Encoding;
use crate::text::{date, is_dated, points as number};

/// How the roster is written.
#[derive(Clone, Debug, Default, clap::Args)]
pub(super) struct RosterWritten {
    /// The roster's encoding, where it has no byte order mark and is not UTF-8 (`windows-1252`)
    #[arg(long, value_name = "NAME", value_parser = encoding)]
    encoding: Option<Encoding>,
    /// What separates the roster's cells: comma, semicolon, tab, bar, or the character itself
    #[arg(long, value_name = "MARK", value_parser = delimiter)]
    delimiter: Option<u8>,
    /// The line of the roster in which its heading stands, counted from 1
    #[arg(long, value_name = "LINE", value_parser = line)]
    heading_row: Option<u64>,
}

/// How the file of answers is written.
#[derive(Clone, Debug, Default, clap::Args)]
pub(super) struct AnswersWritten {
    /// The encoding of the answers, where they have no byte order mark and are not UTF-8
    #[arg(long, value_name = "NAME", value_parser = encoding)]
    answers_encoding: Option<Encoding>,
    /// What separates the cells of the answers
    #[arg(long, value_name = "MARK", value_parser = delimiter)]
    answers_delimiter: Option<u8>,
    /// The line of the answers in which their heading stands
    #[arg(long, value_name = "LINE", value_parser = line)]
    answers_heading_row: Option<u64>,
}

impl RosterWritten {
    pub(super) fn declared(&self) -> Declared {
        Declared {
            encoding: self.encoding,
            delimiter: self.delimiter,
            heading_row: self.heading_row,
            options: Options::Plain,
            ..Declared::default()
        }
    }
}

impl AnswersWritten {
    pub(super) fn declared(&self) -> Declared {
        Declared {
            encoding: self.answers_encoding,
            delimiter: self.answers_delimiter,
            heading_row: self.answers_heading_row,
            options: Options::Answers,
            ..Declared::default()
        }
    }
}

pub(super) fn encoding(name: &str) -> Result<Encoding, String> {
    Encoding::named(name).map_err(in_one_line)
}

pub(super) fn delimiter(word: &str) -> Result<u8, String> {
    declared::delimiter(word).map_err(in_one_line)
}

/// A line of a file.
pub(super) fn line(text: &str) -> Result<u64, &'static str> {
    let line = text.parse().ok().filter(|line| *line > 0);
    line.ok_or("expected the number of a line, counted from 1")
}

/// The name of the option stands before it already.
fn in_one_line(error: Diagnostic) -> String {
    let help = error.help.unwrap_or_default();
    format!("{}; {help}", error.message)
}

/// A day as the files of answers have it, `2026-11-25`.
pub(super) fn day(text: &str) -> Result<NaiveDate, &'static str> {
    date(text).ok_or(match is_dated(text) {
        true => "there is no such day: check month and day",
        false => "expected a date such as 2026-11-25",
    })
}

/// Points, with a point or a comma.
pub(super) fn points(typed: &str) -> Result<Decimal, &'static str> {
    number(typed).ok_or("expected points such as 20 or 12.5")
}
