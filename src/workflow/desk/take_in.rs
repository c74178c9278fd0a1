//! Takes in what others wrote to the record while the stack lay on the desk.
//!
//! In: acts and papers that came. Out: every paper concerned, folded and marked anew, and what came, to
//! be told. What is known already changes nothing. Acts stand in the order of the record, whoever did
//! them: those of this desk that the record has not taken yet come last. Papers of students who are
//! not on the roster as it was read are told and left out.

use std::sync::Arc;

use crate::record::Act;

use super::open::{classmates, places};
use super::watch::News;
use super::{OnDesk, Stack};

/// What came in.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CameIn {
    /// What others did to papers of the stack.
    pub acts: Vec<Act>,
    /// Papers that were handed out, where they lie now.
    pub papers: Vec<usize>,
    /// For each paper that lay there before, where it lies now.
    pub places: Vec<usize>,
    /// Papers due on another day than before.
    pub due: usize,
    /// Students with a new paper who are not on the roster.
    pub strangers: Vec<String>,
}

impl CameIn {
    /// Whether nothing is new.
    pub fn is_empty(&self) -> bool {
        self.acts.is_empty() && self.papers.is_empty() && self.strangers.is_empty() && self.due == 0
    }
}

impl Stack {
    /// Takes in what came.
    pub fn take_in(&mut self, news: News) -> CameIn {
        let mut came = CameIn::default();
        let before: Vec<_> = self.papers.iter().map(|paper| paper.issue.id).collect();
        for issue in news.issues {
            if self.by_issue.contains_key(&issue.id) {
                continue;
            }
            let (id, student) = (issue.id, issue.student.clone());
            match OnDesk::unmarked(&self.prepared.plan, &self.roster, issue, &news.dues) {
                Some(paper) => {
                    self.papers.push(paper);
                    came.papers.push(self.papers.len() - 1);
                    self.by_issue.insert(id, self.papers.len() - 1);
                }
                None => came.strangers.push(student),
            }
        }
        if !came.papers.is_empty() {
            let new: Vec<_> = came
                .papers
                .iter()
                .map(|&at| self.papers[at].issue.id)
                .collect();
            self.papers.sort_by_key(OnDesk::place);
            self.by_issue = places(&self.papers);
            came.papers = new.iter().map(|id| self.by_issue[id]).collect();
        }
        came.places = before.iter().map(|id| self.by_issue[id]).collect();
        let mut touched = came.papers.clone();
        if !came.papers.is_empty() {
            // What fits another paper goes by where papers lie.
            self.classmates = Arc::new(classmates(&self.prepared.plan, &self.papers));
            touched = (0..self.papers.len()).collect();
        }
        for act in news.acts {
            let Some(&at) = self.by_issue.get(&act.issue) else {
                continue;
            };
            let known = self.acts.binary_search_by_key(&act.id, |known| known.id);
            if known.is_err() {
                self.foreign.insert(act.id);
                touched.push(at);
                came.acts.push(act);
            }
        }
        self.acts.extend(came.acts.iter().cloned());
        self.acts.sort_by_key(|act| act.id);
        for (at, paper) in self.papers.iter_mut().enumerate() {
            let due = news.dues.of(&paper.issue);
            if paper.due != due {
                paper.due = due;
                touched.push(at);
                came.due += 1;
            }
        }
        self.fold(touched);
        came
    }
}
