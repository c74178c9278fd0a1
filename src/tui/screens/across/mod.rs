//! One part through all papers.
//!
//! In: a part, a filter. Out: points for working, keyed one paper after the other; points set as on
//! another paper; or a second marking, which does not see the first and is compared with it at the
//! end. Points are typed as digits; Enter keeps them and goes on.

mod filter;
mod view;

use chrono::{DateTime, Utc};
use tui_input::{Input, InputRequest};

use crate::record::Deed;

use super::super::acts::deeds;
use super::super::event::Effect;
use super::super::keys::Action;
use super::super::model::{Model, Place, Tone};
use super::super::typing::edit;
use super::{find, paper, prompt};
pub use filter::Filter;
pub use view::view;

/// What the screen knows.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// The part.
    pub part: usize,
    /// The papers gone through.
    pub found: Vec<usize>,
    /// Which is chosen.
    pub at: usize,
    /// Which papers are gone through.
    pub filter: Filter,
    /// The paper whose points were set, to which others may be alike.
    pub like: Option<usize>,
    /// A second marking is on.
    pub second: bool,
    /// What was typed.
    pub input: Input,
}

/// Opens the screen, at the part one is at.
pub fn open(model: &mut Model) {
    if model.stack.is_none() {
        return;
    }
    let from = (model.place == Place::Paper).then_some((model.paper.paper, model.paper.field));
    if let (Some((paper, part)), Some(stack)) = (from, &model.stack) {
        model.across.part = part;
        // Whoever comes from an adjustment is shown what else it may be about.
        if stack.set(paper, part).is_some() && !stack.alike(paper, part).is_empty() {
            model.across.like = Some(paper);
            model.across.filter = Filter::Alike;
        } else if model.across.filter == Filter::Alike {
            model.across.filter = Filter::All;
        }
    }
    list(model);
    if let Some((paper, _)) = from {
        let at = model.across.found.iter().position(|&at| at == paper);
        model.across.at = at.unwrap_or(0);
    }
    model.go(Place::Across);
}

/// Lists the papers again, and stays at one.
pub fn list_again(model: &mut Model, chosen: Option<usize>) {
    let typed = std::mem::take(&mut model.across.input);
    list(model);
    let state = &mut model.across;
    state.at = find::place_of(&state.found, chosen);
    state.input = typed;
}

fn list(model: &mut Model) {
    if let Some(stack) = &model.stack {
        let state = &mut model.across;
        state.part = state.part.min(stack.plan().parts.len().saturating_sub(1));
        state.found = if state.filter == Filter::Alike {
            let set = |&paper: &usize| stack.set(paper, state.part).is_some();
            let like = state
                .like
                .filter(set)
                .or_else(|| stack.set_last(state.part));
            let alike = like.map(|like| stack.alike(like, state.part));
            like.into_iter()
                .chain(alike.into_iter().flatten())
                .collect()
        } else {
            let holds = |&at: &usize| state.filter.holds(stack, at, state.part);
            (0..stack.papers().len()).filter(holds).collect()
        };
        state.at = state.at.min(state.found.len().saturating_sub(1));
        state.input.reset();
    }
}

/// Digits typed for the paper one is at; a point or comma in a second marking.
pub fn typed(model: &mut Model, request: InputRequest) {
    let takes = match request {
        InputRequest::InsertChar(c) => {
            c.is_ascii_digit() || (model.across.second && matches!(c, '.' | ','))
        }
        _ => true,
    };
    if takes {
        edit(&mut model.across.input, request);
    }
}

/// What an action does here.
pub fn act(model: &mut Model, action: Action, now: DateTime<Utc>) -> Vec<Effect> {
    let parts = model
        .stack
        .as_ref()
        .map_or(1, |stack| stack.plan().parts.len());
    let most = model
        .stack
        .as_ref()
        .map_or(0, |stack| stack.most_by_eye(model.across.part));
    let last = model.across.found.len().saturating_sub(1);
    let here = model.across.at;
    let mut to = |at: usize| {
        model.across.at = at.min(last);
        model.across.input.reset();
    };
    match action {
        Action::Up => to(here.saturating_sub(1)),
        Action::Down => to(here + 1),
        Action::PageUp => to(here.saturating_sub(10)),
        Action::PageDown => to(here + 10),
        Action::NextPart | Action::PreviousPart => {
            let step = if action == Action::NextPart {
                1
            } else {
                parts - 1
            };
            model.across.part = (model.across.part + step) % parts;
            model.across.at = 0;
            list(model);
        }
        Action::Filter => {
            model.across.filter = model
                .across
                .filter
                .next(u8::try_from(most).unwrap_or(u8::MAX));
            model.across.at = 0;
            list(model);
        }
        Action::Second => {
            model.across.second = !model.across.second;
            model.across.input.reset();
            model.say(if model.across.second {
                "second marking: type the points that you would give; the first is not shown"
            } else {
                "second marking closed; the filter `two markings differ` shows where they do"
            });
        }
        Action::Enter => return keep(model, now),
        Action::Adjust => {
            if let Some(&at) = model.across.found.get(model.across.at) {
                prompt::adjust_alike(model, at, model.across.part);
            }
        }
        Action::Find => {
            if let Some(&at) = model.across.found.get(model.across.at) {
                let part = model.across.part;
                paper::open(model, at, part);
                model.go(Place::Paper);
            }
        }
        Action::Back if !model.go_back() => model.place = Place::Find,
        _ => {}
    }
    Vec::new()
}

/// Keeps the points typed and goes on.
fn keep(model: &mut Model, now: DateTime<Utc>) -> Vec<Effect> {
    let Some(stack) = &model.stack else {
        return Vec::new();
    };
    let state = &model.across;
    let Some(&at) = state.found.get(state.at) else {
        return Vec::new();
    };
    let text = state.input.value().trim().replace(',', ".");
    let part = stack.plan().parts[state.part].id.clone();
    let deed = if text.is_empty() {
        None
    } else if state.second {
        let most = stack.part(state.part).points;
        let Some(points) = prompt::points_of(&text, most) else {
            model.tell(
                Tone::Look,
                format!(
                    "({part}) expected points from 0 to {}, found `{text}`",
                    most.normalize()
                ),
            );
            return vec![Effect::Ring];
        };
        let marker = model.marker.clone();
        Some(Deed::Opinion {
            part,
            points,
            note: String::new(),
            marker,
        })
    } else {
        let most = stack.most_by_eye(state.part);
        match crate::answer::points(&text, most) {
            Ok(points) => Some(Deed::Working { part, points }),
            Err(_) if most == 0 => {
                model.tell(
                    Tone::Look,
                    format!("({part}) has no points for working; `a` sets its points"),
                );
                return vec![Effect::Ring];
            }
            Err(_) => {
                model.tell(
                    Tone::Look,
                    format!("({part}) expected whole points from 0 to {most}, found `{text}`"),
                );
                return vec![Effect::Ring];
            }
        }
    };
    let effects = deed.map_or_else(Vec::new, |deed| deeds(model, at, vec![deed], now));
    let state = &mut model.across;
    state.at = (state.at + 1).min(state.found.len().saturating_sub(1));
    state.input.reset();
    effects
}
