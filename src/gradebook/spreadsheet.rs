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
const SEPARATORS: [char; 5] = [';', '|', '\t', '\r', '\n'];

/// Whether a byte is one of them.
pub fn separates(byte: u8) -> bool {
    SEPARATORS.contains(&char::from(byte))
}

/// A cell of which nothing runs, with an apostrophe before each formula: also before one that begins where a
/// program with another separator cuts the cell, for `Ann;=1+1` is two cells to it.
pub fn disarmed(cell: &str) -> Cow<'_, str> {
    let (first, rest) = cut(cell);
    let starts = starts_formula(cell);
    if rest.is_empty() {
        return match starts {
            true => Cow::Owned(format!("{DISARMED}{cell}")),
            false => Cow::Borrowed(cell),
        };
    }
    let mut out = String::with_capacity(cell.len() + 4);
    out.extend(starts.then_some(DISARMED));
    out.push_str(first);
    for piece in rest.split_inclusive(SEPARATORS) {
        out.extend(runs_behind_a_cut(piece).then_some(DISARMED));
        out.push_str(piece);
    }
    Cow::Owned(out)
}

/// A cell as it was before it was disarmed.
pub fn armed(cell: &str) -> Cow<'_, str> {
    if !cell.contains(DISARMED) {
        return Cow::Borrowed(cell);
    }
    let (first, rest) = cut(cell);
    let mut out = String::with_capacity(cell.len());
    for piece in rest.split_inclusive(SEPARATORS) {
        let bare = piece.strip_prefix(DISARMED);
        out.push_str(bare.filter(|bare| runs_behind_a_cut(bare)).unwrap_or(piece));
    }
    if let Some(bare) = first.strip_prefix(DISARMED) {
        let whole = format!("{bare}{out}");
        if starts_formula(&whole) {
            return Cow::Owned(whole);
        }
    }
    Cow::Owned(format!("{first}{out}"))
}

/// What a program with another separator would take for the first cell, with the separator, and the rest.
fn cut(cell: &str) -> (&str, &str) {
    let first = cell.find(SEPARATORS).map_or(cell.len(), |at| at + 1);
    cell.split_at(first)
}

/// Whether a piece behind a cut might do harm. Sentences have such pieces, too: what begins with a sign does so
/// by a call or a link alone, and `; -4.5` stays as it is. Quotes before it may fall to the cut.
fn runs_behind_a_cut(piece: &str) -> bool {
    let invisible = |c: char| c.is_whitespace() || is_hidden(c) || c == '"';
    let visible = piece.trim_start_matches(invisible);
    visible.starts_with(['=', '@', '＝', '＠'])
        || visible.starts_with(['+', '-', '＋', '－']) && visible.contains(['(', '!', '（', '！'])
        || visible.starts_with(['+', '-', '＋', '－']) && piece.ends_with('|')
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
            ("Ann;-cmd|' /C calc'!A0;", "Ann;'-cmd|' /C calc'!A0;"),
            ("x; =4+4", "x;' =4+4"),
            ("x;\"=4+4\"", "x;'\"=4+4\""),
            ("x\t@SUM(A1)\n+SUM(1)", "x\t'@SUM(A1)\n'+SUM(1)"),
            ("-3;x", "'-3;x"),
            ("a; b; -4.5", "a; b; -4.5"),
            ("Mend:\n- units\n- the sign", "Mend:\n- units\n- the sign"),
            ("x;＝1", "x;'＝1"),
            ("x|=1", "x|'=1"),
            ("x;", "x;"),
            ("\t=1", "'\t'=1"),
            (" \n=1", "' \n'=1"),
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
