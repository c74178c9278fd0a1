//! Goes over the judgement of one answer once more, and keeps what it was held against.
//!
//! In: what a paper is marked from, and a part. Out: every value that the tests held the entry
//! against, in their order up to the one that settled it, each with its window. For people who
//! want to see the reckoning; marking itself keeps none of it.

mod roads;

use crate::assignment::Assignment;
use crate::formula::tape::SlotSet;
use crate::plan::Problem;

use super::answer::{Answer, Outcome};
use super::follow::Ground;
use super::judged::{Basis, Judged, grounds};
use super::window::{Stated, Window};
use super::{Key, Marker, Paper, ProblemKey, Reason, Verdict, constant, right, slip};

/// What an answer was held against.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// The number that was judged, in the unit it was taken in.
    pub stated: Stated,
    /// The tests, in their order.
    pub tests: Vec<Test>,
}

/// One value an answer was held against. Values and widths are in SI units.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// Where the value comes from.
    pub by: By,
    /// The value; nothing where there is none to be had.
    pub value: Option<f64>,
    /// The tolerance either way.
    pub declared: f64,
    /// Half a unit in the last place written.
    pub half: f64,
    /// What rounding on the way adds to the half unit, as far as it counts.
    pub allowance: f64,
    /// How far the answer is off.
    pub off: f64,
    /// Whether it fits.
    pub fits: bool,
    /// Whether this settled the verdict.
    pub settles: bool,
}

/// Where a value comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum By {
    /// The student's own key.
    Key,
    /// An expression accepted beside it, by its index.
    Accepted(usize),
    /// The accepted range; it has no value.
    Range,
    /// The key with another allowed constant.
    Constant {
        /// Index of the given.
        given: usize,
        /// Index among its allowed values.
        allowed: usize,
    },
    /// The key on misread numbers.
    Misread,
    /// The key with the other sign.
    Turned,
    /// The end of a road from the student's own answers.
    Road {
        /// Index among the part's roads, those back behind those forward.
        road: usize,
        /// Slots and values it starts from; none where one of them is missing.
        inputs: Vec<(usize, f64)>,
        /// Slots and values on the way.
        hidden: Vec<(usize, f64)>,
        /// The figures to which the inputs were rounded.
        rounded_to: Option<u8>,
        /// Why no credit is given for it.
        withheld: Option<Reason>,
    },
    /// A foreseen slip, by its index.
    Slip(usize),
}

impl Marker<'_> {
    /// What the answer to part `at` was held against; nothing for parts that ask for no quantity
    /// and where no number stands.
    pub fn trace(&mut self, key: &Key, paper: &Paper, at: usize) -> Option<Trace> {
        let place = self.plan.parts.get(at)?;
        let problem = self.plan.problems.get(place.problem)?;
        problem.answer(place.part)?;
        let key = key.problems.get(place.problem)?;
        let judged = self.judged(place.problem, at - place.part, key, paper);
        let before = (0..place.part).filter(|&part| problem.answer(part).is_some());
        let index = before.count();
        let tracer = Tracer {
            problem,
            assignment: &self.plan.sheet.problems[place.problem],
            key,
            judged: &judged,
            at: index,
            answer: judged.answers.get(index)?,
        };
        tracer.trace(&mut self.scratch)
    }
}

/// One answer being traced.
struct Tracer<'a> {
    problem: &'a Problem,
    assignment: &'a Assignment,
    key: &'a ProblemKey,
    judged: &'a Judged<'a>,
    /// Index of the answer among those of the problem.
    at: usize,
    answer: &'a Answer<'a>,
}

impl Tracer<'_> {
    fn trace(&self, scratch: &mut Vec<f64>) -> Option<Trace> {
        let stated = self.stated()?;
        let mut tests = Vec::new();
        self.by_keys(&mut tests, scratch);
        if !tests.iter().any(|test| test.settles) && !self.judged.carry.is_empty() {
            self.by_roads(&mut tests, scratch);
            self.by_slips(&mut tests, scratch);
        }
        // What comes after the test that settled it was never tried.
        if let Some(last) = tests.iter().position(|test| test.settles) {
            tests.truncate(last + 1);
        }
        Some(Trace { stated, tests })
    }

    /// The number that was taken.
    fn stated(&self) -> Option<Stated> {
        let taken = self.answer.outcome.as_ref().map_or(0, |o| o.candidate);
        Some(self.answer.candidates.get(taken)?.stated)
    }

    fn outcome(&self) -> Option<&Outcome> {
        self.answer.outcome.as_ref()
    }

    /// Whether the verdict has such a reason.
    fn has(&self, reason: impl Fn(&Reason) -> bool) -> bool {
        self.outcome()
            .is_some_and(|outcome| outcome.reasons.iter().any(reason))
    }

    fn is_by_road(&self) -> bool {
        self.has(|reason| matches!(reason, Reason::FollowedFrom { .. }))
    }

    /// Whether the key or what stands for it settled the verdict, and none of the others.
    fn is_by_key(&self) -> bool {
        let verdict = self.outcome().map(|outcome| outcome.verdict);
        let turned = verdict == Some(Verdict::WrongSign)
            && self.answer.size_only()
            && !self.has(|reason| *reason == Reason::OnMisread);
        let other = |reason: &Reason| {
            matches!(
                reason,
                Reason::FollowedFrom { .. }
                    | Reason::Accepted(_)
                    | Reason::InWindow
                    | Reason::OtherConstant { .. }
            )
        };
        (verdict == Some(Verdict::Right) || turned) && !self.has(other)
    }

    /// A value with its window, and how the answer lies to it.
    fn test(&self, by: By, window: &Window, value: f64, settles: bool) -> Test {
        let found = self.answer.fit(window, value);
        let stated = match found {
            Some((candidate, _)) => self.answer.candidates.get(candidate).map(|c| c.stated),
            None => self.stated(),
        };
        let half = stated.map_or(0.0, |stated| match (found, stated.numeral) {
            (Some((_, fit)), _) => stated.half_unit(fit.most_figures),
            (None, Some(numeral)) => stated.half_unit(numeral.figures().least),
            (None, None) => 0.0,
        });
        let off = stated.map_or(f64::NAN, |stated| {
            let (x, y) = window.compared(stated.value, value);
            (x - y).abs()
        });
        Test {
            by,
            value: Some(value),
            declared: window.declared,
            half,
            allowance: window.allowance.min(window.cap(value)),
            off,
            fits: found.is_some(),
            settles: settles && found.is_some(),
        }
    }

    /// The key and what stands beside it.
    fn by_keys(&self, tests: &mut Vec<Test>, scratch: &mut Vec<f64>) {
        let answer = self.answer;
        let slot = answer.plan.slot;
        let key = self.key.slots[slot];
        tests.push(self.by_key(By::Key, &self.key.slots, self.is_by_key(), scratch));
        for (index, (tape, _)) in answer.plan.accepts.iter().enumerate() {
            let value = tape.value(&self.key.slots);
            let window = right::window(answer, value);
            let settles = self.has(|reason| *reason == Reason::Accepted(index));
            tests.push(self.test(By::Accepted(index), &window, value, settles));
        }
        if answer.asks.window.is_some() {
            let inside = self.has(|reason| *reason == Reason::InWindow);
            tests.push(Test {
                by: By::Range,
                value: None,
                declared: 0.0,
                half: 0.0,
                allowance: 0.0,
                off: 0.0,
                fits: inside,
                settles: inside,
            });
        }
        // What was rounded on the way is right before another constant is thought of.
        let is_right = self.outcome().is_some_and(|o| o.verdict == Verdict::Right);
        let settled = self.is_by_road() && is_right;
        for (given, allowed, quantity) in constant::all(self.assignment).filter(|_| !settled) {
            let mut slots = self.key.slots.clone();
            slots[given] = quantity.si();
            if answer.plan.depends.has(given) && self.problem.solve(&mut slots).is_ok() {
                let used = Reason::OtherConstant { given, allowed };
                let settles = self.has(|reason| *reason == used);
                let by = By::Constant { given, allowed };
                tests.push(self.test(by, &constant::window(answer), slots[slot], settles));
            }
        }
        if let Some(slots) = &self.judged.misread {
            let settles = self.has(|reason| *reason == Reason::OnMisread) && !self.is_by_road();
            tests.push(self.by_key(By::Misread, slots, settles, scratch));
        }
        if !answer.size_only() {
            let settles = self.has(|reason| *reason == Reason::SignCharged);
            tests.push(self.test(By::Turned, &right::window(answer, -key), -key, settles));
        }
    }

    fn by_key(&self, by: By, slots: &[f64], settles: bool, scratch: &mut Vec<f64>) -> Test {
        let answer = self.answer;
        let value = slots[answer.plan.slot];
        let earlier = &self.judged.answers[..self.at];
        let written = earlier
            .iter()
            .filter(|other| !other.candidates.is_empty())
            .map(|other| other.plan.slot)
            .collect::<SlotSet>();
        let mut window = right::window(answer, value);
        for road in &answer.plan.own {
            let found = right::allowance(answer, self.problem, slots, written, road, scratch);
            window.allowance = window.allowance.max(found);
        }
        self.test(by, &window, value, settles)
    }

    /// The slips, each by its number that fits or comes nearest.
    fn by_slips(&self, tests: &mut Vec<Test>, scratch: &mut Vec<f64>) {
        let misread = self.judged.misread.as_deref();
        for &(basis, slots) in &grounds(self.key, misread, self.judged.constant.as_ref()) {
            let ground = Ground {
                problem: self.problem,
                slots,
                carry: &self.judged.carry,
                exact: false,
                next_to: false,
            };
            let values = slip::values(self.answer, &ground, scratch);
            for index in 0..self.answer.plan.slips.len() {
                let made = |reason: &Reason| matches!(reason, Reason::SlipMade { slip, .. } if *slip == index);
                let settles = self.has(made);
                let tests_of = values.iter().filter(|value| value.slip == index);
                let tests_of = tests_of.map(|value| {
                    self.test(
                        By::Slip(index),
                        &value.number.window(self.answer),
                        value.number.value,
                        settles,
                    )
                });
                let nearest =
                    tests_of.min_by(|a, b| b.fits.cmp(&a.fits).then(a.off.total_cmp(&b.off)));
                tests.extend(nearest.filter(|test| basis == Basis::Given || test.fits));
            }
        }
    }
}
