//! Prints papers as they were issued.
//!
//! In: what the record holds of papers, a roster for names and print sizes, fonts. Out: `papers.pdf` as
//! bytes. Numbers, wording and figures (`figures`) are those of the day a paper was issued, also where
//! the files have changed since. Refused: what cannot be drawn, a paper of which neither the old wording can
//! be read nor today's fits. Told: letters that no font has; a name with such letters is printed with its
//! id.

pub(super) mod figures;
pub(super) mod key;
pub(super) mod lacks;
pub(super) mod people;
pub(super) mod practice;
pub(super) mod report;
mod wording;
pub(super) mod worked;

use crate::assignment::Sheet;
use crate::diagnostic::Diagnostic;
use crate::figure::Figure;
use crate::paper::{self, Copy, Fonts, Handout, Missing, PageSize, Pen, SheetText};
use crate::quantity::Quantity;
use crate::record::{Issue, Record};
use crate::roster::Roster;
use crate::text::DecimalMark;

use super::kept::Kept;
use super::{Failure, Findings, Prepared, attend};
use figures::Drawings;
use lacks::{lacks, texts_lack};
use people::{People, Unlike};
use wording::Wordings;

/// The order of a stack of papers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum StackOrder {
    /// As on the roster.
    #[default]
    Roster,
    /// By paper code, in which no name and no seat shows.
    Code,
}

/// How papers are printed.
#[derive(Clone, Copy, Debug, Default)]
pub struct Layout {
    /// The size of the pages.
    pub page: PageSize,
    /// Whether each paper starts on a new sheet.
    pub duplex: bool,
    /// The order of the stack.
    pub order: StackOrder,
    /// Whether papers carry their codes alone, and no names.
    pub nameless: bool,
}

/// What to print.
#[derive(Clone, Copy, Debug)]
pub struct PrintRequest<'a> {
    /// The sheet as it is today.
    pub prepared: &'a Prepared,
    /// The class.
    pub roster: &'a Roster,
    /// Its name.
    pub class: &'a str,
    /// The decimal mark of students for whom the roster does not say it.
    pub decimal: DecimalMark,
    /// The papers, in the order of the roster.
    pub papers: &'a [Issue],
    /// How.
    pub layout: Layout,
    /// What to draw letters with.
    pub fonts: &'a Fonts,
    /// For each problem of today's sheet its figure.
    pub figures: &'a [Option<Figure>],
}

/// What was printed.
#[derive(Clone, Debug, Default)]
pub struct Printed {
    /// The PDF.
    pub bytes: Vec<u8>,
    /// What should be known.
    pub findings: Findings,
}

impl Printed {
    /// A document, and what fonts and roster lack for it.
    pub(super) fn of(
        request: &PrintRequest<'_>,
        bytes: Result<Vec<u8>, Diagnostic>,
        missing: &Missing,
        unlike: &Unlike,
    ) -> Result<Self, Failure> {
        Ok(Self {
            bytes: bytes.map_err(Failure::of)?,
            findings: Findings {
                list: lacks(request, missing, unlike),
                sources: Vec::new(),
            },
        })
    }
}

/// Prints papers.
///
/// # Errors
/// A record that cannot be read, figures that cannot be drawn, a program built without PDFs.
pub fn print_papers(request: &PrintRequest<'_>, record: &Record) -> Result<Printed, Failure> {
    let now = &request.prepared.plan.sheet;
    let kept = Kept::of(record, &now.code, request.class)?;
    let people = People::of(request);
    let then = Wordings::of(request, &people, record)?;
    let mut drawings = Drawings::of(request, Some(record));
    let mut names = Unlike::default();
    let mut copies = Vec::with_capacity(request.papers.len());
    for issue in stack(request) {
        let mark = people.mark(issue);
        let (sheet, at) = then.of_paper(issue, mark);
        copies.push(Copy {
            sheet: at,
            size: people.letters(issue),
            code: issue.code.as_str().to_owned(),
            name: people.name_beside_code(issue, &mut names),
            class: people.class(issue),
            due: kept.due(issue).map_or_else(String::new, paper::day),
            number: issue.number,
            values: values(sheet, issue, mark),
            figures: drawings.of_paper(sheet, issue, mark)?,
        });
    }
    let handout = handout(request, then.texts, copies);
    let bytes = paper::papers(&handout, request.fonts).map_err(Failure::of)?;
    let mut list = then.findings;
    list.extend(drawings.findings());
    list.extend(texts_lack(&handout.sheets));
    list.extend(lacks(request, &Missing::default(), &names));
    Ok(Printed {
        bytes,
        findings: Findings {
            list,
            sources: Vec::new(),
        },
    })
}

/// What is printed of these papers, which have these texts.
pub(super) fn handout(
    request: &PrintRequest<'_>,
    sheets: Vec<SheetText>,
    copies: Vec<Copy>,
) -> Handout {
    let sheet = &request.prepared.plan.sheet;
    let mut title = Pen::new(request.fonts, request.decimal);
    Handout {
        code: sheet.code.clone(),
        title: title.shown(&sheet.title),
        page: request.layout.page,
        duplex: request.layout.duplex,
        sheets,
        copies,
    }
}

/// Papers as they were issued, by students' ids (their latest) or by the codes on them; `option` is where these
/// were typed.
///
/// # Errors
/// Everyone of whom no paper is known.
pub fn issued_papers(
    prepared: &Prepared,
    class: &str,
    (option, typed): (&str, &[String]),
    record: &Record,
) -> Result<Vec<Issue>, Failure> {
    let kept = Kept::of(record, &prepared.plan.sheet.code, class)?;
    let (mut papers, mut faults) = (Vec::new(), Vec::new());
    for typed in typed {
        match attend::paper(&kept, typed, option, None) {
            Ok(paper) => papers.push(paper.clone()),
            Err(fault) => faults.push(*fault),
        }
    }
    if faults.is_empty() {
        Ok(papers)
    } else {
        Err(Failure::input(faults, Vec::new()))
    }
}

/// The papers in the order of the stack.
pub(super) fn stack<'a>(request: &PrintRequest<'a>) -> Vec<&'a Issue> {
    let mut papers: Vec<&Issue> = request.papers.iter().collect();
    match request.layout.order {
        StackOrder::Roster => {}
        StackOrder::Code => papers.sort_by_key(|paper| paper.code),
    }
    papers
}

/// The values of a paper as printed, in the order of the givens of the sheet it was drawn from.
pub(super) fn values(sheet: &Sheet, issue: &Issue, mark: DecimalMark) -> Vec<Vec<String>> {
    let problems = sheet.problems.iter().enumerate();
    let values = problems.map(|(at, problem)| {
        let drawn = issue.values.get(at).map_or(&[][..], Vec::as_slice);
        let givens = problem.givens.iter().map(|given| {
            let found = drawn.iter().find(|drawn| drawn.name == given.name);
            let text = found.map_or("", |drawn| drawn.value.as_str());
            // What the record holds was a quantity when it was drawn.
            Quantity::parse(text).map_or_else(|_| text.to_owned(), |value| value.printed(mark))
        });
        givens.collect()
    });
    values.collect()
}
