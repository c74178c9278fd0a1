//! What a mistake leads to, held against the faulty answers.
//!
//! In: numbers, answer by answer. Out: which answers they are, the chance of that by luck, and which mistakes
//! lead to the same numbers, so that they count once.

use crate::marking::Number;

use super::case::{Case, Tried, Words};
use super::luck;

impl Case<'_> {
    /// Holds what a mistake leads to against the faulty answers.
    pub(super) fn hold(&mut self, words: Words, numbers: Vec<Vec<Number>>) {
        let evidence = self.evidence;
        let mut tried = Tried {
            words,
            chances: Vec::with_capacity(numbers.len()),
            fits: Vec::with_capacity(numbers.len()),
            numbers: Vec::with_capacity(numbers.len()),
            is_again: false,
        };
        for ((&answer, found), right) in self.faulty.iter().zip(numbers).zip(&self.right) {
            let mut different: Vec<Number> = Vec::new();
            let follows = self.follows[tried.numbers.len()];
            for number in found.into_iter().filter(|_| !follows) {
                let is_known = different.iter().any(|known| known.is(&number));
                if !is_known && !right.iter().any(|right| right.is(&number)) {
                    different.push(number);
                }
            }
            let chances = different
                .iter()
                .map(|number| evidence.chance(answer, number));
            tried.chances.push(chances.sum());
            let fits = different
                .iter()
                .find(|number| evidence.fits(answer, number));
            tried.fits.push(fits.copied());
            different.sort_by(|one, other| one.value.total_cmp(&other.value));
            tried.numbers.push(different);
        }
        if tried.numbers.iter().any(|numbers| !numbers.is_empty()) {
            self.tried.push(tried);
        }
    }

    /// Mistakes that lead to the same numbers count once.
    pub(super) fn count_once(&mut self) {
        let mut order: Vec<usize> = (0..self.tried.len()).collect();
        let first = |at: usize| {
            let numbers = self.tried[at].numbers.iter().flatten();
            numbers.map(|number| number.value).next().unwrap_or(0.0)
        };
        order.sort_by(|&one, &other| first(one).total_cmp(&first(other)).then(one.cmp(&other)));
        let same = |one: &Tried, other: &Tried| {
            one.numbers.iter().zip(&other.numbers).all(|(one, other)| {
                one.len() == other.len() && one.iter().zip(other).all(|(one, other)| one.is(other))
            })
        };
        let mut again = vec![false; self.tried.len()];
        for (place, &at) in order.iter().enumerate() {
            let near = |other: usize| (first(other) - first(at)).abs() <= 1e-9 * first(at).abs();
            for &before in order[..place]
                .iter()
                .rev()
                .take_while(|&&other| near(other))
            {
                if same(&self.tried[before], &self.tried[at]) {
                    again[before.max(at)] = true;
                    break;
                }
            }
        }
        for (tried, again) in self.tried.iter_mut().zip(again) {
            tried.is_again = again;
        }
    }

    /// The chances of all different numbers that mistakes lead to, answer by answer.
    pub(super) fn chances_alone(&self) -> Vec<f64> {
        let mut chances = Vec::new();
        for (place, &answer) in self.faulty.iter().enumerate() {
            let tried = self.tried.iter().filter(|tried| !tried.is_again);
            let mut numbers: Vec<&Number> = tried.flat_map(|tried| &tried.numbers[place]).collect();
            numbers.sort_by(|one, other| one.value.total_cmp(&other.value));
            numbers.dedup_by(|other, one| one.is(other));
            chances.extend(
                numbers
                    .iter()
                    .map(|number| self.evidence.chance(answer, number)),
            );
        }
        chances
    }

    /// λ of a mistake that explains so many answers at once.
    pub(super) fn lambda_of(&self, of: &Tried, explained: usize) -> f64 {
        let matched = of.fits.iter().zip(&of.chances);
        let matched = matched.filter(|(fits, chance)| fits.is_some() && **chance > 0.0);
        let own: f64 = matched.map(|(_, chance)| chance).product();
        let tried = self.tried.iter().filter(|tried| !tried.is_again);
        luck::of_several(tried.map(|tried| tried.chances.as_slice()), explained, own)
    }

    /// λ of any mistake that explains so many answers at once, however tellingly.
    pub(super) fn lambda_of_any(&self, explained: usize) -> f64 {
        let tried = self.tried.iter().filter(|tried| !tried.is_again);
        let chances = tried.map(|tried| tried.chances.as_slice());
        luck::of_several(chances, explained, f64::INFINITY)
    }

    /// λ of a number that the faulty answer at `place` is; `alone` are the chances of all numbers. Of one that is
    /// zero no chance is known: it counts as one that fits as easily as any.
    pub(super) fn lambda_alone(&self, place: usize, number: &Number, alone: &[f64]) -> f64 {
        let own = self.evidence.chance(self.faulty[place], number);
        luck::of_one(alone, if own > 0.0 { own } else { f64::INFINITY })
    }
}
