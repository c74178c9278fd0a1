//! What is said of the mistakes that fit: only as strongly as the evidence allows.
//!
//! In: a problem's faulty answers with all mistakes tried. Out: explanations, the best first. Foreseen slips
//! come first, then what explains several answers at once, then answer by answer, then pairs.

use crate::marking::{Explanation, Kind, Number, Strength};

use super::case::{Case, Tried};
use super::{LIKELY, MOST_POSSIBLE, POSSIBLE, STRONG, luck};

/// A mistake that fits, with the number that it makes of an answer, its λ, and how well it goes with what stands
/// there beside others: the narrower its match and the fewer it might have had, the better.
struct Match<'c> {
    tried: &'c Tried,
    number: Number,
    lambda: f64,
    weight: f64,
}

/// Whether two numbers cannot be told apart: those that rounding on the way may make one are one.
fn is_one(one: &Number, other: &Number) -> bool {
    let off = (one.value - other.value).abs();
    one.is(other) || off <= one.allowance + other.allowance
}

/// How many different numbers there are.
pub(super) fn different(numbers: impl Iterator<Item = Number>) -> usize {
    let mut known: Vec<Number> = Vec::new();
    for number in numbers {
        if !known.iter().any(|known| is_one(known, &number)) {
            known.push(number);
        }
    }
    known.len()
}

/// Matches by the different numbers that they make, those first to which the most ways lead; of one number as
/// they come, which is by how common they are.
fn by_number(matched: Vec<Match<'_>>) -> Vec<Vec<Match<'_>>> {
    let mut groups: Vec<Vec<Match<'_>>> = Vec::new();
    for one in matched {
        let mut known = groups.iter_mut();
        match known.find(|group| is_one(&group[0].number, &one.number)) {
            Some(group) => group.push(one),
            None => groups.push(vec![one]),
        }
    }
    let weight = |group: &[Match<'_>]| group.iter().map(|one| one.weight).sum::<f64>();
    groups.sort_by(|one, other| weight(other).total_cmp(&weight(one)));
    groups
}

/// The least λ of some matches.
fn least(matched: &[Match<'_>]) -> f64 {
    let lambdas = matched.iter().map(|one| one.lambda);
    lambdas.fold(f64::INFINITY, f64::min)
}

impl Case<'_> {
    pub(super) fn explain(&self, all: &mut Vec<Explanation>) {
        let mut open: Vec<bool> = vec![true; self.faulty.len()];
        self.slips(all, &mut open);
        self.several(all, &mut open);
        // What is left, answer by answer: two mistakes in different parts need no pairs.
        let alone = self.chances_alone();
        for place in (0..self.faulty.len()).filter(|place| open[*place]) {
            self.one(place, &alone, all);
        }
    }

    /// What explains several faulty answers at once, as many as possible.
    fn several(&self, all: &mut Vec<Explanation>, open: &mut [bool]) {
        let most = self.tried.iter().map(Tried::explains).max().unwrap_or(0);
        if most < 2 {
            return;
        }
        let best = self.tried.iter().filter(|tried| tried.explains() == most);
        let matched = best.filter_map(|tried| {
            Some(Match {
                tried,
                number: tried.fits.iter().flatten().next().copied()?,
                lambda: self.lambda_of(tried, most),
                weight: self.weight(tried, &tried.fits),
            })
        });
        let groups = by_number(matched.collect());
        let own = groups.iter().map(|group| least(group));
        let own = own.fold(f64::INFINITY, f64::min);
        let strength = match groups.len() {
            // Whatever had explained as much would have been called strong.
            _ if self.lambda_of_any(most) <= STRONG => Strength::Strong,
            1 if own <= LIKELY && self.budget.untried() == 0 => Strength::Likely,
            1..=MOST_POSSIBLE if own <= POSSIBLE => Strength::Possible,
            _ => return,
        };
        for (rank, group) in groups.iter().enumerate() {
            for one in group {
                let explains = self.places(&one.tried.fits);
                all.push(self.explanation(one, strength, explains, rank));
                for (open, fits) in open.iter_mut().zip(&one.tried.fits) {
                    *open &= fits.is_none();
                }
            }
        }
    }

    /// What explains the faulty answer at `place` alone.
    fn one(&self, place: usize, alone: &[f64], all: &mut Vec<Explanation>) {
        let mut only = vec![None; self.faulty.len()];
        let matched = self.tried.iter().filter_map(|tried| {
            let number = tried.fits[place]?;
            only[place] = Some(number);
            Some(Match {
                tried,
                number,
                lambda: self.lambda_alone(place, &number, alone),
                weight: self.weight(tried, &only),
            })
        });
        let mut groups = by_number(matched.collect());
        if groups.is_empty() && alone.iter().sum::<f64>() <= POSSIBLE {
            self.say_pairs(place, all);
        }
        let rivals = groups.len();
        groups.retain(|group| least(group) <= POSSIBLE);
        groups.truncate(MOST_POSSIBLE);
        for (rank, group) in groups.iter().enumerate() {
            // Several with one number cannot be told apart: one of these.
            let is_only = rivals == 1 && self.budget.untried() == 0;
            let strength = if is_only && least(group) <= LIKELY {
                Strength::Likely
            } else {
                Strength::Possible
            };
            for one in group {
                let explains = vec![self.paper_place(self.faulty[place])];
                all.push(self.explanation(one, strength, explains, rank));
            }
        }
    }

    /// How well a mistake goes with the answers that it explains, with these numbers. One that might have led to
    /// several numbers might as well have led to another of them, and so a number that was misread.
    fn weight(&self, tried: &Tried, fits: &[Option<Number>]) -> f64 {
        let given = |tried: &Tried| tried.words.misread.as_ref().map(|(given, _)| given.clone());
        let alike = match given(tried) {
            Some(own) => {
                let others = self.tried.iter().filter_map(given);
                others.filter(|other| *other == own).count()
            }
            None => 1,
        };
        let explained = fits.iter().enumerate().filter_map(|(place, number)| {
            let chance = self.evidence.chance(self.faulty[place], number.as_ref()?);
            Some(1.0 / (chance * tried.numbers[place].len() as f64))
        });
        explained.product::<f64>() / alike as f64
    }

    fn explanation(
        &self,
        one: &Match<'_>,
        strength: Strength,
        explains: Vec<usize>,
        rank: usize,
    ) -> Explanation {
        let words = &one.tried.words;
        Explanation {
            strength,
            kind: words.kind,
            equation: self.equation(one.tried),
            alteration: words.alteration,
            says: words.says.clone(),
            hint: words.hint,
            explains,
            rank,
            tried: self.different_tried(),
            untried: self.budget.untried(),
            chance: luck::chance(one.lambda),
            misread: words.misread.clone(),
        }
    }

    /// How many different mistakes were tried.
    fn different_tried(&self) -> usize {
        self.tried.iter().filter(|tried| !tried.is_again).count()
    }

    /// The equation that a mistake is in.
    fn equation(&self, tried: &Tried) -> Option<String> {
        let equations = &self.plan.sheet.problems[self.evidence.problem].equations;
        let equation = equations.get(tried.words.equation?)?;
        Some(equation.name.clone())
    }

    /// Says which pairs explain an answer that no single mistake does.
    fn say_pairs(&self, place: usize, all: &mut Vec<Explanation>) {
        let (pairs, chance) = self.pairs(place);
        let numbers = different(pairs.iter().map(|pair| pair.number));
        if chance > luck::chance(LIKELY) || !(1..=MOST_POSSIBLE).contains(&numbers) {
            return;
        }
        for pair in pairs {
            let words = &pair.first.words;
            all.push(Explanation {
                strength: Strength::Possible,
                kind: words.kind,
                equation: self.equation(pair.first),
                // Two mistakes are no single equation written otherwise.
                alteration: None,
                says: format!("{}, and {}", words.says, pair.second.says),
                hint: words.hint,
                explains: vec![self.paper_place(self.faulty[place])],
                rank: 0,
                tried: self.different_tried(),
                untried: self.budget.untried(),
                chance,
                misread: None,
            });
        }
    }

    /// Slips that the teacher foresaw come first, with the chance reckoned over the slips of their part.
    fn slips(&self, all: &mut Vec<Explanation>, open: &mut [bool]) {
        let assignment = &self.plan.sheet.problems[self.evidence.problem];
        for (place, &answer) in self.faulty.iter().enumerate() {
            let Some((slip, luck)) = self.evidence.slip(answer) else {
                continue;
            };
            let part = self.evidence.part(answer);
            let foreseen = crate::plan::answer_part(assignment, part);
            let Some(foreseen) = foreseen.and_then(|answer| answer.slips.get(slip)) else {
                continue;
            };
            open[place] = false;
            let says = match &foreseen.say {
                Some(say) => say.clone(),
                None => super::unsaid(slip),
            };
            all.push(Explanation {
                strength: if luck <= luck::chance(LIKELY) {
                    Strength::Likely
                } else {
                    Strength::Possible
                },
                kind: Kind::Slip,
                equation: None,
                alteration: None,
                says,
                hint: "",
                explains: vec![self.paper_place(answer)],
                rank: 0,
                tried: self.plan.problems[self.evidence.problem]
                    .answer(part)
                    .map_or(0, |answer| answer.slips.len()),
                // Foreseen slips are all tried.
                untried: 0,
                chance: luck,
                misread: None,
            });
        }
    }

    fn places(&self, fits: &[Option<Number>]) -> Vec<usize> {
        let faulty = self.faulty.iter().zip(fits);
        faulty
            .filter(|(_, fits)| fits.is_some())
            .map(|(&answer, _)| self.paper_place(answer))
            .collect()
    }

    /// The place on the paper of an answer.
    fn paper_place(&self, answer: usize) -> usize {
        let first = self
            .plan
            .parts_of(self.evidence.problem)
            .next()
            .unwrap_or(0);
        first + self.evidence.part(answer)
    }

    pub(super) fn id(&self, answer: usize) -> &str {
        let place = self.plan.parts.get(self.paper_place(answer));
        place.map_or("", |part| part.id.as_str())
    }
}
