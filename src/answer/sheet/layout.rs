//! Which layout a file of answers has, and which of its columns holds what.
//!
//! In: the heading and the names that may stand there. Out: the layout. Refused: a file of marks, a
//! roster, columns that nothing is known of, no column of students or several.

use super::columns::Columns;
use super::fault;
use crate::diagnostic::Findings;
use crate::headings::{ENTRY, FEEDBACK, HANDED_IN, OUT_OF, PAPER_COST, PART, STATUS};
use crate::roster::{is_id_heading, is_roster_heading};
use crate::table::{Format, Looks, Row};

/// Headings that only a file of marks has, all of them.
const MARKS: [&str; 3] = [PAPER_COST, OUT_OF, FEEDBACK];

/// Columns by place.
#[derive(Clone, Debug)]
pub(super) enum Layout {
    /// A row a student; for each column the slot it fills.
    Wide {
        student: usize,
        slots: Vec<Option<usize>>,
    },
    /// A row an entry.
    Long {
        student: usize,
        part: usize,
        entry: usize,
    },
}

impl Layout {
    /// The id in a row.
    pub(super) fn student<'a>(&self, row: &'a Row) -> &'a str {
        let (Self::Wide { student, .. } | Self::Long { student, .. }) = self;
        row.cell(*student).trim()
    }

    /// Finds the layout by the heading, or tells in `findings` why there is none.
    pub(super) fn find(
        format: &Format,
        columns: &Columns,
        findings: &mut Findings,
    ) -> Option<Self> {
        let errors = findings.errors();
        format.doubled().for_each(|fault| findings.push(fault));
        if findings.errors() > errors {
            return None;
        }
        let headings = format.heading();
        let with = |name: &str| {
            headings
                .iter()
                .position(|heading| heading.eq_ignore_ascii_case(name))
        };
        if MARKS.iter().all(|name| with(name).is_some()) {
            findings.push(fault::another_file(format, "a file of marks"));
            return None;
        }
        let (part, entry) = (with(PART), with(ENTRY));
        if let Some(missing) = half_long(part, entry, headings, columns) {
            findings.push(fault::half_long(format, missing.0, missing.1));
            return None;
        }
        let long = part.zip(entry);
        let slots: Vec<_> = match long {
            None => headings
                .iter()
                .map(|heading| slot(columns, heading))
                .collect(),
            Some(_) => vec![None; headings.len()],
        };
        let is_entry = |slot: &Option<usize>| slot.is_some_and(|slot| columns.is_entry(slot));
        if long.is_none() && !slots.iter().any(is_entry) && is_roster(headings, columns) {
            findings.push(fault::another_file(format, "a roster"));
            return None;
        }
        let free = |column: usize| {
            slots[column].is_none()
                && long.is_none_or(|(part, entry)| column != part && column != entry)
        };
        let ids: Vec<_> = (0..headings.len())
            .filter(|column| free(*column) && is_id_heading(&headings[*column]))
            .collect();
        match ids[..] {
            [_] => {}
            [] => findings.push(fault::no_student_column(format)),
            _ => findings.push(fault::student_columns(format, &ids)),
        }
        let (mut unused, mut unknown) = (Vec::new(), Vec::new());
        for (column, heading) in headings.iter().enumerate() {
            if heading.is_empty() || !free(column) || ids.contains(&column) {
                continue;
            }
            if is_roster_heading(heading) {
                unused.push(heading.as_str());
            } else {
                unknown.push(heading.as_str());
            }
        }
        for fault in fault::unknown_columns(format, &unknown, columns, long.is_some()) {
            findings.push(fault);
        }
        if !unused.is_empty() {
            findings.push(fault::unused(format, &unused));
        }
        // a heading that is not known may be the very one that is missing
        if long.is_none() && findings.errors() == errors {
            let missing: Vec<_> = (0..columns.parts().len())
                .filter(|part| !slots.contains(&Some(*part)))
                .map(|part| columns.parts()[part].id.as_str())
                .collect();
            if missing.len() == columns.parts().len() {
                findings.push(fault::no_parts(format, &missing));
            } else if !missing.is_empty() {
                findings.push(fault::missing_parts(format, &missing));
            }
        }
        let student = *ids.first().filter(|_| findings.errors() == errors)?;
        Some(match long {
            Some((part, entry)) => Self::Long {
                student,
                part,
                entry,
            },
            None => Self::Wide { student, slots },
        })
    }
}

/// Whether headings among which there is no part are those of a roster: one says so beside the id's, and none is
/// a part's but for brackets and capitals.
fn is_roster(headings: &[String], columns: &Columns) -> bool {
    let is_part = |heading: &String| {
        let bare = fault::bare(heading);
        let mut parts = columns.parts().iter();
        parts.any(|part| part.id.eq_ignore_ascii_case(bare))
    };
    let ids = headings.iter().filter(|heading| is_id_heading(heading));
    let ids = ids.count();
    // 'student' may head ids and, beside them, names.
    let is_beside = |heading: &String| ids > 1 || !is_id_heading(heading);
    headings
        .iter()
        .any(|heading| is_roster_heading(heading) && is_beside(heading))
        && !headings.iter().any(is_part)
}

/// Of a heading that has only one of the two columns of the long layout: the name of the other, and the
/// heading that may have been meant by it, if just one is left. Neither name can be the id of a part.
fn half_long<'h>(
    part: Option<usize>,
    entry: Option<usize>,
    headings: &'h [String],
    columns: &Columns,
) -> Option<(&'static str, Option<&'h str>)> {
    let missing = match (part, entry) {
        (Some(_), None) => ENTRY,
        (None, Some(_)) => PART,
        _ => return None,
    };
    let mut others = headings.iter().enumerate().filter(|(column, heading)| {
        let known = is_id_heading(heading) || is_roster_heading(heading) || heading.is_empty();
        !known && Some(*column) != part.or(entry) && slot(columns, heading).is_none()
    });
    let meant = match (others.next(), others.next()) {
        (Some((_, heading)), None) => Some(heading.as_str()),
        _ => None,
    };
    Some((missing, meant))
}

/// How much a row looks like the heading of a file of answers.
pub(super) fn looks(cells: &[&str], columns: &Columns) -> Looks {
    let with = |name: &str| cells.iter().any(|cell| cell.eq_ignore_ascii_case(name));
    let has_entries =
        with(PART) && with(ENTRY) || cells.iter().any(|cell| slot(columns, cell).is_some());
    match (cells.iter().any(|cell| is_id_heading(cell)), has_entries) {
        (true, true) => Looks::Heading,
        (true, false) => Looks::Perhaps,
        (false, _) => Looks::No,
    }
}

/// Part ids and givens are names and keep their case; the other headings are words.
pub(super) fn slot(columns: &Columns, name: &str) -> Option<usize> {
    columns.slot(name).or_else(|| {
        [(STATUS, columns.status()), (HANDED_IN, columns.handed_in())]
            .into_iter()
            .find(|(word, _)| word.eq_ignore_ascii_case(name))
            .map(|(_, slot)| slot)
    })
}
