//! The keys of a class whose variants are given out on the spot.
//!
//! In: a prepared sheet and a roster. Out: for a student of it the values drawn and the key solved.
//! Refused: draws that cannot be made, and those without a single key.

use crate::diagnostic::Diagnostic;
use crate::marking::Key;
use crate::plan::Plan;
use crate::quantity::Quantity;
use crate::roster::Roster;
use crate::variant::{self, Draft, Space, Tries};

use super::drawn::solve;
use super::fresh::no_draw;
use super::{Failure, Prepared};

/// Which variant each student of a roster holds.
#[derive(Debug)]
pub struct Issued<'a> {
    plan: &'a Plan,
    spaces: Vec<Space<'a>>,
    tries: Tries,
}

impl<'a> Issued<'a> {
    /// Gives every student of the roster their first variant, the roster being the whole history.
    ///
    /// # Errors
    /// Requirements that cannot be met for so many.
    pub fn to(prepared: &'a Prepared, roster: &Roster) -> Result<Self, Failure> {
        let plan = &prepared.plan;
        let spaces = prepared.spaces()?;
        let ids: Vec<&str> = roster.iter().map(|student| student.id).collect();
        let tries = variant::allocate(&spaces, &ids)
            .map_err(|(problem, error)| no_draw(prepared, problem, &error))?;
        Ok(Self {
            plan,
            spaces,
            tries,
        })
    }

    /// Room for keys, to be filled for one student after the other.
    pub fn keys(&self) -> Keys<'_, 'a> {
        Keys {
            issued: self,
            draft: Draft::default(),
            draws: vec![Vec::new(); self.spaces.len()],
            key: Key::default(),
        }
    }
}

/// Keys of students, one at a time.
#[derive(Debug)]
pub struct Keys<'i, 'a> {
    issued: &'i Issued<'a>,
    draft: Draft,
    draws: Vec<Vec<Quantity>>,
    key: Key,
}

impl Keys<'_, '_> {
    /// The key of the student at a place on the roster.
    ///
    /// # Errors
    /// A draw that has no single key, with its values.
    pub fn of(&mut self, student: usize, id: &str) -> Result<&Key, Diagnostic> {
        let Issued {
            plan,
            spaces,
            tries,
        } = self.issued;
        for (problem, space) in spaces.iter().enumerate() {
            let attempt = tries.of(student).get(problem).copied().unwrap_or(0);
            space
                .picks(id, 1, attempt, &mut self.draft)
                .map_err(|error| error.diagnostic(&plan.sheet.problems[problem]))?;
            self.draws[problem].clear();
            self.draws[problem].extend(space.values(&self.draft.picks));
        }
        solve(plan, &self.draws, &mut self.key)?;
        Ok(&self.key)
    }

    /// The key that was solved last.
    pub fn last(&self) -> &Key {
        &self.key
    }
}
