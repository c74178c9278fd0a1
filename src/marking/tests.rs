//! Windows, figures, units and costs by themselves, a case a line. Whole papers are held to the
//! rules in `tests/suite/marking.rs`.

use rust_decimal::Decimal;

use super::figures::{self, Asked, FiguresVerdict};
use super::points::{self, Charger, Earned};
use super::unit::{self, UnitVerdict};
use super::window::{How, Stated, Window, half_unit_of};
use crate::answer::{self, Context, Reading, Value, Written};
use crate::assignment::Sign;
use crate::assignment::{Charge, FiguresRule, Late, Leniency, Units};
use crate::quantity::{Numeral, Unit};
use crate::text::DecimalMark;

fn stated(text: &str) -> Stated {
    Stated::decimal(Numeral::parse(text).unwrap(), &Unit::ONE)
}

fn written(text: &str) -> Written {
    match answer::read(text, &Context::plain(DecimalMark::Point)) {
        Reading::One(written) => written,
        other => panic!("{text}: {other:?}"),
    }
}

#[test]
fn the_narrowest_way_to_fit_is_named() {
    use How::{Allowance, Rounded, Tolerance, Truncated};
    let bare = Window {
        truncated: Some(2),
        ..Window::declared(0.0, Sign::Fixed)
    };
    let wide = Window {
        declared: 0.03,
        ..bare
    };
    let loose = Window {
        allowance: 0.02,
        ..bare
    };
    let strict = Window {
        truncated: None,
        ..bare
    };
    let sizes = Window {
        sign: Sign::Size,
        ..bare
    };
    for (entry, value, window, expected) in [
        ("3.27", 3.2667, bare, Some((Rounded, 3))),
        ("3.26", 3.2667, bare, Some((Truncated, 3))),
        ("3.26", 3.2667, strict, None),
        ("-3.26", -3.2667, bare, Some((Truncated, 3))),
        ("-3.26", 3.2667, bare, None),
        ("-3.27", 3.2667, sizes, Some((Rounded, 3))),
        // To one figure nothing is cut off.
        ("3", 3.7, bare, None),
        // Cutting off goes towards zero.
        ("3.28", 3.2667, bare, None),
        ("-3.28", -3.2667, bare, None),
        ("3.28", 3.2667, wide, Some((Tolerance, 3))),
        ("3.26", 3.2667, wide, Some((Tolerance, 3))),
        ("3.27", 3.2667, wide, Some((Rounded, 3))),
        ("3.29", 3.2667, loose, Some((Allowance, 3))),
        ("3.26", 3.2667, loose, Some((Allowance, 3))),
        ("3.30", 3.2667, loose, None),
        // Exact ties, and one beyond each.
        ("0.562", 0.5625, strict, Some((Rounded, 3))),
        ("0.563", 0.5625, strict, Some((Rounded, 3))),
        ("0.562", 0.56251, strict, None),
        ("0.563", 0.56249, strict, None),
        // Ambiguous zeros: the most figures that fit.
        ("3900", 3935.5, bare, Some((Rounded, 2))),
        ("3930", 3935.5, bare, Some((Truncated, 3))),
        ("3940", 3935.5, bare, Some((Rounded, 3))),
        ("3936", 3935.5, bare, Some((Rounded, 4))),
        ("4000", 3935.5, bare, Some((Rounded, 1))),
        ("30", 29.7, bare, Some((Rounded, 2))),
        ("30", 34.0, bare, Some((Rounded, 1))),
        ("30.", 34.0, bare, None),
        // Zero has no neighbours.
        ("0", 0.0, bare, Some((Rounded, 1))),
        ("0.001", 0.0, bare, None),
        ("0.001", 0.0, wide, Some((Tolerance, 1))),
        ("1", f64::NAN, wide, None),
        ("1", f64::INFINITY, wide, None),
    ] {
        let found = window.fit(stated(entry), value);
        let found = found.map(|fit| (fit.how, fit.most_figures));
        assert_eq!(found, expected, "{entry} for {value}");
    }
}

/// Never more than 2 % or twice the tolerance, however ill-conditioned the way.
#[test]
fn an_allowance_is_capped() {
    let window = |declared| Window {
        allowance: 50.0,
        ..Window::declared(declared, Sign::Fixed)
    };
    for (entry, declared, fits) in [
        ("102.0", 0.0, true),
        ("102.1", 0.0, false),
        ("98.0", 0.0, true),
        ("97.9", 0.0, false),
        ("103.0", 1.5, true),
        ("103.1", 1.5, false),
        ("102.1", 0.5, false),
    ] {
        let window = window(declared);
        let found = window.fit(stated(entry), 100.0);
        assert_eq!(found.is_some(), fits, "{entry} with {declared}");
        assert!(
            !fits || window.within_reach(stated(entry), 100.0),
            "{entry}"
        );
        // Where the tolerance itself takes nothing, it still bounds the allowance.
        let by_rounding = Window {
            by_rounding: true,
            ..window
        };
        let found = by_rounding.fit(stated(entry), 100.0);
        assert_eq!(
            found.is_some(),
            fits,
            "{entry} with {declared}, by rounding"
        );
    }
    let near = Window {
        by_rounding: true,
        ..Window::declared(1.5, Sign::Fixed)
    };
    assert_eq!(near.fit(stated("101.0"), 100.0), None);
}

#[test]
fn half_a_unit_is_in_the_last_figure_kept() {
    for (value, figures, size, expected) in [
        (3.2667, 3, 1.0, 0.005),
        (-32.667, 3, 1.0, 0.05),
        (1000.0, 3, 1.0, 5.0),
        (999.9, 3, 1.0, 0.5),
        (0.0123, 2, 1.0, 0.0005),
        // 15 cm to two figures, in metres.
        (0.15, 2, 0.01, 0.005),
        (0.0, 3, 1.0, 0.0),
        (f64::NAN, 3, 1.0, 0.0),
    ] {
        let found = half_unit_of(value, figures, size);
        assert!(
            (found - expected).abs() <= 1e-15 * expected,
            "{value}: {found}"
        );
    }
}

#[test]
fn figures_are_taken_from_one_fewer_to_two_more() {
    use FiguresVerdict::{AsAsked, Taken, TooFew, TooMany};
    let judge = |text: &str, rule, data| {
        let figures = Numeral::parse(text).unwrap().figures();
        figures::judge(Some(figures), Asked::of(rule, data), Leniency::Take)
    };
    for (text, rule, data, expected) in [
        ("3.27", FiguresRule::Asked(3), 9, AsAsked),
        ("3.3", FiguresRule::Asked(3), 9, Taken),
        ("3", FiguresRule::Asked(3), 9, TooFew),
        ("3.2667", FiguresRule::Asked(3), 9, Taken),
        ("3.26667", FiguresRule::Asked(3), 9, TooMany),
        ("3", FiguresRule::Asked(2), 9, TooFew),
        ("3.3", FiguresRule::Asked(1), 9, Taken),
        ("3", FiguresRule::Asked(1), 9, AsAsked),
        ("3.27", FiguresRule::Data, 3, AsAsked),
        ("3", FiguresRule::Data, 1, AsAsked),
        ("3.3", FiguresRule::Range(2, 4), 9, AsAsked),
        ("3.267", FiguresRule::Range(2, 4), 9, AsAsked),
        ("3.2667", FiguresRule::Range(2, 4), 9, TooMany),
        ("3", FiguresRule::Range(2, 4), 9, TooFew),
        // Ambiguous zeros count as kindly as they can.
        ("3900", FiguresRule::Asked(3), 9, AsAsked),
        ("30000", FiguresRule::Asked(3), 9, AsAsked),
        ("400", FiguresRule::Asked(3), 9, AsAsked),
        ("40", FiguresRule::Asked(4), 9, TooFew),
        ("0.030", FiguresRule::Asked(2), 9, AsAsked),
        ("30.", FiguresRule::Asked(2), 9, AsAsked),
        ("3.0e1", FiguresRule::Asked(2), 9, AsAsked),
    ] {
        assert_eq!(
            judge(text, rule, data),
            expected,
            "{text} by {rule:?} of {data}"
        );
    }
    let asked = Asked::of(FiguresRule::Asked(3), 9);
    for (leniency, expected) in [
        (Leniency::Take, FiguresVerdict::Exact),
        (Leniency::Charge, FiguresVerdict::Unevaluated),
    ] {
        assert_eq!(figures::judge(None, asked, leniency), expected);
    }
    // Two at least, those asked for at most.
    for (written, expected) in [
        (Some(1), 2),
        (Some(2), 2),
        (Some(3), 3),
        (Some(5), 3),
        (None, 3),
    ] {
        assert_eq!(asked.carried(written), expected, "{written:?}");
    }
}

#[test]
fn a_number_is_measured_in_its_unit() {
    use UnitVerdict::{Converted, Equivalent, Missing, Printed, Same, WrongDimension};
    for (entry, asked, units, verdict, value, bare) in [
        ("3.27 m/s^2", "m/s^2", Units::Written, Same, 3.27, None),
        ("3.27 N/kg", "m/s^2", Units::Written, Equivalent, 3.27, None),
        (
            "327 cm/s^2",
            "m/s^2",
            Units::Written,
            Converted,
            3.27,
            Some(327.0),
        ),
        ("3.27", "m/s^2", Units::Written, Missing, 3.27, None),
        ("3.27", "cm/s^2", Units::Written, Missing, 0.0327, None),
        ("3.27", "", Units::Written, Same, 3.27, None),
        (
            "3.27 kg",
            "m/s^2",
            Units::Written,
            WrongDimension,
            3.27,
            None,
        ),
        (
            "3.27 kg",
            "cm/s^2",
            Units::Written,
            WrongDimension,
            0.0327,
            None,
        ),
        ("3.27", "m/s^2", Units::Printed, Printed, 3.27, None),
        (
            "327 cm/s^2",
            "m/s^2",
            Units::Printed,
            Printed,
            3.27,
            Some(327.0),
        ),
        ("3.27 kg", "m/s^2", Units::Printed, Printed, 3.27, None),
        (
            "36 km/h",
            "m/s",
            Units::Written,
            Converted,
            10.0,
            Some(36.0),
        ),
        (
            "180 deg",
            "rad",
            Units::Written,
            Converted,
            std::f64::consts::PI,
            Some(180.0),
        ),
        ("5 N m", "J", Units::Written, Equivalent, 5.0, None),
        (
            "49/15 N",
            "kN",
            Units::Written,
            Converted,
            49.0 / 15.0,
            Some(49000.0 / 15.0),
        ),
    ] {
        let written = written(entry);
        let asked = if asked.is_empty() {
            Unit::ONE
        } else {
            Unit::parse(asked).unwrap()
        };
        let found = unit::measure(&written, written.value, &asked, units);
        let near = |x: f64, y: f64| (x - y).abs() <= 1e-12 * y.abs();
        assert_eq!(found.verdict, verdict, "{entry}");
        assert!(
            near(found.stated.value, value),
            "{entry}: {}",
            found.stated.value
        );
        assert_eq!(found.bare.is_some(), bare.is_some(), "{entry}");
        let pair = found.bare.zip(bare);
        assert!(pair.is_none_or(|(x, y)| near(x.value, y)), "{entry}");
        let is_exact = matches!(written.value, Value::Evaluated(_));
        assert_eq!(found.stated.half == 0.0, is_exact, "{entry}");
    }
}

fn decimal(text: &str) -> Decimal {
    text.parse().unwrap()
}

#[test]
fn costs_are_taken_in_turn() {
    /// Value points, share, unit fault, figures fault; then unit cost, figures cost, points.
    type Case = (
        &'static str,
        &'static str,
        Option<&'static str>,
        Option<&'static str>,
        [&'static str; 3],
    );
    let run = |charge, cases: &[Case]| {
        let mut charger = Charger::new(charge);
        for (at, (value, share, unit, figures, expected)) in cases.iter().enumerate() {
            let earned = Earned {
                value_points: decimal(value),
                share: decimal(share),
                working: Decimal::ONE,
                unit_fault: unit.map(decimal),
                figures_fault: figures.map(decimal),
            };
            let found = charger.part(&earned);
            let expected = expected.map(decimal);
            assert_eq!(
                [found.unit_cost, found.figures_cost, found.points],
                expected,
                "part {at}, {charge:?}"
            );
        }
    };
    run(
        Charge::Once,
        &[
            // Nothing to take: the charge waits.
            ("2", "0", Some("1"), Some("0.5"), ["0", "0", "1"]),
            // Half a point to take: the unit takes it, the figures wait.
            ("1", "0.5", Some("1"), Some("0.5"), ["0.5", "0", "1"]),
            ("2", "1", Some("1"), Some("0.5"), ["0", "0.5", "2.5"]),
            ("2", "1", Some("1"), Some("0.5"), ["0", "0", "3"]),
        ],
    );
    run(
        Charge::Each,
        &[
            ("2", "1", Some("1"), Some("0.5"), ["1", "0.5", "1.5"]),
            ("2", "1", Some("1"), None, ["1", "0", "2"]),
            ("2", "0.25", Some("1"), Some("0.5"), ["0.5", "0", "1"]),
            ("2", "1", None, Some("5"), ["0", "2", "1"]),
        ],
    );
}

#[test]
fn a_paper_loses_no_more_than_it_earned() {
    for (earned, cost, expected) in [
        ("5", "1", "-1"),
        ("0.5", "1", "-0.5"),
        ("0", "1", "0"),
        ("5", "0", "0"),
    ] {
        assert_eq!(
            points::paper_cost(decimal(earned), decimal(cost)),
            decimal(expected),
            "{earned} {cost}"
        );
    }
    let rule = |per_day, at_most| Late {
        per_day: decimal(per_day),
        at_most: decimal(at_most),
    };
    for (earned, days, per_day, at_most, expected) in [
        ("10", 0, "0.1", "0.5", "0"),
        ("10", 1, "0.1", "0.5", "-1"),
        ("10", 3, "0.1", "0.5", "-3"),
        ("10", 5, "0.1", "0.5", "-5"),
        ("10", 6, "0.1", "0.5", "-5"),
        ("10", 4_000_000_000, "0.1", "0.5", "-5"),
        ("10", 3, "0.5", "1", "-10"),
        ("0", 3, "0.1", "0.5", "0"),
        ("-1", 3, "0.1", "0.5", "0"),
    ] {
        let found = points::late(decimal(earned), days, Some(&rule(per_day, at_most)));
        assert_eq!(found, decimal(expected), "{earned} {days}");
    }
    assert_eq!(points::late(decimal("10"), 9, None), Decimal::ZERO);
}
