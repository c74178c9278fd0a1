//! How long a wrong paper takes, assignment by assignment.
//!
//! In: durations, and what an assignment is made of. Out: a table, those with the fewest equations first, so
//! that it shows how time grows with them; at the end all of them, and what it takes to mark the same papers.

use std::fmt::Write as _;
use std::time::Duration;

use paperweight::diagnosis::Mistakes;
use paperweight::plan::{PartPlan, Plan};

/// One assignment.
#[derive(Debug)]
pub(crate) struct Assignment {
    code: String,
    equations: usize,
    answers: usize,
    mistakes: usize,
    prepared: Duration,
    pub(crate) took: Vec<Duration>,
    /// Marking the same papers.
    pub(crate) marked: Vec<Duration>,
}

impl Assignment {
    pub(crate) fn new(plan: &Plan, mistakes: &Mistakes, prepared: Duration) -> Self {
        let problem = &plan.problems[0];
        let answers = problem.parts.iter();
        Self {
            code: plan.sheet.code.clone(),
            equations: problem.equations,
            answers: answers
                .filter(|part| matches!(part, PartPlan::Answer(_)))
                .count(),
            mistakes: mistakes.of_problem(0).len(),
            prepared,
            took: Vec::new(),
            marked: Vec::new(),
        }
    }
}

/// Everything timed.
#[derive(Debug, Default)]
pub(crate) struct Times {
    pub(crate) all: Vec<Assignment>,
}

impl Times {
    pub(crate) fn report(&mut self) -> String {
        let mut out = String::new();
        self.all.sort_by(|one, other| {
            (one.equations, one.mistakes, &one.code).cmp(&(
                other.equations,
                other.mistakes,
                &other.code,
            ))
        });
        // Writing into a string cannot fail.
        let _ = self.write(&mut out);
        out
    }

    fn write(&self, out: &mut String) -> std::fmt::Result {
        writeln!(out, "time a wrong paper takes, in ms")?;
        writeln!(
            out,
            "  {:<15} {:>9} {:>7} {:>8} {:>8} {:>8} {:>8} {:>8} {:>8} {:>9}",
            "assignment",
            "equations",
            "answers",
            "mistakes",
            "papers",
            "mean",
            "median",
            "99 %",
            "most",
            "prepared"
        )?;
        let (mut every, mut marked) = (Vec::new(), Vec::new());
        for at in &self.all {
            let took = Sorted::of(at.took.clone());
            writeln!(
                out,
                "  {:<15} {:>9} {:>7} {:>8} {:>8} {} {:>9.1}",
                at.code,
                at.equations,
                at.answers,
                at.mistakes,
                at.took.len(),
                took.row(),
                ms(at.prepared)
            )?;
            every.extend(&at.took);
            marked.extend(&at.marked);
        }
        for (name, took) in [("all", every), ("marking them", marked)] {
            let count = took.len();
            let row = Sorted::of(took).row();
            writeln!(
                out,
                "  {name:<15} {:>9} {:>7} {:>8} {count:>8} {row}",
                "", "", ""
            )?;
        }
        Ok(())
    }
}

/// Durations, the shortest first.
struct Sorted(Vec<Duration>);

impl Sorted {
    fn of(mut took: Vec<Duration>) -> Self {
        took.sort_unstable();
        Self(took)
    }

    fn at(&self, share: f64) -> f64 {
        let place = (self.0.len() as f64 * share) as usize;
        let took = self.0.get(place).or(self.0.last());
        ms(took.copied().unwrap_or_default())
    }

    fn row(&self) -> String {
        let mean = ms(self.0.iter().sum::<Duration>()) / self.0.len().max(1) as f64;
        format!(
            "{mean:>8.2} {:>8.2} {:>8.2} {:>8.2}",
            self.at(0.5),
            self.at(0.99),
            self.at(1.0)
        )
    }
}

fn ms(took: Duration) -> f64 {
    took.as_secs_f64() * 1000.0
}
