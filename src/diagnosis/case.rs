//! One problem of a paper, with every mistake tried on it.
//!
//! In: the mistakes of the problem and what the paper says of its faulty answers. Out: the numbers that each
//! mistake leads to along the roads from the student's own entries. `hold` keeps them against the answers.

use crate::marking::{Evidence, Key, Kind, Number, ProblemKey};
use crate::plan::Plan;

use super::budget::Budget;
use super::entry;
use super::mistakes::{Mistake, Mistakes, OfProblem};

/// Takes the numbers that something leads to.
type Take<'t> = dyn FnMut(Number) + 't;

/// What a mistake is called.
pub(super) struct Words {
    pub(super) kind: Kind,
    pub(super) equation: Option<usize>,
    pub(super) alteration: Option<usize>,
    pub(super) says: String,
    pub(super) hint: &'static str,
    pub(super) misread: Option<(String, String)>,
}

impl Words {
    /// Of a mistake about numbers.
    pub(super) fn entry(says: String, hint: &'static str) -> Self {
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
pub(super) struct Tried {
    pub(super) words: Words,
    /// By faulty answer: the chance that it fits by luck, the number that it is, and all numbers that the
    /// mistake leads to.
    pub(super) chances: Vec<f64>,
    pub(super) fits: Vec<Option<Number>>,
    pub(super) numbers: Vec<Vec<Number>>,
    /// An earlier one leads to the same numbers: it counts once.
    pub(super) is_again: bool,
}

impl Tried {
    /// How many answers it explains at once. One that is zero tells nothing of that: many mistakes leave
    /// nothing over, and no chance of luck is known of it.
    pub(super) fn explains(&self) -> usize {
        let chances = self.fits.iter().zip(&self.chances);
        chances
            .filter(|(fits, chance)| fits.is_some() && **chance > 0.0)
            .count()
    }
}

pub(super) struct Case<'a> {
    pub(super) plan: &'a Plan,
    pub(super) evidence: &'a Evidence<'a>,
    /// Places of the faulty answers among the problem's answers.
    pub(super) faulty: Vec<usize>,
    /// For each of them what it should have been: none of these is a mistake's.
    pub(super) right: Vec<Vec<Number>>,
    /// For each of them whether it follows from other answers all the same.
    pub(super) follows: Vec<bool>,
    pub(super) tried: Vec<Tried>,
    pub(super) budget: Budget,
}

impl<'a> Case<'a> {
    /// Tries all mistakes on a problem's answers; nothing where none is faulty.
    pub(super) fn of(
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
            right: Vec::new(),
            follows: Vec::new(),
            faulty,
            tried: Vec::new(),
            budget: Budget::of(most),
        };
        case.try_all(mistakes, key);
        Some(case)
    }

    fn try_all(&mut self, mistakes: &Mistakes, key: &Key) {
        let (evidence, at) = (self.evidence, self.evidence.problem);
        let (Some(of), Some(key)) = (mistakes.problems.get(at), key.problems.get(at)) else {
            return;
        };
        let scratch = &mut Vec::new();
        self.right = self.each_faulty(&mut |answer, add| {
            evidence.followed(answer, evidence.slots(), scratch, add);
        });
        // What follows from other answers fits any cause, even where a foreseen slip has the same number.
        let follows = |(&answer, right): (&usize, &Vec<Number>)| {
            right.iter().any(|right| evidence.fits(answer, right))
        };
        self.follows = self.faulty.iter().zip(&self.right).map(follows).collect();
        self.alterations(of, scratch);
        self.other_givens(key, scratch);
        self.slips_of_the_pen();
        self.exchanged();
        let early = self.each_faulty(&mut |answer, add| {
            evidence.rounded(answer, 1, scratch, add);
        });
        let says = "an earlier answer rounded to one figure before it was used".to_owned();
        let hint = "an answer is rounded too early";
        self.hold(Words::entry(says, hint), early);
        self.as_written(scratch);
        self.count_once();
    }

    /// The numbers that something leads to for each faulty answer.
    fn each_faulty(&self, reckon: &mut dyn FnMut(usize, &mut Take<'_>)) -> Vec<Vec<Number>> {
        let numbers = |&answer: &usize| {
            let mut numbers = Vec::new();
            reckon(answer, &mut |number| numbers.push(number));
            numbers
        };
        self.faulty.iter().map(numbers).collect()
    }

    /// Equations written wrongly, other quantities answered.
    fn alterations(&mut self, of: &OfProblem, scratch: &mut Vec<f64>) {
        let evidence = self.evidence;
        for (mistake, work) in self.in_turn(&of.list) {
            if !self.budget.take(work) {
                continue;
            }
            let numbers = self.each_faulty(&mut |answer, add| {
                if let Some(way) = &mistake.ways[evidence.part(answer)] {
                    evidence.numbers(answer, &of.problem, way, scratch, add);
                }
            });
            let words = Words {
                kind: Kind::Alteration,
                equation: mistake.equation,
                alteration: mistake.alteration,
                says: mistake.says.clone(),
                hint: mistake.hint,
                misread: None,
            };
            self.hold(words, numbers);
        }
    }

    /// Givens misread, another constant.
    fn other_givens(&mut self, key: &ProblemKey, scratch: &mut Vec<f64>) {
        let (evidence, at) = (self.evidence, self.evidence.problem);
        let (assignment, problem) = (&self.plan.sheet.problems[at], &self.plan.problems[at]);
        let parts = self.faulty.iter().map(|&answer| evidence.part(answer));
        let work = entry::work(problem, parts);
        let budget = &mut self.budget;
        for other in entry::other_givens(assignment, problem, key, &mut || budget.take(work)) {
            let numbers = self.each_faulty(&mut |answer, add| {
                evidence.followed(answer, &other.slots, scratch, add);
            });
            let hint = if other.misread.is_some() {
                "one of the numbers given is copied wrongly"
            } else {
                "another constant is used than the one given"
            };
            let words = Words {
                misread: other.misread,
                ..Words::entry(other.says, hint)
            };
            self.hold(words, numbers);
        }
    }

    fn slips_of_the_pen(&mut self) {
        let evidence = self.evidence;
        for slip in entry::SLIPS {
            let faulty = self.faulty.iter().zip(&self.right);
            let numbers = faulty.map(|(&answer, right)| slip.numbers(evidence, answer, right));
            let numbers: Vec<Vec<Number>> = numbers.collect();
            let words = || Words::entry(slip.says.to_owned(), slip.hint);
            if slip.recurs {
                self.hold(words(), numbers);
                continue;
            }
            let count = numbers.len();
            for (place, own) in numbers.into_iter().enumerate() {
                let mut alone = vec![Vec::new(); count];
                alone[place] = own;
                self.hold(words(), alone);
            }
        }
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

    /// Answers that are right by their size, carried on with the sign that they are written with.
    fn as_written(&mut self, scratch: &mut Vec<f64>) {
        let (evidence, turned) = (self.evidence, self.evidence.turned());
        if turned.is_empty() {
            return;
        }
        let numbers = self.each_faulty(&mut |answer, add| {
            evidence.as_written(answer, turned, scratch, add);
        });
        let says = "an answer of the right size carried on with the wrong sign".to_owned();
        let hint = "the sign of an answer is not the one to go on with";
        self.hold(Words::entry(says, hint), numbers);
    }

    /// Answers in each other's boxes.
    fn exchanged(&mut self) {
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
                self.hold(Words::entry(says, hint), numbers);
            }
        }
    }
}
