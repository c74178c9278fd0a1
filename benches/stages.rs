//! Times the stages that one student's paper runs through, beside what the `csv` crate needs to read
//! and write that student's rows: divide by `floor` to compare machines.
//!
//! In: the shipped ropes-1 and a class of 256 made-up papers. Out: a table of times, a paper each.

mod sure;

use std::hint::black_box;
use std::path::Path;

use divan::Bencher;
use divan::counter::ItemsCount;
use paperweight::answer::{self, Constant, Context};
use paperweight::feedback;
use paperweight::gradebook::marks::{self, MarksRow};
use paperweight::marking::{Entry, Key, Marked, Marker, Paper};
use paperweight::plan::{PartPlan, Plan};
use paperweight::quantity::{Quantity, round_to_figures};
use paperweight::text::DecimalMark;
use paperweight::variant::{self, Draft, Space};
use paperweight::workflow::{self, Prepared};
use rust_decimal::Decimal;

use sure::Sure;

/// Papers in a class: enough that their variants differ.
const CLASS: usize = 256;

fn main() {
    divan::main();
}

/// A class with its keys and what each student wrote.
struct Class {
    prepared: Prepared,
    ids: Vec<String>,
    keys: Vec<Key>,
    /// For each student the cells of the row.
    cells: Vec<Vec<String>>,
}

/// What the class makes of its work.
#[derive(Clone, Copy, PartialEq)]
enum Work {
    /// Everything right.
    Right,
    /// A mistake in the first quantity, gone on from.
    Followed,
    /// Numbers out of the air.
    Guessed,
}

impl Class {
    fn of(work: Work) -> Self {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("assignments/ropes-1.toml");
        let prepared = workflow::load(&path).and_then(workflow::prepare).sure();
        let ids: Vec<String> = (1..=CLASS).map(|n| format!("S{n:05}")).collect();
        let names: Vec<&str> = ids.iter().map(String::as_str).collect();
        let mut class = Self {
            ids: Vec::new(),
            keys: Vec::new(),
            cells: Vec::new(),
            prepared,
        };
        {
            let plan = &class.prepared.plan;
            let spaces = class.prepared.spaces().sure();
            let tries = variant::allocate(&spaces, &names).sure();
            for (at, id) in ids.iter().enumerate() {
                let key = key(plan, &spaces, id, tries.of(at));
                class.cells.push(cells(plan, &key, work, at));
                class.keys.push(key);
            }
        }
        class.ids = ids;
        class
    }

    fn plan(&self) -> &Plan {
        &self.prepared.plan
    }

    fn papers(&self) -> Vec<Paper> {
        let constants = constants(self.plan());
        self.cells
            .iter()
            .map(|cells| paper(self.plan(), cells, &constants))
            .collect()
    }

    fn marked(&self, papers: &[Paper]) -> Vec<Marked> {
        let mut marker = Marker::new(self.plan());
        let pairs = self.keys.iter().zip(papers);
        pairs.map(|(key, paper)| marker.mark(key, paper)).collect()
    }

    /// The rows as they stand in the file of answers.
    fn rows(&self) -> Vec<u8> {
        let mut out = csv::Writer::from_writer(Vec::new());
        for (id, cells) in self.ids.iter().zip(&self.cells) {
            let row = std::iter::once(id).chain(cells);
            out.write_record(row).sure();
        }
        out.into_inner().sure()
    }
}

fn key(plan: &Plan, spaces: &[Space<'_>], id: &str, tries: &[u32]) -> Key {
    let mut draft = Draft::default();
    let draws: Vec<Vec<Quantity>> = spaces
        .iter()
        .zip(tries)
        .map(|(space, attempt)| {
            space.picks(id, 1, *attempt, &mut draft).sure();
            space.values(&draft.picks).collect()
        })
        .collect();
    let mut key = Key::default();
    key.fill(plan, draws.iter().map(Vec::as_slice)).sure();
    key
}

/// The right words, and numbers at three figures: off by a fifth in the first quantity and in all that
/// follows from it in proportion, or by a seventh to a half.
fn cells(plan: &Plan, key: &Key, work: Work, student: usize) -> Vec<String> {
    let problem = &plan.sheet.problems[0];
    let slots = &key.problems[0].slots;
    let mut wrong = slots.clone();
    let first = plan.problems[0].parts.iter().find_map(|part| match part {
        PartPlan::Answer(answer) => Some(answer.slot),
        _ => None,
    });
    if let (Work::Followed, Some(first)) = (work, first) {
        let solver = &plan.problems[0].solver;
        wrong[first] *= 1.2;
        for part in &plan.problems[0].parts {
            if let PartPlan::Answer(answer) = part
                && answer.slot != first
                && let Some(road) = answer.roads.first()
            {
                let mut way = wrong.clone();
                let end = road.value(solver, &mut way, None, slots[answer.slot]);
                wrong[answer.slot] = end.unwrap_or(slots[answer.slot]);
            }
        }
    }
    let parts = problem.parts.iter().zip(&plan.problems[0].parts);
    parts
        .enumerate()
        .map(|(at, (part, prepared))| match prepared {
            PartPlan::Answer(answer) => {
                let unit = problem.unknowns[answer.slot - problem.givens.len()].unit;
                let off = match work {
                    Work::Guessed => 1.0 + ((student + 3 * at) % 5 + 2) as f64 / 14.0,
                    Work::Right | Work::Followed => 1.0,
                };
                let value = unit.from_si(wrong[answer.slot]) * off;
                format!("{} {unit}", round_to_figures(value, 3))
            }
            PartPlan::Choose(judges) => {
                use paperweight::assignment::PartKind;
                use paperweight::marking::choice::holding;
                match (&part.kind, holding(judges, slots)) {
                    (PartKind::Choose(asks), Some(word)) => asks.options[word].label.clone(),
                    _ => String::new(),
                }
            }
            PartPlan::Eye => "2".to_owned(),
        })
        .collect()
}

fn constants(plan: &Plan) -> Vec<Constant<'_>> {
    let givens = plan.sheet.problems[0].givens.iter();
    givens
        .filter(|given| given.name == "g")
        .filter_map(|given| {
            Some(Constant {
                name: &given.name,
                value: given.draw.value(0)?.si(),
                unit: given.unit,
            })
        })
        .collect()
}

fn paper(plan: &Plan, cells: &[String], constants: &[Constant<'_>]) -> Paper {
    let context = Context {
        constants,
        ..Context::plain(DecimalMark::Point)
    };
    let entries = cells.iter().zip(&plan.problems[0].parts);
    let entries = entries.zip(&plan.sheet.problems[0].parts);
    Paper {
        entries: entries
            .map(|((cell, prepared), part)| match (prepared, &part.kind) {
                (PartPlan::Answer(_), _) => Entry::Answer(answer::read(cell, &context)),
                (_, paperweight::assignment::PartKind::Choose(asks)) => {
                    let words = asks.options.iter().position(|o| o.label == *cell);
                    Entry::Choice(words.map_or(answer::Choice::Blank, answer::Choice::Option))
                }
                _ => Entry::Eye(cell.parse().ok()),
            })
            .collect(),
        working: vec![None; cells.len()],
        ..Paper::default()
    }
}

/// What the `csv` crate needs for the rows alone.
#[divan::bench]
fn floor(bencher: Bencher<'_, '_>) {
    let rows = Class::of(Work::Right).rows();
    bencher.counter(ItemsCount::new(CLASS)).bench(|| {
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .from_reader(&rows[..]);
        let mut out = csv::Writer::from_writer(Vec::with_capacity(rows.len()));
        let mut row = csv::ByteRecord::new();
        while reader.read_byte_record(&mut row).unwrap_or(false) {
            out.write_byte_record(&row).sure();
        }
        out
    });
}

/// The first try of each student, drawn and tried against `[require]`.
#[divan::bench]
fn draw(bencher: Bencher<'_, '_>) {
    let class = Class::of(Work::Right);
    let spaces = class.prepared.spaces().sure();
    let mut draft = Draft::default();
    bencher.counter(ItemsCount::new(CLASS)).bench_local(|| {
        for id in &class.ids {
            spaces[0].picks(id, 1, 0, &mut draft).sure();
            black_box(spaces[0].admits(&draft.picks));
        }
    });
}

/// The equations solved for each student.
#[divan::bench]
fn solve(bencher: Bencher<'_, '_>) {
    let class = Class::of(Work::Right);
    let draws: Vec<&[Quantity]> = class
        .keys
        .iter()
        .map(|k| &k.problems[0].givens[..])
        .collect();
    let mut key = Key::default();
    bencher.counter(ItemsCount::new(CLASS)).bench_local(|| {
        for draw in &draws {
            key.fill(class.plan(), std::iter::once(*draw)).sure();
        }
    });
}

/// What stands on each paper read as numbers, units and words.
#[divan::bench]
fn read(bencher: Bencher<'_, '_>) {
    let class = Class::of(Work::Right);
    let bench = bencher.counter(ItemsCount::new(CLASS));
    bench.bench_local(|| class.papers());
}

fn mark(bencher: Bencher<'_, '_>, work: Work) {
    let class = Class::of(work);
    let papers = class.papers();
    let mut marker = Marker::new(class.plan());
    bencher.counter(ItemsCount::new(CLASS)).bench_local(|| {
        for (key, paper) in class.keys.iter().zip(&papers) {
            black_box(marker.mark(key, paper));
        }
    });
}

/// Papers that are right.
#[divan::bench]
fn mark_right(bencher: Bencher<'_, '_>) {
    mark(bencher, Work::Right);
}

/// Papers with a mistake in the first quantity, carried on.
#[divan::bench]
fn mark_followed(bencher: Bencher<'_, '_>) {
    mark(bencher, Work::Followed);
}

/// Papers that are guessed: every road and slip is tried.
#[divan::bench]
fn mark_guessed(bencher: Bencher<'_, '_>) {
    mark(bencher, Work::Guessed);
}

/// Feedback and a row of marks, for papers with something to say.
#[divan::bench]
fn tell(bencher: Bencher<'_, '_>) {
    let class = Class::of(Work::Followed);
    let marked = class.marked(&class.papers());
    let (mut out, mut words, mut points) = (Vec::new(), String::new(), Vec::new());
    bencher.counter(ItemsCount::new(CLASS)).bench_local(|| {
        out.clear();
        for ((id, key), marked) in class.ids.iter().zip(&class.keys).zip(&marked) {
            words.clear();
            feedback::paper(class.plan(), key, marked, &mut words);
            points.clear();
            points.extend(marked.parts.iter().map(|part| Some(part.points)));
            let row = MarksRow {
                student: id,
                name: "A. Student",
                section: "A",
                status: marked.status.name(),
                parts: &points,
                paper_cost: Some(marked.paper_cost),
                late: Some(marked.late),
                adjusted: Some(Decimal::ZERO),
                total: Some(marked.total),
                out_of: Some(marked.out_of),
                feedback: &words,
            };
            marks::push_row(&row, &mut out);
        }
    });
}
