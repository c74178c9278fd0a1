//! Words chosen, and points given by eye.
//!
//! In: what stands in the place for a part that asks for one of several words, or the digit keyed
//! for what was judged by eye. Out: the option meant, or the points. Capitals, spaces and full
//! stops make no difference; nothing else is guessed.

use crate::assignment::ChoicePart;

/// What stands where one of several words is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Choice {
    /// Nothing.
    Blank,
    /// The option of that index.
    Option(usize),
    /// More than one of them.
    Several,
    /// Something else.
    Unreadable,
}

/// Reads the entry for a part that asks for one of several words.
pub fn choice(entry: &str, part: &ChoicePart) -> Choice {
    let entry = trimmed(entry);
    if entry.is_empty() {
        return Choice::Blank;
    }
    let named = |text: &str| {
        let means = |word: &String| same(word, text);
        part.options
            .iter()
            .position(|option| means(&option.label) || option.also.iter().any(means))
    };
    if let Some(option) = named(entry) {
        return Choice::Option(option);
    }
    let mut several = entry
        .split([',', ';', '/'])
        .flat_map(|piece| piece.split(" or "));
    let mut first = None;
    let all_named = several.all(|piece| {
        let option = named(trimmed(piece));
        first = first.or(option);
        option.is_some()
    });
    match (all_named, first) {
        (true, Some(_)) => Choice::Several,
        _ => Choice::Unreadable,
    }
}

/// Reads points given by eye, from 0 to `most`. Nothing written is `Ok(None)`.
///
/// # Errors
/// The text, where it is no such number.
pub fn points(entry: &str, most: usize) -> Result<Option<u8>, &str> {
    let entry = entry.trim();
    if entry.is_empty() {
        return Ok(None);
    }
    match entry.parse::<u8>() {
        Ok(points) if usize::from(points) <= most => Ok(Some(points)),
        _ => Err(entry),
    }
}

fn trimmed(text: &str) -> &str {
    text.trim_matches(|c: char| c.is_whitespace() || c == '.')
}

/// Whether two texts are the same but for capitals and the number of spaces.
fn same(left: &str, right: &str) -> bool {
    let words =
        |text: &'_ str| -> Vec<String> { text.split_whitespace().map(str::to_lowercase).collect() };
    left.eq_ignore_ascii_case(right) || words(left) == words(right)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assignment::ChoiceOption;

    fn part() -> ChoicePart {
        let option = |label: &str, also: &[&str]| ChoiceOption {
            label: label.to_owned(),
            condition: crate::formula::condition("1 > 0").unwrap(),
            also: also.iter().map(|&word| word.to_owned()).collect(),
        };
        ChoicePart {
            options: vec![
                option("anticlockwise", &["ccw", "to the left"]),
                option("clockwise", &["cw"]),
            ],
        }
    }

    #[test]
    fn a_word_is_found_however_it_is_cased_or_spaced() {
        for (entry, expected) in [
            ("clockwise", Choice::Option(1)),
            (" Clockwise. ", Choice::Option(1)),
            ("CW", Choice::Option(1)),
            ("to  the Left", Choice::Option(0)),
            ("", Choice::Blank),
            ("  ", Choice::Blank),
            ("cw or ccw", Choice::Several),
            ("clockwise, anticlockwise", Choice::Several),
            ("up", Choice::Unreadable),
            ("cw or up", Choice::Unreadable),
            ("clock", Choice::Unreadable),
        ] {
            assert_eq!(choice(entry, &part()), expected, "{entry}");
        }
    }

    #[test]
    fn points_are_whole_and_within_what_there_is() {
        assert_eq!(points("2", 3), Ok(Some(2)));
        assert_eq!(points(" 0 ", 3), Ok(Some(0)));
        assert_eq!(points("", 3), Ok(None));
        for bad in ["4", "-1", "1.5", "two", "9999"] {
            assert_eq!(points(bad, 3), Err(bad));
        }
    }
}
