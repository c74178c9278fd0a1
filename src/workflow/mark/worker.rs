//! One thread's work on a class: consecutive students read, marked, and written in their form.
//!
//! In: what all threads share, a batch of students with their entries. Out: the batch with what is written for
//! them, its tally, papers that fit another's numbers, faults. What cannot be marked ends the batch there.

use rust_decimal::Decimal;

use crate::answer::sheet::StudentEntries;
use crate::diagnosis::{Classmates, Mistakes};
use crate::diagnostic::Diagnostic;
use crate::feedback;
use crate::gradebook::{lines, marks};
use crate::marking::{Attendance, Marker, Paper, Status};
use crate::plan::Plan;
use crate::roster::Roster;

use super::super::import;
use super::super::keys::{Issued, Keys};
use super::super::marked::classmates::{self, OtherPaper};
use super::super::marked::diagnosed;
use super::super::marked::tally::Tally;
use super::super::paper::PaperReader;
use super::super::{Failure, Form, Prepared};

/// Students in one piece of work for a thread.
pub(super) const BATCH: usize = 256;

/// What all threads share.
#[derive(Debug)]
pub(super) struct Job<'a> {
    pub(super) prepared: &'a Prepared,
    pub(super) plan: &'a Plan,
    pub(super) roster: &'a Roster,
    pub(super) issued: &'a Issued<'a>,
    pub(super) reader: PaperReader<'a>,
    pub(super) form: Form,
    pub(super) partial: bool,
    pub(super) answers: &'a str,
    /// Told in lines of JSON alone.
    pub(super) mistakes: Option<&'a Mistakes>,
    /// Everybody's keys, where it is looked at which papers fit another's, and whether that is told.
    pub(super) classmates: Option<Classmates>,
    pub(super) for_teacher: bool,
}

/// Consecutive students on their way through a thread.
#[derive(Debug, Default)]
pub(super) struct Batch {
    /// The first of them, and how many.
    first: usize,
    count: usize,
    /// Their entries; `present` says whether there is a row.
    entries: Vec<StudentEntries>,
    present: Vec<bool>,
    /// What is written for them.
    pub(super) out: Vec<u8>,
    pub(super) tally: Tally,
    pub(super) others: Vec<OtherPaper>,
    pub(super) faults: Vec<Diagnostic>,
    pub(super) error: Option<Diagnostic>,
}

pub(super) fn fill(
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
pub(super) struct Worker<'a> {
    job: &'a Job<'a>,
    marker: Marker<'a>,
    keys: Keys<'a, 'a>,
    paper: Paper,
    faults: Vec<String>,
    feedback: String,
    points: Vec<Option<Decimal>>,
}

impl<'a> Worker<'a> {
    pub(super) fn new(job: &'a Job<'a>) -> Self {
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

    pub(super) fn batch(&mut self, batch: &mut Batch) {
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
