//! Foreign text made safe to draw, print or log.
//!
//! In: any text. Out: the same on one line, with what is hidden in it shown. Nothing is refused. What counts
//! as a format character is the Unicode general category Cf.

use std::borrow::Cow;
use std::fmt::Write as _;

use unicode_width::UnicodeWidthChar as _;

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
