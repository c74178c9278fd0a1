//! What a student is told, in the teacher's words where they are typed.
//!
//! In: what the program would say, what was typed. Out: the message; nothing where the program's words stay.

use crate::record::Message;

use super::super::super::model::Model;
use super::ask::Ask;

/// Shows what the student is told, to be put in other words.
pub fn tell(model: &mut Model) {
    let paper = model.paper.paper;
    let Some(stack) = &model.stack else {
        return;
    };
    let proposed = stack.words(paper);
    if proposed.is_empty() {
        model.say("no paper, no words: nothing is told");
        return;
    }
    let text = match &stack.papers()[paper].standing.message {
        None => proposed.clone(),
        Some(Message::Words(words)) => words.clone(),
        Some(Message::Withheld) => WITHHELD.to_owned(),
    };
    model.ask(Ask::Tell { paper, proposed }, text);
}

/// Typed to tell a student nothing.
pub(super) const WITHHELD: &str = "-";

/// What was typed to be told, nothing for the program's own words.
pub(super) fn message(text: &str, proposed: &str) -> Option<Message> {
    match text {
        "" => None,
        WITHHELD => Some(Message::Withheld),
        text if text == proposed => None,
        text => Some(Message::Words(text.to_owned())),
    }
}
