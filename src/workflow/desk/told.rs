//! What the desk says of a paper: the reckoning of a part, whose numbers it fits, what the student is told.
//!
//! In: a paper of the stack. Out: words, the same as other acts of the teacher give.

use crate::explain;
use crate::marking::Marker;
use crate::record::account;

use super::super::marked::{classmates, diagnosed};
use super::super::told;
use super::Stack;

impl Stack {
    /// The whole reckoning of one part of a paper.
    pub fn reckoning(&self, paper: usize, part: usize) -> String {
        let Some(on_desk) = self.papers.get(paper) else {
            return String::new();
        };
        let key = match &on_desk.key {
            Ok(key) => key,
            Err(why) => return why.clone(),
        };
        let plan = self.plan();
        let entries: Vec<&str> = plan
            .parts
            .iter()
            .map(|part| on_desk.entry(&part.id).unwrap_or(""))
            .collect();
        let causes = self.causes(paper);
        let (mistakes, papers) = (self.prepared.mistakes(), (key, &on_desk.paper));
        let marker = &mut Marker::new(plan);
        let untried = diagnosed::untried(plan, mistakes, marker, papers, causes);
        let case = explain::Case {
            plan,
            key,
            paper: &on_desk.paper,
            marked: &on_desk.marked,
            told: &on_desk.marked,
            causes,
            untried,
            entries: &entries,
        };
        explain::one_part(&case, part)
    }

    /// What is said of a paper whose wrong answers are another's; nothing where they are nobody's.
    pub fn fits_other(&self, paper: usize) -> Option<String> {
        let of = |other: usize| {
            let student = self.student(other);
            let code = self.papers[other].issue.code;
            format!("{} {} ({})", student.id, student.name, code.as_str())
        };
        classmates::words(self.plan(), &self.papers.get(paper)?.fits, &of)
    }

    /// What the program would tell the student of a paper; empty where there is none.
    pub fn words(&self, paper: usize) -> String {
        let mut words = String::new();
        if let Some(on_desk) = self.papers.get(paper)
            && let Ok(key) = &on_desk.key
        {
            let (plan, marked, standing) = (self.plan(), &on_desk.marked, &on_desk.standing);
            let account = account(plan, marked, standing);
            let told = told::told(plan, marked, &account, standing);
            told::by_program(plan, key, &told, standing, &mut words);
        }
        words
    }
}
