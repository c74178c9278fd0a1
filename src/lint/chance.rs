//! Repeatable chance: the same numbers on every machine and in every run.
//!
//! In: a seed. Out: whole numbers below a bound. For looking at samples only; what
//! students are given is drawn in `variant`.

/// A counter whose scrambled values look random (splitmix64: Steele, Lea & Flood 2014; the
/// constants are theirs, from memory).
#[derive(Clone, Debug)]
pub(super) struct Chance(u64);

impl Chance {
    pub(super) fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// A whole number below `bound`; 0 where that is 0.
    pub(super) fn below(&mut self, bound: u64) -> u64 {
        ((u128::from(self.next()) * u128::from(bound)) >> 64) as u64
    }
}

#[cfg(test)]
mod tests {
    use super::Chance;

    #[test]
    fn numbers_are_even_and_repeatable() {
        let mut chance = Chance::new(7);
        let mut counts = [0_u32; 10];
        for _ in 0..10_000 {
            counts[chance.below(10) as usize] += 1;
        }
        // Five standard deviations of a count, which are 30 each.
        assert!(counts.iter().all(|n| n.abs_diff(1000) < 150), "{counts:?}");
        assert_eq!(Chance::new(1).below(0), 0);
        let again: Vec<u64> = (0..3).map(|_| Chance::new(3).below(1000)).collect();
        assert!(again.windows(2).all(|pair| pair[0] == pair[1]));
    }
}
