//! One student's row of marks from the record, in either form.
//!
//! In: a marked paper with what the teacher made of it. Out: a row of CSV, of either file, or a line of JSON.

use rust_decimal::Decimal;

use crate::gradebook::{lines, marks};
use crate::marking::{Explanation, Key, Marked, Status, Verdict};
use crate::plan::{PaperPart, Plan};
use crate::record::{Account, Keyed, Standing};
use crate::roster::Student;

use super::super::Form;

/// What a student's row says.
#[derive(Clone, Copy)]
pub(in crate::workflow) struct Row<'a> {
    pub(in crate::workflow) plan: &'a Plan,
    pub(in crate::workflow) student: Student<'a>,
    pub(in crate::workflow) key: &'a Key,
    pub(in crate::workflow) marked: &'a Marked,
    /// The paper as the student is told of it.
    pub(in crate::workflow) told: &'a Marked,
    pub(in crate::workflow) account: &'a Account,
    pub(in crate::workflow) standing: &'a Standing,
    pub(in crate::workflow) feedback: &'a str,
    /// What may have been done; told in lines of JSON alone.
    pub(in crate::workflow) causes: &'a [Explanation],
    /// Other papers that its wrong answers fit; nothing where that was not asked for.
    pub(in crate::workflow) fits: Option<&'a [lines::FitsOther<'a>]>,
    /// Whether there is a total while the paper is not fully marked.
    pub(in crate::workflow) partial: bool,
}

/// What stands in the place for each part, as a file of answers has it.
pub(in crate::workflow) fn cells(plan: &Plan, standing: &Standing) -> Vec<String> {
    let cell = |(at, place): (usize, &PaperPart)| {
        if plan.is_by_eye(at) {
            let points = standing.working(&place.id);
            return points.map_or(String::new(), |points| points.to_string());
        }
        let entry = standing.entry(&place.id);
        entry.map_or("", Keyed::as_entry).to_owned()
    };
    plan.parts.iter().enumerate().map(cell).collect()
}

impl Row<'_> {
    /// The same row under a code: nothing in it tells who it is about but the marks themselves. Feedback
    /// quotes the student's own numbers, and is left out.
    pub(in crate::workflow) fn under<'c>(&'c self, code: &'c str) -> Row<'c> {
        Row {
            student: Student {
                id: code,
                ..Student::default()
            },
            feedback: "",
            fits: None,
            ..*self
        }
    }

    /// Appends the row.
    pub(in crate::workflow) fn push(&self, form: Form, out: &mut Vec<u8>) {
        let Self {
            plan,
            marked,
            account,
            student,
            ..
        } = *self;
        let is_there = !marked.parts.is_empty();
        let some = |points| is_there.then_some(points);
        let whole = account.status == Status::Marked || self.partial;
        // A part of which nothing was keyed yet has no points, which is not 0.
        let parts = plan.parts.iter().zip(&marked.parts);
        let mut points: Vec<Option<Decimal>> = parts
            .map(|(place, mark)| {
                let is_keyed = self.standing.entry(&place.id).is_some();
                let is_by_eye = mark.verdict == Verdict::ByEye;
                marks::points(mark, account.status).filter(|_| is_keyed || is_by_eye)
            })
            .collect();
        points.resize(plan.parts.len(), None);
        if form == Form::JsonLines {
            let cells: Vec<String> = cells(plan, self.standing);
            let entry = |part: usize| cells.get(part).map_or("", String::as_str);
            let paper = lines::LinePaper {
                plan,
                key: self.key,
                student,
                marked,
                told: self.told,
                status: account.status,
                points: &points,
                adjusted: some(account.adjusted),
                total: some(account.total).filter(|_| whole),
                feedback: self.feedback,
                is_own: self.standing.message.is_some(),
                causes: self.causes,
                fits: self.fits,
            };
            lines::push(&paper, &entry, out);
            return;
        }
        let is_open = matches!(account.status, Status::PartlyMarked | Status::NeedsALook);
        let is_told = !form.is_for_students() || self.partial || !is_open;
        form.push_row(
            &marks::MarksRow {
                student: student.id,
                name: student.name,
                section: student.section.unwrap_or(""),
                status: account.status.name(),
                parts: &points,
                paper_cost: some(marked.paper_cost),
                late: some(marked.late),
                adjusted: some(account.adjusted),
                total: some(account.total).filter(|_| whole),
                out_of: Some(marked.out_of),
                feedback: if is_told { self.feedback } else { "" },
            },
            out,
        );
    }
}
