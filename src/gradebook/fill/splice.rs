//! Replaces cells in someone's file, and holds the result against what was there.
//!
//! In go the bytes as they were read and the changes; out come the bytes of the new file. [`check`] reads
//! a file that was written and says whether all but the changed cells is the same, byte for byte. Refused:
//! a text that the file's encoding does not have.

use crate::diagnostic::{Diagnostic, Findings};
use crate::table::cells::Scan;

use super::{Change, Gradebook, fault};

/// The file with the changes in it, which stand in the order of the file.
///
/// # Errors
/// Characters that cannot be written in the file's encoding, with their rows.
pub fn filled(gradebook: &Gradebook<'_>, changes: &[Change]) -> Result<Vec<u8>, Vec<Diagnostic>> {
    let (bytes, cut) = (gradebook.bytes, gradebook.cut);
    let mut findings = Findings::new(&gradebook.file);
    let more: usize = changes.iter().map(|change| 2 * change.new.len() + 4).sum();
    let mut out = Vec::with_capacity(bytes.len() + more);
    let mut at = 0;
    for change in changes {
        match cut.replaced(&change.new, change.is_quoted) {
            Some(new) => {
                out.extend_from_slice(&bytes[at..change.bytes.start]);
                out.extend_from_slice(&new);
                at = change.bytes.end;
            }
            None => {
                let encoding = cut.encoded.encoding.name();
                let found =
                    fault::lacks_character(&gradebook.file, change.line, &change.new, encoding);
                findings.push(found);
            }
        }
    }
    out.extend_from_slice(&bytes[at..]);
    if findings.errors() > 0 {
        return Err(findings.into_vec());
    }
    Ok(out)
}

/// Holds a file that was written against the one it comes from: the changed cells hold what they shall,
/// and every other byte is the same.
///
/// # Errors
/// The first difference, with its row in the old file.
pub fn check(
    gradebook: &Gradebook<'_>,
    after: &[u8],
    changes: &[Change],
) -> Result<(), Diagnostic> {
    let (before, cut) = (gradebook.bytes, gradebook.cut);
    let damaged = |line, what| Err(fault::damaged(&gradebook.file, line, what));
    let mark = cut.encoded.mark;
    if before.get(..mark) != after.get(..mark) {
        return damaged(1, "its byte order mark is another");
    }
    let (mut old, mut new) = (Scan::new(before, cut), Scan::new(after, cut));
    let (mut old_cells, mut new_cells) = (Vec::new(), Vec::new());
    let mut changes = changes.iter().peekable();
    loop {
        let (old_row, new_row) = (old.next(&mut old_cells), new.next(&mut new_cells));
        let (Ok(old_row), Ok(new_row)) = (old_row, new_row) else {
            return damaged(1, "its quotes are others");
        };
        let (old_row, new_row) = match (old_row, new_row) {
            (None, None) => break,
            (Some(old), Some(new)) => (old, new),
            (Some(old), None) => return damaged(old.line, "rows are missing from here on"),
            (None, Some(new)) => return damaged(new.line, "there are more rows"),
        };
        let line = old_row.line;
        if old_cells.len() != new_cells.len() {
            return damaged(line, "this row has another number of cells");
        }
        for (old_cell, new_cell) in old_cells.iter().zip(&new_cells) {
            let is_target = changes
                .peek()
                .is_some_and(|change| change.bytes == old_cell.bytes);
            let is_right = match changes.next_if(|_| is_target) {
                Some(change) => cut
                    .text(after, new_cell)
                    .is_ok_and(|text| text == change.new),
                None => before[old_cell.bytes.clone()] == after[new_cell.bytes.clone()],
            };
            if !is_right {
                return damaged(line, "a cell of this row is another");
            }
        }
        let breaks = [
            &before[old_row.bytes.end..old_row.next],
            &after[new_row.bytes.end..new_row.next],
        ];
        if breaks[0] != breaks[1] {
            return damaged(line, "this row ends in another line break");
        }
    }
    match changes.next() {
        Some(change) => damaged(change.line, "a cell of this row was not filled"),
        None => Ok(()),
    }
}
