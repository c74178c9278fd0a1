//! Makes up a class of any size: a roster, a file of answers and one of keys, for timing and for trying
//! things out.
//!
//! `cargo run --release --example class -- assignments/ropes-1.toml 200000 /tmp/class`
//!
//! Of the students 70 % have everything right at three figures, 18 % make a mistake in the first quantity
//! asked for and go on from it correctly, 6 % leave units out, and 6 % guess. The same arguments always give
//! the same files.

use std::error::Error;
use std::fmt::Write as _;
use std::path::Path;

use paperweight::assignment::PartKind;
use paperweight::marking::{Key, choice};
use paperweight::plan::{PartPlan, Plan};
use paperweight::quantity::{Quantity, round_to_figures};
use paperweight::variant::{self, Draft};
use paperweight::workflow;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().collect();
    let [_, assignment, students, folder] = &arguments[..] else {
        return Err("usage: class ASSIGNMENT STUDENTS FOLDER".into());
    };
    let count: usize = students.parse()?;
    let failed = |failure: workflow::Failure| failure.findings().list[0].message.clone();
    let prepared = workflow::load(Path::new(assignment))
        .and_then(workflow::prepare)
        .map_err(failed)?;
    let spaces = prepared.spaces().map_err(failed)?;
    let ids: Vec<String> = (1..=count).map(|n| format!("S{n:07}")).collect();
    let names: Vec<&str> = ids.iter().map(String::as_str).collect();
    let tries = variant::allocate(&spaces, &names).map_err(|(_, error)| format!("{error:?}"))?;

    let mut roster = String::from("id,name,section\n");
    let mut answers = String::from("student");
    for part in &prepared.plan.parts {
        write!(answers, ",{}", part.id)?;
    }
    answers.push('\n');
    let mut keys = String::from("student,part,value,unit\n");
    let mut key = Key::default();
    let mut draft = Draft::default();
    let mut draws: Vec<Vec<Quantity>> = vec![Vec::new(); spaces.len()];
    for (at, id) in ids.iter().enumerate() {
        writeln!(
            roster,
            "{id},Student {at},{}",
            (b'A' + (at % 8) as u8) as char
        )?;
        for (problem, space) in spaces.iter().enumerate() {
            space
                .picks(id, 1, tries.of(at)[problem], &mut draft)
                .map_err(|error| format!("{error:?}"))?;
            draws[problem] = space.values(&draft.picks).collect();
        }
        key.fill(&prepared.plan, draws.iter().map(Vec::as_slice))
            .map_err(|error| format!("{error:?}"))?;
        write_keys(&prepared.plan, &key, id, &mut keys)?;
        answers.push_str(id);
        let mut dice = Dice(at as u64);
        write_paper(&prepared.plan, &key, &mut dice, &mut answers)?;
    }
    std::fs::create_dir_all(folder)?;
    std::fs::write(Path::new(folder).join("roster.csv"), roster)?;
    std::fs::write(Path::new(folder).join("answers.csv"), answers)?;
    std::fs::write(Path::new(folder).join("keys.csv"), keys)?;
    Ok(())
}

/// The keys of the quantities asked for, in the units asked for.
fn write_keys(plan: &Plan, key: &Key, id: &str, out: &mut String) -> Result<(), Box<dyn Error>> {
    for place in &plan.parts {
        let part = &plan.sheet.problems[place.problem].parts[place.part];
        if let (PartKind::Answer(asked), Some(answer)) =
            (&part.kind, plan.problems[place.problem].answer(place.part))
        {
            let value = asked
                .unit
                .from_si(key.problems[place.problem].slots[answer.slot]);
            writeln!(out, "{id},{},{value},{}", place.id, asked.unit)?;
        }
    }
    Ok(())
}

/// What kind of paper a student hands in.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Right,
    OneMistake,
    NoUnits,
    Guesses,
}

fn write_paper(
    plan: &Plan,
    key: &Key,
    dice: &mut Dice,
    out: &mut String,
) -> Result<(), Box<dyn Error>> {
    let kind = match dice.below(100) {
        0..70 => Kind::Right,
        70..88 => Kind::OneMistake,
        88..94 => Kind::NoUnits,
        _ => Kind::Guesses,
    };
    for (problem, prepared) in plan.problems.iter().enumerate() {
        let assignment = &plan.sheet.problems[problem];
        let mut slots = key.problems[problem].slots.clone();
        let mut mistaken = false;
        for (part, model) in assignment.parts.iter().enumerate() {
            out.push(',');
            match (&model.kind, &prepared.parts[part]) {
                (PartKind::Choose(options), PartPlan::Choose(judges)) => {
                    let right = choice::holding(judges, &key.problems[problem].slots).unwrap_or(0);
                    out.push_str(&options.options[right].label);
                }
                (PartKind::Answer(asked), PartPlan::Answer(answer)) => {
                    let own = slots[answer.slot];
                    let value = match kind {
                        Kind::Right | Kind::NoUnits => own,
                        Kind::Guesses => own * (0.6 + dice.fraction()),
                        Kind::OneMistake if !mistaken => {
                            mistaken = true;
                            own * (1.1 + 0.3 * dice.fraction())
                        }
                        Kind::OneMistake => match answer.roads.first() {
                            Some(road) => road
                                .value(&prepared.solver, &mut slots.clone(), None, own)
                                .unwrap_or(own),
                            None => own,
                        },
                    };
                    let written = round_to_figures(asked.unit.from_si(value), 3);
                    slots[answer.slot] = asked.unit.to_si(written.parse().unwrap_or(value));
                    out.push_str(&written);
                    if kind != Kind::NoUnits {
                        write!(out, " {}", asked.unit)?;
                    }
                }
                _ => write!(out, "{}", model.points)?,
            }
        }
    }
    out.push('\n');
    Ok(())
}

/// SplitMix64: small, and the same everywhere.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, end: u64) -> u64 {
        self.next() % end
    }

    fn fraction(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
}
