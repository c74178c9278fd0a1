//! Writes sentences about parts into the caller's text.
//!
//! In: the paper and pieces of sentences. Out: one line, sentences apart by a blank, parts named
//! as on the paper: `(a)`, `(a) and (c)`, `(a), (b) and (d)`, `(a) to (c)`.

use std::ops::Range;

use rust_decimal::Decimal;

use crate::assignment::{Given, Part};
use crate::marking::{Key, Marked, PartMark, ProblemKey, Reason};
use crate::plan::{AnswerPlan, Plan};

/// So many parts in a row are named by the first and the last.
const ROW: usize = 3;

/// A line that is being written.
pub(super) struct Words<'a> {
    pub(super) plan: &'a Plan,
    key: &'a Key,
    marked: &'a Marked,
    out: &'a mut String,
    /// Where this line begins in `out`.
    start: usize,
}

impl<'a> Words<'a> {
    pub(super) fn new(
        plan: &'a Plan,
        key: &'a Key,
        marked: &'a Marked,
        out: &'a mut String,
    ) -> Self {
        let start = out.len();
        Self {
            plan,
            key,
            marked,
            out,
            start,
        }
    }

    pub(super) fn marks(&self) -> &'a [PartMark] {
        &self.marked.parts
    }

    /// The part as the file has it.
    pub(super) fn model(&self, at: usize) -> Option<&'a Part> {
        model(self.plan, at)
    }

    /// The part as prepared, where a quantity is asked for.
    pub(super) fn answer(&self, at: usize) -> Option<&'a AnswerPlan> {
        let place = self.plan.parts.get(at)?;
        self.plan.problems.get(place.problem)?.answer(place.part)
    }

    /// The student's numbers for the problem of a part.
    pub(super) fn key(&self, at: usize) -> Option<&'a ProblemKey> {
        self.key.problems.get(self.plan.parts.get(at)?.problem)
    }

    /// Goes on with `text`.
    pub(super) fn push(&mut self, text: &str) {
        self.out.push_str(text);
    }

    /// Goes on with text of the teacher's, as written but in one line.
    pub(super) fn quote(&mut self, text: &str) {
        for (index, word) in text.split_ascii_whitespace().enumerate() {
            if index > 0 {
                self.out.push(' ');
            }
            self.out.push_str(word);
        }
    }

    /// Goes on with a count of significant figures.
    pub(super) fn digit(&mut self, count: u8) {
        if count >= 10 {
            self.out.push(char::from(b'0' + count / 10 % 10));
        }
        self.out.push(char::from(b'0' + count % 10));
    }

    /// Leaves a blank after the sentence before.
    pub(super) fn begin(&mut self) {
        if self.out.len() > self.start {
            self.out.push(' ');
        }
    }

    /// Begins a sentence.
    pub(super) fn sentence(&mut self, text: &str) {
        self.begin();
        self.out.push_str(text);
    }

    /// Names a part.
    pub(super) fn id(&mut self, at: usize) {
        let id = self.plan.parts.get(at).map_or("", |part| part.id.as_str());
        self.out.push('(');
        self.out.push_str(id);
        self.out.push(')');
    }

    pub(super) fn count(&self, wanted: impl Fn(usize, &PartMark) -> bool) -> usize {
        let marks = self.marks().iter().enumerate();
        marks.filter(|&(at, mark)| wanted(at, mark)).count()
    }

    pub(super) fn any(&self, wanted: impl Fn(usize, &PartMark) -> bool) -> bool {
        let mut marks = self.marks().iter().enumerate();
        marks.any(|(at, mark)| wanted(at, mark))
    }

    /// Names all parts of which `wanted` holds, in their order; three and more in a row by the
    /// first and the last.
    pub(super) fn list(&mut self, wanted: impl Fn(usize, &PartMark) -> bool) {
        let marks = self.marks();
        let mut items = 0;
        runs(marks, &wanted, |run| {
            items += if run.len() < ROW { run.len() } else { 1 };
        });
        let mut written = 0;
        let mut separate = |words: &mut Self| {
            words.push(match written {
                0 => "",
                _ if written + 1 == items => " and ",
                _ => ", ",
            });
            written += 1;
        };
        runs(marks, &wanted, |run| {
            if run.len() < ROW {
                for at in run {
                    separate(self);
                    self.id(at);
                }
            } else {
                separate(self);
                self.id(run.start);
                self.push(" to ");
                self.id(run.end - 1);
            }
        });
    }

    /// Names the parts from whose answers part `at` follows, or just `answers`.
    pub(super) fn inputs(&mut self, at: usize) {
        let used = self.marks().get(at).and_then(|mark| {
            mark.reasons.iter().find_map(|reason| match reason {
                Reason::FollowedFrom { inputs, .. } => Some(*inputs),
                _ => None,
            })
        });
        let plan = self.plan;
        let problem = plan.parts.get(at).map(|part| part.problem);
        let is_input = |other: usize, _: &PartMark| {
            let place = &plan.parts[other];
            let answer = plan.problems[place.problem].answer(place.part);
            Some(place.problem) == problem
                && answer.is_some_and(|answer| used.is_some_and(|used| used.has(answer.slot)))
        };
        if self.any(is_input) {
            self.list(is_input);
        } else {
            self.push("answers");
        }
    }

    /// Names the given for which another value was used.
    pub(super) fn constant(&mut self) {
        let name = self.constants().next().map(|(given, _)| &given.name);
        self.push(name.map_or("a constant", String::as_str));
    }

    /// What the dearest of the other constants used costs the paper by the scheme.
    pub(super) fn constant_cost(&self) -> Decimal {
        let costs = self
            .constants()
            .filter_map(|(given, allowed)| Some(given.allowed.get(allowed)?.cost));
        costs.max().unwrap_or_default()
    }

    /// The givens for which another value was used, with the place of that among those allowed.
    fn constants(&self) -> impl Iterator<Item = (&'a Given, usize)> + use<'a> {
        let plan = self.plan;
        let marks = self.marks().iter().zip(&plan.parts);
        marks.flat_map(move |(mark, place)| {
            let givens = &plan.sheet.problems[place.problem].givens;
            mark.reasons.iter().filter_map(|reason| match reason {
                Reason::OtherConstant { given, allowed } => Some((givens.get(*given)?, *allowed)),
                _ => None,
            })
        })
    }

    /// What was taken off for the paper as a whole, 0 or below.
    pub(super) fn paper_cost(&self) -> Decimal {
        self.marked.paper_cost
    }
}

/// Part `at` of the paper as the file has it.
pub(super) fn model(plan: &Plan, at: usize) -> Option<&Part> {
    let place = plan.parts.get(at)?;
    let problem = plan.sheet.problems.get(place.problem)?;
    problem.parts.get(place.part)
}

/// Visits the runs of parts of which `wanted` holds.
fn runs(
    marks: &[PartMark],
    wanted: &impl Fn(usize, &PartMark) -> bool,
    mut visit: impl FnMut(Range<usize>),
) {
    let mut start = 0;
    for at in 0..=marks.len() {
        if marks.get(at).is_some_and(|mark| wanted(at, mark)) {
            continue;
        }
        if start < at {
            visit(start..at);
        }
        start = at + 1;
    }
}
