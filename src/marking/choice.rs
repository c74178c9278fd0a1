//! Parts answered by a word.
//!
//! In: the conditions of the options and slots. Out: the option that holds, if exactly one does.

use crate::formula::condition::Judge;

/// The one option whose condition holds; nothing where none or several do.
pub fn holding(judges: &[Judge], slots: &[f64]) -> Option<usize> {
    let mut holding = judges
        .iter()
        .enumerate()
        .filter(|(_, judge)| judge.holds(slots));
    match (holding.next(), holding.next()) {
        (Some((option, _)), None) => Some(option),
        _ => None,
    }
}
