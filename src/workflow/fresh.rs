//! Draws numbers beside those that are out.
//!
//! In: a prepared sheet, the papers that are out, and for whom. Out: for each of them the numbers of every
//! problem, unlike all that they had, and unlike everybody's while the draws last. Refused: draws that
//! cannot be made.

use crate::plan::Plan;
use crate::quantity::Quantity;
use crate::record::Issue;
use crate::variant::{Allocator, NoDraw, PRACTICE, Space};

use super::drawn::values;
use super::{Failure, Prepared};

/// A student of a class, and the number of the paper they get.
#[derive(Clone, Copy, Debug)]
pub(super) struct To<'a> {
    pub(super) student: &'a str,
    pub(super) number: u32,
}

/// The numbers of each problem, what is practised being drawn for each student even where papers come in
/// versions; one list after the other, in the order of `to`; the order in which they are
/// drawn is another, which that of a roster does not change.
pub(super) fn beside(
    prepared: &Prepared,
    spaces: &[Space<'_>],
    class: &str,
    out: &[Issue],
    to: &[To<'_>],
) -> Result<Vec<Vec<Vec<Quantity>>>, Failure> {
    let held = held(&prepared.plan, out);
    let mut drawn: Vec<Vec<Vec<Quantity>>> = vec![Vec::new(); to.len()];
    for (problem, space) in spaces.iter().enumerate() {
        let of_problem = |held: &Held<'_>| held.values.get(problem).cloned().unwrap_or_default();
        let issued: Vec<Vec<Quantity>> = held.iter().map(of_problem).collect();
        let taken = space.taken(issued.iter().map(Vec::as_slice));
        let mut allocator = Allocator::new(space, taken);
        let mut order: Vec<usize> = (0..to.len()).collect();
        order.sort_by_key(|at| (space.place(to[*at].student), to[*at].student));
        for at in order {
            let To { student, number } = to[at];
            let own = held
                .iter()
                .zip(&issued)
                .filter(|(held, _)| held.issue.class == class && held.issue.student == student);
            let own: Vec<u64> = own
                .filter_map(|(_, values)| space.picks_of(values))
                .map(|picks| space.mark(&picks))
                .collect();
            let drawn_for = match number {
                PRACTICE.. => allocator.next_own(student, number, &own),
                _ => allocator.next(student, number, &own),
            };
            drawn_for.map_err(|error| no_draw(prepared, problem, &error))?;
            let picks = allocator.picks().to_vec();
            drawn[at].push(space.values(&picks).collect());
        }
    }
    Ok(drawn)
}

/// What cannot be drawn, as a failure of the input.
pub(super) fn no_draw(prepared: &Prepared, problem: usize, error: &NoDraw) -> Failure {
    let finding = error.diagnostic(&prepared.plan.sheet.problems[problem]);
    Failure::input(vec![finding], prepared.sources.clone())
}

/// What somebody holds, as far as it can be drawn today.
struct Held<'a> {
    issue: &'a Issue,
    values: Vec<Vec<Quantity>>,
}

fn held<'a>(plan: &Plan, out: &'a [Issue]) -> Vec<Held<'a>> {
    let held = out.iter().map(|issue| Held {
        issue,
        // What fits the file no more is in nobody's way.
        values: values(plan, issue).unwrap_or_default(),
    });
    held.collect()
}
