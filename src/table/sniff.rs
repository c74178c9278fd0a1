//! What the first bytes of a file say about it: encoding and line breaks.
//!
//! In goes a file and what was told of it; out comes its [`Text`], decoded as a whole where it is not UTF-8.
//! Refused are files that are no text at all, empty ones, and those whose encoding is open. Nothing is
//! guessed: a byte order mark is believed, then what was told, and all else must be UTF-8.

use std::io::{self, Read, Seek, SeekFrom};
use std::sync::Arc;

use super::declared::Declared;
use super::encoding::{Encoded, Encoding, marked};
use super::fault;
use super::guard::LONGEST_ROW;
use super::other::Other;
use crate::diagnostic::Diagnostic;

/// How much of the beginning is looked at: the whole heading, however long it may be.
const HEAD: u64 = LONGEST_ROW;

/// A file that is not UTF-8 is held in memory as a whole; no list of students is so long.
pub(super) const LONGEST_DECODED: u64 = 1 << 28;

/// The beginning of a file, and how to read on.
#[derive(Debug)]
pub(super) struct Text {
    /// Length of the byte order mark; 0 of a text that was decoded.
    pub(super) base: u64,
    /// The encoding of the file.
    pub(super) encoding: Encoding,
    /// Lines end in a lone CR.
    pub(super) lone_cr: bool,
    /// The whole text as UTF-8, of a file in another encoding.
    pub(super) decoded: Option<Arc<[u8]>>,
    /// The encoding that the byte order mark told, where it is not UTF-8.
    pub(super) told_by_mark: Option<Encoding>,
    /// What comes after the mark, as far as it was looked at.
    head: Vec<u8>,
}

/// Why a file cannot be read as a table: what it is and what to do.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Unreadable {
    pub(super) message: &'static str,
    pub(super) help: &'static str,
}

pub(super) const EMPTY: Unreadable = Unreadable {
    message: "the file is empty, or holds blank lines alone",
    help: "write a heading in the first line and the students below it",
};

impl Text {
    /// Looks at the beginning of a file, and decodes all of it where it is not UTF-8.
    pub(super) fn read(
        input: &mut (impl Read + Seek),
        declared: &Declared,
        file: &str,
    ) -> Result<Self, Diagnostic> {
        let mut head = Vec::new();
        read_up_to(input, HEAD, &mut head).map_err(|error| fault::unreadable(file, &error))?;
        if let Some(other) = Other::of(&head) {
            return Err(fault::another(file, other, other.as_list));
        }
        let found = encoding(&head, declared, file)?;
        let is_remembered = declared.remembered.encoding;
        let found = if is_remembered && found.mark == 0 && found.encoding != Encoding::Utf8 {
            remembered(input, found, file)?
        } else {
            found
        };
        let mut text = if found.encoding == Encoding::Utf8 {
            head.drain(..found.mark);
            Self {
                base: found.mark as u64,
                encoding: found.encoding,
                lone_cr: false,
                decoded: None,
                told_by_mark: None,
                head,
            }
        } else {
            let decoded = decode(input, found, declared, file)?;
            let length = decoded.len().min(HEAD as usize);
            Self {
                base: 0,
                encoding: found.encoding,
                lone_cr: false,
                head: decoded.as_bytes()[..length].to_vec(),
                decoded: Some(decoded.into_bytes().into()),
                told_by_mark: (found.mark > 0).then_some(found.encoding),
            }
        };
        let is_blank = |byte: &u8| byte.is_ascii_whitespace() || matches!(byte, b',' | b';');
        if text.head.iter().all(is_blank) {
            return Err(fault::no_table(file, &EMPTY));
        }
        text.lone_cr = lone_cr(&text.head);
        Ok(text)
    }

    /// The beginning, in UTF-8 if the file is what it should be.
    pub(super) fn head(&self) -> &[u8] {
        &self.head
    }
}

fn read_up_to(input: &mut (impl Read + Seek), most: u64, into: &mut Vec<u8>) -> io::Result<()> {
    input.seek(SeekFrom::Start(0))?;
    input.take(most).read_to_end(into)?;
    Ok(())
}

/// The encoding that was told once, unless the file has been saved as UTF-8 since: then it is that to the last
/// byte, which hardly any text in another encoding is that needs one.
fn remembered(
    input: &mut (impl Read + Seek),
    found: Encoded,
    file: &str,
) -> Result<Encoded, Diagnostic> {
    let mut bytes = Vec::new();
    let read = read_up_to(input, LONGEST_DECODED, &mut bytes);
    read.map_err(|error| fault::unreadable(file, &error))?;
    let is_utf8 = !bytes.contains(&0) && std::str::from_utf8(&bytes).is_ok();
    Ok(if is_utf8 {
        Encoded {
            encoding: Encoding::Utf8,
            mark: 0,
        }
    } else {
        found
    })
}

fn decode(
    input: &mut (impl Read + Seek),
    found: Encoded,
    declared: &Declared,
    file: &str,
) -> Result<String, Diagnostic> {
    let mut bytes = Vec::new();
    let read = read_up_to(input, LONGEST_DECODED + 1, &mut bytes);
    read.map_err(|error| fault::unreadable(file, &error))?;
    if bytes.len() as u64 > LONGEST_DECODED {
        return Err(fault::too_long_to_decode(file, found.encoding));
    }
    let body = &bytes[found.mark..];
    let text = found.encoding.decode(body);
    let text = text.map_err(|bad| fault::undecodable(file, found.encoding, declared, body, bad))?;
    Ok(text.into_owned())
}

/// What the byte order mark says, else what was told, else UTF-8. A silent guess would spoil names. `head` is the
/// beginning of the file, 256 bytes of it at least, or all.
///
/// # Errors
/// A byte order mark that contradicts what was told, and UTF-16 without one.
pub(crate) fn encoding(
    head: &[u8],
    declared: &Declared,
    file: &str,
) -> Result<Encoded, Diagnostic> {
    match (marked(head), declared.encoding) {
        (Some(found), Some(told)) if told != found.encoding && !declared.remembered.encoding => {
            Err(fault::contradicted(file, found.encoding, told, declared))
        }
        (Some(found), _) => Ok(found),
        (None, Some(encoding)) => Ok(Encoded { encoding, mark: 0 }),
        (None, None) => match without_mark(head) {
            Some(encoding) => Err(fault::without_mark(file, encoding, declared)),
            None => Ok(Encoded {
                encoding: Encoding::Utf8,
                mark: 0,
            }),
        },
    }
}

/// UTF-16 without a byte order mark has a NUL in every other byte of its ASCII characters. Other NULs are
/// found with their row.
fn without_mark(text: &[u8]) -> Option<Encoding> {
    let start = &text[..text.len().min(256)];
    let nul_at = |remainder| {
        start
            .iter()
            .skip(remainder)
            .step_by(2)
            .filter(|b| **b == 0)
            .count()
    };
    match (nul_at(0), nul_at(1)) {
        (0, odd) if odd * 4 > start.len() => Some(Encoding::Utf16Le),
        (even, 0) if even * 4 > start.len() => Some(Encoding::Utf16Be),
        _ => None,
    }
}

/// Whether the first line break is a CR that no LF follows.
fn lone_cr(text: &[u8]) -> bool {
    let first = text.iter().position(|byte| matches!(byte, b'\n' | b'\r'));
    first.is_some_and(|at| text[at] == b'\r' && text.get(at + 1) != Some(&b'\n'))
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use super::super::declared::Remembered;
    use super::*;

    fn read(bytes: &[u8], encoding: Option<&str>) -> Result<Text, Diagnostic> {
        let declared = Declared {
            encoding: encoding.map(|name| Encoding::named(name).unwrap()),
            ..Declared::default()
        };
        Text::read(&mut Cursor::new(bytes), &declared, "f")
    }

    #[test]
    fn encodings_and_breaks() {
        /// Bytes, what was told, the length of the mark, whether lines end in CR alone, the text.
        type Case<'a> = (&'a [u8], Option<&'a str>, u64, bool, &'a str);
        let cases: [Case<'_>; 8] = [
            (b"id,name\n1,A\n", None, 0, false, "id,name\n1,A\n"),
            (b"\xEF\xBB\xBFid\r\n", None, 3, false, "id\r\n"),
            (b"id,name\r1,A\r", None, 0, true, "id,name\r1,A\r"),
            (b"id", None, 0, false, "id"),
            (b"\xFF\xFEi\0d\0\r\0", None, 0, true, "id\r"),
            (b"\xFE\xFF\0i\0d", Some("utf-16be"), 0, false, "id"),
            (b"i\0d\0", Some("utf-16le"), 0, false, "id"),
            (b"Zo\xEB", Some("windows-1252"), 0, false, "Zoë"),
        ];
        for (bytes, told, base, lone_cr, head) in cases {
            let text = read(bytes, told).unwrap();
            assert_eq!((text.base, text.lone_cr), (base, lone_cr), "{bytes:?}");
            assert_eq!(std::str::from_utf8(text.head()).unwrap(), head);
            let decoded = text.decoded.as_deref();
            assert_eq!(decoded.is_some(), told.is_some() || bytes[0] == 0xFF);
            assert!(decoded.is_none_or(|bytes| bytes == head.as_bytes()));
        }
    }

    /// A file that was saved as UTF-8 since is not read by what was told of it before.
    #[test]
    fn what_was_told_once_yields_to_the_file() {
        let declared = Declared {
            encoding: Encoding::named("windows-1252").ok(),
            remembered: Remembered {
                encoding: true,
                ..Remembered::default()
            },
            ..Declared::default()
        };
        let cases: [(&[u8], &str); 4] = [
            (b"Zo\xEB", "Zoë"),
            ("Zoë".as_bytes(), "Zoë"),
            (b"\xEF\xBB\xBFZo\xC3\xAB", "Zoë"),
            (b"\xFE\xFF\0Z\0o\0\xEB", "Zoë"),
        ];
        for (bytes, expected) in cases {
            let text = Text::read(&mut Cursor::new(bytes), &declared, "f").unwrap();
            assert_eq!(text.head(), expected.as_bytes(), "{bytes:?}");
        }
    }

    #[test]
    fn what_is_no_table_is_named() {
        let cases: [(&[u8], Option<&str>, &str); 10] = [
            (b"", None, "empty"),
            (b"\xEF\xBB\xBF \r\n\t\n", None, "empty"),
            (b"\xFF\xFE", None, "empty"),
            (b",;,,\n", None, "empty"),
            (b"i\0d\0,\0n\0", None, "UTF-16LE without"),
            (b"\0i\0d\0,\0n", None, "UTF-16BE without"),
            (b"PK\x03\x04\0\0", None, "workbook"),
            (b"%PDF-1.7", None, "PDF"),
            (b"\xFF\xFEi\0d", None, "UTF-16LE"),
            (b"\xFF\xFEi\0", Some("utf-8"), "the byte order mark"),
        ];
        for (bytes, told, expected) in cases {
            let found = read(bytes, told).unwrap_err();
            assert!(found.message.contains(expected), "{found:?}");
        }
    }

    /// Lines are counted in the text: `0A` is half of another character in UTF-16, and a break may be a CR.
    #[test]
    fn bad_bytes_are_told_with_their_line() {
        let cases: [(&[u8], Option<&str>, u64); 3] = [
            (b"\xFF\xFEa\0\r\0b\0\r\0\x0A\x0A\0\xD8c\0", None, 3),
            (b"id\rn\r\xAA", Some("windows-1253"), 3),
            (b"id\r\nn\r\n\xAA", Some("windows-1253"), 3),
        ];
        for (bytes, told, at) in cases {
            let found = read(bytes, told).unwrap_err();
            assert_eq!(found.place, crate::table::line(at), "{found:?}");
            let help = found.help.unwrap_or_default();
            assert!(!help.contains("--encoding"), "{help}");
        }
    }
}
