//! Two mistakes in one answer: one in an equation, and a slip of the pen in what came of it.
//!
//! In: an answer that no single mistake explains. Out: the pairs that do, with the chance that some pair
//! would by luck. There are thousands of them, so that only an answer of four figures or more tells one from
//! chance, and nothing found so is more than possible; where luck is above one in ten nothing is said. Two
//! mistakes in equations of one road are not tried: of those there are tens of thousands, and each would
//! have to be solved.

use crate::marking::{Kind, Number};

use super::case::{Case, Tried};
use super::entry::{SLIPS, Slip};
use super::luck;

/// Figures from which on pairs are tried.
const FIGURES: u8 = 4;

/// A mistake in an equation, the slip of the pen after it, and the number that both make.
pub(super) struct Pair<'c> {
    pub(super) first: &'c Tried,
    pub(super) second: &'static Slip,
    pub(super) number: Number,
}

impl Case<'_> {
    /// The pairs that explain the faulty answer at `place`, and the chance that some pair would by luck.
    pub(super) fn pairs(&self, place: usize) -> (Vec<Pair<'_>>, f64) {
        let (evidence, answer) = (self.evidence, self.faulty[place]);
        let figures = evidence.readings(answer);
        let figures = figures.filter_map(|read| Some(read.numeral?.figures().least));
        if figures.max().unwrap_or(0) < FIGURES {
            return (Vec::new(), 1.0);
        }
        let (mut found, mut lambda) = (Vec::new(), 0.0);
        let is_first = |tried: &&Tried| tried.words.kind == Kind::Alteration && !tried.is_again;
        for first in self.tried.iter().filter(is_first) {
            for second in SLIPS {
                for number in second.numbers(evidence, answer, &first.numbers[place]) {
                    lambda += evidence.chance(answer, &number);
                    if evidence.fits(answer, &number) {
                        found.push(Pair {
                            first,
                            second,
                            number,
                        });
                    }
                }
            }
        }
        (found, luck::chance(lambda))
    }
}
