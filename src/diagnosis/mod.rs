//! Finds the mistake behind wrong answers, from the equations alone.
//!
//! In: the mistakes of a sheet, prepared once, and what a paper says of its faulty answers. Out: what may
//! have been done, only as strongly as the evidence allows. `table` alters equations as students do,
//! `entry` numbers; each mistake is reckoned along the roads from the student's own entries and held
//! against all faulty answers of a problem at once. `luck` says how likely so much fits by chance.
//!
//! Strong is what explains two faulty answers or more with a chance of luck of at most one in a hundred;
//! likely what alone explains one with at most one in ten (several mistakes with one number are "one of
//! these", there and here); possible, by three different numbers at most, up to λ = 0.5; above
//! that, silence. One answer is never strong, at any figures: luck may be ruled out, another cause with
//! the same number may not. Foreseen slips come first. `budget` bounds the work; where it does not reach
//! for all mistakes that is said, and nothing is likely. The thresholds were found by simulation, which
//! the program `diagnosis` in tests/programs repeats.

mod budget;
mod entry;
mod luck;
mod mistakes;
mod rewrite;
mod scene;
mod table;

use crate::marking::{Evidence, Explanation, Key, Kind, Number, Strength};
use crate::plan::Plan;
use budget::Budget;

pub use mistakes::{Mistake, Mistakes, as_written, other_answered};

/// λ up to which an explanation of two answers or more is strong.
const STRONG: f64 = 0.01;

/// λ up to which the only explanation of an answer is likely.
const LIKELY: f64 = 0.1;

/// λ up to which an explanation is possible.
const POSSIBLE: f64 = 0.5;

/// Different numbers by which an answer is explained at most; of each, all mistakes that lead to it.
const MOST_POSSIBLE: usize = 3;

/// What may have been done on a paper, the best first, problem by problem.
pub fn diagnose(
    plan: &Plan,
    mistakes: &Mistakes,
    key: &Key,
    evidence: &[Evidence<'_>],
) -> Vec<Explanation> {
    diagnose_within(plan, mistakes, key, evidence, budget::MOST)
}

/// The same where each problem of a paper may take so much work, in equations evaluated.
pub fn diagnose_within(
    plan: &Plan,
    mistakes: &Mistakes,
    key: &Key,
    evidence: &[Evidence<'_>],
    most: u64,
) -> Vec<Explanation> {
    let mut all = Vec::new();
    for evidence in evidence {
        if let Some(case) = Case::of(plan, mistakes, key, evidence, most) {
            case.explain(&mut all);
        }
    }
    all
}

/// What a foreseen slip of a part is called of which the file says nothing; slips are counted from 0.
pub fn unsaid(slip: usize) -> String {
    format!("slip {} of the file", slip + 1)
}

/// The chance that some mistake explains one faulty answer of a problem by luck, whatever stands there;
/// nothing where none is faulty. For simulations.
pub fn luck_of_one(
    plan: &Plan,
    mistakes: &Mistakes,
    key: &Key,
    evidence: &Evidence<'_>,
) -> Option<f64> {
    let case = Case::of(plan, mistakes, key, evidence, budget::MOST)?;
    Some(luck::chance(case.lambda(1)))
}

/// How many different numbers there are: those that rounding on the way may make one are one.
fn different(numbers: impl Iterator<Item = Number>) -> usize {
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

/// What a mistake is called.
struct Words {
    kind: Kind,
    equation: Option<usize>,
    alteration: Option<usize>,
    says: String,
    hint: &'static str,
    misread: Option<(String, String)>,
}

impl Words {
    /// Of a mistake about numbers.
    fn entry(says: String, hint: &'static str) -> Self {
        Self {
            kind: Kind::Entry,
            equation: None,
            alteration: None,
            says,
            hint,
            misread: None,
        }
    }
}

/// One mistake held against the faulty answers of a problem.
struct Tried {
    words: Words,
    /// By faulty answer: the chance that it fits by luck, the number that it is, and all numbers that the
    /// mistake leads to.
    chances: Vec<f64>,
    fits: Vec<Option<Number>>,
    numbers: Vec<Vec<f64>>,
    /// An earlier one leads to the same numbers: it counts once.
    is_again: bool,
}

impl Tried {
    fn explains(&self) -> usize {
        self.fits.iter().flatten().count()
    }
}

struct Case<'a> {
    plan: &'a Plan,
    evidence: &'a Evidence<'a>,
    /// Places of the faulty answers among the problem's answers.
    faulty: Vec<usize>,
    tried: Vec<Tried>,
    budget: Budget,
}

impl<'a> Case<'a> {
    /// Tries all mistakes on a problem's answers; nothing where none is faulty.
    fn of(
        plan: &'a Plan,
        mistakes: &Mistakes,
        key: &Key,
        evidence: &'a Evidence<'a>,
        most: u64,
    ) -> Option<Self> {
        let faulty = evidence.faulty();
        if faulty.is_empty() {
            return None;
        }
        let mut case = Self {
            plan,
            evidence,
            faulty,
            tried: Vec::new(),
            budget: Budget::of(most),
        };
        case.try_all(mistakes, key, &mut Vec::new());
        Some(case)
    }

    fn try_all(&mut self, mistakes: &Mistakes, key: &Key, scratch: &mut Vec<f64>) {
        let (evidence, at) = (self.evidence, self.evidence.problem);
        let (Some(of), Some(key)) = (mistakes.problems.get(at), key.problems.get(at)) else {
            return;
        };
        let assignment = &self.plan.sheet.problems[at];
        // What each faulty answer should have been: none of these is a mistake's.
        let right: Vec<Vec<Number>> = self
            .faulty
            .iter()
            .map(|&answer| {
                let mut right = Vec::new();
                let mut add = |number| right.push(number);
                evidence.followed(answer, evidence.slots(), scratch, &mut add);
                right
            })
            .collect();
        for (mistake, work) in self.in_turn(&of.list) {
            if !self.budget.take(work) {
                continue;
            }
            let mut numbers = vec![Vec::new(); self.faulty.len()];
            for (place, &answer) in self.faulty.iter().enumerate() {
                if let Some(way) = &mistake.ways[evidence.part(answer)] {
                    let mut add = |number| numbers[place].push(number);
                    evidence.numbers(answer, &of.problem, way, scratch, &mut add);
                }
            }
            let words = Words {
                kind: Kind::Alteration,
                equation: mistake.equation,
                alteration: mistake.alteration,
                says: mistake.says.clone(),
                hint: mistake.hint,
                misread: None,
            };
            self.hold(words, numbers, &right);
        }
        let problem = &self.plan.problems[at];
        let parts = self.faulty.iter().map(|&answer| evidence.part(answer));
        let work = entry::work(problem, parts);
        let budget = &mut self.budget;
        for other in entry::other_givens(assignment, problem, key, &mut || budget.take(work)) {
            let mut numbers = vec![Vec::new(); self.faulty.len()];
            for (place, &answer) in self.faulty.iter().enumerate() {
                let mut add = |number| numbers[place].push(number);
                evidence.followed(answer, &other.slots, scratch, &mut add);
            }
            let hint = if other.misread.is_some() {
                "one of the numbers given is copied wrongly"
            } else {
                "another constant is used than the one given"
            };
            let words = Words {
                misread: other.misread,
                ..Words::entry(other.says, hint)
            };
            self.hold(words, numbers, &right);
        }
        for slip in &entry::SLIPS {
            let faulty = self.faulty.iter().zip(&right);
            let numbers = faulty.map(|(&answer, right)| slip.numbers(evidence, answer, right));
            let numbers = numbers.collect();
            self.hold(
                Words::entry(slip.says.to_owned(), slip.hint),
                numbers,
                &right,
            );
        }
        self.exchanged(&right);
        let early = self.faulty.iter().map(|&answer| {
            let mut numbers = Vec::new();
            evidence.rounded(answer, 1, scratch, &mut |number| numbers.push(number));
            numbers
        });
        let early = early.collect();
        let says = "an earlier answer rounded to one figure before it was used".to_owned();
        let hint = "an answer is rounded too early";
        self.hold(Words::entry(says, hint), early, &right);
        self.count_once();
    }

    /// The mistakes with the work that each takes: as they come, or where there is not enough for all, those
    /// first that take little.
    fn in_turn<'m>(&self, list: &'m [Mistake]) -> Vec<(&'m Mistake, u64)> {
        let work = |mistake: &Mistake| {
            let parts = self.faulty.iter().map(|&answer| self.evidence.part(answer));
            let ways = parts.filter_map(|part| mistake.ways[part].as_ref());
            ways.map(|way| self.evidence.work(way)).sum()
        };
        let mut all: Vec<(&Mistake, u64)> = list.iter().map(|at| (at, work(at))).collect();
        if all.iter().map(|(_, work)| work).sum::<u64>() > self.budget.left() {
            all.sort_by_key(|(_, work)| *work);
        }
        all
    }

    /// Answers in each other's boxes.
    fn exchanged(&mut self, right: &[Vec<Number>]) {
        let evidence = self.evidence;
        for place in 0..self.faulty.len() {
            for other in 0..evidence.count() {
                let answer = self.faulty[place];
                // Each pair once, and those that are faulty both from the first.
                let both = self.faulty.iter().position(|&at| at == other);
                if other == answer || both.is_some_and(|both| both < place) {
                    continue;
                }
                let mut numbers = vec![Vec::new(); self.faulty.len()];
                let key = |of: usize| Number {
                    value: evidence.key(of),
                    allowance: 0.0,
                };
                numbers[place].push(key(other));
                if let Some(both) = both {
                    numbers[both].push(key(answer));
                }
                let says = format!(
                    "the answer to ({}) in the box of ({})",
                    self.id(other),
                    self.id(answer)
                );
                let hint = "an answer stands in the place of another";
                self.hold(Words::entry(says, hint), numbers, right);
            }
        }
    }

    /// Holds what a mistake leads to against the faulty answers.
    fn hold(&mut self, words: Words, numbers: Vec<Vec<Number>>, right: &[Vec<Number>]) {
        let evidence = self.evidence;
        let mut tried = Tried {
            words,
            chances: Vec::with_capacity(numbers.len()),
            fits: Vec::with_capacity(numbers.len()),
            numbers: Vec::with_capacity(numbers.len()),
            is_again: false,
        };
        for ((&answer, found), right) in self.faulty.iter().zip(numbers).zip(right) {
            let mut different: Vec<Number> = Vec::new();
            for number in found {
                let is_known = different.iter().any(|known| known.is(&number));
                if !is_known && !right.iter().any(|right| right.is(&number)) {
                    different.push(number);
                }
            }
            let chances = different
                .iter()
                .map(|number| evidence.chance(answer, number));
            tried.chances.push(chances.sum());
            let fits = different
                .iter()
                .find(|number| evidence.fits(answer, number));
            tried.fits.push(fits.copied());
            let mut values: Vec<f64> = different.iter().map(|number| number.value).collect();
            values.sort_by(f64::total_cmp);
            tried.numbers.push(values);
        }
        if tried.numbers.iter().any(|numbers| !numbers.is_empty()) {
            self.tried.push(tried);
        }
    }

    /// Mistakes that lead to the same numbers count once.
    fn count_once(&mut self) {
        let mut order: Vec<usize> = (0..self.tried.len()).collect();
        let first = |at: usize| {
            let numbers = self.tried[at].numbers.iter().flatten();
            numbers.copied().next().unwrap_or(0.0)
        };
        order.sort_by(|&one, &other| first(one).total_cmp(&first(other)).then(one.cmp(&other)));
        let same = |one: &Tried, other: &Tried| {
            one.numbers.iter().zip(&other.numbers).all(|(one, other)| {
                one.len() == other.len()
                    && one
                        .iter()
                        .zip(other)
                        .all(|(a, b)| (a - b).abs() <= 1e-9 * b.abs())
            })
        };
        let mut again = vec![false; self.tried.len()];
        for (place, &at) in order.iter().enumerate() {
            let near = |other: usize| (first(other) - first(at)).abs() <= 1e-9 * first(at).abs();
            for &before in order[..place]
                .iter()
                .rev()
                .take_while(|&&other| near(other))
            {
                if same(&self.tried[before], &self.tried[at]) {
                    again[before.max(at)] = true;
                    break;
                }
            }
        }
        for (tried, again) in self.tried.iter_mut().zip(again) {
            tried.is_again = again;
        }
    }

    fn lambda(&self, explained: usize) -> f64 {
        let tried = self.tried.iter().filter(|tried| !tried.is_again);
        luck::lambda(tried.map(|tried| tried.chances.as_slice()), explained)
    }

    fn explain(&self, all: &mut Vec<Explanation>) {
        let count = self.tried.iter().filter(|tried| !tried.is_again).count();
        let explanation = |tried: &Tried, strength, explains: Vec<usize>, lambda| Explanation {
            strength,
            kind: tried.words.kind,
            equation: tried.words.equation.map(|at| {
                let equations = &self.plan.sheet.problems[self.evidence.problem].equations;
                equations[at].name.clone()
            }),
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
            let is_news = best.iter().any(|tried| {
                let open = open.iter().zip(&tried.fits);
                open.filter(|(open, fits)| **open && fits.is_some()).count() > 0
            });
            let strength = match lambda {
                // Foreseen slips explain all of it already.
                _ if !is_news => None,
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
                None => unsaid(slip),
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

    fn id(&self, answer: usize) -> &str {
        let place = self.plan.parts.get(self.paper_place(answer));
        place.map_or("", |part| part.id.as_str())
    }
}
