//! What to look at in a part that is not right.
//!
//! In: a part with its verdict and reasons. Out: one or two sentences. Where the teacher foresaw
//! the number, what the teacher says; where only its sign or its fate on the way is known, that;
//! else one check to make.

use crate::assignment::{Part, PartKind, Sign};
use crate::marking::{PartMark, Reason, Verdict};

use super::checks;
use super::words::Words;

/// Writes the hint for part `at`.
pub(super) fn write(words: &mut Words<'_>, at: usize) {
    let (Some(mark), Some(model)) = (words.marks().get(at), words.model(at)) else {
        return;
    };
    match mark.verdict {
        Verdict::Blank => words.push(
            "Nothing stands there. Write down what is known and the law that ties it to what is asked.",
        ),
        Verdict::Unreadable => unread(words, model),
        Verdict::Several => {
            words.push("Several answers stand there. Cross out all but the one that counts.");
        }
        Verdict::WrongSign if model.rules.sign == Sign::Either => words.push(
            "The size is right. Does the sign go with the direction taken as positive in the other answers?",
        ),
        Verdict::WrongSign if model.rules.sign == Sign::Turn => words.push(
            "This is the mirrored direction. On which side of the line that it is measured from does it lie?",
        ),
        Verdict::WrongSign => {
            words.push("The size is right. Check the sign: which direction counts as positive?");
        }
        Verdict::ByEye => words.push("Something is still missing. Go through the question once more."),
        Verdict::Slip if said(words, at, mark) => {}
        _ if withheld(words, at, mark) => {}
        _ if matches!(model.kind, PartKind::Choose(_)) => {
            words.push("Try an extreme case: let one of the given quantities be far larger. What happens then?");
        }
        _ => checks::write(words, at),
    }
}

/// Asks for an answer that could not be read: a number, or one of the words to choose from.
fn unread(words: &mut Words<'_>, model: &Part) {
    let PartKind::Choose(choice) = &model.kind else {
        words.push("It could not be read. Write the number and its unit once more.");
        return;
    };
    words.push("It could not be read. Write once more which it is: ");
    for (index, option) in choice.options.iter().enumerate() {
        words.push(if index > 0 { " or " } else { "" });
        words.quote(&option.label);
    }
    words.push(".");
}

/// Says what the teacher has to say of a foreseen slip; whether there was anything.
fn said(words: &mut Words<'_>, at: usize, mark: &PartMark) -> bool {
    let slips = match words.model(at).map(|model| &model.kind) {
        Some(PartKind::Answer(answer)) => &answer.slips,
        _ => return false,
    };
    let say = |reason: &Reason| match reason {
        Reason::SlipMade { slip, .. } | Reason::OrSlip(slip) => slips.get(*slip)?.say.as_deref(),
        _ => None,
    };
    let mut sayings = mark.reasons.iter().filter_map(say);
    let Some(first) = sayings.next() else {
        return false;
    };
    // Where two causes give one number, neither is asserted.
    match sayings.find(|other| *other != first) {
        None => words.quote(first),
        Some(other) => {
            words.push("More than one way leads there. Either: ");
            words.quote(first);
            words.push(" Or: ");
            words.quote(other);
        }
    }
    true
}

/// Says why an answer that follows earns nothing; whether it does.
fn withheld(words: &mut Words<'_>, at: usize, mark: &PartMark) -> bool {
    let is_trivial = mark.reasons.contains(&Reason::Trivial);
    let impossible = |reason: &Reason| matches!(reason, Reason::Impossible { .. });
    if !is_trivial && !mark.reasons.iter().any(impossible) {
        return false;
    }
    words.push("It follows from your own ");
    words.inputs(at);
    words.push(if is_trivial {
        ", but with that value little is left to work out. Look there first."
    } else {
        ", but such a value cannot occur here. Which is the largest that could, and which the smallest?"
    });
    true
}
