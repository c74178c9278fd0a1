//! Powers in units: `^2`, `²`, `-2`, `^(1/2)`, "squared".

use super::{Forgiven, Reader, letters};
use crate::quantity::exponent::{Exponent, is_raised, raised_digit};
use crate::quantity::unit::UnitError;

impl Reader<'_> {
    /// Whether a negative power comes next.
    pub(super) fn negative_next(&self) -> bool {
        let rest = self.rest().trim_start_matches(['^', '*', '(', '{']);
        rest.starts_with('⁻')
            || rest
                .strip_prefix(is_minus)
                .is_some_and(|rest| rest.starts_with(is_digit))
    }

    /// The power written next, if any.
    pub(super) fn power(&mut self) -> Result<Option<Exponent>, UnitError> {
        let start = self.at;
        let rest = self.rest();
        let trimmed = rest.trim_start();
        let caret = ["^", "**"]
            .into_iter()
            .find(|caret| trimmed.starts_with(caret));
        if let Some(caret) = caret {
            self.at += rest.len() - trimmed.len() + caret.len();
            self.blanks();
            let close = match self.peek() {
                Some('(') => Some(')'),
                Some('{') => Some('}'),
                _ => None,
            };
            self.at += usize::from(close.is_some());
            let num = self.integer().ok_or(UnitError::Exponent { at: start })?;
            let mut den = 1;
            if close.is_some() && self.take(|c| c == '/') {
                den = self.integer().ok_or(UnitError::Exponent { at: start })?;
            }
            if close.is_some_and(|close| !self.take(|c| c == close)) {
                return Err(UnitError::Exponent { at: start });
            }
            let power = Exponent::new(num, den).ok_or(UnitError::Exponent { at: start })?;
            return Ok(Some(power));
        }
        let direct = rest.starts_with(is_digit)
            || rest.starts_with(is_raised)
            || rest
                .strip_prefix(is_minus)
                .is_some_and(|rest| rest.starts_with(is_digit));
        if direct {
            let num = self.integer().ok_or(UnitError::Exponent { at: start })?;
            // Nobody writes a first power: `T1` is a name, not a tesla.
            if num == 1 {
                return Err(UnitError::Exponent { at: start });
            }
            return Ok(Exponent::new(num, 1));
        }
        if !trimmed.starts_with(['s', 'S', 'c', 'C']) {
            return Ok(None);
        }
        let word = letters(trimmed);
        let power = if word.eq_ignore_ascii_case("squared") {
            2
        } else if word.eq_ignore_ascii_case("cubed") {
            3
        } else {
            return Ok(None);
        };
        self.at += rest.len() - trimmed.len() + word.len();
        self.forgive(Forgiven::WORDS);
        Ok(Some(Exponent::whole(power)))
    }

    /// A whole number of at most two digits, plain or raised, with its sign.
    fn integer(&mut self) -> Option<i32> {
        let negative = self.take(|c| is_minus(c) || c == '⁻');
        if !negative {
            self.take(|c| matches!(c, '+' | '⁺'));
        }
        let mut value = 0;
        let mut digits = 0;
        while let Some(digit) = self.peek().and_then(digit_of) {
            value = value * 10 + digit;
            digits += 1;
            self.take(|_| true);
            if digits > 2 {
                return None;
            }
        }
        (digits > 0).then_some(if negative { -value } else { value })
    }
}

fn is_minus(c: char) -> bool {
    matches!(c, '-' | '−' | '–')
}

fn is_digit(c: char) -> bool {
    c.is_ascii_digit()
}

fn digit_of(c: char) -> Option<i32> {
    raised_digit(c).or_else(|| c.to_digit(10).map(|digit| digit as i32))
}
