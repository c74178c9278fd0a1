//! Is the marking fair? Students are simulated on the shipped assignments, marked with the real
//! code, and the shares of wrong decisions are printed, beside those of the simulation by which
//! the rules were chosen.
//!
//! `cargo run --release --example fairness [-- --students 4000 --seed 1 --only ropes-1 --worst 3]`
//!
//! In: nothing but the arguments; chance is seeded, so the same arguments print the same bytes.
//! Out: four tables (correct answers rejected, legitimate follow-through credited, false credit,
//! wrong steps accepted along another road), the targets with PASS or MISS, and the worst cases
//! in full. `random` is chance, `family` an assignment with its students, `ways` how a person may
//! get an answer, `mistake` what may go wrong, `student` someone at work, `desk` the marking,
//! `study` the four questions, `report` the tables.

mod desk;
mod family;
mod mistake;
mod random;
mod report;
mod student;
mod study;
mod ways;

use std::process::ExitCode;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use clap::Parser;
use family::{CODES, Family};
use study::{Job, Tally};

/// Simulates students and counts how often marking does them wrong.
#[derive(Debug, Parser)]
struct Arguments {
    /// Students in each assignment and case.
    #[arg(long, default_value_t = 4000)]
    students: usize,
    /// Another seed, other chance; the students' numbers stay.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Only this assignment.
    #[arg(long)]
    only: Option<String>,
    /// How many of the worst cases to show of each kind.
    #[arg(long, default_value_t = 1)]
    worst: usize,
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    match run(&arguments) {
        Ok(report) => {
            print!("{report}");
            ExitCode::SUCCESS
        }
        Err(why) => {
            eprintln!("{why}");
            ExitCode::from(2)
        }
    }
}

fn run(arguments: &Arguments) -> Result<String, String> {
    let codes = CODES
        .iter()
        .filter(|code| arguments.only.as_ref().is_none_or(|only| only == *code));
    let families: Vec<Family> = codes
        .map(|code| Family::load(code, arguments.students.max(2)))
        .collect::<Result<_, _>>()?;
    if families.is_empty() {
        return Err(format!("expected --only to be one of {}", CODES.join(", ")));
    }
    let jobs: Vec<(usize, Job)> = Job::all()
        .into_iter()
        .flat_map(|job| (0..families.len()).map(move |family| (family, job)))
        .collect();
    let tallies = work(&families, &jobs, arguments);
    Ok(report::report(&families, &tallies, arguments.worst))
}

/// Does all jobs on all threads there are; each has its own chance, so their order is nothing.
fn work(
    families: &[Family],
    jobs: &[(usize, Job)],
    arguments: &Arguments,
) -> Vec<(usize, Job, Tally)> {
    let next = AtomicUsize::new(0);
    let done = Mutex::new(Vec::new());
    let threads = thread::available_parallelism().map_or(1, |threads| threads.get());
    thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                while let Some(&(family, job)) = jobs.get(next.fetch_add(1, Ordering::Relaxed)) {
                    let tally = study::run(&families[family], job, arguments.seed);
                    if let Ok(mut done) = done.lock() {
                        done.push((family, job, tally));
                    }
                }
            });
        }
    });
    let mut tallies = done.into_inner().unwrap_or_default();
    tallies.sort_by_key(|(family, job, _)| (*job, *family));
    tallies
}
