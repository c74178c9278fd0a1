//! Where things of a course lie, and what a class is called.
//!
//! In: the path of an assignment or of a roster. Out: the course folder and its record, the name of the class
//! unless another is said. Nothing is refused.

use std::path::{Path, PathBuf};

use crate::course;
use crate::diagnostic::{Diagnostic, Place};
use crate::record::RECORD;

/// Where the record of an assignment is kept unless another file is named: in its course folder.
pub fn record_beside(assignment: &Path) -> PathBuf {
    course_folder(assignment).join(RECORD)
}

/// The course folder of an assignment; empty where that is the current folder.
pub fn course_folder(assignment: &Path) -> PathBuf {
    course::root_of(assignment, &|folder| folder.is_dir())
}

/// What a class is called unless it is said: as its roster's file, without the ending.
pub fn class_of(roster: &Path) -> String {
    let name = roster.file_stem().unwrap_or(roster.as_os_str());
    name.to_string_lossy().into_owned()
}

/// There is no course folder where one has to be; `or` says what else may be done.
pub fn no_course(here: &Path, or: &str) -> Diagnostic {
    let message = "no folder `assignments` here or in a course folder around";
    let help =
        format!("make a folder for your course and in it two, `assignments` and `rosters`; {or}");
    Diagnostic::error(&here.to_string_lossy(), Place::File, message).help(help)
}
