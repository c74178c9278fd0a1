//! Closes the judgement of an answer: unit and figures of the number that was taken.
//!
//! In: an answer after all tests, and what stood on the paper. Out: what was found of the part.

use rust_decimal::Decimal;

use crate::answer::{Reading, Value};

use super::answer::{Answer, Outcome};
use super::figures::{self, FiguresVerdict};
use super::unit::UnitVerdict;
use super::{Entry, Reason, Verdict, right};

/// What the tests found of a part.
pub(super) enum Found {
    Answer {
        outcome: Outcome,
        unit: Option<UnitVerdict>,
        figures: Option<FiguresVerdict>,
        truncated: bool,
    },
    Choice(Outcome),
    Eye(Option<u8>),
}

impl Found {
    /// The outcome, where tests were run.
    pub(super) fn outcome(&self) -> Option<&Outcome> {
        match self {
            Self::Answer { outcome, .. } | Self::Choice(outcome) => Some(outcome),
            Self::Eye(_) => None,
        }
    }

    pub(super) fn outcome_mut(&mut self) -> Option<&mut Outcome> {
        match self {
            Self::Answer { outcome, .. } | Self::Choice(outcome) => Some(outcome),
            Self::Eye(_) => None,
        }
    }
}

/// The number that was taken, with its unit and figures judged.
pub(super) fn answer(answer: Answer<'_>, entry: Option<&Entry>) -> Found {
    let charges_truncation = right::charges_truncation(&answer);
    let outcome = match answer.outcome {
        Some(outcome) => outcome,
        None => Outcome::new(Verdict::Wrong, Decimal::ZERO, None),
    };
    let mut outcome = outcome;
    let (mut unit, mut figures) = (None, None);
    if let Some(candidate) = answer.candidates.get(outcome.candidate) {
        // Zero needs neither unit nor figures, nor does what is held against it alone. Of a
        // temperature such as 0 °C only the digits are zero.
        let by_key = outcome.verdict.is_right() || outcome.share == Decimal::ZERO;
        let zero = candidate.stated.value == 0.0 || (answer.key == 0.0 && by_key);
        let no_figures = zero || candidate.stated.numeral.is_some_and(|n| n.is_zero());
        unit = Some(candidate.unit);
        figures = Some(if no_figures {
            FiguresVerdict::NotJudged
        } else {
            let written = candidate.stated.numeral.map(|numeral| {
                let mut figures = numeral.figures();
                figures.most = outcome
                    .most_figures
                    .map_or(figures.most, |most| most.min(figures.most));
                figures
            });
            figures::judge(written, answer.asked, answer.part.rules.unevaluated)
        });
        if zero && unit.is_some_and(UnitVerdict::is_fault) {
            unit = Some(UnitVerdict::Same);
        }
        if ambiguous(entry) {
            outcome.because(Reason::ReadTheWayThatFits);
            outcome.look |= !outcome.verdict.is_right();
        }
    }
    let truncated = charges_truncation && outcome.reasons.contains(&Reason::Truncated);
    Found::Answer {
        outcome,
        unit,
        figures,
        truncated,
    }
}

fn ambiguous(entry: Option<&Entry>) -> bool {
    matches!(
        entry,
        Some(Entry::Answer(Reading::One(written))) if matches!(written.value, Value::Ambiguous { .. })
    )
}
