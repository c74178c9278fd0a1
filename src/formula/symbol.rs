//! A name of a formula as print sets it: a letter and what stands below the line.
//!
//! In: a name such as `mA`, `mu_k`, `theta`. Out: `m` with `A`, `μ` with `k`, `θ` alone. Any name is
//! taken. A word in small letters, such as `surplus`, stays a word: no one sets `s` with `urplus`.

use crate::text::{greek_letter, greek_prefix};

/// A name taken apart for print.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Symbol {
    /// One letter, or a word.
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
        let end = greek_prefix(head, ends).map_or_else(|| first_letter(head), str::len);
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

/// How long the letter at the beginning of a name is, or the word that it is.
fn first_letter(head: &str) -> usize {
    let first = head.chars().next();
    let length = first.map_or(0, char::len_utf8);
    let mut rest = head[length..].chars();
    let is_index = match (rest.next(), rest.as_str()) {
        (Some(next), _) if next.is_numeric() || next.is_uppercase() => true,
        // vx, vy: a component.
        (Some('x' | 'y' | 'z'), "") => true,
        // Ek, Fres: no word in small letters begins with a capital.
        _ => first.is_some_and(char::is_uppercase),
    };
    if is_index { length } else { head.len() }
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
            ("mud", "mud", ""),
            ("surplus", "surplus", ""),
            ("up", "up", ""),
            ("vx", "v", "x"),
            ("v0y", "v", "0y"),
            ("Ek", "E", "k"),
            ("Deltax", "D", "eltax"),
            ("Delta_x", "Δ", "x"),
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
