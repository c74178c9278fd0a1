//! Diagnoses papers of a sheet, and marks them with what the scheme gives for a mistake found.
//!
//! In: a sheet, a student's key, a paper. Out: the paper marked; what may have been done, the best first, at
//! once where no answer is wrong. Marks depend on a diagnosis only where the scheme says so; elsewhere none is
//! made for them.

use rust_decimal::Decimal;

use crate::diagnosis::{self, Mistakes};
use crate::marking::{
    Diagnosed, Explanation, Key, Kind, Marked, Marker, Paper, Strength, Verdict, diagnosed_share,
};
use crate::plan::Plan;

/// Marks a paper.
pub(in crate::workflow) fn mark<'m>(
    plan: &Plan,
    mistakes: &dyn Fn() -> &'m Mistakes,
    marker: &mut Marker<'_>,
    (key, paper): (&Key, &Paper),
) -> Marked {
    let marked = marker.mark(key, paper);
    let wrong = marked.parts.iter().enumerate();
    let mut wrong = wrong.filter(|(_, mark)| mark.verdict == Verdict::Wrong);
    if wrong.all(|(at, _)| diagnosed_share(plan, at) <= Decimal::ZERO) {
        return marked;
    }
    let causes = causes(plan, mistakes(), marker, (key, paper), &marked);
    let mut diagnosed: Vec<Diagnosed> = Vec::new();
    for cause in causes.iter().filter(|cause| earns(cause)) {
        for &part in &cause.explains {
            let chance = cause.chance;
            match diagnosed.iter_mut().find(|known| known.part == part) {
                Some(known) => known.chance = known.chance.min(chance),
                None => diagnosed.push(Diagnosed { part, chance }),
            }
        }
    }
    marker.mark_diagnosed(key, paper, &diagnosed)
}

/// Whether an explanation is one that a share may be given for: slips have their own.
fn earns(cause: &Explanation) -> bool {
    cause.strength != Strength::Possible && cause.kind != Kind::Slip
}

/// What may have been done on a paper.
pub(in crate::workflow) fn causes(
    plan: &Plan,
    mistakes: &Mistakes,
    marker: &mut Marker<'_>,
    (key, paper): (&Key, &Paper),
    marked: &Marked,
) -> Vec<Explanation> {
    let is_wrong = |verdict| matches!(verdict, Verdict::Wrong | Verdict::Slip);
    if !marked.parts.iter().any(|mark| is_wrong(mark.verdict)) {
        return Vec::new();
    }
    diagnosis::diagnose(plan, mistakes, key, &marker.evidence(key, paper))
}

/// How many mistakes were not tried on a wrong paper of which nothing is known, since that would have taken too
/// much work.
pub(in crate::workflow) fn untried(
    plan: &Plan,
    mistakes: &Mistakes,
    marker: &mut Marker<'_>,
    (key, paper): (&Key, &Paper),
    causes: &[Explanation],
) -> usize {
    let is_dear = |at| mistakes.share_of_budget(at) > 1.0;
    if !causes.is_empty() || !(0..plan.problems.len()).any(is_dear) {
        return 0;
    }
    diagnosis::untried(plan, mistakes, key, &marker.evidence(key, paper))
}
