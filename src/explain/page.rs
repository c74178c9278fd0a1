//! Lays a reckoning out for a terminal of 80 columns.
//!
//! In: labels, texts, amounts. Out: lines with the labels in one column and the texts wrapped in
//! another, amounts under each other. All text is made safe here, whoever wrote it.

use rust_decimal::Decimal;

use crate::text::{COLUMNS, safe, width};

/// Where labels begin.
const MARGIN: usize = 4;

/// Where texts begin.
const TEXT: usize = 16;

/// How wide amounts are, sign and blank included.
const AMOUNT: usize = 8;

/// A blank at which no line is broken.
pub(super) const TOGETHER: char = '\u{a0}';

/// A page being written.
#[derive(Default)]
pub(super) struct Page {
    out: String,
}

impl Page {
    /// What was written.
    pub(super) fn finish(self) -> String {
        self.out
    }

    /// Leaves a line empty, unless nothing stands above it.
    pub(super) fn gap(&mut self) {
        if !self.out.is_empty() {
            self.out.push('\n');
        }
    }

    /// A heading, from the first column.
    pub(super) fn heading(&mut self, text: &str) {
        self.wrapped(text, MARGIN);
    }

    /// A text with its label; several texts with one label stand below each other.
    pub(super) fn line(&mut self, label: &str, text: &str) {
        let label = safe(label);
        self.blanks(MARGIN);
        self.out.push_str(&label);
        let used = MARGIN + width(&label);
        // A long label moves its own text on, and no other.
        self.blanks(
            TEXT.saturating_sub(used)
                .max(usize::from(!label.is_empty())),
        );
        self.wrapped(text, TEXT.max(used + 1).min(COLUMNS / 2));
    }

    /// An amount of points with what it is for. `sign` stands before it: `=` for a sum, else its
    /// own sign.
    pub(super) fn amount(&mut self, label: &str, amount: Decimal, is_sum: bool, text: &str) {
        let amount = amount.normalize();
        let sign = match (is_sum, amount.is_sign_negative() && !amount.is_zero()) {
            (true, false) => "= ",
            (true, true) => "= -",
            (false, false) => "+ ",
            (false, true) => "- ",
        };
        let number = format!("{sign}{}", amount.abs());
        let blanks = AMOUNT.saturating_sub(width(&number)).max(1);
        self.line(label, &format!("{number}{:blanks$}{text}", ""));
    }

    fn blanks(&mut self, count: usize) {
        self.out.extend(std::iter::repeat_n(' ', count));
    }

    /// Text from where the line stands, its further lines indented.
    fn wrapped(&mut self, text: &str, indent: usize) {
        let start = self.out.rfind('\n').map_or(0, |at| at + 1);
        let mut column = width(&self.out[start..]);
        let mut is_first = true;
        for word in safe(text).split('\n').flat_map(|line| line.split(' ')) {
            let long = width(word);
            if !is_first && column + 1 + long > COLUMNS {
                self.out.push('\n');
                self.blanks(indent);
                column = indent;
            } else if !is_first {
                self.out.push(' ');
                column += 1;
            }
            self.out.push_str(&word.replace(TOGETHER, " "));
            column += long;
            is_first = false;
        }
        while self.out.ends_with(' ') {
            self.out.pop();
        }
        self.out.push('\n');
    }
}
