//! Solves every draw once and counts what is to be seen in single keys.
//!
//! In: a problem and its draws. Out: a [`Pass`]: draws without a key, what each choice comes out as,
//! conditions that keys break, how large the keys are, and a [`Survey`], keys of a fair sample for
//! the checks that take longer. Allocates nothing for a draw that has a key.

use crate::assignment::PartKind;
use crate::plan::{KeyError, PartPlan};

use super::chance::Chance;
use super::threshold::{LARGE, SMALL};
use super::view::View;

/// Keys kept for the checks that take longer; their shares are good to half a percent.
const SURVEYED: usize = 4096;

/// How often something was met, and the first draw in which it was.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Count {
    pub(super) count: usize,
    pub(super) first: usize,
}

impl Count {
    pub(super) fn add(&mut self, draw: usize) {
        if self.count == 0 {
            self.first = draw;
        }
        self.count += 1;
    }
}

/// What was found in the keys of all draws.
#[derive(Clone, Debug, Default)]
pub(super) struct Pass {
    /// Draws that have a key.
    pub(super) solved: usize,
    /// Kinds of draws that have none.
    pub(super) failures: Vec<(KeyError, Count)>,
    /// For each part, where a quantity is asked for, its keys.
    pub(super) keys: Vec<Keys>,
    /// For each part, where a word is asked for, what is right.
    pub(super) choices: Vec<Words>,
    /// For each condition of the problem's `possible` the keys that break it.
    pub(super) broken: Vec<Count>,
    pub(super) survey: Survey,
}

/// The keys of one part, in the unit asked for.
#[derive(Clone, Debug)]
pub(super) struct Keys {
    pub(super) least: f64,
    pub(super) most: f64,
    /// The smallest size that is not zero.
    pub(super) nearest: f64,
    pub(super) zero: Count,
    pub(super) below_zero: Count,
    pub(super) small: Count,
    pub(super) large: Count,
}

impl Default for Keys {
    fn default() -> Self {
        Self {
            least: f64::INFINITY,
            most: f64::NEG_INFINITY,
            nearest: f64::INFINITY,
            zero: Count::default(),
            below_zero: Count::default(),
            small: Count::default(),
            large: Count::default(),
        }
    }
}

/// What is right where a word is asked for.
#[derive(Clone, Debug, Default)]
pub(super) struct Words {
    /// For each option the draws in which it alone holds.
    pub(super) right: Vec<usize>,
    /// Draws in which none holds.
    pub(super) none: Count,
    /// Draws in which several hold.
    pub(super) several: Count,
}

/// Keys of a sample.
#[derive(Clone, Debug, Default)]
pub(super) struct Survey {
    /// Which draws these are.
    pub(super) draws: Vec<usize>,
    slots: Vec<f64>,
    width: usize,
}

impl Survey {
    pub(super) fn len(&self) -> usize {
        self.draws.len()
    }

    /// All slots of a key.
    pub(super) fn slots(&self, at: usize) -> &[f64] {
        &self.slots[at * self.width..(at + 1) * self.width]
    }

    /// Each draw with its key.
    pub(super) fn iter(&self) -> impl Iterator<Item = (usize, &[f64])> {
        self.some(self.len())
    }

    /// So many of them at most, spread evenly.
    pub(super) fn some(&self, most: usize) -> impl Iterator<Item = (usize, &[f64])> {
        let count = most.min(self.len());
        let spread = move |at: usize| at * self.len() / count.max(1);
        (0..count)
            .map(spread)
            .map(|at| (self.draws[at], self.slots(at)))
    }
}

impl Pass {
    /// Goes over all draws of a problem.
    pub(super) fn over(view: &View<'_>) -> Self {
        let parts = view.problem.parts.len();
        let mut pass = Self {
            keys: vec![Keys::default(); parts],
            choices: vec![Words::default(); parts],
            broken: vec![Count::default(); view.problem.possible.len()],
            ..Self::default()
        };
        for (part, words) in view.assignment.parts.iter().zip(&mut pass.choices) {
            if let PartKind::Choose(choice) = &part.kind {
                words.right = vec![0; choice.options.len()];
            }
        }
        pass.survey.width = view.problem.slots();
        let answers: Vec<_> = view.answers().collect();
        let mut slots = vec![0.0; view.problem.slots()];
        let mut chance = Chance::new(0);
        let draws = view.draws.len();
        for draw in 0..draws {
            // So many of the draws that are left, each as likely as the others.
            let wanted = SURVEYED.saturating_sub(pass.survey.len()) as u64;
            let chosen = chance.below((draws - draw) as u64) < wanted;
            if let Err(error) = view.solve(draw, &mut slots) {
                pass.fail(error, draw);
                continue;
            }
            pass.solved += 1;
            for asks in &answers {
                let key = asks.unit.from_si(slots[asks.plan.slot]);
                pass.keys[asks.index].add(key, draw);
            }
            for (words, prepared) in pass.choices.iter_mut().zip(&view.problem.parts) {
                if let PartPlan::Choose(judges) = prepared {
                    words.add(judges.iter().map(|judge| judge.holds(&slots)), draw);
                }
            }
            for (broken, judge) in pass.broken.iter_mut().zip(&view.problem.possible) {
                if !judge.holds(&slots) {
                    broken.add(draw);
                }
            }
            if chosen {
                pass.survey.draws.push(draw);
                pass.survey.slots.extend_from_slice(&slots);
            }
        }
        pass
    }

    /// Counts a draw without a key with those that fail in the same way.
    fn fail(&mut self, error: KeyError, draw: usize) {
        let known = self
            .failures
            .iter_mut()
            .find(|(known, _)| alike(known, &error));
        match known {
            Some((_, count)) => count.add(draw),
            None => self.failures.push((
                error,
                Count {
                    count: 1,
                    first: draw,
                },
            )),
        }
    }
}

/// Whether two draws fail for the same reason.
fn alike(one: &KeyError, other: &KeyError) -> bool {
    match (one, other) {
        (KeyError::Several { slot, .. }, KeyError::Several { slot: other, .. }) => slot == other,
        _ => one == other,
    }
}

impl Keys {
    fn add(&mut self, key: f64, draw: usize) {
        self.least = self.least.min(key);
        self.most = self.most.max(key);
        let size = key.abs();
        if size == 0.0 {
            self.zero.add(draw);
            return;
        }
        self.nearest = self.nearest.min(size);
        if key < 0.0 {
            self.below_zero.add(draw);
        }
        if size < SMALL {
            self.small.add(draw);
        }
        if size >= LARGE {
            self.large.add(draw);
        }
    }
}

impl Words {
    fn add(&mut self, holding: impl Iterator<Item = bool>, draw: usize) {
        let mut one = None;
        for (option, _) in holding.enumerate().filter(|(_, holds)| *holds) {
            if one.is_some() {
                self.several.add(draw);
                return;
            }
            one = Some(option);
        }
        match one {
            Some(option) => self.right[option] += 1,
            None => self.none.add(draw),
        }
    }
}
