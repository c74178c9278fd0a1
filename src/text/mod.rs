//! Foreign text made safe to draw, print or log, and how wide it then is.
//!
//! In goes any text that came from a file or a keyboard: a name, an entry, a file name, a line of
//! an assignment. Out comes text that cannot move the cursor, turn the reading direction, hide
//! itself or pile up on other lines. Nothing is refused and nothing is dropped: what was harmful is
//! *shown*, so that "A⇥B" and "AB" never look the same. The original stays what is stored and
//! exported.
//!
//! The danger is CWE-150 (escape sequences reaching a terminal); what counts as a format character
//! is the Unicode general category Cf. Rules for spreadsheets and for typesetting live with their
//! writers.

mod date;
mod folded;
mod greek;
mod json;

use std::borrow::Cow;
use std::fmt::Write as _;

use unicode_width::{UnicodeWidthChar as _, UnicodeWidthStr as _};

pub use date::date;
pub use folded::{folded, words};
pub use greek::{greek_letter, greek_name, greek_prefix};
pub use json::{json_line, push_json};

/// Which character separates whole and fraction in what a student wrote.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum DecimalMark {
    /// `3.27`
    #[default]
    Point,
    /// `3,27`
    Comma,
}

impl DecimalMark {
    /// The mark itself.
    pub fn character(self) -> char {
        match self {
            Self::Point => '.',
            Self::Comma => ',',
        }
    }

    /// A number that is written with a point, with this mark.
    pub fn written(self, number: &str) -> Cow<'_, str> {
        match self {
            Self::Point => Cow::Borrowed(number),
            Self::Comma => Cow::Owned(number.replace('.', ",")),
        }
    }
}

/// How many marks of no width may sit on one letter. Written languages stay below it (Vietnamese
/// needs two, pointed Hebrew three or four); a pile of them covers the lines above.
const MARKS_ON_A_LETTER: usize = 6;

/// Characters that work on their neighbours instead of being seen: the category Cf as of Unicode 16
/// without the joiners U+200C and U+200D (names need them) and without the tag characters' block,
/// which is here whole; then the line separators, and letters that are drawn as nothing.
#[rustfmt::skip]
const INVISIBLE: [(char, char); 27] = [
    ('\u{AD}', '\u{AD}'), ('\u{600}', '\u{605}'), ('\u{61C}', '\u{61C}'), ('\u{6DD}', '\u{6DD}'),
    ('\u{70F}', '\u{70F}'), ('\u{890}', '\u{891}'), ('\u{8E2}', '\u{8E2}'),
    // Hangul fillers: letters without a shape
    ('\u{115F}', '\u{1160}'),
    ('\u{180E}', '\u{180E}'), ('\u{200B}', '\u{200B}'), ('\u{200E}', '\u{200F}'),
    // line and paragraph separator, then the embeddings and overrides
    ('\u{2028}', '\u{202E}'),
    ('\u{2060}', '\u{206F}'), ('\u{3164}', '\u{3164}'), ('\u{FEFF}', '\u{FEFF}'),
    ('\u{FFA0}', '\u{FFA0}'), ('\u{FFF9}', '\u{FFFB}'), ('\u{110BD}', '\u{110BD}'),
    ('\u{110CD}', '\u{110CD}'), ('\u{13430}', '\u{1343F}'), ('\u{1BCA0}', '\u{1BCA3}'),
    ('\u{1D173}', '\u{1D17A}'),
    // tags, and the block around them that is kept for more of their kind; the variation
    // selectors in its middle are marks, but carry hidden bytes just as well
    ('\u{E0000}', '\u{E0FFF}'),
    // noncharacters, which some programs take as an end of text
    ('\u{FDD0}', '\u{FDEF}'), ('\u{FFFE}', '\u{FFFF}'), ('\u{1FFFE}', '\u{1FFFF}'),
    ('\u{10FFFE}', '\u{10FFFF}'),
];

/// Makes untrusted text harmless and shows what was found in it.
///
/// C0 controls and DEL become their control pictures (`␛`, `␊`, `␉`), C1 controls, separators,
/// direction marks, tags and other format characters become `<U+202E>`; of a pile of combining
/// marks the first six stay and the rest is counted; a mark without a letter gets `◌` to sit on.
/// The result is one line. Text that is harmless comes back borrowed, and `safe(safe(x)) ==
/// safe(x)`.
pub fn safe(text: &str) -> Cow<'_, str> {
    if text.bytes().all(|b| (0x20..0x7f).contains(&b)) {
        return Cow::Borrowed(text);
    }
    let mut out = String::new();
    // everything before `kept` has been written to `out`, once something had to be changed
    let mut kept = 0;
    let mut marks = 0;
    let mut excess = 0;
    for (at, c) in text.char_indices() {
        let hidden = is_hidden(c);
        let mark = !hidden && c.width() == Some(0);
        if mark && at > 0 {
            marks += 1;
            if marks > MARKS_ON_A_LETTER {
                if excess == 0 {
                    out.push_str(&text[kept..at]);
                }
                excess += 1;
                kept = at + c.len_utf8();
            }
            continue;
        }
        if excess > 0 {
            count_marks(&mut out, excess);
            excess = 0;
        }
        marks = usize::from(mark);
        if !hidden && !mark {
            continue;
        }
        out.push_str(&text[kept..at]);
        kept = at;
        if mark {
            out.push('◌');
        } else {
            show(&mut out, c);
            kept += c.len_utf8();
        }
    }
    if excess > 0 {
        count_marks(&mut out, excess);
    }
    if kept == 0 && out.is_empty() {
        return Cow::Borrowed(text);
    }
    out.push_str(&text[kept..]);
    Cow::Owned(out)
}

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
    let more = words.count();
    if more > 0 {
        list.push(format!("{more} more"));
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

/// Whether a character is a control or works on others instead of being seen, so that [`safe`] shows it.
pub fn is_hidden(c: char) -> bool {
    c.is_control()
        || INVISIBLE
            .iter()
            .any(|&(first, last)| (first..=last).contains(&c))
}

/// Writes a hidden character so that it can be seen.
fn show(out: &mut String, c: char) {
    let code = u32::from(c);
    match c {
        '\0'..='\u{1F}' => out.push(char::from_u32(0x2400 + code).unwrap_or('␀')),
        '\u{7F}' => out.push('␡'),
        _ => {
            // writing to a String cannot fail
            let _ = write!(out, "<U+{code:04X}>");
        }
    }
}

fn count_marks(out: &mut String, excess: usize) {
    let noun = if excess == 1 { "mark" } else { "marks" };
    // writing to a String cannot fail
    let _ = write!(out, "<{excess} more {noun}>");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn harmless_text_is_borrowed() {
        for text in [
            "",
            "Ada",
            "Nguyễn Thị Hương",
            "Nguye\u{302}\u{303}n",
            "王秀英",
            "علی\u{200C}رضا",
            "עִבְרִית",
        ] {
            assert!(
                matches!(safe(text), Cow::Borrowed(t) if t == text),
                "{text:?}"
            );
        }
    }

    #[test]
    fn prose_is_cut_between_words() {
        let say = "Compare the two forces on the sandbag.";
        let cases = [
            (say, 38, say),
            (say, 37, "Compare the two forces on the…"),
            (say, 30, "Compare the two forces on the…"),
            (say, 29, "Compare the two forces on…"),
            (say, 8, "Compare…"),
            (say, 7, "Compar…"),
            (" a\n b ", 9, "a b"),
            ("", 9, ""),
            ("Compare", 7, "Compare"),
        ];
        for (text, columns, expected) in cases {
            assert_eq!(opening(text, columns), expected, "{columns}");
            assert!(width(&opening(text, columns)) <= columns);
        }
    }

    #[test]
    fn lines_are_broken_at_blanks() {
        assert_eq!(wrapped("one two three", 7), ["one two", "three"]);
        assert_eq!(wrapped("unbreakable a b", 5), ["unbreakable", "a b"]);
        assert_eq!(wrapped("", 5), [""]);
    }

    #[test]
    fn what_is_hidden_is_shown() {
        let cases = [
            ("A\tB", "A␉B"),
            ("\u{1b}[31mred", "␛[31mred"),
            ("a\r\nb\0", "a␍␊b␀"),
            ("\u{7f}", "␡"),
            ("\u{9b}31m", "<U+009B>31m"),
            ("x\u{85}y\u{2028}z", "x<U+0085>y<U+2028>z"),
            ("abc\u{202e}dcba", "abc<U+202E>dcba"),
            ("\u{feff}id", "<U+FEFF>id"),
            ("a\u{e0041}", "a<U+E0041>"),
            ("soft\u{ad}hyphen", "soft<U+00AD>hyphen"),
            ("a\u{200b}b", "a<U+200B>b"),
            ("\u{301}a", "◌\u{301}a"),
            (
                "e\u{301}\u{301}\u{301}\u{301}\u{301}\u{301}\u{301}\u{301}f",
                "e\u{301}\u{301}\u{301}\u{301}\u{301}\u{301}<2 more marks>f",
            ),
            (
                "e\u{301}\u{301}\u{301}\u{301}\u{301}\u{301}\u{301}",
                "e\u{301}\u{301}\u{301}\u{301}\u{301}\u{301}<1 more mark>",
            ),
        ];
        for (text, expected) in cases {
            assert_eq!(safe(text), expected, "{text:?}");
            assert_eq!(safe(expected), expected, "safe text stays as it is");
        }
    }

    #[test]
    fn lists_are_quoted() {
        assert_eq!(quoted([]), "");
        assert_eq!(quoted(["a"]), "'a'");
        assert_eq!(quoted(["a", "b\n", "c"]), "'a', 'b␊' and 'c'");
        assert!(quoted(["x"; 15]).ends_with("'x' and 3 more"));
    }

    #[test]
    fn an_excerpt_fits() {
        let cases = [
            ("short", 10, "short"),
            ("a longer name", 8, "a longe…"),
            ("王秀英", 6, "王秀英"),
            ("王秀英", 5, "王秀…"),
            ("王秀英", 4, "王…"),
            ("x", 0, "…"),
        ];
        for (text, columns, expected) in cases {
            assert_eq!(excerpt(text, columns), expected, "{text:?} in {columns}");
        }
        assert_eq!(excerpt(&"9".repeat(10_000_000), 5), "9999…");
    }
}
