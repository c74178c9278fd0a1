//! What is said of units, figures and signs, apart from the physics and once a paper.
//!
//! In: the verdicts on units and figures. Out: a short sentence each on units, figures and signs,
//! with the parts concerned; for one part, the faults that it is the first to have. Adding a note
//! is one entry in [`GROUPS`].

use rust_decimal::Decimal;

use crate::assignment::{Charge, Part, Sign};
use crate::marking::figures::{Asked, FiguresVerdict};
use crate::marking::unit::UnitVerdict;
use crate::marking::{PartMark, Reason};

use super::checks;
use super::words::{Words, model};

/// What is said together, once a paper.
struct Group {
    /// Its heading for a paper, and for one part.
    heading: (&'static str, &'static str),
    notes: &'static [Note],
    /// What it cost a part.
    cost: fn(&PartMark) -> Decimal,
}

/// One kind of thing to say.
struct Note {
    /// Whether it is to be said of a part.
    holds: fn(&Part, &PartMark) -> bool,
    words: &'static str,
    /// Whether the figures asked for are named after it.
    figures: bool,
}

const GROUPS: [Group; 3] = [
    Group {
        heading: ("Units: ", "Unit: "),
        notes: &[
            Note {
                holds: |_, mark| mark.unit == Some(UnitVerdict::Missing),
                words: "missing",
                figures: false,
            },
            Note {
                holds: |_, mark| mark.unit == Some(UnitVerdict::WrongSize),
                words: "of another size or prefix",
                figures: false,
            },
            Note {
                holds: |_, mark| {
                    mark.unit == Some(UnitVerdict::WrongDimension) && !checks::is_of_units(mark)
                },
                words: "wrong for what is asked",
                figures: false,
            },
        ],
        cost: |mark| mark.unit_cost,
    },
    Group {
        heading: ("Figures: ", "Figures: "),
        notes: &[
            Note {
                holds: |_, mark| mark.figures == Some(FiguresVerdict::TooFew),
                words: "too few",
                figures: true,
            },
            Note {
                holds: |_, mark| mark.figures == Some(FiguresVerdict::TooMany),
                words: "more than asked for",
                figures: true,
            },
            Note {
                holds: |_, mark| {
                    let verdict = mark.figures;
                    verdict == Some(FiguresVerdict::Exact)
                        || verdict == Some(FiguresVerdict::Unevaluated)
                },
                words: "left as an expression",
                figures: false,
            },
            Note {
                holds: |_, mark| mark.reasons.contains(&Reason::Truncated),
                words: "cut off instead of rounded",
                figures: false,
            },
        ],
        cost: |mark| mark.figures_cost,
    },
    Group {
        heading: ("Sign: ", "Sign: "),
        notes: &[Note {
            holds: |part, mark| {
                part.rules.sign == Sign::Size && mark.reasons.contains(&Reason::SignNoted)
            },
            words: "a size needs no minus",
            figures: false,
        }],
        cost: |_| Decimal::ZERO,
    },
];

/// Whether a note asks for a reason: each is named here, so that a new one is not forgotten.
fn may_be_noted(reason: &Reason) -> bool {
    match reason {
        Reason::Truncated | Reason::SignNoted => true,
        Reason::Rounded
        | Reason::WithinTolerance
        | Reason::RoundedOnTheWay
        | Reason::Accepted(_)
        | Reason::InWindow
        | Reason::IgnoresEarlier
        | Reason::OtherConstant { .. }
        | Reason::OnMisread
        | Reason::MisreadHasNoKey
        | Reason::SignCharged
        | Reason::FollowedFrom { .. }
        | Reason::Impossible { .. }
        | Reason::Trivial
        | Reason::SlipMade { .. }
        | Reason::OrSlip(_)
        | Reason::MistakeFound { .. }
        | Reason::ReadTheWayThatFits
        | Reason::WorkingAssumed
        | Reason::WorkingOpen
        | Reason::ByTeacher => false,
    }
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
        || mark.reasons.iter().any(may_be_noted)
}

/// Writes what is to be said for the paper.
pub(super) fn of_paper(words: &mut Words<'_>) {
    if !words.marks().iter().any(is_noted) {
        return;
    }
    let once = words.plan.sheet.paper.charge == Charge::Once;
    for group in &GROUPS {
        let mut count = 0;
        for note in group.notes {
            let Some(first) = first(words, note) else {
                continue;
            };
            open(words, group.heading.0, count == 0);
            let holds = holds(words, note);
            words.push(note.words);
            words.push(" at ");
            words.list(holds);
            figures(words, note, first);
            count += words.count(holds);
        }
        let cost: Decimal = words.marks().iter().map(group.cost).sum();
        if once && count > 1 && cost > Decimal::ZERO {
            words.push("; counted once");
        }
        if count > 0 {
            words.push(".");
        }
    }
}

/// Writes what is to be said with part `at`: what no earlier part says.
pub(super) fn of_part(words: &mut Words<'_>, at: usize) {
    if !words.marks().get(at).is_some_and(is_noted) {
        return;
    }
    for group in &GROUPS {
        let mut is_first = true;
        for note in group.notes {
            if first(words, note) == Some(at) {
                open(words, group.heading.1, is_first);
                words.push(note.words);
                figures(words, note, at);
                is_first = false;
            }
        }
        if !is_first {
            words.push(".");
        }
    }
}

/// Begins the sentence of a group, or goes on with it.
fn open(words: &mut Words<'_>, heading: &str, is_first: bool) {
    if is_first {
        words.sentence(heading);
    } else {
        words.push("; ");
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

/// Names the figures asked for at part `at`, where they matter.
fn figures(words: &mut Words<'_>, note: &Note, at: usize) {
    if note.figures
        && let Some((least, most)) = asked(words, at)
    {
        words.push(", give ");
        words.digit(least);
        if most != least {
            words.push(" to ");
            words.digit(most);
        }
    }
}

/// The figures asked for, from the fewest to the most that are as asked.
fn asked(words: &Words<'_>, at: usize) -> Option<(u8, u8)> {
    let rule = words.model(at)?.rules.figures;
    let asked = Asked::in_part(rule, words.answer(at)?, words.key(at)?);
    Some((asked.fewest, asked.shown))
}
