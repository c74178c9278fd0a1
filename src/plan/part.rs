//! Prepares the parts of a problem: roads, accepted expressions, conditions of words.
//!
//! In: a problem's equations compiled, and keys of the sample draws. Out: for each part what marking
//! needs. Refused: a `by` that is no road, a replacement that leads nowhere, formulas too long.

use crate::assignment::{AnswerPart, PartKind, Slip, SlipKind};
use crate::diagnostic::Diagnostic;
use crate::formula::condition::Judge;
use crate::formula::solve::Solver;
use crate::formula::tape::{Measure, SlotSet, Tape, TooLong};
use crate::formula::tree::Condition;

use super::build::Builder;
use super::replaced::Put;
use super::road::{self, Found, Wanted};
use super::slip::{SlipPlan, Way};
use super::{AnswerPlan, MOST_ROADS, PartPlan, Road};

impl<'a> Builder<'a> {
    /// The parts of an `and`, each by itself, so that each blames only what it names.
    pub(super) fn judges(&self, condition: &Condition) -> Result<Vec<Judge>, TooLong> {
        match condition {
            Condition::All(parts) => {
                let nested: Result<Vec<Vec<Judge>>, TooLong> =
                    parts.iter().map(|part| self.judges(part)).collect();
                Ok(nested?.into_iter().flatten().collect())
            }
            other => Ok(vec![Judge::of(other, &|name| self.meaning(name))?]),
        }
    }

    pub(super) fn part(
        &self,
        at: usize,
        keys: &[Vec<f64>],
        solver: &mut Solver,
    ) -> Result<PartPlan, Diagnostic> {
        let part = &self.assignment.parts[at];
        match &part.kind {
            PartKind::Eye(_) => Ok(PartPlan::Eye),
            PartKind::Choose(choice) => {
                let judges: Result<Vec<Judge>, TooLong> = choice
                    .options
                    .iter()
                    .map(|option| Judge::of(&option.condition, &|name| self.meaning(name)))
                    .collect();
                judges
                    .map(PartPlan::Choose)
                    .map_err(|TooLong| self.too_long(part.span))
            }
            PartKind::Answer(answer) => self.answer(at, answer, keys, solver).map(PartPlan::Answer),
        }
    }

    fn answer(
        &self,
        at: usize,
        answer: &AnswerPart,
        keys: &[Vec<f64>],
        solver: &mut Solver,
    ) -> Result<AnswerPlan, Diagnostic> {
        let slot = self.assignment.givens.len() + answer.unknown;
        let target = SlotSet::of(slot);
        let earlier = self.asked(0..at).without(target);
        let all = self.asked(0..self.assignment.parts.len()).without(target);
        let equations: Vec<usize> = (0..self.assignment.equations.len()).collect();
        let search = |known: SlotSet, must: &[usize], allowed: &[usize], solver: &Solver| {
            let wanted = Wanted {
                solver,
                allowed,
                unknowns: self.unknowns,
                known,
                target: slot,
                must,
                keys,
            };
            let Found { roads, cut_short } = road::search(&wanted);
            (roads, cut_short)
        };
        let (own, mut cut_short) = search(SlotSet::default(), &[], &equations, solver);
        let (mut roads, cut) = search(earlier, &[], &equations, solver);
        cut_short |= cut;
        roads.retain(|road| !road.inputs.is_empty());
        self.narrow(at, answer, &mut roads, &own)?;
        let mut roads = road::distinct(solver, roads, keys);
        let mut own = road::distinct(solver, own, keys);
        own.truncate(MOST_ROADS);
        let more_roads = cut_short || roads.len() > MOST_ROADS;
        roads.truncate(MOST_ROADS);
        let (mut back, _) = search(all, &[], &equations, solver);
        // A way back that can only be searched for takes thousands of times as long as one that is
        // reckoned, and nobody goes it by hand.
        back.retain(|road| !road.inputs.without(earlier).is_empty() && !road.order.is_searched());
        let mut back = road::distinct(solver, back, keys);
        back.truncate(MOST_ROADS - roads.len());
        if answer.by.is_some() {
            back.clear();
        }
        let depends = own.iter().fold(SlotSet::default(), |set, road| {
            road.equations
                .iter()
                .fold(set, |set, &e| set.or(solver.tapes[e].uses()))
        });
        let mut slips = Vec::new();
        for slip in &answer.slips {
            slips.push(self.slip(at, answer, slip, keys, solver)?);
        }
        let accepts = answer
            .accepts
            .iter()
            .map(|accept| {
                let tape = Tape::expr(&accept.expr, &|name| self.meaning(name), Measure::Si)?;
                Ok((tape, accept.share))
            })
            .collect::<Result<_, TooLong>>()
            .map_err(|TooLong| self.too_long(self.assignment.parts[at].span))?;
        Ok(AnswerPlan {
            slot,
            own,
            roads,
            back,
            more_roads,
            slips,
            accepts,
            depends: depends.without(self.unknowns),
            turns: keys.iter().any(|key| key[slot] > 0.0) && keys.iter().any(|key| key[slot] < 0.0),
        })
    }

    /// Keeps only the roads that the part's `by` names.
    fn narrow(
        &self,
        at: usize,
        answer: &AnswerPart,
        roads: &mut Vec<Road>,
        own: &[Road],
    ) -> Result<(), Diagnostic> {
        let Some(by) = &answer.by else { return Ok(()) };
        let sets: Vec<Vec<usize>> = by
            .iter()
            .map(|set| {
                let mut set = set.clone();
                set.sort_unstable();
                set
            })
            .collect();
        let part = &self.assignment.parts[at];
        for set in &sets {
            let is_road = roads
                .iter()
                .chain(own.iter())
                .any(|road| road.equations == *set);
            if !is_road {
                let message = format!(
                    "{} {} no road to the answer of part `{}`",
                    self.equation_names(set),
                    if set.len() == 1 { "is" } else { "together are" },
                    part.id,
                );
                return Err(self.error(part.span, message).help(
                    "a road is a smallest set of equations that gives the answer from the givens and the answers of earlier parts",
                ));
            }
        }
        roads.retain(|road| sets.contains(&road.equations));
        Ok(())
    }

    fn slip(
        &self,
        at: usize,
        answer: &AnswerPart,
        slip: &'a Slip,
        keys: &[Vec<f64>],
        solver: &mut Solver,
    ) -> Result<SlipPlan, Diagnostic> {
        let part = &self.assignment.parts[at];
        let share = slip.share.unwrap_or(part.rules.slip_share);
        let too_long = |TooLong| self.too_long(slip.span);
        let way = match &slip.kind {
            SlipKind::Answer(expr) => self.answered(answer, expr).map_err(too_long)?,
            SlipKind::Replace(replacements) => {
                let mut put = Put::default();
                for (replaced, equation) in replacements {
                    self.put((*replaced, equation), true, solver, &mut put)
                        .map_err(too_long)?;
                }
                let (own, roads) = self.roads_through(at, answer, &put, solver, keys);
                if own.is_empty() && roads.is_empty() {
                    let message = format!(
                        "with this replacement no road leads to the answer of part `{}`",
                        part.id
                    );
                    return Err(self.error(slip.span, message).help(
                        "replace an equation that the answer needs, or write the slip as an answer",
                    ));
                }
                Way::Roads { own, roads }
            }
        };
        Ok(SlipPlan { way, share })
    }
}
