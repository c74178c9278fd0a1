//! The headings of the files of answers and of marks, which no part may be called by.
//!
//! Constants alone: whoever writes, reads or reserves a heading takes it from here.

/// The part of an entry, in a file with a row an entry.
pub const PART: &str = "part";
/// What was written, in such a file.
pub const ENTRY: &str = "entry";
/// Whether there is a paper, and how it stands.
pub const STATUS: &str = "status";
/// The day a paper was handed in.
pub const HANDED_IN: &str = "handed_in";
/// Ends the heading of the points keyed for a part's working.
pub const WORKING: &str = ".working";
/// Begins the heading of a number that was misread.
pub const GIVEN: &str = "given:";
/// What the paper as a whole is charged.
pub const PAPER_COST: &str = "paper_cost";
/// The most that could be had.
pub const OUT_OF: &str = "out_of";
/// What the student is told.
pub const FEEDBACK: &str = "feedback";

/// What stands before the parts in a file of marks.
pub const BEFORE_PARTS: [&str; 4] = ["student", "name", "section", STATUS];
/// What stands behind them.
pub const AFTER_PARTS: [&str; 6] = [PAPER_COST, "late", "adjusted", "total", OUT_OF, FEEDBACK];

/// All that would be taken for another column if a part were called so.
pub fn reserved() -> impl Iterator<Item = &'static str> {
    let of_answers = [PART, ENTRY, HANDED_IN, GIVEN.trim_end_matches(':')];
    BEFORE_PARTS
        .into_iter()
        .chain(of_answers)
        .chain(AFTER_PARTS)
}
