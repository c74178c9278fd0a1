//! The marks of a class as the record holds it, and entries that go into the record first.
//!
//! In: a prepared sheet, a roster, a record; for marking a file of answers too. Out: the file of
//! marks as bytes, a tally, and in the record what was proposed when the marks were taken. Refused:
//! answers of students to whom nothing was issued, and marks that would move because the file or the
//! program has changed: `remark` shows those first. `enter` takes the answers, `each` shows every student's
//! marks; how these are written is the [`Form`]'s.

mod each;
mod enter;

use std::borrow::Borrow;
use std::path::Path;

use chrono::{DateTime, Utc};

use crate::diagnostic::{Diagnostic, Place};
use crate::files::Draft;
use crate::gradebook::pseudonyms::Pseudonyms;
use crate::record::{NewAct, Record};
use crate::roster::Roster;
use crate::statistics::SMALL;
use crate::text::{DecimalMark, excerpt, width};

use super::marked::misfit::{self, Numbers};
use super::{Failure, Form, MarkOutcome, Prepared};
pub(super) use each::{PROGRAM, each, same_marks};
pub use enter::enter;

/// Columns that ids take in a message.
const NAMED: usize = 60;

/// What to write out.
#[derive(Clone, Copy, Debug)]
pub struct ExportRequest<'a> {
    /// The sheet, prepared.
    pub prepared: &'a Prepared,
    /// The class.
    pub roster: &'a Roster,
    /// Its name.
    pub class: &'a str,
    /// The decimal mark of students for whom the roster does not say it.
    pub decimal: DecimalMark,
    /// The form of the output.
    pub form: Form,
    /// Whether there are totals of papers that are partly marked or need a look.
    pub partial: bool,
    /// Whether lines of JSON say which papers fit another student's numbers.
    pub for_teacher: bool,
    /// Codes that stand for the students, in another order; only of a file of marks.
    pub pseudonyms: Option<&'a Pseudonyms>,
    /// Now.
    pub now: DateTime<Utc>,
}

/// Marks of a class, not written yet.
#[derive(Debug, Default)]
pub struct Export {
    /// The whole output.
    pub bytes: Vec<u8>,
    /// Counts and findings.
    pub outcome: MarkOutcome,
    accepts: Vec<NewAct>,
}

impl Export {
    /// Puts the marks into a file that appears complete or not at all. What stands at `path` is
    /// replaced only if it holds marks of the same parts.
    ///
    /// # Errors
    /// Another file that stands there, a place where none can be written.
    pub fn put(&self, request: &ExportRequest<'_>, path: &Path) -> Result<(), Failure> {
        let draft = Draft::create(path, request.form.is_ours(&request.prepared.plan))?;
        Ok(draft.put(&self.bytes)?)
    }

    /// Keeps in the record what was proposed, as the marks are taken.
    ///
    /// # Errors
    /// A busy or failing record.
    pub fn accept(&self, record: &mut Record) -> Result<(), Failure> {
        record.append(&self.accepts)?;
        Ok(())
    }
}

/// Looks whether marks may be put there, before the answers go into the record: whoever has no row in them counts
/// as absent from then on.
///
/// # Errors
/// Another file that stands there, a place where none can be written.
pub fn may_export(request: &ExportRequest<'_>, path: &Path) -> Result<(), Failure> {
    Draft::create(path, request.form.is_ours(&request.prepared.plan))?;
    Ok(())
}

/// Marks the class as it stands in the record.
///
/// # Errors
/// A class without papers, papers that today's file cannot solve, marks that would move.
pub fn export(request: &ExportRequest<'_>, record: &Record) -> Result<Export, Failure> {
    let plan = &request.prepared.plan;
    let mut bytes = Vec::new();
    request.form.push_heading(plan, &mut bytes);
    let walked = match request.pseudonyms {
        None => each(request, record, &mut |row, _| {
            row.push(request.form, &mut bytes)
        })?,
        // Under codes rows stand in another order than the roster's.
        Some(drawn) => {
            let mut rows: Vec<Vec<u8>> = Vec::with_capacity(request.roster.len());
            let walked = each(request, record, &mut |row, _| {
                let mut bytes = Vec::new();
                match drawn.codes.get(rows.len()) {
                    Some(code) => row.under(code).push(request.form, &mut bytes),
                    None => row.push(request.form, &mut bytes),
                }
                rows.push(bytes);
            })?;
            let ordered = drawn.order.iter().filter_map(|at| rows.get(*at));
            ordered.for_each(|row| bytes.extend(row));
            walked
        }
    };
    let unmarked = walked.unmarked(record.name());
    let mut export = Export {
        bytes,
        accepts: walked.accepts,
        outcome: walked.outcome,
    };
    let outcome = &mut export.outcome;
    outcome.has_findings |= !unmarked.is_empty();
    outcome.findings.list.extend(unmarked);
    if request.pseudonyms.is_some() && request.roster.len() < SMALL {
        let message = format!(
            "in a class of {} marks alone may tell whose they are",
            request.roster.len()
        );
        let warning = Diagnostic::warning(request.class, Place::File, message);
        outcome
            .findings
            .list
            .push(warning.help("think twice before giving them to anybody"));
    }
    let misfit = misfit::warning(plan, &outcome.tally, Numbers::Issued, record.name());
    outcome.has_findings |= misfit.is_some();
    outcome.findings.list.extend(misfit);
    Ok(export)
}

/// What to do about students without a paper.
pub(super) const HAND_OUT: &str = "`issue` hands papers to those who have none";

/// The first of some ids, as far as a line goes.
pub(super) fn named(ids: &[impl Borrow<str>]) -> String {
    let mut line = String::new();
    for (at, id) in ids.iter().enumerate() {
        let id = excerpt(id.borrow(), NAMED);
        if at > 0 && width(&line) + 2 + width(&id) > NAMED {
            return format!("{line} and {} more", ids.len() - at);
        }
        line += if at > 0 { ", " } else { "" };
        line += &id;
    }
    line
}
