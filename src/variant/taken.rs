//! How often each draw is in use.
//!
//! In: the marks of the draws that were handed out. Out: which may be handed out next: first each
//! that nobody holds, and when all are held, each once more. Takes at most about 16 bytes a student,
//! twice that while it grows.

use rustc_hash::{FxBuildHasher, FxHashMap, FxHashSet};

/// How often each draw of one problem is in use.
#[derive(Clone, Debug, Default)]
pub struct Taken {
    counts: Counts,
    /// Every draw is used so often at least.
    level: u32,
    /// How many draws are used more often than that.
    above: u64,
}

/// Uses by mark.
#[derive(Clone, Debug)]
enum Counts {
    /// Where few of all draws are in use.
    Few {
        once: FxHashSet<u64>,
        /// Uses beyond the first.
        again: FxHashMap<u64, u32>,
    },
    /// Where most are: all there are, by place.
    All(Vec<u32>),
}

impl Default for Counts {
    fn default() -> Self {
        Self::with_room(0)
    }
}

impl Counts {
    fn with_room(draws: usize) -> Self {
        Self::Few {
            once: FxHashSet::with_capacity_and_hasher(draws, FxBuildHasher),
            again: FxHashMap::default(),
        }
    }

    fn of(&self, mark: u64) -> u32 {
        match self {
            Self::Few { once, .. } if !once.contains(&mark) => 0,
            Self::Few { again, .. } => 1 + again.get(&mark).copied().unwrap_or(0),
            Self::All(uses) => place(mark, uses.len()).map_or(0, |at| uses[at]),
        }
    }

    fn add(&mut self, mark: u64) {
        match self {
            Self::Few { once, again } => {
                if !once.insert(mark) {
                    *again.entry(mark).or_default() += 1;
                }
            }
            Self::All(uses) => {
                if let Some(at) = place(mark, uses.len()) {
                    uses[at] += 1;
                }
            }
        }
    }

    /// How many draws are used more often than so, which is once at least.
    fn beyond(&self, level: u32) -> usize {
        match self {
            Self::Few { again, .. } => again.values().filter(|again| **again >= level).count(),
            Self::All(uses) => uses.iter().filter(|uses| **uses > level).count(),
        }
    }
}

/// The place of a mark among so many draws.
fn place(mark: u64, draws: usize) -> Option<usize> {
    usize::try_from(mark).ok().filter(|at| *at < draws)
}

impl Taken {
    /// Nothing is taken; so many will be, of `size` draws that there are, where that is known.
    pub(super) fn with_room(wanted: usize, size: Option<u64>) -> Self {
        let size = size.and_then(|size| usize::try_from(size).ok());
        let all = size.filter(|size| *size / 4 <= wanted);
        Self {
            counts: all.map_or_else(
                || Counts::with_room(wanted),
                |size| Counts::All(vec![0; size]),
            ),
            ..Self::default()
        }
    }

    /// Notes that a draw ([`super::Space::mark`]) was handed out.
    pub fn add(&mut self, mark: u64) {
        if self.uses(mark) == self.level {
            self.above += 1;
        }
        self.counts.add(mark);
    }

    /// How often a draw was handed out.
    pub fn uses(&self, mark: u64) -> u32 {
        self.counts.of(mark)
    }

    /// Whether a draw is among the least used, as far as is known.
    pub(super) fn is_free(&self, mark: u64) -> bool {
        self.uses(mark) <= self.level
    }

    /// How many draws are used so seldom, of so many that there are.
    pub(super) fn free(&self, draws: u64) -> u64 {
        draws.saturating_sub(self.above)
    }

    /// Learns how many draws there are: when all of them are in use, each may be used once more. Whether
    /// that has just come about.
    pub(super) fn settle(&mut self, draws: u64) -> bool {
        let level = self.level;
        while draws > 0 && self.above >= draws {
            self.level += 1;
            self.above = self.counts.beyond(self.level) as u64;
        }
        self.level > level
    }
}

#[cfg(test)]
mod tests {
    use super::Taken;

    fn either_way() -> [Taken; 2] {
        [Taken::default(), Taken::with_room(9, Some(12))]
    }

    #[test]
    fn draws_are_used_up_level_by_level() {
        for mut taken in either_way() {
            level_by_level(&mut taken);
        }
    }

    fn level_by_level(taken: &mut Taken) {
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
        for mut taken in either_way() {
            uneven(&mut taken);
        }
    }

    fn uneven(taken: &mut Taken) {
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
