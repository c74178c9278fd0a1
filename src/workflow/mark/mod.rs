//! Marks a class from a file of answers.
//!
//! In: a prepared sheet, a roster, a file of answers, and where the marks go. Out: one row (or one
//! line of JSON) a student in the order of the roster, and a tally. Streaming: rows are read,
//! marked by several threads and written in their order; memory grows by a few bytes a student
//! and not with the entries. Refused before anything is written: whatever keeps the answers from
//! being read. Rows of students who are not on the roster are reported, and the rest is marked. A
//! file is replaced only if it holds marks of the same parts.

mod worker;

use std::io::{self, Write};
use std::path::Path;
use std::thread;

use chrono::NaiveDate;

use crate::answer::sheet::{Answers, Codes};
use crate::diagnosis::Classmates;
use crate::diagnostic;
use crate::files::{Draft, FileError};
use crate::roster::Roster;
use crate::text::DecimalMark;

use super::import::AnswersFile;
use super::keys::Issued;
use super::marked::classmates::OtherPaper;
use super::marked::misfit::{self, Numbers};
use super::marked::tally::Tally;
use super::paper::{PaperReader, columns};
use super::pool::{self, lost};
use super::{Failure, Findings, Form, Prepared};
use worker::{BATCH, Batch, Job, Worker, fill};

/// Students up to whom a roster is a class, whose papers lie on one desk and may be swapped there.
const LARGEST_CLASS: usize = 1000;

/// Threads that mark at most.
const MOST_THREADS: usize = 256;

/// What to mark.
#[derive(Debug)]
pub struct MarkRequest<'a> {
    /// The sheet, prepared.
    pub prepared: &'a Prepared,
    /// The class.
    pub roster: &'a Roster,
    /// The answers.
    pub answers: AnswersFile<'a>,
    /// The day papers are due; late papers lose what the scheme says.
    pub due: Option<NaiveDate>,
    /// The decimal mark of students for whom the roster does not say it.
    pub decimal: DecimalMark,
    /// The form of the output.
    pub form: Form,
    /// Whether the output holds totals of papers that are partly marked or need a look.
    pub partial: bool,
    /// Whether it is to be told which papers fit another student's numbers. That takes everybody's keys at
    /// once, so memory grows by some bytes a student and part. Beyond a thousand students it is looked
    /// at only where this asks for it, and each key is forgotten once it was used.
    pub for_teacher: bool,
    /// How many threads mark, at least one.
    pub threads: usize,
}

/// What came of it.
#[derive(Clone, Debug, Default)]
pub struct MarkOutcome {
    /// Counts over the class.
    pub tally: Tally,
    /// What was assumed, left aside or belongs to nobody.
    pub findings: Findings,
    /// Papers that fit another student's numbers, for the teacher alone.
    pub others: Vec<OtherPaper>,
    /// Whether something is left for the teacher to settle: rows that belong to nobody, points
    /// that cannot be, answers that fit nobody.
    pub has_findings: bool,
}

/// Marks the class into a file that appears complete or not at all. What stands at `path` is replaced
/// only if it holds marks of the same parts (for lines of JSON, of the same assignment).
///
/// # Errors
/// As [`mark`]; another file that stands there, a place where none can be written.
pub fn mark_into(
    path: &Path,
    request: MarkRequest<'_>,
    progress: &mut dyn FnMut(usize, usize),
) -> Result<MarkOutcome, Failure> {
    let mut draft = Draft::create(path, request.form.is_ours(&request.prepared.plan))?;
    let name = draft.name().to_owned();
    let outcome = mark(request, &mut draft, &name, progress)?;
    draft.commit()?;
    Ok(outcome)
}

/// Marks the class. `progress` is told how many of all students are done.
///
/// # Errors
/// Answers that cannot be read, a draw without a key, an output that cannot be written.
pub fn mark(
    request: MarkRequest<'_>,
    out: &mut dyn Write,
    out_name: &str,
    progress: &mut dyn FnMut(usize, usize),
) -> Result<MarkOutcome, Failure> {
    let MarkRequest {
        prepared,
        roster,
        answers: AnswersFile {
            input,
            name,
            declared,
        },
        due,
        decimal,
        form,
        partial,
        for_teacher,
        threads,
    } = request;
    let plan = &prepared.plan;
    let columns = columns(&plan.sheet);
    let input_fault = |list| Failure::input(list, prepared.sources.clone());
    // Neither needs the other: the answers are looked over while the variants are given out.
    let (answers, issued) = thread::scope(|scope| {
        let codes = Codes::default();
        let (columns, declared) = (&columns, &declared);
        let scan = move || Answers::scan_with(input, name, declared, roster, columns, &codes);
        let scan = scope.spawn(scan);
        let issued = Issued::to(prepared, roster);
        (scan.join(), issued)
    });
    let mut answers = answers.map_err(|_| lost())?.map_err(input_fault)?;
    let issued = issued?;
    let classmates = match for_teacher || roster.len() <= LARGEST_CLASS {
        true => Some(classmates(&issued, prepared, roster)?),
        false => None,
    };
    let mut outcome = MarkOutcome {
        findings: Findings {
            list: answers.findings().to_vec(),
            sources: Vec::new(),
        },
        has_findings: answers.leave_open() || roster.understood().seem_answers,
        ..MarkOutcome::default()
    };
    let job = Job {
        prepared,
        plan,
        roster,
        issued: &issued,
        reader: PaperReader::new(plan, due, decimal),
        form,
        partial,
        answers: name,
        mistakes: (form == Form::JsonLines).then(|| prepared.mistakes()),
        classmates,
        for_teacher,
    };
    let write_fault = |error: io::Error| Failure::from(FileError::from_io(out_name, &error));
    let mut heading = Vec::new();
    form.push_heading(plan, &mut heading);
    out.write_all(&heading).map_err(write_fault)?;
    let mut reader = answers
        .reader()
        .map_err(|fault| input_fault(vec![*fault]))?;
    let mut faults = diagnostic::Findings::new(name);
    let students = roster.len();
    pool::in_order(
        students.div_ceil(BATCH),
        threads.clamp(1, MOST_THREADS),
        &|| {
            let mut worker = Worker::new(&job);
            move |batch: &mut Batch| worker.batch(batch)
        },
        &mut |number, batch| {
            fill(batch, number, students, &mut |student, entries| {
                reader
                    .read(student, entries)
                    .map_err(|fault| input_fault(vec![*fault]))
            })
        },
        &mut |batch| {
            out.write_all(&batch.out).map_err(write_fault)?;
            outcome.tally.join(std::mem::take(&mut batch.tally));
            outcome.others.append(&mut batch.others);
            if let Some(error) = batch.error.take() {
                return Err(input_fault(vec![error]));
            }
            batch.faults.drain(..).for_each(|fault| faults.push(fault));
            progress(outcome.tally.students, students);
            Ok(())
        },
    )?;
    let faults = faults.into_vec();
    outcome.has_findings |= !faults.is_empty();
    outcome.findings.list.extend(faults);
    let misfit = misfit::warning(plan, &outcome.tally, Numbers::Drawn, name);
    outcome.has_findings |= misfit.is_some();
    outcome.findings.list.extend(misfit);
    Ok(outcome)
}

/// The keys of the whole roster.
fn classmates(
    issued: &Issued<'_>,
    prepared: &Prepared,
    roster: &Roster,
) -> Result<Classmates, Failure> {
    let mut all = Classmates::new(&prepared.plan);
    let mut keys = issued.keys();
    for (at, student) in roster.iter().enumerate() {
        let key = keys.of(at, student.id);
        let key = key.map_err(|fault| Failure::input(vec![fault], prepared.sources.clone()))?;
        all.add(&prepared.plan, key);
    }
    all.sort();
    Ok(all)
}
