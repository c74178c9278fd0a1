//! `paperweight check`: checks assignments over all their variants.

use std::path::PathBuf;

use serde::Serialize;

use crate::diagnostic::{Diagnostic, Severity, Source};
use crate::lint::{self, ProblemReport, Report, SheetReport};
use crate::text;
use crate::workflow::{self, Checked, Failure, Findings};

use super::{Exit, out, report};

/// Check assignments and sheets over all their variants (or a large sample), and show their roads
///
/// Solves every variant and warns of what would make marking unfair: a foreseen slip too near the right
/// answer, a choice that is the same for everyone, draws that hardly meet the requirements, rounding on
/// the way that moves an answer beyond its tolerance.
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Assignments and sheets
    #[arg(value_name = "FILE", required = true)]
    files: Vec<PathBuf>,
    /// Write one JSON object a file
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct File<'a> {
    file: String,
    sheet: Option<&'a SheetReport>,
    problems: &'a [ProblemReport],
    findings: Vec<Finding<'a>>,
}

#[derive(Serialize)]
struct Finding<'a> {
    severity: &'static str,
    file: &'a str,
    line: Option<u64>,
    column: Option<u64>,
    message: &'a str,
    help: Option<&'a str>,
}

pub(super) fn run(arguments: &Arguments) -> Result<Exit, Failure> {
    let mut exit = Exit::Done;
    for (at, path) in arguments.files.iter().enumerate() {
        let file = path.to_string_lossy();
        let checked = match workflow::check(path) {
            Ok(checked) => checked,
            Err(Failure::Input(findings)) => {
                exit = Exit::BadInput;
                if arguments.json {
                    out::data(&line(&file, &Report::default(), &findings.list, &findings))?;
                } else {
                    report::show(&findings);
                }
                continue;
            }
            Err(failure) => return Err(failure),
        };
        if exit == Exit::Done
            && checked
                .report
                .findings
                .iter()
                .any(|f| f.severity != Severity::Note)
        {
            exit = Exit::Findings;
        }
        show(&file, checked, arguments.json, at > 0)?;
    }
    Ok(exit)
}

fn show(file: &str, checked: Checked, json: bool, further: bool) -> Result<(), Failure> {
    let findings = Findings {
        list: checked.report.findings.clone(),
        sources: checked.sources,
    };
    if json {
        return out::data(&line(file, &checked.report, &findings.list, &findings));
    }
    let gap = if further { "\n" } else { "" };
    out::data(&format!("{gap}{}", lint::show(&checked.report)))?;
    report::show(&findings);
    Ok(())
}

fn line(file: &str, report: &Report, list: &[Diagnostic], findings: &Findings) -> String {
    let sources: Vec<&Source> = findings.sources.iter().map(|source| &**source).collect();
    let finding = |diagnostic: &'_ Diagnostic| {
        let place = diagnostic.line_column(&sources);
        (
            place.map(|(line, _)| line),
            place.and_then(|(_, column)| column),
        )
    };
    let findings = list
        .iter()
        .map(|diagnostic| {
            let (line, column) = finding(diagnostic);
            Finding {
                severity: diagnostic.severity.name(),
                file: &diagnostic.file,
                line,
                column,
                message: &diagnostic.message,
                help: diagnostic.help.as_deref(),
            }
        })
        .collect();
    let object = File {
        file: file.to_owned(),
        sheet: report.sheet.as_ref(),
        problems: &report.problems,
        findings,
    };
    text::json_line(&object)
}
