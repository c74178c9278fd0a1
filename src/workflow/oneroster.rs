//! The marks of a class as OneRoster files, for the school's own system.
//!
//! In: what an export takes, days, and the roster with the ids that the school's system has for class and
//! students. Out: the files, as changes (delta), not written yet. A student of whom nothing was keyed has no
//! result; absent is "not submitted" and never 0; totals of papers that are partly marked or need a look are
//! given only when asked for.
//!
//! Refused, with what to do: a roster without these ids or with those of several classes, a session or a day
//! that is open, students without an id. No id of a class or a student is ever made up.

use std::io::Write as _;
use std::path::Path;

use chrono::{DateTime, NaiveDate, Utc};
use rust_decimal::Decimal;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use crate::diagnostic::{Diagnostic, Place};
use crate::files::{self, Draft, FileError};
use crate::gradebook::oneroster::{self, LineItem, MANIFEST, Made, Outcome, ScoreStatus};
use crate::gradebook::style::Total;
use crate::marking::Status;
use crate::record::{NewAct, Record};
use crate::roster::Sourced;
use crate::roster::oneroster::Version;
use crate::text::quoted;

use super::export::{ExportRequest, each, named};
use super::kept::Kept;
use super::marked::misfit::{self, Numbers};
use super::{Failure, Findings};

/// All that an export of ours may hold.
const KNOWN: [&str; 4] = ["categories.csv", "lineItems.csv", "results.csv", MANIFEST];

/// What to write, and what only the teacher can say of it.
#[derive(Clone, Copy)]
pub struct OneRosterRequest<'a> {
    /// The class and its papers.
    pub export: &'a ExportRequest<'a>,
    /// The file of the roster, for messages.
    pub roster_name: &'a str,
    /// The version of the standard.
    pub version: Version,
    /// The kind of work.
    pub category: &'a str,
    /// The day it was handed out; else that of the first paper.
    pub assigned: Option<NaiveDate>,
    /// The day it was due; else as the record says.
    pub due: Option<NaiveDate>,
    /// The academic session; else the one of the class.
    pub session: Option<&'a str>,
    /// The day of the scores.
    pub today: NaiveDate,
    /// The day of a moment by the teacher's calendar.
    pub day_of: &'a dyn Fn(DateTime<Utc>) -> NaiveDate,
}

/// Files that are ready to be put somewhere.
#[derive(Debug)]
pub struct OneRoster {
    /// How many results there are.
    pub results: usize,
    /// What to tell the teacher.
    pub findings: Findings,
    /// Whether something is left to settle.
    pub has_findings: bool,
    files: Vec<(&'static str, Vec<u8>)>,
    accepts: Vec<NewAct>,
}

impl OneRoster {
    /// Keeps in the record what was proposed, as the marks are taken, then puts the files at `path`: in a zip
    /// if it ends in `.zip`, else in a folder. What stands there is replaced as a whole if it is ours.
    ///
    /// # Errors
    /// A busy record, something else that stands there, a place where nothing can be written.
    pub fn put(&self, path: &Path, record: &mut Record) -> Result<(), Failure> {
        let is_zip = path
            .extension()
            .is_some_and(|ending| ending.eq_ignore_ascii_case("zip"));
        let draft = if is_zip {
            // Stored as they are, so the mark can be found in the file.
            Some(Draft::create_holding(path, oneroster::mark())?)
        } else {
            None
        };
        record.append(&self.accepts)?;
        let Some(draft) = draft else {
            return Ok(files::put_folder(
                path,
                &self.files,
                &KNOWN,
                (MANIFEST, oneroster::is_ours),
            )?);
        };
        let bytes = self
            .zipped()
            .map_err(|error| FileError::from_io(draft.name(), &std::io::Error::other(error)))?;
        Ok(draft.put(&bytes)?)
    }

    /// The files in one, without the time of day, so that the same marks make the same bytes.
    fn zipped(&self) -> zip::result::ZipResult<Vec<u8>> {
        let mut zip = ZipWriter::new(std::io::Cursor::new(Vec::new()));
        let plain = SimpleFileOptions::default()
            .compression_method(CompressionMethod::Stored)
            .last_modified_time(zip::DateTime::default())
            .unix_permissions(0o600);
        for (name, bytes) in &self.files {
            zip.start_file(*name, plain)?;
            zip.write_all(bytes)?;
        }
        Ok(zip.finish()?.into_inner())
    }
}

/// Makes the files.
///
/// # Errors
/// As this module says, and whatever an export refuses.
pub fn oneroster(request: &OneRosterRequest<'_>, record: &Record) -> Result<OneRoster, Failure> {
    let class = request.export;
    let plan = &class.prepared.plan;
    let fault = |list| Failure::input(list, class.prepared.sources.clone());
    let ids = Ids::of(request).map_err(&fault)?;
    let days = days(request, record)?;
    let out_of = plan.sheet.points();
    let mut totals: Vec<Total> = Vec::with_capacity(class.roster.len());
    let walked = each(class, record, &mut |_, total| totals.push(*total))?;
    let unmarked = walked.unmarked(record.name());
    let mut findings = walked.outcome.findings;
    let mut outcomes = Vec::new();
    let (mut without_id, mut without_score) = (Vec::new(), 0);
    for (place, (student, total)) in class.roster.iter().zip(&totals).enumerate() {
        if matches!(total.status, Status::NotKeyed | Status::NoPaper) {
            continue;
        }
        if total.out_of != out_of {
            let message = format!(
                "the paper of {} is out of {}, not {out_of} as the others",
                student.id, total.out_of
            );
            let error = Diagnostic::error(record.name(), Place::File, message);
            return Err(fault(vec![error]));
        }
        let sourced = ids.sourced.student(place);
        if sourced.is_empty() {
            without_id.push(student.id.to_owned());
            continue;
        }
        let (status, score) = outcome(total, class.partial);
        without_score += usize::from(score.is_none());
        outcomes.push(Outcome {
            student: sourced,
            status,
            score,
        });
    }
    if !without_id.is_empty() {
        let message = format!("students without a `sourced_id`: {}", named(&without_id));
        let error = Diagnostic::error(request.roster_name, Place::File, message);
        return Err(fault(vec![
            error.help("write it into the roster, as the school's system has it"),
        ]));
    }
    let mut has_findings = !unmarked.is_empty();
    findings.list.extend(unmarked);
    if request.version == Version::V1p1 && without_score > 0 {
        let message =
            format!("version 1.1 knows no result without a score: {without_score} are left out");
        let note = Diagnostic::note(record.name(), Place::File, message);
        findings.list.push(note.help(
            "those who were absent or excused, or whose papers are not settled; a score of theirs that was \
             sent before still stands at the school, to be taken out there",
        ));
        outcomes.retain(|outcome| outcome.score.is_some());
    }
    let misfit = misfit::warning(plan, &walked.outcome.tally, Numbers::Issued, record.name());
    has_findings |= misfit.is_some();
    findings.list.extend(misfit);
    let item = LineItem {
        code: &plan.sheet.code,
        title: &plan.sheet.title,
        category: request.category,
        assigned: days.0,
        due: days.1,
        class: ids.class,
        school: ids.school,
        session: ids.session,
        out_of,
    };
    let made = Made {
        on: request.today,
        at: class.now,
    };
    Ok(OneRoster {
        results: outcomes.len(),
        files: oneroster::files(request.version, &item, &outcomes, made),
        findings,
        has_findings,
        accepts: walked.accepts,
    })
}

/// How far a student's work is, and the score where it may be told.
fn outcome(total: &Total, partial: bool) -> (ScoreStatus, Option<Decimal>) {
    match total.status {
        Status::Absent => (ScoreStatus::NotSubmitted, None),
        Status::Excused => (ScoreStatus::Exempt, None),
        Status::Marked => (ScoreStatus::FullyGraded, Some(total.total)),
        Status::PartlyMarked | Status::NeedsALook if partial => {
            (ScoreStatus::PartiallyGraded, Some(total.total))
        }
        Status::PartlyMarked | Status::NeedsALook => (ScoreStatus::Submitted, None),
        // Nothing is told of these.
        Status::NotKeyed | Status::NoPaper => (ScoreStatus::NotSubmitted, None),
    }
}

/// The ids that the school's system has.
struct Ids<'a> {
    sourced: &'a Sourced,
    class: &'a str,
    school: &'a str,
    session: &'a str,
}

impl<'a> Ids<'a> {
    fn of(request: &OneRosterRequest<'a>) -> Result<Self, Vec<Diagnostic>> {
        let refused = |message: String, help: &str| {
            Diagnostic::error(request.roster_name, Place::File, message).help(help)
        };
        let Some(sourced) = request.export.roster.sourced() else {
            return Err(vec![refused(
                "the roster does not say how the school's system knows class and students".into(),
                "take it from the school's OneRoster files with `roster take`, or add the columns `sourced_id`, \
                 `class_sourced_id`, `school_sourced_id` and `session_sourced_ids` to it",
            )]);
        };
        let mut faults = Vec::new();
        let mut one = |ids: &'a [String], what: &str, column: &str| match ids {
            [id] => id.as_str(),
            [] => {
                let message = format!("the roster does not say the sourcedId of {what}");
                faults.push(refused(
                    message,
                    &format!("write it into the column `{column}` of the roster"),
                ));
                ""
            }
            several => {
                let several = quoted(several.iter().map(String::as_str));
                let message = format!("the roster has several sourcedIds of {what}: {several}");
                faults.push(refused(
                    message,
                    "marks go out class by class: give each class a roster of its own",
                ));
                ""
            }
        };
        let class = one(sourced.classes(), "the class", "class_sourced_id");
        let school = if request.version == Version::V1p2 {
            one(sourced.schools(), "its school", "school_sourced_id")
        } else {
            sourced.schools().first().map_or("", String::as_str)
        };
        let session = match (request.session, sourced.sessions()) {
            (Some(session), _) => session,
            (None, [session]) => session,
            (None, sessions) => {
                let message = match sessions {
                    [] => "the roster does not say in which session (term) the class is".to_owned(),
                    _ => {
                        let sessions = quoted(sessions.iter().map(String::as_str));
                        format!("the class is taught in several sessions (terms): {sessions}")
                    }
                };
                faults.push(refused(
                    message,
                    "say in which one the work counts: --session ID",
                ));
                ""
            }
        };
        if faults.is_empty() {
            Ok(Self {
                sourced,
                class,
                school,
                session,
            })
        } else {
            Err(faults)
        }
    }
}

/// The days on which the work was handed out and due.
fn days(
    request: &OneRosterRequest<'_>,
    record: &Record,
) -> Result<(NaiveDate, NaiveDate), Failure> {
    let class = request.export;
    let kept = Kept::of_issued(record, &class.prepared.plan.sheet, class.class)?;
    let first = kept.issues.iter().filter(|issue| issue.number == 1);
    let issued = first.clone().map(|issue| (request.day_of)(issue.at)).min();
    let mut dues: Vec<NaiveDate> = first.filter_map(|issue| kept.due(issue)).collect();
    dues.sort_unstable();
    dues.dedup();
    let refused = |message: String, option: &str| {
        let error = Diagnostic::error(record.name(), Place::File, message);
        let help = format!("say it with {option} 2026-11-25");
        Err(Failure::of(error.help(help)))
    };
    let Some(assigned) = request.assigned.or(issued) else {
        return refused(
            "the record does not say when papers were handed out".into(),
            "--assigned",
        );
    };
    match (request.due, dues.as_slice()) {
        (Some(due), _) => Ok((assigned, due)),
        (None, [due]) => Ok((assigned, *due)),
        (None, []) => refused(
            "no day is set on which the papers are due, which the standard asks for".into(),
            "--due",
        ),
        (None, [first, .., last]) => refused(
            format!("papers are due on different days, from {first} to {last}"),
            "--due",
        ),
    }
}
