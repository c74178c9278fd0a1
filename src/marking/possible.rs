//! What nature allows.
//!
//! In: values on the way to an answer, and what the student carried on from the other answers. Out: the
//! condition of `[possible]` that they break, if any.

use crate::formula::condition::Judge;
use crate::formula::tape::SlotSet;
use crate::plan::Problem;

use super::carry::Carry;

/// The first condition that names one of `on_the_way` and does not hold; `slots` has the values of those.
/// What a condition names besides is taken from the student's own answers, not from the key; where one is
/// missing, nothing is said.
pub(super) fn broken(
    problem: &Problem,
    carry: &Carry,
    on_the_way: SlotSet,
    slots: &[f64],
) -> Option<usize> {
    let givens: SlotSet = (0..problem.givens).collect();
    let breaks = |judge: &Judge| {
        let unknowns = judge.uses().without(givens);
        if unknowns.and(on_the_way).is_empty() {
            return false;
        }
        let elsewhere = unknowns.without(on_the_way);
        if elsewhere.is_empty() {
            return !judge.holds(slots);
        }
        let mut slots = slots.to_vec();
        for slot in elsewhere.iter() {
            let Some(stated) = carry.get(slot).and_then(|carried| carried.values.first()) else {
                return false;
            };
            slots[slot] = stated.value;
        }
        !judge.holds(&slots)
    };
    problem.possible.iter().position(breaks)
}
