//! Someone at work on a paper.
//!
//! In: numbers, a mistake or another cause of wrong answers, the figures written. Out: the paper, and which
//! mistake was made. Each answer is worked out from the answers written before it where a road leads
//! from there, with what stands on the paper; a mistake is made wherever its equation is used.

use paperweight::answer::{self, Context, Reading, Value};
use paperweight::assignment::PartKind;
use paperweight::diagnosis::{Mistake, Mistakes};
use paperweight::formula::tape::SlotSet;
use paperweight::marking::{Attendance, Entry, Key, Paper};
use paperweight::plan::{Plan, Problem, Road, Way};
use paperweight::quantity::round_to_figures;
use paperweight::text::DecimalMark;

use crate::random::Random;

/// Why answers are wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Cause {
    /// A mistake that the diagnosis knows.
    Known,
    /// The same with slips of the pen in a tenth of the answers.
    KnownAndSlips,
    /// Two mistakes that it knows at once.
    Two,
    /// An answer that is off by some factor.
    Arithmetic,
    /// Numbers from nowhere.
    Guess,
}

impl Cause {
    pub(crate) const ALL: [Self; 5] = [
        Self::Known,
        Self::KnownAndSlips,
        Self::Two,
        Self::Arithmetic,
        Self::Guess,
    ];

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Known => "a known mistake",
            Self::KnownAndSlips => "and slips of the pen",
            Self::Two => "two known mistakes",
            Self::Arithmetic => "wrong arithmetic",
            Self::Guess => "random numbers",
        }
    }
}

/// A mistake by its words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Made {
    pub(crate) says: String,
    pub(crate) equation: Option<String>,
    /// Parts whose numbers it made.
    pub(crate) parts: Vec<usize>,
    /// Whether some of them it only turned.
    pub(crate) turned: bool,
}

pub(crate) struct Student<'a> {
    pub(crate) plan: &'a Plan,
    pub(crate) mistakes: &'a Mistakes,
    pub(crate) key: &'a Key,
    pub(crate) figures: u8,
}

impl Student<'_> {
    /// Works the paper without a mistake.
    pub(crate) fn right(&self) -> Option<Paper> {
        let (paper, ..) = self.paper(Cause::Known, [None, None], &mut Random::of(&[]))?;
        Some(paper)
    }

    /// Works the paper; nothing where the mistake changes no answer.
    pub(crate) fn works(&self, cause: Cause, random: &mut Random) -> Option<(Paper, Vec<Made>)> {
        let list = self.mistakes.of_problem(0);
        let (mut first, mut second) = (None, None);
        if matches!(cause, Cause::Known | Cause::KnownAndSlips | Cause::Two) {
            first = random.pick(list);
        }
        if cause == Cause::Two {
            second = random.pick(list);
        }
        let (paper, is_wrong, parts) = self.paper(cause, [second, first], random)?;
        let equations = &self.plan.sheet.problems[0].equations;
        let turned = |parts: &[usize]| {
            let mut parts = parts.iter();
            parts.any(|part| self.is_turned(&paper, *part))
        };
        let made_of = |(mistake, parts): (Option<&Mistake>, Vec<usize>)| {
            let mistake = mistake?;
            let turned = turned(&parts);
            Some(Made {
                says: mistake.says.clone(),
                equation: mistake.equation.map(|at| equations[at].name.clone()),
                parts,
                turned,
            })
        };
        let made = [second, first].into_iter().zip(parts);
        let made: Vec<Made> = made.filter_map(made_of).collect();
        is_wrong.then_some((paper, made))
    }

    /// Whether an answer is the key but for its sign and rounding.
    fn is_turned(&self, paper: &Paper, part: usize) -> bool {
        let Some(plan) = self.plan.problems[0].answer(part) else {
            return false;
        };
        let PartKind::Answer(asks) = &self.plan.sheet.problems[0].parts[part].kind else {
            return false;
        };
        let Entry::Answer(Reading::One(written)) = &paper.entries[part] else {
            return false;
        };
        let Value::Numeral(numeral) = written.value else {
            return false;
        };
        let key = self.key.problems[0].slots[plan.slot];
        let off = asks.unit.to_si(numeral.to_f64()) + key;
        off.abs() <= 0.01 * key.abs()
    }

    /// The paper with these mistakes made, whether an answer is wrong, and the parts whose numbers each
    /// of them made.
    fn paper(
        &self,
        cause: Cause,
        mistakes: [Option<&Mistake>; 2],
        random: &mut Random,
    ) -> Option<(Paper, bool, [Vec<usize>; 2])> {
        let altered = self.mistakes.altered(0)?;
        let assignment = &self.plan.sheet.problems[0];
        let slots = &self.key.problems[0].slots;
        let mut written = slots.clone();
        let mut stands = SlotSet::default();
        let wrong = random.below(self.plan.parts.len().max(1));
        let mut paper = Paper {
            attendance: Attendance::Present,
            ..Paper::default()
        };
        let mut is_wrong = false;
        let mut made = [Vec::new(), Vec::new()];
        for (at, part) in assignment.parts.iter().enumerate() {
            paper.working.push(None);
            let PartKind::Answer(asks) = &part.kind else {
                paper.entries.push(match &part.kind {
                    PartKind::Choose(choice) => Entry::Choice(answer::choice("", choice)),
                    _ => Entry::Eye(Some(0)),
                });
                continue;
            };
            let plan = self.plan.problems[0].answer(at)?;
            let own = self.reckoned(altered, &plan.own, &plan.roads, &written, stands, random);
            let mut value = own.unwrap_or(slots[plan.slot]);
            for (place, mistake) in mistakes.into_iter().enumerate() {
                let Some(mistake) = mistake else { continue };
                if let Some(by) = self.mistaken(altered, mistake, at, &written, stands, random) {
                    value = by;
                    // The later one has the last word.
                    made.iter_mut()
                        .for_each(|parts: &mut Vec<usize>| parts.retain(|part| *part != at));
                    made[place].push(at);
                }
            }
            match cause {
                Cause::Guess => value = slots[plan.slot] * libm::exp(0.5 * random.normal()),
                Cause::Arithmetic if at >= wrong && !is_wrong => {
                    value *= libm::exp(0.3 * random.normal());
                }
                _ => {}
            }
            let printed = asks.unit.from_si(value);
            let mut text = round_to_figures(printed, self.figures);
            if cause == Cause::KnownAndSlips && random.below(10) == 0 {
                text = slipped(&text, random);
            }
            let Ok(numeral) = paperweight::quantity::Numeral::parse(&text) else {
                return None;
            };
            let carried = asks.unit.to_si(numeral.to_f64());
            is_wrong |= (carried - slots[plan.slot]).abs() > 0.02 * slots[plan.slot].abs();
            written[plan.slot] = carried;
            stands = stands.or(SlotSet::of(plan.slot));
            let context = Context {
                decimal: DecimalMark::Point,
                constants: &[],
                names: &[],
            };
            let entry = format!("{text} {}", asks.unit);
            paper
                .entries
                .push(Entry::Answer(answer::read(&entry, &context)));
        }
        Some((paper, is_wrong, made))
    }

    /// The answer of a part with a mistake made, where it concerns that part.
    fn mistaken(
        &self,
        altered: &Problem,
        mistake: &Mistake,
        at: usize,
        written: &[f64],
        stands: SlotSet,
        random: &mut Random,
    ) -> Option<f64> {
        match mistake.ways[at].as_ref()? {
            Way::Expression { tape, size } => Some(tape.value(written) * size),
            Way::Roads { own, roads } => {
                self.reckoned(altered, own, roads, written, stands, random)
            }
        }
        .filter(|value| value.is_finite() && *value != 0.0)
    }

    /// The end of a road: from what is written, if one starts there, else from the numbers given.
    fn reckoned(
        &self,
        problem: &Problem,
        own: &[Road],
        roads: &[Road],
        written: &[f64],
        stands: SlotSet,
        random: &mut Random,
    ) -> Option<f64> {
        let open: Vec<&Road> = roads
            .iter()
            .filter(|road| road.inputs.without(stands).is_empty())
            .collect();
        let road = match random.pick(&open) {
            Some(road) => *road,
            None => random.pick(own)?,
        };
        let mut slots = written.to_vec();
        let near = self.key.problems[0].slots[road.target];
        road.value(&problem.solver, &mut slots, None, near)
    }
}

/// A number with two digits exchanged, or one taken for another.
fn slipped(text: &str, random: &mut Random) -> String {
    let mut letters: Vec<char> = text.chars().collect();
    let digits: Vec<usize> = (0..letters.len())
        .filter(|at| letters[*at].is_ascii_digit())
        .collect();
    let at = random.below(digits.len().max(1));
    match (random.coin(), digits.get(at), digits.get(at + 1)) {
        (true, Some(&one), Some(&other)) => letters.swap(one, other),
        (_, Some(&one), _) => {
            letters[one] = match letters[one] {
                '1' => '7',
                '7' => '1',
                '4' => '9',
                '9' => '4',
                '0' => '6',
                '6' => '0',
                other => other,
            };
        }
        _ => {}
    }
    letters.into_iter().collect()
}
