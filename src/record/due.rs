//! When papers are due.
//!
//! In: the days set for a class, a section or a student. Out: the day one paper is due: what was
//! said of the student outranks what was said of the section, that outranks what was said of the
//! class, and that outranks the day set when the paper was issued. Of several sayings about the same
//! the last one counts.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::issue::Issue;

/// For whom a day is set.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DueFor {
    /// The whole class.
    Class,
    /// Those of a section, as it was when the paper was issued.
    Section(String),
    /// One student, by id.
    Student(String),
}

/// A day that was set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Due {
    /// The class.
    pub class: String,
    /// Which paper of the sheet it is for, from 1.
    pub number: u32,
    /// For whom.
    pub to: DueFor,
    /// The day; `None` where there is no day any more.
    pub day: Option<NaiveDate>,
}

/// All days set for the papers of one sheet, in the order in which they were set.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Dues(pub Vec<Due>);

impl Dues {
    /// The day a paper is due, if there is one.
    pub fn of(&self, issue: &Issue) -> Option<NaiveDate> {
        let rank = |due: &Due| match &due.to {
            DueFor::Class => Some(1),
            DueFor::Section(section) => (issue.section.as_ref() == Some(section)).then_some(2),
            DueFor::Student(student) => (issue.student == *student).then_some(3),
        };
        let about = self
            .0
            .iter()
            .filter(|due| due.class == issue.class && due.number == issue.number)
            .filter_map(|due| Some((rank(due)?, due.day)));
        // Of the same rank the last one is taken.
        about
            .max_by_key(|(rank, _)| *rank)
            .map_or(issue.due, |(_, day)| day)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::act::IssueId;
    use crate::variant::PaperCode;
    use chrono::DateTime;

    #[test]
    fn the_nearest_word_counts_and_of_these_the_last() {
        let day = |day| NaiveDate::from_ymd_opt(2026, 11, day);
        let issue = |student: &str, section: &str| Issue {
            id: IssueId(1),
            sheet: "ropes-1".into(),
            class: "set-3".into(),
            student: student.into(),
            section: Some(section.into()),
            number: 1,
            code: PaperCode::parse("FW2MBWW").unwrap(),
            values: Vec::new(),
            file: String::new(),
            at: DateTime::UNIX_EPOCH,
            due: day(1),
            figures: None,
        };
        let due = |to, day| Due {
            class: "set-3".into(),
            number: 1,
            to,
            day,
        };
        let mut dues = Dues::default();
        assert_eq!(dues.of(&issue("1", "A")), day(1));
        dues.0.push(due(DueFor::Student("2".into()), day(9)));
        dues.0.push(due(DueFor::Section("A".into()), day(5)));
        dues.0.push(due(DueFor::Section("A".into()), day(6)));
        dues.0.push(due(DueFor::Class, day(3)));
        assert_eq!(dues.of(&issue("1", "A")), day(6));
        assert_eq!(dues.of(&issue("1", "B")), day(3));
        assert_eq!(dues.of(&issue("2", "B")), day(9));
        dues.0.push(due(DueFor::Student("2".into()), None));
        assert_eq!(dues.of(&issue("2", "B")), None);
        let second = Issue {
            number: 2,
            ..issue("2", "A")
        };
        assert_eq!(dues.of(&second), day(1), "a later paper has its own day");
    }
}
