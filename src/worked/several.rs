//! Several equations with several unknowns.
//!
//! In: a block of equations as the solver has it. Out: its lines. Where they are linear one unknown after
//! the other is expressed by the others and put into the equations that are left; where one of them is not,
//! but becomes a line or a square in one unknown by that, it is solved as such. Whatever else is "solved
//! numerically", all unknowns of the block at once.

use crate::formula::Equation;
use crate::formula::order::{Block, Method};
use crate::formula::tape::SlotSet;
use crate::quantity::Dimension;

use super::board::Board;
use super::maths::Chain;
use super::sides::Linear;
use super::single::without_repeats;
use super::{Line, Say, Stage};

/// An unknown expressed by others.
struct Expressed {
    slot: usize,
    by: Linear,
}

/// An equation that is left: the sides brought to one, which has to be zero.
struct Left {
    equation: usize,
    zero: Linear,
    dimension: Dimension,
}

impl Board<'_> {
    /// Solves a block of equations; the unknown in `target` is found first, if it is one of them.
    pub(super) fn several(&self, block: &Block, target: usize) -> Stage {
        let open: SlotSet = block.unknowns.iter().copied().collect();
        let equations = &self.assignment.equations;
        let mut lines = Vec::new();
        for &at in &block.equations {
            for line in self.meanings(&equations[at].item, open) {
                if !lines.contains(&line) {
                    lines.push(line);
                }
            }
        }
        lines.extend(block.equations.iter().map(|&at| self.equation(at)));
        let last = match &block.method {
            _ if open.has(target) => target,
            Method::Tear { held, .. } => *held,
            _ => block.unknowns.last().copied().unwrap_or(target),
        };
        let solved = self.by_turns(block, last).or_else(|| match &block.method {
            Method::Tear { held, .. } if *held != last => self.by_turns(block, *held),
            _ => None,
        });
        lines.extend(solved.unwrap_or_else(|| self.at_once(block, open)));
        Stage { lines }
    }

    /// All unknowns by trial.
    fn at_once(&self, block: &Block, open: SlotSet) -> Vec<Line> {
        let items = block.equations.iter();
        let items = items.map(|&at| &self.assignment.equations[at].item);
        let mut lines: Vec<Line> = items.map(|item| self.with_numbers(item, open)).collect();
        let values = open.iter();
        lines.push(Line {
            say: Say::Numerically,
            chains: values
                .map(|slot| Chain::equal(self.name(slot), self.amount_of(slot)))
                .collect(),
        });
        lines
    }

    /// One unknown after the other, `last` alone in the end.
    fn by_turns(&self, block: &Block, last: usize) -> Option<Vec<Line>> {
        let open: SlotSet = block.unknowns.iter().copied().collect();
        let mut left = Vec::new();
        let mut bent = Vec::new();
        let mut lines = Vec::new();
        for &at in &block.equations {
            let item = &self.assignment.equations[at].item;
            match self.zero(item, open) {
                Some(zero) => {
                    let dimension = self.dimension_of(item);
                    lines.extend(self.sorted(item, open, dimension));
                    left.push(Left {
                        equation: at,
                        zero,
                        dimension,
                    });
                }
                None => bent.push(at),
            }
        }
        if bent.len() > 1 {
            return None;
        }
        let mut expressed = Vec::new();
        while expressed.len() + 1 < block.unknowns.len() {
            expressed.push(self.express(&mut left, last, &mut lines)?);
        }
        let mut value = match (&left[..], &bent[..]) {
            ([one], []) => {
                let factor = one.zero.factor(last);
                let made = (-one.zero.constant, 0.0);
                let only = one.zero.open() == SlotSet::of(last);
                only.then_some(())?;
                self.divided(factor, made, one.dimension, last, &mut lines)
            }
            ([], [bent]) => self.bent(*bent, &expressed, last, &mut lines),
            _ => None,
        };
        value.take()?;
        for Expressed { slot, by } in expressed.iter().rev() {
            let reckoned = by.factors.iter().fold(by.constant, |sum, (other, factor)| {
                sum + factor * self.key.slots[*other]
            });
            if !self.meets(*slot, reckoned) {
                return None;
            }
            let dimension = self.unit(*slot).dimension();
            let chain = Chain::equal(self.name(*slot), self.side(by, dimension));
            if !by.factors.is_empty() {
                lines.push(Line::of(Say::Back, chain.then(self.amount_of(*slot))));
            }
        }
        Some(without_repeats(lines))
    }

    /// An equation with the numbers put in, and multiplied out.
    fn sorted(&self, item: &Equation, open: SlotSet, dimension: Dimension) -> Vec<Line> {
        let mut lines = vec![self.with_numbers(item, open)];
        let sides = (
            self.linear(&item.left, open),
            self.linear(&item.right, open),
        );
        if let (Some(left), Some(right)) = sides {
            let chain = Chain::equal(self.side(&left, dimension), self.side(&right, dimension));
            lines.push(Line::of(Say::Then, chain));
        }
        without_repeats(lines)
    }

    fn zero(&self, item: &Equation, open: SlotSet) -> Option<Linear> {
        let left = self.linear(&item.left, open)?;
        let right = self.linear(&item.right, open)?;
        Some(left.plus(&right.times(-1.0)))
    }

    /// Expresses one unknown other than `last`, the plainest first, and puts it into the equations left.
    fn express(
        &self,
        left: &mut Vec<Left>,
        last: usize,
        lines: &mut Vec<Line>,
    ) -> Option<Expressed> {
        let plain = |candidate: &(usize, usize)| {
            let (at, slot) = *candidate;
            let equation = &left[at];
            let alone = self.over(equation.dimension, slot, 1).is_none();
            let is_one = alone && equation.zero.factor(slot).abs() == 1.0;
            (usize::from(!is_one), equation.zero.factors.len(), at, slot)
        };
        let candidates = left.iter().enumerate().flat_map(|(at, equation)| {
            let open = equation.zero.open().without(SlotSet::of(last));
            open.iter().map(|slot| (at, slot)).collect::<Vec<_>>()
        });
        let (at, slot) = candidates.min_by_key(plain)?;
        let from = left.remove(at);
        let mut rest = from.zero.clone();
        rest.factors.retain(|(open, _)| *open != slot);
        let by = rest.times(-1.0 / from.zero.factor(slot));
        let dimension = self.unit(slot).dimension();
        let name = self.assignment.equations[from.equation].name.clone();
        let chain = Chain::equal(self.name(slot), self.side(&by, dimension));
        lines.push(Line::of(Say::From(name), chain));
        for other in left.iter_mut() {
            if other.zero.factor(slot) == 0.0 {
                continue;
            }
            other.zero = other.zero.with(slot, &by);
            let into = self.assignment.equations[other.equation].name.clone();
            lines.push(Line::of(Say::Into(into), self.to_one_side(other)?));
        }
        Some(Expressed { slot, by })
    }

    /// The unknowns on the left, the number on the right.
    fn to_one_side(&self, equation: &Left) -> Option<Chain> {
        let (_, first) = *equation.zero.factors.first()?;
        let sign = if first < 0.0 { -1.0 } else { 1.0 };
        let unknowns = Linear {
            constant: 0.0,
            factors: equation.zero.factors.clone(),
        };
        let number = Linear {
            constant: -equation.zero.constant,
            factors: Vec::new(),
        };
        Some(Chain::equal(
            self.side(&unknowns.times(sign), equation.dimension),
            self.side(&number.times(sign), equation.dimension),
        ))
    }

    /// The equation that is not linear, with all unknowns but one expressed by that one.
    fn bent(
        &self,
        equation: usize,
        expressed: &[Expressed],
        last: usize,
        lines: &mut Vec<Line>,
    ) -> Option<()> {
        let named = &self.assignment.equations[equation];
        let tape = &self.problem.solver.tapes[equation];
        let at = |value: f64| {
            let mut slots = self.key.slots.clone();
            slots[last] = value;
            for Expressed { slot, by } in expressed.iter().rev() {
                slots[*slot] = by.factors.iter().fold(by.constant, |sum, (other, factor)| {
                    sum + factor * slots[*other]
                });
            }
            tape.sized(&slots)
        };
        let step = match self.key.slots[last].abs() {
            0.0 => self.unit(last).factor(),
            size => size,
        };
        // Through three points, and a fourth tells whether it is a square at all.
        let [(zero, size), (plus, _), (minus, _), (twice, large)] =
            [0.0, step, -step, 2.0 * step].map(at);
        let constant = if zero.abs() <= 1e-12 * size {
            0.0
        } else {
            zero
        };
        let first = (plus - minus) / 2.0;
        let second = (plus + minus) / 2.0 - constant;
        if (constant + 2.0 * first + 4.0 * second - twice).abs() > 1e-9 * large {
            return None;
        }
        let quiet = |value: f64| {
            if value.abs() <= 1e-12 * large {
                0.0
            } else {
                value
            }
        };
        let polynomial = [constant, quiet(first) / step, quiet(second) / (step * step)];
        let dimension = self.dimension_of(&named.item);
        let begin = lines.len();
        if polynomial[2] == 0.0 {
            self.divided(polynomial[1], (-polynomial[0], 0.0), dimension, last, lines)?;
        } else {
            self.rooted(polynomial, dimension, last, lines)?;
        }
        if let Some(line) = lines.get_mut(begin) {
            line.say = Say::Into(named.name.clone());
        }
        Some(())
    }
}
