//! The chance that a match is luck.
//!
//! In: for every different mistake tried the chance with which it fits each faulty answer. Out: λ, the sum
//! over all of them of the elementary symmetric polynomial of their chances for as many answers as are
//! explained; the chance that some mistake explains so many by luck is 1 − e^−λ. It guards against chance,
//! never against another cause that has the same numbers.

/// λ for `explained` answers of those faulty.
pub(super) fn lambda<'a>(tried: impl Iterator<Item = &'a [f64]>, explained: usize) -> f64 {
    tried.map(|chances| symmetric(chances, explained)).sum()
}

/// The chance of luck.
pub(super) fn chance(lambda: f64) -> f64 {
    1.0 - libm::exp(-lambda)
}

/// The sum over all choices of `count` of them of their products.
fn symmetric(chances: &[f64], count: usize) -> f64 {
    let mut sums = vec![0.0; count + 1];
    sums[0] = 1.0;
    for chance in chances {
        for at in (1..=count).rev() {
            sums[at] += sums[at - 1] * chance;
        }
    }
    sums[count]
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// By hand: of 2, 3 and 5 taken two at a time 6 + 10 + 15.
    #[test]
    fn sums_of_products_are_those_by_hand() {
        let chances = [2.0, 3.0, 5.0];
        for (count, sum) in [(0, 1.0), (1, 10.0), (2, 31.0), (3, 30.0), (4, 0.0)] {
            assert_relative_eq!(symmetric(&chances, count), sum);
        }
        let two: [&[f64]; 2] = [&chances, &[0.5, 0.5]];
        assert_relative_eq!(lambda(two.into_iter(), 2), 31.25);
        assert_relative_eq!(chance(0.01), 0.00995, epsilon = 1e-5);
    }
}
