//! Finding a paper: a few letters narrow the list, Enter opens.
//!
//! In: letters of a code, an id, a name, or initials. Out: the paper. With nothing typed Enter takes
//! the next paper to do in roster order, so that a sorted stack needs one key a paper.

use ratatui::Frame;
use ratatui::layout::Rect;
use tui_input::{Input, InputRequest};

use crate::record::Keying;
use crate::text::counted;
use crate::workflow::desk::{Progress, Stack, Twice};

use super::super::event::Effect;
use super::super::keys::Action;
use super::super::model::{Model, Place};
use super::super::paint::{self, Role, Row, Side};
use super::super::typing::edit;
use super::paper;

/// What is being looked for.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// What was typed.
    pub input: Input,
    /// The papers it may mean, likeliest first.
    pub found: Vec<usize>,
    /// Which of them is chosen.
    pub at: usize,
}

/// Begins a search; `after` is the paper that was marked last.
pub fn open(model: &mut Model, after: Option<usize>) {
    model.find.input.reset();
    let Some(stack) = &model.stack else {
        return;
    };
    model.find.found = stack.find("");
    let next = next_to_do(stack, after, model.keying);
    model.find.at = next.unwrap_or_else(|| after.unwrap_or(0));
}

/// The next paper with something to do, in roster order and around; of several of one student the latest.
fn next_to_do(stack: &Stack, after: Option<usize>, keying: Keying) -> Option<usize> {
    let count = stack.papers().len();
    let start = after.map_or(0, |after| after + 1);
    (0..count).map(|step| (start + step) % count).find(|&at| {
        let progress = stack.papers()[at].progress(stack.plan());
        match keying {
            Keying::Second => stack.twice(at) == Twice::Open,
            Keying::First => match progress {
                Progress::ToDo => !stack.is_replaced(at),
                _ => progress == Progress::Begun,
            },
        }
    })
}

/// Looks for the same again, and stays at a paper.
pub fn list_again(model: &mut Model, chosen: Option<usize>) {
    if let Some(stack) = &model.stack {
        let state = &mut model.find;
        state.found = stack.find(state.input.value());
        state.at = place_of(&state.found, chosen);
    }
}

/// The place in a list of what was chosen, or the first.
pub fn place_of(found: &[usize], chosen: Option<usize>) -> usize {
    let at = found.iter().position(|&at| Some(at) == chosen);
    at.unwrap_or(0)
}

/// Text typed into the search.
pub fn typed(model: &mut Model, request: InputRequest) {
    edit(&mut model.find.input, request);
    if let Some(stack) = &model.stack {
        model.find.found = stack.find(model.find.input.value());
        model.find.at = 0;
    }
}

/// What an action does here.
pub fn act(model: &mut Model, action: Action) -> Vec<Effect> {
    let last = model.find.found.len().saturating_sub(1);
    match action {
        Action::Up => model.find.at = model.find.at.saturating_sub(1),
        Action::Down => model.find.at = (model.find.at + 1).min(last),
        Action::Enter => match model.find.found.get(model.find.at) {
            Some(&at) => {
                let field = model
                    .stack
                    .as_ref()
                    .map_or(0, |stack| paper::first_open(stack, at, model.keying));
                paper::open_found(model, at, field);
                model.go(Place::Paper);
            }
            None => {
                model.say("no paper fits; Backspace takes a letter back");
                return vec![Effect::Ring];
            }
        },
        Action::Back => {
            if !model.find.input.value().is_empty() {
                open(model, None);
            } else if model.course.is_there() {
                model.place = Place::Course;
                model.trail.clear();
                model.say("back at the assignments: Enter opens the papers of the one chosen");
                return vec![Effect::Refresh];
            }
        }
        _ => {}
    }
    Vec::new()
}

/// The words and role for how far a paper is, as far as that is to be seen.
pub fn progress(model: &Model, stack: &Stack, at: usize) -> (Role, &'static str) {
    if model.keying == Keying::Second {
        let twice = stack.twice(at);
        let role = match twice {
            Twice::Nothing | Twice::Open => Role::Dim,
            Twice::Same => Role::Good,
            Twice::Differs => Role::Look,
        };
        return (role, twice.name());
    }
    let progress = stack.papers()[at].progress(stack.plan());
    if stack.is_replaced(at) && progress.is_nothing() {
        return (Role::Dim, "replaced");
    }
    if model.hide && matches!(progress, Progress::Look | Progress::Done) {
        return (Role::Plain, "keyed");
    }
    let role = match progress {
        Progress::ToDo | Progress::Absent | Progress::Excused => Role::Dim,
        Progress::Begun => Role::Plain,
        Progress::Look => Role::Look,
        Progress::Done => Role::Good,
    };
    (role, progress.name())
}

/// Draws the screen.
pub fn view(model: &Model, frame: &mut Frame<'_>, area: Rect) {
    let Some(stack) = &model.stack else {
        return;
    };
    let state = &model.find;
    let theme = model.theme;
    let columns = usize::from(area.width);
    let label = "  find a paper  ";
    let room = columns.saturating_sub(label.len() + 12).max(4);
    let (shown, at) = paint::typed(&state.input, room);
    let count = match state.found.len() {
        0 => "none".to_owned(),
        count => counted(count, "paper"),
    };
    let search = Row::new(theme)
        .text(Role::Dim, label)
        .text(Role::Strong, &shown)
        .ending(columns, Role::Dim, &count);
    let list = area.height.saturating_sub(2);
    let top = top(state.at, state.found.len(), usize::from(list));
    let lines = state
        .found
        .iter()
        .enumerate()
        .skip(top)
        .map(|(index, &paper)| line(model, stack, paper, columns).here(index == state.at));
    let blank = Row::new(theme);
    paint::rows(frame, area, [search, blank].into_iter().chain(lines));
    if model.prompt.is_none() {
        paint::cursor(frame, area, label.len() + at, 0);
    }
}

/// The first line shown of a list, so that the chosen one is seen with what stands around it.
pub fn top(at: usize, count: usize, height: usize) -> usize {
    at.saturating_sub(height / 2)
        .min(count.saturating_sub(height))
}

/// The id of a paper's student, with the paper's number where the student has several.
pub fn id(stack: &Stack, at: usize) -> String {
    let id = stack.student(at).id;
    match stack.which(at) {
        Some(_) => format!("{id} ({})", stack.papers()[at].issue.number),
        None => id.to_owned(),
    }
}

/// One paper of a list, by name and without its marks: a screen may be seen by others.
pub fn line(model: &Model, stack: &Stack, paper: usize, columns: usize) -> Row {
    let on_desk = &stack.papers()[paper];
    let student = stack.student(paper);
    let (role, words) = progress(model, stack, paper);
    let columns = columns.saturating_sub(2 + 12 + 9 + 8 + 14);
    let mut which = stack.which(paper).unwrap_or_default();
    if let (Some(shorter), "replaced") = (which.strip_suffix(", replaced"), words) {
        which.truncate(shorter.len());
    }
    let which_columns = if which.is_empty() {
        0
    } else {
        crate::text::width(&which) + 2
    };
    Row::new(model.theme)
        .gap(2)
        .cell(11, Side::Left, Role::Plain, student.id)
        .gap(1)
        .cell(
            columns.saturating_sub(which_columns),
            Side::Left,
            Role::Plain,
            student.name,
        )
        .cell(which_columns, Side::Right, Role::Dim, &which)
        .gap(1)
        .cell(7, Side::Left, Role::Dim, student.section.unwrap_or(""))
        .gap(1)
        .cell(8, Side::Left, Role::Dim, on_desk.issue.code.as_str())
        .cell(13, Side::Left, role, words)
        .gap(1)
}
