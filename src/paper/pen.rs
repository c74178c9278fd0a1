//! How texts and numbers are written for one reader.
//!
//! In: fonts, the reader's decimal mark. Out: texts as they can be drawn, and which letters were lacking.
//! Nothing is refused: `□` stands for what no font has.

use super::{Fonts, Missing};
use crate::text::DecimalMark;

/// What is written with.
#[derive(Clone, Debug)]
pub struct Pen<'a> {
    fonts: &'a Fonts,
    /// The reader's decimal mark.
    pub mark: DecimalMark,
    /// What no font has of all that was written.
    pub missing: Missing,
}

impl<'a> Pen<'a> {
    /// A pen that has written nothing yet.
    pub fn new(fonts: &'a Fonts, mark: DecimalMark) -> Self {
        Self {
            fonts,
            mark,
            missing: Missing::default(),
        }
    }

    /// A text of a file as it can be drawn.
    pub fn shown(&mut self, text: &str) -> String {
        self.fonts.shown(text, &mut self.missing)
    }

    pub(super) fn fonts(&self) -> &'a Fonts {
        self.fonts
    }
}
