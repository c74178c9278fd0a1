//! Rows of students who are not on the roster: who may have been meant.
//!
//! In: the ids that no student has, as the scan meets them, and at its end the roster with those
//! who have no row. Out: a warning each. A wrong guess, taken on trust, gives one student's marks
//! to another; so a guess names one student only, with the name beside the id to hold against the
//! paper, and never one who has a row already. Two ids of the same build that differ in digits
//! alone are as near to each other as any two of a school: one of these is proposed only where
//! nobody else has no row.

use super::scan::NOWHERE;
use crate::diagnostic::{Diagnostic, Findings, KEPT, Place, Severity, near};
use crate::roster::{Roster, Student};
use crate::text::{QUOTED, excerpt, quoted};

/// Rosters up to this size are searched for who was meant: each search compares with all.
const SEARCHED: usize = 5_000;

/// Ids that no student has, in the order of the file.
#[derive(Debug, Default)]
pub(super) struct Strangers {
    kept: Vec<(Place, String)>,
    count: u64,
}

impl Strangers {
    /// How many there are.
    pub(super) fn count(&self) -> u64 {
        self.count
    }

    /// Takes in one more, and where it stands.
    pub(super) fn add(&mut self, place: Place, id: &str) {
        if self.kept.len() < KEPT {
            self.kept.push((place, id.to_owned()));
        }
        self.count += 1;
    }

    /// Their ids, as far as they were kept.
    pub(super) fn ids(&self) -> impl Iterator<Item = &str> {
        self.kept.iter().map(|(_, id)| id.as_str())
    }

    /// Whether all of them (as far as they were looked into) are names and no ids.
    pub(super) fn are_names(&self, roster: &Roster) -> bool {
        !self.kept.is_empty() && self.kept.iter().all(|(_, id)| is_name(id, roster))
    }

    /// Tells of each; `offsets` are the first rows of the students on the roster.
    pub(super) fn tell(&self, roster: &Roster, offsets: &[u64], findings: &mut Findings) {
        for (place, id) in &self.kept {
            findings.push_with(Severity::Warning, |file| {
                told(file, *place, id, roster, offsets)
            });
        }
        for _ in self.kept.len() as u64..self.count {
            // Counted, and only made should fewer have been kept than may be shown.
            findings.push_with(Severity::Warning, |file| {
                Diagnostic::warning(file, Place::File, "another student is not on the roster")
            });
        }
    }
}

fn told(file: &str, place: Place, id: &str, roster: &Roster, offsets: &[u64]) -> Diagnostic {
    let shown = excerpt(id, QUOTED);
    if is_name(id, roster) {
        let message = format!("expected the id of a student, found the name '{shown}': not marked");
        return Diagnostic::warning(file, place, message).help(of_name(id, roster));
    }
    let message = format!("no student on the roster has the id '{shown}': not marked");
    let warning = Diagnostic::warning(file, place, message);
    let zeros = |_: &str| "format that column as text".to_owned();
    warning.help(meant(id, roster, offsets, &zeros))
}

/// What to do about an id that no student has, typed by itself: who may have been meant.
pub fn advice(id: &str, roster: &Roster) -> String {
    let zeros = |id: &str| format!("write {id}");
    if is_name(id, roster) {
        of_name(id, roster)
    } else {
        meant(id, roster, &vec![NOWHERE; roster.len()], &zeros)
    }
}

/// `zeros` is what to do to keep the leading zeros of an id.
fn meant(id: &str, roster: &Roster, offsets: &[u64], zeros: &dyn Fn(&str) -> String) -> String {
    let known = alike(id, roster, zeros).or_else(|| mistyped(id, roster, offsets));
    known.unwrap_or_else(|| "correct the id, or add the student to the roster".to_owned())
}

/// A student by id and name: `'0102' (Ruiz, Inés)`.
fn named(student: &Student<'_>) -> String {
    let id = excerpt(student.id, QUOTED);
    match student.name {
        "" => format!("'{id}'"),
        name => format!("'{id}' ({})", excerpt(name, QUOTED)),
    }
}

/// The words of a name, whatever their order and case.
fn words(name: &str) -> Vec<String> {
    let words = name.split(|c: char| c.is_whitespace() || c == ',');
    let mut words: Vec<String> = words
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    words.sort_unstable();
    words
}

fn has_digit(id: &str) -> bool {
    id.contains(|c: char| c.is_numeric())
}

/// Whether a name stands in place of an id: one that is on the roster, or letters where every id has a
/// digit.
fn is_name(id: &str, roster: &Roster) -> bool {
    if roster.len() > SEARCHED {
        return false;
    }
    let typed = words(id);
    if !typed.is_empty() && roster.iter().any(|student| words(student.name) == typed) {
        return true;
    }
    let letters = id.chars().filter(|c| c.is_alphabetic()).count();
    letters > 2 && !has_digit(id) && roster.iter().all(|student| has_digit(student.id))
}

fn of_name(name: &str, roster: &Roster) -> String {
    let typed = words(name);
    let known: Vec<Student<'_>> = roster
        .iter()
        .filter(|student| words(student.name) == typed)
        .collect();
    match &known[..] {
        [one] => format!("the roster has {}: write the id", named(one)),
        [] => match roster.iter().next() {
            Some(first) => format!(
                "ids of this roster are like '{}'",
                excerpt(first.id, QUOTED)
            ),
            None => "the roster is empty".to_owned(),
        },
        _ => {
            let ids = quoted(known.iter().map(|one| one.id));
            let count = match known.len() {
                2 => "two".to_owned(),
                count => count.to_string(),
            };
            format!("{count} students have this name, {ids}: write the id")
        }
    }
}

/// The one id that differs in leading zeros or in capitals alone.
fn alike(id: &str, roster: &Roster, zeros: &dyn Fn(&str) -> String) -> Option<String> {
    let bare = |id: &str| id.trim_start_matches('0').to_lowercase();
    let typed = bare(id);
    let mut known = roster.iter().filter(|student| bare(student.id) == typed);
    let (student, None) = (known.next()?, known.next()) else {
        return None;
    };
    let rule = if student.id.trim_start_matches('0') == id.trim_start_matches('0') {
        let remedy = zeros(&excerpt(student.id, QUOTED));
        format!("leading zeros are part of an id: {remedy}")
    } else {
        "capital and small letters count".to_owned()
    };
    Some(format!("the roster has {}; {rule}", named(&student)))
}

/// The one student without a row whose id may have been mistyped.
fn mistyped(id: &str, roster: &Roster, offsets: &[u64]) -> Option<String> {
    if roster.len() > SEARCHED {
        return None;
    }
    let has_row = |student: usize| offsets.get(student).is_none_or(|at| *at != NOWHERE);
    let mut without = (0..roster.len()).filter(|student| !has_row(*student));
    if let (Some(last), None) = (without.next(), without.next()) {
        let student = roster.get(last)?;
        near(id, [student.id]).next()?;
        return Some(format!(
            "only {} has no row: is it this paper?",
            named(&student)
        ));
    }
    let ids = roster.iter().map(|student| student.id);
    let best = near(id, ids.clone()).map(|(edits, _)| edits).min()?;
    let mut nearest = near(id, ids).filter(|(edits, _)| *edits == best);
    let (known, None) = (nearest.next()?.1, nearest.next()) else {
        return None;
    };
    if differ_in_digits(id, known) || has_row(roster.find(known)?) {
        return None;
    }
    let student = roster.get(roster.find(known)?)?;
    Some(format!("did you mean {}?", named(&student)))
}

/// Whether two ids are built alike, digits where digits are, and everything else is the same.
fn differ_in_digits(one: &str, other: &str) -> bool {
    let both = |c: char, d: char| c == d || c.is_numeric() && d.is_numeric();
    one.chars().count() == other.chars().count()
        && one.chars().zip(other.chars()).all(|(c, d)| both(c, d))
}
