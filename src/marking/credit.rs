//! What an answer earns that follows from others.
//!
//! In: the trail to an answer. Out: the answer settled, or, where nothing is earned by it, what is
//! said of it if nothing else explains it.

use rust_decimal::Decimal;

use crate::formula::tape::SlotSet;

use super::answer::{Answer, Outcome};
use super::follow::Trail;
use super::judged::Basis;
use super::{Reason, Verdict};

/// What follows but earns nothing: the place of the answer, and what is said of it if nothing else
/// explains it.
pub(super) type Withheld = Vec<(usize, Outcome)>;

/// Settles an answer that follows. One that follows without credit is given back instead.
pub(super) fn take_trail(
    answers: &mut [Answer<'_>],
    at: usize,
    trail: Option<Trail>,
    offset: usize,
    basis: Basis,
) -> Option<(usize, Outcome)> {
    let trail = trail?;
    let rests_on = answers
        .iter()
        .filter(|other| trail.inputs.has(other.plan.slot))
        .filter_map(|other| other.outcome.as_ref())
        .fold(trail.inputs, |set, outcome| set.or(outcome.rests_on));
    let followed = Reason::FollowedFrom {
        road: u8::try_from(trail.road + offset).unwrap_or(u8::MAX),
        inputs: trail.inputs,
        rounded_to: trail.rounded_to,
    };
    let (verdict, share) = match (trail.all_right, trail.withheld, basis) {
        (true, _, Basis::Given) => (Verdict::Right, Decimal::ONE),
        (true, _, Basis::Misread) => (Verdict::RightMisread, Decimal::ONE),
        (true, _, Basis::Constant) => (Verdict::RightOtherConstant, Decimal::ONE),
        (false, None, _) => (Verdict::Followed, Decimal::ONE),
        (false, Some(_), _) => (Verdict::Wrong, Decimal::ZERO),
    };
    let mut outcome = Outcome::new(verdict, share, Some(followed));
    if trail.all_right {
        outcome.because(Reason::RoundedOnTheWay);
    } else {
        outcome.reasons.extend(trail.withheld);
    }
    if basis == Basis::Misread {
        outcome.because(Reason::OnMisread);
    }
    outcome.rests_on = rests_on;
    let outcome = outcome.by(trail.candidate, trail.fit);
    if verdict == Verdict::Wrong {
        return Some((at, outcome));
    }
    answers[at].outcome = Some(outcome);
    None
}

/// How many answers earn their points, by themselves or by what they follow from.
pub(super) fn credited(answers: &[Answer<'_>]) -> usize {
    answers.iter().filter(|answer| answer.is_credited()).count()
}

/// What the answers earn for their values, before costs of units, figures and the paper as a whole.
pub(super) fn earned(answers: &[Answer<'_>]) -> Decimal {
    let outcomes = answers
        .iter()
        .filter_map(|answer| Some((answer.part.points, answer.outcome.as_ref()?.share)));
    outcomes.map(|(points, share)| points * share).sum()
}

/// Notes right answers that stand beside an earlier wrong one they would have followed from.
pub(super) fn note_independence(answers: &mut [Answer<'_>]) {
    let wrong: SlotSet = answers
        .iter()
        .filter(|answer| {
            !answer.candidates.is_empty()
                && answer
                    .outcome
                    .as_ref()
                    .is_none_or(|o| !o.verdict.is_right())
        })
        .map(|answer| answer.plan.slot)
        .collect();
    for answer in answers {
        let could_follow = answer
            .plan
            .roads
            .first()
            .is_some_and(|road| !road.inputs.and(wrong).is_empty());
        if let Some(outcome) = &mut answer.outcome
            && outcome.verdict.is_right()
            && outcome.rests_on.is_empty()
            && could_follow
        {
            outcome.because(Reason::IgnoresEarlier);
        }
    }
}
