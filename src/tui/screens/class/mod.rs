//! The class at a glance: who is done, absent, excused, late, needs a look; how totals lie, how the
//! parts went, and the commonest mistakes.
//!
//! In: the stack. Out: a paper to open, an export, an import, another paper for some. Marks stand beside
//! ids, not names: the screen may be seen by others. `filter` says what is listed, `view` draws.

mod filter;
mod view;

use crate::workflow::desk::News;

use super::super::event::Effect;
use super::super::keys::Action;
use super::super::model::{Model, Place};
use super::super::news;
use super::{find, paper, prompt};
pub use filter::Filter;
pub use view::view;

/// What the screen knows.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// The papers listed.
    pub found: Vec<usize>,
    /// Which is chosen.
    pub at: usize,
    /// Which papers are listed.
    pub filter: Filter,
}

/// Opens the screen.
pub fn open(model: &mut Model) {
    if model.stack.is_some() {
        list(model);
        model.go(Place::Class);
    }
}

/// Lists the papers again, and stays at one.
pub fn list_again(model: &mut Model, chosen: Option<usize>) {
    list(model);
    let state = &mut model.class;
    state.at = find::place_of(&state.found, chosen);
}

fn list(model: &mut Model) {
    if let Some(stack) = &model.stack {
        let state = &mut model.class;
        state.found = (0..stack.papers().len())
            .filter(|&at| state.filter.holds(stack, at))
            .collect();
        state.at = state.at.min(state.found.len().saturating_sub(1));
    }
}

/// What an action does here.
pub fn act(model: &mut Model, action: Action) -> Vec<Effect> {
    let last = model.class.found.len().saturating_sub(1);
    let state = &mut model.class;
    match action {
        Action::Up => state.at = state.at.saturating_sub(1),
        Action::Down => state.at = (state.at + 1).min(last),
        Action::PageUp => state.at = state.at.saturating_sub(10),
        Action::PageDown => state.at = (state.at + 10).min(last),
        Action::Filter => {
            state.filter = state.filter.next();
            state.at = 0;
            list(model);
        }
        Action::Enter => {
            if let (Some(&at), Some(stack)) = (state.found.get(state.at), &model.stack) {
                let field = paper::first_look(stack, at);
                paper::open_found(model, at, field);
                model.go(Place::Paper);
            }
        }
        Action::Export => prompt::export(model),
        Action::Import => prompt::import(model),
        Action::Report => return vec![Effect::Report],
        Action::Reissue => prompt::reissue(model),
        Action::Back if !model.go_back() => model.place = Place::Find,
        _ => {}
    }
    Vec::new()
}

/// Papers were handed out to students of the stack.
pub fn reissued(model: &mut Model, students: &[String], lie: &str, news: News) {
    let Some(stack) = &mut model.stack else {
        return;
    };
    let came = stack.take_in(news);
    model.handed_out = true;
    news::stay(model, &came.places);
    let who = match students {
        [one] => format!("{one} has"),
        several => format!("{} students have", several.len()),
    };
    model.say(format!("{who} another paper with new numbers{lie}"));
}
