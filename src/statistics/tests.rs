//! Item analysis against published and independent figures.

use std::str::FromStr as _;

use rust_decimal::Decimal;

use super::*;

fn cell(points: Decimal, out_of: Decimal) -> Cell {
    let verdict = match points {
        points if points == out_of => Verdict::Right,
        points if points.is_zero() => Verdict::Wrong,
        _ => Verdict::Slip,
    };
    Cell {
        points,
        verdict,
        unit: false,
        figures: false,
    }
}

fn paper(cells: Vec<Cell>) -> Paper {
    Paper {
        total: cells.iter().map(|cell| cell.points).sum(),
        cells,
        drawn: Vec::new(),
    }
}

fn parts(out_of: &[i64]) -> Vec<Part> {
    let names = ["a", "b", "c", "d", "e"];
    let parts = names.iter().zip(out_of);
    parts
        .map(|(id, out_of)| Part {
            id: (*id).to_owned(),
            problem: 0,
            out_of: Decimal::from(*out_of),
        })
        .collect()
}

#[track_caller]
fn near(found: Option<f64>, expected: f64) {
    let found = found.expect("a figure");
    // Printed to three places.
    let half = 0.000_5 + 1e-12;
    assert!((found - expected).abs() <= half, "{found} for {expected}");
}

/// LSAT section 6 (Bock & Lieberman 1970), 1000 persons on five items; printed figures from the
/// documentation of the R package mirt 1.40.
#[test]
fn lsat_6_gives_every_printed_figure() {
    let table = include_str!("../../tests/data/lsat6.csv");
    let mut papers = Vec::new();
    for line in table.lines().skip(1) {
        let (pattern, persons) = line.split_once(',').unwrap();
        for _ in 0..persons.parse::<usize>().unwrap() {
            let cells = pattern.chars();
            let cells = cells.map(|c| cell(Decimal::from(c.to_digit(10).unwrap()), Decimal::ONE));
            papers.push(paper(cells.collect()));
        }
    }
    let found = analyse(&parts(&[1; 5]), &[], &papers);
    assert_eq!(found.papers, 1000);
    near(found.totals.mean.map(moments::f64_of), 3.819);
    near(found.totals.sd, 1.035);
    let reliability = found.reliability.unwrap();
    assert_eq!((reliability.over, reliability.items), (Over::Parts, 5));
    near(Some(reliability.alpha), 0.295);
    let printed = [
        (0.924, 0.362, 0.113, 0.275),
        (0.709, 0.567, 0.153, 0.238),
        (0.553, 0.618, 0.173, 0.217),
        (0.763, 0.534, 0.144, 0.246),
        (0.870, 0.435, 0.122, 0.266),
    ];
    for (part, (facility, item_total, item_rest, without)) in found.parts.iter().zip(printed) {
        near(part.facility.map(|f| f.share), facility);
        near(part.item_total, item_total);
        near(part.item_rest, item_rest);
        near(part.without, without);
        assert!(part.upper_lower.unwrap() > 0.0);
    }
    // scipy's intervals; see `tests/scripts/item_statistics.py`.
    let intervals = include_str!("../../tests/data/lsat6_intervals.csv");
    for (part, line) in found.parts.iter().zip(intervals.lines().skip(1)) {
        let expected: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
        let found = part.facility.unwrap();
        let found = [found.share * 1000.0, found.interval.0, found.interval.1];
        for (found, expected) in found.iter().zip(&expected) {
            assert!(
                (found - expected).abs() < 1e-12 * expected.max(1.0),
                "{line}: {found}"
            );
        }
    }
    // First wrong part and papers without one are all the papers there are.
    let firsts: usize = found.parts.iter().map(|part| part.first_wrong).sum();
    assert_eq!((firsts, found.unspoilt), (702, 298));
}

/// Partial credit against pingouin, scipy and numpy; see `tests/scripts/item_statistics.py`.
#[test]
fn partial_credit_agrees_with_general_libraries() {
    let points = include_str!("../../tests/data/partial_credit.csv");
    let out_of = [4, 3, 3, 2];
    let papers = points.lines().skip(1).map(|line| {
        let cells = line.split(',').skip(1).zip(out_of);
        let cells = cells
            .map(|(points, most)| cell(Decimal::from_str(points).unwrap(), Decimal::from(most)));
        paper(cells.collect())
    });
    let papers: Vec<Paper> = papers.collect();
    let found = analyse(&parts(&out_of), &[], &papers);
    let reliability = found.reliability.unwrap();
    let expected = include_str!("../../tests/data/partial_credit_statistics.csv");
    for line in expected.lines().skip(1) {
        let [name, part, value] = line.split(',').collect::<Vec<_>>()[..] else {
            panic!("{line}");
        };
        let of_part = found.parts.iter().find(|other| other.id == part);
        let value: f64 = value.parse().unwrap();
        let found = match name {
            "mean" => found.totals.mean.map(moments::f64_of),
            "median" => found.totals.median.map(moments::f64_of),
            "sd" => found.totals.sd,
            "alpha" => Some(reliability.alpha),
            "sem" => Some(reliability.sem),
            "facility" => of_part.and_then(|part| Some(part.facility?.share)),
            "low" => of_part.and_then(|part| Some(part.facility?.interval.0)),
            "high" => of_part.and_then(|part| Some(part.facility?.interval.1)),
            "upper_lower" => of_part.and_then(|part| part.upper_lower),
            "item_total" => of_part.and_then(|part| part.item_total),
            "item_rest" => of_part.and_then(|part| part.item_rest),
            "without" => of_part.and_then(|part| part.without),
            other => panic!("{other}"),
        };
        let found = found.unwrap_or_else(|| panic!("{line}"));
        assert!((found - value).abs() < 1e-12, "{line}: {found}");
    }
}

/// NIST StRD, univariate, NumAcc1 to NumAcc4: mean and standard deviation are exact by construction.
#[test]
fn sums_stay_exact_far_from_zero() {
    let of = |first: &str, low: &str, high: &str, pairs: usize| {
        let [first, low, high] = [first, low, high].map(|text| Decimal::from_str(text).unwrap());
        let rest = (0..pairs).flat_map(move |_| [low, high]);
        Moments::of(std::iter::once(first).chain(rest))
    };
    for (moments, mean, sd) in [
        (of("10000001", "10000003", "10000002", 1), "10000002", 1.0),
        (of("1.2", "1.1", "1.3", 500), "1.2", 0.1),
        (
            of("1000000.2", "1000000.1", "1000000.3", 500),
            "1000000.2",
            0.1,
        ),
        (
            of("10000000.2", "10000000.1", "10000000.3", 500),
            "10000000.2",
            0.1,
        ),
    ] {
        assert_eq!(moments.mean(), Some(Decimal::from_str(mean).unwrap()));
        let found = moments.sd().unwrap();
        assert!((found - sd).abs() <= 2.0 * f64::EPSILON, "{found} for {sd}");
    }
}

#[test]
fn what_cannot_be_said_is_left_out() {
    let none = analyse(&parts(&[1, 2]), &[], &[]);
    assert_eq!(
        (none.papers, none.totals.mean, none.totals.sd),
        (0, None, None)
    );
    assert_eq!(none.parts[0].facility, None);
    let some = |count: usize, points: &dyn Fn(usize) -> i64| {
        let papers = (0..count).map(|at| {
            let points = Decimal::from(points(at));
            paper(vec![cell(points, Decimal::ONE), cell(points, Decimal::TWO)])
        });
        analyse(&parts(&[1, 2]), &[], &papers.collect::<Vec<_>>())
    };
    let one = some(1, &|_| 1);
    assert_eq!(
        (one.totals.median, one.totals.sd),
        (Some(Decimal::TWO), None)
    );
    // Under 15 papers counts alone, from 50 on everything.
    assert_eq!(some(14, &|at| at as i64 % 2).parts[0].facility, None);
    let warned = some(15, &|at| at as i64 % 2);
    assert!(warned.parts[0].facility.is_some() && warned.parts[0].upper_lower.is_none());
    assert!(some(50, &|at| at as i64 % 2).parts[0].upper_lower.is_some());
    // No spread: shares are known, and nothing is divided by nothing.
    for flat in [some(60, &|_| 0), some(60, &|_| 1)] {
        assert_eq!(flat.reliability, None);
        assert_eq!(flat.parts[0].item_rest, None);
        assert_eq!(flat.totals.sd, Some(0.0));
        assert!(flat.parts[0].facility.is_some());
    }
}

#[test]
fn equal_papers_share_the_edge_of_a_group() {
    // 10 papers: 2.7 in each group. The upper has the 3 and 1.7 of the two papers with 2.
    let points = [3, 2, 2, 1, 1, 1, 1, 0, 0, 0].map(Decimal::from);
    let found = groups::of(&points);
    let earned = |at: usize| points[at];
    let expected = (3.0 + 1.7 * 2.0) / 2.7 - 0.0;
    let found = found.difference(earned, Decimal::ONE).unwrap();
    assert!((found - expected).abs() < 1e-12, "{found}");
}

#[test]
fn hard_numbers_are_told_from_easy_ones() {
    let papers = (0..60).map(|at| {
        let points = Decimal::from(i64::from(at % 3 != 0));
        Paper {
            drawn: vec![f64::from(at % 3), f64::from(at % 7)],
            ..paper(vec![cell(points, Decimal::ONE)])
        }
    });
    let givens = ["m".to_owned(), "v".to_owned()];
    let found = analyse(&parts(&[1]), &givens, &papers.collect::<Vec<_>>());
    assert!(found.drawn[0].is_marked(60) && !found.drawn[1].is_marked(60));
}
