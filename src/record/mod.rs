//! The record: what was issued, and everything a teacher did to the papers.
//!
//! Everything done to a paper is one *act*, appended and never changed ([`act`]). What stands on a
//! paper is the fold of the acts about it that are not taken back ([`state`]). So the history of an
//! entry, undo across restarts and "what is saved" are one mechanism. What was handed out
//! ([`issue`]) never changes at all. [`store`] keeps all of it in one file.

pub mod account;
pub mod act;
pub mod due;
pub mod issue;
pub mod state;
pub mod store;
pub mod written;

pub use account::{Account, account, charged, late_let_go, paper_charges, paper_let_go, proposal};
pub use act::{
    AcceptedPart, Act, ActId, Attendance, Charge, Deed, IssueId, Keying, Message, NewAct, Proposal,
};
pub use due::{Due, DueFor, Dues};
pub use issue::{Drawn, Filed, FiledFigure, Issue, NewIssue, RosterFile, WrittenAs};
pub use state::{Accepted, Adjustment, Keyed, Opinion, PartStanding, Standing, redo, undo};
pub use store::{Before, Begun, Checked, IN_MEMORY, OpenMode, Purged, RECORD, Record, RecordError};
pub use written::{Target, Written};
