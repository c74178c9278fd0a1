//! What the first bytes of a file say about it: encoding, separator, line breaks.
//!
//! In goes the beginning of a file; out comes a [`Dialect`]. Refused are files in UTF-16, files that are
//! no text at all, and empty ones. Nothing is guessed: a byte order mark is believed, all else must be UTF-8,
//! and the separator is the one the heading shows.

use std::io::{self, Read, Seek, SeekFrom};

use super::guard::LONGEST_ROW;

/// How much of the beginning is looked at: the whole heading, however long it may be.
const HEAD: u64 = LONGEST_ROW;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Dialect {
    /// Length of the byte order mark.
    pub(super) base: u64,
    pub(super) delimiter: u8,
    /// Lines end in a lone CR.
    pub(super) lone_cr: bool,
}

/// Why a file cannot be read as a table: what it is and what to do.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Unreadable {
    pub(super) message: &'static str,
    pub(super) help: &'static str,
}

const SAVE_AS_CSV: &str = "open it in the spreadsheet program and save it as 'CSV UTF-8'";

/// Beginnings that give away what else a file is.
const OTHER_FILES: [(&[u8], &str); 6] = [
    (
        b"\xFF\xFE",
        "expected text in UTF-8, found UTF-16 (little-endian)",
    ),
    (
        b"\xFE\xFF",
        "expected text in UTF-8, found UTF-16 (big-endian)",
    ),
    (
        b"PK\x03\x04",
        "expected a CSV file, found a spreadsheet workbook or another zip file",
    ),
    (
        b"\xD0\xCF\x11\xE0",
        "expected a CSV file, found a spreadsheet workbook in an older format",
    ),
    (b"%PDF", "expected a CSV file, found a PDF"),
    (
        b"{\\rtf",
        "expected a CSV file, found a word processor's document",
    ),
];

pub(super) const EMPTY: Unreadable = Unreadable {
    message: "the file is empty",
    help: "write a heading in the first line and the students below it",
};

/// Looks at the beginning of a file.
pub(super) fn read_head(input: &mut (impl Read + Seek)) -> io::Result<Result<Dialect, Unreadable>> {
    let mut head = Vec::new();
    input.seek(SeekFrom::Start(0))?;
    input.take(HEAD).read_to_end(&mut head)?;
    Ok(sniff(&head))
}

fn sniff(head: &[u8]) -> Result<Dialect, Unreadable> {
    for (beginning, message) in OTHER_FILES {
        if head.starts_with(beginning) {
            return Err(Unreadable {
                message,
                help: SAVE_AS_CSV,
            });
        }
    }
    let base = if head.starts_with(b"\xEF\xBB\xBF") {
        3
    } else {
        0
    };
    let text = &head[base..];
    if let Some(message) = without_mark(text) {
        return Err(Unreadable {
            message,
            help: SAVE_AS_CSV,
        });
    }
    if text.iter().all(u8::is_ascii_whitespace) {
        return Err(EMPTY);
    }
    Ok(Dialect {
        base: base as u64,
        delimiter: delimiter(text),
        lone_cr: lone_cr(text),
    })
}

/// UTF-16 without a byte order mark has a NUL in every other byte of its ASCII characters. Other NULs are
/// found with their row.
fn without_mark(text: &[u8]) -> Option<&'static str> {
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
        (0, odd) if odd * 4 > start.len() => {
            Some("expected text in UTF-8, found UTF-16 (little-endian, without a byte order mark)")
        }
        (even, 0) if even * 4 > start.len() => {
            Some("expected text in UTF-8, found UTF-16 (big-endian, without a byte order mark)")
        }
        _ => None,
    }
}

/// Comma, semicolon or tab, whichever the heading has most of outside quotes; of equally many, and
/// of none, the comma.
fn delimiter(text: &[u8]) -> u8 {
    let mut counts = [(b',', 0), (b';', 0), (b'\t', 0)];
    for byte in heading(text) {
        if let Some((_, count)) = counts.iter_mut().find(|(known, _)| *known == byte) {
            *count += 1;
        }
    }
    let mut best = counts[0];
    for other in &counts[1..] {
        if other.1 > best.1 {
            best = *other;
        }
    }
    best.0
}

/// The bytes outside quotes of the first line that is not blank.
fn heading(text: &[u8]) -> impl Iterator<Item = u8> {
    let mut quoted = false;
    text.iter()
        .copied()
        .skip_while(|byte| matches!(byte, b'\n' | b'\r' | b' '))
        .take_while(move |byte| {
            quoted ^= *byte == b'"';
            quoted || !matches!(byte, b'\n' | b'\r')
        })
        .scan(false, |quoted, byte| {
            *quoted ^= byte == b'"';
            Some((*quoted, byte))
        })
        .filter_map(|(quoted, byte)| (!quoted).then_some(byte))
}

/// Whether the first line break is a CR that no LF follows.
fn lone_cr(text: &[u8]) -> bool {
    let first = text.iter().position(|byte| matches!(byte, b'\n' | b'\r'));
    first.is_some_and(|at| text[at] == b'\r' && text.get(at + 1) != Some(&b'\n'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn separators_and_breaks() {
        let dialect = |base, delimiter, lone_cr| Dialect {
            base,
            delimiter,
            lone_cr,
        };
        let cases: [(&[u8], Dialect); 10] = [
            (b"id,name\n1,A\n", dialect(0, b',', false)),
            (b"\xEF\xBB\xBFid;name\r\n", dialect(3, b';', false)),
            (b"id\tname", dialect(0, b'\t', false)),
            (b"id\n1;2", dialect(0, b',', false)),
            (b"\n\r\n id;name\n", dialect(0, b';', false)),
            (b"id,name\r1,A\r", dialect(0, b',', true)),
            (b"\"a;b;c\",d\n", dialect(0, b',', false)),
            (b"\"a\nb\";d\n", dialect(0, b';', false)),
            (b"a;b,c\n", dialect(0, b',', false)),
            ("é;b\n".as_bytes(), dialect(0, b';', false)),
        ];
        for (head, expected) in cases {
            assert_eq!(
                sniff(head),
                Ok(expected),
                "{}",
                String::from_utf8_lossy(head)
            );
        }
    }

    #[test]
    fn what_is_no_table_is_named() {
        let cases: [(&[u8], &str); 8] = [
            (b"", "empty"),
            (b"\xEF\xBB\xBF \r\n\t\n", "empty"),
            (b"\xFF\xFEi\0d\0", "UTF-16 (little-endian)"),
            (b"\xFE\xFF\0i\0d", "UTF-16 (big-endian)"),
            (b"i\0d\0,\0n\0", "little-endian, without"),
            (b"\0i\0d\0,\0n", "big-endian, without"),
            (b"PK\x03\x04\0\0", "workbook"),
            (b"%PDF-1.7", "PDF"),
        ];
        for (head, expected) in cases {
            let found = sniff(head).unwrap_err();
            assert!(found.message.contains(expected), "{found:?}");
        }
    }
}
