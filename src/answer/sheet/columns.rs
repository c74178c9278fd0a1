//! The names that a file of answers may use, each with a slot of its own.
//!
//! In: the parts of a paper and its givens. Out: names and slots, each from the other. Slots count through
//! entries, working and givens, then status and date: one flat array holds all that a student handed in.

use rustc_hash::FxHashMap;

use crate::headings::{GIVEN, HANDED_IN, STATUS, WORKING};

/// One part of the paper.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartColumn {
    /// As in the assignment; on a sheet with the problem's number before it.
    pub id: String,
    /// Whether points for working are keyed for it, in `<id>.working`.
    pub working: bool,
}

/// The slot of a part's working, the parts being so many.
pub(super) fn working_slot(parts: usize, part: usize) -> usize {
    parts + part
}

/// The slot of a given.
pub(super) fn given_slot(parts: usize, given: usize) -> usize {
    2 * parts + given
}

/// What may be answered: the parts and the givens that may be misread.
#[derive(Clone, Debug, Default)]
pub struct Columns {
    parts: Vec<PartColumn>,
    givens: Vec<String>,
    slots: FxHashMap<Box<str>, usize>,
}

impl Columns {
    /// Places in these lists are the places in [`StudentEntries`](super::StudentEntries).
    pub fn new(
        parts: impl IntoIterator<Item = PartColumn>,
        givens: impl IntoIterator<Item = String>,
    ) -> Self {
        let mut columns = Self {
            parts: parts.into_iter().collect(),
            givens: givens.into_iter().collect(),
            slots: FxHashMap::default(),
        };
        let named: Vec<_> = (0..columns.len())
            .filter_map(|slot| Some((columns.name(slot)?.into(), slot)))
            .collect();
        columns.slots.extend(named);
        columns
    }

    /// The parts, as given.
    pub fn parts(&self) -> &[PartColumn] {
        &self.parts
    }

    /// The givens, as given.
    pub fn givens(&self) -> &[String] {
        &self.givens
    }

    pub(super) fn len(&self) -> usize {
        self.handed_in() + 1
    }

    pub(super) fn status(&self) -> usize {
        given_slot(self.parts.len(), self.givens.len())
    }

    pub(super) fn handed_in(&self) -> usize {
        self.status() + 1
    }

    /// Whether the slot holds the entry of a part.
    pub(super) fn is_entry(&self, slot: usize) -> bool {
        slot < self.parts.len()
    }

    /// The slot of a name as it stands in a heading or in the part column.
    pub(super) fn slot(&self, name: &str) -> Option<usize> {
        self.slots.get(name).copied()
    }

    /// All names there are.
    pub(super) fn names(&self) -> impl Iterator<Item = String> {
        (0..self.len()).filter_map(|slot| self.name(slot))
    }

    /// The part that a name asks points for working of, though it has none.
    pub(super) fn without_working(&self, name: &str) -> Option<&str> {
        let id = name.strip_suffix(WORKING)?;
        let part = self.parts.iter().find(|part| part.id == id)?;
        (!part.working).then_some(part.id.as_str())
    }

    /// `None` for the working of a part that has none.
    pub(super) fn name(&self, slot: usize) -> Option<String> {
        let parts = self.parts.len();
        Some(if slot < parts {
            self.parts[slot].id.clone()
        } else if slot < given_slot(parts, 0) {
            let part = &self.parts[slot - working_slot(parts, 0)];
            part.working.then(|| format!("{}{WORKING}", part.id))?
        } else if slot < self.status() {
            format!("{GIVEN}{}", self.givens[slot - given_slot(parts, 0)])
        } else if slot == self.status() {
            STATUS.to_owned()
        } else {
            HANDED_IN.to_owned()
        })
    }
}
