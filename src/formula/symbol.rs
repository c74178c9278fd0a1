//! A name of a formula as print sets it: a letter and what stands below the line.
//!
//! In: a name such as `mA`, `mu_k`, `theta`. Out: `m` with `A`, `μ` with `k`, `θ` alone. Any name is
//! taken; one that is no name of a formula comes out as its first letter and the rest.

use crate::text::{greek_letter, greek_prefix};

/// A name taken apart for print.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Symbol {
    /// One letter.
    pub letter: String,
    /// What is set below the line; often empty.
    pub below: String,
}

impl Symbol {
    /// Takes a name apart.
    pub fn of(name: &str) -> Self {
        let (head, tail) = name.split_once('_').unwrap_or((name, ""));
        // `theta1`, `alphaL`: a Greek letter, and a digit or a capital below it. `mud` is no `μ`.
        let ends = |rest: &str| {
            let next = rest.chars().next();
            next.is_none_or(|c| c.is_ascii_digit() || c.is_uppercase())
        };
        let first = head.chars().next().map_or(0, char::len_utf8);
        let end = greek_prefix(head, ends).map_or(first, str::len);
        let (letter, rest) = head.split_at(end);
        let mut below = rest.to_owned();
        for piece in tail.split('_').filter(|piece| !piece.is_empty()) {
            if !below.is_empty() {
                below.push(' ');
            }
            below.push_str(piece);
        }
        Self {
            letter: greek_letter(letter).map_or_else(|| letter.to_owned(), String::from),
            below,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Symbol;

    #[test]
    fn names_are_taken_apart() {
        let cases = [
            ("g", "g", ""),
            ("mA", "m", "A"),
            ("T1", "T", "1"),
            ("mu_k", "μ", "k"),
            ("mu", "μ", ""),
            ("theta", "θ", ""),
            ("theta1", "θ", "1"),
            ("alphaL", "α", "L"),
            ("mud", "m", "ud"),
            ("v_x_0", "v", "x 0"),
            ("Omega", "Ω", ""),
            ("θ_2", "θ", "2"),
            ("", "", ""),
        ];
        for (name, letter, below) in cases {
            let symbol = Symbol::of(name);
            assert_eq!(
                (symbol.letter.as_str(), symbol.below.as_str()),
                (letter, below),
                "{name}"
            );
        }
    }
}
