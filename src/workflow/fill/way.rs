//! How a gradebook is understood, before it is filled and once more after.
//!
//! In: what is said of the file, what the course's settings say, its bytes. Out: its columns and rows. Refused: as
//! [`crate::gradebook::fill`] says.

use crate::diagnostic::Diagnostic;
use crate::gradebook::fill::{Gradebook, Wanted};
use crate::gradebook::settings::Settings;
use crate::roster::Roster;
use crate::table::Declared;

use super::super::Prepared;
use super::FillRequest;

/// How a gradebook is understood: what is said of it, else what the course's settings say.
#[derive(Debug)]
pub(super) struct Way {
    id_column: Option<String>,
    columns: Vec<String>,
    declared: Declared,
}

impl Way {
    pub(super) fn of(settings: &Settings, wanted: &FillRequest, prepared: &Prepared) -> Self {
        let sheet = &prepared.plan.sheet;
        let id_column = wanted.id_column.as_ref().or(settings.id_column.as_ref());
        Self {
            id_column: id_column.cloned(),
            columns: match &wanted.column {
                Some(column) => vec![column.clone()],
                None => settings.columns(&sheet.code, &sheet.title),
            },
            declared: wanted.declared.clone(),
        }
    }

    pub(super) fn find<'b>(
        &self,
        bytes: &'b [u8],
        name: &str,
        roster: &Roster,
    ) -> Result<Gradebook<'b>, Vec<Diagnostic>> {
        let columns: Vec<&str> = self.columns.iter().map(String::as_str).collect();
        let said = Wanted {
            id_column: self.id_column.as_deref(),
            columns: &columns,
            declared: self.declared.clone(),
        };
        let is_student = |id: &str| roster.find(id).is_some();
        Gradebook::find(bytes, name, &said, &is_student)
    }
}
