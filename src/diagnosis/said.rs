//! What is said of the mistakes that fit: only as strongly as the evidence allows.
//!
//! In: a problem's faulty answers with all mistakes tried. Out: explanations, the best first. Foreseen slips
//! come first, then what explains several answers at once, then answer by answer, then pairs.

use crate::marking::{Explanation, Kind, Number, Strength};

use super::case::{Case, Tried};
use super::{LIKELY, MOST_POSSIBLE, POSSIBLE, STRONG, luck};

/// How many different numbers there are: those that rounding on the way may make one are one.
pub(super) fn different(numbers: impl Iterator<Item = Number>) -> usize {
    let mut known: Vec<Number> = Vec::new();
    for number in numbers {
        let is_known = |known: &Number| {
            let off = (known.value - number.value).abs();
            known.is(&number) || off <= known.allowance + number.allowance
        };
        if !known.iter().any(is_known) {
            known.push(number);
        }
    }
    known.len()
}

impl Case<'_> {
    pub(super) fn explain(&self, all: &mut Vec<Explanation>) {
        let count = self.tried.iter().filter(|tried| !tried.is_again).count();
        let explanation = |tried: &Tried, strength, explains: Vec<usize>, lambda| Explanation {
            strength,
            kind: tried.words.kind,
            equation: self.equation(tried),
            alteration: tried.words.alteration,
            says: tried.words.says.clone(),
            hint: tried.words.hint,
            explains,
            tried: count,
            untried: self.budget.untried(),
            chance: luck::chance(lambda),
            misread: tried.words.misread.clone(),
        };
        // What is likely is the only explanation there is.
        let all_tried = self.budget.untried() == 0;
        let mut open: Vec<bool> = vec![true; self.faulty.len()];
        self.slips(all, &mut open);
        let most = self.tried.iter().map(Tried::explains).max().unwrap_or(0);
        if most >= 2 {
            let lambda = self.lambda(most);
            let best = self.tried.iter().filter(|tried| tried.explains() == most);
            let best: Vec<&Tried> = best.collect();
            let groups = best.iter().filter(|tried| !tried.is_again).count().max(1);
            let strength = match lambda {
                _ if lambda <= STRONG => Some(Strength::Strong),
                _ if lambda <= LIKELY && groups == 1 && all_tried => Some(Strength::Likely),
                _ if lambda <= POSSIBLE && groups <= MOST_POSSIBLE => Some(Strength::Possible),
                _ => None,
            };
            if let Some(strength) = strength {
                for tried in best {
                    all.push(explanation(
                        tried,
                        strength,
                        self.places(&tried.fits),
                        lambda,
                    ));
                    for (open, fits) in open.iter_mut().zip(&tried.fits) {
                        *open &= fits.is_none();
                    }
                }
            }
        }
        // What is left, answer by answer: two mistakes in different parts need no pairs.
        let lambda = self.lambda(1);
        if lambda > POSSIBLE {
            return;
        }
        for place in (0..self.faulty.len()).filter(|place| open[*place]) {
            let fits = self
                .tried
                .iter()
                .filter(|tried| tried.fits[place].is_some());
            let fits: Vec<&Tried> = fits.collect();
            if fits.is_empty() {
                self.say_pairs(place, all);
                continue;
            }
            let numbers = fits.iter().filter_map(|tried| tried.fits[place]);
            let strength = match different(numbers) {
                // Several with one number cannot be told apart: one of these.
                1 if lambda <= LIKELY && all_tried => Strength::Likely,
                1..=MOST_POSSIBLE => Strength::Possible,
                _ => continue,
            };
            let mut only = vec![None; self.faulty.len()];
            only[place] = fits.first().and_then(|tried| tried.fits[place]);
            for tried in fits {
                all.push(explanation(tried, strength, self.places(&only), lambda));
            }
        }
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
                tried: self.tried.iter().filter(|tried| !tried.is_again).count(),
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
