//! Prints papers as they were issued.
//!
//! In: what the record holds of papers, a roster for names and print sizes, fonts. Out: `papers.pdf` as
//! bytes. Numbers, wording and figures (`print_figures`) are those of the day a paper was issued, also where
//! the files have changed since. Refused: what cannot be drawn, a paper of which neither the old wording can
//! be read nor today's fits. Told: letters that no font has; a name with such letters is printed with its
//! id.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use crate::assignment::{self, Sheet};
use crate::course::Course;
use crate::diagnostic::{Diagnostic, Place, Source};
use crate::figure::Figure;
use crate::paper::{self, Copy, Fonts, Handout, Missing, PageSize, Pen, SheetText};
use crate::quantity::Quantity;
use crate::record::{Filed, Issue, Record};
use crate::roster::{Roster, Student};
use crate::text::DecimalMark;

use super::export::named;
use super::kept::{Kept, filed};
use super::print_figures::Drawings;
use super::{Failure, Findings, Prepared, attend, drawn};

/// The size of letters, in points, where the roster says nothing.
pub(super) const LETTERS: u8 = 11;

/// Students of whom it is said one by one which letters of their names no font has.
const STUDENTS: usize = 5;

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
        let student = people.student(issue);
        let mark = people.mark(issue);
        let (sheet, at) = then.of_paper(issue, mark);
        copies.push(Copy {
            sheet: at,
            size: student.print.map_or(LETTERS, |size| size.points()),
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

/// Papers as they were issued, by students' ids (their latest) or by the codes on them.
///
/// # Errors
/// Everyone of whom no paper is known.
pub fn issued_papers(
    prepared: &Prepared,
    class: &str,
    typed: &[String],
    record: &Record,
) -> Result<Vec<Issue>, Failure> {
    let kept = Kept::of(record, &prepared.plan.sheet.code, class)?;
    let (mut papers, mut faults) = (Vec::new(), Vec::new());
    for typed in typed {
        match attend::paper(&kept, typed) {
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

/// The sheets that papers were drawn from: today's, and those of before the file was changed.
struct Wordings {
    digests: Vec<String>,
    sheets: Vec<Sheet>,
    texts: Vec<SheetText>,
    /// For a sheet and a decimal mark the place of its text; most sheets have one for both.
    places: Vec<(usize, DecimalMark, usize)>,
    findings: Vec<Diagnostic>,
}

impl Wordings {
    fn of(
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

    fn of_paper(&self, issue: &Issue, mark: DecimalMark) -> (&Sheet, usize) {
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

/// Names as they are printed.
pub(super) struct People<'a> {
    request: &'a PrintRequest<'a>,
    /// How many students share a name and a section.
    shared: FxHashMap<(&'a str, Option<&'a str>), usize>,
}

impl<'a> People<'a> {
    pub(super) fn of(request: &'a PrintRequest<'a>) -> Self {
        let mut shared = FxHashMap::default();
        for student in request.roster.iter() {
            *shared.entry((student.name, student.section)).or_default() += 1;
        }
        Self { request, shared }
    }

    /// The student of a paper; one without a name if the roster has them no more.
    pub(super) fn student(&self, issue: &'a Issue) -> Student<'a> {
        let roster = self.request.roster;
        let found = roster.find(&issue.student).and_then(|at| roster.get(at));
        found.unwrap_or(Student {
            id: &issue.student,
            section: issue.section.as_deref(),
            ..Student::default()
        })
    }

    /// The name; with the id where it is not enough. Ids of names that cannot be drawn go to `unlike`.
    pub(super) fn name(&self, issue: &'a Issue, unlike: &mut Unlike) -> String {
        self.name_of(self.student(issue), unlike)
    }

    /// The same of a student of the roster.
    pub(super) fn name_of(&self, student: Student<'a>, unlike: &mut Unlike) -> String {
        let fonts = self.request.fonts;
        let (mut missing, mut ignored) = (Missing::default(), Missing::default());
        let name = fonts.shown(student.name, &mut missing);
        let id = fonts.shown(student.id, &mut ignored);
        if !missing.is_empty() {
            // One may hold several papers.
            if !unlike.0.iter().any(|(id, _)| id == student.id) {
                unlike.0.push((student.id.to_owned(), missing.clone()));
            }
        }
        if name.is_empty() {
            return id;
        }
        let others = self.shared.get(&(student.name, student.section));
        let is_doubled = others.is_some_and(|count| *count > 1);
        if is_doubled || !missing.is_empty() {
            format!("{name} ({id})")
        } else {
            name
        }
    }

    /// The decimal mark that the student of a paper writes.
    pub(super) fn mark(&self, issue: &'a Issue) -> DecimalMark {
        let own = self.student(issue).decimal;
        own.unwrap_or(self.request.decimal)
    }

    /// The name, where papers do not go by their codes alone.
    pub(super) fn name_beside_code(&self, issue: &'a Issue, unlike: &mut Unlike) -> Option<String> {
        (!self.request.layout.nameless).then(|| self.name(issue, unlike))
    }

    /// Class and section.
    pub(super) fn class(&self, issue: &Issue) -> String {
        let mut ignored = Missing::default();
        let mut shown = |text: &str| self.request.fonts.shown(text, &mut ignored);
        let class = shown(self.request.class);
        match issue.section.as_deref() {
            Some(section) if section != self.request.class => {
                format!("{class}, {}", shown(section))
            }
            _ => class,
        }
    }
}

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

/// Students whose names cannot be drawn as they are, and what no font has of each.
#[derive(Default)]
pub(super) struct Unlike(Vec<(String, Missing)>);

/// What the fonts lack of texts, and of names.
pub(super) fn lacks(
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
        .help("name a font that has them: --font FILE (.ttf or .otf)")
}
