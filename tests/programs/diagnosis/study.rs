//! One assignment, worked by many.
//!
//! In: its file, how many papers, a seed. Out: every wrong paper counted and timed.

use std::path::Path;
use std::time::Instant;

use paperweight::diagnosis::{Mistakes, diagnose, luck_of_one};
use paperweight::marking::{Key, Marker, Paper};
use paperweight::plan::Plan;
use paperweight::variant::{Allocator, Taken};
use paperweight::workflow::{self, Prepared};

use crate::copies;
use crate::random::Random;
use crate::student::{Cause, Student};
use crate::tally::{Row, Tally};
use crate::times::{Assignment, Times};

/// Different numbers that are drawn at most; more papers are worked on the same ones again.
const MOST_KEYS: usize = 500;

/// Papers of the larger classes that are played.
const LARGEST_CLASS: usize = 150;

pub(crate) struct Study<'a> {
    pub(crate) path: &'a Path,
    /// Which of its group it is: a stream of chance of its own.
    pub(crate) number: u64,
    pub(crate) papers: usize,
    pub(crate) seed: u64,
    /// How many papers are printed whose mistake was not found.
    pub(crate) show: usize,
}

impl Study<'_> {
    pub(crate) fn run(&self, tally: &mut Tally, times: &mut Times) -> Result<(), String> {
        let failed = |failure: workflow::Failure| format!("{:?}", failure.findings().list);
        let loaded = workflow::load(self.path).map_err(failed)?;
        let prepared = workflow::prepare(loaded).map_err(failed)?;
        let start = Instant::now();
        let mistakes = Mistakes::of(&prepared.plan);
        let mut timed = Assignment::new(&prepared.plan, &mistakes, start.elapsed());
        let keys = keys(&prepared, self.papers.clamp(LARGEST_CLASS, MOST_KEYS))?;
        let plan = &prepared.plan;
        let mut marker = Marker::new(plan);
        let mut shown = 0;
        for (case, cause) in Cause::ALL.into_iter().enumerate() {
            for figures in [2, 3, 4] {
                for at in 0..self.papers {
                    let names = [
                        self.seed,
                        self.number,
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
                    // Places on the paper: it is a sheet of one problem.
                    let faulty: Vec<usize> = evidence.first().map_or_else(Vec::new, |at| {
                        at.faulty()
                            .into_iter()
                            .map(|answer| at.part(answer))
                            .collect()
                    });
                    if faulty.is_empty() {
                        continue;
                    }
                    let start = Instant::now();
                    let marked = marker.mark(key, &paper);
                    timed.marked.push(start.elapsed());
                    let affected = marked.parts.iter();
                    let affected =
                        affected.filter(|mark| mark.unit.is_some() && !mark.verdict.is_right());
                    let affected = affected.count();
                    let start = Instant::now();
                    let found = diagnose(plan, &mistakes, key, &evidence);
                    timed.took.push(start.elapsed());
                    let luck = evidence
                        .first()
                        .and_then(|evidence| luck_of_one(plan, &mistakes, key, evidence));
                    let row = Row {
                        cause,
                        figures,
                        affected,
                        faulty_parts: &faulty,
                        found: &found,
                        made: &made,
                        luck,
                    };
                    let is_known = matches!(cause, Cause::Known);
                    let is_missed = is_known && affected >= 2 && figures >= 3 && !row.is_named();
                    let is_false = row.is_wrongly_strong();
                    if (is_missed || is_false) && shown < self.show {
                        shown += 1;
                        show(plan, key, &paper, &row);
                    }
                    tally.add(&row);
                }
            }
        }
        times.all.push(timed);
        self.copies(plan, &mistakes, &keys, tally);
        Ok(())
    }
}

impl Study<'_> {
    /// Plays classes in which numbers were taken over, where students have numbers of their own.
    fn copies(&self, plan: &Plan, mistakes: &Mistakes, keys: &[Key], tally: &mut Tally) {
        let slots = |key: &Key| key.problems[0].slots.clone();
        if keys
            .windows(2)
            .any(|pair| slots(&pair[0]) == slots(&pair[1]))
        {
            return;
        }
        for figures in [2, 3, 4] {
            for size in [25, LARGEST_CLASS] {
                // As many papers of either size of class.
                let classes = (self.papers / size).max(1);
                let names = [self.seed, self.number, u64::from(figures)];
                let of = (size, classes, figures);
                let found = copies::play((plan, mistakes), keys, of, &names);
                tally.copies(size, figures, &found);
            }
        }
    }
}

/// A paper whose mistake was not found, or of which something else was called strong.
fn show(plan: &Plan, key: &Key, paper: &Paper, row: &Row<'_>) {
    let made: Vec<&str> = row.made.iter().map(|made| made.says.as_str()).collect();
    println!(
        "{}, {}, {} figures, {} affected, faulty {:?}, luck {:.3}: {}",
        plan.sheet.code,
        row.cause.name(),
        row.figures,
        row.affected,
        row.faulty_parts,
        row.luck.map_or(0.0, |luck| luck.any),
        made.join(" and ")
    );
    for (at, part) in plan.parts.iter().enumerate() {
        let Some(answer) = plan.problems[0].answer(part.part) else {
            continue;
        };
        let paperweight::marking::Entry::Answer(paperweight::answer::Reading::One(written)) =
            &paper.entries[at]
        else {
            continue;
        };
        let key = key.problems[0].slots[answer.slot];
        println!("  {} key {key:.6} wrote {:?}", part.id, written.value);
    }
    for found in row.found {
        println!(
            "  {} {:?} {:?} {} {:.4}",
            found.strength.name(),
            found.explains,
            found.equation,
            found.says,
            found.chance
        );
    }
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
