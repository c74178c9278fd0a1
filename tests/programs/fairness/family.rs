//! One shipped assignment, ready for students.
//!
//! In: its file, how many students. Out: the plan, each student's numbers and key, and for every
//! part asked the ways to it and the mistakes that can be made on them.

use std::path::Path;

use paperweight::assignment::{Assignment, PartRules, Sign};
use paperweight::formula::tape::{SlotSet, Tape};
use paperweight::marking::Key;
use paperweight::plan::{AnswerPlan, PartPlan, Plan, Problem, answer_part};
use paperweight::quantity::{Quantity, Unit};
use paperweight::variant::{Allocator, Taken};
use paperweight::workflow;

use crate::mistake::{self, Alteration};
use crate::ways::{self, Way};

/// The shipped assignments: their codes.
pub(crate) const CODES: [&str; 5] = [
    "ropes-1",
    "pulley-disc-1",
    "incline-1",
    "projectile-1",
    "collision-1",
];

/// A part that asks for a quantity.
#[derive(Clone, Debug)]
pub(crate) struct Asked {
    /// Its index on the paper.
    pub(crate) at: usize,
    /// Its id and what it asks for.
    pub(crate) name: String,
    pub(crate) slot: usize,
    pub(crate) unit: Unit,
    pub(crate) ways: Vec<Way>,
}

/// An assignment with its students.
#[derive(Debug)]
pub(crate) struct Family {
    /// Its place among [`CODES`].
    pub(crate) number: u64,
    pub(crate) plan: Plan,
    /// The same where nature allows everything.
    pub(crate) open_plan: Plan,
    pub(crate) asked: Vec<Asked>,
    pub(crate) alterations: Vec<Alteration>,
    /// Sets of equations that give all unknowns.
    pub(crate) systems: Vec<Vec<usize>>,
    /// For each equation the tapes of its terms.
    pub(crate) terms: Vec<Vec<Tape>>,
    /// For each student the key.
    pub(crate) keys: Vec<Key>,
}

impl Family {
    /// Prepares the assignment in `assignments/<code>.toml` for so many students.
    pub(crate) fn load(code: &str, students: usize) -> Result<Self, String> {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let path = root.join("assignments").join(format!("{code}.toml"));
        let say = |what: &str| format!("{}: {what}", path.display());
        let failed = |failure: workflow::Failure| {
            let list = &failure.findings().list;
            say(&list
                .iter()
                .map(|d| d.message.as_str())
                .collect::<Vec<_>>()
                .join("; "))
        };
        let loaded = workflow::load(&path).map_err(failed)?;
        let prepared = workflow::prepare(loaded).map_err(failed)?;
        let keys = keys(&prepared, students).map_err(|what| say(&what))?;
        let plan = prepared.plan;
        let problem = &plan.problems[0];
        let assignment = &plan.sheet.problems[0];
        let samples: Vec<Vec<f64>> = keys
            .iter()
            .take(8)
            .map(|key| key.problems[0].slots.clone())
            .collect();
        let mut asked: Vec<Asked> = Vec::new();
        let mut before = SlotSet::default();
        for (at, part) in problem.parts.iter().enumerate() {
            let (PartPlan::Answer(answer), Some(asks)) = (part, answer_part(assignment, at)) else {
                continue;
            };
            let unknown = &assignment.unknowns[asks.unknown].name;
            asked.push(Asked {
                at,
                name: format!("{} {unknown}", assignment.parts[at].id),
                slot: answer.slot,
                unit: asks.unit,
                ways: ways::ways(problem, answer, before, &samples),
            });
            before = before.or(SlotSet::of(answer.slot));
        }
        let terms = (0..assignment.equations.len())
            .map(|equation| {
                let terms = mistake::terms(assignment, equation);
                terms.iter().filter_map(|t| t.tape(assignment)).collect()
            })
            .collect();
        let number = CODES.iter().position(|known| *known == code).unwrap_or(0);
        let mut open_plan = plan.clone();
        open_plan.problems[0].possible.clear();
        Ok(Self {
            number: number as u64,
            open_plan,
            asked,
            alterations: mistake::alterations(assignment, problem),
            systems: ways::systems(problem, &samples),
            terms,
            keys,
            plan,
        })
    }

    pub(crate) fn problem(&self) -> &Problem {
        &self.plan.problems[0]
    }

    pub(crate) fn assignment(&self) -> &Assignment {
        &self.plan.sheet.problems[0]
    }

    pub(crate) fn rules(&self, asked: usize) -> &PartRules {
        &self.assignment().parts[self.asked[asked].at].rules
    }

    /// The prepared answer of an asked part.
    pub(crate) fn answer(&self, asked: usize) -> Option<&AnswerPlan> {
        self.problem().answer(self.asked[asked].at)
    }

    /// All slots of a student's key.
    pub(crate) fn slots(&self, student: usize) -> &[f64] {
        &self.keys[student].problems[0].slots
    }

    pub(crate) fn givens(&self, student: usize) -> &[Quantity] {
        &self.keys[student].problems[0].givens
    }

    /// Whether two values are apart by more than the declared tolerance around the second, as
    /// far as the part looks at signs.
    pub(crate) fn apart(&self, asked: usize, value: f64, from: f64) -> bool {
        let rules = self.rules(asked);
        let (value, from) = if rules.sign == Sign::Fixed {
            (value, from)
        } else {
            (value.abs(), from.abs())
        };
        let share = rules.percent.map_or(0.0, |percent| percent * from.abs());
        let absolute = rules.absolute.map_or(0.0, |quantity| {
            quantity.numeral.to_f64().abs() * quantity.unit.factor()
        });
        (value - from).abs() > share.max(absolute)
    }
}

/// The keys of made-up students, all of different numbers while these last.
fn keys(prepared: &workflow::Prepared, students: usize) -> Result<Vec<Key>, String> {
    let spaces = prepared.spaces().map_err(|_| "no draws".to_owned())?;
    let space = spaces.first().ok_or("no problem")?;
    let mut allocator = Allocator::new(space, Taken::default());
    let mut keys = Vec::with_capacity(students);
    for student in 0..students {
        allocator
            .next(&format!("student {student}"), 1, &[])
            .map_err(|_| "no draw is left".to_owned())?;
        let draw: Vec<Quantity> = space.values(allocator.picks()).collect();
        let mut key = Key::default();
        key.fill(&prepared.plan, std::iter::once(&draw[..]))
            .map_err(|(_, why)| format!("student {student} has no key: {why:?}"))?;
        keys.push(key);
    }
    Ok(keys)
}
