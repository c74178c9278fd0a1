//! Prints papers as they were issued.
//!
//! In: what the record holds of papers, a roster for names and print sizes, fonts. Out: `papers.pdf` as
//! bytes. Numbers and wording are those of the day a paper was issued, also where the file has changed
//! since. Refused: what cannot be drawn; a name of which a letter cannot is told and printed with its id.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use crate::assignment::{self, Sheet};
use crate::course::Course;
use crate::diagnostic::{Diagnostic, Place, Source};
use crate::figure::Figure;
use crate::paper::{self, Copy, Figure as Picture, Fonts, Handout, Missing, PageSize, SheetText};
use crate::quantity::Quantity;
use crate::record::{Filed, Issue, Record};
use crate::roster::{Roster, Student};
use crate::text::{DecimalMark, excerpt, safe};

use super::kept::{Kept, filed};
use super::{Failure, Figures, Findings, Prepared, attend, figures};

/// The size of letters, in points, where the roster says nothing.
pub(super) const LETTERS: u8 = 11;

/// Columns of a terminal for the ids in one message.
pub(super) const NAMED: usize = 60;

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

/// Prints papers.
///
/// # Errors
/// A record that cannot be read, figures that cannot be drawn, a program built without PDFs.
pub fn print_papers(request: &PrintRequest<'_>, record: &Record) -> Result<Printed, Failure> {
    let now = &request.prepared.plan.sheet;
    let kept = Kept::of(record, &now.code, request.class)?;
    let then = Wordings::of(request, record)?;
    let people = People::of(request);
    let mut names = Vec::new();
    let copies = stack(request).into_iter().map(|issue| {
        let student = people.student(issue);
        let (sheet, at) = then.of_paper(issue);
        let mark = student.decimal.unwrap_or(request.decimal);
        Copy {
            sheet: at,
            size: student.print.map_or(LETTERS, |size| size.points()),
            code: issue.code.as_str().to_owned(),
            name: people.name_beside_code(issue, &mut names),
            class: people.class(issue),
            due: kept.due(issue).map_or_else(String::new, paper::day),
            number: issue.number,
            values: values(sheet, issue, mark),
            figures: pictures(request, sheet, issue, mark),
        }
    });
    let copies = copies.collect();
    let handout = Handout {
        title: request.fonts.shown(&now.title, &mut Missing::default()),
        page: request.layout.page,
        duplex: request.layout.duplex,
        sheets: then.texts,
        copies,
    };
    let bytes = paper::papers(&handout, request.fonts)
        .map_err(|fault| Failure::input(vec![fault], Vec::new()))?;
    let mut list = then.findings;
    if handout.sheets.iter().any(|sheet| !sheet.is_whole()) {
        list.push(lacking(&now.code, "letters of its text"));
    }
    if !names.is_empty() {
        list.push(no_letters(request.class, &names));
    }
    Ok(Printed {
        bytes,
        findings: Findings {
            list,
            sources: Vec::new(),
        },
    })
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
fn values(sheet: &Sheet, issue: &Issue, mark: DecimalMark) -> Vec<Vec<String>> {
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

/// The figures of a paper, with its numbers in them. They are today's; one that has a place for a number
/// that the paper has not is left out.
fn pictures(
    request: &PrintRequest<'_>,
    sheet: &Sheet,
    issue: &Issue,
    mark: DecimalMark,
) -> Vec<Option<Picture>> {
    let today = &request.prepared.plan.sheet.problems;
    let pictures = sheet.problems.iter().enumerate().map(|(at, problem)| {
        let place = today.iter().position(|now| now.code == problem.code)?;
        let figure = request.figures.get(place)?.as_ref()?;
        let drawn = issue.values.get(at)?;
        let values = today[place].givens.iter().map(|given| {
            let drawn = drawn.iter().find(|drawn| drawn.name == given.name)?;
            Some(Quantity::parse(&drawn.value).ok()?.printed(mark))
        });
        let values: Vec<String> = values.collect::<Option<_>>()?;
        let words = figure.words(&values);
        let alt = words.unwrap_or_else(|| format!("Figure: {}", problem.title));
        Some(Picture {
            svg: figure.svg(&values),
            alt: safe(&alt).into_owned(),
        })
    });
    pictures.collect()
}

/// The figures of a sheet, to print papers with.
///
/// # Errors
/// Every figure that cannot be printed.
pub fn figures_to_print(prepared: &Prepared) -> Result<Vec<Option<Figure>>, Failure> {
    let Figures { figures, findings } = figures(&prepared.plan.sheet);
    if findings.list.is_empty() {
        return Ok(figures);
    }
    let mut sources = prepared.sources.clone();
    sources.extend(findings.sources);
    Err(Failure::input(findings.list, sources))
}

/// The sheets that papers were drawn from: today's, and those of before the file was changed.
struct Wordings {
    digests: Vec<String>,
    sheets: Vec<Sheet>,
    texts: Vec<SheetText>,
    findings: Vec<Diagnostic>,
}

impl Wordings {
    fn of(request: &PrintRequest<'_>, record: &Record) -> Result<Self, Failure> {
        let today = filed(request.prepared).digest;
        let mut wordings = Self {
            digests: Vec::new(),
            sheets: Vec::new(),
            texts: Vec::new(),
            findings: Vec::new(),
        };
        for issue in request.papers {
            if wordings.digests.contains(&issue.file) {
                continue;
            }
            let sheet = if issue.file == today {
                request.prepared.plan.sheet.clone()
            } else {
                match record.filed(&issue.file)?.as_ref().and_then(as_it_was) {
                    Some(sheet) => sheet,
                    None => {
                        wordings.findings.push(not_as_it_was(issue));
                        request.prepared.plan.sheet.clone()
                    }
                }
            };
            wordings.digests.push(issue.file.clone());
            wordings.texts.push(SheetText::of(&sheet, request.fonts));
            wordings.sheets.push(sheet);
        }
        Ok(wordings)
    }

    fn of_paper(&self, issue: &Issue) -> (&Sheet, usize) {
        let at = self.digests.iter().position(|digest| *digest == issue.file);
        let at = at.unwrap_or(0);
        (&self.sheets[at], at)
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
    pub(super) fn name(&self, issue: &'a Issue, unlike: &mut Vec<String>) -> String {
        let student = self.student(issue);
        let fonts = self.request.fonts;
        let (mut missing, mut ignored) = (Missing::default(), Missing::default());
        let name = fonts.shown(student.name, &mut missing);
        let id = fonts.shown(student.id, &mut ignored);
        if !missing.is_empty() {
            unlike.push(student.id.to_owned());
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

    /// The name, where papers do not go by their codes alone.
    pub(super) fn name_beside_code(
        &self,
        issue: &'a Issue,
        unlike: &mut Vec<String>,
    ) -> Option<String> {
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

/// That names of these ids cannot be drawn.
pub(super) fn no_letters(class: &str, ids: &[String]) -> Diagnostic {
    let list = excerpt(&ids.join(", "), NAMED).into_owned();
    let names = if ids.len() == 1 {
        "the name"
    } else {
        "the names"
    };
    lacking(class, &format!("letters in {names} of {list}"))
}

fn lacking(file: &str, letters: &str) -> Diagnostic {
    let message = format!("the fonts lack {letters}; □ stands for them");
    Diagnostic::warning(file, Place::File, message)
        .help("name a font that has them: --font FILE (.ttf or .otf)")
}
