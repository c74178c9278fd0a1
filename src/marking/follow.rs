//! Follow-through: an answer judged from the student's own other answers.
//!
//! In: an answer, roads, and what was carried. Out: the road it follows, if any: within the
//! declared tolerance (or half a percent), or within half a unit plus the allowance for values
//! carried with all their digits or rounded on the way; or, half a unit only, from entries
//! rounded to fewer figures before they were carried on. Nothing follows from a missing entry.

use arrayvec::ArrayVec;

use crate::formula::tape::SlotSet;
use crate::plan::{LONGEST_ROAD, MOST_INPUTS, Problem, Road};
use crate::quantity::Tie;

use super::answer::Answer;
use super::carry::Carry;
use super::window::{Fit, Stated, Window, half_unit_of};
use super::{Reason, possible};

/// The tolerance on a followed value where none is declared.
const UNDECLARED: f64 = 0.005;

/// The figures from which on half a unit is narrow enough to show where an answer came from.
const TELLING: u8 = 3;

/// How many combinations of ways to carry several answers are tried for a road.
const MOST_COMBINATIONS: usize = 32;

/// An answer that follows.
#[derive(Clone, Copy, Debug)]
pub(super) struct Trail {
    /// Index among the roads tried.
    pub(super) road: usize,
    pub(super) inputs: SlotSet,
    pub(super) rounded_to: Option<u8>,
    /// Every answer it rests on is right.
    pub(super) all_right: bool,
    /// Why no credit is given for it.
    pub(super) withheld: Option<Reason>,
    /// The value at its end, in SI units.
    pub(super) end: f64,
    pub(super) candidate: usize,
    pub(super) fit: Fit,
}

impl Trail {
    /// Better trails first: from right answers, then with credit, then the rest.
    pub(super) fn rank(&self) -> u8 {
        match (self.all_right, self.withheld) {
            (true, _) => 0,
            (false, None) => 1,
            (false, Some(_)) => 2,
        }
    }
}

/// A road as it is gone from certain numbers.
#[derive(Clone, Copy)]
pub(super) struct Walk<'a> {
    /// Its index among the roads tried.
    pub(super) index: usize,
    pub(super) road: &'a Road,
    /// The number for each answer it starts from.
    pub(super) inputs: &'a [(usize, Stated)],
}

/// Where an answer is judged from.
pub(super) struct Ground<'a> {
    pub(super) problem: &'a Problem,
    /// The student's key, or the key on misread numbers or another constant.
    pub(super) slots: &'a [f64],
    pub(super) carry: &'a Carry,
    /// What follows from right answers alone must do so to half a unit. Such is a way back to an
    /// answer farther from its key than an allowance for rounding may reach: only its last digit
    /// tells whether it was worked out from the later one, or that one from it.
    pub(super) exact: bool,
    /// The solution next to the key is looked for before any other. That is how diagnosis goes through
    /// hundreds of altered systems; marks are given on what lies nearest to the answer.
    pub(super) next_to: bool,
}

impl Ground<'_> {
    /// The best trail to `answer` over `roads`.
    pub(super) fn follow<'r>(
        &self,
        answer: &Answer<'_>,
        roads: impl Iterator<Item = (usize, &'r Road)>,
        scratch: &mut Vec<f64>,
    ) -> Option<Trail> {
        let mut best: Option<Trail> = None;
        for (index, road) in roads {
            if road
                .inputs
                .iter()
                .any(|slot| self.carry[slot].values.is_empty())
            {
                continue;
            }
            // What follows with credit can only be bettered by what rests on right answers alone.
            let settled = best.is_some_and(|best| best.rank() == 1);
            let may_be_right = self.may_be_right(road);
            if settled && !may_be_right {
                continue;
            }
            self.combinations(road, |inputs| {
                let walk = Walk {
                    index,
                    road,
                    inputs,
                };
                let trail = self.as_written(answer, walk, scratch);
                best = better(best, trail);
            });
            if best.is_none_or(|best| best.rank() > u8::from(!may_be_right)) {
                self.combinations(road, |inputs| {
                    let walk = Walk {
                        index,
                        road,
                        inputs,
                    };
                    let trail = self.rounded_again(answer, walk, scratch);
                    best = better(best, trail);
                });
            }
            if best.is_some_and(|best| best.rank() == 0) {
                break;
            }
        }
        best
    }

    /// Calls `each` with every combination of carried values for the inputs of a road.
    pub(super) fn combinations(&self, road: &Road, mut each: impl FnMut(&[(usize, Stated)])) {
        let slots: ArrayVec<usize, MOST_INPUTS> = road.inputs.iter().collect();
        let total: usize = slots
            .iter()
            .map(|&slot| self.carry[slot].values.len())
            .product();
        for combination in 0..total.min(MOST_COMBINATIONS) {
            let mut rest = combination;
            let inputs: ArrayVec<(usize, Stated), MOST_INPUTS> = slots
                .iter()
                .map(|&slot| {
                    let values = &self.carry[slot].values;
                    let value = values[rest % values.len()];
                    rest /= values.len();
                    (slot, value)
                })
                .collect();
            each(&inputs);
        }
    }

    /// The end of a road for some inputs; `scratch` is left holding all slots on it.
    pub(super) fn end(
        &self,
        road: &Road,
        inputs: impl Iterator<Item = (usize, f64)>,
        nudge: Option<(usize, f64)>,
        near: f64,
        scratch: &mut Vec<f64>,
    ) -> Option<f64> {
        scratch.clear();
        scratch.extend_from_slice(self.slots);
        let mut changed = SlotSet::default();
        for (slot, value) in inputs {
            scratch[slot] = value;
            changed = changed.or(SlotSet::of(slot));
        }
        let solver = &self.problem.solver;
        if self.next_to && nudge.is_none() {
            let since = (changed, self.problem.equations);
            return road.value_next_to(solver, scratch, since);
        }
        road.value(solver, scratch, nudge, near)
    }

    pub(super) fn as_written(
        &self,
        answer: &Answer<'_>,
        walk: Walk<'_>,
        scratch: &mut Vec<f64>,
    ) -> Option<Trail> {
        let Walk { road, inputs, .. } = walk;
        let near = answer.candidates.first()?.stated.value;
        let values = || inputs.iter().map(|(slot, stated)| (*slot, stated.value));
        let end = self.end(road, values(), None, near, scratch)?;
        let exact = self.is_exact(inputs);
        if exact && !tells_by_its_last_digit(answer) {
            return None;
        }
        let declared = if exact {
            0.0
        } else {
            followed_tolerance(answer, end)
        };
        let mut window = Window::declared(declared, answer.rules().sign);
        let mut found = answer.fit(&window, end);
        if found.is_none()
            && !exact
            && answer
                .candidates
                .iter()
                .any(|c| window.within_reach(c.stated, end))
        {
            window.allowance = self.allowance(answer, road, inputs, end, scratch);
            found = answer.fit(&window, end);
        }
        let found = found?;
        // The allowance moved the slots: put the road's own values back before judging them.
        self.end(road, values(), None, near, scratch)?;
        Some(self.trail(answer, walk, None, found, end, scratch))
    }

    /// Entries rounded to fewer figures than written, from as many as possible down to two.
    pub(super) fn rounded_again(
        &self,
        answer: &Answer<'_>,
        walk: Walk<'_>,
        scratch: &mut Vec<f64>,
    ) -> Option<Trail> {
        let Walk { road, inputs, .. } = walk;
        let near = answer.candidates.first()?.stated.value;
        let most = inputs
            .iter()
            .filter_map(|(_, stated)| stated.figures())
            .max()?;
        if self.is_exact(inputs) && !tells_by_its_last_digit(answer) {
            return None;
        }
        let window = Window::declared(0.0, answer.rules().sign);
        for figures in (2..most).rev() {
            let rounded = |tie: Tie| -> ArrayVec<(usize, f64), MOST_INPUTS> {
                let inputs = inputs.iter();
                inputs
                    .map(|(slot, stated)| (*slot, rounded_to(*stated, figures, tie)))
                    .collect()
            };
            // Only at an exact tie do the rules differ, which ends in a five.
            let has_tie = inputs.iter().any(|(_, stated)| may_be_tie(*stated));
            let away = rounded(Tie::Away);
            let even = has_tie.then(|| rounded(Tie::Even));
            let even = even.as_ref().filter(|even| **even != away);
            for rounded in std::iter::once(&away).chain(even) {
                let rounded = rounded.iter().copied();
                let Some(end) = self.end(road, rounded, None, near, scratch) else {
                    continue;
                };
                if let Some(found) = answer.fit(&window, end) {
                    return Some(self.trail(answer, walk, Some(figures), found, end, scratch));
                }
            }
        }
        None
    }

    /// What half a unit in each value carried or solved on the way does to the end of a road.
    pub(super) fn allowance(
        &self,
        answer: &Answer<'_>,
        road: &Road,
        inputs: &[(usize, Stated)],
        end: f64,
        scratch: &mut Vec<f64>,
    ) -> f64 {
        // The unknowns on the way, as the road gave them.
        let figures = answer.asked.carried(answer.figures());
        let hidden: ArrayVec<(usize, f64), LONGEST_ROAD> = road
            .hidden
            .iter()
            .map(|slot| {
                (
                    slot,
                    half_unit_of(scratch[slot], figures, self.problem.sizes[slot]),
                )
            })
            .collect();
        let mut allowance = 0.0;
        if self.next_to {
            let inputs = inputs.iter().map(|(slot, stated)| (*slot, stated.half));
            for (slot, half) in inputs.chain(hidden).filter(|(_, half)| *half > 0.0) {
                let moved = road.moved_by(&self.problem.solver, scratch, slot, half);
                allowance += moved.unwrap_or(0.0);
            }
            return allowance;
        }
        for &(moved, stated) in inputs {
            allowance += both_ways(stated.half, |by| {
                let shifted = inputs.iter().map(|&(slot, stated)| {
                    (
                        slot,
                        if slot == moved {
                            stated.value + by
                        } else {
                            stated.value
                        },
                    )
                });
                let moved = self.end(road, shifted, None, end, scratch)?;
                Some((moved - end).abs())
            });
        }
        for &(slot, half) in &hidden {
            allowance += both_ways(half, |by| {
                let values = inputs.iter().map(|&(slot, stated)| (slot, stated.value));
                let moved = self.end(road, values, Some((slot, by)), end, scratch)?;
                Some((moved - end).abs())
            });
        }
        allowance
    }

    /// Judges what a trail rests on and leads to. `scratch` holds the values on the road.
    fn trail(
        &self,
        answer: &Answer<'_>,
        walk: Walk<'_>,
        rounded_to: Option<u8>,
        (candidate, fit): (usize, Fit),
        end: f64,
        scratch: &[f64],
    ) -> Trail {
        let Walk {
            index,
            road,
            inputs,
        } = walk;
        let on_the_way = road.inputs.or(road.hidden).or(SlotSet::of(road.target));
        let zero = |slot: usize| scratch[slot] == 0.0 && self.slots[slot] != 0.0;
        // A zero within the tolerance is as empty as an exact one.
        let stated = answer.candidates[candidate].stated.value;
        let ends_in_zero = (end == 0.0 || stated == 0.0) && answer.key != 0.0;
        let trivial = road.inputs.iter().any(zero) || ends_in_zero;
        let impossible = possible::broken(self.problem, self.carry, on_the_way, scratch);
        let withheld = if trivial {
            Some(Reason::Trivial)
        } else {
            impossible.map(|condition| Reason::Impossible { condition })
        };
        Trail {
            road: index,
            inputs: road.inputs,
            rounded_to,
            all_right: self.all_right(inputs),
            withheld,
            end,
            candidate,
            fit,
        }
    }
}

impl Ground<'_> {
    /// Whether what follows from these must do so to half a unit.
    pub(super) fn is_exact(&self, inputs: &[(usize, Stated)]) -> bool {
        self.exact && self.all_right(inputs)
    }

    /// Whether some right value is carried from every answer a road starts from.
    fn may_be_right(&self, road: &Road) -> bool {
        let right = |slot: usize| {
            let carried = &self.carry[slot];
            let key = self.slots[slot];
            carried.values.iter().any(|v| carried.is_right(*v, key))
        };
        road.inputs.iter().all(right)
    }

    fn all_right(&self, inputs: &[(usize, Stated)]) -> bool {
        inputs
            .iter()
            .all(|&(slot, stated)| self.carry[slot].is_right(stated, self.slots[slot]))
    }
}

/// Whether the last digit of an answer is fine enough to tell work from chance: of two figures it
/// stands for up to a tenth.
fn tells_by_its_last_digit(answer: &Answer<'_>) -> bool {
    answer.figures().is_some_and(|figures| figures >= TELLING)
}

/// The better of two trails, the first where they are equal.
fn better(known: Option<Trail>, other: Option<Trail>) -> Option<Trail> {
    match (known, other) {
        (Some(known), Some(other)) if other.rank() >= known.rank() => Some(known),
        (known, None) => known,
        (_, other) => other,
    }
}

/// The larger effect of moving a value by `half` up or down.
pub(super) fn both_ways(half: f64, mut effect: impl FnMut(f64) -> Option<f64>) -> f64 {
    if half == 0.0 {
        return 0.0;
    }
    let up = effect(half).unwrap_or(0.0);
    let down = effect(-half).unwrap_or(0.0);
    up.max(down)
}

/// The tolerance around a followed value: as declared, or half a percent.
pub(super) fn followed_tolerance(answer: &Answer<'_>, value: f64) -> f64 {
    let rules = answer.rules();
    if answer.is_cut_off() {
        // Only rounding explains that it is not.
        0.0
    } else if rules.percent.is_none() && rules.absolute.is_none() {
        UNDECLARED * value.abs()
    } else {
        answer.declared(value)
    }
}

/// Whether a number can stand exactly between two shorter ones.
fn may_be_tie(stated: Stated) -> bool {
    stated.numeral.is_some_and(|numeral| numeral.ends_in_five())
}

pub(super) fn rounded_to(stated: Stated, figures: u8, tie: Tie) -> f64 {
    match stated.numeral {
        Some(numeral) if numeral.figures().most > figures => {
            let rounded = numeral.rounded(figures, tie).to_f64();
            stated.value + (rounded - numeral.to_f64()) * stated.size
        }
        _ => stated.value,
    }
}
