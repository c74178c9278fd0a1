//! How the class of a stack did.
//!
//! In: the stack. Out: work for the thread that owns the record, done after all that waits to be saved.
//! The report is that of [`workflow::report`](super::super::report).

use std::sync::Arc;

use crate::record::Record;
use crate::statistics::ClassReport;

use super::super::{Failure, ReportRequest, report};
use super::Stack;

impl Stack {
    /// Reports on the class, once it is given the record.
    pub fn report(
        &self,
    ) -> impl FnOnce(&mut Record) -> Result<ClassReport, Failure> + Send + 'static {
        let prepared = Arc::clone(&self.prepared);
        let roster = Arc::clone(&self.roster);
        let (class, decimal) = (self.class.clone(), self.decimal);
        move |record| {
            let request = ReportRequest {
                prepared: &prepared,
                class: &class,
                roster: &roster,
                decimal,
            };
            report(&request, record)
        }
    }
}
