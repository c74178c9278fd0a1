//! A file of cells taken apart without loss: every cell with the bytes it stands in.
//!
//! In go the bytes of a whole file, its encoding and its separator; out come rows, one after the other, each
//! with the spans of its cells and of its line break. Spans, separators, breaks and byte order mark put
//! together again are the file, byte for byte, so that one cell can be replaced and nothing else moves.
//! CR, LF and CRLF each end a row, mixed as the file has them.
//!
//! Refused: a quote that is never closed, and one that closes on another line than it was opened and is
//! followed by text: both join rows that are none. Text behind a closed quote on one line only makes its
//! row [`Row::is_odd`]: where its cells end is anybody's guess.

use std::borrow::Cow;
use std::ops::Range;

use super::encoding::{Encoded, Undecodable};

const QUOTE: u16 = b'"' as u16;
const CR: u16 = b'\r' as u16;
const LF: u16 = b'\n' as u16;

/// How a file is to be taken apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cut {
    /// Its encoding and byte order mark.
    pub encoded: Encoded,
    /// What separates cells: an ASCII character.
    pub delimiter: u8,
}

/// Where a cell stands, with its quotes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    /// Its bytes in the file, without the separator or break behind it.
    pub bytes: Range<usize>,
    /// Whether it stands in quotes.
    pub is_quoted: bool,
}

/// Where a row stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// The line in which it begins, counted from 1.
    pub line: u64,
    /// Its bytes in the file, without the break.
    pub bytes: Range<usize>,
    /// Where the next row begins, behind the break.
    pub next: usize,
    /// Whether text stands behind a closed quote, so that a cell may end elsewhere.
    pub is_odd: bool,
}

/// What joins rows that are none, with the line of the quote.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unsound {
    /// A quote that is never closed.
    Unclosed(u64),
    /// A quote that is closed lines below, with text behind.
    Joins(u64),
}

/// A file that is being taken apart.
#[derive(Clone, Debug)]
pub struct Scan<'a> {
    bytes: &'a [u8],
    cut: Cut,
    at: usize,
    line: u64,
}

impl Cut {
    /// The text of a cell without its quotes.
    ///
    /// # Errors
    /// Bytes that the encoding does not have; the place counts from the beginning of the file.
    pub fn text<'a>(&self, bytes: &'a [u8], cell: &Cell) -> Result<Cow<'a, str>, Undecodable> {
        let raw = bytes.get(cell.bytes.clone()).unwrap_or_default();
        let text = self.encoded.encoding.decode(raw);
        let text = text.map_err(|bad| Undecodable {
            at: cell.bytes.start + bad.at,
        })?;
        if !cell.is_quoted {
            return Ok(text);
        }
        Ok(match text {
            Cow::Borrowed(text) => unquoted(text),
            Cow::Owned(text) => Cow::Owned(unquoted(&text).into_owned()),
        })
    }

    /// The bytes of a new text for a cell: in quotes if the cell is, or if it cannot do without. `None`
    /// where the encoding lacks a character of it.
    pub fn replaced(&self, text: &str, is_quoted: bool) -> Option<Vec<u8>> {
        let delimiter = char::from(self.delimiter);
        let special = [delimiter, '"', '\r', '\n'];
        let blank = |c: Option<char>| c.is_some_and(char::is_whitespace);
        let needs =
            text.contains(special) || blank(text.chars().next()) || blank(text.chars().next_back());
        let text = if is_quoted || needs {
            Cow::Owned(format!("\"{}\"", text.replace('"', "\"\"")))
        } else {
            Cow::Borrowed(text)
        };
        Some(self.encoded.encoding.encode(&text)?.into_owned())
    }

    /// The character at a place: the byte itself, or the two bytes of UTF-16.
    fn unit(&self, bytes: &[u8], at: usize) -> Option<u16> {
        use super::encoding::Encoding::{Utf16Be, Utf16Le};
        let pair = || Some([*bytes.get(at)?, *bytes.get(at + 1)?]);
        match self.encoded.encoding {
            Utf16Le => pair().map(u16::from_le_bytes),
            Utf16Be => pair().map(u16::from_be_bytes),
            _ => bytes.get(at).copied().map(u16::from),
        }
    }
}

/// The text between the quotes of a cell; what stands behind them is kept, too.
fn unquoted(text: &str) -> Cow<'_, str> {
    let inside = text.strip_prefix('"').unwrap_or(text);
    if let Some(plain) = inside.trim_end().strip_suffix('"')
        && !plain.contains('"')
    {
        return Cow::Borrowed(plain);
    }
    let mut out = String::with_capacity(inside.len());
    let mut rest = inside;
    while let Some((before, after)) = rest.split_once('"') {
        out.push_str(before);
        match after.strip_prefix('"') {
            Some(after) => {
                out.push('"');
                rest = after;
            }
            None => {
                out.push_str(after.trim_end());
                return Cow::Owned(out);
            }
        }
    }
    out.push_str(rest);
    Cow::Owned(out)
}

impl<'a> Scan<'a> {
    /// From the first row on.
    pub fn new(bytes: &'a [u8], cut: Cut) -> Self {
        Self {
            bytes,
            cut,
            at: cut.encoded.mark.min(bytes.len()),
            line: 1,
        }
    }

    /// The next row, its cells in `cells`; `None` at the end of the file. A row that is empty has one cell
    /// of no bytes.
    ///
    /// # Errors
    /// Quotes that join rows which are none; nothing comes after that.
    pub fn next(&mut self, cells: &mut Vec<Cell>) -> Result<Option<Row>, Unsound> {
        cells.clear();
        if self.at >= self.bytes.len() {
            return Ok(None);
        }
        let unit = self.cut.encoded.encoding.unit();
        let (line, start) = (self.line, self.at);
        let mut is_odd = false;
        loop {
            let from = self.at;
            let is_quoted = self.peek() == Some(QUOTE);
            if is_quoted {
                let opened = self.line;
                self.at += unit;
                self.close(opened)?;
                is_odd |= self.bare(opened)?;
            } else {
                while self.peek().is_some_and(|at| !self.ends(at)) {
                    self.at += unit;
                }
            }
            // half a unit at the end of a file in UTF-16 belongs to the last cell
            if self.peek().is_none() {
                self.at = self.bytes.len();
            }
            cells.push(Cell {
                bytes: from..self.at,
                is_quoted,
            });
            let end = self.at;
            match self.peek() {
                Some(LF) => self.at += unit,
                Some(CR) => {
                    self.at += unit;
                    if self.peek() == Some(LF) {
                        self.at += unit;
                    }
                }
                Some(_) => {
                    self.at += unit;
                    continue;
                }
                None => {}
            }
            self.line += 1;
            return Ok(Some(Row {
                line,
                bytes: start..end,
                next: self.at,
                is_odd,
            }));
        }
    }

    fn peek(&self) -> Option<u16> {
        self.cut.unit(self.bytes, self.at)
    }

    fn ends(&self, unit: u16) -> bool {
        unit == u16::from(self.cut.delimiter) || unit == LF || unit == CR
    }

    /// Goes behind the quote that closes the cell.
    fn close(&mut self, opened: u64) -> Result<(), Unsound> {
        let unit = self.cut.encoded.encoding.unit();
        loop {
            match self.peek() {
                None => return Err(Unsound::Unclosed(opened)),
                Some(QUOTE) => {
                    self.at += unit;
                    if self.peek() != Some(QUOTE) {
                        return Ok(());
                    }
                }
                Some(LF) => self.line += 1,
                Some(CR) if self.cut.unit(self.bytes, self.at + unit) != Some(LF) => self.line += 1,
                Some(_) => {}
            }
            self.at += unit;
        }
    }

    /// Goes over what stands behind a closed quote; whether that is more than blanks.
    fn bare(&mut self, opened: u64) -> Result<bool, Unsound> {
        let unit = self.cut.encoded.encoding.unit();
        let mut is_odd = false;
        while let Some(found) = self.peek()
            && !self.ends(found)
        {
            is_odd |= found != u16::from(b' ');
            self.at += unit;
        }
        if is_odd && self.line > opened {
            return Err(Unsound::Joins(opened));
        }
        Ok(is_odd)
    }
}

#[cfg(test)]
mod tests {
    use super::super::encoding::Encoding;
    use super::*;

    fn cut(encoding: Encoding, mark: usize, delimiter: u8) -> Cut {
        Cut {
            encoded: Encoded { encoding, mark },
            delimiter,
        }
    }

    /// The texts of all cells, after seeing that nothing is lost between them.
    fn rows(bytes: &[u8], cut: Cut) -> Result<Vec<Vec<String>>, Unsound> {
        let mut scan = Scan::new(bytes, cut);
        let (mut cells, mut rows, mut at) = (Vec::new(), Vec::new(), cut.encoded.mark);
        let unit = cut.encoded.encoding.unit();
        while let Some(row) = scan.next(&mut cells)? {
            assert_eq!(
                (row.bytes.start, row.bytes.end),
                (at, cells.last().unwrap().bytes.end)
            );
            for pair in cells.windows(2) {
                assert_eq!(pair[0].bytes.end + unit, pair[1].bytes.start);
            }
            assert!((row.next - row.bytes.end) <= 2 * unit);
            at = row.next;
            let texts = cells.iter().map(|cell| cut.text(bytes, cell).unwrap());
            rows.push(texts.map(Cow::into_owned).collect());
        }
        assert_eq!(at, bytes.len());
        Ok(rows)
    }

    #[test]
    fn cells_and_breaks() {
        let cases: [(&str, u8, &[&[&str]]); 12] = [
            ("", b',', &[]),
            ("a", b',', &[&["a"]]),
            ("a,b\n1,2\n", b',', &[&["a", "b"], &["1", "2"]]),
            ("a,b\r\n1,2", b',', &[&["a", "b"], &["1", "2"]]),
            ("a\rb\n\nc\r\n", b',', &[&["a"], &["b"], &[""], &["c"]]),
            (",,\n", b',', &[&["", "", ""]]),
            ("\"a,\"\"b\"\"\",c\n", b',', &[&["a,\"b\"", "c"]]),
            ("\"a\nb\";c", b';', &[&["a\nb", "c"]]),
            ("\"\"\t\"\"\"\"", b'\t', &[&["", "\""]]),
            ("5\" nail,x", b',', &[&["5\" nail", "x"]]),
            ("\"a\" ,b", b',', &[&["a", "b"]]),
            ("\"a\"b,c", b',', &[&["ab", "c"]]),
        ];
        for (text, delimiter, expected) in cases {
            for encoding in [Encoding::Utf8, Encoding::Utf16Le, Encoding::Utf16Be] {
                let bytes = encoding.encode(text).unwrap();
                let found = rows(&bytes, cut(encoding, 0, delimiter)).unwrap();
                assert_eq!(found, expected, "{text:?} {encoding:?}");
            }
        }
        let found = rows(b"\xEF\xBB\xBFid\n1", cut(Encoding::Utf8, 3, b',')).unwrap();
        assert_eq!(found, [["id"], ["1"]]);
    }

    #[test]
    fn quotes_that_join_rows_are_found() {
        for (text, expected) in [
            ("a,b\n1,\"2\n3,4\n", Unsound::Unclosed(2)),
            ("a\n\"1\n2\",\"x\n\n", Unsound::Unclosed(3)),
            ("a,b\n\"1,2\n\"3\",4\n", Unsound::Joins(2)),
            ("\"", Unsound::Unclosed(1)),
        ] {
            let found = rows(text.as_bytes(), cut(Encoding::Utf8, 0, b','));
            assert_eq!(found, Err(expected), "{text:?}");
        }
    }

    #[test]
    fn lines_are_counted_over_breaks_within_cells() {
        let bytes = b"a\n\"1\r\n\r2\"\r\nb\n";
        let mut scan = Scan::new(bytes, cut(Encoding::Utf8, 0, b','));
        let mut cells = Vec::new();
        let mut lines = Vec::new();
        while let Some(row) = scan.next(&mut cells).unwrap() {
            lines.push(row.line);
        }
        assert_eq!(lines, [1, 2, 5]);
    }

    #[test]
    fn a_new_text_takes_the_quotes_of_the_cell() {
        let utf8 = cut(Encoding::Utf8, 0, b',');
        for (text, is_quoted, expected) in [
            ("13", false, "13"),
            ("13", true, "\"13\""),
            ("12,5", false, "\"12,5\""),
            ("", true, "\"\""),
            ("a \"b\"", false, "\"a \"\"b\"\"\""),
            (" x", false, "\" x\""),
        ] {
            let found = utf8.replaced(text, is_quoted).unwrap();
            assert_eq!(String::from_utf8(found).unwrap(), expected);
        }
        let wide = cut(Encoding::Utf16Le, 2, b';')
            .replaced("1;", false)
            .unwrap();
        assert_eq!(wide, b"\"\x001\0;\0\"\0");
        let older = Encoding::named("windows-1252").unwrap();
        assert_eq!(cut(older, 0, b',').replaced("č", false), None);
    }
}
