//! What the fonts lack, as it is told.
//!
//! In: letters that no font has, and where they stand. Out: a warning for each assignment, for the first
//! students, and for all others together.

use crate::diagnostic::{Diagnostic, Place};
use crate::paper::{Missing, SheetText};

use super::super::export::named;
use super::PrintRequest;
use super::people::Unlike;

/// Students of whom it is said one by one which letters of their names no font has.
const STUDENTS: usize = 5;

/// What the fonts lack of texts, of each assignment by itself.
pub(super) fn texts_lack(sheets: &[SheetText]) -> Vec<Diagnostic> {
    let mut all: Vec<(&str, Missing)> = Vec::new();
    for (code, missing) in sheets.iter().flat_map(|sheet| &sheet.missing) {
        match all.iter_mut().find(|(known, _)| known == code) {
            Some((_, known)) => known.join(missing),
            None => all.push((code, missing.clone())),
        }
    }
    let lacking = all.iter().filter(|(_, missing)| !missing.is_empty());
    lacking
        .map(|(code, missing)| text_lacks(code, missing))
        .collect()
}

fn text_lacks(code: &str, missing: &Missing) -> Diagnostic {
    lacking(code, &missing.words(), "of its text")
}

/// What the fonts lack of texts, and of names.
pub(in crate::workflow) fn lacks(
    request: &PrintRequest<'_>,
    missing: &Missing,
    unlike: &Unlike,
) -> Vec<Diagnostic> {
    let mut list = Vec::new();
    if !missing.is_empty() {
        list.push(text_lacks(&request.prepared.plan.sheet.code, missing));
    }
    let (first, more) = unlike.0.split_at(unlike.0.len().min(STUDENTS));
    for (id, missing) in first {
        let whose = format!("in the name of {}", named(&[id.as_str()]));
        list.push(lacking(request.class, &missing.words(), &whose));
    }
    if !more.is_empty() {
        let ids: Vec<&str> = more.iter().map(|(id, _)| id.as_str()).collect();
        let whose = format!("the names of {}", named(&ids));
        list.push(lacking(request.class, "letters", &format!("in {whose}")));
    }
    list
}

/// That the fonts lack letters, and whose.
pub(super) fn lacking(file: &str, letters: &str, whose: &str) -> Diagnostic {
    let message = format!("the fonts lack {letters} {whose}; □ stands for them");
    Diagnostic::warning(file, Place::File, message)
        .help("name a font that has them: --font FILE (.ttf, .otf or .ttc)")
}
