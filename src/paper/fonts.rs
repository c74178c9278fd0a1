//! The letters that can be drawn: the built-in fonts, and those that the user names.
//!
//! In: font files as bytes. Out: which characters have a shape, and text in which `□` stands for those
//! that have none. No font of the system is looked at, so that a file gives the same PDF everywhere.
//! Refused: a file that holds no font.

use crate::diagnostic::{Diagnostic, Place};
use crate::text::safe;

/// Stands for a character that no font has.
const MISSING: char = '□';

/// Characters named in one message.
const NAMED: usize = 6;

/// Joiners and variation selectors: they shape what is beside them and need no shape of their own.
const SHAPELESS: [(char, char); 2] = [('\u{200C}', '\u{200D}'), ('\u{FE00}', '\u{FE0F}')];

/// Fonts to draw with.
#[derive(Clone, Debug, Default)]
pub struct Fonts {
    #[cfg(feature = "paper")]
    pub(super) more: Vec<typst::text::Font>,
}

impl Fonts {
    /// The built-in fonts and those in these files, each with its name.
    ///
    /// # Errors
    /// Every file that holds no font.
    pub fn with(files: Vec<(String, Vec<u8>)>) -> Result<Self, Vec<Diagnostic>> {
        let mut fonts = Self::default();
        let mut faults = Vec::new();
        for (name, bytes) in files {
            if !fonts.add(bytes) {
                let message = "expected a font (TrueType or OpenType), found something else";
                let fault = Diagnostic::error(&name, Place::File, message);
                faults.push(fault.help("name a file that ends in .ttf, .otf or .ttc"));
            }
        }
        if faults.is_empty() {
            Ok(fonts)
        } else {
            Err(faults)
        }
    }

    /// A text of a file as it can be drawn: made safe, in one line. Adds what has no shape to `missing`.
    pub fn shown(&self, text: &str, missing: &mut Missing) -> String {
        let text = safe(text);
        let mut out = String::with_capacity(text.len());
        for c in text.chars() {
            out.push(self.drawn(c, missing));
        }
        out
    }

    /// A character if it can be drawn; else `□`, and it is added to `missing`. White space always can.
    pub fn drawn(&self, c: char, missing: &mut Missing) -> char {
        if c.is_whitespace() || self.covers(c) {
            return c;
        }
        missing.add(c);
        MISSING
    }

    /// Whether a character can be drawn.
    pub fn covers(&self, c: char) -> bool {
        let shapeless = SHAPELESS
            .iter()
            .any(|(first, last)| (*first..=*last).contains(&c));
        shapeless || self.have(c)
    }

    #[cfg(feature = "paper")]
    fn add(&mut self, bytes: Vec<u8>) -> bool {
        let before = self.more.len();
        let bytes = typst::foundations::Bytes::new(bytes);
        self.more.extend(typst::text::Font::iter(bytes));
        self.more.len() > before
    }

    #[cfg(not(feature = "paper"))]
    fn add(&mut self, _: Vec<u8>) -> bool {
        true
    }

    #[cfg(feature = "paper")]
    fn have(&self, c: char) -> bool {
        let has = |font: &typst::text::Font| font.info().coverage.contains(u32::from(c));
        super::world::built_in().iter().chain(&self.more).any(has)
    }

    #[cfg(not(feature = "paper"))]
    fn have(&self, _: char) -> bool {
        true
    }
}

/// Characters that no font has.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Missing {
    characters: Vec<char>,
}

impl Missing {
    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.characters.is_empty()
    }

    /// The first few of them, each with its number in Unicode, for some look like others or like nothing:
    /// `中 (U+4E2D), 文 (U+6587) and 3 more letters`.
    pub fn words(&self) -> String {
        let (named, more) = self.characters.split_at(self.characters.len().min(NAMED));
        let named = named.iter().map(|c| {
            let number = u32::from(*c);
            format!("{} (U+{number:04X})", safe(c.encode_utf8(&mut [0; 4])))
        });
        let named = named.collect::<Vec<_>>().join(", ");
        match more.len() {
            0 => named,
            1 => format!("{named} and 1 more letter"),
            more => format!("{named} and {more} more letters"),
        }
    }

    /// Adds those of another text.
    pub fn join(&mut self, other: &Self) {
        for c in &other.characters {
            self.add(*c);
        }
    }

    fn add(&mut self, c: char) {
        if !self.characters.contains(&c) {
            self.characters.push(c);
        }
    }
}
