//! What the diagnosis said, counted.
//!
//! In: papers with what was done on them and what was said. Out: the tables as text.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::time::Duration;

use paperweight::marking::{Explanation, Strength};

use crate::student::{Cause, Made};

/// One paper.
pub(crate) struct Row<'a> {
    pub(crate) cause: Cause,
    pub(crate) figures: u8,
    /// Answers that are not the key.
    pub(crate) affected: usize,
    /// Those that do not follow either.
    pub(crate) faulty: usize,
    pub(crate) found: &'a [Explanation],
    pub(crate) made: Option<&'a Made>,
    /// The chance that some mistake fits one of them by luck.
    pub(crate) luck: f64,
    pub(crate) took: Duration,
}

#[derive(Clone, Copy, Debug, Default)]
struct Count {
    papers: usize,
    /// The mistake is among what was said.
    named: usize,
    /// Something else was said, and not that.
    other: usize,
    /// Something strong was said; and the mistake is not in it.
    strong: usize,
    strong_wrong: usize,
    likely: usize,
    likely_wrong: usize,
}

/// Everything counted.
#[derive(Debug, Default)]
pub(crate) struct Tally {
    by_case: BTreeMap<(usize, u8, usize), Count>,
    /// By tenths of the promised chance: papers, promised, seen.
    luck: BTreeMap<usize, (usize, f64, usize)>,
    prepared: Vec<(String, usize, Duration)>,
    took: Vec<Duration>,
}

/// Edges of the chances that are told apart.
const EDGES: [f64; 7] = [0.01, 0.03, 0.1, 0.2, 0.4, 0.7, 1.0];

impl Tally {
    pub(crate) fn prepared(&mut self, code: &str, mistakes: usize, took: Duration) {
        self.prepared.push((code.to_owned(), mistakes, took));
    }

    pub(crate) fn add(&mut self, row: Row<'_>) {
        let case = Cause::ALL
            .iter()
            .position(|cause| *cause == row.cause)
            .unwrap_or(0);
        let evidence = match (row.affected, row.faulty) {
            (_, 2..) => 2,
            (2.., _) => 1,
            _ => 0,
        };
        let count = self
            .by_case
            .entry((case, row.figures, evidence))
            .or_default();
        count.papers += 1;
        let is_made = |found: &Explanation| {
            row.made
                .is_some_and(|made| made.says == found.says && made.equation == found.equation)
        };
        let named = row.found.iter().any(is_made);
        count.named += usize::from(named);
        count.other += usize::from(!named && !row.found.is_empty());
        for (strength, said, wrong) in [
            (Strength::Strong, &mut count.strong, &mut count.strong_wrong),
            (Strength::Likely, &mut count.likely, &mut count.likely_wrong),
        ] {
            let mut all = row
                .found
                .iter()
                .filter(|found| found.strength == strength)
                .peekable();
            if all.peek().is_some() {
                *said += 1;
                *wrong += usize::from(!all.any(is_made));
            }
        }
        if row.cause == Cause::Guess && row.faulty == 1 {
            let place = EDGES
                .iter()
                .position(|edge| row.luck <= *edge)
                .unwrap_or(EDGES.len() - 1);
            let luck = self.luck.entry(place).or_default();
            luck.0 += 1;
            luck.1 += row.luck;
            luck.2 += usize::from(!row.found.is_empty());
        }
        self.took.push(row.took);
    }

    pub(crate) fn report(&self) -> String {
        let mut out = String::new();
        // Writing into a string cannot fail.
        let _ = self.write(&mut out);
        out
    }

    fn write(&self, out: &mut String) -> std::fmt::Result {
        let share = |part: usize, whole: usize| 100.0 * part as f64 / whole.max(1) as f64;
        writeln!(
            out,
            "{:<22} {:>7} {:<20} {:>7} {:>7} {:>7} {:>8} {:>7} {:>8} {:>7}",
            "cause",
            "figures",
            "evidence",
            "papers",
            "named",
            "other",
            "strong",
            "wrong",
            "likely",
            "wrong"
        )?;
        for ((case, figures, evidence), count) in &self.by_case {
            let evidence = match evidence {
                2 => "2 faulty or more",
                1 => "2 affected, 1 faulty",
                _ => "1 affected",
            };
            writeln!(
                out,
                "{:<22} {figures:>7} {evidence:<20} {:>7} {:>6.1}% {:>6.1}% {:>7.1}% {:>6.2}% {:>7.1}% {:>6.2}%",
                Cause::ALL[*case].name(),
                count.papers,
                share(count.named, count.papers),
                share(count.other, count.papers),
                share(count.strong, count.papers),
                share(count.strong_wrong, count.papers),
                share(count.likely, count.papers),
                share(count.likely_wrong, count.papers),
            )?;
        }
        writeln!(
            out,
            "\nluck promised and seen, random papers with one faulty answer"
        )?;
        for (place, (papers, promised, seen)) in &self.luck {
            let promised = 100.0 * promised / (*papers).max(1) as f64;
            let edge = 100.0 * EDGES[*place];
            let seen = share(*seen, *papers);
            writeln!(
                out,
                "  up to {edge:>5.0}%  {papers:>7} papers  promised {promised:>5.1}%  seen {seen:>5.1}%"
            )?;
        }
        writeln!(out, "\ntime")?;
        for (code, mistakes, took) in &self.prepared {
            writeln!(
                out,
                "  {code:<14} {mistakes:>4} mistakes prepared in {took:.1?}"
            )?;
        }
        let mut took = self.took.clone();
        took.sort_unstable();
        let at = |share: f64| {
            took.get((took.len() as f64 * share) as usize)
                .copied()
                .unwrap_or_default()
        };
        writeln!(
            out,
            "  a wrong paper: median {:.0?}, 99th percentile {:.0?}",
            at(0.5),
            at(0.99)
        )
    }
}
