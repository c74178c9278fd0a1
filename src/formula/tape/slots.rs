//! Sets of slots.
//!
//! In: numbers of slots below [`SLOTS`]. Out: sets of them, and what they have in common.

/// The largest number of slots: givens and unknowns of one problem together.
pub const SLOTS: usize = 128;

/// A set of slots.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SlotSet(u128);

impl SlotSet {
    /// The set of `slot` alone. Slots from [`SLOTS`] on are in no set.
    pub fn of(slot: usize) -> Self {
        Self(if slot < SLOTS { 1 << slot } else { 0 })
    }

    /// Whether it holds `slot`.
    pub fn has(self, slot: usize) -> bool {
        slot < SLOTS && self.0 >> slot & 1 == 1
    }

    /// Slots in either.
    pub fn or(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Slots in both.
    pub fn and(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    /// Slots in this one and not in `other`.
    pub fn without(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// How many there are.
    pub fn len(self) -> usize {
        self.0.count_ones() as usize
    }

    /// Whether there are none.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// The slots, smallest first.
    pub fn iter(self) -> impl Iterator<Item = usize> {
        let mut left = self.0;
        std::iter::from_fn(move || {
            let slot = left.trailing_zeros() as usize;
            left &= left.wrapping_sub(1);
            (slot < SLOTS).then_some(slot)
        })
    }
}

impl FromIterator<usize> for SlotSet {
    fn from_iter<I: IntoIterator<Item = usize>>(slots: I) -> Self {
        slots
            .into_iter()
            .fold(Self::default(), |set, slot| set.or(Self::of(slot)))
    }
}
