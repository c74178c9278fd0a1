//! Marking a paper: fields in the order of the paper, what was understood and the verdict on the
//! same line. `keep` takes what was typed and goes on, `to_do` finds what is open, `table` and `view`
//! draw it.
//!
//! In: entries as they are typed, one key each for the unit asked for, blank, unreadable, back.
//! Out: acts. After the last entry come the points for working that are still open; then the next
//! paper is looked for. Nothing is refused: what cannot be read is kept as typed, said at once, and
//! rings.

mod keep;
mod table;
mod to_do;
mod view;

use chrono::{DateTime, Utc};
use tui_input::{Input, InputRequest};

use crate::record::{Deed, Keying};
use crate::workflow::desk::Stack;

use super::super::acts::deeds;
use super::super::event::Effect;
use super::super::keys::Action;
use super::super::model::{Model, Place, Tone};
use super::super::typing::edit;
use super::{find, prompt};
use keep::{keep, keep_here, next};
use to_do::open_working;
pub use to_do::{first_look, first_open};
pub use view::view;

/// Which field of a part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Column {
    /// What the student wrote.
    #[default]
    Entry,
    /// Points for the working.
    Working,
}

/// Where one is on the paper.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// The paper.
    pub paper: usize,
    /// The part.
    pub field: usize,
    /// Its field.
    pub column: Column,
    /// What is being typed.
    pub input: Input,
    /// Nothing was typed since the field was entered: what stands there is kept by Enter, and
    /// replaced by the first letter typed.
    pub fresh: bool,
    /// The verdicts are being gone over for open points, so that Enter goes from one to the next.
    pub closing: bool,
    /// The last key went on by itself, so that Enter out of habit would keep the next field as left blank.
    pub went_on: bool,
}

/// Opens a paper at a field.
pub fn open(model: &mut Model, paper: usize, field: usize) {
    if model.paper.paper != paper {
        // What was saved of another paper would be taken for this one's.
        model.saving.saved = None;
    }
    model.paper.paper = paper;
    model.paper.closing = false;
    model.panel_top = 0;
    enter(model, field, Column::Entry);
}

/// Opens a paper that was found: at the points for working where these alone are open, so that a digit goes
/// there and not into the answer.
pub fn open_found(model: &mut Model, paper: usize, field: usize) {
    open(model, paper, field);
    let waits = |stack: &Stack| {
        let plan = stack.plan();
        let on_desk = &stack.papers()[paper];
        (0..plan.parts.len()).all(|part| on_desk.is_keyed(plan, part))
            && open_working(stack, paper, field) == Some(field)
    };
    let is_first = model.keying == Keying::First && !model.hides();
    if is_first && model.stack.as_ref().is_some_and(waits) {
        to_open_working(model, field);
    }
}

/// Goes to points for working that are open.
fn to_open_working(model: &mut Model, field: usize) {
    model.paper.closing = true;
    enter(model, field, Column::Working);
    model.say("points for the working, where the answer does not show it; Enter leaves them open");
}

/// Goes to a field, with what stands there.
fn enter(model: &mut Model, field: usize, column: Column) {
    let Some(stack) = &model.stack else {
        return;
    };
    let state = &mut model.paper;
    state.field = field;
    state.column = column;
    state.input = Input::new(stands(stack, state, model.keying));
    state.fresh = true;
    model.panel_top = 0;
}

/// Shows the field as it stands now.
pub fn refresh(model: &mut Model) {
    let (field, column) = (model.paper.field, model.paper.column);
    let column = match model.keying {
        Keying::First => column,
        Keying::Second => Column::Entry,
    };
    enter(model, field, column);
}

/// What stands in the field one is at, as it may be typed.
fn stands(stack: &Stack, state: &State, keying: Keying) -> String {
    let id = &stack.plan().parts[state.field].id;
    let Some(part) = stack.papers()[state.paper].standing.get(id) else {
        return String::new();
    };
    let by_eye = state.column == Column::Working || stack.is_by_eye(state.field);
    if by_eye {
        return part
            .working
            .map_or_else(String::new, |points| points.to_string());
    }
    let keyed = match keying {
        Keying::First => &part.first,
        Keying::Second => &part.second,
    };
    keyed
        .as_ref()
        .map_or_else(String::new, |keyed| keyed.as_entry().to_owned())
}

/// Text typed into the field.
pub fn typed(model: &mut Model, request: InputRequest) {
    let state = &mut model.paper;
    if state.fresh && matches!(request, InputRequest::InsertChar(_)) {
        state.input.reset();
    }
    state.fresh = false;
    edit(&mut state.input, request);
}

/// Enter behind `?`, which went on by itself, keeps and opens nothing, and says what it would have done.
pub fn went_on_already(model: &mut Model) {
    let part = model
        .stack
        .as_ref()
        .map(|stack| &stack.plan().parts[model.paper.field]);
    let would = match (model.place, part) {
        (Place::Paper, Some(part)) if model.paper.input.value().is_empty() => {
            format!("keeps ({}) as left blank", part.id)
        }
        (Place::Paper, Some(part)) => format!("keeps ({}) as it stands", part.id),
        _ => "opens the next paper".to_owned(),
    };
    model.tell(
        Tone::Look,
        format!("`?` went on by itself: Enter again {would}"),
    );
}

/// What an action does here.
pub fn act(model: &mut Model, action: Action, now: DateTime<Utc>) -> Vec<Effect> {
    let fields = model
        .stack
        .as_ref()
        .map_or(0, |stack| stack.plan().parts.len());
    let (paper, field) = (model.paper.paper, model.paper.field);
    match action {
        Action::Enter => return keep(model, now, false),
        Action::WithUnit => return keep(model, now, true),
        Action::Unreadable => {
            let Some(stack) = &model.stack else {
                return Vec::new();
            };
            let deed = Deed::Unreadable {
                part: stack.plan().parts[field].id.clone(),
                keying: model.keying,
            };
            let mut effects = deeds(model, paper, vec![deed], now);
            effects.extend(next(model));
            // Enter at points for working keeps nothing.
            let keeps = model.paper.column == Column::Entry;
            model.paper.went_on = keeps || model.place != Place::Paper;
            return effects;
        }
        Action::Up => enter(model, field.saturating_sub(1), Column::Entry),
        Action::Down => enter(
            model,
            (field + 1).min(fields.saturating_sub(1)),
            Column::Entry,
        ),
        Action::ToWorking => {
            // What was typed is kept, as by any other way on.
            let effects = if model.paper.fresh {
                Vec::new()
            } else {
                keep_here(model, now, false).unwrap_or_default()
            };
            enter(model, field, Column::Working);
            return effects;
        }
        Action::ToEntry => enter(model, field, Column::Entry),
        Action::Reckoning => {
            model.panel = !model.panel;
            model.panel_top = 0;
        }
        Action::PageUp => model.panel_top = model.panel_top.saturating_sub(8),
        Action::PageDown => {
            // What is beyond the end in the narrowest window is not scrolled to.
            let columns = usize::from(crate::tui::view::SMALLEST.0);
            let stack = model.stack.as_ref();
            let lines = stack.map_or(0, |stack| {
                view::reckoned(stack, paper, field, columns).len()
            });
            model.panel_top = (model.panel_top + 8).min(lines);
        }
        Action::Adjust => prompt::adjust(model, paper, field),
        Action::TakeReason => return take_reason(model, now),
        Action::Waive => return prompt::waive(model, now),
        Action::Misread => prompt::misread(model),
        Action::Tell => prompt::tell(model),
        Action::Move => prompt::r#move(model),
        Action::NextPaper | Action::PreviousPaper => {
            let count = model.stack.as_ref().map_or(0, |stack| stack.papers().len());
            let to = if action == Action::NextPaper {
                (paper + 1).min(count.saturating_sub(1))
            } else {
                paper.saturating_sub(1)
            };
            let field = model
                .stack
                .as_ref()
                .map_or(0, |stack| first_open(stack, to, model.keying));
            open(model, to, field);
        }
        // The reckoning is folded first.
        Action::Back if model.panel => model.panel = false,
        Action::Back => leave(model),
        _ => {}
    }
    Vec::new()
}

/// Back to where one came from; to the search if that is not the class or a part.
fn leave(model: &mut Model) {
    if !model.go_back() {
        model.place = Place::Find;
    }
    if model.place == Place::Find {
        find::open(model, Some(model.paper.paper));
    }
}

/// Takes the first explanation of the part one is at as the reason, and says what that did.
fn take_reason(model: &mut Model, now: DateTime<Utc>) -> Vec<Effect> {
    let (paper, part) = (model.paper.paper, model.paper.field);
    let stack = model.stack.as_ref();
    let Some((deed, words)) = stack.and_then(|stack| stack.taken_as_reason(paper, part)) else {
        model.say("nothing is known of what was done here: ^A sets points with a note of your own");
        return vec![Effect::Ring];
    };
    let waits = stack.and_then(|stack| stack.waits_for_working(paper, part));
    if let (Deed::Adjust { .. }, Some(why)) = (&deed, waits) {
        model.say(why);
        return vec![Effect::Ring];
    }
    let effects = deeds(model, paper, vec![deed], now);
    model.say(words);
    effects
}
