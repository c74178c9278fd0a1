//! Marking a paper: fields in the order of the paper, what was understood and the verdict on the
//! same line. `table` and `view` draw it.
//!
//! In: entries as they are typed, one key each for the unit asked for, blank, unreadable, back.
//! Out: acts. After the last entry come the points for working that are still open; then the next
//! paper is looked for. Nothing is refused: what cannot be read is kept as typed, said at once, and
//! rings.

mod table;
mod view;

use chrono::{DateTime, Utc};
use tui_input::{Input, InputRequest};

use crate::marking::Reason;
use crate::record::{Deed, Keying};
use crate::workflow::desk::{Progress, Stack};

use super::super::acts::deeds;
use super::super::event::Effect;
use super::super::keys::Action;
use super::super::model::{Model, Place, Tone};
use super::super::typing::edit;
use super::{find, prompt};
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

/// The first field that nobody keyed, this time; if there is none, the first that needs a look.
pub fn first_open(stack: &Stack, paper: usize, keying: Keying) -> usize {
    let plan = stack.plan();
    let on_desk = &stack.papers()[paper];
    let is_open = |&part: &usize| match keying {
        Keying::First => !on_desk.is_keyed(plan, part),
        Keying::Second => {
            let standing = on_desk.standing.get(&plan.parts[part].id);
            !stack.is_by_eye(part) && standing.is_none_or(|part| part.second.is_none())
        }
    };
    let open = (0..plan.parts.len()).find(is_open);
    open.unwrap_or_else(|| match keying {
        Keying::First => first_look(stack, paper),
        Keying::Second => 0,
    })
}

/// The first field that needs a look or is not keyed, or the first of all.
pub fn first_look(stack: &Stack, paper: usize) -> usize {
    let plan = stack.plan();
    let on_desk = &stack.papers()[paper];
    let looks = |&part: &usize| {
        let look =
            on_desk.mark(part).is_some_and(|mark| mark.look) && !on_desk.is_adjusted(plan, part);
        look || !on_desk.is_keyed(plan, part)
    };
    (0..plan.parts.len()).find(looks).unwrap_or(0)
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

/// Keeps what was typed and goes on.
fn keep(model: &mut Model, now: DateTime<Utc>, with_unit: bool) -> Vec<Effect> {
    match keep_here(model, now, with_unit) {
        Ok(mut effects) => {
            effects.extend(next(model));
            effects
        }
        Err(effects) => effects,
    }
}

/// Keeps what was typed; points that cannot be are not kept, and told.
fn keep_here(
    model: &mut Model,
    now: DateTime<Utc>,
    with_unit: bool,
) -> Result<Vec<Effect>, Vec<Effect>> {
    let Some(stack) = &model.stack else {
        return Ok(Vec::new());
    };
    let state = &model.paper;
    let (paper, field) = (state.paper, state.field);
    let part = stack.plan().parts[field].id.clone();
    let by_eye = state.column == Column::Working || stack.is_by_eye(field);
    let mut text = state.input.value().to_owned();
    let mut effects = Vec::new();
    if by_eye {
        let most = stack.most_by_eye(field);
        match crate::answer::points(&text, most) {
            Ok(points) => {
                let standing = stack.papers()[paper].standing.working(&part);
                if points != standing {
                    effects = deeds(model, paper, vec![Deed::Working { part, points }], now);
                }
            }
            Err(_) => {
                model.paper.fresh = true;
                model.tell(
                    Tone::Look,
                    format!("({part}) expected whole points from 0 to {most}, found `{text}`"),
                );
                return Err(vec![Effect::Ring]);
            }
        }
    } else {
        if with_unit && let Some(unit) = stack.unit(field) {
            text = format!("{} {unit}", text.trim_end());
        }
        let standing = stack.papers()[paper].standing.get(&part);
        let stands = standing.and_then(|part| match model.keying {
            Keying::First => part.first.as_ref(),
            Keying::Second => part.second.as_ref(),
        });
        let is_new = stands.is_none_or(|keyed| keyed.as_entry() != text);
        let unreadable = stack.understood(paper, field, &text).is_unreadable;
        if is_new {
            let keying = model.keying;
            let deed = Deed::Entry {
                part: part.clone(),
                keying,
                text,
            };
            effects = deeds(model, paper, vec![deed], now);
        }
        let differs = |stack: &Stack| stack.differs(paper, field);
        if model.keying == Keying::Second && model.stack.as_ref().is_some_and(differs) {
            model.tell(
                Tone::Look,
                format!(
                    "({part}) was keyed otherwise the first time: look at the paper again; ↑ to \
                     mend this keying, ^K to see the first"
                ),
            );
            effects.push(Effect::Ring);
        } else if unreadable && is_new {
            model.tell(
                Tone::Look,
                format!("({part}) cannot be read as typed; ↑ goes back to it"),
            );
            effects.push(Effect::Ring);
        } else {
            model.say("");
        }
    }
    Ok(effects)
}

/// To the next field; after the last one to points that are still open, then to the next paper.
fn next(model: &mut Model) -> Vec<Effect> {
    let Some(stack) = &model.stack else {
        return Vec::new();
    };
    let state = &model.paper;
    let last = state.field + 1 == stack.plan().parts.len();
    if state.column == Column::Entry && !last && !state.closing {
        // What is judged by eye is keyed once.
        let twice = |part: &usize| model.keying == Keying::First || !stack.is_by_eye(*part);
        let mut after = state.field + 1..stack.plan().parts.len();
        if let Some(field) = after.find(twice) {
            enter(model, field, Column::Entry);
            return Vec::new();
        }
    }
    let after = match (state.column, state.closing) {
        (Column::Working, true) => state.field + 1,
        (Column::Working, false) if !last => {
            enter(model, state.field + 1, Column::Entry);
            return Vec::new();
        }
        _ => 0,
    };
    let open = (!model.hides())
        .then(|| open_working(stack, state.paper, after))
        .flatten();
    if let Some(field) = open {
        let ring = !model.paper.closing;
        to_open_working(model, field);
        return if ring { vec![Effect::Ring] } else { Vec::new() };
    }
    close(model);
    Vec::new()
}

/// The first part from `from` on whose points for working are still to be keyed.
fn open_working(stack: &Stack, paper: usize, from: usize) -> Option<usize> {
    let on_desk = &stack.papers()[paper];
    (from..stack.plan().parts.len()).find(|&part| {
        !stack.is_by_eye(part)
            && !on_desk.is_adjusted(stack.plan(), part)
            && on_desk
                .mark(part)
                .is_some_and(|mark| mark.reasons.contains(&Reason::WorkingOpen))
    })
}

/// The parts of a paper that nobody keyed, in words.
fn still_open(stack: &Stack, paper: usize) -> String {
    let plan = stack.plan();
    let on_desk = &stack.papers()[paper];
    let open = (0..plan.parts.len()).filter(|&part| !on_desk.is_keyed(plan, part));
    let ids: Vec<String> = open
        .map(|part| format!("({})", plan.parts[part].id))
        .collect();
    format!("{} to do", ids.join(", "))
}

/// The paper is through: says how it stands and looks for the next.
fn close(model: &mut Model) {
    let at = model.paper.paper;
    let hides = model.hides();
    let text = model.stack.as_ref().map_or_else(String::new, |stack| {
        let paper = &stack.papers()[at];
        let id = stack.student(at).id;
        match paper.progress(stack.plan()) {
            _ if model.keying == Keying::Second => format!("{id}: {}", stack.twice(at).name()),
            Progress::Begun => format!("{id} is keyed in part: {}", still_open(stack, at)),
            _ if hides => format!("{id} is keyed"),
            progress => format!(
                "{id} is {}: {} of {}",
                if progress == Progress::Look {
                    "keyed and needs a look"
                } else {
                    progress.name()
                },
                paper.points.total.normalize(),
                paper.points.out_of.normalize()
            ),
        }
    });
    leave(model);
    model.say(text);
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
