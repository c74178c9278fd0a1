//! Stands between a file and the `csv` crate, which by itself would read a row of any length into
//! memory and end a row at the end of the file though its quote is still open.
//!
//! In goes a file, out come its bytes after the byte order mark; a row longer than [`LONGEST_ROW`] is
//! refused as an I/O error; at the end [`END`] is added, which only a closed row leaves a row of its own.
//! Positions count from behind the byte order mark.

use std::io::{self, Read, Seek, SeekFrom};

/// A row of answers takes a few hundred bytes; a spreadsheet's cell holds 32,767 characters at most.
pub(super) const LONGEST_ROW: u64 = 1 << 20;
/// The same in words.
pub(super) const LONGEST_ROW_SAID: &str = "a mebibyte";

/// Added after the last byte. The NUL is refused anywhere else.
pub(super) const END: [u8; 2] = *b"\n\0";

pub(super) struct Guard<R> {
    input: R,
    /// Length of the byte order mark.
    base: u64,
    /// Position of the next byte handed out.
    position: u64,
    /// Where the row that is being read begins; the owner moves it on.
    row_start: u64,
    /// How much of `END` has been handed out.
    ended: usize,
    /// Rows end in a lone CR: it is handed out as LF.
    lone_cr: bool,
    too_long: bool,
}

impl<R: Read + Seek> Guard<R> {
    /// Begins at `base`, the length of the byte order mark.
    pub(super) fn new(mut input: R, base: u64, lone_cr: bool) -> io::Result<Self> {
        input.seek(SeekFrom::Start(base))?;
        Ok(Self {
            input,
            base,
            position: 0,
            row_start: 0,
            ended: 0,
            lone_cr,
            too_long: false,
        })
    }

    pub(super) fn begin_row(&mut self, position: u64) {
        self.row_start = position;
    }

    pub(super) fn too_long(&self) -> bool {
        self.too_long
    }

    /// Whether a row that stops at this position took the last byte there is.
    pub(super) fn is_end(&self, position: u64) -> bool {
        self.ended == END.len() && position == self.position
    }

    pub(super) fn into_input(self) -> R {
        self.input
    }

    /// The file's own bytes from one position to another, without moving on.
    pub(super) fn raw(&mut self, from: u64, to: u64) -> io::Result<Vec<u8>> {
        let mut bytes = Vec::new();
        self.input.seek(SeekFrom::Start(self.base + from))?;
        (&mut self.input).take(to - from).read_to_end(&mut bytes)?;
        let file_position = self.position - self.ended as u64;
        self.input
            .seek(SeekFrom::Start(self.base + file_position))?;
        Ok(bytes)
    }
}

impl<R: Read> Read for Guard<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.position.saturating_sub(self.row_start) > LONGEST_ROW {
            self.too_long = true;
            return Err(io::Error::new(io::ErrorKind::InvalidData, "row too long"));
        }
        let mut read = 0;
        if self.ended == 0 {
            read = self.input.read(buffer)?;
            if self.lone_cr {
                for byte in buffer[..read].iter_mut().filter(|byte| **byte == b'\r') {
                    *byte = b'\n';
                }
            }
        }
        if read == 0 {
            let rest = &END[self.ended..];
            read = rest.len().min(buffer.len());
            buffer[..read].copy_from_slice(&rest[..read]);
            self.ended += read;
        }
        self.position += read as u64;
        Ok(read)
    }
}

impl<R: Seek> Seek for Guard<R> {
    /// Only from the start, which is all the `csv` crate asks for.
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let SeekFrom::Start(position) = to else {
            return Err(io::ErrorKind::Unsupported.into());
        };
        self.input.seek(SeekFrom::Start(self.base + position))?;
        self.position = position;
        self.row_start = position;
        self.ended = 0;
        Ok(position)
    }
}
