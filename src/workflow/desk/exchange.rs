//! Two papers that were keyed under each other's code.
//!
//! In: two papers of the stack and which keying is meant. Out: the acts after which each has what was keyed for the
//! other: entries, points for working and by eye, points set with their notes, misread numbers, the day it was
//! handed in. Who gets a paper and was noted as having none is there. What stays is what was said to, or of, a
//! student rather than keyed from paper: charges let go, messages, a second marker's points, the rest of
//! attendance.

use chrono::{DateTime, Utc};

use crate::record::{Attendance, Deed, Keyed, Keying, NewAct, Standing};

use super::Stack;

impl Stack {
    /// The acts that give each of two papers what was keyed for the other.
    pub fn exchanged(
        &self,
        (one, other): (usize, usize),
        keying: Keying,
        now: DateTime<Utc>,
    ) -> Vec<NewAct> {
        let mut acts = Vec::new();
        for (to, from) in [(other, one), (one, other)] {
            let (Some(paper), Some(source)) = (self.papers.get(to), self.papers.get(from)) else {
                continue;
            };
            let deeds = self.taken_over(&paper.standing, &source.standing, keying);
            let act = |deed| NewAct::new(now, paper.issue.id, deed);
            acts.extend(deeds.into_iter().map(act));
        }
        acts
    }

    /// What is done to a paper so that what was keyed stands on it as on another.
    fn taken_over(&self, own: &Standing, from: &Standing, keying: Keying) -> Vec<Deed> {
        let mut deeds = Vec::new();
        let is_first = keying == Keying::First;
        for (part, place) in self.plan().parts.iter().enumerate() {
            let id = &place.id;
            let (here, there) = (own.get(id), from.get(id));
            let keyed = |at: Option<&crate::record::PartStanding>| {
                let at = at?;
                if is_first {
                    at.first.clone()
                } else {
                    at.second.clone()
                }
            };
            if !self.is_by_eye(part) && keyed(here) != keyed(there) {
                deeds.push(entry(id.clone(), keying, keyed(there)));
            }
            if !is_first {
                continue;
            }
            if own.working(id) != from.working(id) {
                deeds.push(Deed::Working {
                    part: id.clone(),
                    points: from.working(id),
                });
            }
            let set = there.and_then(|at| at.adjustment.as_ref());
            if set.is_some() || here.is_some_and(|at| at.adjustment.is_some()) {
                deeds.push(Deed::Adjust {
                    part: id.clone(),
                    points: set.map(|set| set.points),
                    note: set.map_or_else(String::new, |set| set.note.clone()),
                    hint: set.and_then(|set| set.hint.clone()),
                });
            }
        }
        if is_first {
            self.about_paper(own, from, &mut deeds);
        }
        deeds
    }

    fn about_paper(&self, own: &Standing, from: &Standing, deeds: &mut Vec<Deed>) {
        let gone = own
            .misread
            .keys()
            .filter(|given| !from.misread.contains_key(*given));
        let gone = gone.map(|given| (given, None));
        let taken = from.misread.iter();
        let taken = taken.map(|(given, value)| (given, Some(value)));
        for (given, value) in gone.chain(taken) {
            if own.misread.get(given) != value {
                deeds.push(Deed::Misread {
                    given: given.clone(),
                    value: value.cloned(),
                });
            }
        }
        if own.handed_in != from.handed_in {
            deeds.push(Deed::HandedIn {
                day: from.handed_in,
            });
        }
        let has_none = matches!(
            own.attendance,
            Some(Attendance::Absent | Attendance::Excused)
        );
        if has_none && from.has_paper() {
            deeds.push(Deed::Attend {
                attendance: Attendance::Present,
            });
        }
    }
}

/// What is keyed for a part, keyed elsewhere.
pub(crate) fn entry(part: String, keying: Keying, keyed: Option<Keyed>) -> Deed {
    match keyed {
        Some(Keyed::Text(text)) => Deed::Entry { part, keying, text },
        Some(Keyed::Unreadable) => Deed::Unreadable { part, keying },
        None => Deed::Clear { part, keying },
    }
}
