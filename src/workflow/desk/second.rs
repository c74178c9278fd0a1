//! A second keying beside the first.
//!
//! In: the papers of a stack. Out: how far each is with the second keying, and whether the two agree. Parts
//! judged by eye are keyed once.

use crate::record::PartStanding;

use super::Stack;

/// How far a paper is with a second keying.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Twice {
    /// Nothing was keyed the first time.
    Nothing,
    /// Something keyed the first time is still to be keyed a second time.
    Open,
    /// Both keyings say the same.
    Same,
    /// They differ.
    Differs,
}

impl Twice {
    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Nothing => "not keyed yet",
            Self::Open => "keyed once",
            Self::Same => "keyed twice",
            Self::Differs => "differs",
        }
    }
}

impl Stack {
    /// How far a paper is with a second keying.
    pub fn twice(&self, paper: usize) -> Twice {
        let Some(on_desk) = self.papers.get(paper) else {
            return Twice::Nothing;
        };
        let parts = || on_desk.standing.parts.values();
        if (0..self.plan().parts.len()).any(|part| self.differs(paper, part)) {
            Twice::Differs
        } else if !parts().any(|part| part.first.is_some()) {
            Twice::Nothing
        } else if parts().any(|part| part.first.is_some() && part.second.is_none()) {
            Twice::Open
        } else {
            Twice::Same
        }
    }

    /// Whether both keyings of a part of a paper are there and differ.
    pub fn differs(&self, paper: usize, part: usize) -> bool {
        let id = &self.plan().parts[part].id;
        let standing = self
            .papers
            .get(paper)
            .and_then(|paper| paper.standing.get(id));
        standing.is_some_and(PartStanding::differs)
    }
}
