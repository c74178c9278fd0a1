//! Choices out of bytes.
//!
//! In: any bytes. Out: numbers, one of several things, texts, as long as there are bytes; then the
//! first choice, 0 and nothing. Small changes of the bytes are small changes of what comes out.

use std::borrow::Cow;

/// Bytes that are taken from the front.
pub(crate) struct Feed<'a>(&'a [u8]);

impl<'a> Feed<'a> {
    pub(crate) fn new(bytes: &'a [u8]) -> Self {
        Self(bytes)
    }

    pub(crate) fn is_done(&self) -> bool {
        self.0.is_empty()
    }

    pub(crate) fn byte(&mut self) -> u8 {
        let Some((&first, rest)) = self.0.split_first() else {
            return 0;
        };
        self.0 = rest;
        first
    }

    pub(crate) fn flag(&mut self) -> bool {
        self.byte() & 1 == 1
    }

    /// A number below `end`, which is not 0.
    pub(crate) fn below(&mut self, end: usize) -> usize {
        let wide = if end > 256 {
            usize::from(self.byte()) << 8
        } else {
            0
        };
        (wide | usize::from(self.byte())) % end
    }

    pub(crate) fn pick<T: Copy>(&mut self, among: &[T]) -> T {
        among[self.below(among.len())]
    }

    /// Bytes up to a 0 or the end.
    pub(crate) fn piece(&mut self) -> &'a [u8] {
        let end = self.0.iter().position(|byte| *byte == 0);
        let (piece, rest) = match end {
            Some(end) => (&self.0[..end], &self.0[end + 1..]),
            None => (self.0, &self.0[..0]),
        };
        self.0 = rest;
        piece
    }

    /// The same as text.
    pub(crate) fn text(&mut self) -> Cow<'a, str> {
        String::from_utf8_lossy(self.piece())
    }

    /// All that is left.
    pub(crate) fn rest(&mut self) -> &'a [u8] {
        std::mem::take(&mut self.0)
    }
}
