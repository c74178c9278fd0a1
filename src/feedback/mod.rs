//! All words meant for students.
//!
//! In: a plan, a student's key and the marked paper. Out: two or three short sentences for the
//! paper, or for one of its parts, added to a text. They say what is right; the first place at
//! which the paper departs, and one thing to check there; what to do next; then, apart from the
//! physics and once a paper, what there is to say of units and figures and of being late. What
//! costs points is said to count. Nothing is refused; who handed in nothing is told nothing.
//!
//! Rules held here, as the trade has them and as reviews of research on feedback support: words
//! are tentative and about the work, never about the person; a cause is named only where the
//! teacher wrote it down for that number; without one there is a check to make and no guess; no
//! key, no formula of an answer, no rank, no other student. The only numbers in words of our own
//! are counts of significant figures, so no number of a key can slip in.
//!
//! This runs for every paper of a large class: it writes into the caller's text and allocates
//! nothing else.

mod checks;
mod hint;
mod notes;
mod words;

use rust_decimal::Decimal;

use crate::marking::figures::FiguresVerdict;
use crate::marking::unit::UnitVerdict;
use crate::marking::{Key, Marked, PartMark, Reason, Verdict};
use crate::plan::Plan;

pub use checks::check;
use words::Words;

/// Adds the feedback on a paper to `out`, in one line; nothing where no paper was handed in.
pub fn paper(plan: &Plan, key: &Key, marked: &Marked, out: &mut String) {
    let marks = &marked.parts;
    let mut words = Words::new(plan, key, marked, out);
    if marks.is_empty() {
        return;
    }
    if !marks.iter().any(is_begun) {
        return nothing_there(&mut words);
    }
    if marks.iter().all(is_plainly_right) {
        // Not "all right" above a charge, or where points are missing.
        words.sentence(
            if marks.iter().any(|mark| is_at_fault(mark) || is_short(mark)) {
                "All values right."
            } else {
                "All parts right."
            },
        );
    } else {
        what_is_right(&mut words);
    }
    let short = |_: usize, mark: &PartMark| is_plainly_right(mark) && is_short(mark);
    if words.any(short) {
        words.sentence("Points for what is judged by eye are missing in ");
        words.list(short);
        words.push(".");
    }
    let first = marks
        .iter()
        .position(|mark| Standing::of(mark) == Standing::Departs);
    if let Some(first) = first {
        words.sentence("Look first at ");
        words.id(first);
        words.push(": ");
        hint::write(&mut words, first);
    }
    what_is_next(&mut words, first);
    notes::of_paper(&mut words);
    if words.any(is_by_teacher) {
        words.sentence("Points set by your teacher: ");
        words.list(is_by_teacher);
        words.push(".");
    }
    if marked.late < Decimal::ZERO {
        words.sentence("Handed in late: points are taken off.");
    }
}

/// Adds the feedback on part `at` of the paper to `out`, in one line. What is said of units and
/// figures stands with the first part that it concerns. Nothing for a part that is not there.
pub fn part(plan: &Plan, key: &Key, marked: &Marked, at: usize, out: &mut String) {
    let mut words = Words::new(plan, key, marked, out);
    let Some(mark) = marked.parts.get(at) else {
        return;
    };
    match Standing::of(mark) {
        Standing::Open => words.sentence("Still to be judged."),
        Standing::Set => words.sentence("Points set by your teacher."),
        Standing::Departs => hint::write(&mut words, at),
        Standing::Followed => {
            words.sentence("It follows from your own ");
            words.inputs(at);
            words.push(" and is credited.");
        }
        Standing::Right => match mark.verdict {
            Verdict::RightOtherConstant => {
                words.sentence("Right with another value of ");
                words.constant();
                words.push(" than the one given.");
            }
            Verdict::RightMisread => words.sentence("Right on other numbers than those given."),
            _ if is_at_fault(mark) => words.sentence("Right in value."),
            _ => words.sentence("Right."),
        },
    }
    notes::of_part(&mut words, at);
}

/// How a part stands, for what is said about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Standing {
    /// Right in value, or given all points by eye.
    Right,
    /// It follows from the student's own answers.
    Followed,
    /// It is not right, or not there.
    Departs,
    /// Right, and yet the teacher gave it fewer points; or not to be read by the program, and yet by the teacher.
    Set,
    /// Not judged yet.
    Open,
}

impl Standing {
    fn of(mark: &PartMark) -> Self {
        let is_less = mark.points < mark.out_of && is_by_teacher(0, mark);
        match mark.verdict {
            verdict if is_less && (verdict.is_right() || verdict == Verdict::Followed) => Self::Set,
            verdict if verdict.is_right() => Self::Right,
            Verdict::Followed => Self::Followed,
            // The teacher made out more of it than the program, and it was worth something.
            Verdict::Unreadable if is_by_teacher(0, mark) && !mark.points.is_zero() => Self::Set,
            _ if mark.is_open() => Self::Open,
            Verdict::ByEye if mark.points == mark.out_of => Self::Right,
            _ => Self::Departs,
        }
    }
}

/// Whether the teacher set the points of a part.
fn is_by_teacher(_: usize, mark: &PartMark) -> bool {
    mark.reasons.contains(&Reason::ByTeacher)
}

/// Whether nothing has to be added to "right".
fn is_plainly_right(mark: &PartMark) -> bool {
    matches!(mark.verdict, Verdict::Right | Verdict::ByEye) && Standing::of(mark) == Standing::Right
}

/// Whether the unit or the figures are charged, here or once on the paper.
fn is_at_fault(mark: &PartMark) -> bool {
    mark.unit.is_some_and(UnitVerdict::is_fault)
        || mark.figures.is_some_and(FiguresVerdict::is_fault)
        || mark.figures_cost > Decimal::ZERO
}

/// Whether points are missing that neither a unit nor figures cost, nor the teacher took: those of the working.
fn is_short(mark: &PartMark) -> bool {
    !mark.reasons.contains(&Reason::ByTeacher)
        && mark.points + mark.unit_cost + mark.figures_cost < mark.out_of
}

/// Whether anything stands there, or was given for it.
fn is_begun(mark: &PartMark) -> bool {
    let empty = matches!(mark.verdict, Verdict::Blank | Verdict::ByEye);
    !empty || mark.points > Decimal::ZERO
}

fn nothing_there(words: &mut Words<'_>) {
    words.sentence("Nothing stands on this paper.");
    let blank = |mark: &PartMark| mark.verdict == Verdict::Blank;
    if let Some(first) = words.marks().iter().position(blank) {
        words.sentence("Start with ");
        words.id(first);
        words
            .push(": write down what is given, what is asked and the law that ties them together.");
    }
}

fn what_is_right(words: &mut Words<'_>) {
    let plain = |_: usize, mark: &PartMark| is_plainly_right(mark);
    if words.any(plain) {
        let at_fault = words.any(|at, mark| plain(at, mark) && is_at_fault(mark));
        words.sentence(if at_fault {
            "Right in value: "
        } else {
            "Right: "
        });
        words.list(plain);
        words.push(".");
    }
    let constant = |_: usize, mark: &PartMark| mark.verdict == Verdict::RightOtherConstant;
    if words.any(constant) {
        words.sentence("Right with another value of ");
        words.constant();
        words.push(" than the one given: ");
        words.list(constant);
        counted(words, words.constant_cost());
        words.push(".");
    }
    let misread = |_: usize, mark: &PartMark| mark.verdict == Verdict::RightMisread;
    if words.any(misread) {
        words.sentence("Right on other numbers than those given: ");
        words.list(misread);
        counted(words, words.plan.sheet.paper.misread_cost);
        words.push(". Copy the numbers again.");
    }
}

/// Says that something costs the paper points, if it does.
fn counted(words: &mut Words<'_>, cost: Decimal) {
    if cost > Decimal::ZERO && words.paper_cost() < Decimal::ZERO {
        words.push("; counted once");
    }
}

/// Credit for what follows, and where to go on; `first` is the part that departs first.
fn what_is_next(words: &mut Words<'_>, first: Option<usize>) {
    let follows = |_: usize, mark: &PartMark| Standing::of(mark) == Standing::Followed;
    let others =
        |at: usize, mark: &PartMark| Standing::of(mark) == Standing::Departs && Some(at) != first;
    let followed = words.count(follows);
    if words.any(others) {
        words.sentence("Then go on with ");
        words.list(others);
        words.push(".");
    } else if followed == 0 && first.is_some_and(|at| is_worked(&words.marks()[at])) {
        words.sentence("Then work it out again.");
    }
    if followed > 0 {
        words.begin();
        words.list(follows);
        words.push(if followed == 1 {
            " follows from your own answers and is credited"
        } else {
            " follow from your own answers and are credited"
        });
        words.push(if first.is_some() {
            "; carry the new values on."
        } else {
            "."
        });
    }
    let open = |_: usize, mark: &PartMark| Standing::of(mark) == Standing::Open;
    if first.is_none() && words.any(open) {
        words.sentence("Still to be judged: ");
        words.list(open);
        words.push(".");
    }
}

/// Whether something was worked out there that can be worked out again.
fn is_worked(mark: &PartMark) -> bool {
    matches!(
        mark.verdict,
        Verdict::Wrong | Verdict::Slip | Verdict::WrongSign
    )
}
