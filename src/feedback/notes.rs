//! What is said of units, figures, signs and working, apart from the physics and once a paper.
//!
//! In: the verdicts on units and figures. Out: a short sentence for each kind of fault that
//! occurs, with the parts it concerns; for one part, the faults that it is the first to have.
//! Adding a note is one entry in [`NOTES`].

use rust_decimal::Decimal;

use crate::assignment::{Charge, Part, Sign};
use crate::marking::figures::{Asked, FiguresVerdict};
use crate::marking::unit::UnitVerdict;
use crate::marking::{PartMark, Reason};

use super::checks;
use super::words::{Words, model};

/// One kind of thing to say.
struct Note {
    /// Whether it is to be said of a part.
    holds: fn(&Part, &PartMark) -> bool,
    /// For a paper: what stands before the list of parts, and after it.
    of_paper: (&'static str, &'static str),
    /// For one part.
    of_part: &'static str,
    /// What it may have cost.
    cost: fn(&PartMark) -> Decimal,
    /// Whether the figures asked for are named after it.
    figures: bool,
}

const NOTES: [Note; 8] = [
    Note {
        holds: |_, mark| mark.unit == Some(UnitVerdict::Missing),
        of_paper: ("No unit at ", ""),
        of_part: "The unit is missing",
        cost: unit_cost,
        figures: false,
    },
    Note {
        holds: |_, mark| mark.unit == Some(UnitVerdict::WrongSize),
        of_paper: (
            "The number does not go with the size or prefix of its unit at ",
            "",
        ),
        of_part: "The number does not go with the size or prefix of its unit",
        cost: unit_cost,
        figures: false,
    },
    Note {
        holds: |_, mark| {
            mark.unit == Some(UnitVerdict::WrongDimension) && !checks::is_of_units(mark)
        },
        of_paper: ("The unit is one of another kind of quantity at ", ""),
        of_part: "The unit is one of another kind of quantity",
        cost: unit_cost,
        figures: false,
    },
    Note {
        holds: |_, mark| mark.figures == Some(FiguresVerdict::TooFew),
        of_paper: ("Too few figures at ", ""),
        of_part: "Too few figures",
        cost: figures_cost,
        figures: true,
    },
    Note {
        holds: |_, mark| mark.figures == Some(FiguresVerdict::TooMany),
        of_paper: ("More figures than are asked for at ", ""),
        of_part: "More figures than are asked for",
        cost: figures_cost,
        figures: true,
    },
    Note {
        holds: |_, mark| {
            let verdict = mark.figures;
            verdict == Some(FiguresVerdict::Exact) || verdict == Some(FiguresVerdict::Unevaluated)
        },
        of_paper: (
            "Left as an expression: ",
            "; work it out as a decimal number",
        ),
        of_part: "Work it out as a decimal number",
        cost: figures_cost,
        figures: false,
    },
    Note {
        holds: |_, mark| mark.reasons.contains(&Reason::Truncated),
        of_paper: ("Cut off instead of rounded: ", ""),
        of_part: "Round instead of cutting off",
        cost: figures_cost,
        figures: false,
    },
    Note {
        holds: |part, mark| {
            part.rules.sign == Sign::Size && mark.reasons.contains(&Reason::SignNoted)
        },
        of_paper: ("Only a size is asked for, without a minus, at ", ""),
        of_part: "Only a size is asked for, without a minus",
        cost: |_| Decimal::ZERO,
        figures: false,
    },
];

fn unit_cost(mark: &PartMark) -> Decimal {
    mark.unit_cost
}

fn figures_cost(mark: &PartMark) -> Decimal {
    mark.figures_cost
}

/// Whether any note holds of a part: most papers have none, and are through here at once.
fn is_noted(mark: &PartMark) -> bool {
    mark.unit.is_some_and(UnitVerdict::is_fault)
        || !matches!(
            mark.figures,
            None | Some(
                FiguresVerdict::AsAsked | FiguresVerdict::Taken | FiguresVerdict::NotJudged
            )
        )
        || mark
            .reasons
            .iter()
            .any(|reason| matches!(reason, Reason::Truncated | Reason::SignNoted))
}

/// Writes what is to be said for the paper.
pub(super) fn of_paper(words: &mut Words<'_>) {
    if !words.marks().iter().any(is_noted) {
        return;
    }
    let once = words.plan.sheet.paper.charge == Charge::Once;
    for note in &NOTES {
        let Some(first) = first(words, note) else {
            continue;
        };
        let holds = holds(words, note);
        words.sentence(note.of_paper.0);
        words.list(holds);
        words.push(note.of_paper.1);
        let cost: Decimal = words.marks().iter().map(note.cost).sum();
        if once && words.count(holds) > 1 && cost > Decimal::ZERO {
            words.push(", counted once");
        }
        close(words, note, first);
    }
}

/// Writes what is to be said with part `at`: what no earlier part says.
pub(super) fn of_part(words: &mut Words<'_>, at: usize) {
    if !words.marks().get(at).is_some_and(is_noted) {
        return;
    }
    for note in &NOTES {
        if first(words, note) == Some(at) {
            words.sentence(note.of_part);
            close(words, note, at);
        }
    }
}

/// Whether a note holds of a part.
fn holds<'a>(
    words: &Words<'a>,
    note: &'a Note,
) -> impl Fn(usize, &PartMark) -> bool + Copy + use<'a> {
    let plan = words.plan;
    move |at, mark| model(plan, at).is_some_and(|part| (note.holds)(part, mark))
}

/// The first part of which a note holds.
fn first(words: &Words<'_>, note: &Note) -> Option<usize> {
    let mut marks = words.marks().iter().enumerate();
    marks
        .find(|&(at, mark)| holds(words, note)(at, mark))
        .map(|(at, _)| at)
}

/// Ends a sentence, with the figures asked for at part `at` where they matter.
fn close(words: &mut Words<'_>, note: &Note, at: usize) {
    if note.figures
        && let Some((least, most)) = asked(words, at)
    {
        words.push("; give ");
        words.digit(least);
        if most != least {
            words.push(" to ");
            words.digit(most);
        }
    }
    words.push(".");
}

/// The figures asked for, from the fewest to the most that are as asked.
fn asked(words: &Words<'_>, at: usize) -> Option<(u8, u8)> {
    let rule = words.model(at)?.rules.figures;
    let asked = Asked::in_part(rule, words.answer(at)?, words.key(at)?);
    Some((asked.fewest, asked.shown))
}
