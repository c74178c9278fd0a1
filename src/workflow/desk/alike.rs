//! From one adjustment to the papers it may be about, too.
//!
//! In: the papers of a stack, one of them adjusted. Out: what was set for a part, on which paper last,
//! and the papers on which the program gave the same reason for that part.

use crate::record::Adjustment;

use super::super::adjust::is_alike;
use super::Stack;

impl Stack {
    /// What the teacher set for a part of a paper.
    pub fn set(&self, paper: usize, part: usize) -> Option<&Adjustment> {
        let id = &self.plan().parts[part].id;
        let standing = &self.papers.get(paper)?.standing;
        standing.get(id)?.adjustment.as_ref()
    }

    /// The paper on which points of a part were set last.
    pub fn set_last(&self, part: usize) -> Option<usize> {
        (0..self.papers.len())
            .filter_map(|at| Some((self.set(at, part)?.act, at)))
            .max()
            .map(|(_, at)| at)
    }

    /// Other papers on which a part was marked for the same reason as on this one, and nothing was set.
    pub fn alike(&self, paper: usize, part: usize) -> Vec<usize> {
        let Some(mark) = self.papers.get(paper).and_then(|paper| paper.mark(part)) else {
            return Vec::new();
        };
        let is_meant = |&at: &usize| {
            let other = &self.papers[at];
            at != paper
                && other.is_keyed(self.plan(), part)
                && self.set(at, part).is_none()
                && is_alike(mark, &other.marked, part)
        };
        (0..self.papers.len()).filter(is_meant).collect()
    }
}
