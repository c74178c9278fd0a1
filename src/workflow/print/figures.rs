//! The figures of papers, as they were handed out.
//!
//! In: papers, the sheet that each was drawn from, the record with the figures of then, today's figures. Out:
//! each paper's figures with its numbers in them. Told: that today's file is another one, that the record has
//! not the figure of then and today's is printed, a figure that is left out since the paper's numbers do not
//! fit it, letters that no font has.

use std::path::Path;

use rustc_hash::FxHashMap;

use crate::assignment::{Assignment, FigureFile, Sheet};
use crate::diagnostic::{Diagnostic, Place, Source};
use crate::figure::{self, Figure};
use crate::paper::{self, Missing, Picture};
use crate::quantity::Quantity;
use crate::record::{FiledFigure, Issue, Record, RecordError};
use crate::text::{DecimalMark, safe};

use super::super::export::named;
use super::super::{Failure, Figures, Prepared, PrintRequest, figures};
use super::lacks::lacking;

/// Figures of the papers of one request.
pub(super) struct Drawings<'a> {
    request: &'a PrintRequest<'a>,
    /// None where papers are printed that are not kept: their figures are today's.
    record: Option<&'a Record>,
    /// Figures of then, by the digest of the sheet's files, the problem's place and the figure's digest.
    kept: FxHashMap<(String, usize, String), Then>,
    /// Papers of which a figure is left out.
    unfit: Vec<String>,
    /// What is to be told of each figure file.
    told: Vec<Told>,
}

/// The figure that a paper was handed out with.
#[derive(Clone, Debug)]
enum Then {
    Kept(Figure),
    /// This version of the program does not take or cannot draw such a figure.
    Undrawn,
    /// The record lacks it.
    Lost,
}

/// What is to be told of one figure file.
#[derive(Default)]
struct Told {
    file: String,
    /// Papers with the figure of then, where today's is another.
    changed: Vec<String>,
    /// Papers with today's figure, for want of that of then.
    unkept: Vec<String>,
    /// Papers with today's figure, since that of then is drawn no longer.
    undrawn: Vec<String>,
    /// What no font has of its lettering.
    missing: Missing,
}

impl<'a> Drawings<'a> {
    /// Of papers that the record keeps, or of others that have today's.
    pub(in crate::workflow) fn of(
        request: &'a PrintRequest<'a>,
        record: Option<&'a Record>,
    ) -> Self {
        Self {
            request,
            record,
            kept: FxHashMap::default(),
            unfit: Vec::new(),
            told: Vec::new(),
        }
    }

    /// The figures of a paper that was drawn from `sheet`, one or none for each problem.
    ///
    /// # Errors
    /// A record that cannot be read.
    pub(in crate::workflow) fn of_paper(
        &mut self,
        sheet: &Sheet,
        issue: &Issue,
        mark: DecimalMark,
    ) -> Result<Vec<Option<Picture>>, RecordError> {
        let problems = sheet.problems.iter().enumerate();
        let pictures = problems.map(|(at, problem)| self.picture(at, problem, issue, mark));
        pictures.collect()
    }

    fn picture(
        &mut self,
        at: usize,
        problem: &Assignment,
        issue: &Issue,
        mark: DecimalMark,
    ) -> Result<Option<Picture>, RecordError> {
        let Some(file) = &problem.figure else {
            return Ok(None);
        };
        let code = issue.code.as_str();
        let path = Path::new(&problem.source.name).with_file_name(&file.name);
        let name = path.to_string_lossy();
        let request = self.request;
        let today = &request.prepared.plan.sheet.problems;
        let place = today.iter().position(|now| now.code == problem.code);
        let now = place.and_then(|place| request.figures.get(place)?.as_ref());
        let drawn = issue.values.get(at).map_or(&[][..], Vec::as_slice);
        let values = |problem: &Assignment| {
            let values = problem.givens.iter().map(|given| {
                let drawn = drawn.iter().find(|drawn| drawn.name == given.name)?;
                Some(Quantity::parse(&drawn.value).ok()?.printed(mark))
            });
            values.collect::<Option<Vec<String>>>()
        };
        let digests = issue.figures.as_deref().unwrap_or_default();
        let digest = digests.get(at).and_then(Option::as_deref);
        let then = match digest {
            Some(digest) => self.as_it_was(at, problem, file, issue, digest)?,
            None => Then::Lost,
        };
        let (figure, values) = match then {
            Then::Kept(figure) => {
                let is_another = |now: &Figure| now.text() != figure.text();
                if now.is_none_or(is_another) {
                    told_of(&mut self.told, &name).changed.push(code.to_owned());
                }
                (figure, values(problem))
            }
            Then::Undrawn | Then::Lost => {
                let Some((place, now)) = place.zip(now) else {
                    self.left_out(code);
                    return Ok(None);
                };
                if self.record.is_some() {
                    let told = told_of(&mut self.told, &name);
                    let papers = match then {
                        Then::Undrawn => &mut told.undrawn,
                        _ => &mut told.unkept,
                    };
                    papers.push(code.to_owned());
                }
                (now.clone(), values(&today[place]))
            }
        };
        let Some(values) = values else {
            self.left_out(code);
            return Ok(None);
        };
        let words = figure.words(&values);
        let alt = words.unwrap_or_else(|| format!("Figure: {}", problem.title));
        let missing = &mut told_of(&mut self.told, &name).missing;
        let fonts = request.fonts;
        Ok(Some(Picture {
            svg: figure::lettered(figure.svg(&values), |c| fonts.drawn(c, missing)),
            alt: safe(&alt).into_owned(),
        }))
    }

    /// The figure that a paper was handed out with.
    fn as_it_was(
        &mut self,
        at: usize,
        problem: &Assignment,
        file: &FigureFile,
        issue: &Issue,
        digest: &str,
    ) -> Result<Then, RecordError> {
        let key = (issue.file.clone(), at, digest.to_owned());
        if let Some(known) = self.kept.get(&key) {
            return Ok(known.clone());
        }
        let filed = match self.record {
            Some(record) => record.figure(digest)?,
            None => None,
        };
        let then = filed.map_or(Then::Lost, |FiledFigure { svg, .. }| {
            let name = file.name.clone();
            let read = Figure::read(&Source { name, text: svg }, problem).ok();
            let drawn = read.filter(|read| paper::try_figure(&read.svg(&[])).is_ok());
            drawn.map_or(Then::Undrawn, Then::Kept)
        });
        self.kept.insert(key, then.clone());
        Ok(then)
    }

    fn left_out(&mut self, code: &str) {
        if self.unfit.last().is_none_or(|last| last != code) {
            self.unfit.push(code.to_owned());
        }
    }

    /// What should be known of the figures that were printed.
    pub(in crate::workflow) fn findings(self) -> Vec<Diagnostic> {
        let mut list = Vec::new();
        if !self.unfit.is_empty() {
            list.push(left_out(
                &self.request.prepared.plan.sheet.code,
                &self.unfit,
            ));
        }
        for told in self.told {
            if !told.changed.is_empty() {
                let papers = named(&told.changed);
                let message = format!("the figure is another one than on {papers}, as issued");
                let note = Diagnostic::note(&told.file, Place::File, message);
                list.push(note.help("papers keep the figure that they were handed out with"));
            }
            if !told.unkept.is_empty() {
                let papers = named(&told.unkept);
                let message = format!("the record lacks the figure of {papers}, as issued");
                let note = Diagnostic::note(&told.file, Place::File, message);
                list.push(note.help("today's is printed: see that it is the same"));
            }
            if !told.undrawn.is_empty() {
                let papers = named(&told.undrawn);
                let message = format!("the figure of {papers}, as issued, is not drawn any more");
                let note = Diagnostic::note(&told.file, Place::File, message);
                list.push(note.help("today's is printed: see that it shows the same"));
            }
            if !told.missing.is_empty() {
                list.push(lacking(&told.file, &told.missing.words(), "of the figure"));
            }
        }
        list
    }
}

/// What is told of a file, to be added to.
fn told_of<'t>(told: &'t mut Vec<Told>, file: &str) -> &'t mut Told {
    let at = told.iter().position(|told| told.file == file);
    let at = at.unwrap_or_else(|| {
        told.push(Told {
            file: file.to_owned(),
            ..Told::default()
        });
        told.len() - 1
    });
    &mut told[at]
}

/// That figures of these papers are not printed.
fn left_out(file: &str, codes: &[String]) -> Diagnostic {
    let list = named(codes);
    let message = format!("a figure is left out that does not fit the numbers of {list}");
    Diagnostic::warning(file, Place::File, message).help(
        "the record has not kept it: put back the figure, or the givens that it shows, as they were",
    )
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

/// Today's figures for papers that were issued before: those that can be printed, where the record has the
/// papers' own.
///
/// # Errors
/// As [`figures_to_print`], where the record lacks a figure.
pub fn figures_to_reprint(
    prepared: &Prepared,
    papers: &[Issue],
) -> Result<Vec<Option<Figure>>, Failure> {
    if papers.iter().all(|paper| paper.figures.is_some()) {
        Ok(figures(&prepared.plan.sheet).figures)
    } else {
        figures_to_print(prepared)
    }
}
