//! A cursor over an entry that sees one character where people write several: full-width and
//! Arabic-Indic digits, the true minus, dashes, typographic apostrophes.
//!
//! In: the text up to the end of what is read, and where to start. Out: characters; offsets
//! always count bytes of the entry.

use crate::text::DecimalMark;

use super::reading::{Notes, Unreadable, Why};

/// A cursor over an entry.
#[derive(Clone, Copy)]
pub(super) struct Scan<'a> {
    text: &'a str,
    pub(super) at: usize,
    pub(super) mark: DecimalMark,
    /// Which scripts' digits were taken.
    scripts: u8,
}

const ASCII: u8 = 1;
const OTHERS: [(char, u8); 3] = [('０', 2), ('٠', 4), ('۰', 8)];

impl<'a> Scan<'a> {
    pub(super) fn new(text: &'a str, at: usize, mark: DecimalMark) -> Self {
        Self {
            text,
            at,
            mark,
            scripts: 0,
        }
    }

    /// What is left, as written.
    pub(super) fn rest(&self) -> &'a str {
        self.text.get(self.at..).unwrap_or("")
    }

    /// The text up to its end, from the start of the entry.
    pub(super) fn text(&self) -> &'a str {
        self.text
    }

    pub(super) fn end(&self) -> usize {
        self.text.len()
    }

    pub(super) fn is_done(&self) -> bool {
        self.at >= self.text.len()
    }

    pub(super) fn peek(&self) -> Option<char> {
        self.rest().chars().next().map(|c| seen(c, self.mark))
    }

    /// The next character but `n`.
    pub(super) fn peek_at(&self, n: usize) -> Option<char> {
        self.rest().chars().nth(n).map(|c| seen(c, self.mark))
    }

    pub(super) fn bump(&mut self) {
        self.at += self.rest().chars().next().map_or(0, char::len_utf8);
    }

    pub(super) fn take(&mut self, wanted: impl Fn(char) -> bool) -> bool {
        let found = self.peek().is_some_and(wanted);
        if found {
            self.bump();
        }
        found
    }

    /// Takes a digit and remembers its script.
    pub(super) fn digit(&mut self) -> Option<char> {
        let digit = self.peek().filter(char::is_ascii_digit)?;
        let raw = self.rest().chars().next()?;
        self.scripts |= if raw.is_ascii() {
            ASCII
        } else {
            script_of(raw).map_or(0, |(_, bit)| bit)
        };
        self.bump();
        Some(digit)
    }

    /// Skips blanks and says whether there were any.
    pub(super) fn blanks(&mut self) -> bool {
        let rest = self.rest();
        let skipped = rest.len() - rest.trim_start_matches(is_blank).len();
        self.at += skipped;
        skipped > 0
    }

    /// Whether a number starts here: a digit, or a mark with a digit behind it.
    pub(super) fn at_number(&self) -> bool {
        match self.peek() {
            Some(c) if c.is_ascii_digit() => true,
            Some('.' | ',') => self.peek_at(1).is_some_and(|c| c.is_ascii_digit()),
            _ => false,
        }
    }

    /// The letters that come next.
    pub(super) fn letters(&self) -> &'a str {
        let rest = self.rest();
        &rest[..rest
            .find(|c: char| !c.is_alphabetic())
            .unwrap_or(rest.len())]
    }

    /// A fault from here to the end.
    pub(super) fn fault(&self, why: Why) -> Unreadable {
        Unreadable::new(why, self.at, self.end())
    }

    /// Notes on the digits taken.
    pub(super) fn digits_note(&self) -> Result<u32, Unreadable> {
        match self.scripts {
            0 | ASCII => Ok(0),
            one if one.count_ones() == 1 => Ok(Notes::OTHER_DIGITS),
            _ => Err(Unreadable::new(Why::MixedDigits, self.at, self.at)),
        }
    }
}

/// Whether what stands right behind a digit may be the digit 1 instead of a litre: `3.2l`, `3.2l m/s`.
pub(super) fn may_be_a_one(rest: &str) -> bool {
    rest.strip_prefix('l')
        .is_some_and(|after| after.is_empty() || after.starts_with(is_blank))
}

/// Blanks of every kind, and characters that show nothing.
pub(super) fn is_blank(c: char) -> bool {
    c.is_whitespace() || matches!(c, '\u{200b}' | '\u{feff}' | '\u{2060}')
}

/// Whether a character is a digit in one of the scripts that are read.
pub(super) fn is_digit(c: char) -> bool {
    seen(c, DecimalMark::Point).is_ascii_digit()
}

/// The character that a character stands for.
fn seen(c: char, mark: DecimalMark) -> char {
    match c {
        ' '..='~' => c,
        '−' | '–' | '‒' | '－' | '﹣' => '-',
        '＋' => '+',
        '．' => '.',
        '，' => ',',
        '٫' => mark.character(),
        '٬' | '’' | 'ʼ' => '\'',
        '⁄' | '∕' | '÷' | '／' => '/',
        '（' | '［' => '(',
        '）' | '］' => ')',
        _ => script_of(c)
            .and_then(|(zero, _)| char::from_digit(c as u32 - zero as u32, 10))
            .unwrap_or(c),
    }
}

/// The zero and the mark of the script that a digit belongs to.
fn script_of(c: char) -> Option<(char, u8)> {
    let holds = |zero: char| (zero as u32..zero as u32 + 10).contains(&(c as u32));
    OTHERS.into_iter().find(|&(zero, _)| holds(zero))
}

/// Signs for "times".
pub(super) fn is_times(c: char) -> bool {
    matches!(c, '*' | '·' | '×' | '⋅' | '∙' | '•' | '✕' | '✖')
}

/// Where the bracket that closes the one at the start stands, and where the text goes on.
pub(super) fn closing(text: &str) -> Option<(usize, usize)> {
    let mut depth = 0usize;
    for (at, c) in text.char_indices() {
        if is_open(c) {
            depth += 1;
        } else if is_close(c) {
            depth = depth.checked_sub(1)?;
            if depth == 0 {
                return Some((at, at + c.len_utf8()));
            }
        }
    }
    None
}

/// Where the bracket that is closed by the last character of a text opens.
pub(super) fn opening(text: &str) -> Option<usize> {
    let mut depth = 0usize;
    for (at, c) in text.char_indices().rev() {
        if is_close(c) {
            depth += 1;
        } else if is_open(c) {
            depth = depth.checked_sub(1)?;
            if depth == 0 {
                return Some(at);
            }
        } else if depth == 0 {
            return None;
        }
    }
    None
}

pub(super) fn is_open(c: char) -> bool {
    matches!(c, '(' | '[' | '（' | '［')
}

pub(super) fn is_close(c: char) -> bool {
    matches!(c, ')' | ']' | '）' | '］')
}
