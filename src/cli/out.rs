//! Data on standard output: the one place that writes there.
//!
//! In: text or rows. Out: the same bytes; where a person looks on, text from files is made harmless
//! on the way. Refused: what the system refuses. A reader that went away (`| head`) is no failure:
//! it has all it wanted.

use std::io::{self, BufWriter, IsTerminal, StdoutLock, Write};
use std::path::Path;

use crate::files::FileError;
use crate::text;
use crate::workflow::Failure;

/// How standard output is named in messages.
pub(super) const NAME: &str = "-";

/// Whether a path stands for standard input or output.
pub(super) fn is_pipe(path: &Path) -> bool {
    path == Path::new(NAME)
}

/// Writes a whole text, which must be harmless already.
pub(super) fn data(text: &str) -> Result<(), Failure> {
    let written = io::stdout().write_all(text.as_bytes());
    match written.and_then(|()| io::stdout().flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(FileError::from_io(NAME, &error).into())
        }
        _ => Ok(()),
    }
}

/// Writes whole rows, which may hold text from files.
pub(super) fn rows(bytes: &[u8]) -> Result<(), Failure> {
    let mut rows = Rows::to_stdout();
    let written = rows.write_all(bytes).and_then(|()| rows.flush());
    match written {
        Err(error) if !rows.is_closed() => Err(FileError::from_io(NAME, &error).into()),
        _ => Ok(()),
    }
}

/// Rows as they come, in large pieces.
#[derive(Debug)]
pub(super) struct Rows<W: Write> {
    out: BufWriter<W>,
    is_terminal: bool,
    is_closed: bool,
}

impl Rows<StdoutLock<'static>> {
    /// Rows for standard output.
    pub(super) fn to_stdout() -> Self {
        let stdout = io::stdout();
        let is_terminal = stdout.is_terminal();
        Self::new(stdout.lock(), is_terminal)
    }
}

impl<W: Write> Rows<W> {
    fn new(out: W, is_terminal: bool) -> Self {
        Self {
            out: BufWriter::with_capacity(1 << 16, out),
            is_terminal,
            is_closed: false,
        }
    }

    /// Whether the reader went away, and an error only says so.
    pub(super) fn is_closed(&self) -> bool {
        self.is_closed
    }

    fn seen<T>(&mut self, outcome: io::Result<T>) -> io::Result<T> {
        if let Err(error) = &outcome {
            self.is_closed |= error.kind() == io::ErrorKind::BrokenPipe;
        }
        outcome
    }
}

impl<W: Write> Write for Rows<W> {
    /// Takes whole rows.
    fn write(&mut self, rows: &[u8]) -> io::Result<usize> {
        let outcome = if self.is_terminal {
            let shown = shown(&String::from_utf8_lossy(rows));
            self.out.write_all(shown.as_bytes()).map(|()| rows.len())
        } else {
            self.out.write(rows)
        };
        self.seen(outcome)
    }

    fn flush(&mut self) -> io::Result<()> {
        let outcome = self.out.flush();
        self.seen(outcome)
    }
}

/// Lines made harmless, line breaks kept.
pub(super) fn shown(rows: &str) -> String {
    let mut out = String::with_capacity(rows.len());
    for line in rows.split_inclusive('\n') {
        let bare = line.strip_suffix('\n').unwrap_or(line);
        let bare = bare.strip_suffix('\r').unwrap_or(bare);
        out.push_str(&text::safe(bare));
        out.push_str(&line[bare.len()..]);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(rows: &str, is_terminal: bool) -> String {
        let mut out = Rows::new(Vec::new(), is_terminal);
        out.write_all(rows.as_bytes()).unwrap();
        String::from_utf8(out.out.into_inner().unwrap()).unwrap()
    }

    #[test]
    fn only_a_terminal_is_shown_what_is_hidden() {
        let rows = "0101,\u{1b}[2JAda\u{202e},a\r\n0102,Zoë,3.27 m/s²\r\n";
        assert_eq!(written(rows, false), rows);
        assert_eq!(
            written(rows, true),
            "0101,␛[2JAda<U+202E>,a\r\n0102,Zoë,3.27 m/s²\r\n"
        );
    }

    /// Takes so many bytes, then its reader is gone.
    struct Closing(usize);

    impl Write for Closing {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            if self.0 == 0 {
                return Err(io::ErrorKind::BrokenPipe.into());
            }
            let taken = bytes.len().min(self.0);
            self.0 -= taken;
            Ok(taken)
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn a_reader_that_goes_away_is_told_from_other_failures() {
        for is_terminal in [false, true] {
            let mut out = Rows::new(Closing(10), is_terminal);
            let row = b"0101,1\r\n";
            let outcome = (0..100_000).try_for_each(|_| out.write_all(row));
            assert!(outcome.is_err() && out.is_closed());
            let mut open = Rows::new(Closing(1000), is_terminal);
            open.write_all(row).and_then(|()| open.flush()).unwrap();
            assert!(!open.is_closed());
        }
    }
}
