//! Reads the figures of a sheet.
//!
//! In: a checked sheet. Out: for each problem its figure, where it names one, and what is wrong with
//! those that cannot be printed. A figure lies beside the file that names it.

use std::path::Path;
use std::sync::Arc;

use crate::assignment::{Assignment, FigureFile, Sheet};
use crate::diagnostic::{Diagnostic, Place};
use crate::figure::Figure;
use crate::files::{self, FileError};
use crate::paper;

use super::Findings;

/// The figures of a sheet.
#[derive(Debug, Default)]
pub struct Figures {
    /// For each problem its figure; nothing where it names none, or one that cannot be printed.
    pub figures: Vec<Option<Figure>>,
    /// What is wrong with the others, and their files.
    pub findings: Findings,
}

/// Reads the figures that the problems of a sheet name.
pub fn figures(sheet: &Sheet) -> Figures {
    let mut all = Figures::default();
    for problem in &sheet.problems {
        let figure = problem
            .figure
            .as_ref()
            .and_then(|file| figure(problem, file, &mut all.findings));
        all.figures.push(figure);
    }
    all
}

fn figure(problem: &Assignment, file: &FigureFile, findings: &mut Findings) -> Option<Figure> {
    let path = Path::new(&problem.source.name).with_file_name(&file.name);
    let source = match files::read_beside(&path) {
        Ok(source) => Arc::new(source),
        Err(error) => {
            findings.list.push(unread(problem, file, &error));
            return None;
        }
    };
    let read = Figure::read(&source, problem).and_then(|figure| {
        let drawn = paper::try_figure(&figure.svg(&[]));
        drawn.map_err(|words| vec![undrawn(&source.name, &words)])?;
        Ok(figure)
    });
    findings.sources.push(source);
    read.map_err(|list| findings.list.extend(list)).ok()
}

/// Told before papers are handed out: their figure is kept with them.
fn undrawn(file: &str, words: &str) -> Diagnostic {
    Diagnostic::error(
        file,
        Place::File,
        format!("the figure cannot be drawn: {words}"),
    )
    .help("save it again from the drawing program as a plain SVG")
}

/// A file that cannot be read is told where the assignment names it, unless it has a place itself.
fn unread(problem: &Assignment, file: &FigureFile, error: &FileError) -> Diagnostic {
    let mut told = error.diagnostic().clone();
    if told.place == Place::File {
        told.message = format!("the figure {}: {}", told.file, told.message);
        told.file.clone_from(&problem.source.name);
        told.place = Place::Span(file.span);
    }
    told
}
