//! Several papers of one student: which is which, and which counts.
//!
//! In: the papers of a stack. Out: the words that tell them apart; for each student the paper that
//! counts by the sheet's rule, so that a class is counted by its students.

use super::super::issue::was_absent;
use super::super::kept::{best, may_count};
use super::{OnDesk, Stack};

impl Stack {
    /// The papers of a student, by the place of any of them.
    fn of_student(&self, at: usize) -> std::ops::Range<usize> {
        let Some(paper) = self.papers.get(at) else {
            return 0..0;
        };
        let same = |other: &&OnDesk| other.student == paper.student;
        let before = self.papers[..at].iter().rev().take_while(same).count();
        let after = self.papers[at..].iter().take_while(same).count();
        at - before..at + after
    }

    /// Whether the student was given another paper since.
    pub fn is_replaced(&self, at: usize) -> bool {
        at + 1 < self.of_student(at).end
    }

    /// The latest paper of a student, by the place of any of them.
    pub fn latest_of(&self, at: usize) -> usize {
        self.of_student(at).end.checked_sub(1).unwrap_or(at)
    }

    /// Which of several papers of its student it is, in words; nothing where it is the only one.
    pub fn which(&self, at: usize) -> Option<String> {
        let own = self.of_student(at);
        let last = self.papers.get(own.end.checked_sub(1)?)?.issue.number;
        let number = self.papers.get(at)?.issue.number;
        if last == 1 {
            return None;
        }
        let replaced = if number < last { ", replaced" } else { "" };
        Some(format!("paper {number} of {last}{replaced}"))
    }

    /// The papers that count, one a student, in the order of the roster.
    pub fn counting(&self) -> Vec<usize> {
        let rule = self.plan().sheet.paper.reissue_counts;
        let mut counting = Vec::with_capacity(self.papers.len());
        let mut at = 0;
        while at < self.papers.len() {
            let own = self.of_student(at);
            at = own.end;
            if own.len() == 1 {
                counting.push(own.start);
                continue;
            }
            let papers = &self.papers[own.clone()];
            let handed_in = papers.iter().map(|paper| paper.standing.has_paper());
            let places = may_count(handed_in, rule);
            let best = best(places, |&place| papers[place].points.total);
            counting.push(own.start + best.unwrap_or(0));
        }
        counting
    }

    /// The latest papers of those who are noted as absent.
    pub fn absent(&self) -> Vec<usize> {
        let latest = (0..self.papers.len()).filter(|&at| !self.is_replaced(at));
        latest
            .filter(|&at| was_absent(&self.papers[at].standing))
            .collect()
    }
}
