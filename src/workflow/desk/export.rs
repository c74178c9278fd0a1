//! The marks of a stack, taken from its record.
//!
//! In: the stack and where the marks go. Out: work for the thread that owns the record, done after
//! all that waits to be saved; or a column of a gradebook, filled in the same way. The marks are those of
//! [`workflow::export`](super::super::export),
//! which also keeps what was proposed; no mark is reckoned here.

use std::path::PathBuf;
use std::sync::Arc;

use chrono::{DateTime, Utc};

use crate::diagnostic::Diagnostic;
use crate::record::Record;

use super::super::{ExportRequest, Failure, FillRequest, Form, export, filling};
use super::Stack;

impl Stack {
    /// Writes the marks to the file at `path`, once it is given the record. Gives what was found on the way,
    /// such as students who count as absent since nothing was keyed of them.
    pub fn export(
        &self,
        path: PathBuf,
        now: DateTime<Utc>,
    ) -> impl FnOnce(&mut Record) -> Result<Vec<Diagnostic>, Failure> + Send + 'static {
        self.with_request(now, move |request, record| {
            let export = export(request, record)?;
            export.accept(record)?;
            export.put(request, &path)?;
            Ok(export.outcome.findings.list)
        })
    }

    /// Fills the sheet's column of a gradebook that is kept elsewhere, as is said and else the settings in the
    /// course folder say, once it is given the record. Gives what was done in words, and what was found on the way. Cells that
    /// hold something else are refused as on the command line, where they can be looked at one by one.
    pub fn fill(
        &self,
        wanted: FillRequest,
        now: DateTime<Utc>,
    ) -> impl FnOnce(&mut Record) -> Result<(String, Vec<Diagnostic>), Failure> + Send + 'static
    {
        self.with_request(now, move |request, record| {
            let filling = filling(request, wanted, record)?;
            filling.write(request, record)?;
            Ok((filling.words("filled"), filling.findings.list))
        })
    }

    /// What is done with the marks of this stack, once the record is there.
    fn with_request<T>(
        &self,
        now: DateTime<Utc>,
        act: impl FnOnce(&ExportRequest<'_>, &mut Record) -> Result<T, Failure> + Send + 'static,
    ) -> impl FnOnce(&mut Record) -> Result<T, Failure> + Send + 'static {
        let prepared = Arc::clone(&self.prepared);
        let roster = Arc::clone(&self.roster);
        let (class, decimal) = (self.class.clone(), self.decimal);
        move |record| {
            let request = ExportRequest {
                prepared: &prepared,
                roster: &roster,
                class: &class,
                decimal,
                form: Form::Csv,
                for_teacher: false,
                partial: false,
                pseudonyms: None,
                now,
            };
            act(&request, record)
        }
    }
}
