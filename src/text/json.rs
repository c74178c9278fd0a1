//! JSON of one line that a terminal may show.
//!
//! In: any value. Out: its JSON, in which every character that [`safe`](super::safe) would show
//! differently stands as a `\u` escape: the same value for every reader of JSON, and harmless where
//! the line ends up on a screen. Nothing is refused.

use std::borrow::Cow;
use std::io::{self, Write};

use serde::Serialize;
use serde_json::Serializer;
use serde_json::ser::Formatter;
use unicode_width::UnicodeWidthChar as _;

use super::{is_hidden, safe};

/// Appends a value as one line of JSON, with its line break.
pub fn push_json<T: Serialize + ?Sized>(value: &T, out: &mut Vec<u8>) {
    let start = out.len();
    // Strings and numbers written into memory cannot fail; were it to happen, the line would be
    // empty, not half there.
    if value
        .serialize(&mut Serializer::with_formatter(&mut *out, Shown))
        .is_err()
    {
        out.truncate(start);
    }
    out.push(b'\n');
}

/// The same as a text.
pub fn json_line<T: Serialize + ?Sized>(value: &T) -> String {
    let mut line = Vec::new();
    push_json(value, &mut line);
    // JSON is UTF-8 throughout.
    String::from_utf8(line).unwrap_or_default()
}

/// Writes what is hidden as escapes.
struct Shown;

impl Formatter for Shown {
    fn write_string_fragment<W: Write + ?Sized>(
        &mut self,
        writer: &mut W,
        fragment: &str,
    ) -> io::Result<()> {
        if let Cow::Borrowed(_) = safe(fragment) {
            return writer.write_all(fragment.as_bytes());
        }
        let mut kept = 0;
        for (at, c) in fragment.char_indices() {
            // Marks too: a pile of them covers the lines above.
            if is_hidden(c) || c.width() == Some(0) {
                writer.write_all(&fragment.as_bytes()[kept..at])?;
                kept = at + c.len_utf8();
                for unit in c.encode_utf16(&mut [0; 2]) {
                    write!(writer, "\\u{unit:04x}")?;
                }
            }
        }
        writer.write_all(&fragment.as_bytes()[kept..])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(text: &str) -> String {
        json_line(text)
    }

    #[test]
    fn what_is_hidden_is_escaped_and_stays_the_same_value() {
        let pile = format!("e{}", "\u{301}".repeat(7));
        let cases = [
            ("3.27 m/s²", "\"3.27 m/s²\"\n".to_owned()),
            // a decomposed letter is written as it stands
            ("Zoe\u{308}", "\"Zoe\u{308}\"\n".to_owned()),
            ("\u{1b}[2J", "\"\\u001b[2J\"\n".to_owned()),
            ("\u{9b}2J\u{7f}", "\"\\u009b2J\\u007f\"\n".to_owned()),
            ("a\u{202e}b", "\"a\\u202eb\"\n".to_owned()),
            ("\u{e0041}", "\"\\udb40\\udc41\"\n".to_owned()),
            ("\u{301}x", "\"\\u0301x\"\n".to_owned()),
            (&pile, format!("\"e{}\"\n", "\\u0301".repeat(7))),
        ];
        for (text, expected) in cases {
            let found = line(text);
            assert_eq!(found, expected, "{text:?}");
            let back: String = serde_json::from_str(&found).unwrap();
            assert_eq!(back, text);
        }
    }

    proptest::proptest! {
        #[test]
        fn any_text_comes_back_and_is_safe(text in ".*") {
            let found = line(&text);
            let shown = found.strip_suffix('\n').unwrap();
            proptest::prop_assert_eq!(safe(shown), shown);
            proptest::prop_assert_eq!(serde_json::from_str::<String>(&found).unwrap(), text);
        }
    }
}
