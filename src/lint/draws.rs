//! Which draws of a problem are looked at: all of them, or a large sample.
//!
//! In: the space of a problem's draws. Out: different draws that meet `[require]`, one row of picks
//! each, and how far they reach. An assignment with versions is looked at in the versions that are
//! handed out first and those of a reissue. Refused: requirements that hardly any draw meets.

use std::fmt::Write as _;

use rustc_hash::FxHashSet;

use crate::assignment::Variants;
use crate::quantity::Quantity;
use crate::variant::{Allocator, Draft, NoDraw, Space, Taken};

/// Spaces up to this size are gone through.
const EVERY: u64 = 1 << 17;

/// Different draws of a larger space that are looked at. What one variant in 5000 suffers from is
/// met with 98 %.
const SAMPLE: usize = 20_000;

/// Tries after which a sample is closed, full or not.
const MOST_TRIES: u32 = 400_000;

/// The draws of one problem that are looked at.
#[derive(Clone, Debug)]
pub struct Draws<'a> {
    space: &'a Space<'a>,
    /// For each draw the index of each given's value, one row after the other.
    picks: Vec<u32>,
    width: usize,
    /// How far they reach.
    pub extent: Extent,
}

/// How much of a space was looked at.
#[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Extent {
    /// Different draws looked at.
    pub checked: usize,
    /// How many draws meet `[require]`; `None` where they were not counted.
    pub of: Option<u64>,
    /// Versions among them that are handed out first; 0 where each student has own numbers.
    pub versions: usize,
    /// Draws tried.
    pub tried: u64,
    /// Of these, how many met `[require]`.
    pub met: u64,
    /// For each requirement how many of the others broke it first.
    pub broke: Vec<u64>,
}

impl<'a> Draws<'a> {
    /// All draws of a space that is small, a sample of one that is large, the versions where there
    /// are some.
    ///
    /// # Errors
    /// Where nobody could be given values.
    pub fn of(space: &'a Space<'a>) -> Result<Self, NoDraw> {
        // Says it, with the requirement that is broken most, if nobody can be served.
        Allocator::new(space, Taken::default()).next("", 1, &[])?;
        let mut draws = Self {
            space,
            picks: Vec::new(),
            width: space.assignment().givens.len(),
            extent: Extent {
                broke: vec![0; space.assignment().requirements.len()],
                ..Extent::default()
            },
        };
        match space.assignment().variants {
            Variants::Versions(count) => draws.versions(count)?,
            Variants::PerStudent => match space.size() {
                Some(size) if size <= EVERY => draws.every(size),
                _ => draws.sample()?,
            },
        }
        Ok(draws)
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.extent.checked
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// How many draws there are before `[require]`; `None` beyond 2⁶⁴.
    pub(super) fn size(&self) -> Option<u64> {
        self.space.size()
    }

    /// The picks of a draw.
    pub fn picks(&self, draw: usize) -> &[u32] {
        let from = draw * self.width;
        self.picks.get(from..from + self.width).unwrap_or(&[])
    }

    /// The values of a draw, in the order of the assignment's givens.
    pub fn values(&self, draw: usize) -> impl Iterator<Item = Quantity> + use<'a, '_> {
        self.space.values(self.picks(draw))
    }

    /// The value of a given in a draw, as drawn.
    pub(super) fn value(&self, draw: usize, given: usize) -> Option<Quantity> {
        let pick = *self.picks(draw).get(given)?;
        let given = self.space.assignment().givens.get(given)?;
        given.draw.value(u64::from(pick))
    }

    /// How many draws are of each kind of `[mix]`.
    pub(super) fn kinds(&self) -> Vec<usize> {
        let mut counts = vec![0; self.space.assignment().mix.len()];
        let mut slots = Vec::new();
        for draw in 0..self.len() {
            if let Some(kind) = self.space.kind(self.picks(draw), &mut slots) {
                counts[kind] += 1;
            }
        }
        counts
    }

    /// Puts the values of a draw in SI units into the first slots.
    pub(super) fn fill(&self, draw: usize, slots: &mut [f64]) {
        let picks = self.picks(draw).iter().enumerate();
        for ((given, pick), slot) in picks.zip(slots) {
            *slot = self.space.si(given, *pick);
        }
    }

    fn every(&mut self, size: u64) {
        let (mut picks, mut slots) = (Vec::new(), Vec::new());
        for index in 0..size {
            self.space.nth(index, &mut picks);
            self.take(&picks, &mut slots);
        }
        self.extent.of = Some(self.extent.met);
    }

    /// Draws as made-up students would.
    fn sample(&mut self) -> Result<(), NoDraw> {
        let (mut student, mut slots) = (String::new(), Vec::new());
        let mut draft = Draft::default();
        let mut seen = FxHashSet::default();
        for attempt in 0..MOST_TRIES {
            student.clear();
            // Writing to a String cannot fail.
            let _ = write!(student, "check {attempt}");
            self.space.picks(&student, 1, 0, &mut draft)?;
            if seen.insert(self.space.mark(&draft.picks)) {
                self.take(&draft.picks, &mut slots);
            }
            if self.extent.checked == SAMPLE {
                break;
            }
        }
        Ok(())
    }

    fn versions(&mut self, count: u32) -> Result<(), NoDraw> {
        let mut draft = Draft::default();
        let mut slots = Vec::new();
        for issue in [1, 2] {
            for version in 0..count {
                match self.space.picks("", issue, version, &mut draft) {
                    Ok(()) => self.take(&draft.picks, &mut slots),
                    // Too few draws for a second set: nothing to look at, and `reissue` will say so.
                    Err(_) if issue == 2 => return Ok(()),
                    Err(why) => return Err(why),
                }
            }
            if issue == 1 {
                self.extent.versions = self.extent.checked;
            }
            self.extent.of = Some(self.extent.met);
        }
        Ok(())
    }

    fn take(&mut self, picks: &[u32], slots: &mut Vec<f64>) {
        self.extent.tried += 1;
        match self.space.broken(picks, slots) {
            Some(requirement) => self.extent.broke[requirement] += 1,
            None => {
                self.extent.met += 1;
                self.extent.checked += 1;
                self.picks.extend_from_slice(picks);
            }
        }
    }
}
