//! How many random values would earn credit.
//!
//! In: a plan and keys of a sample. Out: for each part of the paper the share of random values near
//! the key that marking takes for right or followed, and findings. Each paper is filled with random
//! values throughout and marked as a student's would be, so that every window counts: the key's,
//! those of the roads from the paper's own answers, of another constant, of accepted expressions.

use crate::answer::{Notes, Reading, Value, Written};
use crate::diagnostic::Diagnostic;
use crate::formula::order::Order;
use crate::marking::{Entry, Key, Marker, Paper, Verdict};
use crate::plan::Plan;
use crate::quantity::{Quantity, Unit, UnitReading, numeral_of};

use super::Draws;
use super::chance::Chance;
use super::pass::Survey;
use super::threshold::{GUESS, LUCKY};
use super::view::{Asks, View, percent};

/// Papers for each key.
const PAPERS: usize = 6;

/// Keys that papers are made for.
const KEYS: usize = 400;

/// The same where a road is dear to walk, or can only be searched: each wrong answer walks them all.
const DEAR: usize = 200;
const SEARCHED: usize = 10;

/// Multiples of the roots of different primes fill ranges evenly, each by itself and all together:
/// with 2400 papers the share of a lone window is good to 0.1 points, one that hangs on other
/// answers to 1 point. Parts that stand twelve apart share a prime.
const PRIMES: [f64; 12] = [
    2.0, 3.0, 5.0, 7.0, 11.0, 13.0, 17.0, 19.0, 23.0, 29.0, 31.0, 37.0,
];

/// The shares by part of the paper; nothing where no quantity is asked for, or no key found.
pub(super) fn shares(plan: &Plan, draws: &[Draws<'_>], surveys: &[&Survey]) -> Vec<Option<f64>> {
    let mut counts = vec![(0_u32, 0_u32); plan.parts.len()];
    if surveys.len() < plan.problems.len() || surveys.iter().any(|survey| survey.len() == 0) {
        return vec![None; counts.len()];
    }
    let views: Vec<View<'_>> = super::views(plan, draws).collect();
    let mut guesser = Guesser::new(plan, &views);
    let mut chance = Chance::new(1);
    let mut marker = Marker::new(plan);
    let mut key = Key::default();
    let mut paper = Paper::default();
    for _ in 0..keys(&views) {
        let chosen: Vec<usize> = surveys
            .iter()
            .map(|survey| survey.draws[chance.below(survey.len() as u64) as usize])
            .collect();
        let values: Vec<Vec<Quantity>> = draws
            .iter()
            .zip(&chosen)
            .map(|(draws, &draw)| draws.values(draw).collect())
            .collect();
        if key.fill(plan, values.iter().map(Vec::as_slice)).is_err() {
            continue;
        }
        for _ in 0..PAPERS {
            guesser.fill(&mut paper, &key, &chosen);
            let marks = marker.mark(&key, &paper).parts;
            for ((count, mark), entry) in counts.iter_mut().zip(&marks).zip(&paper.entries) {
                if matches!(entry, Entry::Answer(Reading::One(_))) {
                    let credited = mark.verdict.is_right() || mark.verdict == Verdict::Followed;
                    count.0 += u32::from(credited);
                    count.1 += 1;
                }
            }
        }
    }
    let share = |(credited, tried)| (tried > 0).then(|| f64::from(credited) / f64::from(tried));
    counts.into_iter().map(share).collect()
}

/// For how many keys papers are made.
fn keys(views: &[View<'_>]) -> usize {
    let any = |costly: fn(&Order) -> bool| {
        let mut answers = views.iter().flat_map(View::answers);
        answers.any(|asks| {
            let plan = asks.plan;
            let mut roads = plan.own.iter().chain(&plan.roads).chain(&plan.back);
            roads.any(|road| costly(&road.order))
        })
    };
    if any(Order::is_searched) {
        SEARCHED
    } else if any(Order::is_dear) {
        DEAR
    } else {
        KEYS
    }
}

/// Writes random values into papers.
struct Guesser<'a> {
    views: &'a [View<'a>],
    /// For each part of the paper its problem, and what is asked for if it is a quantity.
    parts: Vec<(usize, Option<Asks<'a>>)>,
    /// Papers filled so far.
    papers: u32,
}

impl<'a> Guesser<'a> {
    fn new(plan: &Plan, views: &'a [View<'a>]) -> Self {
        let parts = plan.parts.iter().map(|place| {
            let mut answers = views[place.problem].answers();
            let asks = answers.find(|asks| asks.index == place.part);
            (place.problem, asks)
        });
        Self {
            views,
            parts: parts.collect(),
            papers: 0,
        }
    }

    /// Fills a paper for a key, of which the draws are told by problem.
    fn fill(&mut self, paper: &mut Paper, key: &Key, draws: &[usize]) {
        self.papers += 1;
        paper.entries.clear();
        for (at, (problem, asks)) in self.parts.iter().enumerate() {
            let Some(asks) = asks else {
                paper.entries.push(Entry::Eye(None));
                continue;
            };
            let step = libm::sqrt(PRIMES[at % PRIMES.len()]) * f64::from(self.papers);
            let either_way = 2.0 * (step - step.floor()) - 1.0;
            let size = key.problems[*problem].slots[asks.plan.slot];
            let figures = self.views[*problem].asked(asks, draws[*problem]).shown;
            let value = size * (1.0 + GUESS * either_way);
            let entry = Entry::Answer(written(value, &asks.unit, figures));
            paper.entries.push(entry);
        }
    }
}

/// A value as a student would write it; blank where it is zero, around which nothing can be drawn.
fn written(value: f64, unit: &Unit, figures: u8) -> Reading {
    let numeral = numeral_of(unit.from_si(value), figures).filter(|numeral| !numeral.is_zero());
    match numeral {
        Some(numeral) => Reading::One(Written {
            value: Value::Numeral(numeral),
            unit: (!unit.is_one()).then_some(UnitReading {
                unit: *unit,
                forgiven: None,
            }),
            also: None,
            notes: Notes::default(),
        }),
        None => Reading::Blank,
    }
}

/// Says where luck is likely.
pub(super) fn check(view: &View<'_>, asks: &Asks<'_>, share: f64, found: &mut Vec<Diagnostic>) {
    if share < LUCKY {
        return;
    }
    let roads = asks.plan.roads.len();
    let message = format!(
        "{} of random values within {} of the key would earn credit in part `{}`",
        percent(share),
        percent(GUESS),
        asks.part.id
    );
    let help = if roads > 1 {
        format!("narrow the tolerance, or some of its {roads} roads with `by`")
    } else {
        "narrow the tolerance".to_owned()
    };
    found.push(view.warning(asks.part.span, message).help(help));
}
