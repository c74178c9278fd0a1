//! One part over all papers.
//!
//! In: papers, the points of each in all, the groups of strong and weak ones. Out: counts always; the
//! facility with an interval and the discrimination as the number of papers allows.

use rust_decimal::Decimal;

use crate::marking::Verdict;

use super::groups::Groups;
use super::moments::{Moments, Pairs, f64_of};
use super::{Paper, Part, Say};

/// Two-sided 95 % of the normal distribution.
const Z: f64 = 1.959_963_984_540_054;

/// The share of a part's points that was earned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Facility {
    /// 0 to 1.
    pub share: f64,
    /// Where it may lie, at 95 %: Wilson's interval of a part that is right or wrong (Wilson 1927, from
    /// memory; the tests hold it to scipy), else that of a mean.
    pub interval: (f64, f64),
}

/// How one part went.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PartAnalysis {
    /// Its id.
    pub id: String,
    /// The most points.
    pub out_of: Decimal,
    /// The points earned, over all papers.
    pub points: Decimal,
    /// Papers on which it is right.
    pub right: usize,
    /// On which it follows from what stands before.
    pub followed: usize,
    /// With a foreseen slip or a wrong sign.
    pub slip: usize,
    /// Wrong, several answers, or unreadable.
    pub wrong: usize,
    /// Left blank.
    pub blank: usize,
    /// Judged by eye.
    pub by_eye: usize,
    /// With a fault of the unit.
    pub unit: usize,
    /// With a fault of the figures.
    pub figures: usize,
    /// On which it is the first part that is wrong.
    pub first_wrong: usize,
    /// The share of points earned; from 15 papers on.
    pub facility: Option<Facility>,
    /// Correlation with the points of all parts; from 15 papers on.
    pub item_total: Option<f64>,
    /// The same with the part itself taken out of them; from 15 papers on.
    pub item_rest: Option<f64>,
    /// Upper group less lower, as a share of the points; from 50 papers on.
    pub upper_lower: Option<f64>,
    /// The reliability if the part were not there; from 15 papers on, where reliability is over parts.
    pub without: Option<f64>,
}

pub(super) fn analyse(
    at: usize,
    part: &Part,
    papers: &[Paper],
    sums: &[Decimal],
    groups: &Groups,
    first_wrong: usize,
) -> PartAnalysis {
    let cells = || papers.iter().filter_map(|paper| paper.cells.get(at));
    let points = |paper: usize| {
        let cell = papers[paper].cells.get(at);
        cell.map_or(Decimal::ZERO, |cell| cell.points)
    };
    let mut found = PartAnalysis {
        id: part.id.clone(),
        out_of: part.out_of,
        first_wrong,
        ..PartAnalysis::default()
    };
    for cell in cells() {
        let count = match cell.verdict {
            verdict if verdict.is_right() => &mut found.right,
            Verdict::Followed => &mut found.followed,
            Verdict::Slip | Verdict::WrongSign => &mut found.slip,
            Verdict::Blank => &mut found.blank,
            Verdict::ByEye => &mut found.by_eye,
            _ => &mut found.wrong,
        };
        *count += 1;
        found.unit += usize::from(cell.unit);
        found.figures += usize::from(cell.figures);
        found.points += cell.points;
    }
    let say = Say::of(papers.len());
    if say >= Say::Warned {
        let pairs = || (0..papers.len()).map(|paper| (points(paper), sums[paper]));
        found.facility = facility(part, (0..papers.len()).map(points));
        found.item_total = Pairs::of(pairs()).correlation();
        found.item_rest = Pairs::of(pairs().map(|(own, all)| (own, all - own))).correlation();
    }
    if say == Say::All {
        found.upper_lower = groups.difference(points, part.out_of);
    }
    found
}

/// The share of the points earned, with its interval.
fn facility(part: &Part, points: impl Iterator<Item = Decimal> + Clone) -> Option<Facility> {
    let out_of = f64_of(part.out_of);
    if out_of <= 0.0 {
        return None;
    }
    let moments = Moments::of(points.clone());
    let count = points.clone().count() as f64;
    let share = f64_of(moments.mean()?) / out_of;
    let all_or_nothing = points
        .clone()
        .all(|points| points.is_zero() || points == part.out_of);
    let interval = if all_or_nothing {
        wilson(share, count)
    } else {
        let half = Z * moments.sd()? / out_of / count.sqrt();
        ((share - half).max(0.0), (share + half).min(1.0))
    };
    Some(Facility { share, interval })
}

/// Wilson's score interval of a share among so many.
fn wilson(share: f64, count: f64) -> (f64, f64) {
    let z2 = Z * Z / count;
    let centre = (share + z2 / 2.0) / (1.0 + z2);
    let half = Z / (1.0 + z2) * (share * (1.0 - share) / count + z2 / (4.0 * count)).sqrt();
    ((centre - half).max(0.0), (centre + half).min(1.0))
}
