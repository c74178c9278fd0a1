//! Item analysis: what the marks of a class can tell, and what they cannot.
//!
//! In: papers as they were marked, with the teacher's word, of one sheet. Out: an [`Analysis`]: how the
//! totals lie, how well each part went and how well it tells strong papers from weak ones, how far the
//! total can be relied on, where papers first went wrong. Papers that are not
//! fully marked are for the caller to leave out.
//!
//! Sums are exact decimals, so that no spread is lost however far the points lie from zero. One
//! definition of variance holds throughout: the sum of squared deviations over n − 1. A spread of zero
//! leaves what would be divided by it empty. How much a number of papers allows one to say is
//! [`Say`]: common practice of the trade, no source.

mod class;
mod groups;
pub mod lines;
mod moments;
mod page;
mod part;
mod reliability;
pub mod term;
pub mod words;

use rust_decimal::Decimal;

use crate::marking::Verdict;

pub use class::{ClassReport, Left, LeftOut, SMALL, Shared, map};
pub use moments::Moments;
pub use page::page;
pub use part::{Facility, PartAnalysis};
pub use reliability::{Over, Reliability};

/// A part of the sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Its id.
    pub id: String,
    /// The problem it belongs to.
    pub problem: usize,
    /// The most points; above 0, or the part is a note without points.
    pub out_of: Decimal,
}

/// What happened on one part of a paper.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    /// The points that stand, before costs of the paper as a whole.
    pub points: Decimal,
    /// The verdict.
    pub verdict: Verdict,
    /// The unit was at fault.
    pub unit: bool,
    /// The figures were at fault.
    pub figures: bool,
}

/// One paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Paper {
    /// A cell for each part.
    pub cells: Vec<Cell>,
    /// What the paper comes to in the end.
    pub total: Decimal,
    /// For each given that is drawn its value, in SI units.
    pub drawn: Vec<f64>,
}

/// Of fewer papers counts alone are said.
pub const FEW: usize = 15;

/// From so many papers on everything is said without a warning.
pub const MANY: usize = 50;

/// How much a number of papers allows one to say.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Say {
    /// Fewer than [`FEW`]: counts alone.
    Counts,
    /// Fewer than [`MANY`]: shares with an interval; how parts discriminate only with a warning.
    Warned,
    /// [`MANY`] and more.
    All,
}

impl Say {
    /// Of so many papers.
    pub fn of(papers: usize) -> Self {
        match papers {
            0..FEW => Self::Counts,
            FEW..MANY => Self::Warned,
            _ => Self::All,
        }
    }
}

/// What the totals of a class come to.
#[derive(Clone, Debug, PartialEq)]
pub struct Totals {
    /// What a paper is out of.
    pub out_of: Decimal,
    /// The mean; none without papers.
    pub mean: Option<Decimal>,
    /// The middle one, or the mean of the two in the middle.
    pub median: Option<Decimal>,
    /// Standard deviation; from 15 papers on.
    pub sd: Option<f64>,
    /// All of them, ascending.
    pub sorted: Vec<Decimal>,
}

/// How far the difficulty of a paper goes with a number that was drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// The given.
    pub given: String,
    /// Correlation of the points with its value; from 15 papers on.
    pub r: Option<f64>,
}

impl Drawn {
    /// Whether so strong a tie is seldom an accident of the draw: |r| √n above 3, about one in 400.
    pub fn is_marked(&self, papers: usize) -> bool {
        self.r
            .is_some_and(|r| r.abs() * (papers as f64).sqrt() > 3.0)
    }
}

/// The whole of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Analysis {
    /// How many papers.
    pub papers: usize,
    /// How the totals lie.
    pub totals: Totals,
    /// Each part, in the order of the sheet.
    pub parts: Vec<PartAnalysis>,
    /// How far the total can be relied on; none where it cannot be said.
    pub reliability: Option<Reliability>,
    /// Papers on which no part is wrong in value; those judged by eye aside.
    pub unspoilt: usize,
    /// How hard the numbers were, given by given.
    pub drawn: Vec<Drawn>,
}

impl Analysis {
    /// How much may be said.
    pub fn say(&self) -> Say {
        Say::of(self.papers)
    }
}

/// Analyses papers of one sheet; `givens` names what is drawn, in the order of [`Paper::drawn`].
pub fn analyse(parts: &[Part], givens: &[String], papers: &[Paper]) -> Analysis {
    let out_of = parts.iter().map(|part| part.out_of).sum();
    let sums: Vec<Decimal> = papers.iter().map(Paper::points).collect();
    let firsts: Vec<Option<usize>> = papers.iter().map(Paper::first_wrong).collect();
    let groups = groups::of(&sums);
    let analysed = parts.iter().enumerate().map(|(at, part)| {
        let first = firsts.iter().filter(|first| **first == Some(at)).count();
        part::analyse(at, part, papers, &sums, &groups, first)
    });
    let mut analysed: Vec<PartAnalysis> = analysed.collect();
    let reliability = reliability::of(parts, papers, &sums);
    if let Some(reliability) = &reliability {
        reliability::without_each(parts, papers, reliability.over, &mut analysed);
    }
    let may_say = Say::of(papers.len()) > Say::Counts;
    let drawn = givens.iter().enumerate().map(|(at, given)| {
        let pairs = papers.iter().zip(&sums);
        let pairs =
            pairs.filter_map(|(paper, sum)| Some((*paper.drawn.get(at)?, moments::f64_of(*sum))));
        Drawn {
            given: given.clone(),
            r: moments::correlation_f64(pairs).filter(|_| may_say),
        }
    });
    Analysis {
        papers: papers.len(),
        totals: totals(out_of, papers),
        parts: analysed,
        reliability,
        unspoilt: firsts.iter().filter(|first| first.is_none()).count(),
        drawn: drawn.collect(),
    }
}

fn totals(out_of: Decimal, papers: &[Paper]) -> Totals {
    let mut sorted: Vec<Decimal> = papers.iter().map(|paper| paper.total).collect();
    sorted.sort_unstable();
    let moments = Moments::of(sorted.iter().copied());
    let middle = sorted.len() / 2;
    let median = match sorted.len() {
        0 => None,
        odd if odd % 2 == 1 => Some(sorted[middle]),
        _ => Some((sorted[middle - 1] + sorted[middle]) / Decimal::TWO),
    };
    Totals {
        out_of,
        mean: moments.mean(),
        median,
        sd: moments.sd().filter(|_| Say::of(sorted.len()) > Say::Counts),
        sorted,
    }
}

impl Paper {
    /// The points of all parts, before costs of the paper as a whole.
    pub fn points(&self) -> Decimal {
        self.cells.iter().map(|cell| cell.points).sum()
    }

    /// The first part that is neither right nor follows from what stands before it; parts judged by
    /// eye aside.
    pub fn first_wrong(&self) -> Option<usize> {
        self.cells.iter().position(Cell::is_wrong)
    }
}

impl Cell {
    /// Whether the part is neither right nor follows, as far as marking says.
    pub fn is_wrong(&self) -> bool {
        !self.verdict.is_right() && !matches!(self.verdict, Verdict::Followed | Verdict::ByEye)
    }
}

#[cfg(test)]
mod tests;
