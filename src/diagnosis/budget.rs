//! How much one diagnosis may take: a count of work, so that every machine comes to the same end.
//!
//! In: what trying a mistake takes, in equations evaluated. Out: whether it may be tried, and how many may
//! not. Equations that are solved in turn take a few dozen; it is those that must be scanned or searched,
//! on many roads at once, that could keep a teacher waiting.

/// Equations that are evaluated for the wrong answers to one problem.
pub(super) const MOST: u64 = 900_000;

/// What is left for one problem of a paper.
#[derive(Debug)]
pub(super) struct Budget {
    left: u64,
    untried: usize,
}

impl Budget {
    pub(super) fn of(most: u64) -> Self {
        Self {
            left: most,
            untried: 0,
        }
    }

    /// What has not been taken yet.
    pub(super) fn left(&self) -> u64 {
        self.left
    }

    /// Takes so much, if there is enough left. If not, what was to be tried counts as untried; what takes less
    /// may still be.
    pub(super) fn take(&mut self, work: u64) -> bool {
        let left = self.left.checked_sub(work);
        match left {
            Some(left) => self.left = left,
            None => self.untried += 1,
        }
        left.is_some()
    }

    /// How many mistakes there was no work left for.
    pub(super) fn untried(&self) -> usize {
        self.untried
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_left_goes_to_what_takes_less() {
        let mut budget = Budget::of(100);
        assert!(budget.take(90));
        assert!(!budget.take(11));
        assert!(budget.take(10) && budget.take(0));
        assert!(!budget.take(1));
        assert_eq!((budget.untried(), budget.left()), (2, 0));
    }
}
