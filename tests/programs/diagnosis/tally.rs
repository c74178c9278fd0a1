//! What the diagnosis said, counted.
//!
//! In: papers with what was done on them and what was said. Out: the tables as text.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use paperweight::marking::{Explanation, Kind, Strength};

use crate::copies::Found;
use crate::student::{Cause, Made};

/// One paper.
pub(crate) struct Row<'a> {
    pub(crate) cause: Cause,
    pub(crate) figures: u8,
    /// Answers that are not the key.
    pub(crate) affected: usize,
    /// Those that do not follow either.
    pub(crate) faulty_parts: &'a [usize],
    pub(crate) found: &'a [Explanation],
    /// What was done; of two mistakes either is right.
    pub(crate) made: &'a [Made],
    /// The chance that some mistake fits one of them by luck.
    pub(crate) luck: f64,
    /// Whether one does.
    pub(crate) fits: bool,
}

impl Row<'_> {
    fn is_made(&self, found: &Explanation) -> bool {
        let mut made = self.made.iter();
        made.any(|made| made.says == found.says && made.equation == found.equation)
    }

    /// Whether the mistake is among what was said, or what was said are slips that the file foresees with
    /// the very numbers that it made.
    pub(crate) fn is_named(&self) -> bool {
        self.found.iter().any(|found| self.is_made(found)) || self.is_foreseen()
    }

    /// Whether all the faulty answers that the mistake made are foreseen slips: that it is the slip then is
    /// how it is meant.
    fn is_foreseen(&self) -> bool {
        let slips = self.found.iter().filter(|found| found.kind == Kind::Slip);
        let slips: Vec<usize> = slips
            .flat_map(|slip| slip.explains.iter().copied())
            .collect();
        let made = self.made.iter().flat_map(|made| &made.parts);
        let mut made = made
            .filter(|part| self.faulty_parts.contains(part))
            .peekable();
        made.peek().is_some() && made.all(|part| slips.contains(part))
    }

    /// Something strong was said that it is not.
    pub(crate) fn is_wrongly_strong(&self) -> bool {
        let mut strong = self
            .found
            .iter()
            .filter(|found| found.strength == Strength::Strong)
            .peekable();
        strong.peek().is_some() && !strong.any(|found| self.is_made(found))
    }
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
    /// By figures and size of class.
    copies: BTreeMap<(u8, usize), Found>,
}

/// Edges of the chances that are told apart.
const EDGES: [f64; 7] = [0.01, 0.03, 0.1, 0.2, 0.4, 0.7, 1.0];

impl Tally {
    pub(crate) fn is_empty(&self) -> bool {
        self.by_case.is_empty()
    }

    pub(crate) fn add(&mut self, row: &Row<'_>) {
        let case = Cause::ALL
            .iter()
            .position(|cause| *cause == row.cause)
            .unwrap_or(0);
        let evidence = match (row.affected, row.faulty_parts.len()) {
            (_, 2..) => 2,
            (2.., _) => 1,
            _ => 0,
        };
        let count = self
            .by_case
            .entry((case, row.figures, evidence))
            .or_default();
        count.papers += 1;
        let named = row.is_named();
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
                *wrong += usize::from(!all.any(|found| row.is_made(found)));
            }
        }
        let is_luck = matches!(row.cause, Cause::Guess | Cause::Arithmetic);
        if is_luck && row.faulty_parts.len() == 1 {
            let place = EDGES
                .iter()
                .position(|edge| row.luck <= *edge)
                .unwrap_or(EDGES.len() - 1);
            let luck = self.luck.entry(place).or_default();
            luck.0 += 1;
            luck.1 += row.luck;
            luck.2 += usize::from(row.fits);
        }
    }

    pub(crate) fn copies(&mut self, size: usize, figures: u8, found: &Found) {
        let all = self.copies.entry((figures, size)).or_default();
        all.classes += found.classes;
        all.alone += found.alone;
        all.suspected += found.suspected;
        all.taken_over += found.taken_over;
        all.found += found.found;
        all.swapped += found.swapped;
        all.found_whole += found.found_whole;
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
            "\nluck promised and seen: papers with random numbers or wrong arithmetic and one faulty answer, and how many\nof them some mistake explains all the same"
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
        if self.copies.is_empty() {
            return Ok(());
        }
        writeln!(
            out,
            "\nanother student's numbers: wrong papers of those who worked alone that fit another's, by class; answers taken over and papers swapped that were found"
        )?;
        writeln!(
            out,
            "  {:>7} {:>6} {:>8} {:>7} {:>7} {:>10} {:>11} {:>8}",
            "figures", "class", "classes", "alone", "fit", "by class", "taken over", "swapped"
        )?;
        for ((figures, size), found) in &self.copies {
            writeln!(
                out,
                "  {figures:>7} {size:>6} {:>8} {:>7} {:>7} {:>10.3} {:>10.1}% {:>7.1}%",
                found.classes,
                found.alone,
                found.suspected,
                found.suspected as f64 / found.classes.max(1) as f64,
                share(found.found, found.taken_over),
                share(found.found_whole, found.swapped),
            )?;
        }
        Ok(())
    }
}
