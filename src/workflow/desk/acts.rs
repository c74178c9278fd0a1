//! Acts on the stack: what the teacher does is there at once, whatever the record says later.
//!
//! In: what is to be done, what was done, the record's answer. Out: acts with numbers, papers that stand as they
//! say. Acts that the record has not acknowledged yet carry provisional numbers, above all real ones
//! ([`Stack::provisional`]); [`Stack::acknowledge`] puts the real ones in their place.

use chrono::{DateTime, Utc};

use crate::record::{Act, ActId, Deed, NewAct, Standing, redo, undo};

use super::Stack;

/// Provisional numbers of acts begin here, far above those a record gives.
const PROVISIONAL: i64 = i64::MAX / 2;

impl Stack {
    /// Numbers for acts that the record has still to acknowledge: makes acts of what is to be done,
    /// in one group.
    pub fn provisional(&mut self, new: Vec<NewAct>) -> Vec<Act> {
        let group = ActId(PROVISIONAL + self.next);
        new.into_iter()
            .map(|new| {
                let id = ActId(PROVISIONAL + self.next);
                self.next += 1;
                Act {
                    id,
                    group,
                    at: new.at,
                    issue: new.issue,
                    deed: new.deed,
                }
            })
            .collect()
    }

    /// Does what was done: acts in their order, after all that are there already.
    pub fn apply(&mut self, acts: &[Act]) {
        let mut touched = Vec::new();
        for act in acts {
            let Some(&at) = self.by_issue.get(&act.issue) else {
                continue;
            };
            self.acts.push(act.clone());
            if matches!(act.deed, Deed::TakeBack { .. }) {
                let issue = act.issue;
                let own = self.acts.iter().filter(|act| act.issue == issue);
                self.papers[at].standing = Standing::of(own);
            } else {
                self.papers[at].standing.apply(act);
            }
            if !touched.contains(&at) {
                touched.push(at);
            }
        }
        for at in touched {
            self.mark(at);
        }
    }

    /// Puts the record's numbers in the place of provisional ones; `real` belongs to the acts from
    /// `first` on.
    pub fn acknowledge(&mut self, first: ActId, real: &[ActId]) {
        let renumbered = |id: ActId| {
            let behind = usize::try_from(id.0 - first.0).ok();
            behind.and_then(|behind| real.get(behind)).copied()
        };
        // Those that wait stand at the end.
        for act in self.acts.iter_mut().rev() {
            let waits = act.id.0 >= PROVISIONAL;
            if let Some(id) = renumbered(act.id) {
                act.id = id;
            }
            if let Some(id) = renumbered(act.group) {
                act.group = id;
            }
            if let Deed::TakeBack { act: back } = &mut act.deed
                && let Some(id) = renumbered(*back)
            {
                *back = id;
            }
            if !waits && act.group.0 < first.0 {
                break;
            }
        }
    }

    /// What undoes the last thing done, over all papers; what others did meanwhile is left to them.
    pub fn undo(&self, at: DateTime<Utc>) -> Vec<NewAct> {
        undo(&self.own_acts(), at)
    }

    /// What brings back what was undone last.
    pub fn redo(&self, at: DateTime<Utc>) -> Vec<NewAct> {
        redo(&self.own_acts(), at)
    }

    /// Whether something can be taken back.
    pub fn can_undo(&self) -> bool {
        let mut acts = self.acts.iter();
        acts.any(|act| act.deed.is_own() && !self.foreign.contains(&act.id))
    }

    /// All but what others did while the stack lay here. That they took something back holds here, too.
    fn own_acts(&self) -> Vec<Act> {
        let is_own = |act: &&Act| {
            !self.foreign.contains(&act.id) || matches!(act.deed, Deed::TakeBack { .. })
        };
        self.acts.iter().filter(is_own).cloned().collect()
    }
}
