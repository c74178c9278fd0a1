//! The numbers and the key of every student, in the terminal.
//!
//! `cargo run --example keys -- assignments/ropes-1.toml rosters/set-3.csv`
//!
//! In: an assignment or sheet, and a roster. Out, on standard output: one row a student with the
//! values they were given and the answer to each part, at the figures asked for or at so many as
//! `--figures` says; `--csv` for other programs. They are the same numbers that `paperweight mark` with
//! `--record :memory:` marks by. Refused: whatever the program itself refuses.

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Parser;
use paperweight::assignment::PartKind;
use paperweight::diagnostic::{self, Source};
use paperweight::marking::figures::Asked;
use paperweight::marking::{Key, choice};
use paperweight::plan::{PartPlan, Plan, key_diagnostic};
use paperweight::quantity::{Quantity, round_to_figures};
use paperweight::roster::RosterColumns;
use paperweight::text;
use paperweight::variant::{self, Draft};
use paperweight::workflow::{self, Failure, Prepared};

/// Print every student's numbers and key.
#[derive(Debug, Parser)]
struct Arguments {
    /// The assignment or sheet
    assignment: PathBuf,
    /// The class
    roster: PathBuf,
    /// How many figures to print; by default as many as each part asks for
    #[arg(long, value_parser = clap::value_parser!(u8).range(1..=13))]
    figures: Option<u8>,
    /// Print CSV instead of aligned columns
    #[arg(long)]
    csv: bool,
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let rows = match rows(&arguments) {
        Ok(rows) => rows,
        Err(failure) => {
            let found = failure.findings();
            let sources: Vec<&Source> = found.sources.iter().map(|source| &**source).collect();
            eprintln!("{}", diagnostic::render(&found.list, &sources, false));
            return ExitCode::from(2);
        }
    };
    let printed = if arguments.csv {
        print_csv(&rows)
    } else {
        print_aligned(&rows)
    };
    match printed {
        Ok(()) => ExitCode::SUCCESS,
        Err(_) => ExitCode::from(3),
    }
}

/// The heading, then one row a student.
fn rows(arguments: &Arguments) -> Result<Vec<Vec<String>>, Failure> {
    let prepared = workflow::prepare(workflow::load(&arguments.assignment)?)?;
    let plan = &prepared.plan;
    let roster = roster(&arguments.roster)?;
    let spaces = prepared.spaces()?;
    let ids: Vec<&str> = roster.iter().map(|student| student.id).collect();
    let fail = |problem: usize, error: variant::NoDraw| {
        let diagnostic = error.diagnostic(&plan.sheet.problems[problem]);
        Failure::input(vec![diagnostic], prepared.sources.clone())
    };
    let tries = variant::allocate(&spaces, &ids).map_err(|(at, error)| fail(at, error))?;
    let mut rows = vec![heading(plan)];
    let mut draft = Draft::default();
    let mut key = Key::default();
    for (at, student) in roster.iter().enumerate() {
        let mut draws: Vec<Vec<Quantity>> = Vec::new();
        for (problem, space) in spaces.iter().enumerate() {
            let picked = space.picks(student.id, 1, tries.of(at)[problem], &mut draft);
            picked.map_err(|error| fail(problem, error))?;
            draws.push(space.values(&draft.picks).collect());
        }
        solve(&prepared, &draws, &mut key)?;
        let mut row = vec![student.id.to_owned(), student.name.to_owned()];
        row.extend(draws.iter().flatten().map(Quantity::to_string));
        row.extend((0..plan.parts.len()).map(|at| answer(plan, &key, at, arguments.figures)));
        rows.push(row);
    }
    Ok(rows)
}

fn roster(path: &Path) -> Result<paperweight::roster::Roster, Failure> {
    workflow::roster(path, &RosterColumns::default()).map(|(roster, _)| roster)
}

fn solve(prepared: &Prepared, draws: &[Vec<Quantity>], key: &mut Key) -> Result<(), Failure> {
    let filled = key.fill(&prepared.plan, draws.iter().map(Vec::as_slice));
    filled.map_err(|(problem, error)| {
        let draw: Vec<f64> = draws[problem].iter().map(Quantity::si).collect();
        let assignment = &prepared.plan.sheet.problems[problem];
        let diagnostic = key_diagnostic(assignment, &draw, &error);
        Failure::input(vec![diagnostic], prepared.sources.clone())
    })
}

/// Names as in files of answers, `given:mA`: on a sheet with the problem's number before them.
fn heading(plan: &Plan) -> Vec<String> {
    let mut heading = vec!["student".to_owned(), "name".to_owned()];
    for (at, problem) in plan.sheet.problems.iter().enumerate() {
        let number = if plan.sheet.lone {
            String::new()
        } else {
            (at + 1).to_string()
        };
        let names = problem.givens.iter().map(|given| &given.name);
        heading.extend(names.map(|name| format!("given:{number}{name}")));
    }
    heading.extend(plan.parts.iter().map(|part| part.id.clone()));
    heading
}

/// The key of one part; empty where it is judged by eye.
fn answer(plan: &Plan, key: &Key, at: usize, figures: Option<u8>) -> String {
    let place = &plan.parts[at];
    let part = plan.part(at);
    let own = &key.problems[place.problem];
    match (&part.kind, &plan.problems[place.problem].parts[place.part]) {
        (PartKind::Answer(asks), PartPlan::Answer(prepared)) => {
            let data = prepared.depends.iter().filter_map(|at| own.givens.get(at));
            let least = data.map(|given| given.numeral.figures().most).min();
            let asked = Asked::of(part.rules.figures, least.unwrap_or(3));
            let value = asks.unit.from_si(own.slots[prepared.slot]);
            let number = round_to_figures(value, figures.unwrap_or(asked.shown));
            format!("{number} {}", asks.unit).trim_end().to_owned()
        }
        (PartKind::Choose(asks), PartPlan::Choose(judges)) => {
            let holding = choice::holding(judges, &own.slots);
            let option = holding.and_then(|option| asks.options.get(option));
            option.map_or_else(String::new, |option| option.label.clone())
        }
        _ => String::new(),
    }
}

fn print_csv(rows: &[Vec<String>]) -> io::Result<()> {
    let mut out = csv::Writer::from_writer(io::stdout().lock());
    for row in rows {
        out.write_record(row)?;
    }
    out.flush()
}

fn print_aligned(rows: &[Vec<String>]) -> io::Result<()> {
    let columns = rows.first().map_or(0, Vec::len);
    let cell = |row: &[String], column: usize| text::safe(&row[column]).into_owned();
    let wide = |column: usize| {
        let cells = rows.iter().map(|row| text::width(&cell(row, column)));
        cells.max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..columns).map(wide).collect();
    let mut out = io::stdout().lock();
    for row in rows {
        let mut line = String::new();
        for (column, width) in widths.iter().enumerate() {
            let cell = cell(row, column);
            let gap = width - text::width(&cell) + 2;
            line += &cell;
            line.extend(std::iter::repeat_n(' ', gap));
        }
        writeln!(out, "{}", line.trim_end())?;
    }
    out.flush()
}
