//! Formulas: from text to trees, tapes and solutions.
//!
//! Held: an error lies within its text; a formula of one line is the same with blanks around it; a polynomial has
//! the value that exact ratios give; whatever stands in the equations, solving ends, finds no more than it may, and
//! what it finds is finite, in range and, where numbers are of a size that has any use, solves the equations.

use num_rational::BigRational;
use num_traits::ToPrimitive as _;
use paperweight::formula::condition::Judge;
use paperweight::formula::exact::{self, Strict};
use paperweight::formula::order::Order;
use paperweight::formula::solve::{Range, Solver};
use paperweight::formula::tape::{Meaning, Measure, SlotSet, Tape};
use paperweight::formula::{FormulaError, condition, equation, expression};

use super::feed::Feed;
use super::told;

/// Slots for `a` to `z`.
const LETTERS: usize = 26;

/// What is known, by chance and on the edge.
const VALUES: [f64; 16] = [
    1.0, 2.0, 0.5, 9.8, 3.0, -1.0, 0.0, 0.1, 1e-12, 1e9, -7.25, 100.0, 1e-160, 1e160, 1e300, -0.0,
];

const OPERATORS: [&str; 5] = ["+", "-", "*", "/", "^"];

#[rustfmt::skip]
const CALLS: [&str; 14] = [
    "sin", "cos", "tan", "asin", "acos", "atan", "sqrt", "abs", "exp", "ln", "log10", "atan2", "min", "max",
];

#[rustfmt::skip]
const LEAVES: [&str; 24] = [
    "a", "b", "c", "x", "y", "z", "a", "x", "1", "2", "0", "0.5", "3", "9.8", "1e-9", "1e9",
    "1e300", "[2.0 kg]", "[30 deg]", "[36 km/h]", "[20 degC]", "pi", "2e-300", "10",
];

pub fn run(bytes: &[u8]) {
    let mut feed = Feed::new(bytes);
    let mode = feed.byte();
    let values: Vec<f64> = (0..4).map(|_| feed.pick(&VALUES)).collect();
    let mut slots: Vec<f64> = (0..LETTERS).map(|at| values[at % 4]).collect();
    let mut lines: Vec<String> = Vec::new();
    while lines.len() < 12 && !feed.is_done() {
        lines.push(match mode & 1 {
            0 => feed.text().into_owned(),
            _ => {
                let (left, right) = (term(&mut feed, 4), term(&mut feed, 4));
                format!("{left} = {right}")
            }
        });
    }
    for line in &lines {
        texts(line, &slots);
    }
    system(&lines, &mut slots, usize::from(mode >> 1));
}

/// An expression of the grammar, as deep as the bytes say.
fn term(feed: &mut Feed<'_>, deep: usize) -> String {
    let choice = if deep == 0 { 0 } else { feed.byte() % 8 };
    let inner = |feed: &mut Feed<'_>| term(feed, deep - 1);
    match choice {
        0..=2 => feed.pick(&LEAVES).to_owned(),
        3..=5 => {
            let (left, right) = (inner(feed), inner(feed));
            format!("({left} {} {right})", feed.pick(&OPERATORS))
        }
        6 => format!("-{}", inner(feed)),
        _ => {
            let at = feed.below(CALLS.len());
            let first = inner(feed);
            match at {
                0..11 => format!("{}({first})", CALLS[at]),
                _ => format!("{}({first}, {})", CALLS[at], inner(feed)),
            }
        }
    }
}

fn letter<'a>(name: &str) -> Option<Meaning<'a>> {
    let letter = name.bytes().next().filter(|_| name.len() == 1)?;
    let slot = usize::from(letter.checked_sub(b'a')?);
    (slot < LETTERS).then_some(Meaning::Slot(slot))
}

fn refused(text: &str, errors: &[FormulaError]) {
    assert!(!errors.is_empty());
    for error in errors {
        told::is_within(error.span, text);
        assert!(!error.message.is_empty());
    }
}

fn texts(text: &str, slots: &[f64]) {
    let ratio = |name: &str| match letter(name)? {
        Meaning::Slot(slot) => BigRational::from_float(slots[slot]),
        Meaning::Derived(_) => None,
    };
    match expression(text) {
        Err(errors) => refused(text, &errors),
        Ok(tree) => {
            tree.walk(&mut |part| told::is_within(part.span, text));
            if let Ok(tape) = Tape::expr(&tree, &letter, Measure::Si) {
                let (value, size) = tape.sized(slots);
                let same = tape.value(slots);
                assert!(value == same || (value.is_nan() && same.is_nan()), "{text}");
                let _ = (tape.slope(slots, 0), tape.degree(SlotSet::of(0)));
                let exact = exact::value(&tree, &ratio).and_then(|exact| exact.to_f64());
                let is_tame = |value: &f64| (1e-9..=1e9).contains(&value.abs());
                let tame = slots.iter().all(is_tame) && !text.contains(['e', 'E', '^', '[', '/']);
                if let (Some(exact), true) = (exact, tame) {
                    assert!(
                        (exact - value).abs() <= 1e-9 * size,
                        "{text}: {exact}, {value}"
                    );
                }
            }
            assert!(expression(&format!(" {text} ")).is_ok());
        }
    }
    match equation(text) {
        Err(errors) => refused(text, &errors),
        Ok(_) => assert!(equation(&format!(" {text} ")).is_ok()),
    }
    match condition(text) {
        Err(errors) => refused(text, &errors),
        Ok(tree) => {
            tree.names(&mut |_, span| told::is_within(span, text));
            if let Ok(judge) = Judge::of(&tree, &letter) {
                judge.holds(slots);
            }
            if let Ok(strict) = Strict::of(&tree, &letter) {
                strict.holds(slots, &ratio);
            }
        }
    }
}

/// Solves the equations among the lines for as many of their letters, beginning with one of them.
fn system(lines: &[String], slots: &mut [f64], first: usize) {
    let trees: Vec<_> = lines
        .iter()
        .filter_map(|line| equation(line).ok())
        .collect();
    let tapes = trees
        .iter()
        .map(|tree| Tape::residual(tree, &letter, Measure::Si));
    let tapes: Vec<Tape> = tapes.filter_map(Result::ok).collect();
    let used = tapes
        .iter()
        .fold(SlotSet::default(), |set, tape| set.or(tape.uses()));
    let used: Vec<usize> = used.iter().collect();
    if used.len() < tapes.len() || tapes.is_empty() {
        return;
    }
    let unknowns: SlotSet = (0..tapes.len())
        .map(|at| used[(first + at) % used.len()])
        .collect();
    let set: Vec<usize> = (0..tapes.len()).collect();
    let Some(order) = Order::of(&tapes, &set, unknowns) else {
        return;
    };
    assert_eq!(order.unknowns(), unknowns);
    let zero = Tape::expr(&expression("0").unwrap(), &letter, Measure::Si).unwrap();
    let mut ranges = vec![Range::default(); LETTERS];
    // Every third unknown is a size, above zero.
    for slot in unknowns.iter().step_by(3) {
        ranges[slot].above = Some(zero.clone());
    }
    let solver = Solver {
        tapes,
        ranges,
        scales: vec![1.0; LETTERS],
        angles: (0..LETTERS).map(|slot| slot == 24).collect(),
    };
    let is_tame = !lines.iter().any(|line| line.contains(['e', 'E']))
        && slots
            .iter()
            .all(|value| *value == 0.0 || (1e-15..1e15).contains(&value.abs()));
    let mut found = 0;
    let before = slots.to_vec();
    let outcome = solver.solutions(&order, slots, None, &mut |solution| {
        found += 1;
        for (slot, value) in solution.iter().enumerate() {
            if unknowns.has(slot) {
                assert!(value.is_finite(), "{lines:?}: {value}");
                assert!(*value > 0.0 || solver.ranges[slot].above.is_none());
            } else {
                assert!(*value == before[slot], "a known value was moved");
            }
        }
        for tape in &solver.tapes {
            let (value, size) = tape.sized(solution);
            // Where an `f64` ends there may be none that solves it.
            let is_tame = is_tame && (1e-100..1e100).contains(&size);
            assert!(
                !is_tame || value.abs() <= 1e-6 * size,
                "{lines:?}: {value} of {size}"
            );
        }
    });
    assert_eq!(outcome.is_ok(), found > 0);
    assert!(found <= 64, "{found} solutions");
}
