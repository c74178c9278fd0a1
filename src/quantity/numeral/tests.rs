//! What is kept of a numeral, and what is worked out from it.

use super::*;
use crate::quantity::Tie;

fn numeral(text: &str) -> Numeral {
    Numeral::parse(text).unwrap_or_else(|error| panic!("{text}: {error}"))
}

#[test]
fn prints_as_read() {
    for text in [
        "0",
        "00",
        "007",
        ".5",
        "5.",
        "-0.50",
        "+3",
        "3.270",
        "30.",
        "1.30e3",
        "1.30E+03",
        "6e-3",
        "0.000",
        "-0",
        "12345678901234567890123456789012345678",
        "1e-300",
        "0e5",
        "9.109e-31",
    ] {
        assert_eq!(numeral(text).to_string(), text);
    }
}

#[test]
fn refuses_what_is_not_a_numeral() {
    use NumeralError::*;
    for (text, error) in [
        ("", Empty),
        ("-", Unexpected { at: 1 }),
        (".", Unexpected { at: 1 }),
        ("3.2.1", Unexpected { at: 3 }),
        ("3 2", Unexpected { at: 1 }),
        ("--3", Unexpected { at: 1 }),
        ("3e", Unexpected { at: 1 }),
        ("e3", Unexpected { at: 0 }),
        ("3,2", Unexpected { at: 1 }),
        ("NaN", Unexpected { at: 0 }),
        ("inf", Unexpected { at: 0 }),
        ("٣", Unexpected { at: 0 }),
        ("1e400", OutOfRange),
        ("1e-400", OutOfRange),
        ("1e99999999999999999999", OutOfRange),
        (
            "123456789012345678901234567890123456789",
            TooManyDigits { found: 39 },
        ),
        (
            "0.00000000000000000000000000000000000001",
            TooManyDigits { found: 39 },
        ),
    ] {
        assert_eq!(Numeral::parse(text), Err(error), "{text}");
    }
}

#[test]
fn nearest_double() {
    for text in [
        "0.1",
        "3.27",
        "-2.5e-3",
        "9.109e-31",
        "6.62607015e-34",
        "123456789012345678901",
        "9007199254740993",
        "1.7976931348623157e308",
        "2.2250738585072014e-308",
        "8.41e21",
    ] {
        assert_eq!(
            numeral(text).to_f64(),
            text.parse::<f64>().unwrap(),
            "{text}"
        );
    }
}

#[test]
fn places_and_halves() {
    // text, first place, last place, figures asked, half a unit
    for (text, first, last, figures, half) in [
        ("3.27", 0, -2, 3, 0.005),
        ("3.27", 0, -2, 2, 0.05),
        ("3.27", 0, -2, 5, 0.005),
        ("1300", 3, 0, 2, 50.0),
        ("1300", 3, 0, 4, 0.5),
        ("0.030", -2, -3, 2, 0.0005),
        ("1.30e4", 4, 2, 3, 50.0),
        ("0.00", -2, -2, 3, 0.005),
    ] {
        let n = numeral(text);
        assert_eq!((n.first_place(), n.last_place()), (first, last), "{text}");
        assert_eq!(n.half_unit(figures), half, "{text}");
    }
}

#[test]
fn counts_figures_as_a_range() {
    for (text, least, most) in [
        ("30.", 2, 2),
        ("30", 1, 2),
        ("1300", 2, 4),
        ("0.030", 2, 2),
        ("3.0e1", 2, 2),
        ("30e1", 1, 2),
        ("6e3", 1, 1),
        ("0", 1, 1),
        ("0.00", 1, 3),
        ("007", 1, 1),
        (".50", 2, 2),
        ("100.", 3, 3),
        ("10.053", 5, 5),
        ("-0.50", 2, 2),
    ] {
        assert_eq!(numeral(text).figures(), Figures { least, most }, "{text}");
    }
}

#[test]
fn steps_are_exact_and_keep_the_decimals() {
    for (start, step, times, sum) in [
        ("6.0", "0.5", 3, "7.5"),
        ("6.0", "0.25", 2, "6.50"),
        ("6", "0.5", 2, "7.0"),
        ("0.1", "0.1", 2, "0.3"),
        ("-1.0", "0.5", 4, "1.0"),
        ("-1.0", "0.5", 1, "-0.5"),
        ("1.0e3", "0.5e3", 3, "2.5e3"),
        ("1.0e3", "50", 3, "1.150e3"),
        ("10.", "5", 2, "20."),
        ("9.5", "0.5", 1, "10.0"),
        ("6.0", "1e1", 1, "16.0"),
        ("1.0", "-0.2", 5, "0.0"),
    ] {
        let found = numeral(start).plus(&numeral(step), times);
        assert_eq!(
            found.map(|n| n.to_string()).as_deref(),
            Some(sum),
            "{start} + {times}·{step}"
        );
    }
    assert_eq!(numeral("1e300").plus(&numeral("1"), 1), None);
    assert_eq!(
        numeral("1")
            .plus(&numeral("1"), u64::MAX)
            .map(|n| n.to_string()),
        Some("18446744073709551616".to_owned())
    );
}

#[test]
fn rounds_in_decimal_by_both_rules() {
    for (text, figures, away, even) in [
        ("9.96", 2, "10.", "10."),
        ("135", 2, "140", "140"),
        ("125", 2, "130", "120"),
        ("1.25e3", 2, "1.3e3", "1.2e3"),
        ("9.96e3", 2, "1.0e4", "1.0e4"),
        ("3.2", 5, "3.2", "3.2"),
        ("12e3", 1, "10e3", "10e3"),
        ("0", 2, "0", "0"),
        ("-0.0250", 1, "-0.03", "-0.02"),
        ("99", 1, "100", "100"),
    ] {
        assert_eq!(
            numeral(text).rounded(figures, Tie::Away).to_string(),
            away,
            "{text}"
        );
        assert_eq!(
            numeral(text).rounded(figures, Tie::Even).to_string(),
            even,
            "{text}"
        );
    }
}

#[test]
fn values_compare_however_written() {
    for (a, b, same) in [
        ("3.0", "3", true),
        ("1300", "1.3e3", true),
        ("0", "-0.00", true),
        ("3", "-3", false),
        ("1e300", "1", false),
        ("0.1", "0.10001", false),
        ("1e30", "1e-30", false),
    ] {
        assert_eq!(numeral(a).same_value(&numeral(b)), same, "{a} {b}");
        assert_eq!(numeral(a).exact() == numeral(b).exact(), same, "{a} {b}");
    }
}

#[test]
fn only_a_last_five_can_lie_between() {
    for (text, expected) in [
        ("0.125", true),
        ("1.250", true),
        ("1.25e3", true),
        ("0", false),
        ("5.01", false),
        ("3.27", false),
        ("50", true),
        ("99999999999999999999999999999999999998", true),
    ] {
        let numeral = Numeral::parse(text).unwrap();
        assert_eq!(numeral.ends_in_five(), expected, "{text}");
    }
}
