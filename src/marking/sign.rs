//! Signs.
//!
//! In: the answers of one problem that are right in size. Out: those whose sign is wrong where it
//! counts. With `fixed` the sign is the key's; with `either` one convention holds all over the
//! problem, whichever it is; with `size` a minus is noted and costs nothing.

use crate::assignment::Sign;

use super::answer::{Answer, Outcome};
use super::right;
use super::{Reason, Verdict};

/// Judges the signs of answers, all of them after the key was tried.
pub(super) fn judge(answers: &mut [Answer<'_>]) {
    let turned = prevailing_turn(answers);
    for answer in answers.iter_mut() {
        let differs = differs(answer);
        let is_negative = taken(answer).is_some_and(|value| value < 0.0);
        let share = answer.rules().slip_share;
        let sign = answer.rules().sign;
        let Some(outcome) = &mut answer.outcome else {
            if !sign.is_size_only() {
                answer.outcome = fixed(answer);
            }
            continue;
        };
        if !outcome.verdict.is_right() {
            continue;
        }
        match sign {
            Sign::Fixed | Sign::Turn => {}
            Sign::Size if is_negative => outcome.because(Reason::SignNoted),
            Sign::Either if differs && turned => outcome.because(Reason::SignNoted),
            Sign::Either if differs || turned && has_sign(answer.key) => {
                outcome.verdict = Verdict::WrongSign;
                outcome.share = share;
                outcome.because(Reason::SignCharged);
            }
            Sign::Size | Sign::Either => {}
        }
    }
}

fn has_sign(value: f64) -> bool {
    value != 0.0
}

/// The number that was taken.
fn taken(answer: &Answer<'_>) -> Option<f64> {
    let at = answer
        .outcome
        .as_ref()
        .map_or(0, |outcome| outcome.candidate);
    Some(answer.candidates.get(at)?.stated.value)
}

/// Whether the number written has another sign than the key.
fn differs(answer: &Answer<'_>) -> bool {
    taken(answer).is_some_and(|value| value * answer.key < 0.0)
}

/// Whether most answers under one convention have it the other way round.
fn prevailing_turn(answers: &[Answer<'_>]) -> bool {
    let under = answers.iter().filter(|answer| {
        answer.rules().sign == Sign::Either
            && has_sign(answer.key)
            && answer
                .outcome
                .as_ref()
                .is_some_and(|outcome| outcome.verdict.is_right())
    });
    let (turned, kept) = under.fold((0, 0), |(turned, kept), answer| {
        if differs(answer) {
            (turned + 1, kept)
        } else {
            (turned, kept + 1)
        }
    });
    turned > kept
}

/// An answer of the right size and the wrong sign, where the sign is fixed.
fn fixed(answer: &Answer<'_>) -> Option<Outcome> {
    let (at, fit) = answer.fit(&right::window(answer, -answer.key), -answer.key)?;
    let share = answer.rules().slip_share;
    let mut outcome = Outcome::new(Verdict::WrongSign, share, Some(Reason::SignCharged));
    outcome.because(right::reason(fit.how));
    Some(outcome.by(at, fit))
}
