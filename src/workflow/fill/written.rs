//! What this program wrote last for each student of a class: what stands in a cell unchanged is its own to change.
//!
//! In: the record's table of what was written into which file and column. Out: a text for each student.

use rustc_hash::FxHashMap;

use crate::record::{Record, Target};

use super::super::Failure;

/// What was written last for each student: into this file, else into one of another name that stands here,
/// for a gradebook is often the same under another name. Whether it `stands_here` is asked with what was
/// written there for students of whom nothing was written into this file.
pub(super) fn last_written(
    record: &Record,
    target: &Target,
    stands_here: &dyn Fn(&FxHashMap<&str, &str>) -> bool,
) -> Result<FxHashMap<String, String>, Failure> {
    let all = record.written(target)?;
    let (here, elsewhere): (Vec<_>, Vec<_>) = all
        .into_iter()
        .partition(|written| written.file == target.file);
    let here: FxHashMap<String, String> = here
        .into_iter()
        .map(|written| (written.student, written.text))
        .collect();
    let mut latest = FxHashMap::default();
    let mut files: Vec<&str> = Vec::new();
    for written in elsewhere.iter().rev() {
        if !files.contains(&written.file.as_str()) {
            files.push(&written.file);
        }
    }
    // of several files the one that was written last counts
    for file in files.into_iter().rev() {
        let there: FxHashMap<&str, &str> = elsewhere
            .iter()
            .filter(|written| written.file == file && !here.contains_key(&written.student))
            .map(|written| (written.student.as_str(), written.text.as_str()))
            .collect();
        if stands_here(&there) {
            let there = there.into_iter();
            latest.extend(there.map(|(student, text)| (student.to_owned(), text.to_owned())));
        }
    }
    latest.extend(here);
    Ok(latest)
}
