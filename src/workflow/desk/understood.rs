//! What is understood of a text: of one that is typed, of one that was keyed, of a misread number.
//!
//! In: a text and where it stands. Out: in words, what a number was read as, the word chosen. Refused: a misread
//! number that cannot be used, with what was expected.

use crate::answer::{self, Choice, Reading};
use crate::assignment::{ChoicePart, PartKind};
use crate::marking::Entry;

use super::super::paper::PaperReader;
use super::Stack;

/// What was understood of a text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Understood {
    /// In words; empty where nothing is to be understood. May quote what was typed.
    pub words: String,
    /// Whether it could not be read.
    pub is_unreadable: bool,
}

impl Understood {
    fn number(text: &str, reading: &Reading) -> Self {
        Self {
            words: answer::describe(text, reading),
            is_unreadable: matches!(reading, Reading::Unreadable(_)),
        }
    }

    fn choice(known: &ChoicePart, choice: Choice) -> Self {
        let words = match choice {
            Choice::Blank => "blank".to_owned(),
            Choice::Option(option) => known.options[option].label.clone(),
            Choice::Several => "more than one of the words".to_owned(),
            Choice::Unreadable => {
                let known = known.options.iter().map(|option| option.label.as_str());
                let known: Vec<&str> = known.collect();
                format!("not read: expected {}", known.join(" or "))
            }
        };
        Self {
            words,
            is_unreadable: choice == Choice::Unreadable,
        }
    }
}

impl Stack {
    /// What would be understood of a text for a part of a paper: what a number was read as, the
    /// word chosen.
    pub fn understood(&self, paper: usize, part: usize, text: &str) -> Understood {
        let decimal = self.student(paper).decimal.unwrap_or(self.decimal);
        match &self.part(part).kind {
            PartKind::Answer(_) => {
                let reader = PaperReader::new(self.plan(), None, self.decimal);
                let reading = reader.read(self.plan().parts[part].problem, text, decimal);
                Understood::number(text, &reading)
            }
            PartKind::Choose(options) => Understood::choice(options, answer::choice(text, options)),
            PartKind::Eye(_) => Understood::default(),
        }
    }

    /// What was understood of what is keyed for a part, as it was marked; nothing where nothing is.
    pub fn read_as(&self, paper: usize, part: usize) -> Understood {
        let keyed = self.papers.get(paper).and_then(|paper| {
            let text = paper.entry(&self.plan().parts[part].id)?;
            Some((text, paper.paper.entries.get(part)?))
        });
        match (keyed, &self.part(part).kind) {
            (Some((text, Entry::Answer(reading))), _) => Understood::number(text, reading),
            (Some((_, Entry::Choice(choice))), PartKind::Choose(options)) => {
                Understood::choice(options, *choice)
            }
            _ => Understood::default(),
        }
    }

    /// A misread number as it would be used, or what is wrong with it.
    ///
    /// # Errors
    /// In words, what was expected.
    pub fn misread(&self, paper: usize, given: &str, value: &str) -> Result<String, String> {
        let known = self
            .plan()
            .sheet
            .given_ids()
            .find(|(name, ..)| name == given);
        let Some((_, problem, index)) = known else {
            return Err(format!("expected a given of this paper, found `{given}`"));
        };
        let decimal = self.student(paper).decimal.unwrap_or(self.decimal);
        let reader = PaperReader::new(self.plan(), None, self.decimal);
        let value = reader.misread(problem, index, value, decimal)?;
        Ok(value.to_string())
    }
}
