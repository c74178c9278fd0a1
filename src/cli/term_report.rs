//! `paperweight report` on several sheets: a term.
//!
//! In: files of one course folder, the class or nothing of it. Out: a page, JSON or CSV. Refused: files of
//! several course folders, one named twice, none of which papers were issued. Told: sheets without papers.

use std::path::PathBuf;

use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::gradebook::term as table;
use crate::record::{OpenMode, Record};
use crate::roster::Roster;
use crate::statistics::term::{self, Term, lines};
use crate::text::{DecimalMark, excerpt};
use crate::workflow::{self, Failure, Findings, Prepared, ReportRequest};

use super::record::{ClassArguments, classes, not_issued};
use super::{out, report};

/// How a term is written.
#[derive(Clone, Copy, Debug)]
pub(super) enum Form {
    Page,
    Json,
    Csv,
}

/// A class of the term.
struct Class {
    name: String,
    roster: Roster,
    decimal: DecimalMark,
}

pub(super) fn run(
    files: &[PathBuf],
    arguments: &ClassArguments,
    with_students: bool,
    form: Form,
) -> Result<(), Failure> {
    let sheets = prepared(files, arguments)?;
    let Some(first) = files.first() else {
        return Ok(());
    };
    let record = arguments.record.open(first, OpenMode::Read)?;
    let mut known: Vec<Class> = Vec::new();
    let mut left_out = Findings::default();
    // For each sheet with papers out its classes, by their places among those known.
    let mut named: Vec<(&Prepared, Vec<usize>)> = Vec::new();
    for (file, prepared) in files.iter().zip(&sheets) {
        let code = &prepared.plan.sheet.code;
        let with_papers = with_papers(arguments, &record, code)?;
        if with_papers.is_empty() {
            let severity = Severity::Note;
            let why = not_here(&record, code)?;
            left_out.list.push(Diagnostic { severity, ..why });
            continue;
        }
        let mut places = Vec::new();
        for name in with_papers {
            let place = known.iter().position(|class| class.name == name);
            let place = place.unwrap_or(known.len());
            if place == known.len() {
                let (roster, decimal) = arguments.roster(&record, &name, file)?;
                known.push(Class {
                    name,
                    roster,
                    decimal,
                });
            }
            places.push(place);
        }
        named.push((prepared, places));
    }
    if named.is_empty() {
        left_out
            .list
            .iter_mut()
            .for_each(|finding| finding.severity = Severity::Error);
        return Err(Failure::Input(left_out));
    }
    report::show(&left_out);
    let request = |prepared, at: &usize| ReportRequest {
        prepared,
        class: &known[*at].name,
        roster: &known[*at].roster,
        decimal: known[*at].decimal,
    };
    let requests = named.iter().map(|(prepared, places)| {
        let requests = places.iter().map(|at| request(prepared, at));
        requests.collect()
    });
    let requests: Vec<Vec<ReportRequest<'_>>> = requests.collect();
    let term = workflow::term(&requests, with_students, &record)?;
    out::rows(&written(&term, with_students, form))
}

/// No class that is meant has papers of a sheet.
fn not_here(record: &Record, code: &str) -> Result<Diagnostic, Failure> {
    let others = classes(record, code)?;
    if others.is_empty() {
        return Ok(not_issued(record, code));
    }
    let message = format!("the class that is asked for has no papers of `{code}`");
    let others = others.join(", ");
    let help = format!(
        "these have: {}; name one with --class",
        excerpt(&others, 60)
    );
    Ok(Diagnostic::error(record.name(), Place::File, message).help(help))
}

fn written(term: &Term, with_students: bool, form: Form) -> Vec<u8> {
    match form {
        Form::Page => term::page(term).into_bytes(),
        Form::Json => lines::json(term),
        Form::Csv if with_students => table::students_csv(term),
        Form::Csv => table::sheets_csv(term),
    }
}

/// The sheets, of one record and each once.
fn prepared(files: &[PathBuf], arguments: &ClassArguments) -> Result<Vec<Prepared>, Failure> {
    let mut sheets: Vec<Prepared> = Vec::new();
    let mut faults = Vec::new();
    let records = files.iter().map(|file| arguments.record.path(file));
    let records: Vec<PathBuf> = records.collect();
    for (file, record) in files.iter().zip(&records) {
        let name = file.to_string_lossy();
        let prepared = workflow::prepare(workflow::load(file)?)?;
        if *record != records[0] {
            let message = "this file is of another course folder than the first one";
            let error = Diagnostic::error(&name, Place::File, message);
            faults.push(error.help("report on each course folder by itself, or name one --record"));
        }
        let code = &prepared.plan.sheet.code;
        if sheets.iter().any(|known| known.plan.sheet.code == *code) {
            let message = format!("`{code}` is named twice");
            let error = Diagnostic::error(&name, Place::File, message);
            faults.push(error.help("name each sheet once"));
        }
        sheets.push(prepared);
    }
    match faults.is_empty() {
        true => Ok(sheets),
        false => Err(Failure::input(faults, Vec::new())),
    }
}

/// The classes that are meant and have papers of a sheet.
fn with_papers(
    arguments: &ClassArguments,
    record: &Record,
    code: &str,
) -> Result<Vec<String>, Failure> {
    let mut with_papers = classes(record, code)?;
    if let Some(class) = arguments.named() {
        with_papers.retain(|name| *name == class);
    }
    Ok(with_papers)
}
