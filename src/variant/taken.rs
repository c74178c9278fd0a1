//! How often each draw is in use.
//!
//! In: the marks of the draws that were handed out. Out: which may be handed out next: first each
//! that nobody holds, and when all are held, each once more. Takes about 16 bytes a student, twice
//! that while it grows.

use rustc_hash::{FxBuildHasher, FxHashMap, FxHashSet};

/// How often each draw of one problem is in use.
#[derive(Clone, Debug, Default)]
pub struct Taken {
    once: FxHashSet<u64>,
    /// Uses beyond the first.
    again: FxHashMap<u64, u32>,
    /// Every draw is used so often at least.
    level: u32,
    /// How many draws are used more often than that.
    above: u64,
}

impl Taken {
    /// Nothing is taken, and there is room for so many.
    pub(super) fn with_room(draws: usize) -> Self {
        let once = FxHashSet::with_capacity_and_hasher(draws, FxBuildHasher);
        Self {
            once,
            ..Self::default()
        }
    }

    /// Notes that a draw ([`super::Space::mark`]) was handed out.
    pub fn add(&mut self, mark: u64) {
        let uses = self.uses(mark);
        if uses == 0 {
            self.once.insert(mark);
        } else {
            *self.again.entry(mark).or_default() += 1;
        }
        if uses == self.level {
            self.above += 1;
        }
    }

    /// How often a draw was handed out.
    pub fn uses(&self, mark: u64) -> u32 {
        if !self.once.contains(&mark) {
            return 0;
        }
        1 + self.again.get(&mark).copied().unwrap_or(0)
    }

    /// Whether a draw is among the least used, as far as is known.
    pub(super) fn is_free(&self, mark: u64) -> bool {
        self.uses(mark) <= self.level
    }

    /// How many draws are used so seldom, of so many that there are.
    pub(super) fn free(&self, draws: u64) -> u64 {
        draws.saturating_sub(self.above)
    }

    /// Learns how many draws there are: when all of them are in use, each may be used once more.
    pub(super) fn settle(&mut self, draws: u64) {
        while draws > 0 && self.above >= draws {
            self.level += 1;
            let level = self.level;
            self.above = if level == 0 {
                self.once.len() as u64
            } else {
                // Uses above the level; the first use is not counted in `again`.
                self.again.values().filter(|again| **again >= level).count() as u64
            };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Taken;

    #[test]
    fn draws_are_used_up_level_by_level() {
        let mut taken = Taken::default();
        for round in 0..3 {
            for mark in 0..4 {
                assert_eq!(taken.uses(mark), round);
                assert!(taken.is_free(mark), "round {round}, {mark}");
                taken.add(mark);
                assert!(!taken.is_free(mark), "round {round}, {mark}");
                assert_eq!(taken.free(4), 3 - mark);
            }
            taken.settle(4);
            assert_eq!(taken.free(4), 4);
        }
    }

    #[test]
    fn a_record_may_be_uneven() {
        let mut taken = Taken::default();
        for mark in [7, 7, 7, 8, 9, 9] {
            taken.add(mark);
        }
        taken.settle(4);
        assert!(taken.is_free(6) && !taken.is_free(8));
        taken.add(6);
        taken.settle(4);
        assert!(taken.is_free(6) && taken.is_free(8) && !taken.is_free(9) && !taken.is_free(7));
        assert_eq!(taken.free(4), 2);
    }
}
