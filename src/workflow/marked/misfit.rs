//! Answers that fit nobody.
//!
//! In: how a class went. Out: a warning where hardly any number is right, which no class does: the
//! answers were given to other numbers. Nothing is refused: the marks stand, and the teacher knows.
//!
//! Only answers that are numbers count, and of them what is right or a foreseen slip: one of two
//! words is right by chance, and what follows from an earlier answer may do so without a single
//! drawn number. Held against the numbers of thirty other seeds, the classes in `tests/data` came to
//! 3 to 7 % right, 12 % at most, with 40 % at most that followed; on their own numbers to 80 % right.

use crate::assignment::PartKind;
use crate::diagnostic::{Diagnostic, Place};
use crate::plan::Plan;

use super::tally::Tally;

/// Fewer papers than this may all be wrong.
const PAPERS: usize = 5;

/// One in so many numbers may be right by luck.
const RIGHT: usize = 6;

/// Where one in so many follows, the students did work on these numbers.
const FOLLOWED: usize = 2;

/// Where the numbers came from that answers are held against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::workflow) enum Numbers {
    /// Drawn now.
    Drawn,
    /// Kept in the record.
    Issued,
}

/// The warning, if there is cause for it; `file` is what it is about.
pub(in crate::workflow) fn warning(
    plan: &Plan,
    tally: &Tally,
    numbers: Numbers,
    file: &str,
) -> Option<Diagnostic> {
    let (mut right, mut followed, mut tried, mut papers) = (0, 0, 0, 0);
    for (at, count) in tally.parts.iter().enumerate() {
        let place = plan.parts.get(at)?;
        let kind = &plan.assignment(at).parts[place.part].kind;
        if matches!(kind, PartKind::Answer(_)) {
            let written = count.right + count.followed + count.slip + count.wrong;
            right += count.right + count.slip;
            followed += count.followed;
            tried += written;
            papers = papers.max(written);
        }
    }
    if papers < PAPERS || right * RIGHT > tried || followed * FOLLOWED > tried {
        return None;
    }
    let count = match right {
        0 => format!("none of the {tried} numbers is right"),
        1 => format!("1 of the {tried} numbers is right"),
        _ => format!("{right} of the {tried} numbers are right"),
    };
    let message = format!("{count}: were these answers given to other numbers?");
    Some(
        Diagnostic::warning(file, Place::File, message).help(match numbers {
            Numbers::Drawn => {
                "a student's numbers follow from seed and code of the assignment, the id and the roster: \
                 check that these are as they were when the papers were handed out"
            }
            Numbers::Issued => {
                "check that these answers belong to this assignment and this class"
            }
        }),
    )
}
