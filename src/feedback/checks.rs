//! Checks a student can make where no cause is known.
//!
//! In: a wrong answer. Out: one question that finds many mistakes of that kind of quantity and
//! assumes none: units, a limiting case, a weight to compare a force with, a right answer to work
//! back from. Adding a check is one line in [`CHECKS`].

use rust_decimal::Decimal;

use crate::assignment::Assignment;
use crate::marking::unit::UnitVerdict;
use crate::marking::{PartMark, Reason, Verdict};
use crate::plan::{Plan, answer_part};
use crate::quantity::Unit;

use super::words::Words;

/// What must be given for a check to make sense.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Given {
    Anything,
    /// A gravitational acceleration, or another one.
    Acceleration,
    /// Two masses or more.
    Masses,
    /// An angle.
    Angle,
}

/// Checks by the dimension asked for; of several the first whose given is there.
const CHECKS: &[(&str, Given, &str)] = &[
    (
        "force",
        Given::Acceleration,
        "Compare it with the weights that act: which of them should it exceed, and which not?",
    ),
    (
        "acceleration",
        Given::Masses,
        "Try a limiting case: what should it become if one of the masses were far larger?",
    ),
    (
        "velocity",
        Given::Angle,
        "Try a limiting case: what should it become at an angle close to zero, and close to a right one?",
    ),
    (
        "velocity",
        Given::Anything,
        "Work the units through the last formula: do they come out as those of a speed?",
    ),
    (
        "time",
        Given::Anything,
        "Put it back into the motion: does it lead to the distances and speeds given?",
    ),
    (
        "length",
        Given::Anything,
        "Compare it with the lengths given on a sketch to scale: does it look right?",
    ),
    (
        "energy or torque",
        Given::Anything,
        "Draw up the balance before and after: what came in, what went out, what stayed?",
    ),
    (
        "momentum or impulse",
        Given::Anything,
        "Draw up the sum before and after, with directions: are both the same?",
    ),
];

const ANGLE: &str = "Compare it with a sketch to scale: from which line is it measured?";
const OTHERWISE: &str =
    "Try a limiting case: what should it become if one of the given quantities went to zero?";

/// Whether the unit written is what to look at in a wrong answer.
pub(super) fn is_of_units(mark: &PartMark) -> bool {
    mark.verdict == Verdict::Wrong && mark.unit == Some(UnitVerdict::WrongDimension)
}

/// Writes one check for the wrong answer of part `at`.
pub(super) fn write(words: &mut Words<'_>, at: usize) {
    let (Some(mark), Some(model), Some(plan)) =
        (words.marks().get(at), words.model(at), words.answer(at))
    else {
        return;
    };
    let all_working = Decimal::from(model.working.len());
    let (problem, slot) = (words.plan.parts[at].problem, plan.slot);
    let independent = words
        .marks()
        .iter()
        .zip(&words.plan.parts)
        .position(|(other, place)| {
            place.problem == problem && other.reasons.contains(&Reason::IgnoresEarlier)
        });
    // Only an answer that could have been worked out from this one can lead back to it.
    let independent = independent.filter(|&other| {
        words
            .answer(other)
            .and_then(|other| other.roads.first())
            .is_some_and(|road| road.inputs.has(slot))
    });
    if is_of_units(mark) {
        words.push("Its unit does not go with what is asked. Work the units through your formula.");
    } else if mark.working == all_working && all_working > Decimal::ZERO {
        words.push(
            "The working has its points, so go through the numbers and their units step by step.",
        );
    } else if let Some(other) = independent {
        words.push("Your ");
        words.id(other);
        words.push(" is right: work back from it and compare.");
    } else {
        words.push(check(words.plan, at));
    }
}

/// The check that goes with what part `at` of a paper asks for, whoever's paper it is.
pub fn check(plan: &Plan, at: usize) -> &'static str {
    asked(plan, at).map_or(OTHERWISE, |(assignment, unit)| of_unit(assignment, &unit))
}

fn asked(plan: &Plan, at: usize) -> Option<(&Assignment, Unit)> {
    let place = plan.parts.get(at)?;
    let assignment = plan.sheet.problems.get(place.problem)?;
    Some((assignment, answer_part(assignment, place.part)?.unit))
}

fn of_unit(assignment: &Assignment, unit: &Unit) -> &'static str {
    if unit.is_angle() {
        return ANGLE;
    }
    let name = unit.dimension().name();
    let found = CHECKS
        .iter()
        .find(|(dimension, given, _)| name == Some(dimension) && is_given(assignment, *given));
    found.map_or(OTHERWISE, |&(_, _, text)| text)
}

/// Whether such a quantity is given in a problem.
fn is_given(assignment: &Assignment, given: Given) -> bool {
    let givens = &assignment.givens;
    let of = |name: &str| {
        let named = |unit: Unit| unit.dimension().name() == Some(name);
        givens.iter().filter(|given| named(given.unit)).count()
    };
    match given {
        Given::Anything => true,
        Given::Acceleration => of("acceleration") > 0,
        Given::Masses => of("mass") > 1,
        Given::Angle => givens.iter().any(|quantity| quantity.unit.is_angle()),
    }
}
