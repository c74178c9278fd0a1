//! A student at work: part after part along ways of their own choice, writing down and carrying on
//! numbers by some habit, with a mistake where one is wanted.
//!
//! In: a family, a student, a habit, and what goes wrong in which part. Out: what stands on the
//! paper, and beside each number the one it would have been without the mistake in that part.

use paperweight::assignment::Sign;
use paperweight::formula::order::Order;
use paperweight::formula::solve::Solver;
use paperweight::formula::tape::SlotSet;
use paperweight::quantity::{Numeral, Tie, numeral_of};

use crate::family::Family;
use crate::mistake;
use crate::random::Random;
use crate::ways::{Step, Way};

/// How a student deals with digits.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Habit {
    pub(crate) name: &'static str,
    /// Figures written.
    pub(crate) written: u8,
    /// Figures carried on; all digits if none.
    pub(crate) carried: Option<u8>,
    /// Whether each term of a sum is rounded too.
    pub(crate) terms: bool,
}

const fn habit(name: &'static str, written: u8, carried: Option<u8>, terms: bool) -> Habit {
    Habit {
        name,
        written,
        carried,
        terms,
    }
}

/// Writes and carries two figures, and so on.
pub(crate) const W2: Habit = habit("2w", 2, Some(2), false);
pub(crate) const FULL2: Habit = habit("2full", 2, None, false);
pub(crate) const W3: Habit = habit("3w", 3, Some(3), false);
pub(crate) const FULL3: Habit = habit("3full", 3, None, false);
pub(crate) const TERMS3: Habit = habit("3terms", 3, Some(3), true);
pub(crate) const COARSE3: Habit = habit("3coarse", 3, Some(2), false);
pub(crate) const W4: Habit = habit("4w", 4, Some(4), false);

/// What a student does in a part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Act {
    /// Works it out.
    Honest,
    /// Works it out and makes a slip of the pen.
    Slip,
    /// Uses an altered equation.
    Concept,
    /// Writes something like the key: log-normal, sigma 0.5.
    Guess,
    /// Writes a number seen elsewhere, in SI units.
    Copied(f64),
}

/// Which ways a student takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Choice {
    /// Those of the plan, each block solved at a stroke, and each time anew.
    Prepared,
    /// Any, in any order of work; what was found once is used again.
    Any,
}

/// What stands on the paper for one part, and how it got there.
#[derive(Clone, Debug)]
pub(crate) struct Work {
    pub(crate) act: Act,
    /// The number with all digits, in SI units and with its sign.
    pub(crate) full: f64,
    /// What it would have been without the mistake.
    pub(crate) honest: f64,
    /// The numeral as written.
    pub(crate) numeral: Numeral,
    /// Its value in SI units.
    pub(crate) value: f64,
    /// Index of the way, and of the order of work on it.
    pub(crate) way: (usize, usize),
    /// Index of the alteration.
    pub(crate) alteration: Option<usize>,
    /// It rests on a mistake made before.
    pub(crate) rests: bool,
    /// The numbers on the way, by slot.
    pub(crate) on_the_way: Vec<f64>,
}

/// A student with one paper.
#[derive(Clone, Debug)]
pub(crate) struct Student<'f> {
    pub(crate) family: &'f Family,
    pub(crate) student: usize,
    pub(crate) habit: Habit,
    pub(crate) choice: Choice,
    /// For each part asked what was done.
    pub(crate) works: Vec<Option<Work>>,
    /// What is carried on, by slot.
    slots: Vec<f64>,
    have: SlotSet,
    /// What was written down on the way and is looked up when it is needed again.
    noted: SlotSet,
    /// Whether a number is written with its sign where only its size is asked for.
    signed: bool,
}

impl<'f> Student<'f> {
    /// Sits down to the paper.
    pub(crate) fn new(
        family: &'f Family,
        student: usize,
        habit: Habit,
        choice: Choice,
        random: &mut Random,
    ) -> Self {
        Self {
            family,
            student,
            habit,
            choice,
            works: Vec::new(),
            slots: family.slots(student).to_vec(),
            have: SlotSet::default(),
            noted: SlotSet::default(),
            signed: random.coin(),
        }
    }

    /// Works through all parts.
    pub(crate) fn all(&mut self, acts: &[Act], random: &mut Random) {
        for &act in acts {
            self.next(act, random);
        }
    }

    /// Works on the next part. What cannot be worked out stays blank.
    pub(crate) fn next(&mut self, act: Act, random: &mut Random) {
        let asked = self.works.len();
        let work = self.attempt(asked, act, random);
        if let Some(work) = &work {
            let on_the_way = &work.on_the_way;
            let slot = self.family.asked[asked].slot;
            self.have = self.have.or(SlotSet::of(slot));
            self.slots[slot] = self.carried(work);
            if self.choice == Choice::Any {
                let known = self.known();
                let givens = self.family.problem().givens;
                for (slot, &value) in on_the_way.iter().enumerate().skip(givens) {
                    if !known.has(slot) && value.is_finite() {
                        self.slots[slot] = value;
                        self.noted = self.noted.or(SlotSet::of(slot));
                    }
                }
            }
        }
        self.works.push(work);
    }

    /// What is written somewhere.
    fn known(&self) -> SlotSet {
        self.have.or(self.noted)
    }

    fn attempt(&self, asked: usize, act: Act, random: &mut Random) -> Option<Work> {
        let part = &self.family.asked[asked];
        let usable: Vec<usize> = (0..part.ways.len())
            .filter(|&way| part.ways[way].inputs.without(self.have).is_empty())
            .filter(|&way| self.choice == Choice::Any || part.ways[way].prepared)
            .collect();
        for _ in 0..20 {
            let &way = random.pick(&usable)?;
            let works = match self.choice {
                Choice::Prepared => 1,
                Choice::Any => part.ways[way].works.len(),
            };
            let order = random.below(works);
            let Some((honest, on_the_way)) = self.honest(&part.ways[way], order) else {
                continue;
            };
            let Some((full, alteration)) = self.act(asked, act, way, honest, random) else {
                continue;
            };
            let numeral = self.write(asked, full)?;
            let value = part.unit.to_si(numeral.to_f64());
            let is_mistake = |other: usize| {
                let slot = self.family.asked[other].slot;
                let work = self.works[other].as_ref();
                part.ways[way].inputs.has(slot)
                    && work.is_some_and(|work| work.rests || work.act != Act::Honest)
            };
            return Some(Work {
                act,
                full,
                honest,
                numeral,
                value,
                way: (way, order),
                alteration,
                rests: (0..asked).any(is_mistake),
                on_the_way,
            });
        }
        None
    }

    /// The number that is come to, and the mistake that leads there: off from what honest work
    /// gives and from the key by more than is tolerated.
    fn act(
        &self,
        asked: usize,
        act: Act,
        way: usize,
        honest: f64,
        random: &mut Random,
    ) -> Option<(f64, Option<usize>)> {
        let family = self.family;
        let key = family.slots(self.student)[family.asked[asked].slot];
        let is_wrong =
            |value: f64| family.apart(asked, value, honest) && family.apart(asked, value, key);
        for _ in 0..20 {
            let (value, alteration) = match act {
                Act::Honest => return Some((honest, None)),
                Act::Copied(value) => return Some((value, None)),
                Act::Slip => {
                    let unit = family.asked[asked].unit;
                    let slipped = mistake::slip(unit.from_si(honest), self.habit.written, random);
                    (unit.to_si(slipped), None)
                }
                Act::Guess => (key * libm::exp(0.5 * random.normal()), None),
                Act::Concept => {
                    let way = &family.asked[asked].ways[way];
                    let on_it: Vec<usize> = (0..family.alterations.len())
                        .filter(|&at| way.equations.contains(&family.alterations[at].equation))
                        .collect();
                    let &alteration = random.pick(&on_it)?;
                    let Some(value) = self.altered(way, alteration) else {
                        continue;
                    };
                    (value, Some(alteration))
                }
            };
            let written = self
                .write(asked, value)
                .map(|n| family.asked[asked].unit.to_si(n.to_f64()));
            if value.is_finite() && is_wrong(value) && written.is_some_and(is_wrong) {
                return Some((value, alteration));
            }
        }
        None
    }

    /// The numeral that is written for a value: of the size alone, by those who take the question
    /// at its word.
    fn write(&self, asked: usize, value: f64) -> Option<Numeral> {
        let shown = self.family.asked[asked].unit.from_si(value);
        let size_only = self.family.rules(asked).sign != Sign::Fixed;
        let shown = if size_only && !self.signed {
            shown.abs()
        } else {
            shown
        };
        (shown != 0.0).then(|| numeral_of(shown, self.habit.written))?
    }

    /// What is carried on of an answer, with its sign.
    fn carried(&self, work: &Work) -> f64 {
        match self.habit.carried {
            None => work.full,
            Some(figures) => {
                let asked = self.works.len();
                let kept = work.numeral.rounded(figures, Tie::Away);
                let value = self.family.asked[asked].unit.to_si(kept.to_f64());
                value.abs() * work.full.signum()
            }
        }
    }

    /// The end of a way without mistakes.
    fn honest(&self, way: &Way, order: usize) -> Option<(f64, Vec<f64>)> {
        let problem = self.family.problem();
        let mut slots = self.start(way);
        let (last, before) = way.works[order].split_last()?;
        for step in before {
            self.step(&problem.solver, step, true, &mut slots)?;
            self.round(step, &mut slots);
            for &slot in step.keeps.iter().filter(|&&slot| self.noted.has(slot)) {
                slots[slot] = self.slots[slot];
            }
        }
        self.step(&problem.solver, last, true, &mut slots)?;
        let &target = last.keeps.first()?;
        if self.noted.has(target) {
            slots[target] = self.slots[target];
        }
        Some((slots[target], slots))
    }

    /// Whether the numbers on the way to a part are as nature allows; what a condition names
    /// besides is taken from the other answers.
    pub(crate) fn is_possible(&self, asked: usize) -> bool {
        let Some(work) = &self.works[asked] else {
            return false;
        };
        let problem = self.family.problem();
        let way = &self.family.asked[asked].ways[work.way.0];
        let on_it = way.inputs.or(way.open);
        let mut slots = work.on_the_way.clone();
        let mut told: SlotSet = (0..problem.givens).collect();
        told = told.or(on_it);
        for (other, work) in self.family.asked.iter().zip(&self.works) {
            if let Some(work) = work
                && !on_it.has(other.slot)
            {
                slots[other.slot] = work.full;
                told = told.or(SlotSet::of(other.slot));
            }
        }
        problem.possible.iter().all(|judge| {
            let named = judge.uses();
            named.and(on_it).is_empty() || !named.without(told).is_empty() || judge.holds(&slots)
        })
    }

    /// The end of a way with an altered equation.
    fn altered(&self, way: &Way, alteration: usize) -> Option<f64> {
        let solver = &self.family.alterations[alteration].solver;
        let order = Order::of(&solver.tapes, &way.equations, way.open)?;
        let mut slots = self.start(way);
        let target = *way.works.first()?.last()?.keeps.first()?;
        for block in order.blocks {
            let keeps = block.unknowns.clone();
            let step = Step {
                order: Order {
                    blocks: vec![block],
                },
                keeps,
            };
            self.step(solver, &step, false, &mut slots)?;
            if step.keeps.contains(&target) {
                return Some(slots[target]);
            }
            self.round(&step, &mut slots);
        }
        None
    }

    /// What is known at the start of a way. Nothing else may be looked at.
    fn start(&self, way: &Way) -> Vec<f64> {
        let givens = self.family.problem().givens;
        let mut slots = vec![f64::NAN; self.slots.len()];
        slots[..givens].copy_from_slice(&self.slots[..givens]);
        for slot in way.inputs.iter() {
            slots[slot] = self.slots[slot];
        }
        slots
    }

    /// Solves one block; of several solutions the one most like the key.
    fn step(&self, solver: &Solver, step: &Step, honest: bool, slots: &mut [f64]) -> Option<()> {
        let key = self.family.slots(self.student);
        let yields = &step.order.blocks[0].unknowns;
        let far = |slots: &[f64]| -> f64 {
            let off = |&slot: &usize| (slots[slot] - key[slot]).abs() / (key[slot].abs() + 1e-9);
            yields.iter().map(off).sum()
        };
        let mut best: Option<Vec<f64>> = None;
        solver
            .solutions(&step.order, slots, None, &mut |found| {
                let better = |best: &Vec<f64>| far(found) < far(best);
                if best.as_ref().is_none_or(better) {
                    best = Some(found.to_vec());
                }
            })
            .ok()?;
        slots.copy_from_slice(&best?);
        if self.habit.terms && honest {
            self.round_terms(solver, step, slots);
        }
        yields
            .iter()
            .all(|&slot| slots[slot].is_finite())
            .then_some(())
    }

    /// What rounding each term to three figures does to the unknown of one equation.
    fn round_terms(&self, solver: &Solver, step: &Step, slots: &mut [f64]) {
        let block = &step.order.blocks[0];
        let (&[equation], &[slot]) = (&block.equations[..], &block.unknowns[..]) else {
            return;
        };
        let figures = self.habit.written;
        let mut off = 0.0;
        let mut factor = None;
        for term in &self.family.terms[equation] {
            let value = term.value(slots);
            if !term.uses().has(slot) {
                off += rounded(value, figures) - value;
                continue;
            }
            // A term that is some factor times the unknown: the factor is worked out first.
            let share = value / slots[slot];
            let is_plain = (term.slope(slots, slot).1 - share).abs() <= 1e-9 * share.abs();
            factor = match (factor, is_plain) {
                (None, true) => Some(rounded(share, figures) / share),
                _ => Some(1.0),
            };
        }
        let slope = solver.tapes[equation].slope(slots, slot).1;
        if slope != 0.0 && slope.is_finite() {
            slots[slot] = (slots[slot] - off / slope) / factor.unwrap_or(1.0);
        }
    }

    /// Rounds what is written down on the way.
    fn round(&self, step: &Step, slots: &mut [f64]) {
        let Some(figures) = self.habit.carried else {
            return;
        };
        for &slot in &step.keeps {
            let size = self.family.problem().sizes[slot];
            slots[slot] = rounded(slots[slot] / size, figures) * size;
        }
        // What was found beside it but not written down is not known any more.
        for &slot in &step.order.blocks[0].unknowns {
            if !step.keeps.contains(&slot) {
                slots[slot] = f64::NAN;
            }
        }
    }
}

/// A value at so many figures.
fn rounded(value: f64, figures: u8) -> f64 {
    numeral_of(value, figures).map_or(value, |numeral| numeral.to_f64())
}
