//! Whether the kinds of draws that a file mixes can come as often as it says.
//!
//! In: a problem's draws. Out: for each kind its share of them beside the one that is wanted, and a finding
//! for each kind of which there are none, too few for a class, or so few that they are hard to find; what the
//! shares leave is a kind, too.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;

use crate::diagnostic::{Diagnostic, Span};
use crate::text::counted;

use super::threshold::{CLASS, RARE};
use super::view::{View, percent};

/// What is not of any kind.
const REST: &str = "no kind";

/// A kind of draw.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct KindReport {
    /// Its name.
    pub name: String,
    /// The share of students who get one.
    pub of: Decimal,
    /// The share of all draws that are of it.
    pub draws: f64,
}

/// What is to be known of the kinds; empty where nothing is mixed.
pub(super) fn check(view: &View<'_>, found: &mut Vec<Diagnostic>) -> Vec<KindReport> {
    let kinds = &view.assignment.mix;
    let Some(first) = kinds.first() else {
        return Vec::new();
    };
    let counts = view.draws.kinds();
    let all = view.draws.len();
    let rest = all - counts.iter().sum::<usize>();
    let left = Decimal::ONE - kinds.iter().map(|kind| kind.of).sum::<Decimal>();
    let mut check = |name: &str, span: Span, count: usize, of: Decimal| {
        if let Some(message) = fault(view, name, count, of) {
            let help = "draws that break [require] are thrown away, and a draw is of the first kind \
                        that holds: change `when`, `of`, or the order of the kinds";
            found.push(view.warning(span, message).help(help));
        }
    };
    for (kind, count) in kinds.iter().zip(&counts) {
        let name = format!("the kind `{}`", crate::text::excerpt(&kind.name, 20));
        check(&name, kind.span, *count, kind.of);
    }
    if left > Decimal::ZERO {
        check(REST, first.span, rest, left);
    }
    let reports = kinds.iter().zip(counts).map(|(kind, count)| KindReport {
        name: kind.name.clone(),
        of: kind.of,
        draws: count as f64 / all.max(1) as f64,
    });
    reports.collect()
}

/// What is wrong where so many draws, called so, are to go to a share of the students.
fn fault(view: &View<'_>, name: &str, count: usize, of: Decimal) -> Option<String> {
    let all = view.draws.len();
    let is_every = view.draws.extent.of.is_some();
    let share = count as f64 / all.max(1) as f64;
    let wanted = of.to_f64().unwrap_or(0.0) * CLASS as f64;
    if count == 0 {
        return Some(match name {
            REST => {
                format!("all {all} draws are of some kind, but the shares leave students to none")
            }
            _ => format!("none of {all} draws is of {name}"),
        });
    }
    if is_every && (count as f64) < wanted {
        let wanted = wanted.ceil();
        let draws = match count {
            1 => "draw is",
            _ => "draws are",
        };
        let students = counted(wanted, "student");
        return Some(format!(
            "only {count} {draws} of {name}, for {students} of a class of {CLASS}"
        ));
    }
    (share < RARE).then(|| {
        format!(
            "draws of {name} are hard to find: {} of all",
            percent(share)
        )
    })
}
