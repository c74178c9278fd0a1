//! Marks a paper: runs the tests over all parts in turn and adds up.
//!
//! In: a plan, the student's key and the paper. Out: the marked paper.

use arrayvec::ArrayVec;
use rust_decimal::Decimal;

use crate::answer::Choice;
use crate::assignment::{ChoicePart, Part, PartKind};
use crate::formula::tape::SlotSet;
use crate::plan::{MOST_ROADS, PartPlan, Plan, Problem};

use super::carry::{Carried, Carry, Way, may_turn};
use super::constant::{self, Constant};
use super::figures::{self, FiguresVerdict};
use super::follow::{Ground, Trail};
use super::part::{Answer, Outcome};
use super::points::{self, Charger, Earned};
use super::unit::UnitVerdict;
use super::{
    Attendance, Entry, Key, Marked, Paper, PartMark, ProblemKey, Reason, Status, Verdict, choice,
    right, sign, slip,
};

/// Marks papers of one plan, one after the other; keeps its working memory between them.
#[derive(Debug)]
pub struct Marker<'p> {
    pub(super) plan: &'p Plan,
    pub(super) scratch: Vec<f64>,
}

/// What the tests found of a part.
enum Found {
    Answer {
        outcome: Outcome,
        unit: Option<UnitVerdict>,
        figures: Option<FiguresVerdict>,
        truncated: bool,
    },
    Choice(Outcome),
    Eye(Option<u8>),
}

/// The answers to one problem after all tests, and what they were judged by.
pub(super) struct Judged<'a> {
    pub(super) answers: Vec<Answer<'a>>,
    /// Empty where every answer is right by the key.
    pub(super) carry: Carry,
    /// The key on misread numbers.
    pub(super) misread: Option<Vec<f64>>,
    pub(super) constant: Option<Constant>,
}

/// On which numbers a paper is marked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Basis {
    /// Those the student was given.
    Given,
    /// Those the student misread.
    Misread,
    /// Those given, with another allowed constant.
    Constant,
}

/// The slots of each basis that is in question, the given one first.
pub(super) type Grounds<'a> = ArrayVec<(Basis, &'a [f64]), 3>;

/// The numbers that answers may have been worked out from.
pub(super) fn grounds<'a>(
    key: &'a ProblemKey,
    misread: Option<&'a [f64]>,
    constant: Option<&'a Constant>,
) -> Grounds<'a> {
    let mut grounds = Grounds::new();
    grounds.push((Basis::Given, &key.slots[..]));
    grounds.extend(misread.map(|slots| (Basis::Misread, slots)));
    grounds.extend(constant.map(|found| (Basis::Constant, &found.slots[..])));
    grounds
}

/// What follows but earns nothing: the place of the answer, and what is said of it if nothing else
/// explains it.
type Withheld = Vec<(usize, Outcome)>;

/// What a problem costs the paper as a whole.
#[derive(Default)]
struct PaperCosts {
    misread: bool,
    constant: Decimal,
}

impl<'p> Marker<'p> {
    /// Prepares to mark papers of `plan`.
    pub fn new(plan: &'p Plan) -> Self {
        Self {
            plan,
            scratch: Vec::new(),
        }
    }

    /// Marks one paper.
    pub fn mark(&mut self, key: &Key, paper: &Paper) -> Marked {
        let out_of = self.plan.sheet.points();
        let nothing = |status| Marked {
            status,
            parts: Vec::new(),
            paper_cost: Decimal::ZERO,
            late: Decimal::ZERO,
            total: Decimal::ZERO,
            out_of,
        };
        match paper.attendance {
            Attendance::Absent => return nothing(Status::Absent),
            Attendance::Excused => return nothing(Status::Excused),
            Attendance::Present => {}
        }
        let mut found = Vec::with_capacity(self.plan.parts.len());
        let mut costs = PaperCosts::default();
        for (at, key) in key.problems.iter().enumerate() {
            self.problem(at, key, paper, &mut found, &mut costs);
        }
        self.add_up(paper, &found, &costs, out_of)
    }

    /// Judges the parts of one problem.
    fn problem(
        &mut self,
        at: usize,
        key: &ProblemKey,
        paper: &Paper,
        found: &mut Vec<Found>,
        costs: &mut PaperCosts,
    ) {
        let plan = self.plan;
        let problem = &plan.problems[at];
        let assignment = &plan.sheet.problems[at];
        let first = found.len();
        let entry = |part: usize| paper.entries.get(first + part);
        let Judged {
            answers,
            carry,
            misread,
            constant,
        } = self.judged(at, first, key, paper);
        if let Some(constant) = &constant {
            let cost = assignment.givens[constant.given].allowed[constant.allowed].cost;
            costs.constant = costs.constant.max(cost);
        }
        let choice_slots = misread.as_ref().unwrap_or(&key.slots);
        let mut judged = answers.into_iter().peekable();
        for (part, (model, prepared)) in assignment.parts.iter().zip(&problem.parts).enumerate() {
            found.push(match (&model.kind, prepared) {
                (PartKind::Choose(options), PartPlan::Choose(judges)) => {
                    let stated = match entry(part) {
                        Some(Entry::Choice(choice)) => *choice,
                        _ => Choice::Blank,
                    };
                    let slots = Slots {
                        key: &key.slots,
                        misread: choice_slots,
                        carry: &carry,
                    };
                    Found::Choice(choose(options, judges, stated, &slots))
                }
                (PartKind::Answer(_), _) => match judged.next() {
                    Some(answer) => settle(answer, entry(part)),
                    None => Found::Eye(None),
                },
                _ => Found::Eye(match entry(part) {
                    Some(Entry::Eye(points)) => *points,
                    _ => None,
                }),
            });
        }
        costs.misread |= found[first..].iter().any(|found| match found {
            Found::Answer { outcome, .. } | Found::Choice(outcome) => {
                outcome.reasons.contains(&Reason::OnMisread)
            }
            Found::Eye(_) => false,
        });
    }

    /// Runs the tests over the answers to one problem; `first` is the place of its first part on
    /// the paper.
    pub(super) fn judged(
        &mut self,
        at: usize,
        first: usize,
        key: &ProblemKey,
        paper: &Paper,
    ) -> Judged<'p> {
        let plan = self.plan;
        let problem = &plan.problems[at];
        let assignment = &plan.sheet.problems[at];
        let entry = |part: usize| paper.entries.get(first + part);
        let mut answers: Vec<Answer<'_>> = Vec::with_capacity(assignment.parts.len());
        for (part, (model, prepared)) in assignment.parts.iter().zip(&problem.parts).enumerate() {
            if let (PartKind::Answer(asks), PartPlan::Answer(prepared)) = (&model.kind, prepared) {
                let reading = match entry(part) {
                    Some(Entry::Answer(reading)) => Some(reading),
                    _ => None,
                };
                answers.push(Answer::new(model, asks, prepared, key, reading));
            }
        }
        self.by_key(problem, &key.slots, &mut answers);
        let mut carry = Carry::new();
        if answers.iter().any(|a| a.is_open() || a.is_cut_off()) {
            carry = Carried::all(problem, &answers, None, None, Way::Written);
            self.rounded_on_the_way(problem, key, &mut carry, &mut answers);
        }
        let misread = misread_key(problem, at, key, paper);
        let mut constant = None;
        if answers.iter().any(Answer::is_open) {
            constant = constant::find(&answers, assignment, problem, key);
            if let Some(constant) = &constant {
                take_constant(&mut answers, constant);
            }
            if let Some(slots) = &misread {
                self.on_misread(problem, slots, &mut answers);
            }
        }
        sign::judge(&mut answers);
        if !answers.iter().all(Answer::is_right) {
            let grounds = grounds(key, misread.as_deref(), constant.as_ref());
            let right_by = (misread.as_deref(), constant.as_ref());
            let mut other = may_turn(&answers).then(|| answers.clone());
            carry = Carried::all(problem, &answers, right_by.0, right_by.1, Way::Written);
            let mut withheld = self.follow(problem, &grounds, right_by, &mut carry, &mut answers);
            // Wrong sizes point the way from which more follows, as written if both are alike.
            if let Some(other) = &mut other {
                let mut turned = Carried::all(problem, other, right_by.0, right_by.1, Way::Turned);
                let found = self.follow(problem, &grounds, right_by, &mut turned, other);
                if (credited(other), found.len()) > (credited(&answers), withheld.len()) {
                    (carry, withheld) = (turned, found);
                    answers.clone_from(other);
                }
            }
            self.explain_rest(problem, &grounds, &carry, withheld, &mut answers);
            note_independence(&mut answers);
        }
        Judged {
            answers,
            carry,
            misread,
            constant,
        }
    }

    fn by_key(&mut self, problem: &Problem, slots: &[f64], answers: &mut [Answer<'_>]) {
        let mut written = SlotSet::default();
        for answer in answers {
            if answer.is_open() {
                answer.outcome = right::judge(answer, problem, slots, written, &mut self.scratch);
            }
            if !answer.candidates.is_empty() {
                written = written.or(SlotSet::of(answer.plan.slot));
            }
        }
    }

    /// Finds what is right by way of right answers as written, or rounded once more, on the numbers
    /// given: rounding on the way comes before any other cause, cutting off among them.
    fn rounded_on_the_way(
        &mut self,
        problem: &Problem,
        key: &ProblemKey,
        carry: &mut Carry,
        answers: &mut [Answer<'_>],
    ) {
        for at in 0..answers.len() {
            let right = answers.iter().filter(|answer| answer.is_right());
            let right: SlotSet = right.map(|answer| answer.plan.slot).collect();
            let answer = &answers[at];
            if !(answer.is_open() || answer.is_cut_off()) || right.is_empty() {
                continue;
            }
            let roads = answer.plan.roads.iter().enumerate();
            let roads = roads.filter(|(_, road)| road.inputs.without(right).is_empty());
            let ground = Ground {
                problem,
                slots: &key.slots,
                carry,
                exact: false,
            };
            let trail = ground.follow(answer, roads, &mut self.scratch);
            let trail = trail.filter(|trail| trail.all_right);
            if trail.is_some() {
                take_trail(answers, at, trail, 0, Basis::Given);
                carry[answers[at].plan.slot] = Carried::of(&answers[at], None, None, Way::Written);
            }
        }
    }

    /// Judges what is still open by the key on misread numbers.
    fn on_misread(&mut self, problem: &Problem, slots: &[f64], answers: &mut [Answer<'_>]) {
        let mut written = SlotSet::default();
        for answer in answers {
            if answer.is_open() {
                let true_key = std::mem::replace(&mut answer.key, slots[answer.plan.slot]);
                answer.outcome = right::judge(answer, problem, slots, written, &mut self.scratch);
                match &mut answer.outcome {
                    Some(outcome) => {
                        outcome.verdict = Verdict::RightMisread;
                        outcome.because(Reason::OnMisread);
                    }
                    None => answer.key = true_key,
                }
            }
            if !answer.candidates.is_empty() {
                written = written.or(SlotSet::of(answer.plan.slot));
            }
        }
    }

    /// Follow-through from earlier answers. What follows but earns nothing stays open for later
    /// tests, and is given back. A wrong sign may follow too: carried on, it is paid for where it
    /// arose.
    fn follow(
        &mut self,
        problem: &Problem,
        grounds: &Grounds<'_>,
        (misread, constant): (Option<&[f64]>, Option<&Constant>),
        carry: &mut Carry,
        answers: &mut [Answer<'_>],
    ) -> Withheld {
        let mut withheld = Withheld::new();
        for at in 0..answers.len() {
            for &(basis, slots) in grounds {
                let answer = &answers[at];
                if answer.is_open() || answer.is_turned() {
                    let roads = answer.plan.roads.iter().enumerate();
                    let ground = Ground {
                        problem,
                        slots,
                        carry,
                        exact: false,
                    };
                    let trail = ground.follow(answer, roads, &mut self.scratch);
                    // A wrong sign is given up only for credit.
                    let trail = trail.filter(|trail| {
                        answer.is_open() || trail.all_right || trail.withheld.is_none()
                    });
                    let end = trail.filter(|_| answer.size_only()).map(|trail| trail.end);
                    withheld.extend(take_trail(answers, at, trail, 0, basis));
                    let here = &mut carry[answers[at].plan.slot];
                    if answers[at].is_right() {
                        *here = Carried::of(&answers[at], misread, constant, Way::Written);
                    } else if let Some(end) = end.filter(|_| answers[at].is_credited()) {
                        here.point(end);
                    }
                }
            }
        }
        withheld
    }

    /// What is still open after that: by ways that come back from a later part, then by slips.
    fn explain_rest(
        &mut self,
        problem: &Problem,
        grounds: &Grounds<'_>,
        carry: &Carry,
        mut withheld: Withheld,
        answers: &mut [Answer<'_>],
    ) {
        let ground = |slots, exact| Ground {
            problem,
            slots,
            carry,
            exact,
        };
        for at in 0..answers.len() {
            let forward = answers[at].plan.roads.len();
            for &(basis, slots) in grounds {
                if answers[at].is_open() {
                    let roads = answers[at].plan.back.iter().enumerate();
                    let scratch = &mut self.scratch;
                    let roads: ArrayVec<_, MOST_ROADS> = roads
                        .filter(|(_, road)| {
                            let inputs = road.inputs;
                            !is_circular(answers, &withheld, at, inputs)
                                && is_sound(answers, inputs, problem, slots, scratch)
                        })
                        .collect();
                    let roads = roads.into_iter();
                    let exact = !right::is_near(&answers[at], slots);
                    let trail = ground(slots, exact).follow(&answers[at], roads, scratch);
                    let slot = answers[at].plan.slot;
                    let used = is_used(answers, &withheld, slot);
                    let points = |trail: &Trail| {
                        !used || !answers[at].size_only() || carry[slot].points(trail.end)
                    };
                    let trail = trail.filter(points);
                    withheld.extend(take_trail(answers, at, trail, forward, basis));
                }
            }
        }
        for answer in answers.iter_mut() {
            for &(basis, slots) in grounds {
                if answer.is_open() {
                    answer.outcome = slip::judge(answer, &ground(slots, false), &mut self.scratch);
                    if let (Basis::Misread, Some(outcome)) = (basis, &mut answer.outcome) {
                        outcome.because(Reason::OnMisread);
                    }
                }
            }
        }
        for (at, outcome) in withheld {
            answers[at].outcome.get_or_insert(outcome);
        }
    }

    fn add_up(
        &self,
        paper: &Paper,
        found: &[Found],
        costs: &PaperCosts,
        out_of: Decimal,
    ) -> Marked {
        let rules = &self.plan.sheet.paper;
        let mut charger = Charger::new(rules.charge);
        let mut open = false;
        let mut look = false;
        let mut parts = Vec::with_capacity(found.len());
        for (at, found) in found.iter().enumerate() {
            let place = &self.plan.parts[at];
            let part = &self.plan.sheet.problems[place.problem].parts[place.part];
            let keyed = paper.working.get(at).copied().flatten();
            let mark = part_mark(part, found, keyed, &mut charger);
            open |= mark.verdict == Verdict::ByEye && mark.reasons.contains(&Reason::WorkingOpen);
            look |= mark.look;
            parts.push(mark);
        }
        let blank = parts.iter().all(|mark| {
            mark.verdict == Verdict::Blank || mark.reasons.contains(&Reason::WorkingOpen)
        });
        // A paper handed in empty has nothing to be judged by eye.
        if blank && !look {
            open = false;
        }
        let earned: Decimal = parts.iter().map(|mark| mark.points).sum();
        let misread = if costs.misread {
            rules.misread_cost
        } else {
            Decimal::ZERO
        };
        let paper_cost = points::paper_cost(earned, misread + costs.constant);
        let late = points::late(earned + paper_cost, paper.days_late, rules.late.as_ref());
        Marked {
            status: match (look, open) {
                (true, _) => Status::NeedsALook,
                (false, true) => Status::PartlyMarked,
                (false, false) => Status::Marked,
            },
            parts,
            paper_cost,
            late,
            total: earned + paper_cost + late,
            out_of,
        }
    }
}

/// The key on misread numbers, where the teacher said there are some.
fn misread_key(problem: &Problem, at: usize, key: &ProblemKey, paper: &Paper) -> Option<Vec<f64>> {
    let mut slots = None;
    for (_, given, quantity) in paper.misread.iter().filter(|(problem, ..)| *problem == at) {
        slots.get_or_insert_with(|| key.slots.clone())[*given] = quantity.si();
    }
    let mut slots = slots?;
    problem.solve(&mut slots).ok()?;
    Some(slots)
}

fn take_constant(answers: &mut [Answer<'_>], constant: &Constant) {
    for &(at, candidate, fit) in &constant.explains {
        let reason = Reason::OtherConstant {
            given: constant.given,
            allowed: constant.allowed,
        };
        let outcome = Outcome::new(Verdict::RightOtherConstant, Decimal::ONE, Some(reason));
        answers[at].outcome = Some(outcome.by(candidate, fit));
    }
}

/// Whether some answer was found to follow from the one in `slot`.
fn is_used(answers: &[Answer<'_>], withheld: &[(usize, Outcome)], slot: usize) -> bool {
    let settled = answers.iter().filter_map(|answer| answer.outcome.as_ref());
    let withheld = withheld.iter().map(|(_, outcome)| outcome);
    settled
        .chain(withheld)
        .any(|outcome| outcome.rests_on.has(slot))
}

/// Whether answers in `inputs` rest on the answer at `at`, directly or through others, if only
/// without credit: what rests on it cannot carry it.
pub(super) fn is_circular(
    answers: &[Answer<'_>],
    withheld: &[(usize, Outcome)],
    at: usize,
    inputs: SlotSet,
) -> bool {
    let settled = answers.iter().enumerate();
    let settled = settled.filter_map(|(other, answer)| Some((other, answer.outcome.as_ref()?)));
    let withheld = withheld.iter().map(|(other, outcome)| (*other, outcome));
    let outcomes = settled.chain(withheld);
    // An answer may have come to rest on others after something was found to rest on it.
    let mut roots = inputs;
    loop {
        let further = outcomes.clone().fold(roots, |roots, (other, outcome)| {
            if roots.has(answers[other].plan.slot) {
                roots.or(outcome.rests_on)
            } else {
                roots
            }
        });
        if further == roots {
            return roots.has(answers[at].plan.slot);
        }
        roots = further;
    }
}

/// Whether a way back from the answers in `inputs` says anything, on the numbers in `slots`. Those
/// that are right must be so by rounding: one that is right within the tolerance alone, or with
/// another constant, may have been worked out from the very answer it leads back to, whose error it
/// dampens, and would make it right in a circle that does not show.
pub(super) fn is_sound(
    answers: &[Answer<'_>],
    inputs: SlotSet,
    problem: &Problem,
    slots: &[f64],
    scratch: &mut Vec<f64>,
) -> bool {
    let used = answers.iter().filter(|a| inputs.has(a.plan.slot));
    used.filter(|answer| answer.is_right())
        .all(|answer| right::is_by_rounding(answer, problem, slots, scratch))
}

/// Settles an answer that follows. One that follows without credit is given back instead.
fn take_trail(
    answers: &mut [Answer<'_>],
    at: usize,
    trail: Option<Trail>,
    offset: usize,
    basis: Basis,
) -> Option<(usize, Outcome)> {
    let trail = trail?;
    let rests_on = answers
        .iter()
        .filter(|other| trail.inputs.has(other.plan.slot))
        .filter_map(|other| other.outcome.as_ref())
        .fold(trail.inputs, |set, outcome| set.or(outcome.rests_on));
    let followed = Reason::FollowedFrom {
        road: u8::try_from(trail.road + offset).unwrap_or(u8::MAX),
        inputs: trail.inputs,
        rounded_to: trail.rounded_to,
    };
    let (verdict, share) = match (trail.all_right, trail.withheld, basis) {
        (true, _, Basis::Given) => (Verdict::Right, Decimal::ONE),
        (true, _, Basis::Misread) => (Verdict::RightMisread, Decimal::ONE),
        (true, _, Basis::Constant) => (Verdict::RightOtherConstant, Decimal::ONE),
        (false, None, _) => (Verdict::Followed, Decimal::ONE),
        (false, Some(_), _) => (Verdict::Wrong, Decimal::ZERO),
    };
    let mut outcome = Outcome::new(verdict, share, Some(followed));
    if trail.all_right {
        outcome.because(Reason::RoundedOnTheWay);
    } else {
        outcome.reasons.extend(trail.withheld);
    }
    if basis == Basis::Misread {
        outcome.because(Reason::OnMisread);
    }
    outcome.rests_on = rests_on;
    let outcome = outcome.by(trail.candidate, trail.fit);
    if verdict == Verdict::Wrong {
        return Some((at, outcome));
    }
    answers[at].outcome = Some(outcome);
    None
}

/// How many answers earn their points, by themselves or by what they follow from.
fn credited(answers: &[Answer<'_>]) -> usize {
    answers.iter().filter(|answer| answer.is_credited()).count()
}

/// Notes right answers that stand beside an earlier wrong one they would have followed from.
fn note_independence(answers: &mut [Answer<'_>]) {
    let wrong: SlotSet = answers
        .iter()
        .filter(|answer| {
            !answer.candidates.is_empty()
                && answer
                    .outcome
                    .as_ref()
                    .is_none_or(|o| !o.verdict.is_right())
        })
        .map(|answer| answer.plan.slot)
        .collect();
    for answer in answers {
        let could_follow = answer
            .plan
            .roads
            .first()
            .is_some_and(|road| !road.inputs.and(wrong).is_empty());
        if let Some(outcome) = &mut answer.outcome
            && outcome.verdict.is_right()
            && outcome.rests_on.is_empty()
            && could_follow
        {
            outcome.because(Reason::IgnoresEarlier);
        }
    }
}

/// Closes the judgement of an answer: unit and figures of the number that was taken.
fn settle(answer: Answer<'_>, entry: Option<&Entry>) -> Found {
    let charges_truncation = right::charges_truncation(&answer);
    let outcome = match answer.outcome {
        Some(outcome) => outcome,
        None => Outcome::new(Verdict::Wrong, Decimal::ZERO, None),
    };
    let mut outcome = outcome;
    let (mut unit, mut figures) = (None, None);
    if let Some(candidate) = answer.candidates.get(outcome.candidate) {
        let zero = candidate.stated.value == 0.0 || answer.key == 0.0;
        unit = Some(candidate.unit);
        figures = Some(if zero {
            FiguresVerdict::NotJudged
        } else {
            let written = candidate.stated.numeral.map(|numeral| {
                let mut figures = numeral.figures();
                figures.most = outcome
                    .most_figures
                    .map_or(figures.most, |most| most.min(figures.most));
                figures
            });
            figures::judge(written, answer.asked, answer.part.rules.unevaluated)
        });
        // Zero needs neither unit nor figures.
        if zero && unit.is_some_and(UnitVerdict::is_fault) {
            unit = Some(UnitVerdict::Same);
        }
        if ambiguous(entry) {
            outcome.because(Reason::ReadTheWayThatFits);
            outcome.look |= !outcome.verdict.is_right();
        }
    }
    let truncated = charges_truncation && outcome.reasons.contains(&Reason::Truncated);
    Found::Answer {
        outcome,
        unit,
        figures,
        truncated,
    }
}

fn ambiguous(entry: Option<&Entry>) -> bool {
    use crate::answer::{Reading, Value};
    matches!(
        entry,
        Some(Entry::Answer(Reading::One(written))) if matches!(written.value, Value::Ambiguous { .. })
    )
}

/// The slots a choice is judged by.
struct Slots<'a> {
    key: &'a [f64],
    misread: &'a [f64],
    carry: &'a Carry,
}

fn choose(
    options: &ChoicePart,
    judges: &[crate::formula::condition::Judge],
    stated: Choice,
    slots: &Slots<'_>,
) -> Outcome {
    debug_assert_eq!(options.options.len(), judges.len());
    let nothing = |verdict| Outcome::new(verdict, Decimal::ZERO, None);
    let stated = match stated {
        Choice::Blank => return nothing(Verdict::Blank),
        Choice::Several => return nothing(Verdict::Several),
        Choice::Unreadable => {
            let mut outcome = nothing(Verdict::Unreadable);
            outcome.look = true;
            return outcome;
        }
        Choice::Option(option) => option,
    };
    if choice::holding(judges, slots.key) == Some(stated) {
        return Outcome::new(Verdict::Right, Decimal::ONE, None);
    }
    if choice::holding(judges, slots.misread) == Some(stated) {
        return Outcome::new(Verdict::RightMisread, Decimal::ONE, Some(Reason::OnMisread));
    }
    // What the student's own answers say about it.
    let uses = judges
        .iter()
        .fold(SlotSet::default(), |set, judge| set.or(judge.uses()));
    let mut own = slots.key.to_vec();
    let mut inputs = SlotSet::default();
    for slot in uses.iter() {
        if let Some(stated) = slots.carry.get(slot).and_then(|carried| carried.wrong()) {
            own[slot] = stated.value;
            inputs = inputs.or(SlotSet::of(slot));
        }
    }
    if !inputs.is_empty() && choice::holding(judges, &own) == Some(stated) {
        let reason = Reason::FollowedFrom {
            road: 0,
            inputs,
            rounded_to: None,
        };
        return Outcome::new(Verdict::Followed, Decimal::ONE, Some(reason));
    }
    nothing(Verdict::Wrong)
}

fn part_mark(part: &Part, found: &Found, keyed: Option<u8>, charger: &mut Charger) -> PartMark {
    let all_working = Decimal::from(part.working.len());
    let (verdict, mut reasons, share, unit, figures, truncated) = match found {
        Found::Eye(points) => return by_eye(part, *points),
        Found::Choice(outcome) => (
            outcome.verdict,
            outcome.reasons.clone(),
            outcome.share,
            None,
            None,
            false,
        ),
        Found::Answer {
            outcome,
            unit,
            figures,
            truncated,
        } => {
            let reasons = outcome.reasons.clone();
            (
                outcome.verdict,
                reasons,
                outcome.share,
                *unit,
                *figures,
                *truncated,
            )
        }
    };
    let full = share == Decimal::ONE;
    let working = match keyed {
        Some(points) => Decimal::from(points).min(all_working),
        None if part.working.is_empty() || verdict == Verdict::Blank => Decimal::ZERO,
        None if full && !part.rules.value_needs_working => {
            let _ = reasons.try_push(Reason::WorkingAssumed);
            all_working
        }
        None => {
            let _ = reasons.try_push(Reason::WorkingOpen);
            Decimal::ZERO
        }
    };
    let figures_at_fault = figures.is_some_and(FiguresVerdict::is_fault) || truncated;
    let earned = Earned {
        value_points: part.points - all_working,
        share,
        working,
        unit_fault: unit
            .is_some_and(UnitVerdict::is_fault)
            .then_some(part.rules.unit_cost),
        figures_fault: figures_at_fault.then_some(part.rules.figures_cost),
    };
    let points = charger.part(&earned);
    let look = match found {
        Found::Answer { outcome, .. } | Found::Choice(outcome) => outcome.look,
        Found::Eye(_) => false,
    };
    PartMark {
        verdict,
        look: look || reasons.contains(&Reason::WorkingOpen),
        reasons,
        unit,
        figures,
        share,
        working,
        unit_cost: points.unit_cost,
        figures_cost: points.figures_cost,
        points: points.points,
        out_of: part.points,
    }
}

fn by_eye(part: &Part, points: Option<u8>) -> PartMark {
    let mut reasons = ArrayVec::new();
    if points.is_none() {
        reasons.push(Reason::WorkingOpen);
    }
    let points = points.map_or(Decimal::ZERO, Decimal::from).min(part.points);
    PartMark {
        verdict: Verdict::ByEye,
        reasons,
        unit: None,
        figures: None,
        share: Decimal::ZERO,
        working: points,
        unit_cost: Decimal::ZERO,
        figures_cost: Decimal::ZERO,
        points,
        out_of: part.points,
        look: false,
    }
}
