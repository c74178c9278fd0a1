//! Cells that no spreadsheet program will run as a formula.
//!
//! In goes the text of a cell, out comes the same disarmed with an apostrophe before each formula, which
//! spreadsheet programs take as "this is text". Quoting the cell does not help (OWASP, CSV injection).
//! A cell that is strictly a number stays bare, so that -3.27 stays -3.27.

use std::borrow::Cow;

use crate::text::is_hidden;

/// Set before the text of a cell that would start a formula.
const DISARMED: char = '\'';

/// Whether a spreadsheet program might run the cell: its first visible character is `=`, `+`, `-` or `@`
/// (also in full width), or it begins with a tab or a line break; and it is not a plain number.
pub fn starts_formula(cell: &str) -> bool {
    let Some(first) = cell.bytes().next() else {
        return false;
    };
    // nearly every cell
    if first.is_ascii_alphanumeric() {
        return false;
    }
    if matches!(first, b'\t' | b'\r' | b'\n') {
        return true;
    }
    let invisible = |c: char| c.is_whitespace() || is_hidden(c);
    let visible = cell.trim_start_matches(invisible);
    let starts = visible.starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠']);
    starts && !is_number(cell)
}

/// What may separate cells where a program is set to something else than the comma of our files.
const SEPARATORS: [char; 4] = [';', '\t', '\r', '\n'];

/// Whether a cell holds what a program may cut it at.
pub fn may_be_cut(cell: &str) -> bool {
    cell.contains(SEPARATORS)
}

/// A cell of which nothing runs, with an apostrophe before each formula: also before one that begins where a
/// program with another separator cuts the cell, for `Ann;=1+1` is two cells to it.
pub fn disarmed(cell: &str) -> Cow<'_, str> {
    let with_mark = |piece: &str| format!("{DISARMED}{piece}");
    rewritten(cell, |piece, starts| {
        starts(piece).then(|| with_mark(piece))
    })
}

/// A cell as it was before it was disarmed.
pub fn armed(cell: &str) -> Cow<'_, str> {
    rewritten(cell, |piece, starts| {
        let rest = piece.strip_prefix(DISARMED)?;
        starts(rest).then(|| rest.to_owned())
    })
}

/// A cell with the pieces between possible separators written anew: each piece with the separator behind it, and
/// what tells whether such a piece starts a formula. The first of them is all of the cell.
fn rewritten(
    cell: &str,
    anew: impl Fn(&str, &dyn Fn(&str) -> bool) -> Option<String>,
) -> Cow<'_, str> {
    let first = cell.find(SEPARATORS).map_or(cell.len(), |at| at + 1);
    let rest = &cell[first..];
    let whole = |piece: &str| starts_formula(&format!("{piece}{rest}"));
    let begun = anew(&cell[..first], &whole);
    if rest.is_empty() {
        return begun.map_or(Cow::Borrowed(cell), Cow::Owned);
    }
    // quotes before a formula may fall to the cut
    let inside = |piece: &str| {
        let text = piece.trim_end_matches(SEPARATORS);
        starts_formula(text.trim_start_matches([' ', '"']))
    };
    let mut out = begun.unwrap_or_else(|| cell[..first].to_owned());
    for piece in rest.split_inclusive(SEPARATORS) {
        match anew(piece, &inside) {
            Some(piece) => out.push_str(&piece),
            None => out.push_str(piece),
        }
    }
    Cow::Owned(out)
}

/// An optional minus, digits, and perhaps a point and digits: nothing else, not even blanks.
fn is_number(cell: &str) -> bool {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let size = cell.strip_prefix('-').unwrap_or(cell);
    match size.split_once('.') {
        Some((whole, fraction)) => digits(whole) && digits(fraction),
        None => digits(size),
    }
}

#[cfg(test)]
mod tests {
    use super::{armed, disarmed, starts_formula};

    /// To a program that cuts at semicolons or tabs these are several cells.
    #[test]
    fn formulas_behind_a_cut_are_disarmed_and_come_back() {
        for (cell, expected) in [
            ("Ann", "Ann"),
            ("=1", "'=1"),
            ("-3.27", "-3.27"),
            ("Ann;=cmd|' /C calc'!A0;", "Ann;'=cmd|' /C calc'!A0;"),
            ("x; =4+4", "x;' =4+4"),
            ("x;\"=4+4\"", "x;'\"=4+4\""),
            ("x\t@SUM(A1)\n+1", "x\t'@SUM(A1)\n'+1"),
            ("-3;x", "'-3;x"),
            ("a; b; -4.5", "a; b; -4.5"),
            ("x;＝1", "x;'＝1"),
            ("x;", "x;"),
            ("\t=1", "'\t'=1"),
        ] {
            assert_eq!(disarmed(cell), expected);
            assert_eq!(armed(expected), cell);
        }
    }

    #[test]
    fn formulas_and_what_only_looks_like_one() {
        let formulas = [
            "=1+1",
            "+1",
            "-1+1",
            "@SUM(A1)",
            "\t=1",
            "\rx",
            "\n",
            " =1",
            "\u{200b}=1",
            "\u{feff}+1",
            "＝1",
            "＋1",
            "－1",
            "＠x",
            "-",
            "--1",
            "-3,27",
            "-.5",
            "-1.",
            " -1",
            "-3.27 m/s",
            "\u{a0}=1",
        ];
        for cell in formulas {
            assert!(starts_formula(cell), "{cell:?}");
        }
        for cell in [
            "",
            "-3.27",
            "-3",
            "0.5",
            "a=1",
            "1+1",
            "'=1",
            "−3.27",
            "Ó Ceallacháin",
            "#",
            "(=1)",
            " x",
        ] {
            assert!(!starts_formula(cell), "{cell:?}");
        }
    }
}
