//! From a file of answers to acts.
//!
//! In: a student's row and what stands on the paper. Out: the acts that bring the paper to what the
//! row says: nothing for what stands there already. A cell that is blank says nothing where
//! something was keyed before (a dash says that there is nothing); where nothing was, the part is
//! blank. What the teacher keyed wrongly is left out here and told when the row is read.

use chrono::{DateTime, Utc};

use crate::answer;
use crate::answer::sheet::{Status, StudentEntries};
use crate::assignment::PartKind;
use crate::plan::Plan;
use crate::record::{Attendance, Deed, IssueId, Keying, NewAct, Standing};

/// What is keyed by one row.
#[derive(Debug)]
pub(super) struct Row<'a> {
    pub(super) plan: &'a Plan,
    pub(super) entries: &'a StudentEntries,
    /// The givens that the row says were misread, by name, where they can be read.
    pub(super) misread: Vec<(String, String)>,
    /// What stands on the paper before.
    pub(super) standing: &'a Standing,
}

impl Row<'_> {
    /// The acts, in the order of the paper.
    pub(super) fn acts(&self, issue: IssueId, now: DateTime<Utc>) -> Vec<NewAct> {
        let mut deeds = Vec::new();
        let status = self.entries.status();
        let attendance = match status {
            Status::Present | Status::Empty => Attendance::Present,
            Status::Absent => Attendance::Absent,
            Status::Excused => Attendance::Excused,
        };
        let is_there = attendance == Attendance::Present;
        if is_there {
            for at in 0..self.plan.parts.len() {
                self.part(at, status == Status::Empty, &mut deeds);
            }
            for (given, value) in &self.misread {
                if self.standing.misread.get(given) != Some(value) {
                    deeds.push(Deed::Misread {
                        given: given.clone(),
                        value: Some(value.clone()),
                    });
                }
            }
        }
        let day = self.entries.handed_in();
        if day.is_some() && day != self.standing.handed_in {
            deeds.push(Deed::HandedIn { day });
        }
        let said = self.standing.attendance;
        let is_known = match attendance {
            // An empty paper is one that somebody handed in; of others the entries say so.
            Attendance::Present => match said {
                Some(said) => said == Attendance::Present,
                None => !deeds.is_empty() || self.standing.has_paper(),
            },
            other => said == Some(other),
        };
        if !is_known {
            deeds.push(Deed::Attend { attendance });
        }
        let acts = deeds.into_iter();
        acts.map(|deed| NewAct::new(now, issue, deed)).collect()
    }

    fn part(&self, at: usize, empty: bool, deeds: &mut Vec<Deed>) {
        let place = &self.plan.parts[at];
        let part = &self.plan.sheet.problems[place.problem].parts[place.part];
        let cell = if empty { "" } else { self.entries.entry(at) };
        let working = |cell: &str, most: usize| {
            let points = answer::points(cell, most).ok().flatten();
            (points.is_some() && points != self.standing.working(&place.id)).then(|| {
                Deed::Working {
                    part: place.id.clone(),
                    points,
                }
            })
        };
        if let PartKind::Eye(items) = &part.kind {
            deeds.extend(working(cell, items.len()));
            return;
        }
        let stands = self.standing.entry(&place.id);
        let says = match stands {
            None => true,
            Some(stands) => !cell.trim().is_empty() && stands.as_entry() != cell,
        };
        if says {
            deeds.push(Deed::Entry {
                part: place.id.clone(),
                keying: Keying::First,
                text: cell.to_owned(),
            });
        }
        deeds.extend(working(self.entries.working(at), part.working.len()));
    }
}
