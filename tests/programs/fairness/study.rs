//! The four questions, each asked of every student of a family in one case.
//!
//! In: a family, a job and a seed. Out: counts for each part, and the worst cases in words.

use paperweight::formula::order::Order;
use paperweight::formula::tape::SlotSet;
use paperweight::marking::{Marked, Verdict};
use rust_decimal::Decimal;

use crate::desk::{Desk, is_by_key, is_credited, is_followed, tell};
use crate::family::Family;
use crate::random::Random;
use crate::student::{
    Act, COARSE3, Choice, FULL2, FULL3, Habit, Student, TERMS3, W2, W3, W4, Work,
};

/// Worst cases kept of each job.
const MOST_CASES: usize = 8;

/// The habits of the first two tables, in their order.
pub(crate) const HABITS: [Habit; 7] = [W2, FULL2, W3, FULL3, TERMS3, COARSE3, W4];

/// The habits of the third table.
pub(crate) const PLAIN: [Habit; 3] = [W2, W3, W4];

/// How a wrong number comes about, in the third table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Source {
    /// One part guessed, the rest right.
    Guess,
    /// A mistake, and in a later part a guess.
    GuessAfter,
    /// Every part guessed.
    AllGuessed,
    /// Slips of the pen in two parts.
    TwoSlips,
    /// One slip of the pen.
    OneSlip,
    /// A mistake, and in a later part a wrong equation.
    StepAfter,
    /// The key of a classmate.
    Copied,
}

impl Source {
    pub(crate) const ALL: [(Self, &'static str); 7] = [
        (Self::Guess, "guess, rest right"),
        (Self::GuessAfter, "guess after a mistake"),
        (Self::AllGuessed, "all guessed"),
        (Self::TwoSlips, "two slips"),
        (Self::OneSlip, "one slip"),
        (Self::StepAfter, "wrong step after a mistake"),
        (Self::Copied, "copied paper"),
    ];
}

/// One question in one case; indices are into the tables above.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Job {
    /// Correct students: habit, and whether they take any way or those of the plan.
    Right(usize, bool),
    /// One mistake, then consistent work: habit, and whether the mistake is one of concept.
    Follow(usize, bool),
    /// Wrong numbers: source and habit.
    False(Source, usize),
    /// A wrong equation: throughout, or in one part.
    Step(bool),
}

impl Job {
    /// All of them.
    pub(crate) fn all() -> Vec<Self> {
        let mut all = Vec::new();
        for habit in 0..HABITS.len() {
            all.extend([false, true].map(|any| Self::Right(habit, any)));
            all.extend([false, true].map(|concept| Self::Follow(habit, concept)));
        }
        for (source, _) in Source::ALL {
            all.extend((0..PLAIN.len()).map(|habit| Self::False(source, habit)));
        }
        all.extend([false, true].map(Self::Step));
        all
    }

    fn number(self) -> [u64; 3] {
        match self {
            Self::Right(habit, any) => [1, habit as u64, u64::from(any)],
            Self::Follow(habit, concept) => [2, habit as u64, u64::from(concept)],
            Self::False(source, habit) => [3, source as u64, habit as u64],
            Self::Step(throughout) => [4, u64::from(throughout), 0],
        }
    }
}

/// What was counted of one part.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Count {
    /// Answers that are in question.
    pub(crate) all: u64,
    /// Right by the key alone.
    pub(crate) by_key: u64,
    /// Right in any way.
    pub(crate) right: u64,
    /// Followed, without being right.
    pub(crate) followed: u64,
    /// Full points in any way.
    pub(crate) credited: u64,
    /// Full points, were everything possible.
    pub(crate) open: u64,
    /// Answers in question that nature allows, with what they rest on; and those credited.
    pub(crate) possible: u64,
    pub(crate) possible_credited: u64,
    /// Marked as a foreseen slip.
    pub(crate) slip: u64,
    /// A share given for a foreseen slip, without a look.
    pub(crate) share: u64,
    /// Credited by an identity: the value as worked out is exactly that of another road.
    pub(crate) identity: u64,
}

impl Count {
    pub(crate) fn add(&mut self, other: &Self) {
        self.all += other.all;
        self.by_key += other.by_key;
        self.right += other.right;
        self.followed += other.followed;
        self.credited += other.credited;
        self.open += other.open;
        self.possible += other.possible;
        self.possible_credited += other.possible_credited;
        self.slip += other.slip;
        self.share += other.share;
        self.identity += other.identity;
    }
}

/// A wrong decision in words; the worse, the larger its weight.
#[derive(Clone, Debug)]
pub(crate) struct Case {
    pub(crate) weight: f64,
    pub(crate) text: String,
}

/// What was counted in one job.
#[derive(Clone, Debug, Default)]
pub(crate) struct Tally {
    pub(crate) parts: Vec<Count>,
    pub(crate) papers: u64,
    /// Papers with a mistake that lose nothing.
    pub(crate) uncharged: u64,
    /// Parts that lose points; and were everything possible.
    pub(crate) charged: u64,
    pub(crate) charged_open: u64,
    /// Papers that pay for another constant.
    pub(crate) constant: u64,
    pub(crate) worst: Vec<Case>,
}

impl Tally {
    fn case(&mut self, weight: f64, student: &Student<'_>, marked: &Marked, asked: usize) {
        let full = self.worst.len() == MOST_CASES;
        if full && self.worst.last().is_some_and(|last| last.weight >= weight) {
            return;
        }
        let text = tell(student, marked, asked);
        self.worst.push(Case { weight, text });
        self.worst
            .sort_by(|one, other| other.weight.total_cmp(&one.weight));
        self.worst.truncate(MOST_CASES);
    }
}

/// Does one job.
pub(crate) fn run(family: &Family, job: Job, seed: u64) -> Tally {
    let mut desk = Desk::new(family);
    let mut tally = Tally {
        parts: vec![Count::default(); family.asked.len()],
        ..Tally::default()
    };
    let [kind, one, two] = job.number();
    for student in 0..family.keys.len() {
        let mut random = Random::of(&[seed, family.number, kind, one, two, student as u64]);
        match job {
            Job::Right(habit, any) => {
                let choice = if any { Choice::Any } else { Choice::Prepared };
                let mut student = Student::new(family, student, HABITS[habit], choice, &mut random);
                student.all(&vec![Act::Honest; family.asked.len()], &mut random);
                right(&mut desk, &student, &mut tally);
            }
            Job::Follow(habit, concept) => {
                let mut student = Student::new(
                    family,
                    student,
                    HABITS[habit],
                    Choice::Prepared,
                    &mut random,
                );
                let mistake = if concept { Act::Concept } else { Act::Slip };
                let first = random.below(family.asked.len() - 1);
                let mut acts = vec![Act::Honest; family.asked.len()];
                acts[first] = mistake;
                student.all(&acts, &mut random);
                if student.works[first].is_some() {
                    follow(&mut desk, &student, &mut tally);
                }
            }
            Job::False(source, habit) => {
                let mut student =
                    Student::new(family, student, PLAIN[habit], Choice::Prepared, &mut random);
                let acts = acts(&student, source, &mut random);
                student.all(&acts, &mut random);
                wrong(&mut desk, &student, source, &mut tally);
            }
            Job::Step(throughout) => {
                let mut student =
                    Student::new(family, student, FULL3, Choice::Prepared, &mut random);
                let acts = if throughout {
                    let Some(acts) = altered(&student, &mut random) else {
                        continue;
                    };
                    acts
                } else {
                    let mut acts = vec![Act::Honest; family.asked.len()];
                    acts[random.below(family.asked.len())] = Act::Concept;
                    acts
                };
                student.all(&acts, &mut random);
                step(&mut desk, &student, &mut tally);
            }
        }
        tally.papers += 1;
    }
    tally
}

/// How far a number is from another, as a share.
fn off(value: f64, from: f64) -> f64 {
    (value.abs() - from.abs()).abs() / from.abs()
}

fn right(desk: &mut Desk<'_>, student: &Student<'_>, tally: &mut Tally) {
    let marked = desk.mark(student);
    tally.constant += u64::from(marked.paper_cost < Decimal::ZERO);
    for (asked, work) in written(student) {
        let mark = desk.of(&marked, asked);
        let count = &mut tally.parts[asked];
        count.all += 1;
        count.by_key += u64::from(is_by_key(mark));
        count.right += u64::from(mark.verdict.is_right());
        count.followed += u64::from(is_followed(mark));
        count.credited += u64::from(is_credited(mark));
        if !is_credited(mark) {
            let key = key(student, asked);
            tally.case(-off(work.value, key), student, &marked, asked);
        }
    }
}

fn follow(desk: &mut Desk<'_>, student: &Student<'_>, tally: &mut Tally) {
    let marked = desk.mark(student);
    let open = desk.mark_open(student);
    let mut lost = 0;
    for (asked, work) in written(student) {
        let mark = desk.of(&marked, asked);
        let open = desk.of(&open, asked);
        lost += u64::from(!is_credited(mark));
        tally.charged_open += u64::from(!is_credited(open));
        if work.act != Act::Honest || !work.rests {
            continue;
        }
        let key = key(student, asked);
        if !student.family.apart(asked, work.value, key) {
            continue;
        }
        let count = &mut tally.parts[asked];
        count.all += 1;
        count.credited += u64::from(is_credited(mark));
        count.open += u64::from(is_credited(open));
        let possible = student.is_possible(asked);
        count.possible += u64::from(possible);
        count.possible_credited += u64::from(possible && is_credited(mark));
        count.slip += u64::from(mark.verdict == Verdict::Slip);
        if !is_credited(mark) && possible {
            tally.case(-off(work.full, key), student, &marked, asked);
        }
    }
    tally.charged += lost;
    tally.uncharged += u64::from(lost == 0);
}

/// What goes wrong in which part.
fn acts(student: &Student<'_>, source: Source, random: &mut Random) -> Vec<Act> {
    let family = student.family;
    let parts = family.asked.len();
    let mut acts = vec![Act::Honest; parts];
    let first = random.below(parts - 1);
    let later = first + 1 + random.below(parts - 1 - first);
    let mistake = if random.coin() {
        Act::Slip
    } else {
        Act::Concept
    };
    match source {
        Source::Guess => acts[random.below(parts)] = Act::Guess,
        Source::OneSlip => acts[random.below(parts)] = Act::Slip,
        Source::GuessAfter => {
            acts[first] = mistake;
            acts[later] = Act::Guess;
        }
        Source::StepAfter => {
            acts[first] = mistake;
            acts[later] = Act::Concept;
        }
        Source::TwoSlips => {
            acts[first] = Act::Slip;
            acts[later] = Act::Slip;
        }
        Source::AllGuessed => acts.fill(Act::Guess),
        Source::Copied => {
            let classmate = random.below(family.keys.len());
            let slots = family.slots(classmate);
            acts = family
                .asked
                .iter()
                .map(|asked| Act::Copied(slots[asked.slot]))
                .collect();
        }
    }
    acts
}

fn wrong(desk: &mut Desk<'_>, student: &Student<'_>, source: Source, tally: &mut Tally) {
    let marked = desk.mark(student);
    let last = written(student)
        .filter(|(_, work)| work.act != Act::Honest)
        .map(|(asked, _)| asked)
        .last();
    for (asked, work) in written(student) {
        let only_last = matches!(source, Source::GuessAfter | Source::StepAfter);
        let key = key(student, asked);
        let is_wrong = student.family.apart(asked, work.value, key);
        if work.act == Act::Honest || !is_wrong || (only_last && last != Some(asked)) {
            continue;
        }
        let mark = desk.of(&marked, asked);
        let count = &mut tally.parts[asked];
        count.all += 1;
        count.right += u64::from(mark.verdict.is_right());
        count.followed += u64::from(is_followed(mark));
        count.slip += u64::from(mark.verdict == Verdict::Slip);
        let share = mark.verdict == Verdict::Slip && mark.share > Decimal::ZERO;
        count.share += u64::from(share);
        if is_credited(mark) || share {
            let weight = off(work.value, key) + if mark.verdict.is_right() { 1e6 } else { 0.0 };
            let weight = if share { weight - 1e6 } else { weight };
            tally.case(weight, student, &marked, asked);
        }
    }
}

/// All parts out of one system with one wrong equation.
fn altered(student: &Student<'_>, random: &mut Random) -> Option<Vec<Act>> {
    let family = student.family;
    let problem = family.problem();
    let unknowns: SlotSet = (problem.givens..problem.slots()).collect();
    for _ in 0..20 {
        let alteration = random.pick(&family.alterations)?;
        let systems: Vec<&Vec<usize>> = family
            .systems
            .iter()
            .filter(|set| set.contains(&alteration.equation))
            .collect();
        let Some(set) = random.pick(&systems) else {
            continue;
        };
        let Some(order) = Order::of(&alteration.solver.tapes, set, unknowns) else {
            continue;
        };
        let key = family.slots(student.student);
        let mut slots = key.to_vec();
        slots[problem.givens..].fill(f64::NAN);
        let mut found: Option<Vec<f64>> = None;
        let far = |slots: &[f64]| -> f64 {
            let pairs = slots.iter().zip(key);
            pairs.map(|(x, y)| (x - y).abs() / (y.abs() + 1e-9)).sum()
        };
        let _ = alteration
            .solver
            .solutions(&order, &mut slots, None, &mut |solution| {
                let better = |found: &Vec<f64>| far(solution) < far(found);
                if found.as_ref().is_none_or(better) {
                    found = Some(solution.to_vec());
                }
            });
        let Some(found) = found else { continue };
        let values = family.asked.iter().map(|asked| found[asked.slot]);
        if values
            .clone()
            .all(|value| value.is_finite() && value != 0.0)
            && (0..family.asked.len()).any(|at| {
                let slot = family.asked[at].slot;
                family.apart(at, found[slot], key[slot])
            })
        {
            return Some(values.map(Act::Copied).collect());
        }
    }
    None
}

fn step(desk: &mut Desk<'_>, student: &Student<'_>, tally: &mut Tally) {
    let marked = desk.mark(student);
    let mut lost = false;
    for (asked, work) in written(student) {
        let mark = desk.of(&marked, asked);
        lost |= !is_credited(mark);
        let key = key(student, asked);
        if work.act == Act::Honest || !student.family.apart(asked, work.value, key) {
            continue;
        }
        let count = &mut tally.parts[asked];
        count.all += 1;
        if is_credited(mark) {
            count.credited += 1;
            let identity = is_identity(student, asked);
            count.identity += u64::from(identity);
            if !identity {
                tally.case(off(work.value, key), student, &marked, asked);
            }
        }
    }
    tally.uncharged += u64::from(!lost);
}

/// Whether some road leads from the other answers, with all their digits, exactly to this one.
fn is_identity(student: &Student<'_>, asked: usize) -> bool {
    let family = student.family;
    let mut slots = family.slots(student.student).to_vec();
    for (asked, work) in written(student) {
        slots[family.asked[asked].slot] = work.full;
    }
    let (Some(plan), Some(work)) = (family.answer(asked), &student.works[asked]) else {
        return false;
    };
    plan.roads.iter().chain(&plan.back).any(|road| {
        let mut slots = slots.clone();
        let end = road.value(&family.problem().solver, &mut slots, None, work.full);
        end.is_some_and(|end| off(end, work.full) < 1e-6)
    })
}

fn written<'s>(student: &'s Student<'_>) -> impl Iterator<Item = (usize, &'s Work)> {
    let works = student.works.iter().enumerate();
    works.filter_map(|(asked, work)| Some((asked, work.as_ref()?)))
}

fn key(student: &Student<'_>, asked: usize) -> f64 {
    student.family.slots(student.student)[student.family.asked[asked].slot]
}
