//! Papers for tests: a shipped assignment, a student's numbers, entries as a student writes them.

use std::path::Path;
use std::sync::Arc;

use paperweight::answer::{self, Constant, Context};
use paperweight::assignment::{self, Assignment, Draw, PartKind, Sheet};
use paperweight::course::Course;
use paperweight::diagnostic::{Source, render};
use paperweight::marking::{Attendance, Entry, Key, Marked, Marker, Paper};
use paperweight::plan::Plan;
use paperweight::quantity::Quantity;
use paperweight::text::DecimalMark;
use paperweight::variant::{Draft, Space};
use paperweight::workflow::{Loaded, prepare};

/// An assignment ready for marking.
pub(crate) struct Desk {
    pub(crate) plan: Plan,
}

/// A sheet from its text.
pub(crate) fn sheet(text: &str) -> Sheet {
    let source = Arc::new(Source {
        name: "test.toml".into(),
        text: text.into(),
    });
    let outcome = assignment::read(&source, &Course::default());
    outcome
        .sheet
        .unwrap_or_else(|| panic!("{}", render(&outcome.findings, &[&source], false)))
}

impl Desk {
    /// A shipped assignment by its code.
    pub(crate) fn shipped(code: &str) -> Self {
        Self::changed(code, |text| text)
    }

    /// A shipped assignment with something changed in its file.
    pub(crate) fn changed(code: &str, change: impl Fn(String) -> String) -> Self {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("assignments");
        let text = std::fs::read_to_string(folder.join(format!("{code}.toml"))).unwrap();
        Self::of(&change(text))
    }

    /// An assignment from its text.
    pub(crate) fn of(text: &str) -> Self {
        let loaded = Loaded {
            sheet: sheet(text),
            sources: Vec::new(),
        };
        let prepared = prepare(loaded).unwrap_or_else(|failure| panic!("{failure:?}"));
        Self {
            plan: prepared.plan,
        }
    }

    fn problem(&self) -> &Assignment {
        &self.plan.sheet.problems[0]
    }

    /// The key for these givens, `mB = 5.00 kg`; those not named are the first of their values.
    pub(crate) fn key(&self, givens: &[(&str, &str)]) -> Key {
        let value = |given: &assignment::Given| {
            let named = givens.iter().find(|(name, _)| *name == given.name);
            named.map_or_else(
                || given.draw.value(0).unwrap(),
                |(_, text)| Quantity::parse(text).unwrap(),
            )
        };
        let values: Vec<Quantity> = self.problem().givens.iter().map(value).collect();
        let mut key = Key::default();
        key.fill(&self.plan, [values.as_slice()].into_iter())
            .unwrap();
        key
    }

    /// The key of a student's first try.
    pub(crate) fn drawn(&self, student: &str) -> Key {
        let space = Space::new(self.problem()).unwrap();
        let mut draft = Draft::default();
        let mut attempt = 0;
        let picks = loop {
            space.picks(student, 1, attempt, &mut draft).unwrap();
            if space.admits(&draft.picks) {
                break &draft.picks;
            }
            attempt += 1;
        };
        let values: Vec<Quantity> = space.values(picks).collect();
        let mut key = Key::default();
        key.fill(&self.plan, [values.as_slice()].into_iter())
            .unwrap();
        key
    }

    /// A paper with these cells: parts by their ids, `b.working`, `given:mB`, `days late`.
    pub(crate) fn paper(&self, cells: &[(&str, &str)]) -> Paper {
        let cell = |wanted: &str| {
            let found = cells.iter().find(|(name, _)| *name == wanted);
            found.map_or("", |(_, text)| text)
        };
        let problem = self.problem();
        let constants: Vec<Constant<'_>> = problem
            .givens
            .iter()
            .filter_map(|given| match &given.draw {
                Draw::Fixed(value) => Some(Constant {
                    name: &given.name,
                    value: value.si(),
                    unit: given.unit,
                }),
                _ => None,
            })
            .collect();
        let unknowns = problem.unknowns.iter().map(|unknown| unknown.name.as_str());
        let givens = problem.givens.iter().map(|given| given.name.as_str());
        let names: Vec<&str> = givens.chain(unknowns).collect();
        let context = Context {
            decimal: DecimalMark::Point,
            constants: &constants,
            names: &names,
        };
        let mut paper = Paper::default();
        for part in &problem.parts {
            let text = cell(&part.id);
            paper.entries.push(match &part.kind {
                PartKind::Answer(_) => Entry::Answer(answer::read(text, &context)),
                PartKind::Choose(choice) => Entry::Choice(answer::choice(text, choice)),
                PartKind::Eye(items) => Entry::Eye(answer::points(text, items.len()).unwrap()),
            });
            let working = cell(&format!("{}.working", part.id));
            let points = answer::points(working, part.working.len()).unwrap();
            paper.working.push(points);
        }
        for (at, given) in problem.givens.iter().enumerate() {
            let text = cell(&format!("given:{}", given.name));
            if !text.is_empty() {
                paper.misread.push((0, at, Quantity::parse(text).unwrap()));
            }
        }
        paper.days_late = cell("days late").parse().unwrap_or(0);
        paper.attendance = match cell("status") {
            "absent" => Attendance::Absent,
            "excused" => Attendance::Excused,
            _ => Attendance::Present,
        };
        paper
    }

    pub(crate) fn mark(&self, key: &Key, paper: &Paper) -> Marked {
        Marker::new(&self.plan).mark(key, paper)
    }

    /// The raw entries in the order of the parts.
    pub(crate) fn entries<'a>(&self, cells: &[(&str, &'a str)]) -> Vec<&'a str> {
        let entry = |id: &str| {
            let found = cells.iter().find(|(name, _)| *name == id);
            found.map_or("", |(_, text)| *text)
        };
        self.plan.parts.iter().map(|part| entry(&part.id)).collect()
    }
}
