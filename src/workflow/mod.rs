//! The acts of a teacher, one function each: `new`, `check`, `mark` answers, `explain` a mark.
//!
//! In: paths and options as the shells understood them. Out: what was found or written. This is
//! where the pure stages are run in turn and files are opened; the shells hold no rules, and the
//! stages open no files.

mod adjust;
mod attend;
mod check;
pub mod desk;
mod difference;
mod drawn;
mod explain;
mod export;
mod feedback;
mod figures;
mod fill;
mod form;
mod fresh;
mod import;
mod issue;
mod kept;
mod keys;
mod load;
mod mark;
mod marked;
mod new;
mod offer;
mod oneroster;
mod owed;
mod paper;
mod papers;
mod place;
mod pool;
mod practice;
mod practice_files;
mod prepare;
mod print;
mod remark;
mod report;
mod roster;
mod seen;
mod term;
mod told;
mod tour;

use std::sync::Arc;

use crate::diagnostic::{Diagnostic, Source};
use crate::files::FileError;
use crate::record::RecordError;

pub use adjust::{AdjustRequest, Adjusted, Word, adjust};
pub use attend::{Attended, Note, Whom, attend, set_due};
pub use check::{Checked, check};
pub use drawn::key_of;
pub use explain::{ExplainRequest, Explained, explain};
pub use export::{Export, ExportRequest, enter, export, may_export};
pub use feedback::{FeedbackRequest, Slips, slips};
pub use figures::{Figures, figures};
pub use fill::{FillRequest, Filling, Others, course_settings, filling};
pub use form::Form;
pub use import::AnswersFile;
pub use issue::{Again, IssueOutcome, IssueRequest, issue, reissue};
pub use kept::{Kept, classes, filed};
pub use keys::{Issued, Keys};
pub use load::{Loaded, known_roster, load, roster};
pub use mark::{MarkOutcome, MarkRequest, mark, mark_into};
pub use marked::classmates::{OtherPaper, for_teacher};
pub use marked::tally::{PartTally, Tally};
pub use new::{Ask, Begun, NewRequest, new_by_form, new_from_shelf};
pub use offer::Offer;
pub use oneroster::{OneRoster, OneRosterRequest, oneroster};
pub use owed::{Owed, owed};
pub use papers::{PaperFiles, begin_pdf_or_fail, issued_rows, put_pdf, still_issued};
pub use place::{class_of, course_folder, no_course, record_beside};
pub use practice::{Board, Practice, PracticeRequest, Practised, SETS, board, practice};
pub use practice_files::{practice_rows, write_board, write_practice};
pub use prepare::{Prepared, prepare};
pub use print::figures::{figures_to_print, figures_to_reprint};
pub use print::key::{print_codes, print_key};
pub use print::practice::{print_board, print_board_worked, print_practice, print_practice_key};
pub use print::report::{print_for_class, print_report};
pub use print::worked::{latest_papers, print_worked};
pub use print::{Layout, PrintRequest, Printed, StackOrder, issued_papers, print_papers};
pub use remark::{Falls, Move, RemarkRequest, Remarked, Why, remark};
pub use report::{ReportRequest, report};
pub use roster::compare::{CompareRequest, Compared, compare_rosters};
pub use roster::source::{TakeRequest, oneroster_package};
pub use roster::take::{Offered, Taken, classes_in};
pub use term::term;
pub use tour::lay_out_tour;

/// Why an act could not be done.
#[derive(Clone, Debug)]
pub enum Failure {
    /// The input is at fault.
    Input(Findings),
    /// The machine failed: a full disk, a lock.
    Machine(Findings),
}

/// What to tell the user, and the sources to show it in.
#[derive(Clone, Debug, Default)]
pub struct Findings {
    /// In the order they should be read.
    pub list: Vec<Diagnostic>,
    /// The files that diagnostics with spans point into.
    pub sources: Vec<Arc<Source>>,
}

impl Findings {
    /// Adds others behind these.
    pub fn join(&mut self, other: Self) {
        self.list.extend(other.list);
        self.sources.extend(other.sources);
    }

    /// Adds what these do not say yet: what is said of the papers need not be said of their key again.
    pub fn join_new(&mut self, mut other: Self) {
        other.list.retain(|one| !self.list.contains(one));
        self.join(other);
    }
}

impl Failure {
    /// Bad input.
    pub fn input(list: Vec<Diagnostic>, sources: Vec<Arc<Source>>) -> Self {
        Self::Input(Findings { list, sources })
    }

    /// Bad input, one fault that points into no source.
    pub fn of(fault: Diagnostic) -> Self {
        Self::input(vec![fault], Vec::new())
    }

    /// The same with something to know besides.
    #[must_use]
    pub fn besides(mut self, finding: Diagnostic) -> Self {
        let (Self::Input(findings) | Self::Machine(findings)) = &mut self;
        findings.list.push(finding);
        self
    }

    /// What to tell the user.
    pub fn findings(&self) -> &Findings {
        let (Self::Input(findings) | Self::Machine(findings)) = self;
        findings
    }
}

impl From<FileError> for Failure {
    fn from(error: FileError) -> Self {
        let findings = Findings {
            list: vec![error.diagnostic().clone()],
            sources: Vec::new(),
        };
        match error {
            FileError::Refused(_) => Self::Input(findings),
            FileError::Failed(_) => Self::Machine(findings),
        }
    }
}

impl From<RecordError> for Failure {
    fn from(error: RecordError) -> Self {
        let findings = Findings {
            list: vec![error.diagnostic().clone()],
            sources: Vec::new(),
        };
        match error {
            RecordError::Refused(_) => Self::Input(findings),
            RecordError::Busy(_) | RecordError::Failed(_) => Self::Machine(findings),
        }
    }
}
