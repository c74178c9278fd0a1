//! The start screen: the course folder's assignments by class, and how far each is.
//!
//! In: the lines found in the folder and the record. Out: the one to be opened. Letters narrow the
//! list.

use ratatui::Frame;
use ratatui::layout::Rect;
use tui_input::{Input, InputRequest};

use crate::workflow::desk::course::Line;

use super::super::keys::Action;
use super::super::model::Model;
use super::super::paint::{self, Role, Row, Side};
use super::super::update::{Effect, edit};
use super::find;

/// What the start screen knows.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// The folder's name, if the desk was opened on one.
    pub folder: Option<String>,
    /// All lines: those with papers out first.
    pub lines: Vec<Line>,
    /// What was typed.
    pub input: Input,
    /// The lines that fit it.
    pub found: Vec<usize>,
    /// Which of them is chosen.
    pub at: usize,
}

impl State {
    /// Whether there is a course folder to go back to.
    pub fn is_there(&self) -> bool {
        self.folder.is_some()
    }
}

/// Takes the lines as they are now, and stays at the one chosen.
pub fn take(model: &mut Model, lines: Vec<Line>) {
    let state = &mut model.course;
    let chosen = state
        .found
        .get(state.at)
        .and_then(|&at| state.lines.get(at))
        .cloned();
    state.lines = lines;
    narrow(state);
    let same = |line: &Line| {
        chosen
            .as_ref()
            .is_some_and(|chosen| chosen.code == line.code && chosen.class == line.class)
    };
    if let Some(at) = state.found.iter().position(|&at| same(&state.lines[at])) {
        state.at = at;
    }
}

fn narrow(state: &mut State) {
    let words: Vec<String> = state
        .input
        .value()
        .split_whitespace()
        .map(str::to_lowercase)
        .collect();
    let fits = |line: &Line| {
        let text = format!("{} {} {}", line.code, line.title, line.class).to_lowercase();
        words.iter().all(|word| text.contains(word))
    };
    state.found = (0..state.lines.len())
        .filter(|&at| fits(&state.lines[at]))
        .collect();
    state.at = 0;
}

/// Text typed to narrow the list.
pub fn typed(model: &mut Model, request: InputRequest) {
    edit(&mut model.course.input, request);
    narrow(&mut model.course);
}

/// What an action does here.
pub fn act(model: &mut Model, action: Action) -> Vec<Effect> {
    let state = &mut model.course;
    match action {
        Action::Up => state.at = state.at.saturating_sub(1),
        Action::Down => state.at = (state.at + 1).min(state.found.len().saturating_sub(1)),
        Action::Back => {
            state.input.reset();
            narrow(state);
        }
        Action::Enter => {
            if let Some(line) = state
                .found
                .get(state.at)
                .and_then(|&at| state.lines.get(at))
            {
                let line = line.clone();
                if line.class.is_empty() {
                    let code = &line.code;
                    model.say(format!(
                        "no papers of {code} were handed out yet: `paperweight issue` does that"
                    ));
                    return Vec::new();
                }
                return vec![Effect::Open(Box::new(line))];
            }
        }
        _ => {}
    }
    Vec::new()
}

/// Draws the screen.
pub fn view(model: &Model, frame: &mut Frame<'_>, area: Rect) {
    let state = &model.course;
    let theme = model.theme;
    let columns = usize::from(area.width);
    let label = "  narrow  ";
    let (shown, cursor) = paint::typed(
        &state.input,
        columns.saturating_sub(label.len() + 20).max(4),
    );
    let count = format!("{} of {}", state.found.len(), state.lines.len());
    let mut rows = vec![
        Row::new(theme)
            .text(Role::Dim, label)
            .text(Role::Strong, &shown)
            .ending(columns, Role::Dim, &count),
        Row::new(theme),
    ];
    if state.lines.is_empty() {
        let text = "no assignments here: put their files into assignments/ and the classes' CSV files into rosters/";
        rows.extend(
            paint::wrapped(text, columns.saturating_sub(4))
                .iter()
                .map(|line| Row::new(theme).gap(2).text(Role::Plain, line)),
        );
    }
    let height = usize::from(area.height).saturating_sub(rows.len());
    let top = find::top(state.at, state.found.len(), height);
    for (index, &at) in state.found.iter().enumerate().skip(top) {
        rows.push(line(model, &state.lines[at], columns).here(index == state.at));
    }
    paint::rows(frame, area, rows);
    paint::cursor(frame, area, label.len() + cursor, 0);
}

fn line(model: &Model, line: &Line, columns: usize) -> Row {
    const BAR: usize = 8;
    let title = columns.saturating_sub(2 + 13 + 14 + BAR + 1 + 16 + 1);
    let (bar, words) = if line.issued == 0 {
        (String::new(), "not handed out".to_owned())
    } else {
        let full = (line.touched * BAR).div_ceil(line.issued).min(BAR);
        let full = if line.touched < line.issued {
            full.min(BAR - 1)
        } else {
            full
        };
        (
            "█".repeat(full) + &"·".repeat(BAR - full),
            format!("{} of {} begun", line.touched, line.issued),
        )
    };
    Row::new(model.theme)
        .gap(2)
        .cell(12, Side::Left, Role::Strong, &line.code)
        .gap(1)
        .cell(title, Side::Left, Role::Plain, &line.title)
        .gap(1)
        .cell(13, Side::Left, Role::Plain, &line.class)
        .gap(1)
        .cell(BAR, Side::Left, Role::Dim, &bar)
        .gap(1)
        .cell(15, Side::Left, Role::Dim, &words)
        .gap(1)
}
