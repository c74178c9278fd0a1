//! An item's text under a title, a code, a seed and a figure of its own.
//!
//! In: the text of an assignment and what is to stand there instead. Out: the same text, letter by letter,
//! but for these values. Refused: a text in which one of them has no place.

use toml::de::DeTable;

use super::Item;

/// What a copy has of its own.
#[derive(Clone, Debug)]
pub struct Fresh<'a> {
    /// Its heading; nothing keeps the one it has.
    pub title: Option<&'a str>,
    /// Its code.
    pub code: &'a str,
    /// Its seed, at most `i64::MAX`.
    pub seed: u64,
}

impl Fresh<'_> {
    /// What the figure beside the copy is called.
    pub fn figure(&self) -> String {
        format!("{}.svg", self.code)
    }
}

impl Item {
    /// The item as an assignment of its own; nothing where the text has no place for one of the values.
    pub fn renewed(&self, fresh: &Fresh<'_>) -> Option<String> {
        let (document, _) = DeTable::parse_recoverable(self.text);
        let mut values = vec![
            ("code", toml_string(fresh.code)),
            ("seed", fresh.seed.to_string()),
        ];
        values.extend(fresh.title.map(|title| ("title", toml_string(title))));
        values.extend(
            self.figure
                .map(|_| ("figure", toml_string(&fresh.figure()))),
        );
        let mut places = Vec::with_capacity(values.len());
        for (key, value) in values {
            places.push((document.get_ref().get(key)?.span(), value));
        }
        // From the end, so that the places before stay where they are.
        places.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
        let mut text = self.text.to_owned();
        for (span, value) in places {
            text.replace_range(span, &value);
        }
        Some(text)
    }
}

/// A text as a TOML string in one line and in quotes of one kind, for lines that are shown and joined.
pub fn toml_string(text: &str) -> String {
    use std::fmt::Write as _;
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for letter in text.chars() {
        match letter {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            letter if letter.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(letter));
            }
            letter => out.push(letter),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::course::{code_of, title_of};

    #[test]
    fn a_copy_differs_in_its_own_lines_alone() {
        let item = super::super::item("lift-1").unwrap();
        let fresh = Fresh {
            title: Some("A \"lift\""),
            code: "lift-9",
            seed: 20_817,
        };
        let text = item.renewed(&fresh).unwrap();
        assert_eq!(title_of(&text).as_deref(), Some("A \"lift\""));
        assert_eq!(code_of(&text).unwrap().0, "lift-9");
        let lines = item.text.lines().zip(text.lines());
        let changed: Vec<(&str, &str)> = lines.filter(|(old, new)| old != new).collect();
        let expected = [
            (
                r#"title = "Weighing in the lift""#,
                r#"title = "A \"lift\"""#,
            ),
            (r#"code  = "lift-1""#, r#"code  = "lift-9""#),
            ("seed  = 391704", "seed  = 20817"),
            (r#"figure = "lift-1.svg""#, r#"figure = "lift-9.svg""#),
        ];
        assert_eq!(changed, expected);
        assert_eq!(item.text.lines().count(), text.lines().count());
    }

    #[test]
    fn quoted_text_is_read_as_it_was() {
        for text in ["", "ä\\\"b\"", "tab\tnl\nesc\u{1b}nul\u{0}del\u{7f}"] {
            let written = format!("title = {}", toml_string(text));
            assert_eq!(title_of(&written).as_deref(), Some(text), "{written}");
        }
    }
}
