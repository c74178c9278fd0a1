//! Rows and their lines as read, and where they begin.
use std::io::Cursor;

use super::*;

/// Opens a file in which the first row is the heading.
fn opened<R: Read + Seek>(input: R, findings: &mut Findings) -> Option<Table<R>> {
    Table::open(input, &Declared::default(), &|_| Looks::No, findings)
}

fn read(bytes: &[u8]) -> (Vec<String>, Vec<Diagnostic>) {
    let mut findings = Findings::new("t.csv");
    let mut rows = Vec::new();
    if let Some(mut table) = opened(Cursor::new(bytes), &mut findings) {
        let mut row = Row::default();
        let columns = table.format().heading().len();
        while table.read(&mut row, &mut findings) {
            let cells: Vec<_> = (0..columns).map(|column| row.cell(column)).collect();
            rows.push(format!("{} {}", row.line(), cells.join("|")));
        }
    }
    (rows, findings.into_vec())
}

#[test]
fn rows_have_their_lines() {
    let cases: [(&[u8], &[&str]); 10] = [
        (b"id,name\n1,A\n2,B\n", &["2 1|A", "3 2|B"]),
        (b"id,name\r\n1,A\r\n2,B\r\n", &["2 1|A", "3 2|B"]),
        (b"id,name\r1,A\r2,B", &["2 1|A", "3 2|B"]),
        (b"\xEF\xBB\xBFid,name\n1,A", &["2 1|A"]),
        (b"\n\nid,name\n\n\n1,A\n\n2,B", &["6 1|A", "8 2|B"]),
        (
            b"\r\nid,name\r\n\r\n1,A\r\n,\r\n ,\t\r\n2,B\r\n\r\n",
            &["4 1|A", "7 2|B"],
        ),
        (b"id,name\n1,\"A\nB\"\n2,C\n", &["2 1|A\nB", "4 2|C"]),
        (
            b"id,name\r\n1,\"A, \"\"B\"\"\"\r\n2,\"C\"\r\n",
            &["2 1|A, \"B\"", "3 2|C"],
        ),
        (b"id,name,,\n1,A,,\n,,,,,\n2,B,,\n", &["2 1|A||", "4 2|B||"]),
        (b"id\n 007 \n", &["2  007 "]),
    ];
    for (bytes, expected) in cases {
        assert_eq!(
            read(bytes),
            (expected.iter().map(|row| row.to_string()).collect(), vec![])
        );
    }
}

#[test]
fn a_bad_row_does_not_hide_the_next() {
    let (rows, findings) = read(b"id,name\n1\n2,B\n3,C,D\n4,E\n");
    assert_eq!(rows, ["3 2|B", "5 4|E"]);
    let places: Vec<_> = findings.iter().map(|finding| finding.place).collect();
    assert_eq!(places, [line(2), line(4)]);
}

/// `1,5` in a cell of its own, without quotes, and nothing in the last column.
#[test]
fn a_surplus_cell_is_a_fault_even_if_empty() {
    let (rows, findings) = read(b"id,a,b\n1,1,5,\n2,3,4\n");
    assert_eq!(rows, ["3 2|3|4"]);
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].place, line(2));
}

#[test]
fn rows_are_found_again() {
    for bytes in [
        "\u{feff}id,name\r\n\r\n1,\"A\r\nx\"\r\n2,B\r\n3,C",
        "id;name\n1;A\n\n2;B\n3;C\n",
        "id,name\r1,A\r2,\"B\r\"\r3,C\r",
    ] {
        let mut findings = Findings::new("t.csv");
        let mut table = opened(Cursor::new(bytes), &mut findings).unwrap();
        let mut row = Row::default();
        let mut seen = Vec::new();
        while table.read(&mut row, &mut findings) {
            seen.push((row.start(), row.cell(0).to_owned(), row.cell(1).to_owned()));
        }
        assert_eq!(seen.len(), 3, "{bytes:?}");
        let format = table.format().clone();
        let mut table = Table::resume(table.into_input(), format, OUT_OF_ORDER).unwrap();
        for (start, id, name) in seen.iter().rev().chain(&seen) {
            table.seek(*start).unwrap();
            assert!(table.read(&mut row, &mut findings));
            assert_eq!((row.cell(0), row.cell(1)), (id.as_str(), name.as_str()));
        }
        assert!(
            !table.read(&mut row, &mut findings),
            "the last row is the end"
        );
        assert_eq!(findings.errors(), 0);
    }
}

/// A file that begins somehow and then repeats itself for a terabyte.
struct Endless {
    start: &'static [u8],
    line: &'static [u8],
    position: u64,
}

impl Read for Endless {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let length = buffer.len().min(((1 << 40) - self.position) as usize);
        for byte in &mut buffer[..length] {
            let at = self.position as usize;
            *byte = match self.start.get(at) {
                Some(byte) => *byte,
                None => self.line[(at - self.start.len()) % self.line.len()],
            };
            self.position += 1;
        }
        Ok(length)
    }
}

impl Seek for Endless {
    fn seek(&mut self, to: io::SeekFrom) -> io::Result<u64> {
        let io::SeekFrom::Start(position) = to else {
            return Err(io::ErrorKind::Unsupported.into());
        };
        self.position = position;
        Ok(position)
    }
}

#[test]
fn a_row_of_a_terabyte_ends_in_a_message() {
    let cases: [(&[u8], &[u8], &str); 4] = [
        (b"id,name\n", b"x", "expected a line break"),
        (b"id,name\n\n1,A\n", b",", "expected a line break"),
        (b"", b"id,", "expected a line break"),
        (b"id,name\n\n1,\"A", b"\n2,B", "a quote in it"),
    ];
    for (start, line, expected) in cases {
        let mut findings = Findings::new("t.csv");
        let mut row = Row::default();
        if let Some(mut table) = opened(
            Endless {
                start,
                line,
                position: 0,
            },
            &mut findings,
        ) {
            while table.read(&mut row, &mut findings) {}
        }
        let list = findings.into_vec();
        assert!(list[0].message.contains(expected), "{list:?}");
    }
}
