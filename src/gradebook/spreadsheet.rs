//! Cells that no spreadsheet program will run as a formula.
//!
//! In goes the text of a cell, out comes whether it must be disarmed with a leading apostrophe, which
//! spreadsheet programs take as "this is text". Quoting the cell does not help (OWASP, CSV injection).
//! A cell that is strictly a number stays bare, so that -3.27 stays -3.27.

use crate::text::is_hidden;

/// Set before the text of a cell that would start a formula.
pub const DISARMED: u8 = b'\'';

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

/// A cell as it was before it was disarmed.
pub fn armed(cell: &str) -> &str {
    let rest = cell.strip_prefix(char::from(DISARMED));
    rest.filter(|rest| starts_formula(rest)).unwrap_or(cell)
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
    use super::starts_formula;

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
