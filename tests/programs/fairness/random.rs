//! Chance, seeded: the same numbers on every machine.
//!
//! In: whatever tells one stream from another. Out: whole numbers, shares, normal deviates.
//! SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom number generators, 2014).

/// A stream of numbers.
#[derive(Clone, Debug)]
pub(crate) struct Random(u64);

impl Random {
    /// The stream that these numbers name.
    pub(crate) fn of(names: &[u64]) -> Self {
        let mut stream = Self(0);
        for name in names {
            stream.0 ^= name.wrapping_mul(0xd134_2543_de82_ef95);
            stream.0 = stream.next();
        }
        stream
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A whole number below `count`, which is at least 1.
    pub(crate) fn below(&mut self, count: usize) -> usize {
        ((u128::from(self.next()) * count as u128) >> 64) as usize
    }

    /// One of them, if there are any.
    pub(crate) fn pick<'a, T>(&mut self, list: &'a [T]) -> Option<&'a T> {
        (!list.is_empty()).then(|| &list[self.below(list.len())])
    }

    /// Heads or tails.
    pub(crate) fn coin(&mut self) -> bool {
        self.below(2) == 0
    }

    /// A share above 0 and up to 1.
    fn share(&mut self) -> f64 {
        ((self.next() >> 11) + 1) as f64 / (1_u64 << 53) as f64
    }

    /// A normal deviate of mean 0 and deviation 1 (Box and Muller).
    pub(crate) fn normal(&mut self) -> f64 {
        let radius = libm::sqrt(-2.0 * libm::log(self.share()));
        radius * libm::cos(2.0 * std::f64::consts::PI * self.share())
    }
}
