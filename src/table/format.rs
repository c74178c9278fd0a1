//! What the beginning of a file says about all of it.
//!
//! In: what `sniff` and `heading` found. Out: a [`Format`], by which rows are read, now and later.

use std::sync::Arc;

use super::declared::Declared;
use super::encoding::Encoding;
use super::{fault, line};
use crate::diagnostic::{Diagnostic, Place};

/// How the rows of a file are written.
#[derive(Clone, Debug)]
pub(super) struct Dialect {
    /// Length of the byte order mark.
    pub(super) base: u64,
    pub(super) encoding: Encoding,
    pub(super) delimiter: u8,
    /// Lines end in a lone CR.
    pub(super) lone_cr: bool,
    /// The whole text, of a file that is not in UTF-8.
    pub(super) decoded: Option<Arc<[u8]>>,
}

/// What the beginning of a file says about all of it; enough to go on reading it later.
#[derive(Clone, Debug)]
pub struct Format {
    pub(super) file: String,
    pub(super) dialect: Dialect,
    pub(super) heading: Vec<String>,
    pub(super) heading_line: u64,
    /// Columns without a heading, which may hold blanks alone.
    pub(super) headless: Vec<usize>,
    /// Columns whose heading an earlier one has, with that one before them.
    pub(super) doubled: Vec<[usize; 2]>,
    /// The title row right above the heading.
    pub(super) title: Option<String>,
    /// Names the options that settle what is open.
    pub(super) declared: Declared,
}

impl Format {
    pub(super) fn new(file: &str, dialect: Dialect) -> Self {
        Self {
            file: file.to_owned(),
            dialect,
            heading: Vec::new(),
            heading_line: 1,
            headless: Vec::new(),
            doubled: Vec::new(),
            title: None,
            declared: Declared::default(),
        }
    }

    /// The file's name as the user typed it.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// The headings, trimmed; where a column has none, an empty text.
    pub fn heading(&self) -> &[String] {
        &self.heading
    }

    /// The line of the heading, counted from 1.
    pub fn heading_line(&self) -> u64 {
        self.heading_line
    }

    /// Where the heading stands.
    pub fn heading_place(&self) -> Place {
        line(self.heading_line)
    }

    /// The row right above the heading, where title rows stand there: its cells with blanks between them.
    pub fn title(&self) -> Option<&str> {
        self.title.as_deref()
    }

    /// The encoding of the file.
    pub fn encoding(&self) -> Encoding {
        self.dialect.encoding
    }

    /// What separates the cells.
    pub fn delimiter(&self) -> u8 {
        self.dialect.delimiter
    }

    /// An error for each heading that stands above two columns; for whoever needs them all.
    pub fn doubled(&self) -> impl Iterator<Item = Diagnostic> {
        self.doubled
            .iter()
            .map(|columns| fault::doubled(self, *columns))
    }

    /// Takes columns without a heading for what they are: they may hold anything.
    pub(super) fn allow(&mut self, columns: &[usize]) {
        self.headless.retain(|column| !columns.contains(column));
    }
}
