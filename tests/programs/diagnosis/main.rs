//! Does the diagnosis find what was done, and does it keep silent otherwise? Papers are simulated on the
//! shipped assignments and diagnosed with the real code.
//!
//! `cargo run --release --example diagnosis [-- --papers 2000 --seed 1 --only ropes-1]`
//!
//! In: nothing but the arguments; chance is seeded, so the same arguments print the same bytes but for the
//! last table, which tells the time. Out: how often the right mistake is named, how often a wrong one is
//! called strong, how often a promise of luck comes true. `student` is someone at work, `tally` what is
//! counted.

#[path = "../fairness/random.rs"]
#[allow(dead_code, reason = "shared with a program that needs more of it")]
mod random;
mod student;
mod tally;

use std::path::Path;
use std::process::ExitCode;
use std::time::Instant;

use clap::Parser;
use paperweight::diagnosis::{Mistakes, diagnose, luck_of_one};
use paperweight::marking::{Key, Marker};
use paperweight::plan::Plan;
use paperweight::variant::{Allocator, Taken};
use paperweight::workflow::{self, Prepared};

use random::Random;
use student::{Cause, Student};
use tally::{Row, Tally};

/// The shipped assignments.
const CODES: [&str; 5] = [
    "ropes-1",
    "pulley-disc-1",
    "incline-1",
    "projectile-1",
    "collision-1",
];

/// Simulates papers and counts what the diagnosis says of them.
#[derive(Debug, Parser)]
struct Arguments {
    /// Papers in each assignment and case.
    #[arg(long, default_value_t = 2000)]
    papers: usize,
    /// Another seed, other chance.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Only this assignment.
    #[arg(long)]
    only: Option<String>,
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let codes = CODES.iter().enumerate();
    let codes =
        codes.filter(|(_, code)| arguments.only.as_deref().is_none_or(|only| only == **code));
    let mut tally = Tally::default();
    for (number, code) in codes {
        if let Err(why) = study(number, code, &arguments, &mut tally) {
            eprintln!("{code}: {why}");
            return ExitCode::from(2);
        }
    }
    print!("{}", tally.report());
    ExitCode::SUCCESS
}

fn study(
    number: usize,
    code: &str,
    arguments: &Arguments,
    tally: &mut Tally,
) -> Result<(), String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"));
    let path = path.join("assignments").join(format!("{code}.toml"));
    let failed = |failure: workflow::Failure| format!("{:?}", failure.findings().list);
    let prepared = workflow::prepare(workflow::load(&path).map_err(failed)?).map_err(failed)?;
    let start = Instant::now();
    let mistakes = Mistakes::of(&prepared.plan);
    tally.prepared(code, mistakes.of_problem(0).len(), start.elapsed());
    let keys = keys(&prepared, arguments.papers.min(500))?;
    let plan = &prepared.plan;
    let mut marker = Marker::new(plan);
    for (case, cause) in Cause::ALL.into_iter().enumerate() {
        for figures in [2, 3, 4] {
            for at in 0..arguments.papers {
                let names = [
                    arguments.seed,
                    number as u64,
                    case as u64,
                    u64::from(figures),
                    at as u64,
                ];
                let key = &keys[at % keys.len()];
                let student = Student {
                    plan,
                    mistakes: &mistakes,
                    key,
                    figures,
                };
                let Some((paper, made)) = student.works(cause, &mut Random::of(&names)) else {
                    continue;
                };
                let evidence = marker.evidence(key, &paper);
                let faulty = evidence.first().map_or(0, |at| at.faulty().len());
                let wrong = marker.mark(key, &paper);
                let affected = wrong
                    .parts
                    .iter()
                    .filter(|mark| mark.unit.is_some() && !mark.verdict.is_right());
                let affected = affected.count();
                if faulty == 0 {
                    continue;
                }
                let start = Instant::now();
                let found = diagnose(plan, &mistakes, key, &evidence);
                let took = start.elapsed();
                let luck = evidence
                    .first()
                    .and_then(|evidence| luck_of_one(plan, &mistakes, key, evidence));
                tally.add(Row {
                    cause,
                    figures,
                    affected,
                    faulty,
                    found: &found,
                    made: made.as_ref(),
                    luck: luck.unwrap_or(0.0),
                    took,
                });
            }
        }
    }
    Ok(())
}

/// Keys of so many students.
fn keys(prepared: &Prepared, count: usize) -> Result<Vec<Key>, String> {
    let plan: &Plan = &prepared.plan;
    let spaces = prepared
        .spaces()
        .map_err(|_| "no space to draw from".to_owned())?;
    let space = &spaces[0];
    let mut allocator = Allocator::new(space, Taken::default());
    let mut keys = Vec::with_capacity(count);
    for at in 0..count {
        allocator
            .next(&format!("student {at}"), 1, &[])
            .map_err(|_| "no draw".to_owned())?;
        let values: Vec<_> = space.values(allocator.picks()).collect();
        let mut key = Key::default();
        key.fill(plan, [values.as_slice()].into_iter())
            .map_err(|_| "a draw without a key".to_owned())?;
        keys.push(key);
    }
    Ok(keys)
}
