//! Explains the marks of one student.
//!
//! In: a prepared sheet, a roster, the student and what stands on the paper. Out: the reckoning as
//! text; where nothing is said to stand there, what the record holds of the paper, or else the
//! student's numbers and key. Refused: an unknown
//! student, parts and givens that do not exist, doubled ones. Entries take the way that a file of
//! answers takes, in its long layout.

use std::io::Cursor;

use chrono::NaiveDate;

use crate::answer::sheet::{self, Answers, StudentEntries};
use crate::diagnostic::{Diagnostic, Place};
use crate::explain;
use crate::marking::{Key, Marker, Paper};
use crate::record::{Issue, Standing, account};
use crate::roster::Roster;
use crate::text::{DecimalMark, QUOTED, excerpt};

use super::drawn::key_of;
use super::export::named;
use super::kept::Kept;
use super::keys::Issued;
use super::marked::{diagnosed, row};
use super::paper::{PaperReader, columns};
use super::{Failure, Findings, Prepared, attend, told};

/// How entries are named in messages.
const ENTRIES: &str = "--part";

/// Whose marks to explain.
#[derive(Debug)]
pub struct ExplainRequest<'a> {
    /// The sheet, prepared.
    pub prepared: &'a Prepared,
    /// The class.
    pub roster: &'a Roster,
    /// The student's id.
    pub student: &'a str,
    /// What stands on the paper, each as `part=entry`; with none, numbers and key are shown.
    pub entries: &'a [String],
    /// Whether the way to the student's own key is shown instead, whatever stands on the paper.
    pub worked: bool,
    /// The day papers are due; a paper handed in later loses what the scheme says.
    pub due: Option<NaiveDate>,
    /// The decimal mark where the roster does not say it.
    pub decimal: DecimalMark,
    /// What the record holds of the class, if there is one: the numbers of a paper that was issued are
    /// those it was issued with, and with no entries given what was keyed is explained.
    pub kept: Option<&'a Kept>,
}

/// What there is to show.
#[derive(Clone, Debug)]
pub struct Explained {
    /// The reckoning, for a terminal.
    pub text: String,
    /// What was assumed of the entries.
    pub findings: Findings,
}

/// The whole reckoning, step by step.
///
/// # Errors
/// An unknown student, entries for parts that do not exist, a draw without a key.
pub fn explain(request: &ExplainRequest<'_>) -> Result<Explained, Failure> {
    let sources = &request.prepared.sources;
    let issue = request
        .kept
        .and_then(|kept| attend::paper(kept, request.student, "--student", None).ok());
    let typed = issue.map_or(request.student, |issue| &issue.student);
    let at =
        student(request, typed).map_err(|found| Failure::input(vec![*found], sources.clone()))?;
    let id = request.roster.id(at);
    let issue = issue.or_else(|| request.kept.and_then(|kept| kept.latest(id)));
    let mut explained = reckoned(request, at, issue)?;
    if id != typed {
        let message = format!("'{}' is {id}", excerpt(typed, QUOTED));
        let note = Diagnostic::note("--student", Place::File, message);
        explained.findings.list.insert(0, note);
    }
    Ok(explained)
}

/// The reckoning for a student of the roster, of that paper if there is one.
fn reckoned(
    request: &ExplainRequest<'_>,
    at: usize,
    issue: Option<&Issue>,
) -> Result<Explained, Failure> {
    let plan = &request.prepared.plan;
    let fault = |list| Failure::input(list, request.prepared.sources.clone());
    let student = request.roster.id(at);
    let mut key = Key::default();
    match issue {
        Some(issue) => key_of(plan, issue, &mut key).map_err(|finding| fault(vec![finding]))?,
        None => {
            let issued = Issued::to(request.prepared, request.roster)?;
            let mut keys = issued.keys();
            let own = keys
                .of(at, student)
                .map_err(|finding| fault(vec![finding]))?;
            key.clone_from(own);
        }
    }
    let key = &key;
    let decimal = request.roster.get(at).and_then(|student| student.decimal);
    if request.worked {
        let decimal = decimal.unwrap_or(request.decimal);
        return Ok(Explained {
            text: explain::worked(plan, key, decimal),
            findings: Findings::default(),
        });
    }
    let kept = request.kept.zip(issue);
    let due = request
        .due
        .or_else(|| kept.and_then(|(kept, issue)| kept.due(issue)));
    let papers = PaperReader::new(plan, due, request.decimal);
    let written = if request.entries.is_empty() {
        let standing = kept.map(|(kept, issue)| kept.standing(issue.id));
        let Some(standing) = standing.filter(|standing| standing.has_paper()) else {
            return Ok(Explained {
                text: explain::key(plan, key),
                findings: Findings::default(),
            });
        };
        let mut paper = Paper::default();
        papers.fill_from(standing, due, decimal, &mut paper, &mut Vec::new());
        Written {
            paper,
            cells: row::cells(plan, standing),
            findings: Findings::default(),
        }
    } else {
        written(request, &papers, (at, student), decimal)?
    };
    let cells: Vec<&str> = written.cells.iter().map(String::as_str).collect();
    let mut marker = Marker::new(plan);
    let mistakes = request.prepared.mistakes();
    let papers = (key, &written.paper);
    let marked = diagnosed::mark(plan, &|| mistakes, &mut marker, papers);
    let causes = diagnosed::causes(plan, mistakes, &mut marker, (key, &written.paper), &marked);
    let untried = diagnosed::untried(plan, mistakes, &mut marker, papers, &causes);
    // What the teacher said is of what was keyed, not of entries to try.
    let standing = match kept.filter(|_| request.entries.is_empty()) {
        Some((kept, issue)) => kept.standing(issue.id),
        None => &Standing::NOTHING,
    };
    let account = account(plan, &marked, standing);
    let mut text = explain::paper(&explain::Case {
        plan,
        key,
        paper: &written.paper,
        marked: &marked,
        told: &told::told(plan, &marked, &account, standing),
        causes: &causes,
        untried,
        entries: &cells,
    });
    text += &told::word(plan, &marked, &account, standing);
    Ok(Explained {
        text,
        findings: written.findings,
    })
}

/// What stands on the paper.
struct Written {
    paper: Paper,
    /// By part, as in a file of answers.
    cells: Vec<String>,
    findings: Findings,
}

/// What the arguments say stands there.
fn written(
    request: &ExplainRequest<'_>,
    papers: &PaperReader<'_>,
    (at, student): (usize, &str),
    decimal: Option<DecimalMark>,
) -> Result<Written, Failure> {
    let plan = &request.prepared.plan;
    let fault = |list| Failure::input(list, request.prepared.sources.clone());
    let columns = columns(&plan.sheet);
    let rows = rows(student, request.entries).map_err(fault)?;
    // Arguments have no lines.
    let without_place = |mut list: Vec<Diagnostic>| {
        list.iter_mut()
            .for_each(|finding| finding.place = Place::File);
        list
    };
    let mut answers = Answers::scan(Cursor::new(rows), ENTRIES, request.roster, &columns)
        .map_err(|list| fault(without_place(list)))?;
    let findings = Findings {
        list: without_place(answers.findings().to_vec()),
        sources: Vec::new(),
    };
    let mut entries = StudentEntries::default();
    let mut reader = answers.reader().map_err(|finding| fault(vec![*finding]))?;
    reader
        .read(at, &mut entries)
        .map_err(|finding| fault(vec![*finding]))?;
    let mut paper = Paper::default();
    let mut faults = Vec::new();
    papers.fill(&entries, decimal, &mut paper, &mut faults);
    if !faults.is_empty() {
        let finding = |message| Diagnostic::error(ENTRIES, Place::File, message);
        return Err(fault(faults.into_iter().map(finding).collect()));
    }
    Ok(Written {
        paper,
        cells: (0..plan.parts.len())
            .map(|part| entries.entry(part).to_owned())
            .collect(),
        findings,
    })
}

/// The student of that id, or the only one of that name. To show something to the teacher that is enough; a mark is
/// never given to a name.
fn student(request: &ExplainRequest<'_>, typed: &str) -> Result<usize, Box<Diagnostic>> {
    let roster = request.roster;
    if let Some(at) = roster.find(typed) {
        return Ok(at);
    }
    let found = excerpt(typed, QUOTED);
    let refused = |message: String, help: String| {
        Err(Box::new(
            Diagnostic::error("--student", Place::File, message).help(help),
        ))
    };
    match &roster.named(typed)[..] {
        [one] => Ok(*one),
        [] => refused(
            format!("no student on the roster has the id '{found}'"),
            sheet::advice(typed, roster),
        ),
        several => {
            let ids: Vec<&str> = several.iter().map(|at| roster.id(*at)).collect();
            refused(
                format!(
                    "{} students on the roster are called '{found}'",
                    several.len()
                ),
                format!("write the id: {}", named(&ids)),
            )
        }
    }
}

/// The entries as a file of answers in the long layout.
fn rows(student: &str, entries: &[String]) -> Result<Vec<u8>, Vec<Diagnostic>> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut faults = Vec::new();
    // Into memory nothing can fail to be written; what could is left out and shows as blank.
    let _ = writer.write_record(["student", "part", "entry"]);
    let mut given: Vec<&str> = Vec::new();
    for entry in entries {
        let Some((part, entry)) = entry.split_once('=') else {
            let message = format!("expected PART=ENTRY, found '{entry}'");
            let finding = Diagnostic::error(ENTRIES, Place::File, message);
            faults.push(finding.help("write b=\"2.1 m/s^2\", with quotes where there are spaces"));
            continue;
        };
        let part = part.trim();
        if given.contains(&part) {
            let message = format!("'{part}' is given twice");
            let finding = Diagnostic::error(ENTRIES, Place::File, message);
            faults.push(finding.help(
                "keep the entry that counts; where a student wrote two answers, put both in one",
            ));
        }
        given.push(part);
        let _ = writer.write_record([student, part, entry]);
    }
    let rows = writer.into_inner().unwrap_or_default();
    if faults.is_empty() {
        Ok(rows)
    } else {
        Err(faults)
    }
}
