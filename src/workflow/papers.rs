//! The files of handing out, in one folder: the table of numbers, the papers, the key.
//!
//! In: a folder, which is made where it is not there, what was issued, how it is printed. Out: `issued.csv`,
//! `papers.pdf` (`reissued.pdf` for papers given once more, `reissued-2.pdf` for the next ones), `key.pdf`, and
//! `codes.pdf` where papers carry no names; each appears whole or not at all. Refused before anything is
//! issued: a file of that name that is no document of the same kind and sheet, a table of another class. Told:
//! that this program draws no PDFs, a name with a number.

use std::path::{Path, PathBuf};

use crate::assignment::Sheet;
use crate::diagnostic::{Diagnostic, Place, Severity};
use crate::files::{self, Draft};
use crate::gradebook::issued;
use crate::paper::{self, Template};
use crate::record::{Issue, Record};
use crate::roster::Roster;

use super::{
    Failure, Findings, IssueOutcome, Layout, PrintRequest, Printed, print_codes, print_key,
    print_papers,
};

/// Files of handing out, begun and not in their places yet.
pub struct PaperFiles {
    is_again: bool,
    table: Draft,
    /// None where this program draws none.
    pdfs: Option<Pdfs>,
}

struct Pdfs {
    papers: Draft,
    key: Draft,
    /// For papers without names alone.
    codes: Option<Draft>,
}

impl PaperFiles {
    /// Begins them; `is_again` where students get another paper.
    ///
    /// # Errors
    /// See the module.
    pub fn begin(
        folder: &Path,
        is_again: bool,
        layout: Layout,
        sheet: &Sheet,
        class: &str,
    ) -> Result<Self, Failure> {
        files::make_folder(folder)?;
        let papers = if is_again {
            reissued(folder)
        } else {
            folder.join("papers.pdf")
        };
        let begin = |path: &Path, kind| begin_pdf(path, kind, &sheet.code);
        let key = folder.join("key.pdf");
        let pdfs = match begin(&papers, paper::PAPERS)?.zip(begin(&key, paper::KEY)?) {
            Some((papers, key)) => {
                let codes = layout
                    .nameless
                    .then(|| begin(&folder.join("codes.pdf"), paper::CODES));
                let codes = codes.transpose()?.flatten();
                Some(Pdfs { papers, key, codes })
            }
            None => None,
        };
        let of = (sheet.code.clone(), class.to_owned());
        let table = Draft::create_if(&folder.join("issued.csv"), move |file| {
            issued::is_of(file, &of.0, &of.1)
        })?;
        Ok(Self {
            is_again,
            table,
            pdfs,
        })
    }

    /// Writes them and puts them in their places: the papers of the request; table, key and codes of all
    /// that are about. Gives what should be known.
    ///
    /// # Errors
    /// What cannot be drawn or written; that the papers are issued all the same is told with it.
    pub fn write(
        self,
        request: &PrintRequest<'_>,
        outcome: &IssueOutcome,
        record: &Record,
    ) -> Result<Findings, Failure> {
        let is_again = self.is_again;
        self.put(request, &outcome.all, record)
            .map_err(|failure| failure.besides(still_issued(record.name(), is_again, outcome)))
    }

    fn put(
        self,
        request: &PrintRequest<'_>,
        all: &[Issue],
        record: &Record,
    ) -> Result<Findings, Failure> {
        let rows = issued_rows(all, request.roster);
        let table = issued::csv(&request.prepared.plan.sheet, &rows);
        self.table.put(&table)?;
        let Some(pdfs) = self.pdfs else {
            return Ok(not_built("papers.pdf"));
        };
        let printed = print_papers(request, record)?;
        let path = pdfs.papers.name().to_owned();
        let mut found = put_pdf(pdfs.papers, printed)?;
        if self.is_again {
            let message =
                "the papers given once more are in this file; earlier ones stay as they are";
            found
                .list
                .push(Diagnostic::note(&path, Place::File, message));
        }
        let request = PrintRequest {
            papers: all,
            ..*request
        };
        found.join_new(put_pdf(pdfs.key, print_key(&request)?)?);
        if let Some(codes) = pdfs.codes {
            found.join_new(put_pdf(codes, print_codes(&request)?)?);
        }
        Ok(found)
    }
}

/// Where papers given once more go: earlier ones may not be printed yet, and no other file has them.
fn reissued(folder: &Path) -> PathBuf {
    let mut path = folder.join("reissued.pdf");
    let mut number = 2;
    while path.symlink_metadata().is_ok() {
        path = folder.join(format!("reissued-{number}.pdf"));
        number += 1;
    }
    path
}

/// A PDF in the making, in place of one of its kind and its sheet; none where this program draws none.
pub(super) fn begin_pdf(path: &Path, kind: Template, code: &str) -> Result<Option<Draft>, Failure> {
    if !paper::IS_BUILT_IN {
        return Ok(None);
    }
    Ok(Some(Draft::create_holding(path, kind.mark(code))?))
}

/// The same, refused where this program draws none.
///
/// # Errors
/// See the module.
pub fn begin_pdf_or_fail(path: &Path, kind: Template, code: &str) -> Result<Draft, Failure> {
    let name = path.to_string_lossy();
    begin_pdf(path, kind, code)?.ok_or_else(|| Failure::of(paper::not_built(&name)))
}

/// Puts a PDF in its place and gives what there is to say of it.
///
/// # Errors
/// What cannot be written.
pub fn put_pdf(draft: Draft, printed: Printed) -> Result<Findings, Failure> {
    draft.put(&printed.bytes)?;
    Ok(printed.findings)
}

/// That no PDFs were drawn, and what to do.
pub(super) fn not_built(file: &str) -> Findings {
    let note = Diagnostic {
        severity: Severity::Note,
        ..paper::not_built(file)
    };
    Findings {
        list: vec![note],
        sources: Vec::new(),
    }
}

/// Papers as the table of issued papers has them.
pub fn issued_rows<'a>(papers: &'a [Issue], roster: &'a Roster) -> Vec<issued::Paper<'a>> {
    papers.iter().map(|issue| row(issue, roster)).collect()
}

fn row<'a>(issue: &'a Issue, roster: &'a Roster) -> issued::Paper<'a> {
    let student = roster.find(&issue.student).and_then(|at| roster.get(at));
    let problems = issue.values.iter().map(|drawn| {
        let drawn = drawn.iter();
        let values = drawn.map(|drawn| (drawn.name.as_str(), drawn.value.as_str()));
        values.collect()
    });
    issued::Paper {
        student: &issue.student,
        name: student.map_or("", |student| student.name),
        section: issue.section.as_deref().unwrap_or(""),
        issue: issue.number,
        code: issue.code.as_str(),
        values: problems.collect(),
    }
}

/// What stays done where files could not be written, and how to get them without another issue.
pub fn still_issued(record: &str, is_again: bool, outcome: &IssueOutcome) -> Diagnostic {
    let message = format!(
        "the papers are issued and in the record ({} now); not all files were written",
        outcome.new
    );
    let help = if is_again {
        let codes = outcome.papers.iter().map(|paper| paper.code.as_str());
        let codes: Vec<&str> = codes.collect();
        format!(
            "mend the rest, then print them with `issue --reprint {}`; `reissue` again would hand out \
             yet another paper",
            codes.join(" ")
        )
    } else {
        "mend the rest and `issue` again: everyone keeps their numbers; `issue --reprint ID` prints \
         single papers"
            .to_owned()
    };
    Diagnostic::note(record, Place::File, message).help(help)
}
