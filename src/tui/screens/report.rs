//! How the class did, as `paperweight report` has it.
//!
//! In: the page, drawn from the record. Out: a way back. It names no student.

use ratatui::Frame;
use ratatui::layout::Rect;

use super::super::keys::Action;
use super::super::model::{Model, Place};
use super::super::paint::{self, Role, Row};

/// Lines that a page goes up or down.
const PAGE: usize = 18;

/// What the screen knows.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// The page.
    pub lines: Vec<String>,
    /// The first line shown.
    pub top: usize,
}

/// Shows a page.
pub fn open(model: &mut Model, page: &str) {
    model.report = State {
        lines: page.lines().map(str::to_owned).collect(),
        top: 0,
    };
    model.say("");
    model.go(Place::Report);
}

/// What an action does here.
pub fn act(model: &mut Model, action: Action) {
    let state = &mut model.report;
    let last = state.lines.len().saturating_sub(1);
    match action {
        Action::Up => state.top = state.top.saturating_sub(1),
        Action::Down => state.top = (state.top + 1).min(last),
        Action::PageUp => state.top = state.top.saturating_sub(PAGE),
        Action::PageDown => state.top = (state.top + PAGE).min(last),
        Action::Back if !model.go_back() => model.place = Place::Class,
        _ => {}
    }
}

/// Draws the screen; headings, which begin at the margin, stand out.
pub fn view(model: &Model, frame: &mut Frame<'_>, area: Rect) {
    let state = &model.report;
    let most = state.lines.len().saturating_sub(usize::from(area.height));
    let rows = state.lines.iter().skip(state.top.min(most)).map(|line| {
        let role = if line.starts_with(' ') {
            Role::Plain
        } else {
            Role::Strong
        };
        Row::new(model.theme).text(role, line)
    });
    paint::rows(frame, area, rows);
}
