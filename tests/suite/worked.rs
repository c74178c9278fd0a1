//! Worked solutions: read line by line, and held to what they say.
//!
//! Every line of every solution here is reckoned again from what is printed in it, numbers with their units:
//! both sides of each sign have to agree as far as the digits go, and in their dimension. Solutions of
//! published examples (`tests/published`, sources there) end in the printed numbers.

use std::collections::BTreeMap;
use std::path::Path;

use paperweight::explain;
use paperweight::formula::tape::{Measure, Tape};
use paperweight::marking::Key;
use paperweight::plan::{self, Plan};
use paperweight::quantity::{Dimension, Exponent, Numeral, Quantity, Unit};
use paperweight::text::DecimalMark;
use paperweight::worked::{
    self, Chain, Held, Line, MINUS, Maths, NARROW, Outcome, Say, Sign, Solution,
};

use crate::hands::desk::Desk;

const SHIPPED: [&str; 5] = [
    "ropes-1",
    "incline-1",
    "projectile-1",
    "pulley-disc-1",
    "collision-1",
];

/// A value in SI units, how far rounded digits may have moved it, and its dimension; `None` for a zero,
/// which goes with any.
#[derive(Clone, Copy, Debug)]
struct Reckoned {
    value: f64,
    off: f64,
    dimension: Option<Dimension>,
}

/// Reckons maths from what is printed, names from the key.
struct Reader {
    names: BTreeMap<(String, String), Reckoned>,
}

impl Reader {
    fn new(plan: &Plan, key: &Key, problem: usize) -> Self {
        let assignment = &plan.sheet.problems[problem];
        let givens = assignment.givens.iter().map(|g| (&g.name, g.unit));
        let unknowns = assignment.unknowns.iter().map(|u| (&u.name, u.unit));
        let mut names = BTreeMap::new();
        for (slot, (name, unit)) in givens.chain(unknowns).enumerate() {
            let value = key.problems[problem].slots[slot];
            let reckoned = Reckoned {
                value,
                off: 0.0,
                dimension: Some(unit.dimension()),
            };
            names.insert(as_set(name), reckoned);
        }
        for derived in &assignment.derived {
            let meaning = |name: &str| plan::meaning(assignment, name);
            let tape = Tape::expr(&derived.expr, &meaning, Measure::Si).unwrap();
            let reckoned = Reckoned {
                value: tape.value(&key.problems[problem].slots),
                off: 0.0,
                dimension: Some(derived.dimension),
            };
            names.insert(as_set(&derived.name), reckoned);
        }
        let pi = Reckoned {
            value: std::f64::consts::PI,
            off: 0.0,
            dimension: Some(Dimension::NONE),
        };
        names.insert(("π".into(), String::new()), pi);
        Self { names }
    }

    fn read(&self, maths: &Maths) -> Reckoned {
        match maths {
            Maths::Name { letter, below } => {
                let name = (letter.clone(), below.clone());
                *self
                    .names
                    .get(&name)
                    .unwrap_or_else(|| panic!("{name:?} has no value"))
            }
            Maths::Amount { number, unit } => amount(number, unit),
            Maths::Sum(terms) => {
                let mut sum: Option<Reckoned> = None;
                for term in terms {
                    let read = self.read(&term.maths);
                    let sign = if term.minus { -1.0 } else { 1.0 };
                    let before = sum.unwrap_or(Reckoned {
                        value: 0.0,
                        off: 0.0,
                        dimension: None,
                    });
                    sum = Some(Reckoned {
                        value: before.value + sign * read.value,
                        off: before.off + read.off,
                        dimension: alike(before.dimension, read.dimension, maths),
                    });
                }
                sum.unwrap()
            }
            Maths::Product(factors) => {
                let factors = factors.iter().map(|factor| self.read(factor));
                factors.reduce(times).unwrap()
            }
            Maths::Fraction(over, under) => times(self.read(over), inverse(self.read(under))),
            Maths::Power(base, exponent) => {
                let (base, exponent) = (self.read(base), self.read(exponent));
                assert_eq!(exponent.dimension, Some(Dimension::NONE));
                let power = simple(exponent.value);
                Reckoned {
                    value: libm::pow(base.value, exponent.value),
                    off: (exponent.value * libm::pow(base.value, exponent.value - 1.0) * base.off)
                        .abs(),
                    dimension: base.dimension.map(|d| d.checked_pow(power).unwrap()),
                }
            }
            Maths::Root(inner) => {
                let inner = self.read(inner);
                let value = libm::sqrt(inner.value);
                let half = Exponent::new(1, 2).unwrap();
                Reckoned {
                    value,
                    off: inner.off / (2.0 * value).max(1e-300),
                    dimension: inner.dimension.map(|d| d.checked_pow(half).unwrap()),
                }
            }
            Maths::Absolute(inner) => {
                let inner = self.read(inner);
                Reckoned {
                    value: inner.value.abs(),
                    ..inner
                }
            }
            Maths::Brackets(inner) | Maths::Marked(inner) => self.read(inner),
            Maths::Function(name, arguments) => {
                if let ("max", [left, right]) = (name.as_str(), &arguments[..]) {
                    let (left, right) = (self.read(left), self.read(right));
                    alike(left.dimension, right.dimension, maths);
                    return if left.value > right.value {
                        left
                    } else {
                        right
                    };
                }
                let [argument] = &arguments[..] else {
                    panic!("{name} of several");
                };
                let argument = self.read(argument);
                assert_eq!(
                    argument.dimension.unwrap_or(Dimension::NONE),
                    Dimension::NONE
                );
                let function: fn(f64) -> f64 = match name.as_str() {
                    "sin" => libm::sin,
                    "cos" => libm::cos,
                    "tan" => libm::tan,
                    "arcsin" => libm::asin,
                    "arccos" => libm::acos,
                    "arctan" => libm::atan,
                    other => panic!("{other} is not reckoned here"),
                };
                let value = function(argument.value);
                let beside = function(argument.value + argument.off);
                Reckoned {
                    value,
                    off: 2.0 * (beside - value).abs(),
                    dimension: Some(Dimension::NONE),
                }
            }
            Maths::PlusMinus(left, right) => {
                let (left, right) = (self.read(left), self.read(right));
                Reckoned {
                    value: left.value + right.value,
                    off: left.off + right.off,
                    dimension: alike(left.dimension, right.dimension, maths),
                }
            }
        }
    }

    /// Holds a chain to be true.
    fn hold(&self, chain: &Chain) {
        let mut left = self.read(&chain.first);
        for (sign, side) in &chain.rest {
            let right = self.read(side);
            alike(left.dimension, right.dimension, &chain.first);
            let off = 1.05 * (left.off + right.off) + 1e-9 * left.value.abs();
            let gap = right.value - left.value;
            let holds = match sign {
                Sign::Equal => gap.abs() <= off,
                Sign::NotEqual => gap.abs() > off,
                Sign::Less | Sign::LessOrEqual => gap > -off,
                Sign::Greater | Sign::GreaterOrEqual => gap < off,
            };
            assert!(holds, "{}: {left:?}, {right:?}", chain.text());
            left = right;
        }
    }

    /// Holds an answer to be the key rounded: zeros at its end need not count.
    fn hold_answer(&self, chain: &Chain) {
        let (_, Maths::Amount { number, unit }) = &chain.rest[0] else {
            panic!("{}", chain.text());
        };
        let (numeral, size) = numeral(number, unit);
        let off = 1.0001 * size.factor() * numeral.half_unit(numeral.figures().least);
        let key = self.read(&chain.first);
        let answer = amount(number, unit);
        assert!((key.value - answer.value).abs() <= off, "{}", chain.text());
        alike(key.dimension, answer.dimension, &chain.first);
    }

    fn hold_held(&self, held: &[Held]) {
        for Held { names, numbers } in held {
            self.hold(names);
            numbers.iter().for_each(|numbers| self.hold(numbers));
        }
    }

    fn hold_line(&self, line: &Line) {
        for chain in &line.chains {
            match line.say {
                // One of the two is not the key's, and the formula is for both: its sides alone agree.
                Say::Either => {
                    let read = self.read(&chain.rest[0].1);
                    assert_eq!(read.dimension, self.read(&chain.first).dimension);
                }
                Say::Formula => {
                    let mut sides = chain.rest.iter().map(|(_, side)| side);
                    let first = sides.next().unwrap().clone();
                    let rest = chain.rest[1..].to_vec();
                    self.hold(&Chain { first, rest });
                }
                _ => self.hold(chain),
            }
        }
    }

    fn hold_solution(&self, solution: &Solution) {
        for chain in &solution.numbers {
            self.hold(chain);
        }
        self.hold_held(&solution.required);
        for part in &solution.parts {
            for stage in &part.stages {
                stage.lines.iter().for_each(|line| self.hold_line(line));
            }
            match &part.outcome {
                Outcome::Answer { chain, .. } => self.hold_answer(chain),
                Outcome::Word { held, .. } => self.hold_held(held),
                Outcome::Eye(_) => {}
            }
            self.hold_held(&part.checks);
        }
    }
}

fn times(left: Reckoned, right: Reckoned) -> Reckoned {
    let dimension = match (left.dimension, right.dimension) {
        (Some(left), Some(right)) => left.checked_mul(right),
        _ => None,
    };
    Reckoned {
        value: left.value * right.value,
        off: (left.value * right.off).abs() + (right.value * left.off).abs(),
        dimension,
    }
}

fn inverse(reckoned: Reckoned) -> Reckoned {
    Reckoned {
        value: 1.0 / reckoned.value,
        off: reckoned.off / (reckoned.value * reckoned.value),
        dimension: reckoned
            .dimension
            .map(|d| d.checked_pow(Exponent::whole(-1)).unwrap()),
    }
}

fn alike(left: Option<Dimension>, right: Option<Dimension>, maths: &Maths) -> Option<Dimension> {
    if let (Some(left), Some(right)) = (left, right) {
        assert_eq!(left, right, "{}", maths.text());
    }
    left.or(right)
}

fn simple(value: f64) -> Exponent {
    let halves = (2.0 * value).round() as i32;
    Exponent::new(halves, 2).unwrap()
}

/// A number with its unit as printed; half a unit in its last place is how far it may be off.
fn amount(number: &str, unit: &str) -> Reckoned {
    let (numeral, unit) = numeral(number, unit);
    Reckoned {
        value: Quantity { numeral, unit }.si(),
        off: unit.factor() * numeral.half_unit(numeral.figures().most),
        dimension: (!numeral.is_zero()).then(|| unit.dimension()),
    }
}

/// A number and its unit, read back.
fn numeral(number: &str, unit: &str) -> (Numeral, Unit) {
    let ascii = number.replace(MINUS, "-").replace(NARROW, "");
    let ascii = match ascii.split_once("×10") {
        Some((digits, power)) => {
            let power: String = power
                .chars()
                .map(
                    |digit| match "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().position(|c| c == digit) {
                        Some(value) => char::from_digit(value as u32, 10).unwrap(),
                        None => '-',
                    },
                )
                .collect();
            format!("{digits}e{power}")
        }
        None => ascii,
    };
    let numeral = Numeral::parse(&ascii).unwrap();
    let unit = match unit
        .trim_start_matches(NARROW)
        .replace(NARROW, " ")
        .as_str()
    {
        "" => Unit::ONE,
        other => Unit::parse(other).unwrap_or_else(|error| panic!("{other}: {error:?}")),
    };
    (numeral, unit)
}

/// A name of the file as `worked` sets it, found by setting it once.
fn as_set(name: &str) -> (String, String) {
    match worked::set_name(name) {
        Maths::Name { letter, below } => (letter, below),
        other => panic!("{name} is set as {other:?}"),
    }
}

fn held_true(plan: &Plan, key: &Key) {
    for (at, solution) in worked::solutions(plan, key).iter().enumerate() {
        Reader::new(plan, key, at).hold_solution(solution);
    }
}

#[test]
fn shipped_problems_are_worked() {
    for code in SHIPPED {
        let desk = Desk::shipped(code);
        insta::assert_snapshot!(
            format!("worked-{code}"),
            explain::worked(&desk.plan, &desk.drawn("004071"), DecimalMark::Point)
        );
    }
}

#[test]
fn every_line_is_true_for_every_student_and_nothing_is_left_to_trial() {
    for code in SHIPPED {
        let desk = Desk::shipped(code);
        for student in 0..60 {
            let key = desk.drawn(&student.to_string());
            held_true(&desk.plan, &key);
            let text = explain::worked(&desk.plan, &key, DecimalMark::Point);
            assert!(!text.contains("numerically"), "{text}");
            assert!(
                !text.contains(['{', '}']) && !text.contains("not a number"),
                "{text}"
            );
        }
    }
}

fn published() -> Vec<(String, Desk)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/published");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .collect();
    paths.sort();
    let desk = |path: std::path::PathBuf| {
        let code = path.file_stem().unwrap().to_str().unwrap().to_owned();
        (code, Desk::of(&std::fs::read_to_string(&path).unwrap()))
    };
    paths.into_iter().map(desk).collect()
}

#[test]
fn published_examples_are_worked() {
    let published = published();
    assert_eq!(published.len(), 23);
    let mut all = String::new();
    for (_, desk) in &published {
        let key = desk.key(&[]);
        all += &explain::worked(&desk.plan, &key, DecimalMark::Point);
        all.push('\n');
    }
    insta::assert_snapshot!("worked-published", all);
    for (_, desk) in &published {
        held_true(&desk.plan, &desk.key(&[]));
    }
}

/// The books' answers that are correct roundings and have three figures, as our keys are asked for: the
/// worked solution ends in the very digits that are printed.
#[test]
fn worked_solutions_end_in_the_printed_numbers() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/published/answers.csv");
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_path(file)
        .unwrap();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let mut compared = Vec::new();
    for (code, desk) in published() {
        let key = desk.key(&[]);
        let solution = worked::solutions(&desk.plan, &key).remove(0);
        for part in solution.parts {
            let Outcome::Answer { chain, .. } = part.outcome else {
                continue;
            };
            let (_, Maths::Amount { number, .. }) = &chain.rest[0] else {
                panic!("{}", chain.text());
            };
            let number = number.replace(MINUS, "-").replace(NARROW, "");
            let figures = Numeral::parse(&number).unwrap().figures();
            let printed = rows
                .iter()
                .filter(|row| row[0] == code && row[1] == part.id && &row[5] == "OK");
            for row in printed {
                let entry = row[2].split(' ').next().unwrap();
                let numeral = Numeral::parse(entry).unwrap();
                if numeral.figures() == figures {
                    assert_eq!(number, entry, "{code} {}", part.id);
                    compared.push(format!("{code} {}", part.id));
                }
            }
        }
    }
    assert!(compared.len() >= 30, "{compared:?}");
}
