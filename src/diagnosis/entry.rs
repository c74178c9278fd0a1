//! Mistakes about numbers rather than equations: in writing an answer down, in reading a given, in the value
//! of a constant, in the box.
//!
//! In: a faulty answer, the numbers it should have been, the numbers of the paper. Out: the numbers that
//! each such mistake makes of them. One entry of [`SLIPS`] a slip of the pen.

use crate::assignment::{Assignment, Draw};
use crate::marking::{Evidence, Number, ProblemKey, resolved};
use crate::plan::{Problem, Road};
use crate::quantity::{Numeral, Quantity, Unit};

/// A slip in writing a number down.
pub(super) struct Slip {
    /// For the teacher.
    pub(super) says: &'static str,
    /// For the student.
    pub(super) hint: &'static str,
    /// Whether it is made again and again, as a wrong prefix is; one of the pen is made once, and two of them
    /// are no single cause.
    pub(super) recurs: bool,
    /// Whether a number given is misread so.
    misreads: bool,
    /// What becomes of a number that is written with so many figures.
    makes: fn(f64, u8) -> Vec<f64>,
}

/// Digits that are taken for each other by hand.
const ALIKE: [(u8, u8); 3] = [(1, 7), (4, 9), (0, 6)];

/// Powers of ten by which an answer may be off.
const POWERS: [i32; 6] = [1, -1, 2, -2, 3, -3];

/// All slips of the pen, the most common first.
pub(super) const SLIPS: &[Slip] = &[
    Slip {
        says: "off by a power of ten",
        hint: "the number is off by a power of ten",
        recurs: true,
        misreads: false,
        makes: |x, _| {
            POWERS
                .iter()
                .map(|power| x * libm::exp10(f64::from(*power)))
                .collect()
        },
    },
    Slip {
        says: "two neighbouring digits exchanged",
        hint: "two digits stand in each other's places",
        recurs: false,
        misreads: true,
        makes: |x, figures| {
            edited(x, figures, |digits| {
                let pairs = (1..digits.len()).map(|at| {
                    let mut digits = digits.to_vec();
                    digits.swap(at - 1, at);
                    digits
                });
                pairs.collect()
            })
        },
    },
    Slip {
        says: "a digit taken for one that looks like it",
        hint: "a digit was taken for another",
        recurs: false,
        misreads: true,
        makes: |x, figures| {
            edited(x, figures, |digits| {
                let mut all = Vec::new();
                for at in 0..digits.len() {
                    for (one, other) in ALIKE {
                        let by = match digits[at] {
                            digit if digit == one => other,
                            digit if digit == other => one,
                            _ => continue,
                        };
                        let mut digits = digits.to_vec();
                        digits[at] = by;
                        all.push(digits);
                    }
                }
                all
            })
        },
    },
    Slip {
        says: "a digit left out",
        hint: "a digit is missing",
        recurs: false,
        misreads: false,
        makes: |x, figures| {
            edited(x, figures.saturating_add(1), |digits| {
                let without = (0..digits.len().saturating_sub(1)).map(|at| {
                    let mut digits = digits.to_vec();
                    digits.remove(at);
                    digits
                });
                without.collect()
            })
        },
    },
    Slip {
        says: "a digit written twice",
        hint: "a digit stands there twice",
        recurs: false,
        misreads: true,
        makes: |x, figures| {
            edited(x, figures.saturating_sub(1), |digits| {
                let twice = (0..digits.len()).map(|at| {
                    let mut digits = digits.to_vec();
                    digits.insert(at, digits[at]);
                    digits
                });
                twice.collect()
            })
        },
    },
];

/// Numbers whose digits, written in so many figures, were edited. The first digit keeps its place unless
/// the edit moves the point along: a digit more or less behind the point moves nothing.
fn edited(x: f64, figures: u8, edit: impl Fn(&[u8]) -> Vec<Vec<u8>>) -> Vec<f64> {
    let Some(figures) = usize::from(figures)
        .checked_sub(1)
        .filter(|_| x != 0.0 && x.is_finite())
    else {
        return Vec::new();
    };
    let text = format!("{:.figures$e}", x.abs());
    let Some((mantissa, exponent)) = text.split_once('e') else {
        return Vec::new();
    };
    let Ok(exponent) = exponent.parse::<i32>() else {
        return Vec::new();
    };
    let digits: Vec<u8> = mantissa
        .bytes()
        .filter(u8::is_ascii_digit)
        .map(|at| at - b'0')
        .collect();
    let mut values: Vec<f64> = Vec::new();
    for edited in edit(&digits) {
        // With the point in its place behind the first digit, or moved by the digits before it.
        let before = usize::try_from(exponent).unwrap_or(0);
        for shift in 0..=i32::from(edited.len() != digits.len() && before > 0) {
            let shift = if edited.len() < digits.len() {
                -shift
            } else {
                shift
            };
            let text: String = edited
                .iter()
                .map(|digit| char::from(b'0' + digit))
                .collect();
            let last =
                exponent + shift - figures as i32 + digits.len() as i32 - edited.len() as i32;
            if let Ok(value) = format!("{text}e{last}").parse::<f64>()
                && value != 0.0
            {
                values.push(if x < 0.0 { -value } else { value });
            }
        }
    }
    values
}

impl Slip {
    /// What becomes of the numbers that an answer should have been.
    pub(super) fn numbers(
        &self,
        evidence: &Evidence<'_>,
        answer: usize,
        right: &[Number],
    ) -> Vec<Number> {
        let mut numbers = Vec::new();
        let mut readings: Vec<(f64, u8)> = Vec::new();
        for read in evidence.readings(answer) {
            if let Some(numeral) = read.numeral {
                readings.push((read.size, numeral.figures().most));
            }
        }
        for number in right {
            for (size, figures) in &readings {
                let made = (self.makes)(number.value / size, *figures);
                numbers.extend(made.into_iter().map(|value| Number {
                    value: value * size,
                    allowance: number.allowance,
                }));
            }
        }
        numbers
    }
}

/// Other givens that a student may have worked with.
pub(super) struct OtherGiven {
    /// For the teacher.
    pub(super) says: String,
    /// The given and what it was taken for, where it was misread.
    pub(super) misread: Option<(String, String)>,
    /// The key on these numbers.
    pub(super) slots: Vec<f64>,
}

/// Values of the acceleration of free fall in use, in m/s².
const FREE_FALL: [&str; 3] = ["9.8", "9.81", "10"];

/// The work that other givens take: the key on them, and what follows for the answers to these parts.
pub(super) fn work(problem: &Problem, parts: impl Iterator<Item = usize>) -> u64 {
    let answers = parts.filter_map(|part| problem.answer(part));
    let roads = answers.flat_map(|answer| answer.roads.iter().map(Road::work));
    problem.key.work() + roads.sum::<u64>()
}

/// The givens as they may have been misread, and constants that may have been taken instead; those for
/// which `may_try` says so.
pub(super) fn other_givens(
    assignment: &Assignment,
    problem: &Problem,
    key: &ProblemKey,
    may_try: &mut dyn FnMut() -> bool,
) -> Vec<OtherGiven> {
    let mut all = Vec::new();
    let fall = Unit::parse("m/s^2").ok();
    for (at, given) in assignment.givens.iter().enumerate() {
        let Some(own) = key.givens.get(at).copied() else {
            continue;
        };
        if matches!(given.draw, Draw::Fixed(_)) {
            let is_fall = |fall: &Unit| fall.dimension() == own.unit.dimension();
            if let Some(fall) = fall.filter(is_fall) {
                for value in FREE_FALL {
                    let Ok(numeral) = Numeral::parse(value) else {
                        continue;
                    };
                    let other = Quantity {
                        numeral,
                        unit: fall,
                    };
                    let is_known = |known: f64| (known - other.si()).abs() <= 1e-9 * known.abs();
                    let allowed = given.allowed.iter().any(|at| is_known(at.quantity.si()));
                    if !is_known(own.si()) && !allowed && may_try() {
                        all.extend(resolved(problem, key, at, other.si()).map(|slots| {
                            OtherGiven {
                                says: format!("{} = {other} used", given.name),
                                misread: None,
                                slots,
                            }
                        }));
                    }
                }
            }
            continue;
        }
        for other in misread_as(&own, key) {
            if !may_try() {
                continue;
            }
            all.extend(
                resolved(problem, key, at, other.si()).map(|slots| OtherGiven {
                    says: format!("{} = {other} used for {own}", given.name),
                    misread: Some((given.name.clone(), other.to_string())),
                    slots,
                }),
            );
        }
    }
    all
}

/// What a given may have been read as: by its digits, or as another given of its unit.
fn misread_as(own: &Quantity, key: &ProblemKey) -> Vec<Quantity> {
    let value = own.numeral.to_f64();
    let figures = own.numeral.figures().most;
    let decimals = own.numeral.decimals();
    let mut all: Vec<Quantity> = Vec::new();
    let mut push = |other: Quantity| {
        if other.numeral.to_f64() != value && !all.iter().any(|known| known.si() == other.si()) {
            all.push(other);
        }
    };
    for slip in SLIPS.iter().filter(|slip| slip.misreads) {
        for edited in (slip.makes)(value, figures) {
            if let Ok(numeral) = Numeral::parse(&format!("{edited:.*}", usize::from(decimals))) {
                push(Quantity {
                    numeral,
                    unit: own.unit,
                });
            }
        }
    }
    for other in key.givens.iter().filter(|other| other.unit == own.unit) {
        push(*other);
    }
    all
}
