//! Equations that are dear to diagnose.
//!
//! In: a problem and its mistakes. Out: a finding where the work that a diagnosis may take does not reach for
//! all of them.

use crate::diagnosis::Mistakes;
use crate::diagnostic::{Diagnostic, Place};
use crate::quantity::round_to_figures;

use super::view::View;

pub(super) fn check(
    view: &View<'_>,
    mistakes: &Mistakes,
    problem: usize,
    found: &mut Vec<Diagnostic>,
) {
    let share = mistakes.share_of_budget(problem);
    if share > 1.0 {
        // upwards, for "1.0 times" would say that there is nothing to say
        let upwards = match share < 10.0 {
            true => (share * 10.0).ceil() / 10.0,
            false => share.ceil(),
        };
        let message = format!(
            "looking for what was done wrong takes up to {} times the work allowed; where many answers are wrong, not every mistake is tried",
            round_to_figures(upwards, 2).trim_end_matches('.')
        );
        let file = &view.assignment.source.name;
        let warning = Diagnostic::warning(file, Place::File, message);
        found.push(warning.help("equations that say the same and are not linear take long to solve one by one: leave out those that can be spared, or write one solved for its unknown, such as `v = sqrt(2*a*s)`"));
    }
}
