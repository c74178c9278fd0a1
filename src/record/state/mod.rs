//! What stands on a paper, and what undo would take back.
//!
//! In: acts in the order in which they were done. Out: their fold. Acts that were taken back count
//! as never done; of the others about one thing the last one counts.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, Utc};
use rust_decimal::Decimal;
use rustc_hash::FxHashSet;

use super::act::{Act, ActId, Attendance, Charge, Deed, Keying, Message, NewAct, Proposal};

/// What was keyed for a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Keyed {
    /// What stands there, verbatim.
    Text(String),
    /// Something that cannot be read.
    Unreadable,
}

impl Keyed {
    /// As it stands in a file of answers, where question marks are for what cannot be read.
    pub fn as_entry(&self) -> &str {
        match self {
            Self::Text(text) => text,
            Self::Unreadable => "?",
        }
    }
}

/// Points that a teacher set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Adjustment {
    /// The points of the part.
    pub points: Decimal,
    /// Why.
    pub note: String,
    /// What may have been done, for the student, where a diagnosis was taken as the reason.
    pub hint: Option<String>,
    /// The act that set them.
    pub act: ActId,
}

/// What a second marker would give.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Opinion {
    /// The points.
    pub points: Decimal,
    /// Why.
    pub note: String,
}

/// What stands in the place for one part.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PartStanding {
    /// What was keyed.
    pub first: Option<Keyed>,
    /// What was keyed to compare.
    pub second: Option<Keyed>,
    /// How often the first was keyed.
    pub keyed_times: usize,
    /// Points for working, or by eye.
    pub working: Option<u8>,
    /// The teacher's own points.
    pub adjustment: Option<Adjustment>,
    /// What others would give, by marker.
    pub opinions: BTreeMap<String, Opinion>,
}

impl PartStanding {
    /// Whether both keyings are there and differ; blanks at either end make no difference.
    pub fn differs(&self) -> bool {
        match (&self.first, &self.second) {
            (Some(first), Some(second)) => first.as_entry().trim() != second.as_entry().trim(),
            _ => false,
        }
    }
}

/// What was accepted, by which act.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Accepted {
    /// The act.
    pub act: ActId,
    /// What the program proposed then.
    pub proposal: Proposal,
}

/// What stands on one paper.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Standing {
    /// By part id; a part that nobody touched is not there.
    pub parts: BTreeMap<String, PartStanding>,
    /// Numbers used in place of givens.
    pub misread: BTreeMap<String, String>,
    /// Charges let go, with the reason: of a part, or of the paper.
    pub waived: BTreeMap<(Option<String>, Charge), String>,
    /// Whether there is a paper, where that was said.
    pub attendance: Option<Attendance>,
    /// The day it was handed in, where that was said.
    pub handed_in: Option<NaiveDate>,
    /// When it was given back.
    pub returned: Option<DateTime<Utc>>,
    /// What the student is told in place of the program's words.
    pub message: Option<Message>,
    /// The proposal accepted last.
    pub accepted: Option<Accepted>,
}

impl Standing {
    /// A paper about which nothing was done.
    pub const NOTHING: Self = Self {
        parts: BTreeMap::new(),
        misread: BTreeMap::new(),
        waived: BTreeMap::new(),
        attendance: None,
        handed_in: None,
        returned: None,
        message: None,
        accepted: None,
    };

    /// Folds the acts about one paper, in their order.
    pub fn of<'a>(acts: impl IntoIterator<Item = &'a Act>) -> Self {
        let acts: Vec<&Act> = acts.into_iter().collect();
        let gone = taken_back(acts.iter().copied());
        let mut standing = Self::default();
        for act in acts.iter().filter(|act| !gone.contains(&act.id)) {
            standing.apply(act);
        }
        standing
    }

    /// Does one act more. Taking back is no single step: fold again with [`Standing::of`].
    pub fn apply(&mut self, act: &Act) {
        match &act.deed {
            Deed::Entry { part, keying, text } => {
                self.is_there_after_all();
                self.key(part, *keying, Some(Keyed::Text(text.clone())));
            }
            Deed::Unreadable { part, keying } => {
                self.is_there_after_all();
                self.key(part, *keying, Some(Keyed::Unreadable));
            }
            Deed::Clear { part, keying } => self.key(part, *keying, None),
            Deed::Working { part, points } => {
                if points.is_some() {
                    self.is_there_after_all();
                }
                self.part(part).working = *points;
            }
            Deed::Misread { given, value } => match value {
                Some(value) => {
                    self.misread.insert(given.clone(), value.clone());
                }
                None => {
                    self.misread.remove(given);
                }
            },
            Deed::Adjust {
                part,
                points,
                note,
                hint,
            } => {
                self.part(part).adjustment = points.map(|points| Adjustment {
                    points,
                    note: note.clone(),
                    hint: hint.clone(),
                    act: act.id,
                });
            }
            Deed::Waive {
                part,
                charge,
                waived,
                note,
            } => {
                let key = (part.clone(), *charge);
                if *waived {
                    self.waived.insert(key, note.clone());
                } else {
                    self.waived.remove(&key);
                }
            }
            Deed::Attend { attendance } => self.attendance = Some(*attendance),
            Deed::HandedIn { day } => self.handed_in = *day,
            Deed::Returned { on } => self.returned = Some(*on),
            Deed::Accept { proposal } => {
                self.accepted = Some(Accepted {
                    act: act.id,
                    proposal: proposal.clone(),
                });
            }
            Deed::Opinion {
                part,
                points,
                note,
                marker,
            } => {
                let opinion = Opinion {
                    points: *points,
                    note: note.clone(),
                };
                self.part(part).opinions.insert(marker.clone(), opinion);
            }
            Deed::Tell { message } => self.message.clone_from(message),
            Deed::TakeBack { .. } => {}
        }
    }

    /// Something is keyed from a paper that was said not to be there: it has turned up.
    fn is_there_after_all(&mut self) {
        if matches!(
            self.attendance,
            Some(Attendance::Absent | Attendance::Excused)
        ) {
            self.attendance = Some(Attendance::Present);
        }
    }

    /// What stands in the place for a part, if anything was done there.
    pub fn get(&self, part: &str) -> Option<&PartStanding> {
        self.parts.get(part)
    }

    /// What was keyed for a part the first time.
    pub fn entry(&self, part: &str) -> Option<&Keyed> {
        self.parts.get(part)?.first.as_ref()
    }

    /// Points keyed for a part's working, or for a part judged by eye.
    pub fn working(&self, part: &str) -> Option<u8> {
        self.parts.get(part)?.working
    }

    /// Whether a charge was let go: of a part, or, without one, of the paper.
    pub fn is_waived(&self, part: Option<&str>, charge: Charge) -> bool {
        let mut waived = self.waived.keys();
        waived.any(|(at, which)| at.as_deref() == part && *which == charge)
    }

    /// Whether anything says that there is a paper: an entry, points, a misread number, the day it
    /// was handed in, or the teacher's word. Without any of these the student counts as absent.
    pub fn has_paper(&self) -> bool {
        match self.attendance {
            Some(attendance) => attendance == Attendance::Present,
            None => self.handed_in.is_some() || self.is_keyed(),
        }
    }

    /// Whether anything was keyed from a paper: an entry, points, or a misread number.
    pub fn is_keyed(&self) -> bool {
        let mut parts = self.parts.values();
        !self.misread.is_empty() || parts.any(|part| part.first.is_some() || part.working.is_some())
    }

    fn part(&mut self, part: &str) -> &mut PartStanding {
        if !self.parts.contains_key(part) {
            self.parts.insert(part.to_owned(), PartStanding::default());
        }
        self.parts.entry(part.to_owned()).or_default()
    }

    fn key(&mut self, part: &str, keying: Keying, keyed: Option<Keyed>) {
        let part = self.part(part);
        match keying {
            Keying::First => {
                part.keyed_times += usize::from(keyed.is_some());
                part.first = keyed;
            }
            Keying::Second => part.second = keyed,
        }
    }
}

/// The acts that were taken back, of acts in their order.
pub fn taken_back<'a, I>(acts: I) -> FxHashSet<ActId>
where
    I: IntoIterator<Item = &'a Act, IntoIter: DoubleEndedIterator>,
{
    let mut gone = FxHashSet::default();
    // What takes back comes later, so that going backwards each is settled before it is met.
    for act in acts.into_iter().rev() {
        if let Deed::TakeBack { act: back } = act.deed
            && back < act.id
            && !gone.contains(&act.id)
        {
            gone.insert(back);
        }
    }
    gone
}

/// The acts that undo the last thing done that still stands; none if there is nothing. `acts` are
/// all acts that undo may reach, in their order.
pub fn undo(acts: &[Act], at: DateTime<Utc>) -> Vec<NewAct> {
    let gone = taken_back(acts);
    let stands = |act: &&Act| act.deed.is_own() && !gone.contains(&act.id);
    let last = acts.iter().rev().find(stands).map(|act| act.group);
    let own = acts
        .iter()
        .filter(|act| Some(act.group) == last)
        .filter(stands);
    own.map(|act| take_back(act, at)).collect()
}

/// The acts that bring back what undo took last, as long as nothing else was done since; none if
/// there is nothing.
pub fn redo(acts: &[Act], at: DateTime<Utc>) -> Vec<NewAct> {
    let gone = taken_back(acts);
    let own: FxHashSet<ActId> = acts
        .iter()
        .filter(|act| act.deed.is_own())
        .map(|act| act.id)
        .collect();
    let last = acts.iter().rev().find(|act| act.deed.is_own());
    let since = last.map_or(ActId(0), |act| act.id);
    let undoes = |act: &&Act| match act.deed {
        Deed::TakeBack { act: back } => {
            act.id > since && own.contains(&back) && !gone.contains(&act.id)
        }
        _ => false,
    };
    let last = acts.iter().rev().find(undoes).map(|act| act.group);
    let undone = acts
        .iter()
        .filter(|act| Some(act.group) == last)
        .filter(undoes);
    undone.map(|act| take_back(act, at)).collect()
}

fn take_back(act: &Act, at: DateTime<Utc>) -> NewAct {
    NewAct::new(at, act.issue, Deed::TakeBack { act: act.id })
}

#[cfg(test)]
mod tests;
