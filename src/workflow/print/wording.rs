//! The wording of the day a paper was issued.
//!
//! In: papers, the record, today's sheet. Out: for each paper its sheet and the place of its text. Refused: a
//! paper of which neither the old wording can be read nor today's fits.

use std::sync::Arc;

use crate::assignment::{self, Sheet};
use crate::course::Course;
use crate::diagnostic::{Diagnostic, Place, Source};
use crate::paper::{Fonts, SheetText};
use crate::record::{Filed, Issue, Record};
use crate::text::DecimalMark;

use super::super::kept::filed;
use super::super::{Failure, drawn};
use super::PrintRequest;
use super::people::People;

/// The sheets that papers were drawn from: today's, and those of before the file was changed.
pub(super) struct Wordings {
    digests: Vec<String>,
    sheets: Vec<Sheet>,
    pub(super) texts: Vec<SheetText>,
    /// For a sheet and a decimal mark the place of its text; most sheets have one for both.
    places: Vec<(usize, DecimalMark, usize)>,
    pub(super) findings: Vec<Diagnostic>,
}

impl Wordings {
    pub(super) fn of(
        request: &PrintRequest<'_>,
        people: &People<'_>,
        record: &Record,
    ) -> Result<Self, Failure> {
        let today = filed(request.prepared).digest;
        let mut wordings = Self {
            digests: Vec::new(),
            sheets: Vec::new(),
            texts: Vec::new(),
            places: Vec::new(),
            findings: Vec::new(),
        };
        let mut faults = Vec::new();
        for issue in request.papers {
            if !wordings.digests.contains(&issue.file) {
                let now = &request.prepared.plan.sheet;
                let before = match issue.file == today {
                    true => Some(now.clone()),
                    false => record.filed(&issue.file)?.as_ref().and_then(as_it_was),
                };
                if before.is_none() {
                    match drawn::values(&request.prepared.plan, issue) {
                        Ok(_) => wordings.findings.push(not_as_it_was(issue)),
                        Err(fault) => faults.push(nor_as_it_is(issue, fault)),
                    }
                }
                wordings.digests.push(issue.file.clone());
                wordings.sheets.push(before.unwrap_or_else(|| now.clone()));
            }
            wordings.write(issue, people.mark(issue), request.fonts);
        }
        if faults.is_empty() {
            Ok(wordings)
        } else {
            Err(Failure::input(faults, Vec::new()))
        }
    }

    /// Sets the text of a paper, unless it stands there already.
    fn write(&mut self, issue: &Issue, mark: DecimalMark, fonts: &Fonts) {
        let sheet = self.sheet_of(issue);
        let mut places = self.places.iter();
        if places.any(|(at, of, _)| *at == sheet && *of == mark) {
            return;
        }
        let text = SheetText::of(&self.sheets[sheet], fonts, mark);
        let found = self.texts.iter().position(|other| *other == text);
        let place = found.unwrap_or(self.texts.len());
        if found.is_none() {
            self.texts.push(text);
        }
        self.places.push((sheet, mark, place));
    }

    fn sheet_of(&self, issue: &Issue) -> usize {
        let mut digests = self.digests.iter();
        digests
            .position(|digest| *digest == issue.file)
            .unwrap_or(0)
    }

    pub(super) fn of_paper(&self, issue: &Issue, mark: DecimalMark) -> (&Sheet, usize) {
        let sheet = self.sheet_of(issue);
        let mut places = self.places.iter();
        let place = places.find(|(at, of, _)| *at == sheet && *of == mark);
        (&self.sheets[sheet], place.map_or(0, |(_, _, text)| *text))
    }
}

/// The sheet as the record has it; none if this version of the program reads such files no longer.
fn as_it_was(filed: &Filed) -> Option<Sheet> {
    let mut sources = filed.texts.iter().map(|(name, text)| {
        Arc::new(Source {
            name: name.clone(),
            text: text.clone(),
        })
    });
    let first = sources.next()?;
    let (course, _) = Course::new(sources);
    assignment::read(&first, &course).sheet
}

fn not_as_it_was(issue: &Issue) -> Diagnostic {
    let message = format!(
        "the wording of {} as it was issued cannot be read any more",
        issue.code
    );
    Diagnostic::warning(&issue.sheet, Place::File, message)
        .help("it is printed with today's wording and the numbers that it was issued with")
}

/// That neither the wording of a paper can be read nor today's be printed with its numbers.
fn nor_as_it_is(issue: &Issue, fault: Diagnostic) -> Diagnostic {
    let message = format!(
        "the wording of {} as it was issued cannot be read any more, and today's does not fit: {}",
        issue.code, fault.message
    );
    Diagnostic { message, ..fault }
}
