//! The chance that a match is luck.
//!
//! In: for every different mistake tried the chance with which it fits each faulty answer. Out: λ of a match, the
//! sum over all that might have matched as tellingly or more, that is with no larger a chance of its own; the
//! chance that luck brings such a match is 1 − e^−λ. Mistakes whose numbers lie where wrong answers crowd, or
//! that rounding on the way makes wide, fit easily by luck, and what fits easily says nothing against what does
//! not: that is why not all of them are summed. Several answers count by the product of their chances. It guards
//! against chance, never against another cause that has the same numbers.

/// Products that differ by no more than this share are one.
const SAME: f64 = 1e-9;

/// λ of a match of one answer: `chances` are those of all different numbers tried, `own` is its own.
pub(super) fn of_one(chances: &[f64], own: f64) -> f64 {
    let as_telling = chances
        .iter()
        .filter(|chance| **chance <= own * (1.0 + SAME));
    as_telling.sum()
}

/// λ of a match of `explained` answers by one mistake: for every mistake tried its chances by answer; `own` is
/// the product of those that match.
pub(super) fn of_several<'a>(
    tried: impl Iterator<Item = &'a [f64]>,
    explained: usize,
    own: f64,
) -> f64 {
    let most = own * (1.0 + SAME);
    tried
        .map(|chances| products(chances, explained, 1.0, most))
        .sum()
}

/// The chance of luck.
pub(super) fn chance(lambda: f64) -> f64 {
    1.0 - libm::exp(-lambda)
}

/// The sum over all choices of `count` of the chances of their products with `so_far`, of those up to `most`.
fn products(chances: &[f64], count: usize, so_far: f64, most: f64) -> f64 {
    if count == 0 {
        return if so_far <= most { so_far } else { 0.0 };
    }
    let Some((first, rest)) = chances.split_first() else {
        return 0.0;
    };
    let with = if *first > 0.0 {
        products(rest, count - 1, so_far * first, most)
    } else {
        0.0
    };
    with + products(rest, count, so_far, most)
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
            assert_relative_eq!(products(&chances, count, 1.0, f64::INFINITY), sum);
        }
        let two: [&[f64]; 2] = [&chances, &[0.5, 0.5]];
        assert_relative_eq!(of_several(two.into_iter(), 2, 100.0), 31.25);
        assert_relative_eq!(chance(0.01), 0.00995, epsilon = 1e-5);
    }

    /// What fits more easily than the match says nothing against it.
    #[test]
    fn only_what_is_as_telling_counts() {
        assert_relative_eq!(of_one(&[0.1, 0.001, 0.002, 0.002], 0.002), 0.005);
        let two: [&[f64]; 2] = [&[0.2, 0.3, 0.5], &[0.5, 0.1]];
        // Of the products 0.06, 0.1, 0.15 and 0.05 two are no larger than 0.06.
        assert_relative_eq!(of_several(two.into_iter(), 2, 0.06), 0.11);
    }
}
