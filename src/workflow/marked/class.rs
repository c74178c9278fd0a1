//! Marks papers from the record, one after the other.
//!
//! In: a prepared sheet, what the record holds of a class, and a student. Out: the paper that counts,
//! marked and with the teacher's last word. Refused: a paper that today's file cannot solve.

use crate::assignment::ReissueCounts;
use crate::diagnosis::{Fit, Mistakes};
use crate::diagnostic::Diagnostic;
use crate::marking::{Explanation, Key, Marked, Marker, Paper};
use crate::plan::Plan;
use crate::record::{Account, Issue, Standing, account};
use crate::text::DecimalMark;

use super::super::Prepared;
use super::super::drawn::key_of;
use super::super::kept::{Kept, best};
use super::super::paper::PaperReader;
use super::classmates::{self, ClassKeys};
use super::diagnosed;

/// One paper, marked.
#[derive(Debug)]
pub(in crate::workflow) struct Counted<'k> {
    pub(in crate::workflow) issue: &'k Issue,
    pub(in crate::workflow) standing: &'k Standing,
    pub(in crate::workflow) marked: Marked,
    pub(in crate::workflow) account: Account,
    /// Students whose papers its wrong answers fit, the best first.
    pub(in crate::workflow) fits: Vec<(String, Fit)>,
}

/// Marks papers of one sheet.
#[derive(Debug)]
pub(in crate::workflow) struct ClassMarker<'p> {
    prepared: &'p Prepared,
    plan: &'p Plan,
    reader: PaperReader<'p>,
    marker: Marker<'p>,
    key: Key,
    paper: Paper,
    /// The keys of the class whose papers are marked; made when they are first needed.
    others: Option<ClassKeys>,
    /// What was keyed wrongly on the paper marked last.
    pub(in crate::workflow) faults: Vec<String>,
}

impl<'p> ClassMarker<'p> {
    pub(in crate::workflow) fn new(prepared: &'p Prepared, decimal: DecimalMark) -> Self {
        let plan = &prepared.plan;
        Self {
            prepared,
            plan,
            reader: PaperReader::new(plan, None, decimal),
            marker: Marker::new(plan),
            key: Key::default(),
            paper: Paper::default(),
            others: None,
            faults: Vec::new(),
        }
    }

    /// Marks one paper.
    pub(in crate::workflow) fn mark<'k>(
        &mut self,
        kept: &'k Kept,
        issue: &'k Issue,
        decimal: Option<DecimalMark>,
    ) -> Result<Counted<'k>, Diagnostic> {
        let standing = kept.standing(issue.id);
        let due = kept.due(issue);
        self.faults.clear();
        self.reader
            .fill_from(standing, due, decimal, &mut self.paper, &mut self.faults);
        key_of(self.plan, issue, &mut self.key)?;
        let papers = (&self.key, &self.paper);
        let mistakes = || self.prepared.mistakes();
        let mut marked = diagnosed::mark(self.plan, &mistakes, &mut self.marker, papers);
        let fits = self.fits(kept, issue, &mut marked);
        let account = account(self.plan, &marked, standing);
        Ok(Counted {
            issue,
            standing,
            marked,
            account,
            fits,
        })
    }

    /// The papers that the wrong answers of the paper in hand fit, which is noted on it.
    fn fits(&mut self, kept: &Kept, issue: &Issue, marked: &mut Marked) -> Vec<(String, Fit)> {
        if !classmates::may_fit(marked) {
            return Vec::new();
        }
        let known = self.others.take();
        let known = known.filter(|others| others.place(issue.id).is_some());
        let others = known.unwrap_or_else(|| ClassKeys::of(self.plan, &kept.issues));
        let papers = (&self.key, &self.paper);
        let fits = others.note(self.plan, issue.id, &mut self.marker, papers, marked);
        self.others = Some(others);
        fits
    }

    /// Marks the paper that counts for a student; `None` for one who never had one.
    pub(in crate::workflow) fn counting<'k>(
        &mut self,
        kept: &'k Kept,
        student: &str,
        decimal: Option<DecimalMark>,
    ) -> Result<Option<Counted<'k>>, Diagnostic> {
        let rule: ReissueCounts = self.plan.sheet.paper.reissue_counts;
        let papers = kept.counting(student, rule).into_iter();
        let counted = papers.map(|issue| self.mark(kept, issue, decimal));
        let counted: Vec<Counted<'k>> = counted.collect::<Result<_, _>>()?;
        let several = counted.len() > 1;
        let mut best = best(counted, |counted| counted.account.total);
        // Key and paper are left at the one that is given back.
        if several && let Some(last) = &best {
            best = Some(self.mark(kept, last.issue, decimal)?);
        }
        Ok(best)
    }

    /// What may have been done on the paper given back last.
    pub(in crate::workflow) fn causes(
        &mut self,
        mistakes: &Mistakes,
        counted: &Counted<'_>,
    ) -> Vec<Explanation> {
        let papers = (&self.key, &self.paper);
        diagnosed::causes(
            self.plan,
            mistakes,
            &mut self.marker,
            papers,
            &counted.marked,
        )
    }

    /// The key of the paper given back last.
    pub(in crate::workflow) fn key(&self) -> &Key {
        &self.key
    }
}
