//! Diagnoses marked papers of a sheet.
//!
//! In: a sheet, a student's key, a paper and its marks. Out: what may have been done, the best first;
//! nothing, and at once, where no answer is wrong.

use crate::diagnosis::{self, Mistakes};
use crate::marking::{Explanation, Key, Marked, Marker, Paper, Verdict};
use crate::plan::Plan;

/// What may have been done on a paper.
pub(super) fn causes(
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
