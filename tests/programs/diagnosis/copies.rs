//! Are numbers of another student found, and is nobody suspected who worked alone?
//!
//! In: an assignment, classes of some size, a seed. Out: how many papers of those who worked alone fit
//! another's, by class, and how many of those who took over answers were found. Of a class four in ten are
//! wrong on their own in the ways of [`Cause`], and one paper has another's answers from some part on.

use paperweight::diagnosis::{Classmates, Mistakes};
use paperweight::marking::{Key, Marker, Paper};
use paperweight::plan::Plan;

use crate::random::Random;
use crate::student::{Cause, Student};

/// What was found in classes of one size.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Found {
    pub(crate) classes: usize,
    /// Wrong papers of those who worked alone, and those of them that fit another's.
    pub(crate) alone: usize,
    pub(crate) suspected: usize,
    /// Papers with nothing but random numbers that fit another's, of classes in which all are such.
    pub(crate) guessed: usize,
    /// Papers with answers of another's that are unlike the own key, and those found to fit it.
    pub(crate) taken_over: usize,
    pub(crate) found: usize,
    /// Those found to be another's as a whole, of papers swapped.
    pub(crate) swapped: usize,
    pub(crate) found_whole: usize,
}

/// Plays classes of `size` papers; `keys` holds at least as many.
pub(crate) fn play(
    (plan, mistakes): (&Plan, &Mistakes),
    keys: &[Key],
    (size, classes, figures): (usize, usize, u8),
    names: &[u64],
) -> Found {
    let mut found = Found {
        classes,
        ..Found::default()
    };
    let mut marker = Marker::new(plan);
    for class in 0..classes {
        let mut random = Random::of(&[names, &[class as u64, size as u64]].concat());
        let first = random.below(keys.len() - size + 1);
        let keys = &keys[first..first + size];
        let classmates = Classmates::of(plan, keys.iter());
        for (own, key) in keys.iter().enumerate() {
            if random.below(10) >= 4 {
                continue;
            }
            let student = Student {
                plan,
                mistakes,
                key,
                figures,
            };
            let cause = Cause::ALL[random.below(Cause::ALL.len())];
            let Some((paper, _)) = student.works(cause, &mut random) else {
                continue;
            };
            found.alone += 1;
            let evidence = marker.evidence(key, &paper);
            found.suspected += usize::from(!classmates.fits(plan, own, &evidence).is_empty());
        }
        for (own, key) in keys.iter().enumerate() {
            let student = Student {
                plan,
                mistakes,
                key,
                figures,
            };
            let Some((paper, _)) = student.works(Cause::Guess, &mut random) else {
                continue;
            };
            let evidence = marker.evidence(key, &paper);
            found.guessed += usize::from(!classmates.fits(plan, own, &evidence).is_empty());
        }
        let (own, other) = (random.below(size), random.below(size));
        let work = |key| {
            let student = Student {
                plan,
                mistakes,
                key,
                figures,
            };
            student.right()
        };
        let (Some(paper), Some(others)) = (work(&keys[own]), work(&keys[other])) else {
            continue;
        };
        if own == other {
            continue;
        }
        let from = random.below(paper.entries.len().max(1));
        let mut taken = paper;
        taken.entries.truncate(from);
        taken
            .entries
            .extend(others.entries.iter().skip(from).cloned());
        // One number alone says nothing, nor do those that are right by chance.
        let wrong = |paper: &Paper, marker: &mut Marker<'_>| {
            let marked = marker.mark(&keys[own], paper);
            let wrong = marked.parts.iter();
            let wrong = wrong.filter(|mark| mark.unit.is_some() && !mark.verdict.is_right());
            wrong.count() >= 2
        };
        let is_telling = wrong(&taken, &mut marker);
        let is_other = wrong(&others, &mut marker);
        let mut fits = |paper: &Paper| {
            let evidence = marker.evidence(&keys[own], paper);
            classmates.fits(plan, own, &evidence)
        };
        if is_telling {
            found.taken_over += 1;
            found.found += usize::from(fits(&taken).iter().any(|fit| fit.paper == other));
        }
        if is_other {
            found.swapped += 1;
            let whole = fits(&others);
            let is_found = whole.iter().any(|fit| fit.paper == other && fit.is_whole);
            found.found_whole += usize::from(is_found);
        }
    }
    found
}
