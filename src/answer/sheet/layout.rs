//! Which layout a file of answers has, and which of its columns holds what.

use super::columns::{Columns, HANDED_IN, STATUS};
use super::fault;
use crate::diagnostic::Findings;
use crate::roster::{is_id_heading, is_roster_heading};
use crate::table::{Format, Row};

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
        let headings = format.heading();
        let with = |name: &str| {
            headings
                .iter()
                .position(|heading| heading.eq_ignore_ascii_case(name))
        };
        let long = with("part").zip(with("entry"));
        let slots: Vec<_> = match long {
            None => headings
                .iter()
                .map(|heading| slot(columns, heading))
                .collect(),
            Some(_) => vec![None; headings.len()],
        };
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

/// Part ids and givens are names and keep their case; the other headings are words.
pub(super) fn slot(columns: &Columns, name: &str) -> Option<usize> {
    columns.slot(name).or_else(|| {
        [(STATUS, columns.status()), (HANDED_IN, columns.handed_in())]
            .into_iter()
            .find(|(word, _)| word.eq_ignore_ascii_case(name))
            .map(|(_, slot)| slot)
    })
}
