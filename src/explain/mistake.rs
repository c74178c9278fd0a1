//! What went wrong with a part, for counting.
//!
//! In: a mark. Out: words that are the same for the same mistake; nothing where nothing went wrong.

use crate::marking::{PartMark, Reason, Verdict};
use crate::plan::Plan;

use super::reason::slip as slip_named;

/// Said of a wrong answer that is neither followed nor a foreseen slip: what may have been done all the same is
/// told apart.
pub const UNFORESEEN: &str = "nothing foreseen fits";

/// What went wrong with a part, in words that are the same for the same mistake.
pub fn mistake(plan: &Plan, at: usize, mark: &PartMark) -> Option<String> {
    match mark.verdict {
        Verdict::Slip => {
            let made = mark.reasons.iter().find_map(|reason| match reason {
                Reason::SlipMade { slip, .. } => {
                    let words = slip_named(plan, at, *slip);
                    Some(words.trim_start_matches("foreseen ").to_owned())
                }
                _ => None,
            });
            made.or_else(|| Some("a foreseen slip".to_owned()))
        }
        Verdict::WrongSign => Some("the sign".to_owned()),
        Verdict::Several => Some("several answers".to_owned()),
        Verdict::Blank => Some("blank".to_owned()),
        Verdict::Unreadable => Some("cannot be read".to_owned()),
        Verdict::Wrong => Some(format!("wrong, {UNFORESEEN}")),
        _ if mark.unit.is_some_and(|unit| unit.is_fault()) => Some("unit".to_owned()),
        _ if mark.figures.is_some_and(|figures| figures.is_fault()) => Some("figures".to_owned()),
        _ => None,
    }
}
