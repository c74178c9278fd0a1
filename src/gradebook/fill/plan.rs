//! Finds each student's cell in someone's file, and says what would change.
//!
//! In go a [`Gradebook`] that was found, the students with the text for each, and the links that a teacher
//! confirmed; out comes a [`Changes`]. Rows without an id, rows of nobody on the roster and a heading that is
//! repeated are passed over. Refused: a student's row that is ragged or odd, a student on two rows, a
//! second heading with other columns, quotes that join rows.

use std::str::FromStr as _;

use rust_decimal::Decimal;
use rustc_hash::FxHashMap;

use crate::diagnostic::{Diagnostic, Findings};
use crate::roster::is_roster_heading;
use crate::table::cells::{Cell, Row};
use crate::table::encoding::Undecodable;
use crate::text::DecimalMark;

use super::{Before, Change, Changes, Entry, Gradebook, Links, fault, near};

/// Rows of nobody that are named.
pub(super) const NAMED: usize = 20;

/// Rows of students whose other cells are looked at, for how numbers are written in this file.
const LOOKED_AT: usize = 50;

/// Says what filling would do. `decimal` is the mark that numbers in the column are written with.
///
/// # Errors
/// Every row of a student that keeps the column from being filled.
pub fn plan(
    gradebook: &Gradebook<'_>,
    entries: &[Entry<'_>],
    links: &Links,
    decimal: DecimalMark,
) -> Result<Changes, Vec<Diagnostic>> {
    let who = Who::new(entries, links);
    let mut search = Search {
        gradebook,
        entries,
        who: &who,
        decimal,
        lines: vec![0; entries.len()],
        widths: FxHashMap::default(),
        wrapped: 0,
        rows: 0,
        plan: Changes::default(),
        findings: Findings::new(&gradebook.file),
    };
    search.rows();
    search.settle_widths();
    let Search {
        lines,
        wrapped,
        mut plan,
        findings,
        ..
    } = search;
    if findings.errors() > 0 {
        return Err(findings.into_vec());
    }
    if wrapped > 0 {
        plan.notes.push(fault::wrapped(&gradebook.file, wrapped));
    }
    let missing = lines.iter().enumerate().filter(|(_, line)| **line == 0);
    plan.without = missing.map(|(at, _)| at).collect();
    if plan.strange > 0 && !plan.without.is_empty() {
        plan.near = near::find(gradebook, entries, &plan.without, &who);
    }
    Ok(plan)
}

/// Who is meant by what stands in the column of ids.
pub(super) struct Who<'a> {
    ids: FxHashMap<&'a str, usize>,
    links: &'a Links,
}

impl<'a> Who<'a> {
    fn new(entries: &[Entry<'a>], links: &'a Links) -> Self {
        let ids = entries.iter().enumerate().map(|(at, entry)| (entry.id, at));
        Self {
            ids: ids.collect(),
            links,
        }
    }

    /// The student of exactly this id, else the one linked with it, and whether it took the link.
    pub(super) fn is(&self, id: &str) -> Option<(usize, bool)> {
        if let Some(student) = self.ids.get(id) {
            return Some((*student, false));
        }
        let linked = self.links.get(id)?;
        self.ids
            .get(linked.as_str())
            .map(|student| (*student, true))
    }
}

/// The id in a cell: without blanks around it, and out of the formula `="007"` that keeps its zeros.
pub(super) fn id_of(cell: &str) -> (&str, bool) {
    let cell = cell.trim();
    let inside = cell
        .strip_prefix("=\"")
        .and_then(|rest| rest.strip_suffix('"'));
    match inside {
        Some(inside) if !inside.contains('"') => (inside.trim(), true),
        _ => (cell, false),
    }
}

struct Search<'a> {
    gradebook: &'a Gradebook<'a>,
    entries: &'a [Entry<'a>],
    who: &'a Who<'a>,
    decimal: DecimalMark,
    /// Where each student was found, 0 for nowhere.
    lines: Vec<u64>,
    /// By how many cells students' rows have, where that is more than the heading has, else by 0: the line
    /// of the first with its student.
    widths: FxHashMap<usize, (u64, usize)>,
    /// Ids that stand there as formulas.
    wrapped: usize,
    /// Rows of students so far.
    rows: usize,
    plan: Changes,
    findings: Findings,
}

impl Search<'_> {
    fn rows(&mut self) {
        let (gradebook, file) = (self.gradebook, self.gradebook.file.as_str());
        let (mut scan, mut cells) = (gradebook.body.clone(), Vec::new());
        loop {
            match scan.next(&mut cells) {
                Ok(Some(row)) => {
                    if let Err(Undecodable { .. }) = self.row(&row, &cells) {
                        let encoding = gradebook.cut.encoded.encoding;
                        self.findings
                            .push(fault::undecodable(file, row.line, encoding));
                        return;
                    }
                }
                Ok(None) => return,
                Err(found) => {
                    self.findings.push(fault::unsound(file, found));
                    return;
                }
            }
        }
    }

    fn row(&mut self, row: &Row, cells: &[Cell]) -> Result<(), Undecodable> {
        let (gradebook, file) = (self.gradebook, self.gradebook.file.as_str());
        let text = |cell: &Cell| gradebook.cut.text(gradebook.bytes, cell);
        let Some(cell) = cells.get(gradebook.id) else {
            return Ok(());
        };
        let whole = text(cell)?;
        let (id, is_wrapped) = id_of(&whole);
        if id.is_empty() {
            return Ok(());
        }
        let Some((student, is_linked)) = self.who.is(id) else {
            if id == gradebook.heading[gradebook.id] {
                let other = cells.get(gradebook.column).map(text).transpose()?;
                let other = other.as_deref().unwrap_or_default().trim();
                if other != gradebook.heading[gradebook.column] {
                    self.findings.push(fault::other_section(file, row.line));
                }
                return Ok(());
            }
            self.plan.strange += 1;
            if self.plan.strangers.len() < NAMED {
                self.plan.strangers.push((row.line, id.to_owned()));
            }
            return Ok(());
        };
        let entry = &self.entries[student];
        match self.lines[student] {
            0 => self.lines[student] = row.line,
            first => {
                let found = fault::doubled_id(file, row.line, entry.id, id, first);
                self.findings.push(found);
                return Ok(());
            }
        }
        if row.is_odd {
            self.findings.push(fault::odd(file, row.line, id));
            return Ok(());
        }
        let Some(target) = self.target(row, cells, id, student)? else {
            return Ok(());
        };
        self.wrapped += usize::from(is_wrapped);
        self.plan.linked += usize::from(is_linked);
        let old = text(target)?;
        self.cell(row.line, student, target, &old);
        self.rows += 1;
        if self.rows <= LOOKED_AT {
            self.look_beside(cells);
        }
        Ok(())
    }

    /// Notes how numbers in other columns are written.
    fn look_beside(&mut self, cells: &[Cell]) {
        let gradebook = self.gradebook;
        for (at, cell) in cells.iter().enumerate() {
            let is_ours = at == gradebook.id || at == gradebook.column;
            // The class 10.2 is no number.
            let is_of_roster = |heading: &String| is_roster_heading(heading);
            let is_ours = is_ours || gradebook.heading.get(at).is_some_and(is_of_roster);
            let text = gradebook.cut.text(gradebook.bytes, cell);
            if let (false, Ok(text)) = (is_ours, text)
                && let Some(mark) = broken_by(&text)
            {
                self.plan.decimals[usize::from(mark == ',')].get_or_insert(at);
            }
        }
    }

    /// The cell to fill, if the row is as long as the heading says.
    fn target<'c>(
        &mut self,
        row: &Row,
        cells: &'c [Cell],
        id: &str,
        student: usize,
    ) -> Result<Option<&'c Cell>, Undecodable> {
        let gradebook = self.gradebook;
        let whole = gradebook.heading.len();
        // columns without a heading at the right end may be left out of a row
        let last = gradebook.heading.iter().rposition(|name| !name.is_empty());
        let least = last.map_or(0, |last| last + 1).max(gradebook.column + 1);
        let mut is_ragged = cells.len() < least;
        if cells.len() > whole {
            for more in &cells[whole..] {
                let text = gradebook.cut.text(gradebook.bytes, more)?;
                is_ragged |= !text.trim().is_empty();
            }
        }

        if is_ragged {
            let found = fault::ragged(&gradebook.file, row.line, id, whole, cells.len());
            self.findings.push(found);
            return Ok(None);
        }
        let width = if cells.len() > whole { cells.len() } else { 0 };
        self.widths.entry(width).or_insert((row.line, student));
        Ok(cells.get(gradebook.column))
    }

    /// More cells than the heading has, though empty, are what a comma in a number leaves behind; only where
    /// each row has the same number of them are they how the file is written.
    fn settle_widths(&mut self) {
        let gradebook = self.gradebook;
        if self.widths.len() > 1 {
            let mut longer: Vec<_> = self
                .widths
                .iter()
                .filter(|(width, _)| **width > 0)
                .collect();
            longer.sort_unstable();
            for (width, (line, student)) in longer {
                let id = self.entries[*student].id;
                let whole = gradebook.heading.len();
                let found = fault::ragged(&gradebook.file, *line, id, whole, *width);
                self.findings.push(found);
            }
        } else if let Some(&width) = self.widths.keys().next()
            && width > 0
        {
            let more = width - gradebook.heading.len();
            self.plan.notes.push(fault::trailing(&gradebook.file, more));
        }
    }

    /// Says what becomes of a student's cell.
    fn cell(&mut self, line: u64, student: usize, target: &Cell, old: &str) {
        let entry = &self.entries[student];
        let is_same = |text: &str| is_same(old, text, self.decimal);
        let is_blank = old.trim().is_empty();
        let Some(new) = entry.text else {
            if !is_blank && entry.ours.is_some_and(is_same) {
                self.plan.stale.push((line, student));
            }
            return;
        };
        if is_same(new) {
            self.plan.same += 1;
            return;
        }
        let before = match entry.ours {
            // a mark of ours that was deleted was changed by hand like any other
            Some(ours) if !is_same(ours) => Before::Changed(ours.to_owned()),
            _ if is_blank => Before::Blank,
            Some(_) => Before::Ours,
            None => Before::Unknown,
        };
        self.plan.changes.push(Change {
            line,
            student,
            old: old.to_owned(),
            new: new.to_owned(),
            before,
            bytes: target.bytes.clone(),
            is_quoted: target.is_quoted,
        });
    }
}

/// The decimal mark of a cell that is a number with one or two decimals: three may be thousands.
fn broken_by(text: &str) -> Option<char> {
    let text = text.trim().trim_start_matches('-');
    let mark = text.chars().find(|letter| matches!(letter, '.' | ','))?;
    let (whole, decimals) = text.split_once(mark)?;
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    (digits(whole) && digits(decimals) && decimals.len() < 3).then_some(mark)
}

/// Whether two cells say the same: letter by letter but for blanks around them, or as numbers, for a
/// program that keeps a gradebook may show 13 as 13.00.
fn is_same(one: &str, other: &str, decimal: DecimalMark) -> bool {
    let (one, other) = (one.trim(), other.trim());
    one == other || number(one, decimal).is_some_and(|size| Some(size) == number(other, decimal))
}

fn number(text: &str, decimal: DecimalMark) -> Option<Decimal> {
    let plain = text
        .bytes()
        .all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b',' | b'-'));
    let point = match decimal {
        DecimalMark::Point if !text.contains(',') => text.to_owned(),
        DecimalMark::Comma if !text.contains('.') => text.replace(',', "."),
        _ => return None,
    };
    Decimal::from_str(&point).ok().filter(|_| plain)
}
