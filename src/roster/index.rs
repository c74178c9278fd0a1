//! Finds a student by id without a second copy of the ids: a hash table of places on the roster.
//!
//! Open addressing with linear steps, at most half full; a place is kept as one more than itself, so
//! that 0 is free. Nothing is ever taken out.

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

    /// Adds a place whose id is not here yet.
    pub(super) fn insert<'a>(&mut self, place: usize, id_of: impl Fn(usize) -> &'a str) {
        if self.taken * 2 >= self.slots.len() {
            let places = std::mem::take(&mut self.slots);
            self.slots = vec![0; (places.len() * 2).max(16)];
            for entry in places.into_iter().filter(|entry| *entry > 0) {
                self.put(entry, id_of(entry as usize - 1));
            }
        }
        // the roster keeps its text below 4 GiB, so there are fewer students than that
        self.put(place as u32 + 1, id_of(place));
        self.taken += 1;
    }

    pub(super) fn bytes(&self) -> usize {
        self.slots.capacity() * size_of::<u32>()
    }

    fn put(&mut self, entry: u32, id: &str) {
        let mut slot = self.first_slot(id);
        while self.slots[slot] != 0 {
            slot = (slot + 1) & (self.slots.len() - 1);
        }
        self.slots[slot] = entry;
    }

    fn first_slot(&self, id: &str) -> usize {
        let mut hasher = FxHasher::default();
        hasher.write(id.as_bytes());
        hasher.finish() as usize & (self.slots.len() - 1)
    }
}
