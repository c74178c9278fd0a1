//! Classes out of a package of OneRoster CSV files, versions 1.1 and 1.2.
//!
//! OneRoster is an open standard of 1EdTech Consortium; this program follows its CSV tables and claims no
//! certification. In goes a [`Package`], a folder or a zip with `manifest.csv`, `classes.csv`,
//! `enrollments.csv`, `users.csv` and (1.2) `roles.csv`; out come its classes with the students enrolled in them
//! today. Of each file only the columns are read that are needed, and of users only those enrolled as students:
//! passwords, telephone numbers and the rest of what stands there are never taken in.
//!
//! Refused, all at once: files that hold only changes (delta), unless somebody says that they are complete; other
//! versions, missing files and columns, rows without an id, enrollments of nobody, dates that are none.

mod open;
mod read;
mod zipped;

use crate::diagnostic::{Diagnostic, Place};

pub use read::read;
pub use zipped::{BEGINNING, LONGEST, Zipped};

/// Files by name.
pub trait Package {
    /// Its name as the user typed it.
    fn name(&self) -> &str;

    /// The bytes of a file at its root; `None` where there is none.
    ///
    /// # Errors
    /// A file that cannot be read, or is too long.
    fn bytes(&mut self, file: &str) -> Result<Option<Vec<u8>>, Diagnostic>;
}

/// A version of the standard.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Version {
    /// 1.1
    V1p1,
    /// 1.2
    #[default]
    V1p2,
}

impl Version {
    /// Its number.
    pub fn number(self) -> &'static str {
        match self {
            Self::V1p1 => "1.1",
            Self::V1p2 => "1.2",
        }
    }
}

/// What was read of a package.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct School {
    /// The version it is written in.
    pub version: Version,
    /// In the order of the file.
    pub classes: Vec<Class>,
}

/// A class.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Class {
    /// Its id in the school's system.
    pub sourced_id: String,
    /// What it is called.
    pub title: String,
    /// A short name; may be empty.
    pub code: String,
    /// The id of its school.
    pub school: String,
    /// The ids of the academic sessions (terms) in which it is taught.
    pub sessions: Vec<String>,
    /// By family name, then given name, then id.
    pub members: Vec<Member>,
    /// Students whose enrollment has ended.
    pub ended: usize,
    /// Students whose enrollment has not begun.
    pub to_come: usize,
}

/// A student enrolled in a class.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Member {
    /// The id in the school's system.
    pub sourced_id: String,
    /// The school's own number; may be empty.
    pub identifier: String,
    /// The name to log in with; may be empty.
    pub username: String,
    /// The name to be called by: preferred names where they are given.
    pub name: String,
}

/// Which of the ids of a package becomes the student's id on the roster.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum IdFrom {
    /// The school's own number, as on lists and in gradebooks.
    Identifier,
    /// The name to log in with.
    Username,
    /// The id in the school's system.
    SourcedId,
}

impl IdFrom {
    /// The id of a student.
    pub fn of(self, member: &Member) -> &str {
        match self {
            Self::Identifier => &member.identifier,
            Self::Username => &member.username,
            Self::SourcedId => &member.sourced_id,
        }
    }

    /// What can be taken for the students of these classes: the identifier if all have one, the sourcedId if
    /// nobody has.
    ///
    /// # Errors
    /// Some have an identifier and some have not.
    pub fn of_all(classes: &[Class], package: &str) -> Result<Self, Diagnostic> {
        let members = classes.iter().flat_map(|class| &class.members);
        let (with, without): (Vec<_>, Vec<_>) =
            members.partition(|member| !member.identifier.is_empty());
        if without.is_empty() {
            return Ok(Self::Identifier);
        }
        if with.is_empty() {
            return Ok(Self::SourcedId);
        }
        let have = match without.len() {
            1 => "has",
            _ => "have",
        };
        let message = format!(
            "{} of {} students {have} no `identifier`, which would be the id on the roster",
            without.len(),
            with.len() + without.len()
        );
        Err(Diagnostic::error(package, Place::File, message)
            .help("say what to take for all of them: --id username or --id sourced-id"))
    }
}

/// The name of a file of a package, in messages.
fn path_of(package: &str, file: &str) -> String {
    format!("{}/{file}", package.trim_end_matches('/'))
}

#[cfg(test)]
mod tests;
