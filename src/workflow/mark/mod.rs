//! Marks a class from a file of answers.
//!
//! In: a prepared sheet, a roster, a file of answers, and where the marks go. Out: one row (or one
//! line of JSON) a student in the order of the roster, and a tally. Streaming: rows are read,
//! marked by several threads and written in their order; memory grows by a few bytes a student
//! and not with the entries. Refused before anything is written: whatever keeps the answers from
//! being read. Rows of students who are not on the roster are reported, and the rest is marked. A
//! file is replaced only if it holds marks of the same parts.

use std::io::{self, Write};
use std::path::Path;
use std::thread;

use chrono::NaiveDate;
use rust_decimal::Decimal;

use crate::answer::sheet::{Answers, Codes, StudentEntries};
use crate::diagnosis::{Classmates, Mistakes};
use crate::diagnostic::{self, Diagnostic};
use crate::feedback;
use crate::files::{Draft, FileError};
use crate::gradebook::{lines, mailing, marks};
use crate::marking::{Attendance, Marker, Paper, Status};
use crate::plan::Plan;
use crate::roster::Roster;
use crate::text::DecimalMark;

use super::import::{self, AnswersFile};
use super::keys::{Issued, Keys};
use super::marked::classmates::{self, OtherPaper};
use super::marked::diagnosed;
use super::marked::misfit::{self, Numbers};
use super::marked::tally::Tally;
use super::paper::{PaperReader, columns};
use super::pool::{self, lost};
use super::{Failure, Findings, Prepared};

/// Students in one piece of work for a thread.
const BATCH: usize = 256;

/// Students up to whom a roster is a class, whose papers lie on one desk and may be swapped there.
const LARGEST_CLASS: usize = 1000;

/// Threads that mark at most.
const MOST_THREADS: usize = 256;

/// In which form marks are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// The CSV file of marks.
    Csv,
    /// One JSON object a line.
    JsonLines,
    /// The CSV file of feedback, for a mail merge.
    Letters,
}

impl Form {
    /// Appends the heading, where the form has one.
    pub(super) fn push_heading(self, plan: &Plan, out: &mut Vec<u8>) {
        match self {
            Self::Csv => marks::push_heading(plan.parts.iter().map(|part| part.id.as_str()), out),
            Self::Letters => mailing::push_heading(out),
            Self::JsonLines => {}
        }
    }

    /// Appends a row of CSV.
    pub(super) fn push_row(self, row: &marks::MarksRow<'_>, out: &mut Vec<u8>) {
        if self == Self::Letters {
            mailing::push_row(row, out);
        } else {
            marks::push_row(row, out);
        }
    }
}

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
    let mut draft = Draft::create(path, is_ours(&request.prepared.plan, request.form))?;
    let name = draft.name().to_owned();
    let outcome = mark(request, &mut draft, &name, progress)?;
    draft.commit()?;
    Ok(outcome)
}

/// Tells by its first line whether a file holds marks of this plan in this form.
pub(super) fn is_ours(plan: &Plan, form: Form) -> impl Fn(&[u8]) -> bool + 'static {
    let parts: Vec<String> = plan.parts.iter().map(|part| part.id.clone()).collect();
    let code = plan.sheet.code.clone();
    move |line| match form {
        Form::Csv => marks::is_heading_of(parts.iter().map(String::as_str), line),
        Form::JsonLines => lines::is_line_of(&code, line),
        Form::Letters => mailing::is_heading(line),
    }
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

/// What all threads share.
#[derive(Debug)]
struct Job<'a> {
    prepared: &'a Prepared,
    plan: &'a Plan,
    roster: &'a Roster,
    issued: &'a Issued<'a>,
    reader: PaperReader<'a>,
    form: Form,
    partial: bool,
    answers: &'a str,
    /// Told in lines of JSON alone.
    mistakes: Option<&'a Mistakes>,
    /// Everybody's keys, where it is looked at which papers fit another's, and whether that is told.
    classmates: Option<Classmates>,
    for_teacher: bool,
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

/// Consecutive students on their way through a thread.
#[derive(Debug, Default)]
struct Batch {
    /// The first of them, and how many.
    first: usize,
    count: usize,
    /// Their entries; `present` says whether there is a row.
    entries: Vec<StudentEntries>,
    present: Vec<bool>,
    /// What is written for them.
    out: Vec<u8>,
    tally: Tally,
    others: Vec<OtherPaper>,
    faults: Vec<Diagnostic>,
    error: Option<Diagnostic>,
}

fn fill(
    batch: &mut Batch,
    number: usize,
    students: usize,
    read: &mut dyn FnMut(usize, &mut StudentEntries) -> Result<bool, Failure>,
) -> Result<(), Failure> {
    batch.first = number * BATCH;
    batch.count = BATCH.min(students - batch.first);
    batch.entries.resize_with(
        batch.count.max(batch.entries.len()),
        StudentEntries::default,
    );
    batch.present.clear();
    for at in 0..batch.count {
        batch
            .present
            .push(read(batch.first + at, &mut batch.entries[at])?);
    }
    Ok(())
}

/// One thread's working memory.
struct Worker<'a> {
    job: &'a Job<'a>,
    marker: Marker<'a>,
    keys: Keys<'a, 'a>,
    paper: Paper,
    faults: Vec<String>,
    feedback: String,
    points: Vec<Option<Decimal>>,
}

impl<'a> Worker<'a> {
    fn new(job: &'a Job<'a>) -> Self {
        Self {
            job,
            marker: Marker::new(job.plan),
            keys: job.issued.keys(),
            paper: Paper::default(),
            faults: Vec::new(),
            feedback: String::new(),
            points: Vec::new(),
        }
    }

    fn batch(&mut self, batch: &mut Batch) {
        batch.out.clear();
        for at in 0..batch.count {
            let entries = batch.present[at].then_some(&batch.entries[at]);
            let student = batch.first + at;
            let into = (&mut batch.out, &mut batch.tally, &mut batch.others);
            if let Err(error) = self.student(student, entries, into) {
                batch.error.get_or_insert(error);
                return;
            }
            let Some(entries) = entries else {
                continue;
            };
            let id = self.job.roster.id(student);
            let faults = self.faults.drain(..);
            let faults = faults.map(|why| import::not_keyed(self.job.answers, id, entries, &why));
            batch.faults.extend(faults);
        }
    }

    fn student(
        &mut self,
        at: usize,
        entries: Option<&StudentEntries>,
        (out, tally, others): (&mut Vec<u8>, &mut Tally, &mut Vec<OtherPaper>),
    ) -> Result<(), Diagnostic> {
        let job = self.job;
        let student = job.roster.get(at).unwrap_or_default();
        match entries {
            Some(entries) => {
                job.reader
                    .fill(entries, student.decimal, &mut self.paper, &mut self.faults);
            }
            None => self.paper.attendance = Attendance::Absent,
        }
        if self.paper.attendance == Attendance::Present {
            self.keys.of(at, student.id)?;
        }
        let papers = (self.keys.last(), &self.paper);
        let mistakes = || job.prepared.mistakes();
        let mut marked = diagnosed::mark(job.plan, &mistakes, &mut self.marker, papers);
        let first = others.len();
        if let Some(all) = &job.classmates {
            let papers = (self.keys.last(), &self.paper);
            let marker = &mut self.marker;
            let fits = classmates::note(job.plan, (all, at), marker, papers, &mut marked);
            others.extend(fits.into_iter().map(|fit| OtherPaper {
                student: at,
                other: Some(fit.paper),
                fit,
            }));
        }
        let points = marked.parts.iter().map(|part| part.points);
        tally.add(at, &marked, points, (marked.status, marked.total));
        self.feedback.clear();
        feedback::paper(job.plan, self.keys.last(), &marked, &mut self.feedback);
        let is_there = self.paper.attendance == Attendance::Present;
        let some = |points| is_there.then_some(points);
        let whole = marked.status == Status::Marked || job.partial;
        let adjusted = some(Decimal::ZERO);
        let total = some(marked.total).filter(|_| whole);
        self.points.clear();
        self.points.extend(
            marked
                .parts
                .iter()
                .map(|mark| marks::points(mark, marked.status)),
        );
        self.points.resize(job.plan.parts.len(), None);
        match job.form {
            Form::Csv | Form::Letters => {
                job.form.push_row(
                    &marks::MarksRow {
                        student: student.id,
                        name: student.name,
                        section: student.section.unwrap_or(""),
                        status: marked.status.name(),
                        parts: &self.points,
                        paper_cost: some(marked.paper_cost),
                        late: some(marked.late),
                        adjusted,
                        total,
                        out_of: Some(marked.out_of),
                        feedback: &self.feedback,
                    },
                    out,
                );
            }
            Form::JsonLines => {
                let papers = (self.keys.last(), &self.paper);
                let causes = job.mistakes.map_or_else(Vec::new, |mistakes| {
                    diagnosed::causes(job.plan, mistakes, &mut self.marker, papers, &marked)
                });
                let entry = |part| entries.map_or("", |entries| entries.entry(part));
                let fits = classmates::lines(job.plan, job.roster, &others[first..]);
                let paper = lines::LinePaper {
                    plan: job.plan,
                    key: self.keys.last(),
                    student,
                    marked: &marked,
                    told: &marked,
                    status: marked.status,
                    points: &self.points,
                    adjusted,
                    total,
                    feedback: &self.feedback,
                    is_own: false,
                    causes: &causes,
                    fits: job.for_teacher.then_some(&fits[..]),
                };
                lines::push(&paper, &entry, out);
            }
        }
        Ok(())
    }
}
