//! How far a total can be relied on: Cronbach's α.
//!
//! In: papers of at least two items. Out: α, which of items that are right or wrong is KR-20, and the
//! standard error of measurement. Items are the problems of a sheet; of a lone problem its parts, which
//! lean on one another, so that α comes out too high. Nothing for fewer than 15 papers or no spread.

use rust_decimal::Decimal;

use super::moments::Moments;
use super::part::PartAnalysis;
use super::{Paper, Part, Say};

/// What counts as an item.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Over {
    /// The problems of a sheet.
    Problems,
    /// The parts of a lone problem.
    Parts,
}

/// How far a total can be relied on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reliability {
    /// What counts as an item.
    pub over: Over,
    /// How many of them.
    pub items: usize,
    /// Cronbach's α; below 0 where items work against one another.
    pub alpha: f64,
    /// The standard error of measurement, in points.
    pub sem: f64,
}

/// The reliability of the points of all parts.
pub(super) fn of(parts: &[Part], papers: &[Paper], sums: &[Decimal]) -> Option<Reliability> {
    if Say::of(papers.len()) < Say::Warned {
        return None;
    }
    let problems = parts.iter().map(|part| part.problem + 1).max().unwrap_or(0);
    let over = if problems > 1 {
        Over::Problems
    } else {
        Over::Parts
    };
    let items = items(parts, over);
    let alpha = alpha(&items, papers)?;
    let sd = Moments::of(sums.iter().copied()).sd()?;
    Some(Reliability {
        over,
        items: items.len(),
        alpha,
        sem: sd * (1.0 - alpha).max(0.0).sqrt(),
    })
}

/// Fills in what α would be without each part, where parts are the items.
pub(super) fn without_each(
    parts: &[Part],
    papers: &[Paper],
    over: Over,
    analysed: &mut [PartAnalysis],
) {
    if over == Over::Problems {
        return;
    }
    for (at, part) in analysed.iter_mut().enumerate() {
        let mut rest = items(parts, over);
        rest.retain(|item| *item != [at]);
        part.without = alpha(&rest, papers);
    }
}

/// The parts of each item that has points.
fn items(parts: &[Part], over: Over) -> Vec<Vec<usize>> {
    let scored = parts.iter().enumerate();
    let scored = scored.filter(|(_, part)| part.out_of > Decimal::ZERO);
    let mut items: Vec<(usize, Vec<usize>)> = Vec::new();
    for (at, part) in scored {
        match items.last_mut() {
            Some((problem, item)) if over == Over::Problems && *problem == part.problem => {
                item.push(at);
            }
            _ => items.push((part.problem, vec![at])),
        }
    }
    items.into_iter().map(|(_, item)| item).collect()
}

/// α = k/(k − 1) · (1 − Σ s²(item) / s²(sum)).
fn alpha(items: &[Vec<usize>], papers: &[Paper]) -> Option<f64> {
    let count = items.len() as f64;
    let points = |paper: &Paper, item: &[usize]| -> Decimal {
        let cells = item.iter().filter_map(|at| paper.cells.get(*at));
        cells.map(|cell| cell.points).sum()
    };
    let variance = |of: &dyn Fn(&Paper) -> Decimal| Moments::of(papers.iter().map(of)).variance();
    let all = variance(&|paper| items.iter().map(|item| points(paper, item)).sum())?;
    let mut each = 0.0;
    for item in items {
        each += variance(&|paper| points(paper, item))?;
    }
    (items.len() > 1 && all > 0.0).then(|| count / (count - 1.0) * (1.0 - each / all))
}
