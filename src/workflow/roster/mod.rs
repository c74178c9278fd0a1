//! Rosters put down and changed.
//!
//! In: what a school gives out (`source`), two versions of a roster (`compare`). Out: a roster of ours for each
//! class (`file`, `take`), and what changed between the versions.

pub(super) mod compare;
pub(super) mod file;
pub(super) mod source;
pub(super) mod take;
