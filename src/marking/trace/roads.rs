//! The roads an answer was held against.
//!
//! In: an answer being traced. Out: a test for each road, with the values that went in and came
//! up on the way: those by which it fits, or else the answers as written.

use crate::plan::Road;
use crate::quantity::Tie;

use super::super::circle::{is_circular, is_sound};
use super::super::follow::{Ground, Trail, Walk, followed_tolerance, rounded_to};
use super::super::judged::{Basis, grounds};
use super::super::right;
use super::super::window::{Stated, Window};
use super::{By, Reason, Test, Tracer, Verdict};

impl Tracer<'_> {
    /// The roads, on the numbers given and on those that settled it.
    pub(super) fn by_roads(&self, tests: &mut Vec<Test>, scratch: &mut Vec<f64>) {
        let misread = self.judged.misread.as_deref();
        let grounds = grounds(self.key, misread, self.judged.constant.as_ref());
        let plan = self.answer.plan;
        for (index, road) in plan.roads.iter().chain(&plan.back).enumerate() {
            let is_back = index >= plan.roads.len();
            let answers = &self.judged.answers;
            let inputs = road.inputs;
            for &(basis, slots) in &grounds {
                let closed = is_back
                    && (is_circular(answers, &[], self.at, inputs)
                        || !is_sound(answers, inputs, self.problem, slots, scratch));
                if closed {
                    continue;
                }
                let ground = Ground {
                    problem: self.problem,
                    slots,
                    carry: &self.judged.carry,
                    exact: is_back && !right::is_near(self.answer, slots),
                    next_to: false,
                };
                let Some(test) = self.walk(&ground, index, road, scratch) else {
                    continue;
                };
                if basis == Basis::Given || test.fits {
                    tests.push(test);
                }
            }
        }
    }

    /// A road walked again from the student's answers; nothing where a way back lacks one.
    fn walk(
        &self,
        ground: &Ground<'_>,
        index: usize,
        road: &Road,
        scratch: &mut Vec<f64>,
    ) -> Option<Test> {
        let answer = self.answer;
        let is_missing = |slot: usize| ground.carry[slot].values.is_empty();
        if road.inputs.iter().any(is_missing) {
            return (index < answer.plan.roads.len()).then(|| untravelled(index));
        }
        let mut first: Option<Vec<(usize, Stated)>> = None;
        let mut best: Option<(Trail, Vec<(usize, Stated)>)> = None;
        let mut keep = |trail: Option<Trail>, inputs: &[(usize, Stated)]| {
            first.get_or_insert_with(|| inputs.to_vec());
            let rank = best.as_ref().map_or(u8::MAX, |(trail, _)| trail.rank());
            if let Some(trail) = trail.filter(|trail| trail.rank() < rank) {
                best = Some((trail, inputs.to_vec()));
            }
        };
        ground.combinations(road, |inputs| {
            let walk = Walk {
                index,
                road,
                inputs,
            };
            keep(ground.as_written(answer, walk, scratch), inputs);
        });
        ground.combinations(road, |inputs| {
            let walk = Walk {
                index,
                road,
                inputs,
            };
            keep(ground.rounded_again(answer, walk, scratch), inputs);
        });
        let (trail, inputs) = match best {
            Some((trail, inputs)) => (Some(trail), inputs),
            None => (None, first?),
        };
        Some(self.walked(ground, index, road, trail, &inputs, scratch))
    }

    fn walked(
        &self,
        ground: &Ground<'_>,
        index: usize,
        road: &Road,
        trail: Option<Trail>,
        inputs: &[(usize, Stated)],
        scratch: &mut Vec<f64>,
    ) -> Test {
        let answer = self.answer;
        let near = self.stated().map_or(answer.key, |stated| stated.value);
        let rounded = trail.and_then(|trail| trail.rounded_to);
        let ties: &[Tie] = if rounded.is_some() {
            &[Tie::Away, Tie::Even]
        } else {
            &[Tie::Away]
        };
        let mut test = untravelled(index);
        for &tie in ties {
            let start = |&(slot, stated): &(usize, Stated)| match rounded {
                Some(figures) => (slot, rounded_to(stated, figures, tie)),
                None => (slot, stated.value),
            };
            let start: Vec<(usize, f64)> = inputs.iter().map(start).collect();
            let end = ground.end(road, start.iter().copied(), None, near, scratch);
            let hidden: Vec<(usize, f64)> = road
                .hidden
                .iter()
                .map(|slot| (slot, scratch[slot]))
                .collect();
            let by = By::Road {
                road: index,
                inputs: start,
                hidden,
                rounded_to: rounded,
                withheld: trail.and_then(|trail| trail.withheld),
            };
            let Some(end) = end else {
                test.by = by;
                continue;
            };
            let mut window = Window::declared(0.0, answer.rules().sign);
            if rounded.is_none() && !ground.is_exact(inputs) {
                window.declared = followed_tolerance(answer, end);
                window.allowance = ground.allowance(answer, road, inputs, end, scratch);
            }
            test = self.test(by, &window, end, trail.is_some_and(|t| self.settles(&t)));
            if test.fits {
                break;
            }
        }
        test
    }

    /// Whether this trail is the one behind the verdict.
    fn settles(&self, trail: &Trail) -> bool {
        let Some(outcome) = self.outcome() else {
            return false;
        };
        let taken = outcome.verdict == Verdict::Followed || outcome.verdict.is_right();
        let credited = trail.all_right || trail.withheld.is_none();
        let same = |reason: &Reason| {
            matches!(reason, Reason::FollowedFrom { road, rounded_to, .. }
                if usize::from(*road) == trail.road && *rounded_to == trail.rounded_to)
        };
        taken && credited && outcome.verdict.is_right() == trail.all_right && self.has(same)
    }
}

/// A road that cannot be gone: an answer it starts from is missing, or it has no end.
fn untravelled(road: usize) -> Test {
    Test {
        by: By::Road {
            road,
            inputs: Vec::new(),
            hidden: Vec::new(),
            rounded_to: None,
            withheld: None,
        },
        value: None,
        declared: 0.0,
        half: 0.0,
        allowance: 0.0,
        off: f64::NAN,
        fits: false,
        settles: false,
    }
}
