//! Judges the answers to one problem: the tests, in their order.
//!
//! In: the student's key and what stands on the paper. Out: [`Judged`] answers, each with the
//! first test that holds, and what they were judged by. The order is that of the trade: the key,
//! rounding on the way, another constant, misread numbers, signs, follow-through, slips.

use arrayvec::ArrayVec;
use rust_decimal::Decimal;

use crate::assignment::PartKind;
use crate::formula::tape::SlotSet;
use crate::plan::{MOST_ROADS, PartPlan, Problem};

use super::answer::{Answer, Outcome};
use super::carry::{Carried, Carry, Pointing, may_turn};
use super::circle::{is_circular, is_sound, is_used};
use super::constant::{self, Constant};
use super::credit::{Withheld, credited, earned, note_independence, take_trail};
use super::follow::{Ground, Trail};
use super::{Entry, Marker, Paper, ProblemKey, Reason, Verdict, right, sign, slip};

/// The answers to one problem after all tests, and what they were judged by.
pub(super) struct Judged<'a> {
    pub(super) answers: Vec<Answer<'a>>,
    /// Empty where every answer is right by the key.
    pub(super) carry: Carry,
    /// The key on misread numbers.
    pub(super) misread: Option<Vec<f64>>,
    /// Numbers were said to be misread, but with them the problem has no key.
    pub(super) misread_fails: bool,
    pub(super) constant: Option<Constant>,
}

/// On which numbers a paper is marked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Basis {
    /// Those the student was given.
    Given,
    /// Those the student misread.
    Misread,
    /// Those given, with another allowed constant.
    Constant,
}

/// The slots of each basis that is in question, the given one first.
pub(super) type Grounds<'a> = ArrayVec<(Basis, &'a [f64]), 3>;

/// The numbers that answers may have been worked out from.
pub(super) fn grounds<'a>(
    key: &'a ProblemKey,
    misread: Option<&'a [f64]>,
    constant: Option<&'a Constant>,
) -> Grounds<'a> {
    let mut grounds = Grounds::new();
    grounds.push((Basis::Given, &key.slots[..]));
    grounds.extend(misread.map(|slots| (Basis::Misread, slots)));
    grounds.extend(constant.map(|found| (Basis::Constant, &found.slots[..])));
    grounds
}

impl<'p> Marker<'p> {
    /// Runs the tests over the answers to one problem; `first` is the place of its first part on
    /// the paper.
    pub(super) fn judged(
        &mut self,
        at: usize,
        first: usize,
        key: &ProblemKey,
        paper: &Paper,
    ) -> Judged<'p> {
        let plan = self.plan;
        let problem = &plan.problems[at];
        let assignment = &plan.sheet.problems[at];
        let entry = |part: usize| paper.entries.get(first + part);
        let mut answers: Vec<Answer<'_>> = Vec::with_capacity(assignment.parts.len());
        for (part, (model, prepared)) in assignment.parts.iter().zip(&problem.parts).enumerate() {
            if let (PartKind::Answer(asks), PartPlan::Answer(prepared)) = (&model.kind, prepared) {
                let reading = match entry(part) {
                    Some(Entry::Answer(reading)) => Some(reading),
                    _ => None,
                };
                answers.push(Answer::new(model, asks, prepared, key, reading));
            }
        }
        self.by_key(problem, &key.slots, &mut answers);
        let mut carry = Carry::new();
        if answers.iter().any(|a| a.is_open() || a.is_cut_off()) {
            carry = Carried::all(problem, &answers, None, None, Pointing::Written);
            self.rounded_on_the_way(problem, key, &mut carry, &mut answers);
        }
        let (misread, misread_fails) = match misread_key(problem, at, key, paper) {
            Ok(misread) => (misread, false),
            Err(NoKey) => (None, true),
        };
        let open = answers.iter().any(Answer::is_open);
        let constant = open
            .then(|| constant::find(&answers, assignment, problem, key, &mut self.scratch))
            .flatten();
        let by_key = constant.is_some().then(|| (answers.clone(), carry.clone()));
        let mut judged = Judged {
            answers,
            carry,
            misread,
            misread_fails,
            constant,
        };
        self.beside_the_key(problem, key, &mut judged);
        // Another constant stands only where the paper earns more with it, its cost taken off; or as much,
        // and more of it is explained.
        if let Some((answers, carry)) = by_key
            && !judged.answers.iter().all(Answer::is_right)
        {
            let mut without = Judged {
                answers,
                carry,
                misread: judged.misread.clone(),
                misread_fails,
                constant: None,
            };
            self.beside_the_key(problem, key, &mut without);
            let cost = judged.constant.as_ref().map_or(Decimal::ZERO, |found| {
                assignment.givens[found.given].allowed[found.allowed].cost
            });
            let with = (earned(&judged.answers) - cost, credited(&judged.answers));
            if (earned(&without.answers), credited(&without.answers)) >= with {
                return without;
            }
        }
        judged
    }

    /// Runs the tests that come after the key, on the constant and the misread numbers that stand.
    fn beside_the_key(&mut self, problem: &Problem, key: &ProblemKey, judged: &mut Judged<'_>) {
        let Judged {
            answers,
            carry,
            misread,
            constant,
            ..
        } = judged;
        let right_by = (misread.as_deref(), constant.as_ref());
        if let Some(constant) = right_by.1 {
            take_constant(answers, constant);
        }
        if let Some(slots) = right_by.0 {
            self.on_misread(problem, slots, answers);
        }
        sign::judge(answers);
        if answers.iter().all(Answer::is_right) {
            return;
        }
        let grounds = grounds(key, right_by.0, right_by.1);
        let mut other = may_turn(answers).then(|| answers.clone());
        *carry = Carried::all(problem, answers, right_by.0, right_by.1, Pointing::Written);
        let mut withheld = self.follow(problem, &grounds, right_by, carry, answers);
        // Wrong sizes point the way from which more follows, as written if both are alike.
        if let Some(other) = &mut other {
            let mut turned = Carried::all(problem, other, right_by.0, right_by.1, Pointing::Turned);
            let found = self.follow(problem, &grounds, right_by, &mut turned, other);
            if (credited(other), found.len()) > (credited(answers), withheld.len()) {
                (*carry, withheld) = (turned, found);
                answers.clone_from(other);
            }
        }
        self.explain_rest(problem, &grounds, carry, withheld, answers);
        note_independence(answers);
    }

    fn by_key(&mut self, problem: &Problem, slots: &[f64], answers: &mut [Answer<'_>]) {
        let mut written = SlotSet::default();
        for answer in answers {
            if answer.is_open() {
                answer.outcome = right::judge(answer, problem, slots, written, &mut self.scratch);
            }
            if !answer.candidates.is_empty() {
                written = written.or(SlotSet::of(answer.plan.slot));
            }
        }
    }

    /// Finds what is right by way of right answers as written, or rounded once more, on the numbers
    /// given: rounding on the way comes before any other cause, cutting off among them.
    fn rounded_on_the_way(
        &mut self,
        problem: &Problem,
        key: &ProblemKey,
        carry: &mut Carry,
        answers: &mut [Answer<'_>],
    ) {
        for at in 0..answers.len() {
            let right = answers.iter().filter(|answer| answer.is_right());
            let right: SlotSet = right.map(|answer| answer.plan.slot).collect();
            let answer = &answers[at];
            if !(answer.is_open() || answer.is_cut_off()) || right.is_empty() {
                continue;
            }
            let roads = answer.plan.roads.iter().enumerate();
            let roads = roads.filter(|(_, road)| road.inputs.without(right).is_empty());
            let ground = Ground {
                problem,
                slots: &key.slots,
                carry,
                exact: false,
                next_to: false,
            };
            let trail = ground.follow(answer, roads, &mut self.scratch);
            let trail = trail.filter(|trail| trail.all_right);
            if trail.is_some() {
                take_trail(answers, at, trail, 0, Basis::Given);
                carry[answers[at].plan.slot] =
                    Carried::of(&answers[at], None, None, Pointing::Written);
            }
        }
    }

    /// Judges what is still open by the key on misread numbers.
    fn on_misread(&mut self, problem: &Problem, slots: &[f64], answers: &mut [Answer<'_>]) {
        let mut written = SlotSet::default();
        for answer in answers {
            if answer.is_open() {
                answer.outcome = right::judge(answer, problem, slots, written, &mut self.scratch);
                if let Some(outcome) = &mut answer.outcome {
                    outcome.verdict = Verdict::RightMisread;
                    // Said first: the key that is spoken of then is that of these numbers.
                    if !outcome.reasons.is_full() {
                        outcome.reasons.insert(0, Reason::OnMisread);
                    }
                    answer.key = slots[answer.plan.slot];
                }
            }
            if !answer.candidates.is_empty() {
                written = written.or(SlotSet::of(answer.plan.slot));
            }
        }
    }

    /// Follow-through from earlier answers. What follows but earns nothing stays open for later
    /// tests, and is given back. A wrong sign may follow too: carried on, it is paid for where it
    /// arose.
    fn follow(
        &mut self,
        problem: &Problem,
        grounds: &Grounds<'_>,
        (misread, constant): (Option<&[f64]>, Option<&Constant>),
        carry: &mut Carry,
        answers: &mut [Answer<'_>],
    ) -> Withheld {
        let mut withheld = Withheld::new();
        for at in 0..answers.len() {
            for &(basis, slots) in grounds {
                let answer = &answers[at];
                if answer.is_open() || answer.is_turned() {
                    let roads = answer.plan.roads.iter().enumerate();
                    let ground = Ground {
                        problem,
                        slots,
                        carry,
                        exact: false,
                        next_to: false,
                    };
                    let trail = ground.follow(answer, roads, &mut self.scratch);
                    // A wrong sign is given up only for credit.
                    let trail = trail.filter(|trail| {
                        answer.is_open() || trail.all_right || trail.withheld.is_none()
                    });
                    let end = trail.filter(|_| answer.size_only()).map(|trail| trail.end);
                    withheld.extend(take_trail(answers, at, trail, 0, basis));
                    let here = &mut carry[answers[at].plan.slot];
                    if answers[at].is_right() {
                        *here = Carried::of(&answers[at], misread, constant, Pointing::Written);
                    } else if let Some(end) = end.filter(|_| answers[at].is_credited()) {
                        here.point(end);
                    }
                }
            }
        }
        withheld
    }

    /// What is still open after that: by ways that come back from a later part, then by slips.
    fn explain_rest(
        &mut self,
        problem: &Problem,
        grounds: &Grounds<'_>,
        carry: &Carry,
        mut withheld: Withheld,
        answers: &mut [Answer<'_>],
    ) {
        let ground = |slots, exact| Ground {
            problem,
            slots,
            carry,
            exact,
            next_to: false,
        };
        for at in 0..answers.len() {
            let forward = answers[at].plan.roads.len();
            for &(basis, slots) in grounds {
                if answers[at].is_open() {
                    let roads = answers[at].plan.back.iter().enumerate();
                    let scratch = &mut self.scratch;
                    let roads: ArrayVec<_, MOST_ROADS> = roads
                        .filter(|(_, road)| {
                            let inputs = road.inputs;
                            !is_circular(answers, &withheld, at, inputs)
                                && is_sound(answers, inputs, problem, slots, scratch)
                        })
                        .collect();
                    let roads = roads.into_iter();
                    let exact = !right::is_near(&answers[at], slots);
                    let trail = ground(slots, exact).follow(&answers[at], roads, scratch);
                    let slot = answers[at].plan.slot;
                    let used = is_used(answers, &withheld, slot);
                    let points = |trail: &Trail| {
                        !used || !answers[at].size_only() || carry[slot].points(trail.end)
                    };
                    let trail = trail.filter(points);
                    withheld.extend(take_trail(answers, at, trail, forward, basis));
                }
            }
        }
        for answer in answers.iter_mut() {
            for &(basis, slots) in grounds {
                if answer.is_open() {
                    answer.outcome = slip::judge(answer, &ground(slots, false), &mut self.scratch);
                    if let (Basis::Misread, Some(outcome)) = (basis, &mut answer.outcome) {
                        outcome.because(Reason::OnMisread);
                    }
                }
            }
        }
        for (at, outcome) in withheld {
            answers[at].outcome.get_or_insert(outcome);
        }
    }
}

/// The numbers said to be misread leave the problem without a single solution.
struct NoKey;

/// The key on misread numbers, where the teacher said there are some.
fn misread_key(
    problem: &Problem,
    at: usize,
    key: &ProblemKey,
    paper: &Paper,
) -> Result<Option<Vec<f64>>, NoKey> {
    let mut slots = None;
    for (_, given, quantity) in paper.misread.iter().filter(|(problem, ..)| *problem == at) {
        slots.get_or_insert_with(|| key.slots.clone())[*given] = quantity.si();
    }
    let Some(mut slots) = slots else {
        return Ok(None);
    };
    problem.solve(&mut slots).map_err(|_| NoKey)?;
    Ok(Some(slots))
}

fn take_constant(answers: &mut [Answer<'_>], constant: &Constant) {
    for &(at, candidate, fit) in &constant.explains {
        let reason = Reason::OtherConstant {
            given: constant.given,
            allowed: constant.allowed,
        };
        let outcome = Outcome::new(Verdict::RightOtherConstant, Decimal::ONE, Some(reason));
        answers[at].outcome = Some(outcome.by(candidate, fit));
    }
}
