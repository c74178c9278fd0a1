//! The files of practice and of the board, in one folder.
//!
//! In: a folder, which is made if it is not there; what was drawn. Out: `practice.csv`, `practice.pdf` and
//! `practice-key.pdf`; `board.pdf` and `board-key.pdf`; each appears whole or not at all, in place of one of
//! its kind and sheet alone, and the table first, in place of one of the same class. Refused: other files of
//! these names. Told: that this program draws no PDFs.

use std::path::Path;

use crate::files::{self, Draft};
use crate::gradebook::practice as table;
use crate::paper;
use crate::roster::Roster;

use super::papers::{begin_pdf, issued_rows, not_built, put_pdf};
use super::{
    Board, Failure, Findings, Practice, Prepared, PrintRequest, print_board, print_board_worked,
    print_practice, print_practice_key,
};

/// Practice as its table has it.
pub fn practice_rows<'a>(
    prepared: &'a Prepared,
    roster: &'a Roster,
    practice: &'a Practice,
) -> Vec<table::Practised<'a>> {
    let parts = &prepared.plan.parts;
    let rows = practice.papers.iter();
    let rows = rows.flat_map(|practised| {
        let draw = std::slice::from_ref(&practised.draw);
        let paper = issued_rows(draw, roster).into_iter();
        paper.map(move |paper| table::Practised {
            paper,
            parts: practised
                .parts
                .iter()
                .map(|part| parts[*part].id.as_str())
                .collect(),
            mistakes: practised
                .mistakes
                .iter()
                .map(|at| practice.shared[*at].words())
                .collect(),
        })
    });
    rows.collect()
}

/// Writes the table, the papers and their key.
///
/// # Errors
/// See the module; what cannot be drawn or written.
pub fn write_practice(
    folder: &Path,
    request: &PrintRequest<'_>,
    practice: &Practice,
) -> Result<Findings, Failure> {
    files::make_folder(folder)?;
    let sheet = &request.prepared.plan.sheet;
    let begin = |name: &str, kind| begin_pdf(&folder.join(name), kind, &sheet.code);
    let papers = begin("practice.pdf", paper::PAPERS)?;
    let key = begin("practice-key.pdf", paper::KEY)?;
    let of = (sheet.code.clone(), request.class.to_owned());
    let is_ours = move |file: &[u8]| table::is_of(file, &of.0, &of.1);
    let draft = Draft::create_if(&folder.join("practice.csv"), is_ours)?;
    let rows = practice_rows(request.prepared, request.roster, practice);
    draft.put(&table::csv(sheet, &rows))?;
    let Some((papers, key)) = papers.zip(key) else {
        return Ok(not_built("practice.pdf"));
    };
    let mut found = put_pdf(papers, print_practice(request, practice)?)?;
    found.join_new(put_pdf(key, print_practice_key(request, practice)?)?);
    Ok(found)
}

/// Writes the variant for the board and its worked solution.
///
/// # Errors
/// See the module; what cannot be drawn or written.
pub fn write_board(
    folder: &Path,
    request: &PrintRequest<'_>,
    board: &Board,
) -> Result<Findings, Failure> {
    files::make_folder(folder)?;
    let code = &request.prepared.plan.sheet.code;
    let begin = |name: &str, kind| begin_pdf(&folder.join(name), kind, code);
    let paper = begin("board.pdf", paper::PAPERS)?;
    let Some((paper, key)) = paper.zip(begin("board-key.pdf", paper::WORKED)?) else {
        return Ok(not_built("board.pdf"));
    };
    let mut found = put_pdf(paper, print_board(request, board)?)?;
    found.join_new(put_pdf(key, print_board_worked(request, board)?)?);
    Ok(found)
}
