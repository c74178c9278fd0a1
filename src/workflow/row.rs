//! One student's row of marks, in either form.
//!
//! In: a marked paper with what the teacher made of it. Out: a row of CSV or a line of JSON.

use rust_decimal::Decimal;

use crate::gradebook::{lines, marks};
use crate::marking::{Key, Marked, Status};
use crate::plan::Plan;
use crate::roster::Student;

use super::Form;

/// What a student's row says.
pub(super) struct Row<'a> {
    pub(super) plan: &'a Plan,
    pub(super) student: Student<'a>,
    pub(super) key: &'a Key,
    pub(super) marked: &'a Marked,
    /// How far the paper is, and what it comes to, with the teacher's word.
    pub(super) status: Status,
    pub(super) adjusted: Decimal,
    pub(super) total: Decimal,
    pub(super) feedback: &'a str,
    /// Whether there is a total while the paper is not fully marked.
    pub(super) partial: bool,
}

impl Row<'_> {
    /// Appends the row; `points` is room to work in, `entry` gives what stood in the place for a part.
    pub(super) fn push<'e>(
        &'e self,
        form: Form,
        entry: &dyn Fn(usize) -> &'e str,
        points: &mut Vec<Option<Decimal>>,
        out: &mut Vec<u8>,
    ) {
        let Self {
            plan,
            student,
            marked,
            ..
        } = *self;
        if form == Form::JsonLines {
            let account = lines::Account {
                status: self.status,
                adjusted: self.adjusted,
                total: self.total,
            };
            lines::push(plan, self.key, &student, marked, &account, entry, self.feedback, out);
            return;
        }
        let is_there = !marked.parts.is_empty();
        let some = |points| is_there.then_some(points);
        let whole = self.status == Status::Marked || self.partial;
        points.clear();
        points.extend(marked.parts.iter().map(|part| Some(part.points)));
        points.resize(plan.parts.len(), None);
        marks::push_row(
            &marks::MarksRow {
                student: student.id,
                name: student.name,
                section: student.section.unwrap_or(""),
                status: self.status.name(),
                parts: points,
                paper_cost: some(marked.paper_cost),
                late: some(marked.late),
                adjusted: some(self.adjusted),
                total: some(self.total).filter(|_| whole),
                out_of: Some(marked.out_of),
                feedback: self.feedback,
            },
            out,
        );
    }
}
