//! What is typed or pasted, put into whatever takes text: a line asked for, else the field of the screen.
//!
//! In: a key that is no command, or a text. Out: the changed line or field. What is longer than the field is cut
//! there, and said.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use tui_input::{Input, InputRequest};

use super::event::Effect;
use super::model::{LONGEST, Model, Place, Tone};
use super::screens::{across, course, find, paper};

/// Text typed into whatever takes text.
pub(super) fn typed(model: &mut Model, request: InputRequest) -> Vec<Effect> {
    if model.help.is_some() {
        return Vec::new();
    }
    if let Some(prompt) = &mut model.prompt {
        if prompt.offered && matches!(request, InputRequest::InsertChar(_)) {
            prompt.input.reset();
        }
        prompt.offered = false;
        let longest = prompt.ask.longest();
        edit_up_to(longest, &mut prompt.input, request);
        prompt.fault = None;
        return Vec::new();
    }
    match model.place {
        Place::Course => return course::typed(model, request),
        Place::Find => find::typed(model, request),
        Place::Paper => paper::typed(model, request),
        Place::Across => across::typed(model, request),
        Place::Class | Place::Import | Place::Report => {}
    }
    Vec::new()
}

/// A paste is one text for one field, whatever is in it: breaks become blanks, controls are left
/// out, and it is cut at the field's limit.
pub(super) fn pasted(model: &mut Model, text: &str) -> Vec<Effect> {
    let longest = model
        .prompt
        .as_ref()
        .map_or(LONGEST, |prompt| prompt.ask.longest());
    let mut taken = 0;
    for c in text.chars() {
        if taken == longest {
            let limit =
                format!("a field takes {longest} characters; the rest of the paste was left out");
            model.tell(Tone::Look, limit);
            return vec![Effect::Ring];
        }
        let c = match c {
            '\n' | '\r' | '\t' => ' ',
            c if c.is_control() => continue,
            c => c,
        };
        taken += 1;
        typed(model, InputRequest::InsertChar(c));
    }
    Vec::new()
}

/// Changes a text that is being typed, up to the limit of a field.
pub(super) fn edit(input: &mut Input, request: InputRequest) {
    edit_up_to(LONGEST, input, request);
}

fn edit_up_to(longest: usize, input: &mut Input, request: InputRequest) {
    let grows = matches!(request, InputRequest::InsertChar(_));
    if !grows || input.value().chars().count() < longest {
        input.handle(request);
    }
}

/// What a key that is no command does to a text.
pub(super) fn edit_of(key: KeyEvent) -> Option<InputRequest> {
    let control = key.modifiers.contains(KeyModifiers::CONTROL);
    let alt = key.modifiers.contains(KeyModifiers::ALT);
    Some(match key.code {
        KeyCode::Char(c) if !control && !alt => InputRequest::InsertChar(c),
        // AltGr is control and alt together on some systems.
        KeyCode::Char(c) if control && alt => InputRequest::InsertChar(c),
        KeyCode::Char('w') if control => InputRequest::DeletePrevWord,
        KeyCode::Backspace if control || alt => InputRequest::DeletePrevWord,
        KeyCode::Backspace => InputRequest::DeletePrevChar,
        KeyCode::Delete => InputRequest::DeleteNextChar,
        KeyCode::Left if control => InputRequest::GoToPrevWord,
        KeyCode::Left => InputRequest::GoToPrevChar,
        KeyCode::Right if control => InputRequest::GoToNextWord,
        KeyCode::Right => InputRequest::GoToNextChar,
        KeyCode::Home => InputRequest::GoToStart,
        KeyCode::End => InputRequest::GoToEnd,
        _ => return None,
    })
}
