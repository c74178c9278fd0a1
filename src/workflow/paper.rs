//! From a student's row of entries to the paper that is marked.
//!
//! In: the raw cells. Out: readings, choices, points keyed, misread numbers, attendance and
//! lateness. What the *teacher* keyed wrongly (points beyond what there is, a misread number that
//! is none) is a finding and counts as not keyed; what a student wrote never is.

use chrono::NaiveDate;

use crate::answer::sheet::{Columns, PartColumn, Status, StudentEntries};
use crate::answer::{self, Constant, Context, Reading};
use crate::assignment::{Assignment, Draw, PartKind, Sheet};
use crate::marking::{Attendance, Entry, Paper};
use crate::plan::Plan;
use crate::quantity::Quantity;
use crate::record::{self, Standing};
use crate::text::{self, DecimalMark};

/// Reads papers of one plan.
#[derive(Debug)]
pub(super) struct Desk<'p> {
    plan: &'p Plan,
    problems: Vec<Names<'p>>,
    /// The day papers are due.
    pub(super) due: Option<NaiveDate>,
    /// The decimal mark of students for whom the roster does not say it.
    pub(super) decimal: DecimalMark,
}

/// What may stand in an answer to one problem besides numbers and units.
#[derive(Debug)]
struct Names<'p> {
    constants: Vec<Constant<'p>>,
    names: Vec<&'p str>,
}

impl<'p> Names<'p> {
    fn of(problem: &'p Assignment) -> Self {
        let constant = |given: &'p crate::assignment::Given| match &given.draw {
            Draw::Fixed(value) => Some(Constant {
                name: &given.name,
                value: value.si(),
                unit: given.unit,
            }),
            Draw::Steps { .. } | Draw::Pick(_) => None,
        };
        let givens = problem.givens.iter().map(|given| given.name.as_str());
        let unknowns = problem.unknowns.iter().map(|unknown| unknown.name.as_str());
        Self {
            constants: problem.givens.iter().filter_map(constant).collect(),
            names: givens.chain(unknowns).collect(),
        }
    }

    fn context(&self, decimal: DecimalMark) -> Context<'_> {
        Context {
            decimal,
            constants: &self.constants,
            names: &self.names,
        }
    }
}

/// The columns that a file of answers to `sheet` may have.
pub(super) fn columns(sheet: &Sheet) -> Columns {
    let parts = sheet.part_ids().map(|(id, problem, part)| {
        let part = &sheet.problems[problem].parts[part];
        PartColumn {
            id,
            working: !part.working.is_empty(),
        }
    });
    Columns::new(parts, sheet.given_ids().map(|(id, ..)| id))
}

impl<'p> Desk<'p> {
    /// Prepares to read papers of `plan`.
    pub(super) fn new(plan: &'p Plan, due: Option<NaiveDate>, decimal: DecimalMark) -> Self {
        let problems = plan.sheet.problems.iter().map(Names::of).collect();
        Self {
            plan,
            problems,
            due,
            decimal,
        }
    }

    /// Fills `paper` from a student's entries; `faults` receives what the teacher keyed wrongly.
    pub(super) fn fill(
        &self,
        entries: &StudentEntries,
        decimal: Option<DecimalMark>,
        paper: &mut Paper,
        faults: &mut Vec<String>,
    ) {
        let decimal = decimal.unwrap_or(self.decimal);
        paper.entries.clear();
        paper.working.clear();
        paper.misread.clear();
        paper.attendance = match entries.status() {
            Status::Present | Status::Empty => Attendance::Present,
            Status::Absent => Attendance::Absent,
            Status::Excused => Attendance::Excused,
        };
        paper.days_late = days_late(self.due, entries.handed_in());
        for (at, place) in self.plan.parts.iter().enumerate() {
            let entry = match entries.status() {
                Status::Empty => "",
                _ => entries.entry(at),
            };
            let part = &self.plan.sheet.problems[place.problem].parts[place.part];
            paper.entries.push(match &part.kind {
                PartKind::Answer(_) => Entry::Answer(self.read(place.problem, entry, decimal)),
                PartKind::Choose(choice) => Entry::Choice(answer::choice(entry, choice)),
                PartKind::Eye(items) => {
                    Entry::Eye(keyed(entry, items.len(), &place.id, "", faults))
                }
            });
            let working = entries.working(at);
            paper.working.push(keyed(
                working,
                part.working.len(),
                &place.id,
                ".working",
                faults,
            ));
        }
        for (at, (name, problem, given)) in self.plan.sheet.given_ids().enumerate() {
            let cell = entries.given(at);
            if !cell.trim().is_empty() {
                match self.misread(problem, given, cell, decimal) {
                    Ok(value) => paper.misread.push((problem, given, value)),
                    Err(why) => faults.push(format!("given:{name}: {why}")),
                }
            }
        }
    }

    /// Fills `paper` from what the record says stands on it; `due` is the day that paper was due,
    /// `faults` receives misread numbers that are none.
    pub(super) fn fill_from(
        &self,
        standing: &Standing,
        due: Option<NaiveDate>,
        decimal: Option<DecimalMark>,
        paper: &mut Paper,
        faults: &mut Vec<String>,
    ) {
        let decimal = decimal.unwrap_or(self.decimal);
        paper.entries.clear();
        paper.working.clear();
        paper.misread.clear();
        paper.attendance = match standing.attendance {
            Some(record::Attendance::Excused) => Attendance::Excused,
            _ if standing.has_paper() => Attendance::Present,
            _ => Attendance::Absent,
        };
        paper.days_late = days_late(due, standing.handed_in);
        for place in &self.plan.parts {
            let part = &self.plan.sheet.problems[place.problem].parts[place.part];
            let entry = standing
                .entry(&place.id)
                .map_or("", record::Keyed::as_entry);
            let points = |most: usize| {
                standing
                    .working(&place.id)
                    .filter(|&p| usize::from(p) <= most)
            };
            paper.entries.push(match &part.kind {
                PartKind::Answer(_) => Entry::Answer(self.read(place.problem, entry, decimal)),
                PartKind::Choose(choice) => Entry::Choice(answer::choice(entry, choice)),
                PartKind::Eye(items) => Entry::Eye(points(items.len())),
            });
            paper.working.push(match &part.kind {
                PartKind::Eye(_) => None,
                _ => points(part.working.len()),
            });
        }
        for (name, problem, given) in self.plan.sheet.given_ids() {
            if let Some(value) = standing.misread.get(&name) {
                match self.misread(problem, given, value, decimal) {
                    Ok(value) => paper.misread.push((problem, given, value)),
                    Err(why) => faults.push(format!("given:{name}: {why}")),
                }
            }
        }
    }

    /// Reads one answer.
    pub(super) fn read(&self, problem: usize, entry: &str, decimal: DecimalMark) -> Reading {
        answer::read(entry, &self.problems[problem].context(decimal))
    }

    /// Reads a misread number: a quantity, or a bare number in the unit of the given.
    pub(super) fn misread(
        &self,
        problem: usize,
        given: usize,
        cell: &str,
        decimal: DecimalMark,
    ) -> Result<Quantity, String> {
        let unit = self.plan.sheet.problems[problem].givens[given].unit;
        let found = text::excerpt(cell, 20);
        let expected = || format!("expected a quantity such as 2.5 {unit}, found `{found}`");
        let Reading::One(written) = self.read(problem, cell, decimal) else {
            return Err(expected());
        };
        let answer::Value::Numeral(numeral) = written.value else {
            return Err(expected());
        };
        match written.unit {
            None => Ok(Quantity { numeral, unit }),
            Some(reading) if reading.unit.dimension() == unit.dimension() => Ok(Quantity {
                numeral,
                unit: reading.unit,
            }),
            Some(reading) => Err(format!(
                "expected a unit like {unit}, found {}",
                reading.unit
            )),
        }
    }
}

/// Days after the day due; 0 if in time, or if either day is not known.
fn days_late(due: Option<NaiveDate>, handed_in: Option<NaiveDate>) -> u32 {
    match (due, handed_in) {
        (Some(due), Some(handed_in)) => u32::try_from((handed_in - due).num_days()).unwrap_or(0),
        _ => 0,
    }
}

/// Points keyed by the teacher.
fn keyed(cell: &str, most: usize, id: &str, suffix: &str, faults: &mut Vec<String>) -> Option<u8> {
    match answer::points(cell, most) {
        Ok(points) => points,
        Err(found) => {
            let found = text::excerpt(found, 20);
            faults.push(format!(
                "{id}{suffix}: expected points from 0 to {most}, found `{found}`"
            ));
            None
        }
    }
}
