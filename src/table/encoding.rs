//! How the characters of a file are written as bytes, there and back without loss.
//!
//! In: the name of an encoding, bytes or text. Out: an [`Encoding`], text or bytes. Which one a file has is
//! found in `sniff`. Refused: bytes that the encoding does not have, and encodings in which a byte may mean one
//! thing here and another there (ISO-2022-JP), since no cell of such a file can be replaced by itself.

use std::borrow::Cow;

use encoding_rs::DecoderResult;

use crate::diagnostic::{Diagnostic, Place};
use crate::text::{QUOTED, excerpt};

/// An encoding that a file of text may have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8.
    Utf8,
    /// UTF-16 with the low byte first.
    Utf16Le,
    /// UTF-16 with the high byte first.
    Utf16Be,
    /// One of the older ones, in which the bytes of ASCII mean ASCII wherever a character begins. In those of
    /// several bytes a character may end in a byte such as that of a bar or a letter, never in that of a comma,
    /// a semicolon, a tab, a quote or a break.
    Older(&'static encoding_rs::Encoding),
}

/// What a file was found to be written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Encoded {
    /// Its encoding.
    pub encoding: Encoding,
    /// Length of the byte order mark in bytes, 0 to 3.
    pub mark: usize,
}

/// Bytes that an encoding does not have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Undecodable {
    /// Offset of the first of them.
    pub at: usize,
}

impl Encoding {
    /// The encoding of that name: the names of the WHATWG's standard, of which `windows-1252`, `latin1`,
    /// `utf-16le` and `shift_jis` are some; capitals make no difference.
    ///
    /// # Errors
    /// A name that is none, or of an encoding that is not taken.
    pub fn named(name: &str) -> Result<Self, Diagnostic> {
        let refused = |message: String| {
            Err(Diagnostic::error("--encoding", Place::File, message)
                .help("write utf-8, utf-16le, utf-16be, windows-1252 or another name of the Encoding Standard"))
        };
        let Some(found) = encoding_rs::Encoding::for_label(name.as_bytes()) else {
            let name = excerpt(name, QUOTED);
            return refused(format!("expected the name of an encoding, found '{name}'"));
        };
        Ok(match found.name() {
            "UTF-8" => Self::Utf8,
            "UTF-16LE" => Self::Utf16Le,
            "UTF-16BE" => Self::Utf16Be,
            "ISO-2022-JP" | "replacement" | "x-user-defined" => {
                let name = excerpt(name, QUOTED);
                return refused(format!("files in {name} are not taken"));
            }
            _ => Self::Older(found),
        })
    }

    /// Its name in the standard.
    pub fn name(self) -> &'static str {
        match self {
            Self::Utf8 => "UTF-8",
            Self::Utf16Le => "UTF-16LE",
            Self::Utf16Be => "UTF-16BE",
            Self::Older(encoding) => encoding.name(),
        }
    }

    /// How many bytes the separators, quotes and breaks of a file take: 2 in UTF-16, else 1.
    pub fn unit(self) -> usize {
        match self {
            Self::Utf16Le | Self::Utf16Be => 2,
            Self::Utf8 | Self::Older(_) => 1,
        }
    }

    /// Whether that byte, found anywhere, is this separator and no part of another character.
    pub fn separates(self, delimiter: u8) -> bool {
        match self {
            Self::Older(encoding) if !encoding.is_single_byte() => {
                matches!(delimiter, b',' | b';' | b'\t')
            }
            _ => true,
        }
    }

    /// The text of bytes without a byte order mark.
    ///
    /// # Errors
    /// Bytes that the encoding does not have.
    pub fn decode(self, bytes: &[u8]) -> Result<Cow<'_, str>, Undecodable> {
        match self {
            Self::Utf8 => match std::str::from_utf8(bytes) {
                Ok(text) => Ok(Cow::Borrowed(text)),
                Err(error) => Err(Undecodable {
                    at: error.valid_up_to(),
                }),
            },
            Self::Utf16Le => utf16(bytes, u16::from_le_bytes).map(Cow::Owned),
            Self::Utf16Be => utf16(bytes, u16::from_be_bytes).map(Cow::Owned),
            Self::Older(encoding) => older(encoding, bytes),
        }
    }

    /// The bytes of a text, without a byte order mark; `None` where it holds a character that the encoding
    /// does not have.
    pub fn encode(self, text: &str) -> Option<Cow<'_, [u8]>> {
        let units = |bytes: fn(u16) -> [u8; 2]| text.encode_utf16().flat_map(bytes).collect();
        match self {
            Self::Utf8 => Some(Cow::Borrowed(text.as_bytes())),
            Self::Utf16Le => Some(Cow::Owned(units(u16::to_le_bytes))),
            Self::Utf16Be => Some(Cow::Owned(units(u16::to_be_bytes))),
            Self::Older(encoding) => {
                let (bytes, _, is_lossy) = encoding.encode(text);
                (!is_lossy).then_some(bytes)
            }
        }
    }
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Result<String, Undecodable> {
    let (pairs, rest) = bytes.as_chunks::<2>();
    let mut text = String::with_capacity(bytes.len());
    let mut at = 0;
    for found in char::decode_utf16(pairs.iter().map(|pair| unit(*pair))) {
        let Ok(found) = found else {
            return Err(Undecodable { at });
        };
        at += 2 * found.len_utf16();
        text.push(found);
    }
    if rest.is_empty() {
        Ok(text)
    } else {
        Err(Undecodable { at })
    }
}

fn older<'a>(
    encoding: &'static encoding_rs::Encoding,
    bytes: &'a [u8],
) -> Result<Cow<'a, str>, Undecodable> {
    if bytes.is_ascii() {
        // that is what it is in each of them, and nothing has to be copied
        if let Ok(text) = std::str::from_utf8(bytes) {
            return Ok(Cow::Borrowed(text));
        }
    }
    let mut decoder = encoding.new_decoder_without_bom_handling();
    // room for whatever these bytes can become, so that one call does
    let room = decoder.max_utf8_buffer_length_without_replacement(bytes.len());
    let mut text = String::with_capacity(room.unwrap_or(bytes.len()));
    let mut read = 0;
    loop {
        let (result, taken) =
            decoder.decode_to_string_without_replacement(&bytes[read..], &mut text, true);
        read += taken;
        match result {
            DecoderResult::InputEmpty => return Ok(Cow::Owned(text)),
            DecoderResult::OutputFull => text.reserve(bytes.len() - read + 16),
            DecoderResult::Malformed(length, after) => {
                let back = usize::from(length) + usize::from(after);
                return Err(Undecodable {
                    at: read.saturating_sub(back),
                });
            }
        }
    }
}

/// The encoding that a byte order mark at the beginning of a file tells, with its length.
pub fn marked(bytes: &[u8]) -> Option<Encoded> {
    let marks: [(&[u8], Encoding); 3] = [
        (b"\xEF\xBB\xBF", Encoding::Utf8),
        (b"\xFF\xFE", Encoding::Utf16Le),
        (b"\xFE\xFF", Encoding::Utf16Be),
    ];
    let (mark, encoding) = marks
        .into_iter()
        .find(|(mark, _)| bytes.starts_with(mark))?;
    Some(Encoded {
        encoding,
        mark: mark.len(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn older(name: &str) -> Encoding {
        Encoding::named(name).unwrap()
    }

    #[test]
    fn names() {
        for (name, expected) in [
            ("UTF8", "UTF-8"),
            ("utf-16", "UTF-16LE"),
            ("utf-16be", "UTF-16BE"),
            ("Latin1", "windows-1252"),
            ("cp1250", "windows-1250"),
            ("sjis", "Shift_JIS"),
            ("gb18030", "gb18030"),
        ] {
            assert_eq!(Encoding::named(name).unwrap().name(), expected);
        }
        for name in ["", "ebcdic", "iso-2022-jp", "hz-gb-2312", "x-user-defined"] {
            assert!(Encoding::named(name).is_err(), "{name}");
        }
    }

    #[test]
    fn there_and_back() {
        let text = "id;Zoë,Ana Kovačić\r\n欧阳晓岚\t\u{1F600}\u{a0}\"x\"\n";
        for encoding in [Encoding::Utf8, Encoding::Utf16Le, Encoding::Utf16Be] {
            let bytes = encoding.encode(text).unwrap();
            assert_eq!(encoding.decode(&bytes).unwrap(), text, "{encoding:?}");
        }
        let cases = [
            ("windows-1252", "Zoë\u{81} €", true),
            ("windows-1252", "Kovačić", false),
            ("windows-1250", "Kovačić", true),
            ("shift_jis", "表,ソ", true),
            ("big5", "功,許", true),
            ("gb18030", "欧阳晓岚 ë", true),
            ("koi8-r", "Жук", true),
        ];
        for (name, text, fits) in cases {
            let bytes = older(name).encode(text);
            assert_eq!(bytes.is_some(), fits, "{name}");
            if let Some(bytes) = bytes {
                assert_eq!(older(name).decode(&bytes).unwrap(), text, "{name}");
            }
        }
    }

    #[test]
    fn bad_bytes_are_told_with_their_place() {
        let cases: [(Encoding, &[u8], usize); 6] = [
            (Encoding::Utf8, b"ab\xE9c", 2),
            (Encoding::Utf16Le, b"a\0b", 2),
            (Encoding::Utf16Le, b"a\0\0\xD8b\0", 2),
            (Encoding::Utf16Be, b"\0a\xDC\0", 2),
            (older("shift_jis"), b"a,b\x81,c", 3),
            (older("windows-1253"), b"ab\xAA", 2),
        ];
        for (encoding, bytes, at) in cases {
            assert_eq!(
                encoding.decode(bytes),
                Err(Undecodable { at }),
                "{encoding:?} {bytes:?}"
            );
        }
    }

    /// What the scanner of cells relies on: separators, quotes and breaks are never part of another
    /// character in any encoding that is taken. (Unmapped pairs are errors, which end the file.)
    #[test]
    fn separators_stand_for_nothing_else() {
        let names = [
            "windows-1250",
            "windows-1251",
            "windows-1252",
            "windows-1253",
            "windows-1254",
            "windows-1255",
            "windows-1256",
            "windows-1257",
            "windows-1258",
            "windows-874",
            "iso-8859-2",
            "iso-8859-15",
            "macintosh",
            "koi8-r",
            "koi8-u",
            "ibm866",
            "shift_jis",
            "euc-jp",
            "euc-kr",
            "big5",
            "gbk",
            "gb18030",
        ];
        for name in names {
            let encoding = older(name);
            for first in 0x80..=0xFF_u8 {
                for second in *b",;\t\"\r\n" {
                    if let Ok(text) = encoding.decode(&[first, second]) {
                        assert!(text.ends_with(char::from(second)), "{name} {first:02X}");
                    }
                }
            }
        }
    }
}
