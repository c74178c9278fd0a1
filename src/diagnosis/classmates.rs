//! Another student's numbers.
//!
//! In: the keys of the papers of one sheet that were handed out, and what stands on one of them. Out: the
//! papers whose keys its wrong answers are. Papers get swapped and are keyed under another code; whatever
//! the cause, it is for the teacher alone, who looks at the paper. It says nothing of a mark.
//!
//! An answer counts where it is unlike the student's own key and is the other paper's, correctly rounded to
//! the figures written: no tolerance reaches that far. Two such answers of three figures or more are needed,
//! or three of two, that fit the same paper and do not follow from each other; and so many that chance would
//! hardly find as much on any paper of the class. That is reckoned as with mistakes (`luck`): over all choices
//! of as many of the paper's wrong answers and over all papers, from how the keys of the class lie around an
//! answer. Where few values are drawn they lie close, and two answers are not enough. The keys stand sorted, part by part, so that
//! tens of thousands of papers are looked through in microseconds. Signs and whole turns are compared as
//! marking compares them.

use std::f64::consts::TAU;

use rustc_hash::FxHashMap;

use crate::assignment::Sign;
use crate::marking::{Evidence, Key, Number, Read};
use crate::plan::{PartPlan, Plan};

use super::luck;

/// Figures from which on two answers are enough.
const TELLING: u8 = 3;

/// Figures that an answer needs to count at all.
const LEAST: u8 = 2;

/// What rounding on the way may do to an answer, as a share of it, for a paper to be another's as a whole.
const ON_THE_WAY: f64 = 0.01;

/// How far around an answer the keys of a class are counted, as a share of it.
const AROUND: f64 = 0.1;

/// How many papers of a whole class may fit others by luck, were all of them wrong.
const BY_LUCK: f64 = 0.3;

/// Another paper that wrong answers fit.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The other paper, by the order in which keys were added.
    pub paper: usize,
    /// Places on the paper of the answers that fit it and are unlike the own key.
    pub parts: Vec<usize>,
    /// Every number on the paper is the other's, but for rounding on the way: it may be that paper.
    pub is_whole: bool,
    /// How many papers of the class fit some answers of this one so well by luck, on average.
    pub chance: f64,
}

/// The keys of papers that were handed out.
#[derive(Clone, Debug, Default)]
pub struct Classmates {
    /// By part of the paper: the keys in SI units as they are compared, rising, each with its paper.
    parts: Vec<Vec<(f64, u32)>>,
    /// By part the same in the order of the papers; not a number where there is none.
    values: Vec<Vec<f64>>,
    papers: usize,
}

impl Classmates {
    /// No keys yet.
    pub fn new(plan: &Plan) -> Self {
        Self {
            parts: vec![Vec::new(); plan.parts.len()],
            values: vec![Vec::new(); plan.parts.len()],
            papers: 0,
        }
    }

    /// Takes in the keys of a class, in their order.
    pub fn of<'k>(plan: &Plan, keys: impl Iterator<Item = &'k Key>) -> Self {
        let mut all = Self::new(plan);
        keys.for_each(|key| all.add(plan, key));
        all.sort();
        all
    }

    /// Adds a paper's key behind those that are there; [`Self::sort`] must come before the first question.
    pub fn add(&mut self, plan: &Plan, key: &Key) {
        let paper = u32::try_from(self.papers).unwrap_or(u32::MAX);
        self.papers += 1;
        for (at, place) in plan.parts.iter().enumerate() {
            let part = &plan.problems[place.problem].parts[place.part];
            let problem = key.problems.get(place.problem);
            let value = match part {
                PartPlan::Answer(answer) => problem.and_then(|key| key.slots.get(answer.slot)),
                PartPlan::Choose(_) | PartPlan::Eye => None,
            };
            let sign = sign_of(plan, at);
            let value = value.map(|value| compared(sign, *value));
            self.values[at].push(value.unwrap_or(f64::NAN));
            self.parts[at].extend(value.map(|value| (value, paper)));
        }
    }

    /// Puts the keys in order.
    pub fn sort(&mut self) {
        for keys in &mut self.parts {
            keys.sort_by(|one, other| one.0.total_cmp(&other.0).then(one.1.cmp(&other.1)));
        }
    }

    /// The papers that the wrong answers of paper `own` fit, the best first.
    pub fn fits(&self, plan: &Plan, own: usize, evidence: &[Evidence<'_>]) -> Vec<Fit> {
        let mut answers = answers(plan, evidence);
        if answers.iter().filter(|answer| answer.is_unlike).count() < 2 {
            return Vec::new();
        }
        for answer in &mut answers {
            answer.share = self.share_near(answer);
        }
        let might: Vec<f64> = answers
            .iter()
            .filter(|answer| answer.is_alone())
            .map(|answer| answer.share)
            .collect();
        if self.is_luck(might.iter().product()) {
            return Vec::new();
        }
        let mut found: FxHashMap<u32, Vec<usize>> = FxHashMap::default();
        for (at, answer) in answers.iter().enumerate() {
            for paper in self.near(answer) {
                let fitted = found.entry(paper).or_default();
                if fitted.last() != Some(&at) {
                    fitted.push(at);
                }
            }
        }
        found.remove(&u32::try_from(own).unwrap_or(u32::MAX));
        let mut fits: Vec<Fit> = found
            .into_iter()
            .filter_map(|(paper, fitted)| self.judged((&answers, &might), paper, &fitted))
            .collect();
        fits.sort_by(|one, other| {
            let rank = |fit: &Fit| (!fit.is_whole, std::cmp::Reverse(fit.parts.len()), fit.paper);
            rank(one).cmp(&rank(other))
        });
        fits
    }

    /// The papers whose key an answer is, rounded as it is written.
    fn near(&self, answer: &Answer<'_>) -> Vec<u32> {
        let keys = &self.parts[answer.place];
        let mut all = Vec::new();
        for read in &answer.reads {
            let (value, half) = (answer.compared(read), half_unit(read));
            let first = keys.partition_point(|(key, _)| *key < value - half);
            let inside = keys[first..]
                .iter()
                .take_while(|(key, _)| *key <= value + half);
            all.extend(inside.map(|(_, paper)| *paper));
        }
        all
    }

    /// Whether an answer is a paper's key but for rounding on the way.
    fn is_near(&self, answer: &Answer<'_>, paper: u32) -> bool {
        let keys = self.values[answer.place].get(paper as usize);
        let key = keys.copied().unwrap_or(f64::NAN);
        let is_near = |read: &Read| {
            let off = (answer.compared(read) - key).abs();
            off <= half_unit(read).max(ON_THE_WAY * key.abs())
        };
        answer.reads.iter().any(is_near)
    }

    /// The share of papers whose key an answer of that size would be by luck: by how wrong answers lie around
    /// a key, or by how the keys of this class lie around the answer, whichever is more.
    fn share_near(&self, answer: &Answer<'_>) -> f64 {
        let Some(read) = answer.reads.first() else {
            return 1.0;
        };
        let keys = &self.parts[answer.place];
        let value = answer.compared(read);
        // The zero of a direction is anywhere: a share of the whole turn instead.
        let whole = match answer.sign {
            Sign::Turn => TAU,
            Sign::Size | Sign::Either | Sign::Fixed => value.abs(),
        };
        let reach = AROUND * whole;
        let below = keys.partition_point(|(key, _)| *key < value - reach);
        let above = keys.partition_point(|(key, _)| *key <= value + reach);
        let around = (above - below + 1) as f64 / (keys.len() + 1) as f64;
        let own = around * (half_unit(read) / reach).min(1.0);
        own.max(answer.chance())
    }

    /// Whether so small a chance, the product of those of some answers, is luck in a class of this size,
    /// whatever else might have fitted as tellingly: that is never less.
    fn is_luck(&self, own: f64) -> bool {
        let papers = self.papers as f64;
        own * papers * papers > BY_LUCK
    }

    /// What a paper that some answers fit makes of it; `might` are the chances of all that might have fitted, in
    /// other choices and on any paper.
    fn judged(
        &self,
        (answers, might): (&[Answer<'_>], &[f64]),
        paper: u32,
        fitted: &[usize],
    ) -> Option<Fit> {
        let fitted = || fitted.iter().map(|at| &answers[*at]);
        let alone = || fitted().filter(|answer| answer.is_alone());
        let telling = alone().filter(|answer| answer.figures >= TELLING);
        let count = alone().count();
        if telling.count() < 2 && count < 3 {
            return None;
        }
        let own: f64 = alone().map(|answer| answer.share).product();
        if self.is_luck(own) {
            return None;
        }
        let chance = luck::of_several(std::iter::once(might), count, own) * self.papers as f64;
        let is_whole = answers.iter().all(|answer| self.is_near(answer, paper));
        (chance * self.papers as f64 <= BY_LUCK).then(|| Fit {
            paper: paper as usize,
            parts: fitted()
                .filter(|answer| answer.is_unlike)
                .map(|answer| answer.place)
                .collect(),
            is_whole,
            chance,
        })
    }
}

/// A number on the paper.
struct Answer<'e> {
    evidence: &'e Evidence<'e>,
    answer: usize,
    /// Its part, by place on the paper.
    place: usize,
    reads: Vec<Read>,
    sign: Sign,
    figures: u8,
    is_unlike: bool,
    /// It follows from others: whoever has those has this one, from any numbers.
    follows: bool,
    /// The share of papers whose key it would be by luck.
    share: f64,
}

impl Answer<'_> {
    /// Whether it says something by itself.
    fn is_alone(&self) -> bool {
        self.is_unlike && !self.follows
    }

    /// A reading as it is compared.
    fn compared(&self, read: &Read) -> f64 {
        compared(self.sign, read.value)
    }

    /// The chance that a wrong answer written so is some paper's key by luck: keys lie around the own one as
    /// wrong answers do, or closer.
    fn chance(&self) -> f64 {
        let value = self.reads.first().map_or(0.0, |read| read.value);
        let number = Number {
            value,
            allowance: 0.0,
        };
        self.evidence.chance(self.answer, &number).min(1.0)
    }
}

/// The numbers that stand on a paper with figures enough.
fn answers<'e>(plan: &Plan, evidence: &'e [Evidence<'e>]) -> Vec<Answer<'e>> {
    let mut all = Vec::new();
    for evidence in evidence {
        let first = plan.parts_of(evidence.problem).next().unwrap_or(0);
        for answer in 0..evidence.count() {
            let reads: Vec<Read> = evidence.readings(answer).collect();
            let figures = reads
                .iter()
                .filter_map(|read| Some(read.numeral?.figures().least));
            let figures = figures.max().unwrap_or(0);
            if figures < LEAST {
                continue;
            }
            let place = first + evidence.part(answer);
            let sign = sign_of(plan, place);
            let key = compared(sign, evidence.key(answer));
            let is_own = |read: &Read| (compared(sign, read.value) - key).abs() <= half_unit(read);
            all.push(Answer {
                evidence,
                answer,
                place,
                sign,
                figures,
                is_unlike: !evidence.is_right(answer) && !reads.iter().any(is_own),
                follows: evidence.follows(answer),
                share: 1.0,
                reads,
            });
        }
    }
    all
}

/// What a sign counts for in a part of the paper.
fn sign_of(plan: &Plan, place: usize) -> Sign {
    plan.part(place).rules.sign
}

/// A value as it is compared: its size, itself, or the direction within one turn.
fn compared(sign: Sign, value: f64) -> f64 {
    match sign {
        Sign::Size | Sign::Either => value.abs(),
        Sign::Fixed => value,
        Sign::Turn => value.rem_euclid(TAU),
    }
}

/// Half a unit in the last place written, in SI units; a little more, for sums are not exact.
fn half_unit(read: &Read) -> f64 {
    let half = read
        .numeral
        .map_or(0.0, |numeral| numeral.half_unit(numeral.figures().most));
    half * read.size + 1e-9 * read.value.abs()
}
