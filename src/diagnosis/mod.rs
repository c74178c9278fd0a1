//! Finds the mistake behind wrong answers, from the equations alone.
//!
//! In: the mistakes of a sheet, prepared once, and what a paper says of its faulty answers. Out: what may
//! have been done, only as strongly as the evidence allows. `table` alters equations as students do,
//! `entry` numbers; each mistake is reckoned along the roads from the student's own entries and held
//! against all faulty answers of a problem at once (`case`, `hold`). `luck` says how likely so much fits by
//! chance, `said` what is said of it, `pairs` what two mistakes make. `classmates` is about another's numbers.
//!
//! Strong is what explains two faulty answers or more where luck explains as many, however easily, in at most
//! one of a hundred papers; likely what alone explains one, or several, and luck brings a match as telling in
//! at most one of ten (several mistakes with one number are "one of these", there and here); possible, by three
//! different numbers at most, up to λ = 0.5; above that, silence. Simulated with λ over all mistakes tried, one
//! answer of three figures in five was passed over in silence, most of them where hardly any mistake leads; with
//! λ of what is as telling the promise is kept as well. For strong the sum over all stays: with the other 3.6 % of
//! random papers of two figures were called so. One answer is never strong, at any figures: luck may be ruled out, another cause with
//! the same number may not. Foreseen slips come first. `budget` bounds the work; where it does not reach
//! for all mistakes that is said, and nothing is likely. The thresholds were found by simulation, which
//! the program `diagnosis` in tests/programs repeats.

mod budget;
mod case;
mod classmates;
mod entry;
mod hold;
mod luck;
mod mistakes;
mod pairs;
mod rewrite;
mod said;
mod scene;
mod table;

use crate::marking::{Evidence, Explanation, Key};
use crate::plan::Plan;
use case::Case;

pub use classmates::{Classmates, Fit};
pub use mistakes::{Mistake, Mistakes, as_written, other_answered};

/// λ up to which an explanation of two answers or more is strong.
const STRONG: f64 = 0.01;

/// λ up to which the only explanation of an answer is likely.
const LIKELY: f64 = 0.1;

/// λ up to which an explanation is possible.
const POSSIBLE: f64 = 0.5;

/// Different numbers by which an answer is explained at most; of each, all mistakes that lead to it.
const MOST_POSSIBLE: usize = 3;

/// What may have been done on a paper, the best first, problem by problem.
pub fn diagnose(
    plan: &Plan,
    mistakes: &Mistakes,
    key: &Key,
    evidence: &[Evidence<'_>],
) -> Vec<Explanation> {
    diagnose_within(plan, mistakes, key, evidence, budget::MOST)
}

/// The same where each problem of a paper may take so much work, in equations evaluated.
pub fn diagnose_within(
    plan: &Plan,
    mistakes: &Mistakes,
    key: &Key,
    evidence: &[Evidence<'_>],
    most: u64,
) -> Vec<Explanation> {
    let mut all = Vec::new();
    for evidence in evidence {
        if let Some(case) = Case::of(plan, mistakes, key, evidence, most) {
            case.explain(&mut all);
        }
    }
    all
}

/// What a foreseen slip of a part is called of which the file says nothing; slips are counted from 0.
pub fn unsaid(slip: usize) -> String {
    format!("slip {} of the file", slip + 1)
}

/// How many mistakes a diagnosis does not try on a paper, for want of work that it may take.
pub fn untried(plan: &Plan, mistakes: &Mistakes, key: &Key, evidence: &[Evidence<'_>]) -> usize {
    let case = |evidence| Case::of(plan, mistakes, key, evidence, budget::MOST);
    let cases = evidence.iter().filter_map(case);
    cases.map(|case| case.budget.untried()).sum()
}

/// What luck makes of the faulty answers of a problem, one by one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Luck {
    /// The chance that some mistake explains one of them by luck, whatever stands there.
    pub any: f64,
    /// The chance that luck brings a match as telling as the most telling one there is; nothing where none is.
    pub found: Option<f64>,
}

/// What luck makes of the faulty answers of a problem; nothing where none is faulty. For simulations.
pub fn luck_of_one(
    plan: &Plan,
    mistakes: &Mistakes,
    key: &Key,
    evidence: &Evidence<'_>,
) -> Option<Luck> {
    let case = Case::of(plan, mistakes, key, evidence, budget::MOST)?;
    let alone = case.chances_alone();
    let lambdas = case.tried.iter().flat_map(|tried| {
        let matched = tried.fits.iter().enumerate();
        matched.filter_map(|(place, number)| Some((place, (*number)?)))
    });
    let lambdas = lambdas.map(|(place, number)| case.lambda_alone(place, &number, &alone));
    Some(Luck {
        any: luck::chance(alone.iter().sum()),
        found: lambdas.min_by(f64::total_cmp).map(luck::chance),
    })
}
