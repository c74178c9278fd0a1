//! Finds out how someone's file is written and where its heading stands.
//!
//! In go the bytes and what was said about them; out comes a [`Gradebook`]. The heading is the first row
//! that names both columns, or two rows one below the other that do; title rows and a `sep=` line may stand
//! above it. Of several columns that may hold ids the one counts in which our students stand.
//! Refused: a heading that is not found, and one that can be understood in two ways.

use crate::diagnostic::{Diagnostic, Place};
use crate::roster::is_id_heading;
use crate::table::cells::{Cell, Cut, Row, Scan, Unsound};
use crate::table::declared::{self, Declared};
use crate::table::encoding::{Encoded, Encoding};
use crate::table::{self, Other, sniff};

use super::plan::id_of;
use super::{Gradebook, Wanted, fault};

/// The heading stands within so many rows.
const HEAD: usize = 60;

/// What may separate cells.
const DELIMITERS: [u8; 4] = [b',', b';', b'\t', b'|'];

/// The first rows of a file under one separator.
struct Head<'a> {
    cut: Cut,
    rows: Vec<(Row, Vec<String>)>,
    /// Where scanning stands behind each row.
    behind: Vec<Scan<'a>>,
    fault: Option<Unsound>,
}

/// Where a heading is.
struct Hit {
    head: usize,
    /// Its last row.
    row: usize,
    /// Its headings; of two rows that of the lower one, and where that is empty the upper one's.
    names: Vec<String>,
    ids: Vec<usize>,
    columns: Vec<usize>,
}

impl<'a> Gradebook<'a> {
    /// Looks at a file. `is_student` tells whether an id is on the roster.
    ///
    /// # Errors
    /// All that keeps the file from being understood.
    pub fn find(
        bytes: &'a [u8],
        file: &str,
        wanted: &Wanted<'_>,
        is_student: &dyn Fn(&str) -> bool,
    ) -> Result<Self, Vec<Diagnostic>> {
        let declared = &wanted.declared;
        if let Some(other) = Other::of(bytes) {
            let help =
                "export the gradebook as CSV, or save the sheet as 'CSV UTF-8' and fill that";
            return Err(one(table::fault::another(file, other, help)));
        }
        let encoded = sniff::encoding(bytes, declared, file).map_err(one)?;
        decodes(bytes, encoded, declared, file)?;
        let mut said = Vec::new();
        let (mut delimiters, skipped) = separators(bytes, encoded, wanted, &mut said);
        let encoding = encoded.encoding;
        if let [told] = delimiters[..]
            && !encoding.separates(told)
        {
            return Err(one(fault::hidden_separator(file, told, encoding.name())));
        }
        delimiters.retain(|delimiter| encoding.separates(*delimiter));
        let mut heads: Vec<Head<'a>> = delimiters
            .drain(..)
            .map(|delimiter| Head::read(bytes, Cut { encoded, delimiter }, skipped))
            .collect();
        if heads
            .iter()
            .all(|head| head.rows.is_empty() && head.fault.is_none())
        {
            return Err(one(fault::empty(file)));
        }
        let hit = hit(&heads, wanted, is_student).ok_or_else(|| not_found(&heads, file, wanted))?;
        let head = heads.swap_remove(hit.head);
        let line = head.rows[hit.row].0.line;
        let [column] = hit.columns[..] else {
            let name = hit.columns.first().and_then(|at| hit.names.get(*at));
            let name = name.map_or("", String::as_str);
            return Err(one(fault::doubled_column(
                file,
                line,
                name,
                &hit.columns,
                "--column",
            )));
        };
        let mut found = Self {
            bytes,
            file: file.to_owned(),
            cut: head.cut,
            body: head.behind[hit.row].clone(),
            heading_line: line,
            heading: hit.names,
            id: 0,
            column,
            notes: Vec::new(),
        };
        found.id = found.id_column(&hit.ids, wanted, is_student)?;
        if found.id == column {
            return Err(one(fault::same_column(file, line, &found.heading[column])));
        }
        found.say(hit.row, skipped, said);
        Ok(found)
    }

    /// The column of ids among those that may be it.
    fn id_column(
        &self,
        ids: &[usize],
        wanted: &Wanted<'_>,
        is_student: &dyn Fn(&str) -> bool,
    ) -> Result<usize, Vec<Diagnostic>> {
        if let [id] = ids[..] {
            return Ok(id);
        }
        let (file, line) = (self.file.as_str(), self.heading_line);
        if let Some(name) = wanted.id_column {
            return Err(one(fault::doubled_column(
                file,
                line,
                name,
                ids,
                "--id-column",
            )));
        }
        let mut counts = vec![0_usize; ids.len()];
        let (mut rows, mut cells) = (self.body.clone(), Vec::new());
        // What spoils a row further down is told when the students are looked for.
        while let Ok(Some(_)) = rows.next(&mut cells) {
            for (count, id) in counts.iter_mut().zip(ids) {
                let text = cells
                    .get(*id)
                    .and_then(|cell| self.cut.text(self.bytes, cell).ok());
                *count += usize::from(text.is_some_and(|text| is_student(text.trim())));
            }
        }
        let most = counts.iter().copied().max().unwrap_or(0);
        let mut best = ids
            .iter()
            .zip(&counts)
            .filter(|(_, count)| **count == most && most > 0);
        match (best.next(), best.next()) {
            (Some((id, _)), None) => Ok(*id),
            _ => {
                let names = ids.iter().filter_map(|id| self.heading.get(*id));
                let names: Vec<&str> = names.map(String::as_str).collect();
                Err(one(fault::several_ids(file, line, &names)))
            }
        }
    }

    /// Says how the file was read, where that is not plain.
    fn say(&mut self, row: usize, skipped: usize, mut said: Vec<String>) {
        let encoding = self.cut.encoded.encoding;
        if encoding != Encoding::Utf8 {
            said.push(format!("read as {}", encoding.name()));
        }
        if self.cut.delimiter != b',' && skipped == 0 {
            let name = declared::plural(self.cut.delimiter);
            said.push(format!("cells separated by {name}"));
        }
        if row > 0 {
            said.push(format!("heading in line {}", self.heading_line));
        }
        self.notes.extend(fault::assumed(&self.file, &said));
    }
}

impl<'a> Head<'a> {
    fn read(bytes: &'a [u8], cut: Cut, skipped: usize) -> Self {
        let mut scan = Scan::new(bytes, cut);
        let (mut rows, mut behind) = (Vec::new(), Vec::new());
        let mut cells: Vec<Cell> = Vec::new();
        let mut fault = None;
        for _ in 0..skipped {
            // read before with another separator, and sound
            let _ = scan.next(&mut cells);
        }
        while rows.len() < HEAD {
            match scan.next(&mut cells) {
                Ok(Some(row)) => {
                    let text = |cell: &Cell| {
                        let text = cut.text(bytes, cell).unwrap_or_default();
                        text.trim().to_owned()
                    };
                    rows.push((row, cells.iter().map(text).collect()));
                    behind.push(scan.clone());
                }
                Ok(None) => break,
                Err(found) => {
                    fault = Some(found);
                    break;
                }
            }
        }
        Self {
            cut,
            rows,
            behind,
            fault,
        }
    }
}

/// Whether all of the file decodes, and comes back as it was.
fn decodes(
    bytes: &[u8],
    encoded: Encoded,
    declared: &Declared,
    file: &str,
) -> Result<(), Vec<Diagnostic>> {
    let body = bytes.get(encoded.mark..).unwrap_or_default();
    let encoding = encoded.encoding;
    if encoding == Encoding::Utf8 && body.contains(&0) {
        return Err(one(table::fault::nul(file, Place::File)));
    }
    let text = encoding.decode(body).map_err(|bad| {
        one(table::fault::undecodable(
            file, encoding, declared, body, bad,
        ))
    })?;
    if !matches!(encoding, Encoding::Older(_)) {
        return Ok(());
    }
    let back = encoding.encode(&text);
    let back = back.as_deref().unwrap_or_default();
    if back == body {
        return Ok(());
    }
    let same = back
        .iter()
        .zip(body)
        .take_while(|(one, other)| one == other)
        .count();
    let line = body[..same.min(body.len())]
        .iter()
        .filter(|byte| **byte == b'\n')
        .count() as u64
        + 1;
    Err(one(fault::not_round(file, line, encoding.name())))
}

/// The separators to try, and how many rows a `sep=` line takes.
fn separators(
    bytes: &[u8],
    encoded: Encoded,
    wanted: &Wanted<'_>,
    said: &mut Vec<String>,
) -> (Vec<u8>, usize) {
    // a separator that no text has: the whole line is one cell
    let cut = Cut {
        encoded,
        delimiter: 0x1f,
    };
    let mut cells = Vec::new();
    let first = Scan::new(bytes, cut).next(&mut cells);
    let line = match (first, cells.first()) {
        (Ok(Some(_)), Some(cell)) => cut.text(bytes, cell).unwrap_or_default(),
        _ => return (tried(wanted), 0),
    };
    let named = line
        .get(..4)
        .filter(|start| start.eq_ignore_ascii_case("sep="));
    match (named, line.as_bytes().get(4..)) {
        (Some(_), Some(&[separator])) if separator.is_ascii() && separator != b'"' => {
            said.push("its first line names the separator".to_owned());
            (vec![wanted.declared.delimiter.unwrap_or(separator)], 1)
        }
        _ => (tried(wanted), 0),
    }
}

fn tried(wanted: &Wanted<'_>) -> Vec<u8> {
    match wanted.declared.delimiter {
        Some(delimiter) => vec![delimiter],
        None => DELIMITERS.to_vec(),
    }
}

/// The first heading that names both columns, in one row or else in two.
fn hit(heads: &[Head<'_>], wanted: &Wanted<'_>, is_student: &dyn Fn(&str) -> bool) -> Option<Hit> {
    let mut pairs = None;
    for (at, head) in heads.iter().enumerate() {
        for (row, (place, names)) in head.rows.iter().enumerate() {
            let is_told = |line: u64| wanted.declared.heading_row.is_none_or(|told| told == line);
            if is_told(place.line) {
                let (ids, columns) = (ids(names, wanted), columns(names, wanted));
                if !ids.is_empty() && !columns.is_empty() && names.len() > 1 {
                    return Some(Hit {
                        head: at,
                        row,
                        names: names.clone(),
                        ids,
                        columns,
                    });
                }
            }
            let Some((below, lower)) = head.rows.get(row + 1) else {
                continue;
            };
            if pairs.is_some() || !(is_told(place.line) || is_told(below.line)) {
                continue;
            }
            pairs = two_rows(names, lower, wanted, is_student).map(|(names, ids, columns)| Hit {
                head: at,
                row: row + 1,
                names,
                ids,
                columns,
            });
        }
    }
    pairs
}

/// A heading over two rows, of which each names one of the columns. The row of a student is no half of one,
/// whatever stands in it.
fn two_rows(
    upper: &[String],
    lower: &[String],
    wanted: &Wanted<'_>,
    is_student: &dyn Fn(&str) -> bool,
) -> Option<(Vec<String>, Vec<usize>, Vec<usize>)> {
    if upper.len() < 2 || lower.len() < 2 {
        return None;
    }
    let both = |find: &dyn Fn(&[String], &Wanted<'_>) -> Vec<usize>| {
        let (above, below) = (find(upper, wanted), find(lower, wanted));
        if below.is_empty() { above } else { below }
    };
    let (ids, columns) = (both(&ids), both(&columns));
    let is_of_student = |at: &usize| lower.get(*at).is_some_and(|cell| is_student(id_of(cell).0));
    if ids.is_empty() || columns.is_empty() || ids.iter().any(is_of_student) {
        return None;
    }
    let names = (0..upper.len().max(lower.len())).map(|at| {
        let below = lower.get(at).filter(|name| !name.is_empty());
        below.or(upper.get(at)).cloned().unwrap_or_default()
    });
    Some((names.collect(), ids, columns))
}

fn ids(names: &[String], wanted: &Wanted<'_>) -> Vec<usize> {
    match wanted.id_column {
        Some(name) => named(names, name),
        None => places(names, is_id_heading),
    }
}

fn columns(names: &[String], wanted: &Wanted<'_>) -> Vec<usize> {
    let found = wanted.columns.iter().map(|name| named(names, name));
    found
        .into_iter()
        .find(|found| !found.is_empty())
        .unwrap_or_default()
}

/// The columns of that heading: letter by letter, else whatever the capitals, else by number.
fn named(names: &[String], wanted: &str) -> Vec<usize> {
    let wanted = wanted.trim();
    let exact = places(names, |name| name == wanted);
    if !exact.is_empty() {
        return exact;
    }
    let lower = wanted.to_lowercase();
    let alike = places(names, |name| name.to_lowercase() == lower);
    if !alike.is_empty() {
        return alike;
    }
    let number = wanted
        .strip_prefix('#')
        .and_then(|number| number.parse::<usize>().ok());
    let at = number.and_then(|number| number.checked_sub(1));
    at.filter(|at| *at < names.len()).into_iter().collect()
}

fn places(names: &[String], is_it: impl Fn(&str) -> bool) -> Vec<usize> {
    let found = names.iter().enumerate().filter(|(_, name)| is_it(name));
    found.map(|(at, _)| at).collect()
}

/// Why there is no heading: quotes that join rows, else what the row most like a heading lacks.
fn not_found(heads: &[Head<'_>], file: &str, wanted: &Wanted<'_>) -> Vec<Diagnostic> {
    let told = |line: u64| wanted.declared.heading_row.is_none_or(|told| told == line);
    let filled = |names: &[String]| names.iter().filter(|name| !name.is_empty()).count();
    let rows = heads
        .iter()
        .flat_map(|head| &head.rows)
        .filter(|(row, _)| told(row.line));
    // a row with one of the two columns is more of a heading than any other
    let like = |names: &[String]| {
        let half = !ids(names, wanted).is_empty() || !columns(names, wanted).is_empty();
        (half, filled(names))
    };
    let best = rows.fold(None, |best: Option<&(Row, Vec<String>)>, row| match best {
        Some(best) if like(&best.1) >= like(&row.1) => Some(best),
        _ => Some(row),
    });
    let faults = heads
        .iter()
        .filter_map(|head| head.fault)
        .map(|found| fault::unsound(file, found));
    let best = best.filter(|(_, names)| filled(names) > 0 || wanted.declared.heading_row.is_some());
    let Some((row, names)) = best else {
        let fault = faults.into_iter().next();
        return one(fault.unwrap_or_else(|| match wanted.declared.heading_row {
            Some(at) => fault::no_row(file, at),
            None => fault::empty(file),
        }));
    };
    let lacks = [
        (true, ids(names, wanted).is_empty()),
        (false, columns(names, wanted).is_empty()),
    ];
    let lacks = lacks.into_iter().filter(|(_, is_missing)| *is_missing);
    let (id, columns) = (wanted.id_column, wanted.columns);
    let mut list: Vec<Diagnostic> = lacks
        .map(|(of_ids, _)| {
            let options = wanted.declared.options;
            fault::no_heading(file, row.line, names, id, columns, of_ids, options)
        })
        .collect();
    list.extend(faults.take(1));
    list
}

fn one(found: Diagnostic) -> Vec<Diagnostic> {
    vec![found]
}
