//! Classes marked from files: neither the order of rows and columns nor the number of threads
//! changes anything.

use std::collections::BTreeMap;
use std::path::Path;

use paperweight::files;
use paperweight::marking::Key;
use paperweight::quantity::Quantity;
use paperweight::roster::RosterColumns;
use paperweight::table::Declared;
use paperweight::text::DecimalMark;
use paperweight::variant::{self, Draft};
use paperweight::workflow::{self, AnswersFile, Form, MarkRequest, Prepared};

use crate::hands::desk::Desk;
use crate::hands::students::{CODES, Cells, Doing, some_student};

/// A class on disk: a roster, and answers in some layout.
struct Class {
    folder: tempfile::TempDir,
    prepared: Prepared,
    /// For each student the cells of their row.
    rows: Vec<(String, Cells)>,
}

/// Numbers that look random and are the same every time.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        // A linear congruential step, high bits taken (constants as published by Knuth, MMIX).
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % sides
    }

    fn shuffle<T>(&mut self, list: &mut [T]) {
        for at in (1..list.len()).rev() {
            list.swap(at, self.roll(at + 1));
        }
    }
}

impl Class {
    /// Students who do all kinds of things, on the numbers that marking gives them.
    fn of(code: &str, students: usize, dice: &mut Dice) -> Self {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("assignments/{code}.toml"));
        let prepared = workflow::prepare(workflow::load(&path).unwrap()).unwrap();
        let ids: Vec<String> = (0..students)
            .map(|at| format!("s{:04}", at * 7 % 9973))
            .collect();
        let desk = Desk {
            plan: prepared.plan.clone(),
        };
        let keys: Vec<Key> = {
            let spaces = prepared.spaces().unwrap();
            let refs: Vec<&str> = ids.iter().map(String::as_str).collect();
            let tries = variant::allocate(&spaces, &refs).unwrap();
            let mut draft = Draft::default();
            let mut key = |at: usize| {
                let attempt = tries.of(at)[0];
                spaces[0].picks(refs[at], 1, attempt, &mut draft).unwrap();
                let values: Vec<Quantity> = spaces[0].values(&draft.picks).collect();
                let mut key = Key::default();
                key.fill(&desk.plan, [values.as_slice()].into_iter())
                    .unwrap();
                key
            };
            (0..students).map(&mut key).collect()
        };
        let rows = ids
            .into_iter()
            .zip(&keys)
            .map(|(id, key)| {
                let doings: Vec<Doing> = (0..7)
                    .map(|_| match dice.roll(9) {
                        0 => Doing::Nothing,
                        1 | 2 => Doing::Errs {
                            factor: 0.4 + 0.13 * dice.roll(17) as f64,
                            figures: 3,
                        },
                        3 | 4 => Doing::Follows {
                            way: dice.roll(4),
                            figures: 3,
                        },
                        5 => Doing::Scribbles("3,2 or 4".to_owned()),
                        _ => Doing::Knows { figures: 3 },
                    })
                    .collect();
                let working = [None, Some(1), Some(3)][dice.roll(3)];
                let beside = (working, dice.roll(12) == 0, 0);
                let mut cells = some_student(&desk, key, &doings, &beside);
                cells.retain(|(name, _)| name != "days late");
                (id, cells)
            })
            .collect();
        Self {
            folder: tempfile::tempdir().unwrap(),
            prepared,
            rows,
        }
    }

    fn path(&self, name: &str) -> std::path::PathBuf {
        self.folder.path().join(name)
    }

    fn write(&self, name: &str, rows: &[Vec<&str>]) {
        let mut writer = csv::Writer::from_path(self.path(name)).unwrap();
        for row in rows {
            writer.write_record(row).unwrap();
        }
        writer.flush().unwrap();
    }

    /// Writes the roster and the answers, each in some order; long or wide.
    fn lay_out(&self, dice: &mut Dice, long: bool) {
        let mut roster: Vec<Vec<&str>> = self
            .rows
            .iter()
            .map(|(id, _)| vec![id.as_str(), "N. N."])
            .collect();
        dice.shuffle(&mut roster);
        roster.insert(0, vec!["id", "name"]);
        self.write("roster.csv", &roster);
        let mut order: Vec<usize> = (0..self.rows.len()).collect();
        dice.shuffle(&mut order);
        let students = order.iter().map(|&at| &self.rows[at]);
        let mut rows: Vec<Vec<&str>> = Vec::new();
        if long {
            rows.push(vec!["student", "part", "entry"]);
            for (id, cells) in students {
                let mut cells: Vec<&(String, String)> = cells.iter().collect();
                dice.shuffle(&mut cells);
                rows.extend(
                    cells
                        .iter()
                        .map(|(name, text)| vec![id.as_str(), name.as_str(), text.as_str()]),
                );
            }
        } else {
            let mut columns: Vec<&str> = self
                .rows
                .iter()
                .flat_map(|(_, cells)| cells.iter().map(|(name, _)| name.as_str()))
                .collect();
            columns.sort_unstable();
            columns.dedup();
            dice.shuffle(&mut columns);
            rows.push(
                std::iter::once("student")
                    .chain(columns.iter().copied())
                    .collect(),
            );
            for (id, cells) in students {
                let cell = |name: &&str| {
                    cells
                        .iter()
                        .find(|(other, _)| other == name)
                        .map_or("", |(_, text)| text.as_str())
                };
                rows.push(
                    std::iter::once(id.as_str())
                        .chain(columns.iter().map(cell))
                        .collect(),
                );
            }
        }
        self.write("answers.csv", &rows);
    }

    fn mark(&self, form: Form, threads: usize) -> Vec<u8> {
        let (roster, _) =
            workflow::roster(&self.path("roster.csv"), &RosterColumns::default()).unwrap();
        let request = MarkRequest {
            prepared: &self.prepared,
            roster: &roster,
            answers: AnswersFile {
                input: files::open(&self.path("answers.csv")).unwrap(),
                name: "answers.csv",
                declared: Declared::default(),
            },
            due: None,
            decimal: DecimalMark::Point,
            form,
            for_teacher: false,
            partial: true,
            threads,
        };
        let mut out = Vec::new();
        let outcome = workflow::mark(request, &mut out, "marks.csv", &mut |_, _| {});
        let outcome = outcome.unwrap_or_else(|failure| panic!("{failure:?}"));
        assert!(!outcome.has_findings, "{:?}", outcome.findings);
        out
    }

    /// The row of marks of each student.
    fn marks(&self) -> BTreeMap<String, csv::StringRecord> {
        let bytes = self.mark(Form::Csv, 2);
        let rows = csv::Reader::from_reader(&bytes[..]).into_records();
        rows.map(|row| row.unwrap())
            .map(|row| (row[0].to_owned(), row))
            .collect()
    }
}

#[test]
fn the_order_of_students_and_of_parts_changes_no_mark() {
    let mut dice = Dice(2026);
    for code in CODES {
        let class = Class::of(code, 40, &mut dice);
        class.lay_out(&mut dice, false);
        let first = class.marks();
        assert_eq!(first.len(), 40);
        let points =
            |row: &csv::StringRecord| row.iter().nth_back(2).unwrap().parse::<f64>().unwrap();
        let spread = first
            .values()
            .map(points)
            .fold((f64::MAX, 0.0_f64), |(least, most), x| {
                (least.min(x), most.max(x))
            });
        assert!(spread.0 < spread.1, "the class does all kinds of things");
        // Counting through a large space of draws takes its time without optimization.
        for round in 0..if code == "ropes-1" { 6 } else { 2 } {
            class.lay_out(&mut dice, round % 2 == 1);
            assert_eq!(class.marks(), first, "{code}");
        }
    }
}

#[test]
fn the_same_files_give_the_same_bytes_with_any_number_of_threads() {
    let mut dice = Dice(11);
    // More than two batches, so that threads take turns.
    let class = Class::of("ropes-1", 700, &mut dice);
    class.lay_out(&mut dice, false);
    for form in [Form::Csv, Form::JsonLines] {
        let first = class.mark(form, 1);
        assert!(first.len() > 700 * 20);
        for threads in [1, 2, 3] {
            assert!(
                class.mark(form, threads) == first,
                "{form:?} with {threads} threads"
            );
        }
    }
}
