//! The bytes of a file as UTF-8: the file itself where it is that, else its text in memory.

use std::io::{self, Cursor, Read, Seek, SeekFrom};
use std::sync::Arc;

/// Reads one file.
pub(super) enum Source<R> {
    /// From where it lies.
    File(R),
    /// From its text, the file itself kept to be given back.
    Decoded(Cursor<Arc<[u8]>>, R),
}

impl<R> Source<R> {
    pub(super) fn new(file: R, decoded: Option<Arc<[u8]>>) -> Self {
        match decoded {
            None => Self::File(file),
            Some(text) => Self::Decoded(Cursor::new(text), file),
        }
    }

    pub(super) fn into_file(self) -> R {
        let (Self::File(file) | Self::Decoded(_, file)) = self;
        file
    }
}

impl<R: Read> Read for Source<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        match self {
            Self::File(file) => file.read(buffer),
            Self::Decoded(text, _) => text.read(buffer),
        }
    }
}

impl<R: Seek> Seek for Source<R> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        match self {
            Self::File(file) => file.seek(to),
            Self::Decoded(text, _) => text.seek(to),
        }
    }
}
