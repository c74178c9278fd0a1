//! Reasons in the teacher's words.
//!
//! In: one reason for the verdict on a part. Out: a phrase without a full stop, with the parts,
//! equations and slips by their names in the file.

use std::fmt::Write as _;

use crate::assignment::{Assignment, PartKind, SlipKind};
use crate::formula::tape::SlotSet;
use crate::marking::Reason;
use crate::plan::{Plan, answer_part};
use crate::text::{excerpt, opening};

/// How much of a formula is quoted, in columns.
const QUOTED: usize = 60;

/// How much of a saying is quoted, in columns.
const SAID: usize = 36;

/// A reason for the mark of part `at` of the paper.
pub fn reason(plan: &Plan, at: usize, reason: &Reason) -> String {
    let place = &plan.parts[at];
    let assignment = plan.assignment(at);
    match *reason {
        Reason::Rounded => "the key, rounded to the figures written".to_owned(),
        Reason::ByTeacher => "points set by you".to_owned(),
        Reason::WithinTolerance => "within the declared tolerance".to_owned(),
        Reason::RoundedOnTheWay => "the key but for rounding on the way".to_owned(),
        Reason::Truncated => "the key, cut off instead of rounded".to_owned(),
        Reason::Accepted(index) => format!("accepted expression {}", index + 1),
        Reason::InWindow => {
            match answer_part(assignment, place.part).and_then(|answer| answer.window) {
                Some((from, to)) => format!("within the accepted range, {from} to {to}"),
                None => "within the accepted range".to_owned(),
            }
        }
        Reason::IgnoresEarlier => "right beside an earlier answer that is not".to_owned(),
        Reason::OtherConstant { given, allowed } => match assignment.givens.get(given) {
            Some(given) => match given.allowed.get(allowed) {
                Some(allowed) => format!("the key with {} = {}", given.name, allowed.quantity),
                None => format!("the key with another {}", given.name),
            },
            None => "the key with another constant".to_owned(),
        },
        Reason::OnMisread => "marked on the numbers the student used".to_owned(),
        Reason::MisreadHasNoKey => {
            "with the numbers said to be misread, the problem has no single answer: look what was \
             keyed"
                .to_owned()
        }
        Reason::SignNoted => "its sign is noted, not charged".to_owned(),
        Reason::SignCharged => "right in size, but the sign counts".to_owned(),
        Reason::FollowedFrom {
            road,
            inputs,
            rounded_to,
        } => {
            let mut text = format!("follows from {}", names_of(plan, at, inputs));
            let answer = plan.problems[place.problem].answer(place.part);
            if let Some(road) = answer.and_then(|answer| answer.road(usize::from(road))) {
                let _ = write!(
                    text,
                    " by {}",
                    named(assignment, road.equations.iter().copied())
                );
            }
            if let Some(figures) = rounded_to {
                let _ = write!(text, ", rounded to {figures} figures before");
            }
            text
        }
        Reason::Impossible { condition } => match possible(assignment, condition) {
            Some((name, text)) => format!("no credit: breaks `{name}`, {}", excerpt(text, QUOTED)),
            None => "no credit: breaks a condition of [possible]".to_owned(),
        },
        Reason::Trivial => "no credit: the value carried on makes the work trivial".to_owned(),
        Reason::SlipMade { slip, luck, look } => {
            let mut text = format!(
                "{}, {} by luck",
                slip_of(assignment, place.part, slip),
                one_in(luck)
            );
            if look {
                text.push_str(": no share without a look");
            }
            text
        }
        Reason::OrSlip(slip) => {
            let named = slip_of(assignment, place.part, slip);
            format!("{named} gives the same number")
        }
        Reason::MistakeFound { luck, look } => {
            let without = if look {
                ": no share without a look"
            } else {
                ""
            };
            format!(
                "the mistake was worked out, {} by luck{without}",
                one_in(luck)
            )
        }
        Reason::ReadTheWayThatFits => {
            "read with a mark between thousands or a decimal mark, as it fits".to_owned()
        }
        Reason::WorkingAssumed => "nothing keyed for the working: all of it given".to_owned(),
        Reason::WorkingOpen if matches!(assignment.parts[place.part].kind, PartKind::Eye(_)) => {
            "still to be judged by eye".to_owned()
        }
        Reason::WorkingOpen => "points for the working still to be keyed".to_owned(),
    }
}

/// The parts that ask for the unknowns in `slots`: `(a)`, `(a) and (b)`.
pub(super) fn names_of(plan: &Plan, at: usize, slots: SlotSet) -> String {
    let problem = plan.parts[at].problem;
    let ids: Vec<String> = plan
        .parts_of(problem)
        .filter(|&other| {
            let answer = plan.problems[problem].answer(plan.parts[other].part);
            answer.is_some_and(|answer| slots.has(answer.slot))
        })
        .map(|other| format!("({})", plan.parts[other].id))
        .collect();
    listed(&ids)
}

/// `x`, `x and y`, `x, y and z`.
pub(super) fn listed(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// Equations by their names, those of slips as such: `` `bag` and `star` ``.
pub(super) fn named(assignment: &Assignment, equations: impl Iterator<Item = usize>) -> String {
    let names: Vec<String> = equations
        .map(|equation| match assignment.equations.get(equation) {
            Some(equation) => format!("`{}`", equation.name),
            None => "the slip's own".to_owned(),
        })
        .collect();
    listed(&names)
}

/// The condition of [possible] behind a prepared one, of which there is one for each part of an
/// `and`: its name and its text.
fn possible(assignment: &Assignment, prepared: usize) -> Option<(&str, &str)> {
    let mut first = 0;
    for condition in &assignment.possible {
        let count = condition.item.judges();
        if prepared < first + count {
            let text = &assignment.source.text;
            let quoted = text.get(condition.span.start..condition.span.end);
            return Some((&condition.name, quoted.unwrap_or("")));
        }
        first += count;
    }
    None
}

/// A foreseen slip by its number, with what tells it from the others.
fn slip_of(assignment: &Assignment, part: usize, slip: usize) -> String {
    let mut text = format!("foreseen slip {}", slip + 1);
    let model = answer_part(assignment, part).and_then(|answer| answer.slips.get(slip));
    match model.map(|model| (&model.kind, &model.say)) {
        Some((SlipKind::Replace(replaced), _)) => {
            let equations = replaced.iter().map(|&(equation, _)| equation);
            let _ = write!(text, " (another {})", named(assignment, equations));
        }
        Some((SlipKind::Answer(_), Some(say))) => {
            let _ = write!(text, " (\"{}\")", opening(say, SAID));
        }
        _ => {}
    }
    text
}

/// A foreseen slip of part `at` of the paper, by what it is in the file.
pub fn slip(plan: &Plan, at: usize, slip: usize) -> String {
    slip_of(plan.assignment(at), plan.parts[at].part, slip)
}

/// A chance as `1 in 40`.
pub(super) fn one_in(chance: f64) -> String {
    if chance < 1e-6 {
        return "less than 1 in a million".to_owned();
    }
    format!("1 in {}", libm::round(1.0 / chance).max(1.0))
}
