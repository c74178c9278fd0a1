//! Paper codes: a few typed characters that open one paper, and that do not stand a typing error.
//!
//! In: whose paper it is, or what somebody typed. Out: a [`PaperCode`]: a letter, five characters
//! and a check character by ISO/IEC 7064, MOD 37-2, which tells every single wrong character and
//! every swap of neighbours. The letters I, L, O and U are not used, since they look like others;
//! O is read as 0, I and L as 1. The letter in front keeps spreadsheets from taking a code for a
//! number. Refused: what is too short or too long, and what the check tells to be mistyped.

use std::fmt;
use std::str::FromStr;

/// Characters of a code: digits and letters without look-alikes.
const ALPHABET: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// The letters among them, of which one stands in front.
const LETTERS: &[u8] = ALPHABET.split_at(10).1;

/// Characters of a code.
const LENGTH: usize = 7;

/// A code that stands on a paper.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PaperCode([u8; LENGTH]);

/// Why a text is no paper code.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CodeError {
    /// Too short or too long.
    #[error("expected a paper code of {LENGTH} characters, found {found}")]
    Length {
        /// How many there are.
        found: usize,
    },
    /// A character that stands in no code.
    #[error("expected a paper code of letters and digits, found `{found}`")]
    Character {
        /// That character.
        found: char,
    },
    /// The check character does not fit.
    #[error("this paper code is mistyped: its check character does not fit")]
    Mistyped,
}

impl PaperCode {
    /// The code of a paper: always the same for the same paper and try. `None` for tries that have no
    /// code, since its check would be a character that is not used; the next try has another code.
    pub fn of(sheet: &str, class: &str, student: &str, issue: u32, attempt: u32) -> Option<Self> {
        let mut hasher = blake3::Hasher::new_derive_key("paperweight paper code 1");
        for text in [sheet, class, student] {
            hasher.update(&(text.len() as u64).to_le_bytes());
            hasher.update(text.as_bytes());
        }
        hasher.update(&issue.to_le_bytes());
        hasher.update(&attempt.to_le_bytes());
        let bytes: [u8; 32] = hasher.finalize().into();
        let mut characters = [0; LENGTH];
        for (at, (character, byte)) in characters.iter_mut().zip(bytes).enumerate() {
            let from = if at == 0 { LETTERS } else { ALPHABET };
            // The slight preference for some of 22 letters harms nobody.
            *character = from[usize::from(byte) % from.len()];
        }
        let check = check(&characters[..LENGTH - 1])?;
        if !ALPHABET.contains(&check) {
            return None;
        }
        characters[LENGTH - 1] = check;
        Some(Self(characters))
    }

    /// The code as it stands on the paper.
    pub fn as_str(&self) -> &str {
        // All characters are ASCII.
        std::str::from_utf8(&self.0).unwrap_or_default()
    }

    /// Reads a code as typed: in either case, with or without blanks and dashes in it.
    ///
    /// # Errors
    /// What is not a code, or a mistyped one.
    pub fn parse(typed: &str) -> Result<Self, CodeError> {
        let mut characters = [0; LENGTH];
        let mut found = 0;
        for c in typed.chars().filter(|c| !matches!(c, ' ' | '-')) {
            let upper = match c.to_ascii_uppercase() {
                'O' => '0',
                'I' | 'L' => '1',
                upper => upper,
            };
            let known = ALPHABET.iter().find(|known| char::from(**known) == upper);
            let character = *known.ok_or(CodeError::Character { found: c })?;
            if let Some(place) = characters.get_mut(found) {
                *place = character;
            }
            found += 1;
        }
        if found != LENGTH {
            return Err(CodeError::Length { found });
        }
        if !LETTERS.contains(&characters[0]) || !fits(&characters) {
            return Err(CodeError::Mistyped);
        }
        Ok(Self(characters))
    }
}

impl fmt::Display for PaperCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl fmt::Debug for PaperCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "PaperCode({})", self.as_str())
    }
}

impl FromStr for PaperCode {
    type Err = CodeError;

    fn from_str(typed: &str) -> Result<Self, CodeError> {
        Self::parse(typed)
    }
}

/// The value of a character by the standard: digits, then letters, then `*`.
fn value(character: u8) -> Option<u32> {
    match character {
        b'0'..=b'9' => Some(u32::from(character - b'0')),
        b'A'..=b'Z' => Some(u32::from(character - b'A') + 10),
        b'*' => Some(36),
        _ => None,
    }
}

/// The sum of the pure system with modulus 37 and radix 2; 1 for a string with its check character.
fn sum(characters: &[u8]) -> Option<u32> {
    characters
        .iter()
        .try_fold(0, |sum, &c| Some((2 * sum + value(c)?) % 37))
}

/// The check character of a string; `None` where it holds what the standard has not.
fn check(characters: &[u8]) -> Option<u8> {
    let wanted = (1 + 2 * 37 - 2 * sum(characters)?) % 37;
    (b'0'..=b'9')
        .chain(b'A'..=b'Z')
        .chain([b'*'])
        .find(|character| value(*character) == Some(wanted))
}

fn fits(characters: &[u8]) -> bool {
    sum(characters) == Some(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Donation identification numbers by ISBT 128 carry a MOD 37-2 check; these two are its worked
    /// examples (quoted from memory of its technical specification).
    const PUBLISHED: [(&str, char); 2] = [("G123498654321", 'H'), ("G123489654321", 'Y')];

    #[test]
    fn the_check_is_that_of_the_standard() {
        for (text, expected) in PUBLISHED {
            assert_eq!(check(text.as_bytes()).map(char::from), Some(expected));
            assert!(fits(format!("{text}{expected}").as_bytes()));
        }
    }

    fn codes() -> Vec<PaperCode> {
        let of = |at: u32| PaperCode::of("ropes-1", "set-3", &at.to_string(), 1, 0);
        (0..400).filter_map(of).collect()
    }

    #[test]
    fn codes_are_plain_and_the_same_for_ever() {
        let codes = codes();
        assert!(codes.len() > 300, "few tries have no code");
        for code in &codes {
            let text = code.as_str();
            assert!(
                text.starts_with(|c: char| c.is_ascii_alphabetic()),
                "{text}"
            );
            assert!(!text.contains(['I', 'L', 'O', 'U', '*']), "{text}");
            assert_eq!(PaperCode::parse(text), Ok(*code));
            let lower = format!(" {}-{} ", &text[..3], &text[3..]).to_lowercase();
            assert_eq!(PaperCode::parse(&lower), Ok(*code));
        }
        let frozen = (0..8).find_map(|at| PaperCode::of("ropes-1", "set-3", "004071", 1, at));
        // Ours, frozen: papers in a drawer carry these.
        assert_eq!(
            frozen.map(|code| code.to_string()).as_deref(),
            Some("FW2MBWW")
        );
    }

    #[test]
    fn every_wrong_character_and_every_swap_is_told() {
        for code in codes().into_iter().take(60) {
            let right = code.0;
            for at in 0..LENGTH {
                for character in ALPHABET {
                    let mut wrong = right;
                    wrong[at] = *character;
                    let text = String::from_utf8(wrong.to_vec()).unwrap();
                    assert_eq!(PaperCode::parse(&text).is_ok(), wrong == right, "{text}");
                }
                for other in at + 1..LENGTH.min(at + 3) {
                    let mut wrong = right;
                    wrong.swap(at, other);
                    let text = String::from_utf8(wrong.to_vec()).unwrap();
                    assert_eq!(PaperCode::parse(&text).is_ok(), wrong == right, "{text}");
                }
            }
        }
    }

    #[test]
    fn what_is_no_code_is_told() {
        for (typed, expected) in [
            ("", CodeError::Length { found: 0 }),
            ("K3F", CodeError::Length { found: 3 }),
            ("K3F9T2PP", CodeError::Length { found: 8 }),
            ("K3F_T2P", CodeError::Character { found: '_' }),
            ("004071", CodeError::Length { found: 6 }),
            ("0040711", CodeError::Mistyped),
        ] {
            assert_eq!(PaperCode::parse(typed), Err(expected), "{typed}");
        }
    }
}
