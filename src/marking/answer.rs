//! An answer under judgement: the numbers it may be read as, and what was found so far.
//!
//! In: a reading, its part and the student's key. Out: [`Answer`], which the tests of `right`,
//! `constant`, `sign`, `follow` and `slip` fill in turn.

use arrayvec::ArrayVec;
use rust_decimal::Decimal;

use crate::answer::{Reading, Value};
use crate::assignment::{AnswerPart, Part, PartRules};
use crate::formula::tape::SlotSet;
use crate::plan::AnswerPlan;

use super::figures::Asked;
use super::unit::{self, UnitVerdict};
use super::window::{Fit, Stated, Window};
use super::{MOST_REASONS, ProblemKey, Reason, Verdict};

/// One way to read an answer as a number in SI units.
#[derive(Clone, Copy, Debug)]
pub(super) struct Candidate {
    pub(super) stated: Stated,
    pub(super) unit: UnitVerdict,
}

/// The candidates of one answer: two readings of an ambiguous numeral, each as written and as a
/// bare number.
pub(super) type Candidates = ArrayVec<Candidate, 4>;

/// What was found of an answer.
#[derive(Clone, Debug)]
pub(super) struct Outcome {
    pub(super) verdict: Verdict,
    /// The candidate that was taken.
    pub(super) candidate: usize,
    /// The most figures it can have been written with to fit as it did.
    pub(super) most_figures: Option<u8>,
    pub(super) share: Decimal,
    pub(super) reasons: ArrayVec<Reason, MOST_REASONS>,
    /// Slots of the answers it rests on, directly or through others.
    pub(super) rests_on: SlotSet,
    /// The teacher should look at it.
    pub(super) look: bool,
}

impl Outcome {
    /// An outcome with one reason and the given share of the value points.
    pub(super) fn new(verdict: Verdict, share: Decimal, reason: Option<Reason>) -> Self {
        Self {
            verdict,
            candidate: 0,
            most_figures: None,
            share,
            reasons: reason.into_iter().collect(),
            rests_on: SlotSet::default(),
            look: false,
        }
    }

    /// The same, taken from a candidate that fits.
    pub(super) fn by(mut self, candidate: usize, fit: Fit) -> Self {
        self.candidate = candidate;
        self.most_figures = (fit.most_figures > 0).then_some(fit.most_figures);
        self
    }

    /// Adds a reason, while there is room for it.
    pub(super) fn because(&mut self, reason: Reason) {
        let _ = self.reasons.try_push(reason);
    }
}

/// An answer under judgement.
#[derive(Clone, Debug)]
pub(super) struct Answer<'a> {
    pub(super) part: &'a Part,
    pub(super) asks: &'a AnswerPart,
    pub(super) plan: &'a AnswerPlan,
    pub(super) asked: Asked,
    /// The student's own key.
    pub(super) key: f64,
    pub(super) candidates: Candidates,
    pub(super) outcome: Option<Outcome>,
}

impl<'a> Answer<'a> {
    /// Starts on a reading.
    pub(super) fn new(
        part: &'a Part,
        asks: &'a AnswerPart,
        plan: &'a AnswerPlan,
        key: &ProblemKey,
        reading: Option<&Reading>,
    ) -> Self {
        let mut answer = Self {
            part,
            asks,
            plan,
            asked: Asked::in_part(part.rules.figures, plan, key),
            key: key.slots[plan.slot],
            candidates: Candidates::new(),
            outcome: None,
        };
        let nothing = |verdict| Some(Outcome::new(verdict, Decimal::ZERO, None));
        match reading {
            None | Some(Reading::Blank) => answer.outcome = nothing(Verdict::Blank),
            Some(Reading::Several(_)) => answer.outcome = nothing(Verdict::Several),
            Some(Reading::Unreadable(_)) => {
                answer.outcome = nothing(Verdict::Unreadable);
                if let Some(outcome) = &mut answer.outcome {
                    outcome.look = true;
                }
            }
            Some(Reading::One(written)) => {
                let written = &written.fitting(asks.unit.dimension());
                match written.value {
                    Value::Ambiguous { thousands, decimal } => {
                        answer.read(written, Value::Numeral(decimal));
                        answer.read(written, Value::Numeral(thousands));
                    }
                    value => answer.read(written, value),
                }
            }
        }
        answer
    }

    fn read(&mut self, written: &crate::answer::Written, value: Value) {
        let measured = unit::measure(written, value, &self.asks.unit, self.part.rules.units);
        self.candidates.push(Candidate {
            stated: measured.stated,
            unit: measured.verdict,
        });
        if let Some(bare) = measured.bare {
            let printed = measured.verdict == UnitVerdict::Printed;
            let unit = if printed {
                UnitVerdict::Printed
            } else {
                UnitVerdict::WrongSize
            };
            self.candidates.push(Candidate { stated: bare, unit });
        }
    }

    pub(super) fn rules(&self) -> &'a PartRules {
        &self.part.rules
    }

    /// Whether it was found right.
    pub(super) fn is_right(&self) -> bool {
        self.outcome
            .as_ref()
            .is_some_and(|outcome| outcome.verdict.is_right())
    }

    /// Whether it was found right, or to follow.
    pub(super) fn is_credited(&self) -> bool {
        let follows = |outcome: &Outcome| outcome.verdict == Verdict::Followed;
        self.is_right() || self.outcome.as_ref().is_some_and(follows)
    }

    /// Whether no test has settled it yet.
    pub(super) fn is_open(&self) -> bool {
        self.outcome.is_none()
    }

    /// Whether it was taken for the key cut off: what rounding on the way explains is not.
    pub(super) fn is_cut_off(&self) -> bool {
        let outcome = self.outcome.as_ref();
        outcome.is_some_and(|o| o.reasons.first() == Some(&Reason::Truncated))
    }

    /// Whether it is the key with the other sign, where the sign is fixed: gone on from an answer
    /// that has the wrong sign too, it is paid for there.
    pub(super) fn is_turned(&self) -> bool {
        let outcome = self.outcome.as_ref();
        !self.size_only() && outcome.is_some_and(|o| o.verdict == Verdict::WrongSign)
    }

    /// Whether only the size of the value counts.
    pub(super) fn size_only(&self) -> bool {
        self.rules().sign.is_size_only()
    }

    /// The declared tolerance around a value, in SI units; 0 where none is declared.
    pub(super) fn declared(&self, value: f64) -> f64 {
        self.rules().tolerance(value)
    }

    /// The first candidate that fits `value`, and how.
    pub(super) fn fit(&self, window: &Window, value: f64) -> Option<(usize, Fit)> {
        self.candidates
            .iter()
            .enumerate()
            .find_map(|(at, candidate)| Some((at, window.fit(candidate.stated, value)?)))
    }

    /// The most figures the answer was written with.
    pub(super) fn figures(&self) -> Option<u8> {
        self.candidates
            .first()
            .and_then(|candidate| candidate.stated.figures())
    }
}
