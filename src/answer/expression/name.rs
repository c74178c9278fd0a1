//! Names and characters that are worth something: π, roots, constants, ½.

use super::Reader;
use crate::answer::Constant;
use crate::answer::scan::{is_blank, opening};
use crate::quantity::unit;

/// A name that is worth something.
pub(super) enum Name<'a> {
    Pi,
    Root,
    Constant(&'a Constant<'a>),
}

impl<'c> Reader<'_, 'c> {
    /// Whether nothing but the name of a constant follows, be it a unit too or not.
    pub(super) fn at_lone_constant(&self) -> bool {
        let rest = self.scan.rest().trim_matches(is_blank);
        matches!(self.name(), Some((Name::Constant(constant), _)) if constant.name == rest)
    }

    /// Whether all that follows is a unit, with or without a note in brackets.
    pub(super) fn is_unit(&self) -> bool {
        let rest = self.scan.rest().trim_end_matches(is_blank);
        let bare = opening(rest).map(|at| &rest[..at]);
        unit::read(rest).is_ok() || bare.is_some_and(|bare| unit::read(bare).is_ok())
    }

    /// The name at the cursor that is worth something, and how long it is.
    pub(super) fn name(&self) -> Option<(Name<'c>, usize)> {
        let rest = self.scan.rest();
        let run = rest
            .find(|c: char| !(c.is_alphanumeric() || c == '_'))
            .unwrap_or(rest.len());
        let constants = self.context.constants;
        // `g` in `23g/67` is a run of letters; `g0` has a digit.
        let letters = self.scan.letters();
        for name in [&rest[..run], letters] {
            if let Some(constant) = constants.iter().find(|constant| constant.name == name) {
                return Some((Name::Constant(constant), name.len()));
            }
        }
        match letters {
            "pi" | "Pi" | "PI" => Some((Name::Pi, letters.len())),
            "sqrt" | "Sqrt" | "SQRT" => Some((Name::Root, letters.len())),
            run => self.first_of(run),
        }
    }

    /// The first of several names run together, as in `πR`, where all of them are known.
    fn first_of(&self, run: &str) -> Option<(Name<'c>, usize)> {
        let starts = |name: &str| run.strip_prefix(name).filter(|_| !name.is_empty());
        let goes_on = |rest: &str| rest.is_empty() || self.first_of(rest).is_some();
        if let Some(pi) = ["π", "𝜋"]
            .into_iter()
            .find(|pi| starts(pi).is_some_and(goes_on))
        {
            return Some((Name::Pi, pi.len()));
        }
        let mut constants = self.context.constants.iter();
        let constant = constants.find(|constant| starts(constant.name).is_some_and(goes_on))?;
        Some((Name::Constant(constant), constant.name.len()))
    }
}

/// The value of a fraction that is one character.
pub(super) fn vulgar(c: char) -> Option<f64> {
    let (over, under) = match c {
        '½' => (1.0, 2.0),
        '⅓' => (1.0, 3.0),
        '⅔' => (2.0, 3.0),
        '¼' => (1.0, 4.0),
        '¾' => (3.0, 4.0),
        '⅕' => (1.0, 5.0),
        '⅖' => (2.0, 5.0),
        '⅗' => (3.0, 5.0),
        '⅘' => (4.0, 5.0),
        '⅙' => (1.0, 6.0),
        '⅚' => (5.0, 6.0),
        '⅛' => (1.0, 8.0),
        '⅜' => (3.0, 8.0),
        '⅝' => (5.0, 8.0),
        '⅞' => (7.0, 8.0),
        _ => return None,
    };
    Some(over / under)
}
