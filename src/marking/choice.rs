//! Parts answered by a word.
//!
//! In: the conditions of the options, the key, and what the student's own answers say. Out: the
//! verdict on the word chosen. It follows from the student's own answers as numbers do: not from
//! what is impossible, nor from a zero that leaves nothing to decide.

use rust_decimal::Decimal;

use crate::answer::Choice;
use crate::assignment::ChoicePart;
use crate::formula::condition::Judge;
use crate::formula::tape::SlotSet;
use crate::plan::Problem;

use super::answer::Outcome;
use super::carry::Carry;
use super::{Reason, Verdict, possible};

/// The one option whose condition holds; nothing where none or several do.
pub fn holding(judges: &[Judge], slots: &[f64]) -> Option<usize> {
    let mut holding = judges
        .iter()
        .enumerate()
        .filter(|(_, judge)| judge.holds(slots));
    match (holding.next(), holding.next()) {
        (Some((option, _)), None) => Some(option),
        _ => None,
    }
}

/// What a choice is judged by.
pub(super) struct ChoiceGround<'a> {
    pub(super) problem: &'a Problem,
    pub(super) key: &'a [f64],
    /// The key on misread numbers, or the key.
    pub(super) misread: &'a [f64],
    pub(super) carry: &'a Carry,
}

impl ChoiceGround<'_> {
    /// Judges the word that was chosen.
    pub(super) fn judge(&self, options: &ChoicePart, judges: &[Judge], stated: Choice) -> Outcome {
        debug_assert_eq!(options.options.len(), judges.len());
        let nothing = |verdict| Outcome::new(verdict, Decimal::ZERO, None);
        let stated = match stated {
            Choice::Blank => return nothing(Verdict::Blank),
            Choice::Several => return nothing(Verdict::Several),
            Choice::Unreadable => {
                let mut outcome = nothing(Verdict::Unreadable);
                outcome.look = true;
                return outcome;
            }
            Choice::Option(option) => option,
        };
        if holding(judges, self.key) == Some(stated) {
            return Outcome::new(Verdict::Right, Decimal::ONE, None);
        }
        if holding(judges, self.misread) == Some(stated) {
            return Outcome::new(Verdict::RightMisread, Decimal::ONE, Some(Reason::OnMisread));
        }
        self.followed(judges, stated)
            .unwrap_or_else(|| nothing(Verdict::Wrong))
    }

    /// What the student's own answers say about it.
    fn followed(&self, judges: &[Judge], stated: usize) -> Option<Outcome> {
        let uses = judges
            .iter()
            .fold(SlotSet::default(), |set, judge| set.or(judge.uses()));
        let mut own = self.key.to_vec();
        let mut inputs = SlotSet::default();
        let mut trivial = false;
        for slot in uses.iter() {
            if let Some(wrong) = self.carry.get(slot).and_then(|carried| carried.wrong()) {
                own[slot] = wrong.value;
                inputs = inputs.or(SlotSet::of(slot));
                trivial |= wrong.value == 0.0 && self.key[slot] != 0.0;
            }
        }
        if inputs.is_empty() || holding(judges, &own) != Some(stated) {
            return None;
        }
        let withheld = if trivial {
            Some(Reason::Trivial)
        } else {
            possible::broken(self.problem, self.carry, inputs, &own)
                .map(|condition| Reason::Impossible { condition })
        };
        let followed = Reason::FollowedFrom {
            road: 0,
            inputs,
            rounded_to: None,
        };
        let (verdict, share) = match withheld {
            None => (Verdict::Followed, Decimal::ONE),
            Some(_) => (Verdict::Wrong, Decimal::ZERO),
        };
        let mut outcome = Outcome::new(verdict, share, Some(followed));
        outcome.rests_on = inputs;
        outcome.reasons.extend(withheld);
        Some(outcome)
    }
}
