//! Text made to fit: its width, and what is left of it where that is too much.
//!
//! In: text and how many columns of a terminal it may take. Out: excerpts, openings, lines. Nothing is refused.

use std::borrow::Cow;

use unicode_width::{UnicodeWidthChar as _, UnicodeWidthStr as _};

use super::safe;

/// Terminal columns that text takes which is already [`safe`]; wide (East Asian) characters take
/// two.
pub fn width(text: &str) -> usize {
    text.width()
}

/// Terminal columns that a quoted cell or id may take in a message.
pub const QUOTED: usize = 40;

/// Safe text of at most so many columns, for quoting a cell or an entry in a message: what does not
/// fit is cut off and `…` stands for it. `columns` below 1 counts as 1.
pub fn excerpt(text: &str, columns: usize) -> Cow<'_, str> {
    // Looking at no more than this keeps a cell of many megabytes cheap to quote.
    let limit = floor_boundary(text, columns.saturating_mul(16).saturating_add(64));
    let shown = safe(&text[..limit]);
    if limit == text.len() && width(&shown) <= columns {
        return shown;
    }
    let room = columns.max(1) - 1;
    let mut used = 0;
    let mut end = 0;
    for (at, c) in shown.char_indices() {
        used += c.width().unwrap_or(0);
        if used > room {
            break;
        }
        end = at + c.len_utf8();
    }
    Cow::Owned(format!("{}…", &shown[..end]))
}

/// As [`excerpt`], for prose: of a text that does not fit only whole words are left, and it is one line
/// with single blanks.
pub fn opening(text: &str, columns: usize) -> Cow<'_, str> {
    let mut out = String::new();
    let mut used = 0;
    for word in text.split_whitespace() {
        let word = safe(word);
        let blank = usize::from(used > 0);
        if used + blank + width(&word) > columns {
            break;
        }
        used += blank + width(&word);
        out.push_str(if blank > 0 { " " } else { "" });
        out.push_str(&word);
    }
    let kept = out.split(' ').count();
    match text.split_whitespace().nth(kept) {
        None if !out.is_empty() || text.trim().is_empty() => return Cow::Owned(out),
        // The ellipsis takes the place of a blank, or else of the last word.
        _ if used == columns => out.truncate(out.rfind(' ').unwrap_or(0)),
        _ => {}
    }
    if out.is_empty() {
        return excerpt(text, columns);
    }
    out.push('…');
    Cow::Owned(out)
}

/// Columns of a page on a terminal.
pub const COLUMNS: usize = 80;

/// A text with blanks behind it up to so many columns.
pub fn padded(text: &str, columns: usize) -> String {
    let blanks = columns.saturating_sub(width(text));
    format!("{text}{:blanks$}", "")
}

/// Text that is safe already, in lines of at most so many columns, broken at blanks; a word longer than
/// that stands in a line of its own.
pub fn wrapped(text: &str, columns: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut used = 0;
    for word in text.split(' ') {
        match lines.last_mut() {
            Some(line) if used + 1 + width(word) <= columns => {
                line.push(' ');
                line.push_str(word);
                used += 1 + width(word);
            }
            _ => {
                used = width(word);
                lines.push(word.to_owned());
            }
        }
    }
    lines
}

/// The words of a list in quotes, `'a', 'b' and 'c'`, each made safe and short, a dozen at most; empty
/// for an empty list.
pub fn quoted<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    const SHOWN: usize = 12;
    let mut words = words.into_iter();
    let mut list: Vec<_> = words
        .by_ref()
        .take(SHOWN)
        .map(|word| format!("'{}'", excerpt(word, QUOTED)))
        .collect();
    let mut words = words.peekable();
    if let Some(next) = words.next() {
        // The last one takes no more room than to say that it is left out.
        list.push(match words.count() {
            0 => format!("'{}'", excerpt(next, QUOTED)),
            more => format!("{} more", more + 1),
        });
    }
    match list.pop() {
        None => String::new(),
        Some(last) if list.is_empty() => last,
        Some(last) => format!("{} and {last}", list.join(", ")),
    }
}

/// The largest place not after `at` where a character of the text begins or the text ends.
pub fn floor_boundary(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}
