//! Whether students differ: how many variants there are, how hard they are to draw, and how many
//! pairs of them have the same answers.
//!
//! In: a problem's draws and the keys of a sample. Out: findings, and the share of pairs of variants
//! whose answers agree.

use crate::assignment::{PartKind, Variants};
use crate::diagnostic::{Diagnostic, Place};
use crate::marking::choice;
use crate::plan::PartPlan;

use super::pass::Pass;
use super::threshold::{ALIKE, CLASS, HARD};
use super::view::{Asks, View, percent};

/// Keys that are compared with each other.
const COMPARED: usize = 2048;

/// The share of pairs that agree in all answers; nothing where there are no pairs, or nothing is
/// asked for that can be compared.
pub(super) fn check(view: &View<'_>, pass: &Pass, found: &mut Vec<Diagnostic>) -> Option<f64> {
    hard(view, found);
    let judged = view.assignment.parts.iter();
    let judged = judged.filter(|part| !matches!(part.kind, PartKind::Eye(_)));
    if judged.count() == 0 {
        return None;
    }
    let Agreement { pairs, of, example } = agreement(view, pass);
    let share = (of > 0).then(|| pairs as f64 / of as f64);
    match view.assignment.variants {
        Variants::Versions(_) => {
            if let Some((one, other)) = example {
                found.push(versions(view, one, other));
            }
        }
        Variants::PerStudent => {
            if let Some(few) = few(view) {
                found.push(few);
            } else if let Some(share) = share.filter(|share| *share >= ALIKE)
                && let Some(example) = example
            {
                found.push(alike(view, share, example));
            }
        }
    }
    share
}

/// Requirements that hardly any draw meets.
fn hard(view: &View<'_>, found: &mut Vec<Diagnostic>) {
    let extent = &view.draws.extent;
    let share = extent.met as f64 / extent.tried.max(1) as f64;
    if share >= HARD {
        return;
    }
    let most = (0..extent.broke.len()).max_by_key(|&at| (extent.broke[at], usize::MAX - at));
    let Some(requirement) = most.and_then(|at| view.assignment.requirements.get(at)) else {
        return;
    };
    let message = format!(
        "the draws are hard to satisfy: {} of {} meet [require] ({})",
        extent.met,
        extent.tried,
        percent(share)
    );
    found.push(
        view.warning(requirement.span, message)
            .label("most of the others break this")
            .help(
                "loosen the requirement, or narrow the ranges under [given] to what meets it: most of them is never drawn",
            ),
    );
}

/// Fewer variants than a class has students.
fn few(view: &View<'_>) -> Option<Diagnostic> {
    let variants = view.draws.len();
    if view.draws.extent.of.is_none() || variants >= CLASS {
        return None;
    }
    let file = &view.assignment.source.name;
    let finding = if variants == 1 {
        Diagnostic::warning(
            file,
            Place::File,
            "every student is to have own numbers, but there is only one variant",
        )
        .help("give some of the givens a range, or write `variants = 1`")
    } else {
        let message = format!(
            "there are only {variants} variants: in a class of {CLASS} some students share theirs"
        );
        Diagnostic::warning(file, Place::File, message)
            .help("widen the ranges under [given], take smaller steps, or loosen [require]")
    };
    Some(finding)
}

fn alike(view: &View<'_>, share: f64, (one, other): (usize, usize)) -> Diagnostic {
    let share = percent(share);
    let message = format!(
        "many students have a neighbour's answers: {share} of all pairs of variants agree in every part"
    );
    let givens = (0..view.problem.givens).collect();
    Diagnostic::warning(&view.assignment.source.name, Place::File, message).help(format!(
        "let more givens bear on the answers, or widen their ranges; these two agree: {} and {}",
        view.told(givens, one),
        view.told(givens, other)
    ))
}

fn versions(view: &View<'_>, one: usize, other: usize) -> Diagnostic {
    let name = |draw: usize| {
        let count = view.draws.extent.versions;
        let letter =
            char::from(b'A'.saturating_add(u8::try_from(draw % count.max(1)).unwrap_or(0)));
        if draw < count {
            format!("version {letter}")
        } else {
            format!("version {letter} of a reissue")
        }
    };
    let message = format!("{} and {} have the same answers", name(one), name(other));
    let givens = (0..view.problem.givens).collect();
    Diagnostic::warning(&view.assignment.source.name, Place::File, message).help(format!(
        "change the seed, or widen the ranges under [given]; they are {} and {}",
        view.told(givens, one),
        view.told(givens, other)
    ))
}

/// Pairs of variants.
#[derive(Clone, Copy, Debug, Default)]
struct Agreement {
    /// That agree in all answers.
    pairs: u64,
    /// In all.
    of: u64,
    /// The draws of one that agrees; of versions one of the same issue before others.
    example: Option<(usize, usize)>,
}

/// What is compared of some keys, one row each.
struct Table {
    draws: Vec<usize>,
    /// For each part that asks for a quantity the key as it counts, and how wide it is.
    keys: Vec<(f64, f64)>,
    asked: usize,
    /// For each part that asks for a word the right one.
    words: Vec<Option<usize>>,
    choices: usize,
}

impl Table {
    fn of(view: &View<'_>, pass: &Pass) -> Self {
        let answers: Vec<Asks<'_>> = view.answers().collect();
        let judges = || {
            let parts = view.problem.parts.iter();
            parts.filter_map(|part| match part {
                PartPlan::Choose(judges) => Some(judges),
                PartPlan::Answer(_) | PartPlan::Eye => None,
            })
        };
        let mut table = Self {
            draws: Vec::new(),
            keys: Vec::new(),
            asked: answers.len(),
            words: Vec::new(),
            choices: judges().count(),
        };
        for (draw, slots) in pass.survey.some(COMPARED) {
            table.draws.push(draw);
            table.keys.extend(answers.iter().map(|asks| {
                let key = slots[asks.plan.slot];
                let figures = view.asked(asks, draw).shown;
                (asks.counted(key), asks.half_width(key, figures))
            }));
            let words = judges().map(|judges| choice::holding(judges, slots));
            table.words.extend(words);
        }
        table
    }

    fn keys(&self, row: usize) -> &[(f64, f64)] {
        &self.keys[row * self.asked..(row + 1) * self.asked]
    }

    fn words(&self, row: usize) -> &[Option<usize>] {
        &self.words[row * self.choices..(row + 1) * self.choices]
    }

    /// What rows are sorted by: the first answer.
    fn first(&self, row: usize) -> (f64, f64) {
        self.keys(row).first().copied().unwrap_or_default()
    }

    /// Whether the answers of one would be right for the other.
    fn agree(&self, one: usize, other: usize) -> bool {
        let close = |((key, width), (other, _)): (&(f64, f64), &(f64, f64))| {
            (key - other).abs() <= width * (1.0 + 1e-9)
        };
        self.words(one) == self.words(other)
            && self.keys(one).iter().zip(self.keys(other)).all(close)
    }
}

/// Counts the pairs that agree: sorted by one answer, only neighbours need be looked at.
fn agreement(view: &View<'_>, pass: &Pass) -> Agreement {
    let table = Table::of(view, pass);
    let mut order: Vec<usize> = (0..table.draws.len()).collect();
    order.sort_by(|&one, &other| table.first(one).0.total_cmp(&table.first(other).0));
    let count = order.len() as u64;
    let mut agreement = Agreement {
        of: count * count.saturating_sub(1) / 2,
        ..Agreement::default()
    };
    for (at, &one) in order.iter().enumerate() {
        let (key, width) = table.first(one);
        for &other in &order[at + 1..] {
            if table.first(other).0 - key > width * (1.0 + 1e-9) {
                break;
            }
            if table.agree(one, other) {
                agreement.pairs += 1;
                let (one, other) = (table.draws[one], table.draws[other]);
                let pair = (one.min(other), one.max(other));
                let example = agreement.example.get_or_insert(pair);
                let later = |pair: (usize, usize)| (pair.1, pair.0);
                if later(pair) < later(*example) {
                    *example = pair;
                }
            }
        }
    }
    agreement
}
