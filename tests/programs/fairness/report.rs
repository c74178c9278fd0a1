//! The tables.
//!
//! In: what was counted. Out: text. Figures "before" are those of a simulation in Python, on other
//! assignments, by which the rules of marking were chosen.

use std::fmt::Write as _;

use crate::family::Family;
use crate::study::{Case, Count, HABITS, Job, PLAIN, Source, Tally};

type Tallies = [(usize, Job, Tally)];

/// Rejected before, by habit: key alone, with follow-through; where it was simulated.
const BEFORE_RIGHT: [Option<(f64, f64)>; 7] = [
    Some((3.2, 0.15)),
    Some((0.0, 0.0)),
    Some((0.65, 0.0)),
    None,
    None,
    Some((15.1, 2.8)),
    Some((0.01, 0.0)),
];

/// Legitimate follow-through credited before, by habit.
const BEFORE_FOLLOW: [Option<f64>; 7] = [
    Some(99.6),
    Some(96.1),
    Some(99.98),
    Some(99.5),
    Some(97.9),
    Some(97.1),
    None,
];

/// Wrong as right and as followed before, at 2 and 3 figures.
fn before_false(source: Source, habit: usize) -> Option<(f64, f64)> {
    Some(match (source, habit) {
        (Source::GuessAfter, 0) => (4.0, 3.5),
        (Source::GuessAfter, 1) => (0.5, 1.7),
        (Source::TwoSlips, 1) => (0.2, 0.7),
        (Source::Copied, 0) => (4.2, 15.0),
        (Source::Copied, 1) => (0.5, 12.4),
        _ => return None,
    })
}

/// Foreseen slips matched by a slip of the pen before (four foreseen), by figures.
const BEFORE_SHARE: [f64; 3] = [7.0, 0.5, 0.2];

/// The whole report.
pub(crate) fn report(families: &[Family], tallies: &Tallies, worst: usize) -> String {
    let mut report = Report {
        families,
        tallies,
        worst,
        text: String::new(),
        targets: String::new(),
    };
    report.head();
    report.right(false);
    report.right(true);
    report.follow();
    report.wrong();
    report.step();
    let targets = std::mem::take(&mut report.targets);
    let _ = writeln!(report.text, "\nTargets\n{targets}");
    report.text
}

struct Report<'a> {
    families: &'a [Family],
    tallies: &'a Tallies,
    worst: usize,
    text: String,
    targets: String,
}

/// A share in percent.
fn percent(part: u64, all: u64) -> f64 {
    if all == 0 {
        f64::NAN
    } else {
        100.0 * part as f64 / all as f64
    }
}

/// A share in percent as text: two decimals where it is small or nearly all.
fn shown(value: f64) -> String {
    if value.is_nan() {
        "-".to_owned()
    } else if value == 0.0 || value == 100.0 {
        format!("{value:.0}")
    } else if !(1.0..99.0).contains(&value) {
        format!("{value:.2}")
    } else {
        format!("{value:.1}")
    }
}

impl Report<'_> {
    fn line(&mut self, text: impl AsRef<str>) {
        let _ = writeln!(self.text, "{}", text.as_ref().trim_end());
    }

    fn row(&mut self, name: &str, cells: impl IntoIterator<Item = String>) {
        let mut line = format!("{name:<28}");
        for cell in cells {
            let _ = write!(line, "{cell:>18}");
        }
        self.line(line);
    }

    fn target(&mut self, what: &str, wanted: &str, value: f64, met: bool) {
        let verdict = if met { "PASS" } else { "MISS" };
        let _ = writeln!(
            self.targets,
            "{verdict}  {what}: {} % (target: {wanted})",
            shown(value)
        );
    }

    fn head(&mut self) {
        let students = self.families.first().map_or(0, |family| family.keys.len());
        let names: Vec<&str> = self
            .families
            .iter()
            .map(|family| family.assignment().code.as_str())
            .collect();
        self.line(format!(
            "{students} students for each case and each of {}",
            names.join(", ")
        ));
        self.line(
            "2w, 3w, 4w: so many figures written and carried on; full: all digits carried on;",
        );
        self.line("3terms: each term rounded too; 3coarse: 3 written, 2 carried on. Shares in %.");
        for family in self.families {
            let ways: Vec<String> = family
                .asked
                .iter()
                .map(|asked| {
                    let prepared = asked.ways.iter().filter(|way| way.prepared).count();
                    let works: usize = asked.ways.iter().map(|way| way.works.len()).sum();
                    format!("{} {prepared}/{}/{works}", asked.name, asked.ways.len())
                })
                .collect();
            let line = format!(
                "{}: {} mistakes; ways prepared/all/orders of work: {}",
                family.assignment().code,
                family.alterations.len(),
                ways.join(", ")
            );
            self.line(line);
        }
    }

    /// Tallies of a job over all families.
    fn of(&self, job: Job) -> impl Iterator<Item = (&Family, &Tally)> {
        self.tallies
            .iter()
            .filter(move |(_, known, _)| *known == job)
            .map(|(family, _, tally)| (&self.families[*family], tally))
    }

    fn sum(&self, job: Job) -> Count {
        let mut sum = Count::default();
        for (_, tally) in self.of(job) {
            tally.parts.iter().for_each(|part| sum.add(part));
        }
        sum
    }

    fn papers(&self, job: Job, what: impl Fn(&Tally) -> u64) -> (u64, u64) {
        self.of(job).fold((0, 0), |(part, all), (_, tally)| {
            (part + what(tally), all + tally.papers)
        })
    }

    /// Rows for each assignment and, indented, for each of its parts.
    fn by_part(&mut self, jobs: &[Job], cell: &dyn Fn(&Count) -> String) {
        for (at, family) in self.families.iter().enumerate() {
            let counts = |part: Option<usize>| -> Vec<String> {
                let one = |job: &Job| {
                    let mut sum = Count::default();
                    for (of, known, tally) in self.tallies {
                        if *of == at && known == job {
                            let parts = tally.parts.iter().enumerate();
                            let parts = parts.filter(|(index, _)| part.is_none_or(|p| p == *index));
                            parts.for_each(|(_, count)| sum.add(count));
                        }
                    }
                    cell(&sum)
                };
                jobs.iter().map(one).collect()
            };
            let rows: Vec<(String, Vec<String>)> =
                std::iter::once((family.assignment().code.clone(), counts(None)))
                    .chain(
                        family.asked.iter().enumerate().map(|(part, asked)| {
                            (format!("    {}", asked.name), counts(Some(part)))
                        }),
                    )
                    .collect();
            for (name, cells) in rows {
                self.row(&name, cells);
            }
        }
    }

    /// Shows the worst cases of some jobs, and says what each count of them stands for.
    fn cases(&mut self, what: &str, jobs: &[Job]) {
        let mut cases: Vec<&Case> = self
            .tallies
            .iter()
            .filter(|(_, job, _)| jobs.contains(job))
            .flat_map(|(_, _, tally)| &tally.worst)
            .collect();
        cases.sort_by(|one, other| other.weight.total_cmp(&one.weight));
        let texts: Vec<String> = cases
            .iter()
            .take(self.worst)
            .map(|case| case.text.clone())
            .collect();
        for text in texts {
            self.line(format!("  {what}: {text}"));
        }
    }

    fn right(&mut self, any: bool) {
        let jobs: Vec<Job> = (0..HABITS.len())
            .map(|habit| Job::Right(habit, any))
            .collect();
        self.line(format!(
            "\n1{} Correct answers rejected: key alone -> with follow-through; {}",
            if any { "b" } else { "a" },
            if any {
                "any road, any order of work within a system"
            } else {
                "the roads of the plan"
            }
        ));
        self.row("", HABITS.map(|habit| habit.name.to_owned()));
        let cell = |count: &Count| {
            format!(
                "{} -> {}",
                shown(percent(count.all - count.by_key, count.all)),
                shown(percent(count.all - count.credited, count.all))
            )
        };
        let before = BEFORE_RIGHT.map(|before| match before {
            Some((key, all)) if !any => format!("{key} -> {all}"),
            _ => String::new(),
        });
        if !any {
            self.row("before", before);
        }
        let all: Vec<String> = jobs.iter().map(|&job| cell(&self.sum(job))).collect();
        self.row("all", all);
        self.by_part(&jobs, &cell);
        let constant: Vec<String> = jobs
            .iter()
            .map(|&job| {
                let (part, all) = self.papers(job, |tally| tally.constant);
                shown(percent(part, all))
            })
            .collect();
        self.row("papers that pay for a g", constant);
        let named: Vec<String> = jobs
            .iter()
            .map(|&job| {
                let sum = self.sum(job);
                shown(percent(sum.followed, sum.all))
            })
            .collect();
        self.row("called followed, not right", named);
        let fine = [2, 3, 6];
        for habit in 0..HABITS.len() {
            let what = format!("worst of {}", HABITS[habit].name);
            self.cases(&what, &[jobs[habit]]);
        }
        for habit in fine {
            let sum = self.sum(jobs[habit]);
            let lost = sum.all - sum.credited;
            let (constant, _) = self.papers(jobs[habit], |tally| tally.constant);
            let what = format!(
                "correct answers rejected, {}, {} ({lost} of {}, {constant} papers pay for a g)",
                HABITS[habit].name,
                if any { "any road" } else { "roads of the plan" },
                sum.all,
            );
            let met = lost == 0 && constant == 0;
            self.target(&what, "none", percent(lost, sum.all), met);
        }
    }

    fn follow(&mut self) {
        for concept in [true, false] {
            let jobs: Vec<Job> = (0..HABITS.len())
                .map(|habit| Job::Follow(habit, concept))
                .collect();
            self.line(format!(
                "\n2{} Legitimate follow-through after {}: credited (gate off; gate on)",
                if concept { "a" } else { "b" },
                if concept {
                    "a mistake of concept"
                } else {
                    "a slip of the pen"
                },
            ));
            self.line("first: of what nature allows; gate off: of all, were everything possible; gate on: of all");
            self.row("", HABITS.map(|habit| habit.name.to_owned()));
            let before = BEFORE_FOLLOW.map(|before| before.map(shown).unwrap_or_default());
            self.row("before", before);
            let cell = |count: &Count| {
                let possible = percent(count.possible_credited, count.possible);
                let open = percent(count.open, count.all);
                let credited = percent(count.credited, count.all);
                format!("{} ({} {})", shown(possible), shown(open), shown(credited))
            };
            let all: Vec<String> = jobs.iter().map(|&job| cell(&self.sum(job))).collect();
            self.row("all", all);
            self.by_part(&jobs, &cell);
            let slips: Vec<String> = jobs
                .iter()
                .map(|&job| {
                    let sum = self.sum(job);
                    shown(percent(sum.slip, sum.all))
                })
                .collect();
            self.row("taken for a foreseen slip", slips);
            let charged = |gate: bool| -> Vec<String> {
                jobs.iter()
                    .map(|&job| {
                        let (charged, papers) = self.papers(job, |tally| {
                            if gate {
                                tally.charged
                            } else {
                                tally.charged_open
                            }
                        });
                        format!("{:.2}", charged as f64 / papers as f64)
                    })
                    .collect()
            };
            let (gate, open) = (charged(true), charged(false));
            self.row("parts charged a mistake", gate);
            self.row("  were all things possible", open);
            let uncharged: Vec<String> = jobs
                .iter()
                .map(|&job| {
                    let (part, all) = self.papers(job, |tally| tally.uncharged);
                    shown(percent(part, all))
                })
                .collect();
            self.row("papers wholly uncharged", uncharged);
            for habit in 0..HABITS.len() {
                let what = format!("worst of {}", HABITS[habit].name);
                self.cases(&what, &[jobs[habit]]);
            }
            let sum = self.sum(jobs[2]);
            let mistake = if concept { "concept" } else { "slip" };
            let possible = percent(sum.possible_credited, sum.possible);
            let what =
                format!("legitimate follow-through credited, 3w, {mistake}, of what is possible");
            self.target(&what, "99", possible, possible >= 99.0);
            let open = percent(sum.open, sum.all);
            let what = format!("legitimate follow-through credited, 3w, {mistake}, gate off");
            self.target(&what, "99", open, open >= 99.0);
        }
        self.line(
            "before: 1.16 parts charged a mistake of concept (1.06 were all things possible), 3w",
        );
    }

    fn wrong(&mut self) {
        self.line(
            "\n3 False credit: wrong as right / as followed; share given for a foreseen slip",
        );
        self.row("", PLAIN.map(|habit| habit.name.to_owned()));
        let cell = |count: &Count| {
            format!(
                "{}/{} {}",
                shown(percent(count.right, count.all)),
                shown(percent(count.followed, count.all)),
                shown(percent(count.share, count.all))
            )
        };
        for (source, name) in Source::ALL {
            let jobs: Vec<Job> = (0..PLAIN.len())
                .map(|habit| Job::False(source, habit))
                .collect();
            let all: Vec<String> = jobs.iter().map(|&job| cell(&self.sum(job))).collect();
            self.row(name, all);
            let before: Vec<String> = (0..PLAIN.len())
                .map(|habit| match (source, before_false(source, habit)) {
                    (Source::OneSlip, _) => format!("-/- {}", shown(BEFORE_SHARE[habit])),
                    (_, Some((right, followed))) => format!("{right}/{followed} -"),
                    _ => String::new(),
                })
                .collect();
            if before.iter().any(|cell| !cell.is_empty()) {
                self.row("    before", before);
            }
        }
        for (source, name) in Source::ALL {
            let jobs: Vec<Job> = (0..PLAIN.len())
                .map(|habit| Job::False(source, habit))
                .collect();
            self.line(format!("  {name}"));
            self.by_part(&jobs, &cell);
            self.cases(&format!("worst of {name}, 3w"), &jobs[1..2]);
            if source != Source::Copied {
                let sum = self.sum(jobs[1]);
                let value = percent(sum.right + sum.followed, sum.all);
                let what = format!("wrong steps credited, 3w, {name}");
                self.target(&what, "at most 2.5", value, value <= 2.5);
            }
        }
    }

    fn step(&mut self) {
        self.line("\n4 Wrong equation accepted along another road, all digits carried on");
        self.line("accepted; beyond identity: the other road does not lead exactly there");
        self.row("", ["throughout", "", "in one part", ""].map(str::to_owned));
        self.row(
            "",
            ["accepted", "no identity", "accepted", "no identity"].map(str::to_owned),
        );
        let cells = |count: &Count| {
            [
                shown(percent(count.credited, count.all)),
                shown(percent(count.credited - count.identity, count.all)),
            ]
        };
        let jobs = [Job::Step(true), Job::Step(false)];
        let all: Vec<String> = jobs.iter().flat_map(|&job| cells(&self.sum(job))).collect();
        self.row("all", all);
        for (at, family) in self.families.iter().enumerate() {
            self.line(family.assignment().code.clone());
            for (part, asked) in family.asked.iter().enumerate() {
                let one = |job: &Job| {
                    let mut found = self.tallies.iter();
                    let found = found.find(|(of, known, _)| *of == at && known == job);
                    let count = found.map(|(_, _, tally)| tally.parts[part]);
                    cells(&count.unwrap_or_default())
                };
                let row: Vec<String> = jobs.iter().flat_map(one).collect();
                self.row(&format!("    {}", asked.name), row);
            }
        }
        let uncharged: Vec<String> = jobs
            .iter()
            .flat_map(|&job| {
                let (part, all) = self.papers(job, |tally| tally.uncharged);
                [shown(percent(part, all)), String::new()]
            })
            .collect();
        self.row("papers wholly uncharged", uncharged);
        self.line("before: throughout 6-69 %, in one part 0-52 %, beyond identity at most 1 %, uncharged 0.1 %");
        self.cases("worst beyond identity, throughout", &jobs[..1]);
        self.cases("worst beyond identity, in one part", &jobs[1..]);
    }
}
