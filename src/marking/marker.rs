//! Marks a paper: runs the tests over all parts in turn and adds up.
//!
//! In: a plan, the student's key and the paper. Out: the marked paper.

use crate::answer::Choice;
use crate::assignment::PartKind;
use crate::plan::{PartPlan, Plan};

use super::judged::Judged;
use super::settle::{self, Found};
use super::sum::{self, PaperCosts};
use super::{
    Attendance, Diagnosed, Entry, Key, Marked, Paper, ProblemKey, Reason, Status, choice, diagnosed,
};

/// Marks papers of one plan, one after the other; keeps its working memory between them.
#[derive(Debug)]
pub struct Marker<'p> {
    pub(super) plan: &'p Plan,
    pub(super) scratch: Vec<f64>,
}

impl<'p> Marker<'p> {
    /// Prepares to mark papers of `plan`.
    pub fn new(plan: &'p Plan) -> Self {
        Self {
            plan,
            scratch: Vec::new(),
        }
    }

    /// Marks one paper.
    pub fn mark(&mut self, key: &Key, paper: &Paper) -> Marked {
        self.mark_diagnosed(key, paper, &[])
    }

    /// Marks one paper of which a diagnosis was made, with what the scheme gives for that.
    pub fn mark_diagnosed(&mut self, key: &Key, paper: &Paper, diagnosed: &[Diagnosed]) -> Marked {
        let out_of = self.plan.sheet.points();
        match paper.attendance {
            Attendance::Absent => return Marked::nothing(Status::Absent, out_of),
            Attendance::Excused => return Marked::nothing(Status::Excused, out_of),
            Attendance::Present => {}
        }
        let mut found = Vec::with_capacity(self.plan.parts.len());
        let mut costs = PaperCosts::default();
        for (at, key) in key.problems.iter().enumerate() {
            self.problem(at, key, paper, &mut found, &mut costs);
        }
        diagnosed::credit(self.plan, diagnosed, &mut found);
        sum::up(self.plan, paper, found, &costs, out_of)
    }

    /// Judges the parts of one problem.
    fn problem(
        &mut self,
        at: usize,
        key: &ProblemKey,
        paper: &Paper,
        found: &mut Vec<Found>,
        costs: &mut PaperCosts,
    ) {
        let plan = self.plan;
        let problem = &plan.problems[at];
        let assignment = &plan.sheet.problems[at];
        let first = found.len();
        let entry = |part: usize| paper.entries.get(first + part);
        let Judged {
            answers,
            carry,
            misread,
            misread_fails,
            constant,
        } = self.judged(at, first, key, paper);
        if let Some(constant) = &constant {
            let cost = assignment.givens[constant.given].allowed[constant.allowed].cost;
            costs.constant = costs.constant.max(cost);
        }
        let choice_slots = misread.as_ref().unwrap_or(&key.slots);
        let mut judged = answers.into_iter().peekable();
        for (part, (model, prepared)) in assignment.parts.iter().zip(&problem.parts).enumerate() {
            found.push(match (&model.kind, prepared) {
                (PartKind::Choose(options), PartPlan::Choose(judges)) => {
                    let stated = match entry(part) {
                        Some(Entry::Choice(choice)) => *choice,
                        _ => Choice::Blank,
                    };
                    let ground = choice::ChoiceGround {
                        problem,
                        key: &key.slots,
                        misread: choice_slots,
                        carry: &carry,
                    };
                    Found::Choice(ground.judge(options, judges, stated))
                }
                (PartKind::Answer(_), _) => match judged.next() {
                    Some(answer) => settle::answer(answer, entry(part)),
                    None => Found::Eye(None),
                },
                _ => Found::Eye(match entry(part) {
                    Some(Entry::Eye(points)) => *points,
                    _ => None,
                }),
            });
        }
        if misread_fails {
            let outcomes = found[first..].iter_mut().filter_map(Found::outcome_mut);
            for outcome in outcomes.filter(|outcome| !outcome.verdict.is_right()) {
                outcome.because(Reason::MisreadHasNoKey);
                outcome.look = true;
            }
        }
        costs.misread |= found[first..]
            .iter()
            .filter_map(Found::outcome)
            .any(|outcome| outcome.reasons.contains(&Reason::OnMisread));
    }
}
