//! How texts and numbers are written for one reader.
//!
//! In: fonts, the reader's decimal mark. Out: texts and numbers as they can be drawn, and whether a letter
//! was lacking. Nothing is refused: `□` stands for what no font has.

use std::borrow::Cow;

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

    /// A number that is printed with a point, with the reader's mark.
    pub(super) fn number<'n>(&self, printed: &'n str) -> Cow<'n, str> {
        match self.mark {
            DecimalMark::Point => Cow::Borrowed(printed),
            DecimalMark::Comma => Cow::Owned(printed.replace('.', ",")),
        }
    }

    pub(super) fn fonts(&self) -> &'a Fonts {
        self.fonts
    }
}
