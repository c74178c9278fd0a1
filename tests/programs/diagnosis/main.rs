//! Does the diagnosis find what was done, and does it keep silent otherwise? Papers are simulated on
//! assignments and diagnosed with the real code.
//!
//! `cargo run --release --example diagnosis [-- --papers 2000 --seed 1 --of shipped,published,shelf --only
//! ropes-1]`
//!
//! In: nothing but the arguments; chance is seeded, so the same arguments print the same bytes but for the
//! tables of times. Out: how often the right mistake is named, how often a wrong one is called strong, how
//! often a promise of luck comes true, how long a wrong paper takes. `student` is someone at work, `copies`
//! someone who is not, `study` one assignment, `tally` what is counted, `times` what is timed. `--show`
//! prints the first papers whose mistake was not found.

mod copies;
#[path = "../fairness/random.rs"]
#[allow(dead_code, reason = "shared with a program that needs more of it")]
mod random;
mod student;
mod study;
mod tally;
mod times;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Parser;

use study::Study;
use tally::Tally;
use times::Times;

/// The assignments at the top of the shelf.
const SHIPPED: [&str; 5] = [
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
    /// Which assignments, each group with tables of its own.
    #[arg(long, value_delimiter = ',', default_values_t = ["shipped".to_owned(), "published".to_owned()])]
    of: Vec<String>,
    /// Only this assignment.
    #[arg(long)]
    only: Option<String>,
    /// Print so many papers of each assignment whose known mistake was not found.
    #[arg(long, default_value_t = 0)]
    show: usize,
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let mut times = Times::default();
    for group in &arguments.of {
        let Some(files) = files(group) else {
            eprintln!("{group}: expected shipped, published or shelf");
            return ExitCode::from(2);
        };
        let mut tally = Tally::default();
        for (number, path) in files.iter().enumerate() {
            let code = path.file_stem().unwrap_or_default().to_string_lossy();
            if arguments.only.as_deref().is_some_and(|only| only != code) {
                continue;
            }
            let study = Study {
                path,
                number: number as u64,
                papers: arguments.papers,
                seed: arguments.seed,
                show: arguments.show,
            };
            if let Err(why) = study.run(&mut tally, &mut times) {
                eprintln!("{code}: {why}");
                return ExitCode::from(2);
            }
        }
        if !tally.is_empty() {
            println!("{group}\n\n{}", tally.report());
        }
    }
    print!("{}", times.report());
    ExitCode::SUCCESS
}

/// The files of a group; nothing where there is no such group.
fn files(group: &str) -> Option<Vec<PathBuf>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let assignments = root.join("assignments");
    let toml = |name: &str| assignments.join(format!("{name}.toml"));
    match group {
        "shipped" => Some(SHIPPED.iter().map(|code| toml(code)).collect()),
        "shelf" => {
            let items = paperweight::shelf::drawers()
                .iter()
                .flat_map(|drawer| drawer.items);
            let items = items.filter(|item| !SHIPPED.contains(&item.code()));
            Some(items.map(|item| toml(item.name)).collect())
        }
        "published" => {
            let entries = std::fs::read_dir(root.join("tests/published")).ok()?;
            let paths = entries.flatten().map(|entry| entry.path());
            let mut paths: Vec<PathBuf> = paths
                .filter(|path| path.extension().is_some_and(|end| end == "toml"))
                .collect();
            paths.sort();
            Some(paths)
        }
        _ => None,
    }
}
