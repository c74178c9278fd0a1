//! Splits a formula's text into tokens.
//!
//! In: the text. Out: tokens with their byte spans, ended by [`Kind::End`]. Refused: characters
//! outside the grammar, numbers that are none, a quantity bracket that is not closed or whose
//! content is no quantity. All such errors are collected; splitting goes on behind each.

use super::FormulaError;
use crate::diagnostic::Span;
use crate::quantity::{Numeral, Quantity, QuantityError};

/// What a token is.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// A bare number, `0.5` or `2e-3`.
    Number(Numeral),
    /// A quantity in square brackets, `[1.0 kg]`.
    Quantity(Quantity),
    /// A name: letters, Greek, digits, `_`, not starting with a digit.
    Name(String),
    /// One of `+ - * / ^ ( ) , = < > <= >= !=`.
    Sign(&'static str),
    /// The end of the text.
    End,
}

/// A token and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Token {
    /// What it is.
    pub kind: Kind,
    /// Bytes of the formula's text.
    pub span: Span,
}

/// Written sign and the sign it stands for; the longer spelling first.
const SIGNS: &[(&str, &str)] = &[
    ("<=", "<="),
    (">=", ">="),
    ("!=", "!="),
    ("==", "="),
    ("≤", "<="),
    ("≥", ">="),
    ("≠", "!="),
    ("+", "+"),
    ("-", "-"),
    ("−", "-"),
    ("*", "*"),
    ("·", "*"),
    ("×", "*"),
    ("/", "/"),
    ("^", "^"),
    ("(", "("),
    (")", ")"),
    (",", ","),
    ("=", "="),
    ("<", "<"),
    (">", ">"),
];

/// Whether a formula can use it as a name: a letter, then letters, digits and `_`.
pub fn is_name(text: &str) -> bool {
    text.starts_with(char::is_alphabetic) && text.chars().all(continues_name)
}

/// Superscripts are numerals to Unicode, but no part of a name.
fn continues_name(letter: char) -> bool {
    letter.is_alphabetic() || letter.is_ascii_digit() || letter == '_'
}

/// Splits `text`.
///
/// # Errors
/// Everything in it that is no piece of a formula.
pub fn tokens(text: &str) -> Result<Vec<Token>, Vec<FormulaError>> {
    let mut found = Vec::new();
    let mut errors = Vec::new();
    let mut at = 0;
    while let Some(first) = text[at..].chars().next() {
        let rest = &text[at..];
        let (length, kind) = if first.is_whitespace() {
            (first.len_utf8(), None)
        } else if first.is_ascii_digit() || first == '.' {
            number(rest, at, &mut errors)
        } else if first == '[' {
            quantity(rest, at, &mut errors)
        } else if let Some((written, sign)) = SIGNS.iter().find(|(w, _)| rest.starts_with(w)) {
            (written.len(), Some(Kind::Sign(sign)))
        } else if first.is_alphabetic() {
            let end = rest.find(|letter| !continues_name(letter));
            let word = &rest[..end.unwrap_or(rest.len())];
            (word.len(), Some(Kind::Name(word.to_owned())))
        } else {
            let both = ["&&", "||"].into_iter().find(|sign| rest.starts_with(sign));
            let written = both.unwrap_or(&rest[..first.len_utf8()]);
            // Of the two bars round an expression one is enough.
            let is_told = written == "|" && text[..at].contains('|');
            errors.extend((!is_told).then(|| stray(written, at)));
            (written.len(), None)
        };
        if let Some(kind) = kind {
            found.push(Token {
                kind,
                span: Span {
                    start: at,
                    end: at + length,
                },
            });
        }
        at += length;
    }
    found.push(Token {
        kind: Kind::End,
        span: Span {
            start: text.len(),
            end: text.len(),
        },
    });
    if errors.is_empty() {
        Ok(found)
    } else {
        Err(errors)
    }
}

fn number(rest: &str, at: usize, errors: &mut Vec<FormulaError>) -> (usize, Option<Kind>) {
    let mut end = rest
        .find(|c: char| !(c.is_ascii_digit() || c == '.'))
        .unwrap_or(rest.len());
    // An exponent only where digits follow, so that `2e` stays a number before a name.
    let tail = &rest[end..];
    if tail.starts_with(['e', 'E']) {
        let digits = tail[1..].trim_start_matches(['+', '-']);
        let signs = tail.len() - 1 - digits.len();
        let count = digits.bytes().take_while(u8::is_ascii_digit).count();
        if signs <= 1 && count > 0 {
            end += 1 + signs + count;
        }
    }
    let kind = match Numeral::parse(&rest[..end]) {
        Ok(numeral) => Some(Kind::Number(numeral)),
        Err(error) => {
            let span = Span {
                start: at,
                end: at + end,
            };
            errors.push(
                FormulaError::new(span, format!("`{}` is not a number: {error}", &rest[..end]))
                    .help("write 0.5, 12 or 2e-3"),
            );
            None
        }
    };
    (end, kind)
}

fn quantity(rest: &str, at: usize, errors: &mut Vec<FormulaError>) -> (usize, Option<Kind>) {
    let Some(close) = rest.find(']') else {
        let span = Span {
            start: at,
            end: at + rest.len(),
        };
        errors.push(
            FormulaError::new(span, "this `[` is not closed").help("write a quantity as [1.0 kg]"),
        );
        return (rest.len(), None);
    };
    let inside = &rest[1..close];
    let kind = match Quantity::parse(inside) {
        Ok(quantity) => Some(Kind::Quantity(quantity)),
        Err(error) => {
            let (span, message) = match error {
                QuantityError::Numeral(_) => (
                    Span::new(at, at + close + 1),
                    format!("`[{inside}]` is not a quantity"),
                ),
                QuantityError::Unit { .. } => {
                    let (start, end) = error.place(inside);
                    (
                        Span::new(at + 1 + start, at + 1 + end),
                        error.message(inside),
                    )
                }
            };
            errors.push(
                FormulaError::new(span, message)
                    .help("square brackets hold a number, a space and a unit: [1.0 kg]"),
            );
            None
        }
    };
    (close + 1, kind)
}

fn stray(found: &str, at: usize) -> FormulaError {
    let span = Span {
        start: at,
        end: at + found.len(),
    };
    let shown = match found {
        "\\" => found.to_owned(),
        _ => found.escape_debug().to_string(),
    };
    let error = FormulaError::new(span, format!("`{shown}` has no meaning in a formula"));
    match found {
        "]" => error.help("there is no `[` before it"),
        "²" | "³" => error.help("write a power as ^2 or ^3"),
        "√" => error.help("write sqrt(...)"),
        "|" => error.help("write abs(...)"),
        "||" => error.help("write `or`"),
        "–" | "—" => error.help("write a minus: -"),
        "&" | "&&" => error.help("write `and`"),
        ":" | "÷" => error.help("write a quotient with /"),
        "\\" => error.help("write formulas plainly: m*v^2/2, sqrt(...)"),
        "{" | "}" => error.help("braces belong in texts; in a formula a name stands by itself: mA"),
        _ => error,
    }
}
