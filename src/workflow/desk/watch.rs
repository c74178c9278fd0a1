//! What others write to the record while a stack lies on the desk: `adjust` or `attend` on the command
//! line, another desk.
//!
//! In: an open record, a sheet and a class. Out: the acts and papers that came since the last look, and
//! when papers are due now. What the desk wrote itself may be among them: the stack knows it already.

use crate::record::{Act, ActId, Dues, Issue, IssueId, Record, RecordError};

use super::super::Kept;

/// How much of a stack is known.
#[derive(Clone, Debug)]
pub struct Watch {
    sheet: String,
    class: String,
    act: ActId,
    issue: IssueId,
}

/// What came.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct News {
    /// Acts about papers of the sheet, in their order.
    pub acts: Vec<Act>,
    /// Papers of the class, in the order in which they were issued.
    pub issues: Vec<Issue>,
    /// When papers of the sheet are due.
    pub dues: Dues,
}

impl Watch {
    /// Watches a stack of which this much was read.
    pub fn of(kept: &Kept, sheet: &str, class: &str) -> Self {
        Self {
            sheet: sheet.to_owned(),
            class: class.to_owned(),
            act: kept.acts.last().map_or(ActId(0), |act| act.id),
            issue: kept.issues.last().map_or(IssueId(0), |issue| issue.id),
        }
    }

    /// What came since.
    ///
    /// # Errors
    /// A record that cannot be read; then nothing is passed over by the next look.
    pub fn look(&mut self, record: &Record) -> Result<News, RecordError> {
        // Acts first: a paper is there before anything is done to it.
        let mut acts = record.acts_after(&self.sheet, self.act)?;
        let mut issues = record.issues(&self.sheet)?;
        let dues = record.dues(&self.sheet)?;
        issues.retain(|issue| issue.class == self.class && issue.id > self.issue);
        if !issues.is_empty() {
            // What was done to these may be older than the last act known of the others.
            acts = record.acts(&self.sheet)?;
        }
        self.act = acts.last().map_or(self.act, |act| act.id.max(self.act));
        self.issue = issues.last().map_or(self.issue, |issue| issue.id);
        Ok(News { acts, issues, dues })
    }
}
