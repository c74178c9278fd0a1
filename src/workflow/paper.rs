//! From a student's row of entries to the paper that is marked.
//!
//! In: the raw cells. Out: readings, choices, points keyed, misread numbers, attendance and
//! lateness. What the *teacher* keyed wrongly (points beyond what there is, a misread number that
//! is none) is a finding and counts as not keyed; what a student wrote never is.

use chrono::NaiveDate;

use crate::answer::sheet::{Columns, PartColumn, Status, StudentEntries};
use crate::answer::{self, Constant, Context, Reading};
use crate::assignment::{Assignment, Draw, PartKind, Sheet};
use crate::headings::WORKING;
use crate::marking::{Attendance, Entry, Paper};
use crate::plan::Plan;
use crate::quantity::Quantity;
use crate::record::{self, Standing};
use crate::text::{self, DecimalMark};

/// Reads papers of one plan.
#[derive(Debug)]
pub(super) struct PaperReader<'p> {
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

impl<'p> PaperReader<'p> {
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
        self.fill_with(entries, self.due, decimal, paper, faults);
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
        self.fill_with(standing, due, decimal, paper, faults);
    }

    fn fill_with(
        &self,
        cells: &impl Cells,
        due: Option<NaiveDate>,
        decimal: Option<DecimalMark>,
        paper: &mut Paper,
        faults: &mut Vec<String>,
    ) {
        let decimal = decimal.unwrap_or(self.decimal);
        paper.entries.clear();
        paper.working.clear();
        paper.misread.clear();
        paper.attendance = cells.attendance();
        paper.days_late = days_late(due, cells.handed_in());
        for (at, place) in self.plan.parts.iter().enumerate() {
            let part = self.plan.part(at);
            let entry = || cells.entry(at, &place.id);
            let (entry, working) = match &part.kind {
                PartKind::Answer(_) => {
                    let reading = self.read(place.problem, entry(), decimal);
                    (Entry::Answer(reading), part.working.len())
                }
                PartKind::Choose(choice) => {
                    let choice = answer::choice(entry(), choice);
                    (Entry::Choice(choice), part.working.len())
                }
                PartKind::Eye(items) => {
                    let points = cells.by_eye(at, &place.id, items.len(), faults);
                    (Entry::Eye(points), 0)
                }
            };
            paper.entries.push(entry);
            let working = (working > 0).then(|| cells.working(at, &place.id, working, faults));
            paper.working.push(working.flatten());
        }
        for (at, (name, problem, given)) in self.plan.sheet.given_ids().enumerate() {
            let cell = cells.misread(at, &name);
            if !cell.trim().is_empty() {
                match self.misread(problem, given, cell, decimal) {
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
        let expected = || {
            format!(
                "expected a quantity such as 2.5{}, found '{found}'",
                unit.behind()
            )
        };
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
pub(super) fn days_late(due: Option<NaiveDate>, handed_in: Option<NaiveDate>) -> u32 {
    match (due, handed_in) {
        (Some(due), Some(handed_in)) => u32::try_from((handed_in - due).num_days()).unwrap_or(0),
        _ => 0,
    }
}

/// Where what stands on a paper comes from. Parts go by their place and id, givens by their place and
/// name.
trait Cells {
    fn attendance(&self) -> Attendance;
    fn handed_in(&self) -> Option<NaiveDate>;
    fn entry(&self, at: usize, id: &str) -> &str;
    fn by_eye(&self, at: usize, id: &str, most: usize, faults: &mut Vec<String>) -> Option<u8>;
    fn working(&self, at: usize, id: &str, most: usize, faults: &mut Vec<String>) -> Option<u8>;
    /// The number used for a given, if it was misread; else nothing.
    fn misread(&self, at: usize, name: &str) -> &str;
}

impl Cells for StudentEntries {
    fn attendance(&self) -> Attendance {
        match self.status() {
            Status::Present | Status::Empty => Attendance::Present,
            Status::Absent => Attendance::Absent,
            Status::Excused => Attendance::Excused,
        }
    }

    fn handed_in(&self) -> Option<NaiveDate> {
        self.handed_in()
    }

    fn entry(&self, at: usize, _: &str) -> &str {
        match self.status() {
            Status::Empty => "",
            _ => self.entry(at),
        }
    }

    fn by_eye(&self, at: usize, id: &str, most: usize, faults: &mut Vec<String>) -> Option<u8> {
        keyed(Cells::entry(self, at, id), most, id, "", faults)
    }

    fn working(&self, at: usize, id: &str, most: usize, faults: &mut Vec<String>) -> Option<u8> {
        keyed(self.working(at), most, id, WORKING, faults)
    }

    fn misread(&self, at: usize, _: &str) -> &str {
        self.given(at)
    }
}

impl Cells for Standing {
    fn attendance(&self) -> Attendance {
        match self.attendance {
            Some(record::Attendance::Excused) => Attendance::Excused,
            _ if self.has_paper() => Attendance::Present,
            _ => Attendance::Absent,
        }
    }

    fn handed_in(&self) -> Option<NaiveDate> {
        self.handed_in
    }

    fn entry(&self, _: usize, id: &str) -> &str {
        self.entry(id).map_or("", record::Keyed::as_entry)
    }

    fn by_eye(&self, at: usize, id: &str, most: usize, faults: &mut Vec<String>) -> Option<u8> {
        Cells::working(self, at, id, most, faults)
    }

    /// Points that today's file has no more room for count as not keyed.
    fn working(&self, _: usize, id: &str, most: usize, _: &mut Vec<String>) -> Option<u8> {
        self.working(id)
            .filter(|&points| usize::from(points) <= most)
    }

    fn misread(&self, _: usize, name: &str) -> &str {
        self.misread.get(name).map_or("", String::as_str)
    }
}

/// Points keyed by the teacher.
fn keyed(cell: &str, most: usize, id: &str, suffix: &str, faults: &mut Vec<String>) -> Option<u8> {
    match answer::points(cell, most) {
        Ok(points) => points,
        Err(found) => {
            let found = text::excerpt(found, 20);
            faults.push(format!(
                "{id}{suffix}: expected whole points from 0 to {most}, found '{found}'"
            ));
            None
        }
    }
}
