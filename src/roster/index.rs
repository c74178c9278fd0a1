//! Finds a student by id without a second copy of the ids: a hash table of places on the roster.
//!
//! In: an id, and how to ask for the id of a place. Out: the place, if there is one. Open addressing with
//! linear steps, at most half full; a place is kept as one more than itself, so that 0 is free. Nothing is
//! ever taken out. No map of a library, for this one owns no ids, and growing goes through them in the order
//! in which they lie in memory.

use std::hash::Hasher as _;

use rustc_hash::FxHasher;

#[derive(Clone, Debug, Default)]
pub(super) struct Index {
    /// Its length is a power of two, or 0.
    slots: Vec<u32>,
    taken: usize,
}

impl Index {
    /// The place whose id this is; `id_of` gives the id of a place that was inserted.
    pub(super) fn find<'a>(&self, id: &str, id_of: impl Fn(usize) -> &'a str) -> Option<usize> {
        if self.slots.is_empty() {
            return None;
        }
        let mut slot = self.first_slot(id);
        loop {
            let place = self.slots[slot].checked_sub(1)? as usize;
            if id_of(place) == id {
                return Some(place);
            }
            slot = (slot + 1) & (self.slots.len() - 1);
        }
    }

    /// The place whose id this is, or `None` after taking in the id as that of the next place. `id_of`
    /// gives the id of a place taken in before.
    pub(super) fn find_or_add<'a>(
        &mut self,
        id: &str,
        id_of: impl Fn(usize) -> &'a str,
    ) -> Option<usize> {
        if self.taken * 2 >= self.slots.len() {
            // in the order of places, as the ids lie in memory
            self.slots = vec![0; (self.slots.len() * 2).max(16)];
            for place in 0..self.taken {
                let slot = self.free_slot(id_of(place));
                self.slots[slot] = place as u32 + 1;
            }
        }
        let mut slot = self.first_slot(id);
        while let Some(place) = self.slots[slot].checked_sub(1) {
            if id_of(place as usize) == id {
                return Some(place as usize);
            }
            slot = (slot + 1) & (self.slots.len() - 1);
        }
        self.taken += 1;
        // the roster keeps its text below 4 GiB, so there are fewer students than that
        self.slots[slot] = self.taken as u32;
        None
    }

    pub(super) fn bytes(&self) -> usize {
        self.slots.capacity() * size_of::<u32>()
    }

    fn free_slot(&self, id: &str) -> usize {
        let mut slot = self.first_slot(id);
        while self.slots[slot] != 0 {
            slot = (slot + 1) & (self.slots.len() - 1);
        }
        slot
    }

    fn first_slot(&self, id: &str) -> usize {
        let mut hasher = FxHasher::default();
        hasher.write(id.as_bytes());
        hasher.finish() as usize & (self.slots.len() - 1)
    }
}
