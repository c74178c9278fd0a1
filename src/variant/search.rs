//! One holder's tries, one after the other.
//!
//! In: who draws, for which issue. Out: the tries that meet `[require]`, and of them those of the kind that
//! is wanted as long as that may be found. Refused: requirements that ten thousand draws in a row do not
//! meet.

use super::hash::Holder;
use super::mix;
use super::refusal::NoDraw;
use super::space::{Draft, Space};

/// Draws tried before a requirement counts as too hard to meet.
pub(super) const PATIENCE: u32 = 10_000;

/// The tries of one holder that meet `[require]`, one after the other.
pub(super) struct Search<'s, 'a> {
    space: &'s Space<'a>,
    holder: Holder<'s>,
    issue: u32,
    next: u32,
    /// Whether the draft's message is the holder's.
    is_begun: bool,
    /// The kind of draw that is wanted; `None` for any.
    kind: Option<Option<usize>>,
    /// How many met the requirements.
    met: u32,
    /// How many broke which, until one met them.
    broken: Vec<u32>,
}

impl<'s, 'a> Search<'s, 'a> {
    pub(super) fn new(space: &'s Space<'a>, holder: Holder<'s>, issue: u32) -> Self {
        Self {
            space,
            holder,
            issue,
            next: 0,
            is_begun: false,
            kind: space.wanted(holder, issue),
            met: 0,
            broken: Vec::new(),
        }
    }

    /// The search behind the first try that it found; `None` where kinds of draws are wanted, for then it
    /// counts how many were passed over.
    pub(super) fn behind(
        space: &'s Space<'a>,
        holder: Holder<'s>,
        issue: u32,
        found: u32,
    ) -> Option<Self> {
        let search = Self::new(space, holder, issue);
        search.kind.is_none().then(|| Self {
            next: found.saturating_add(1),
            met: 1,
            ..search
        })
    }

    /// The same from the first try on.
    pub(super) fn again(self) -> Self {
        Self::new(self.space, self.holder, self.issue)
    }

    /// Draws a try once more that it has drawn.
    pub(super) fn back_to(&self, attempt: u32, draft: &mut Draft) {
        self.space.drawn(self.holder, self.issue, attempt, draft);
    }

    /// Draws the next try that meets `[require]`; its number.
    pub(super) fn next(&mut self, draft: &mut Draft) -> Result<u32, NoDraw> {
        let mut misses = 0_u32;
        loop {
            let attempt = self.next;
            self.next = self.next.saturating_add(1);
            if self.is_begun {
                self.space.again(self.issue, attempt, draft);
            } else {
                self.space.drawn(self.holder, self.issue, attempt, draft);
                self.is_begun = true;
            }
            let Some(requirement) = self.broken(draft) else {
                self.met += 1;
                if self.is_other_kind(draft) {
                    continue;
                }
                return Ok(attempt);
            };
            misses += 1;
            if self.met == 0 {
                self.broken.resize(self.space.requirements(), 0);
                self.broken[requirement] += 1;
            }
            // Once some draw has met them, others will; only the first one may be in vain.
            if (self.met == 0 && misses >= PATIENCE) || attempt == u32::MAX {
                return Err(self.space.hard(misses, &self.broken));
            }
        }
    }

    /// Whether the draft is of another kind than is wanted.
    fn is_other_kind(&self, draft: &mut Draft) -> bool {
        let Some(wanted) = self.kind.filter(|_| self.met <= mix::TRIES) else {
            return false;
        };
        self.space.kind(&draft.picks, &mut draft.slots) != wanted
    }

    /// The requirement that the draft breaks, asked once for each draw of a small space.
    fn broken(&self, draft: &mut Draft) -> Option<usize> {
        let mark = usize::try_from(self.space.mark(&draft.picks)).unwrap_or(usize::MAX);
        match draft.judged.get(mark) {
            Some(0) | None => {}
            Some(known) => return usize::from(*known).checked_sub(2),
        }
        let broken = self.space.broken(&draft.picks, &mut draft.slots);
        if let Some(judged) = draft.judged.get_mut(mark) {
            // There are 64 requirements at most.
            *judged = broken.map_or(1, |requirement| u8::try_from(requirement + 2).unwrap_or(0));
        }
        broken
    }
}
