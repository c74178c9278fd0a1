//! The ids by which a school's own system knows students and classes, for a roster that came from it.
//!
//! They are those of the OneRoster standard (1EdTech): columns `sourced_id`, `class_sourced_id`,
//! `school_sourced_id` and `session_sourced_ids`. They stand in the roster itself, since that is the one file
//! which is there whenever marks go out, which the teacher can read and mend, and which survives a move
//! of the course folder; the record would have to be told anew for each class.

/// The columns of a roster that holds such ids, after those of every roster.
pub const SOURCED_HEADINGS: [&str; 4] = [
    "sourced_id",
    "class_sourced_id",
    "school_sourced_id",
    "session_sourced_ids",
];

/// The ids of one roster.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sourced {
    students: Vec<Box<str>>,
    /// Of the class, its school and its academic sessions: each value once. Of a class there is one.
    others: [Vec<String>; 3],
}

impl Sourced {
    /// The id of the student at a place on the roster; empty where there is none.
    pub fn student(&self, place: usize) -> &str {
        self.students.get(place).map_or("", |id| id)
    }

    /// The ids of classes, each once.
    pub fn classes(&self) -> &[String] {
        &self.others[0]
    }

    /// The ids of schools, each once.
    pub fn schools(&self) -> &[String] {
        &self.others[1]
    }

    /// The ids of academic sessions (terms), each once.
    pub fn sessions(&self) -> &[String] {
        &self.others[2]
    }

    /// Takes the cells of the next student, in the order of [`SOURCED_HEADINGS`].
    pub(super) fn take(&mut self, [student, class, school, sessions]: [&str; 4]) {
        self.students.push(student.into());
        let lists = [
            vec![class],
            vec![school],
            sessions.split(',').map(str::trim).collect(),
        ];
        for (known, ids) in self.others.iter_mut().zip(lists) {
            for id in ids {
                if !id.is_empty() && !known.iter().any(|known| known == id) {
                    known.push(id.to_owned());
                }
            }
        }
    }
}
