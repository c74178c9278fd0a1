//! What the diagnosis said, counted.
//!
//! In: papers with what was done on them and what was said. Out: the tables as text.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use paperweight::diagnosis::Luck;
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
    /// What luck makes of the faulty answers one by one.
    pub(crate) luck: Option<Luck>,
}

impl Row<'_> {
    fn is_made(&self, found: &Explanation) -> bool {
        let mut made = self.made.iter();
        made.any(|made| {
            let is_own = made.says == found.says && made.equation == found.equation;
            // What turned an answer that counts by its size alone was carried on from there.
            is_own || made.turned && found.says == TURNED
        })
    }

    /// Whether the mistake is among what was said, or what was said are slips that the file foresees with
    /// the very numbers that it made.
    pub(crate) fn is_named(&self) -> bool {
        self.found.iter().any(|found| self.is_made(found)) || self.is_foreseen()
    }

    /// The same where it is first, or cannot be told apart from the first.
    fn is_named_first(&self) -> bool {
        let mut first = self.found.iter().filter(|found| found.rank == 0);
        first.any(|found| self.is_made(found)) || self.is_foreseen()
    }

    /// The same where only what is likely or strong counts.
    fn is_named_surely(&self) -> bool {
        let sure = |found: &&Explanation| found.strength != Strength::Possible;
        let mut sure = self.found.iter().filter(sure);
        sure.any(|found| self.is_made(found)) || self.is_foreseen()
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
    /// And it is first, or cannot be told apart from the first.
    first: usize,
    /// And it is likely or strong.
    surely: usize,
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
    /// By the promised chance that anything fits.
    luck: [Promise; EDGES.len()],
    /// By the chance that the most telling match is promised, or less.
    found: [Promise; EDGES.len()],
    /// By figures and size of class.
    copies: BTreeMap<(u8, usize), Found>,
}

/// A promise of luck, and what came of it.
#[derive(Clone, Copy, Debug, Default)]
struct Promise {
    papers: usize,
    promised: f64,
    seen: usize,
}

/// How it is called that an answer marked by its size was carried on with its sign.
const TURNED: &str = "an answer of the right size carried on with the wrong sign";

/// Edges of the chances that are told apart.
const EDGES: [f64; 8] = [0.003, 0.01, 0.03, 0.1, 0.2, 0.4, 0.7, 1.0];

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
        count.first += usize::from(row.is_named_first());
        count.surely += usize::from(row.is_named_surely());
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
        if let Some(luck) = row.luck.filter(|_| is_luck && row.faulty_parts.len() == 1) {
            let place = EDGES.iter().position(|edge| luck.any <= *edge);
            let any = &mut self.luck[place.unwrap_or(EDGES.len() - 1)];
            any.papers += 1;
            any.promised += luck.any;
            any.seen += usize::from(luck.found.is_some());
            for (edge, found) in EDGES.iter().zip(&mut self.found) {
                found.papers += 1;
                found.promised += luck.any.min(*edge);
                found.seen += usize::from(luck.found.is_some_and(|chance| chance <= *edge));
            }
        }
    }

    pub(crate) fn copies(&mut self, size: usize, figures: u8, found: &Found) {
        let all = self.copies.entry((figures, size)).or_default();
        all.classes += found.classes;
        all.alone += found.alone;
        all.suspected += found.suspected;
        all.guessed += found.guessed;
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
            "{:<22} {:>7} {:<20} {:>7} {:>7} {:>7} {:>7} {:>7} {:>8} {:>7} {:>8} {:>7}",
            "cause",
            "figures",
            "evidence",
            "papers",
            "named",
            "first",
            "surely",
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
                "{:<22} {figures:>7} {evidence:<20} {:>7} {:>6.1}% {:>6.1}% {:>6.1}% {:>6.1}% {:>7.1}% {:>6.2}% {:>7.1}% {:>6.2}%",
                Cause::ALL[*case].name(),
                count.papers,
                share(count.named, count.papers),
                share(count.first, count.papers),
                share(count.surely, count.papers),
                share(count.other, count.papers),
                share(count.strong, count.papers),
                share(count.strong_wrong, count.papers),
                share(count.likely, count.papers),
                share(count.likely_wrong, count.papers),
            )?;
        }
        let headings = [
            "luck promised and seen: papers with random numbers or wrong arithmetic and one faulty answer, by the chance that\nsome mistake explains it all the same, and how many of them one does",
            "the same papers, by the chance stated of the most telling match: how many have one that is stated at most so",
        ];
        for (heading, promises) in headings.into_iter().zip([&self.luck, &self.found]) {
            writeln!(out, "\n{heading}")?;
            for (edge, promise) in EDGES.iter().zip(promises) {
                let papers = promise.papers;
                let promised = 100.0 * promise.promised / papers.max(1) as f64;
                let (edge, seen) = (100.0 * edge, share(promise.seen, papers));
                writeln!(
                    out,
                    "  up to {edge:>5.1}%  {papers:>7} papers  promised {promised:>6.2}%  seen {seen:>6.2}%"
                )?;
            }
        }
        if self.copies.is_empty() {
            return Ok(());
        }
        writeln!(
            out,
            "\nanother student's numbers: wrong papers of those who worked alone that fit another's, by class; the same of classes in\nwhich all write random numbers; answers taken over and papers swapped that were found"
        )?;
        writeln!(
            out,
            "  {:>7} {:>6} {:>8} {:>7} {:>7} {:>10} {:>8} {:>11} {:>8}",
            "figures",
            "class",
            "classes",
            "alone",
            "fit",
            "by class",
            "random",
            "taken over",
            "swapped"
        )?;
        for ((figures, size), found) in &self.copies {
            writeln!(
                out,
                "  {figures:>7} {size:>6} {:>8} {:>7} {:>7} {:>10.3} {:>8.3} {:>10.1}% {:>7.1}%",
                found.classes,
                found.alone,
                found.suspected,
                found.suspected as f64 / found.classes.max(1) as f64,
                found.guessed as f64 / found.classes.max(1) as f64,
                share(found.found, found.taken_over),
                share(found.found_whole, found.swapped),
            )?;
        }
        Ok(())
    }
}
