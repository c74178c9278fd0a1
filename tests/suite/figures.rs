//! Counting and rounding of significant figures against what books print.
//!
//! CH2: OpenStax Chemistry 2e; CP2: College Physics 2e; UP1: University Physics 1; NIST SP 811,
//! section B.7.1. All in exact decimal.

use num_bigint::BigInt;
use num_rational::BigRational;
use paperweight::quantity::{Numeral, Tie};
use proptest::prelude::*;
use serde::Deserialize;

use crate::units::rows;

fn numeral(text: &str) -> Numeral {
    Numeral::parse(text).unwrap_or_else(|error| panic!("{text}: {error}"))
}

#[derive(Deserialize)]
struct Counted {
    number: String,
    least: u8,
    most: u8,
    source: String,
}

#[test]
fn counts_as_printed() {
    let table: Vec<Counted> = rows(include_str!("../data/figures.csv"));
    assert_eq!(table.len(), 28);
    for row in table {
        let figures = numeral(&row.number).figures();
        assert_eq!(
            (figures.least, figures.most),
            (row.least, row.most),
            "{} ({})",
            row.number,
            row.source
        );
    }
}

#[derive(Deserialize)]
struct Rounded {
    number: String,
    figures: u8,
    printed: String,
    half_even: String,
    half_up: String,
    tie: String,
    source: String,
}

#[test]
fn rounds_as_printed_by_both_rules() {
    let table: Vec<Rounded> = rows(include_str!("../data/rounding.csv"));
    assert_eq!(table.len(), 19);
    for row in table {
        let n = numeral(&row.number);
        let even = n.rounded(row.figures, Tie::Even).to_string();
        let away = n.rounded(row.figures, Tie::Away).to_string();
        let case = format!("{} ({})", row.number, row.source);
        assert_eq!((&even, &away), (&row.half_even, &row.half_up), "{case}");
        assert!(row.printed == even || row.printed == away, "{case}");
        let half = numeral(&even).half_unit(row.figures);
        let apart = (numeral(&row.printed).exact() - n.exact()).reduced();
        let is_tie = apart == half_of(half) || -apart == half_of(half);
        assert_eq!(is_tie, row.tie == "yes", "{case}");
    }
}

/// A power of ten times five, exactly, from its nearest double.
fn half_of(half: f64) -> BigRational {
    numeral(&format!("{half:e}")).exact()
}

#[derive(Deserialize)]
struct Operation {
    operation: String,
    operands: String,
    printed: String,
    source: String,
}

#[test]
fn operations_keep_the_figures_that_are_printed() {
    let table: Vec<Operation> = rows(include_str!("../data/figure_operations.csv"));
    assert_eq!(table.len(), 11);
    for row in table {
        let operands: Vec<Numeral> = row.operands.split(' ').map(numeral).collect();
        let fewest = |list: &[Numeral]| list.iter().map(|n| n.figures().most).min().unwrap();
        let (value, figures) = match (row.operation.as_str(), operands.as_slice()) {
            ("sum", list) => sum(list, 1),
            ("product", list) => (product(list), fewest(list)),
            // Exact numbers do not count.
            ("product with pi", list) => (
                product(list) * numeral("3.14159265358979323846").exact(),
                fewest(list),
            ),
            ("quotient of a difference", [over, a, b]) => {
                let (difference, figures) = sum(&[*a, b.negated()], 1);
                (over.exact() / difference, figures.min(over.figures().most))
            }
            other => panic!("{other:?}"),
        };
        for tie in [Tie::Away, Tie::Even] {
            let rounded = expansion(&value).rounded(figures, tie);
            assert!(
                rounded.same_value(&numeral(&row.printed)),
                "{} {}: {rounded} ({})",
                row.operation,
                row.operands,
                row.source
            );
            assert_eq!(
                numeral(&row.printed).figures().most,
                figures,
                "{}",
                row.operands
            );
        }
    }
}

fn product(list: &[Numeral]) -> BigRational {
    list.iter().map(Numeral::exact).product()
}

/// The exact sum and the figures it keeps: down to the coarsest last place.
fn sum(list: &[Numeral], least: u8) -> (BigRational, u8) {
    let total: BigRational = list.iter().map(Numeral::exact).sum();
    let last = list.iter().map(Numeral::last_place).max().unwrap();
    let figures = expansion(&total).first_place() - last + 1;
    (total, (figures as u8).max(least))
}

/// A ratio as a numeral of twenty decimals.
fn expansion(value: &BigRational) -> Numeral {
    let scaled = value * BigInt::from(10).pow(20);
    numeral(&format!("{}e-20", scaled.to_integer()))
}

/// A numeral as people may write it.
pub(crate) fn some_numeral() -> impl Strategy<Value = String> {
    let digits = prop_oneof!["[0-9]{1,12}", "[0-9]{1,12}\\.[0-9]{0,12}", "\\.[0-9]{1,12}"];
    (
        "[-+]?",
        digits,
        prop_oneof![3 => Just(String::new()), 1 => "[eE][-+]?[0-9]{1,2}"],
    )
        .prop_map(|(sign, digits, power)| format!("{sign}{digits}{power}"))
}

proptest! {
    #[test]
    fn prints_as_it_was_read(text in some_numeral()) {
        let n = numeral(&text);
        prop_assert_eq!(n.to_string(), text);
        prop_assert_eq!(Numeral::parse(&n.to_string()), Ok(n));
    }

    #[test]
    fn is_the_nearest_double(text in some_numeral()) {
        prop_assert_eq!(numeral(&text).to_f64(), text.parse::<f64>().unwrap());
    }

    #[test]
    fn half_a_unit_covers_rounding(text in some_numeral(), figures in 1u8..15) {
        let n = numeral(&text);
        for tie in [Tie::Away, Tie::Even] {
            let rounded = n.rounded(figures, tie);
            let apart = rounded.exact() - n.exact();
            let half = half_of(n.half_unit(figures));
            prop_assert!(apart <= half && -apart <= half, "{} to {}: {}", n, figures, rounded);
            prop_assert!(rounded.figures().least <= figures);
            prop_assert_eq!(rounded.rounded(figures, tie), rounded);
        }
    }

    #[test]
    fn a_step_is_exact(a in some_numeral(), b in some_numeral(), times in 0u64..1000) {
        let (a, b) = (numeral(&a), numeral(&b));
        if let Some(sum) = a.plus(&b, times) {
            prop_assert_eq!(sum.exact(), a.exact() + b.exact() * BigInt::from(times));
            prop_assert_eq!(Numeral::parse(&sum.to_string()), Ok(sum));
        }
    }

    #[test]
    fn any_text_is_read_or_refused(text in ".{0,30}") {
        if let Ok(n) = Numeral::parse(&text) {
            prop_assert_eq!(n.to_string(), text);
        }
    }
}
